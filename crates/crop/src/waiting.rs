//! What a ripe crop loses while it stands.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

/// Coefficients `crop.waiting.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WaitingParams {
    /// Yield shed a day, cultivars that hold.
    pub shatter_resistant_per_day: f64,
    /// Yield shed a day, cultivars that shed.
    pub shatter_susceptible_per_day: f64,
    /// Rain that counts as a wetting, mm.
    pub wetting_mm: f64,
    /// Test weight lost at each wetting, lb/bu.
    pub test_weight_per_wetting_lb_bu: f64,
    /// The most that wettings take, lb/bu.
    pub test_weight_most_lb_bu: f64,
    /// Hours count above this moisture, % wet basis.
    pub sprout_wet_pct: f64,
    /// Moderate from, h.
    pub sprout_moderate_h: f64,
    /// High from, h.
    pub sprout_high_h: f64,
    /// Severe from, h.
    pub sprout_severe_h: f64,
    /// Grade steps for each wetting.
    pub grade_steps_per_wetting: f64,
    /// Grade steps by sprouting risk: low, moderate, high, severe.
    pub grade_steps_sprout: [f64; 4],
    /// The most steps.
    pub grade_steps_most: f64,
}

impl WaitingParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.waiting.{what}"));
        Self {
            shatter_resistant_per_day: get("shatter_resistant_per_day"),
            shatter_susceptible_per_day: get("shatter_susceptible_per_day"),
            wetting_mm: get("wetting_mm"),
            test_weight_per_wetting_lb_bu: get("test_weight_per_wetting_lb_bu"),
            test_weight_most_lb_bu: get("test_weight_most_lb_bu"),
            sprout_wet_pct: get("sprout_wet_pct"),
            sprout_moderate_h: get("sprout_moderate_h"),
            sprout_high_h: get("sprout_high_h"),
            sprout_severe_h: get("sprout_severe_h"),
            grade_steps_per_wetting: get("grade_steps_per_wetting"),
            grade_steps_sprout: [
                0.0,
                get("grade_steps_moderate"),
                get("grade_steps_high"),
                get("grade_steps_severe"),
            ],
            grade_steps_most: get("grade_steps_most"),
        }
    }
}

/// How a cultivar holds its kernels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Shatter {
    /// Holds.
    Resistant,
    /// Sheds.
    Susceptible,
}

/// Share of yield shed after standing ripe for `days`.
///
/// Each day takes its share of what is left. 4 to 27 g/m2 in about two weeks by cultivar and year (Clarke 1985).
#[inline]
pub fn shatter_loss(days: f64, class: Shatter, p: &WaitingParams) -> f64 {
    let per_day = match class {
        Shatter::Resistant => p.shatter_resistant_per_day,
        Shatter::Susceptible => p.shatter_susceptible_per_day,
    };
    1.0 - (days.max(0.0) * (-per_day).ln_1p()).exp()
}

/// Test weight lost to wettings of ripe grain, lb/bu.
///
/// The first two count double (2-3 lb/bu after rain on ripe grain, North Dakota), down to the most that is lost.
/// Linear in the number of rains: Farrer et al. 2006.
pub fn test_weight_loss_lb_bu(wettings: f64, p: &WaitingParams) -> f64 {
    let n = wettings.max(0.0);
    (p.test_weight_per_wetting_lb_bu * (n + n.min(2.0))).min(p.test_weight_most_lb_bu)
}

/// Risk of sprouted kernels and low falling number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SproutRisk {
    /// Low.
    Low,
    /// Moderate.
    Moderate,
    /// High.
    High,
    /// Severe.
    Severe,
}

