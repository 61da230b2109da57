//! Leaf diseases: how long leaves are wet, how warm they are while wet, and whether that is enough to infect.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_weather::Forcing;
use stook_weather::forcing::SiteTable;
use stook_weather::humidity;
use stook_weather::series::HourRecord;

use super::{DiseaseParams, Infection};

/// Leaf diseases of wheat with defensible demands on temperature and wetness.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LeafDisease {
    /// Tan spot.
    TanSpot,
    /// Septoria leaf blotch.
    Septoria,
    /// Leaf rust.
    LeafRust,
    /// Stripe rust.
    StripeRust,
    /// Stem rust.
    StemRust,
}

impl LeafDisease {
    /// All, in the order of [`LeafParams::demands`].
    pub const ALL: [Self; 5] =
        [Self::TanSpot, Self::Septoria, Self::LeafRust, Self::StripeRust, Self::StemRust];

    /// As named in the reference.
    pub fn key(self) -> &'static str {
        ["tan_spot", "septoria", "leaf_rust", "stripe_rust", "stem_rust"][self as usize]
    }

    /// In words.
    pub fn words(self) -> &'static str {
        ["tan spot", "septoria leaf blotch", "leaf rust", "stripe rust", "stem rust"][self as usize]
    }
}

/// Coefficients `crop.leaf.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeafParams {
    /// What each disease asks, by [`LeafDisease`].
    pub demands: [Infection; 5],
    /// Days of tan spot infection up to which a spray gained nothing.
    pub days_no_gain: f64,
    /// Days at which it gained the lower published figure.
    pub days_low_gain: f64,
    /// Days at which it gained the higher.
    pub days_high_gain: f64,
    /// Lower published gain, kg/ha.
    pub gain_low_kg_ha: f64,
    /// Higher published gain, kg/ha.
    pub gain_high_kg_ha: f64,
    /// Share of the flag-leaf gain that a head spray reaches.
    pub head_spray_share: f64,
    /// Infection days count this much more after wheat.
    pub host_stubble_factor: f64,
}

impl LeafParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.leaf.{what}"));
        Self {
            demands: LeafDisease::ALL.map(|d| {
                let get = |what: &str| get(&format!("{}_{what}", d.key()));
                Infection {
                    tmin_c: get("tmin_c"),
                    topt_c: get("topt_c"),
                    tmax_c: get("tmax_c"),
                    wmin_h: get("wmin_h"),
                    wmax_h: get("wmax_h"),
                }
            }),
            days_no_gain: get("days_no_gain"),
            days_low_gain: get("days_low_gain"),
            days_high_gain: get("days_high_gain"),
            gain_low_kg_ha: get("gain_low_kg_ha"),
            gain_high_kg_ha: get("gain_high_kg_ha"),
            head_spray_share: get("head_spray_share"),
            host_stubble_factor: get("host_stubble_factor"),
        }
    }

    /// Yield a flag-leaf spray would save after `days` of tan spot infection, kg/ha.
    ///
    /// The two gains are published (Saskatchewan, drier zone: nothing in four of six site-years, 70 to 130 kg/ha in
    /// one, 410 to 470 in another); the days at which they are reached are set so that about a third of years gain.
    pub fn spray_gain_kg_ha(&self, days: f64, after_wheat: bool) -> f64 {
        let d = days * if after_wheat { self.host_stubble_factor } else { 1.0 };
        let along = |from: f64, to: f64| ((d - from) / (to - from)).clamp(0.0, 1.0);
        self.gain_low_kg_ha * along(self.days_no_gain, self.days_low_gain)
            + (self.gain_high_kg_ha - self.gain_low_kg_ha) * along(self.days_low_gain, self.days_high_gain)
    }
}

/// How long the canopy was wet on a day, and how warm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Wetness {
    /// Hours wet with dew, damp air or rain.
    pub wet_h: f64,
    /// Mean temperature while wet, C.
    pub wet_c: f64,
    /// Hours wet or humid and warm enough for head blight.
    pub warm_wet_h: f64,
}

