//! Head blight, leaf infection and what a spray returns. Risk is shown in hours and classes, not as a probability.

pub mod leaf;
pub mod pressure;

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_weather::Forcing;

/// Coefficients `crop.disease.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DiseaseParams {
    /// Coolest hour that counts, C.
    pub warm_from_c: f64,
    /// Warmest hour that counts, C.
    pub warm_to_c: f64,
    /// Humidity from which an hour counts, %.
    pub humid_pct: f64,
    /// Moderate from, h in seven days.
    pub moderate_h: f64,
    /// High from, h in seven days.
    pub high_h: f64,
    /// Rain that keeps heads wet for an hour, mm.
    pub rain_mm_per_wet_hour: f64,
    /// Yield lost per percent of diseased spikelets, kg/ha.
    pub fhb_loss_kg_ha_per_point: f64,
    /// DON with no disease seen, ppm.
    pub don_intercept_ppm: f64,
    /// DON per percent of diseased spikelets, ppm.
    pub don_ppm_per_point: f64,
    /// Diseased spikelets to expect at the foot of moderate, %.
    pub index_at_moderate_pct: f64,
    /// The same at the foot of high, %.
    pub index_at_high_pct: f64,
    /// The most expected, %.
    pub index_most_pct: f64,
    /// Responses by [`Fungicide`].
    pub fungicides: [Response; 5],
}

/// Mean response to a head spray in over 100 trials.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Response {
    /// Share of the head blight index held off.
    pub index_control: f64,
    /// Share of DON held off.
    pub don_control: f64,
    /// Mean yield gain, kg/ha.
    pub gain_kg_ha: f64,
}

/// Active ingredients with published responses (Paul et al. 2008 and 2010).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fungicide {
    /// Prothioconazole with tebuconazole.
    ProthioconazoleTebuconazole,
    /// Metconazole.
    Metconazole,
    /// Prothioconazole.
    Prothioconazole,
    /// Tebuconazole.
    Tebuconazole,
    /// Propiconazole.
    Propiconazole,
}

impl Fungicide {
    /// All, in the order of [`DiseaseParams::fungicides`].
    pub const ALL: [Self; 5] = [
        Self::ProthioconazoleTebuconazole,
        Self::Metconazole,
        Self::Prothioconazole,
        Self::Tebuconazole,
        Self::Propiconazole,
    ];

    /// As named in the reference and in calculators.
    pub fn key(self) -> &'static str {
        ["prothioconazole_tebuconazole", "metconazole", "prothioconazole", "tebuconazole", "propiconazole"]
            [self as usize]
    }
}

impl DiseaseParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.disease.{what}"));
        Self {
            warm_from_c: get("warm_from_c"),
            warm_to_c: get("warm_to_c"),
            humid_pct: get("humid_pct"),
            moderate_h: get("moderate_h"),
            high_h: get("high_h"),
            rain_mm_per_wet_hour: get("rain_mm_per_wet_hour"),
            fhb_loss_kg_ha_per_point: get("fhb_loss_kg_ha_per_point"),
            don_intercept_ppm: get("don_intercept_ppm"),
            don_ppm_per_point: get("don_ppm_per_point"),
            index_at_moderate_pct: get("index_at_moderate_pct"),
            index_at_high_pct: get("index_at_high_pct"),
            index_most_pct: get("index_most_pct"),
            fungicides: Fungicide::ALL.map(|f| Response {
                index_control: get(&format!("{}_index_control", f.key())),
                don_control: get(&format!("{}_don_control", f.key())),
                gain_kg_ha: get(&format!("{}_gain_kg_ha", f.key())),
            }),
        }
    }
}

/// Hours that favour head blight: warm, and humid or wet. Hours as (temperature C, humidity %, rain mm).
pub fn wet_warm_hours(hours: &[(f64, f64, f64)], p: &DiseaseParams) -> f64 {
    let counts = |&&(t, rh, rain): &&(f64, f64, f64)| {
        (p.warm_from_c..=p.warm_to_c).contains(&t) && (rh >= p.humid_pct || rain > 0.0)
    };
    hours.iter().filter(counts).count() as f64
}