/// Sprouting risk from the hours grain was wet after ripening; one class up for a sprouting-prone cultivar or a hot
/// ripening.
///
/// A judgement: no published function of rain and falling number was found.
pub fn sprout_risk(wet_hours: f64, prone: bool, p: &WaitingParams) -> SproutRisk {
    let class = match wet_hours {
        h if h < p.sprout_moderate_h => SproutRisk::Low,
        h if h < p.sprout_high_h => SproutRisk::Moderate,
        h if h < p.sprout_severe_h => SproutRisk::High,
        _ => SproutRisk::Severe,
    };
    match (prone, class) {
        (false, c) => c,
        (true, SproutRisk::Low) => SproutRisk::Moderate,
        (true, SproutRisk::Moderate) => SproutRisk::High,
        (true, _) => SproutRisk::Severe,
    }
}

/// What the weather has done to a ripe crop so far.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Weathering {
    /// Whether the grain has once been dry enough for wetness to count.
    pub has_been_dry: bool,
    /// Rains that counted.
    pub wettings: u16,
    /// Hours wet.
    pub wet_hours: f64,
}

impl Weathering {
    /// One day on, with the grain's afternoon moisture and the day's rain.
    ///
    /// Hours count only after the grain was first below the limit: before that it is wet because it is green. A rain
    /// counts as a wetting only from then on too. A day that ends wet counts 24 hours.
    #[inline]
    pub fn step(&mut self, moisture_pct: f64, rain_mm: f64, p: &WaitingParams) {
        if self.has_been_dry {
            if rain_mm >= p.wetting_mm {
                self.wettings = self.wettings.saturating_add(1);
            }
            if moisture_pct > p.sprout_wet_pct {
                self.wet_hours += 24.0;
            }
        } else {
            self.has_been_dry = moisture_pct <= p.sprout_wet_pct;
        }
    }
}

/// Grade steps expected to be lost: from wettings (bleaching, test weight) and from the sprouting risk, up to the
/// most there are. A judgement, to be replaced by the farm's own grades.
pub fn expected_grade_steps(wettings: f64, sprout: SproutRisk, p: &WaitingParams) -> f64 {
    (p.grade_steps_per_wetting * wettings.max(0.0) + p.grade_steps_sprout[sprout as usize])
        .min(p.grade_steps_most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> WaitingParams {
        crate::CropParams::shipped().waiting
    }

    #[test]
    fn published_sizes() {
        // Two weeks at 3,000 kg/ha: Clarke 1985 saw 40 to 270 kg/ha.
        for class in [Shatter::Resistant, Shatter::Susceptible] {
            let kg = 3000.0 * shatter_loss(14.0, class, &p());
            assert!((40.0..=300.0).contains(&kg), "{kg}");
        }
        assert_eq!(test_weight_loss_lb_bu(1.0, &p()), 2.0);
        assert_eq!(test_weight_loss_lb_bu(3.0, &p()), 5.0);
        assert_eq!(test_weight_loss_lb_bu(20.0, &p()), 6.0);
    }

    #[test]
    fn green_grain_does_not_sprout_by_being_green() {
        let mut w = Weathering::default();
        for moisture in [37.0, 33.0, 28.0, 22.0] {
            w.step(moisture, 10.0, &p());
        }
        assert_eq!((w.wettings, w.wet_hours), (0, 0.0));
        w.step(19.0, 0.0, &p());
        w.step(25.0, 12.0, &p());
        w.step(21.0, 0.0, &p());
        assert_eq!((w.wettings, w.wet_hours), (1, 48.0));
        assert_eq!(sprout_risk(w.wet_hours, false, &p()), SproutRisk::High);
        assert_eq!(sprout_risk(w.wet_hours, true, &p()), SproutRisk::Severe);
    }

    proptest! {
        #[test]
        fn waiting_never_helps(days in 0.0..60.0f64, more in 0.0..20.0f64, wettings in 0.0..10.0f64) {
            let s = |d| shatter_loss(d, Shatter::Susceptible, &p());
            prop_assert!((0.0..1.0).contains(&s(days)) && s(days + more) >= s(days));
            let g = |n, h| expected_grade_steps(n, sprout_risk(h, false, &p()), &p());
            prop_assert!(g(wettings + 1.0, 10.0 * days) >= g(wettings, 10.0 * days));
            prop_assert!(g(wettings, 10.0 * (days + more)) >= g(wettings, 10.0 * days));
        }
    }
}