/// The canopy's wetness on a day, hour by hour.
///
/// Temperature follows the day's course with vapour pressure held, so an hour is humid below the temperature at
/// which that vapour makes the limit (90 %): dew and damp nights. Rain, whose time is not known, adds an hour for
/// each `rain_mm_per_wet_hour` at the day's mean temperature, up to the hours that were dry.
pub fn wetness(f: &Forcing, day_of_year: u16, table: &SiteTable, p: &DiseaseParams) -> Wetness {
    let humid_below_c = humidity::e0_inverse(100.0 * f.day.ea_kpa / p.humid_pct);
    let warm = p.warm_from_c..=p.warm_to_c;
    let (mut wet_h, mut heat, mut warm_wet_h) = (0.0, 0.0, 0.0);
    if f.day.tmin_c <= humid_below_c {
        let range = f.day.tmax_c - f.day.tmin_c;
        for g in table.sun(day_of_year).shape.temp {
            let t = f.day.tmin_c + range * g;
            if t <= humid_below_c {
                wet_h += 1.0;
                heat += t;
                if warm.contains(&t) {
                    warm_wet_h += 1.0;
                }
            }
        }
    }
    let rain_h = (f.rain_mm / p.rain_mm_per_wet_hour).min(24.0 - wet_h);
    if rain_h > 0.0 {
        wet_h += rain_h;
        heat += rain_h * f.tmean_c;
        if warm.contains(&f.tmean_c) {
            warm_wet_h += rain_h;
        }
    }
    Wetness { wet_h, wet_c: if wet_h > 0.0 { heat / wet_h } else { f.tmean_c }, warm_wet_h }
}

/// Fewer hours than this with temperature and humidity, and a day's own extremes tell more.
const LEAST_HOURS: usize = 20;

/// The canopy's wetness on a day from the station's own hours: an hour counts as wet when the air was that humid or rain
/// fell in it. `None` when too few hours have temperature and humidity.
pub fn wetness_measured(hours: &[HourRecord], p: &DiseaseParams) -> Option<Wetness> {
    let (mut n, mut wet_h, mut heat, mut all, mut warm_wet_h) = (0, 0.0, 0.0, 0.0, 0.0);
    for h in hours {
        let Some(t) = h.temp_c else { continue };
        let Some(rh) = h.rh_pct.or_else(|| Some(humidity::rh_pct(t, humidity::e0(h.tdew_c?)))) else {
            continue;
        };
        n += 1;
        all += t;
        if rh >= p.humid_pct || h.precip_mm.is_some_and(|mm| mm > 0.0) {
            wet_h += 1.0;
            heat += t;
            if (p.warm_from_c..=p.warm_to_c).contains(&t) {
                warm_wet_h += 1.0;
            }
        }
    }
    if n < LEAST_HOURS {
        return None;
    }
    let whole = 24.0 / n as f64;
    let wet_c = if wet_h > 0.0 { heat / wet_h } else { all / n as f64 };
    Some(Wetness { wet_h: wet_h * whole, wet_c, warm_wet_h: warm_wet_h * whole })
}