/// The same from a day's extremes, for days without hourly readings.
///
/// Temperature and humidity follow opposite cosines between their extremes; an hour counts where the one is warm and
/// the other humid. Rain adds an hour for each `rain_mm_per_wet_hour` on a day whose mean is warm. A judgement, a few
/// hours off on any one day.
pub fn wet_warm_hours_of_day(weather: &Forcing, p: &DiseaseParams) -> f64 {
    // u runs from -1 (coolest, dampest hour) to 1; both conditions are limits on u.
    let limit = |at: f64, low: f64, high: f64| {
        if high - low < 1e-9 {
            if at <= low { -1.0 } else { 1.0 }
        } else {
            (2.0 * (at - low) / (high - low) - 1.0).clamp(-1.0, 1.0)
        }
    };
    let d = &weather.day;
    let from = limit(p.warm_from_c, d.tmin_c, d.tmax_c);
    let to_warm = limit(p.warm_to_c, d.tmin_c, d.tmax_c);
    let to_humid = -limit(p.humid_pct, weather.rh_min_pct, weather.rh_max_pct);
    let to = to_warm.min(to_humid);
    let humid = if to > from { 24.0 / std::f64::consts::PI * (from.acos() - to.acos()) } else { 0.0 };
    let warm = (p.warm_from_c..=p.warm_to_c).contains(&weather.tmean_c);
    let rain = if warm { weather.rain_mm / p.rain_mm_per_wet_hour } else { 0.0 };
    (humid + rain).min(24.0)
}

/// Head blight risk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Risk {
    /// Low.
    Low,
    /// Moderate.
    Moderate,
    /// High.
    High,
}

impl Risk {
    /// In words.
    pub fn words(self) -> &'static str {
        ["low", "moderate", "high"][self as usize]
    }
}

/// How a cultivar stands up to head blight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Resistance {
    /// Susceptible or moderately so.
    Susceptible,
    /// In between.
    Intermediate,
    /// Moderately resistant or better.
    ModeratelyResistant,
}

/// Risk class from wet-warm hours in seven days. Means something only from heading to the end of flowering.
///
/// One class up for a susceptible cultivar or wheat or maize stubble, one down for a moderately resistant one. The
/// class limits are a judgement, to be set against local outcomes.
pub fn fhb_risk(hours_7d: f64, resistance: Resistance, host_stubble: bool, p: &DiseaseParams) -> Risk {
    let base = match hours_7d {
        h if h < p.moderate_h => 0,
        h if h < p.high_h => 1,
        _ => 2,
    };
    let up = i32::from(resistance == Resistance::Susceptible || host_stubble);
    let down = i32::from(resistance == Resistance::ModeratelyResistant);
    [Risk::Low, Risk::Moderate, Risk::High][(base + up - down).clamp(0, 2) as usize]
}

/// De Wolf, Madden and Lipps 2003 (Phytopathology 93:428), model A: `1/(1+exp(3.3756 - 6.8128 x))`.
///
/// `x` is the predictor as the authors scaled it, 0 to 1; the scaling was not found, so the result ranks days and is
/// not a probability to act on. Coefficients from a secondary note.
pub fn de_wolf_a(x: f64) -> f64 {
    logistic(-3.3756 + 6.8128 * x)
}

/// Model B of the same paper: `1/(1+exp(3.7251 - 10.5097 x))`. The same caution.
pub fn de_wolf_b(x: f64) -> f64 {
    logistic(-3.7251 + 10.5097 * x)
}

fn logistic(l: f64) -> f64 {
    1.0 / (1.0 + (-l).exp())
}

/// Yield lost, kg/ha, at `index_pct` percent of diseased spikelets (Madden and Paul 2009: 38 kg/ha a point).
pub fn fhb_yield_loss_kg_ha(index_pct: f64, p: &DiseaseParams) -> f64 {
    p.fhb_loss_kg_ha_per_point * index_pct
}

