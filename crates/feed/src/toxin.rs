//! Mycotoxins: limits by class of animal as dated local data, blending, and what an excess does.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::FeedParams;
use crate::need::Phase;
use crate::table;

/// A limit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Limit {
    /// Which toxin.
    pub toxin: String,
    /// Unit.
    pub unit: String,
    /// Class of animal.
    pub class: String,
    /// On the whole diet.
    pub limit: f64,
    /// `yes`: never past it; `no`: a caution.
    pub hard: String,
    /// Whose.
    pub region: String,
    /// Year it was read for.
    pub as_of: String,
    /// How sure.
    pub sure: String,
    /// Where from.
    pub source: String,
    /// More.
    pub note: String,
}

/// The limits shipped.
pub fn limits() -> &'static [Limit] {
    static LIMITS: LazyLock<Vec<Limit>> = LazyLock::new(|| {
        table::shipped("feed-mycotoxins", include_str!("../../../reference/feed-mycotoxins.csv"))
    });
    &LIMITS
}

/// The limit of a toxin for a phase: the strictest that applies.
pub fn limit(toxin: &str, phase: Phase) -> Option<&'static Limit> {
    let applies = |class: &str| match class {
        "pigs" => true,
        "gilts" => false,
        "breeding" => phase.is_sow(),
        "starter" => phase.is_young(),
        "growing" => !phase.is_delicate(),
        _ => false,
    };
    limits()
        .iter()
        .filter(|l| l.toxin == toxin && applies(&l.class))
        .min_by(|a, b| a.limit.total_cmp(&b.limit))
}

/// Largest share of a lot at `lot` when the rest of the diet is at `base` and the diet may be at `most`, all ppm; 0 to 1.
pub fn share_max(lot: f64, base: f64, most: f64) -> f64 {
    if lot <= most {
        return 1.0;
    }
    if base >= most {
        return 0.0;
    }
    ((most - base) / (lot - base)).clamp(0.0, 1.0)
}

/// Upper bound on a lot from its results: mean and t times the standard error from several, or a factor on one.
pub fn upper_bound(p: &FeedParams, results: &[f64]) -> f64 {
    let n = results.len();
    match n {
        0 => p.don_no_test,
        1 => results[0] * p.don_one_sample,
        _ => {
            let mean = results.iter().sum::<f64>() / n as f64;
            let sd = (results.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1) as f64).sqrt();
            mean + student_90(n - 1) * sd / (n as f64).sqrt()
        }
    }
}

/// One-sided 90 % point of Student's t.
fn student_90(df: usize) -> f64 {
    const T: [f64; 10] = [3.078, 1.886, 1.638, 1.533, 1.476, 1.440, 1.415, 1.397, 1.383, 1.372];
    T.get(df - 1).copied().unwrap_or(1.3)
}

/// What DON in the diet does to gain and intake, % (negative), by two published lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DonEffect {
    /// Gain by the line over all pigs.
    pub gain_pct: f64,
    /// Intake by it.
    pub intake_pct: f64,
    /// Gain by the line of the class, above 1 ppm.
    pub class_gain_pct: f64,
    /// Intake by it.
    pub class_intake_pct: f64,
}

/// The effect of `ppm` of DON in the diet.
pub fn don_effect(p: &FeedParams, ppm: f64, young: bool) -> DonEffect {
    let over = (ppm - 1.0).max(0.0);
    let (gain, intake) = if young {
        (p.don_young_gain, p.don_young_intake)
    } else {
        (p.don_finisher_gain, p.don_finisher_intake)
    };
    DonEffect {
        gain_pct: -p.don_gain * ppm,
        intake_pct: -p.don_intake * ppm,
        class_gain_pct: -gain * over,
        class_intake_pct: -intake * over,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn sows_come_under_the_stricter_limit() {
        assert_eq!(limit("don", Phase::Grower1).unwrap().limit, 1.0);
        assert_eq!(limit("ergot_alkaloids", Phase::Gestation).unwrap().limit, 0.0);
        assert_eq!(limit("ergot_alkaloids", Phase::Finisher2).unwrap().limit, 2.0);
        assert!(limit("moonshine", Phase::Grower1).is_none());
        assert!(limits().iter().all(|l| !l.source.is_empty() && !l.as_of.is_empty()));
    }

    proptest! {
        #[test]
        fn the_largest_share_meets_the_limit(lot in 0.0..20.0_f64, base in 0.0..2.0_f64, most in 0.1..5.0_f64) {
            let x = share_max(lot, base, most);
            if x > 0.0 && base <= most {
                prop_assert!(x * lot + (1.0 - x) * base.min(most) <= most.max(lot.min(most)) + 1e-9);
            }
        }

        #[test]
        fn the_bound_is_not_below_the_mean(r in proptest::collection::vec(0.0..9.0_f64, 1..9)) {
            let mean = r.iter().sum::<f64>() / r.len() as f64;
            prop_assert!(upper_bound(FeedParams::shipped(), &r) >= mean - 1e-12);
        }
    }
}