/// Whether a day was wet long enough for the disease to infect (Magarey, Sutton and Thayer 2005).
pub fn infects(demand: &Infection, w: &Wetness) -> bool {
    demand.wetness_needed_h(w.wet_c).is_some_and(|need| w.wet_h >= need)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::CropParams;
    use proptest::prelude::*;
    use stook_weather::params::WeatherParams;
    use stook_weather::{Day, Site};

    fn force(tmax_c: f64, tmin_c: f64, ea_kpa: f64, rain_mm: f64) -> (Forcing, SiteTable) {
        let table = SiteTable::new(&Site { lat_deg: 50.0, lon_deg: -101.0, elev_m: 500.0 });
        let day = Day { tmax_c, tmin_c, precip_mm: rain_mm, rs_mj_m2: 18.0, ea_kpa, wind_2m_ms: 2.0 };
        (table.force(185, &day, &WeatherParams::from_reference(&Reference::shipped())), table)
    }

    #[test]
    fn a_dry_day_wets_nothing_and_a_damp_night_infects() {
        let p = CropParams::shipped();
        let (dry, table) = force(28.0, 12.0, 0.9, 0.0);
        assert_eq!(wetness(&dry, 185, &table, &p.disease).wet_h, 0.0);
        // Dew point 17: humid all night.
        let (damp, table) = force(26.0, 17.0, humidity::e0(17.0), 0.0);
        let w = wetness(&damp, 185, &table, &p.disease);
        assert!((6.0..14.0).contains(&w.wet_h) && w.wet_h == w.warm_wet_h, "{w:?}");
        assert!(infects(&p.leaf.demands[LeafDisease::LeafRust as usize], &w));
        assert!(!infects(&p.leaf.demands[LeafDisease::Septoria as usize], &w));
    }

    #[test]
    fn measured_hours_are_counted_as_they_were() {
        let p = CropParams::shipped().disease;
        let hour = |h: u8, temp_c: f64, rh: f64, rain: f64| HourRecord {
            hour_ending: h,
            temp_c: Some(temp_c),
            rh_pct: Some(rh),
            precip_mm: Some(rain),
            ..HourRecord::default()
        };
        // Six damp hours at 14 C (too cool for head blight), four showers at 20 C, fourteen dry hours.
        let day: Vec<HourRecord> = (1..=24)
            .map(|h| match h {
                1..=6 => hour(h, 14.0, 95.0, 0.0),
                7..=10 => hour(h, 20.0, 80.0, 0.6),
                _ => hour(h, 24.0, 50.0, 0.0),
            })
            .collect();
        let w = wetness_measured(&day, &p).unwrap();
        assert_eq!((w.wet_h, w.warm_wet_h), (10.0, 4.0));
        assert!((w.wet_c - 16.4).abs() < 1e-9, "{w:?}");
        assert_eq!(wetness_measured(&day[..12], &p), None);
        // By dew point where the station has no humidity.
        let by_dew: Vec<HourRecord> =
            day.iter().map(|h| HourRecord { rh_pct: None, tdew_c: Some(13.5), ..*h }).collect();
        assert_eq!(wetness_measured(&by_dew, &p).unwrap().wet_h, 10.0);
    }

    #[test]
    fn about_the_published_gains() {
        let p = CropParams::shipped().leaf;
        assert_eq!(p.spray_gain_kg_ha(0.0, true), 0.0);
        assert!((p.spray_gain_kg_ha(p.days_low_gain, false) - 100.0).abs() < 1e-9);
        assert!((p.spray_gain_kg_ha(60.0, false) - 440.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn wetter_is_never_less_wet(
            tmin in 2.0..20.0f64, range in 2.0..18.0f64, dew in 0.0..20.0f64, rain in 0.0..40.0f64, more in 0.0..20.0f64,
        ) {
            let p = CropParams::shipped();
            let at = |dew: f64, rain: f64| {
                let (f, t) = force(tmin + range, tmin, humidity::e0(dew.min(tmin + range)), rain);
                wetness(&f, 185, &t, &p.disease)
            };
            let a = at(dew, rain);
            prop_assert!((0.0..=24.0).contains(&a.wet_h) && a.warm_wet_h <= a.wet_h + 1e-9);
            prop_assert!(at(dew, rain + more).wet_h >= a.wet_h - 1e-9);
            prop_assert!(at(dew + 1.0, rain).wet_h >= a.wet_h - 1e-9);
            prop_assert!(p.leaf.spray_gain_kg_ha(rain + more, false) >= p.leaf.spray_gain_kg_ha(rain, false));
        }
    }
}