/// DON, ppm, at `index_pct` percent of diseased spikelets (Paul et al. 2006). Spring wheat lies lower at first and
/// rises faster; kernels tell more than heads.
pub fn don_ppm(index_pct: f64, p: &DiseaseParams) -> f64 {
    p.don_intercept_ppm + p.don_ppm_per_point * index_pct
}

/// Yield a head spray saves, kg/ha, at the disease that would come without it.
pub fn spray_saves_kg_ha(index_pct: f64, fungicide: Fungicide, p: &DiseaseParams) -> f64 {
    fhb_yield_loss_kg_ha(index_pct, p) * p.fungicides[fungicide as usize].index_control
}

/// DON, ppm, left after a head spray.
pub fn don_after_spray_ppm(index_pct: f64, fungicide: Fungicide, p: &DiseaseParams) -> f64 {
    don_ppm(index_pct, p) * (1.0 - p.fungicides[fungicide as usize].don_control)
}

/// Mean yield gain from a head spray in trials, kg/ha (Paul et al. 2010).
pub fn fungicide_response_kg_ha(fungicide: Fungicide, p: &DiseaseParams) -> f64 {
    p.fungicides[fungicide as usize].gain_kg_ha
}

/// A leaf disease's demands (Magarey, Sutton and Thayer 2005).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Infection {
    /// Coldest, C.
    pub tmin_c: f64,
    /// Best, C.
    pub topt_c: f64,
    /// Hottest, C.
    pub tmax_c: f64,
    /// Hours of wetness needed at the best temperature.
    pub wmin_h: f64,
    /// Most hours, above which none happens anyway.
    pub wmax_h: f64,
}

impl Infection {
    /// Response to temperature, 0 to 1 (Magarey et al. 2005, Phytopathology 95:92).
    pub fn temperature_response(&self, t_c: f64) -> f64 {
        if t_c <= self.tmin_c || t_c >= self.tmax_c {
            return 0.0;
        }
        let (up, down) = (self.topt_c - self.tmin_c, self.tmax_c - self.topt_c);
        (self.tmax_c - t_c) / down * ((t_c - self.tmin_c) / up).powf(up / down)
    }

    /// Hours of wetness needed at `t_c`; `None` where no wetness is enough.
    pub fn wetness_needed_h(&self, t_c: f64) -> Option<f64> {
        let f = self.temperature_response(t_c);
        (f > 0.0).then(|| (self.wmin_h / f).min(self.wmax_h))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> DiseaseParams {
        crate::CropParams::shipped().disease
    }

    #[test]
    fn classes_move_with_cultivar_and_stubble() {
        let at = |h, r, s| fhb_risk(h, r, s, &p());
        assert_eq!(at(20.0, Resistance::Intermediate, false), Risk::Moderate);
        assert_eq!(at(20.0, Resistance::Susceptible, true), Risk::High);
        assert_eq!(at(20.0, Resistance::ModeratelyResistant, false), Risk::Low);
        assert_eq!(at(20.0, Resistance::ModeratelyResistant, true), Risk::Moderate);
    }

    #[test]
    fn hours_are_counted() {
        let hours =
            [(20.0, 95.0, 0.0), (20.0, 80.0, 0.0), (20.0, 80.0, 0.4), (12.0, 99.0, 1.0), (31.0, 95.0, 0.0)];
        assert_eq!(wet_warm_hours(&hours, &p()), 2.0);
    }

    proptest! {
        #[test]
        fn infection_needs_least_at_its_best(t in 2.5..29.5f64) {
            let d = Infection { tmin_c: 2.0, topt_c: 18.0, tmax_c: 30.0, wmin_h: 4.0, wmax_h: 24.0 };
            let f = d.temperature_response(t);
            prop_assert!(f > 0.0 && f <= 1.0 + 1e-12);
            prop_assert!(d.wetness_needed_h(t).unwrap() >= 4.0 - 1e-9);
        }
    }
}
