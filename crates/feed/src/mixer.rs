//! The mixer: the test of mixing, and scales.

use crate::FeedParams;

/// A mixer test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uniformity {
    /// Mean of the samples.
    pub mean: f64,
    /// Standard deviation, n - 1.
    pub sd: f64,
    /// Coefficient of variation, %.
    pub cv_pct: f64,
    /// What to make of it.
    pub verdict: Verdict,
}

/// What a mixer test says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Below the trade's 10 %.
    Good,
    /// Enough for complete feed, not for premixes.
    Fair,
    /// Mix longer, look at the mixer.
    Poor,
}

impl Verdict {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Good => "mixing well",
            Self::Fair => "just enough for complete feed: mix longer and test again",
            Self::Poor => {
                "not mixing: mix longer, look at ribbons, seal and fill, and test again before feeding on"
            }
        }
    }
}

/// The coefficient of variation of samples of one batch, with n - 1. None with fewer than two samples or a mean of none.
pub fn uniformity(p: &FeedParams, samples: &[f64]) -> Option<Uniformity> {
    let n = samples.len() as f64;
    if samples.len() < 2 {
        return None;
    }
    let mean = samples.iter().sum::<f64>() / n;
    if mean <= 0.0 {
        return None;
    }
    let sd = (samples.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    let cv_pct = 100.0 * sd / mean;
    let verdict = match cv_pct {
        c if c <= p.cv_good_pct => Verdict::Good,
        c if c <= p.cv_complete_pct => Verdict::Fair,
        _ => Verdict::Poor,
    };
    Some(Uniformity { mean, sd, cv_pct, verdict })
}

/// Whether an item must be mixed with a carrier first, or weighed finer: too few graduations for it.
pub fn too_few_steps(p: &FeedParams, item_kg: f64, graduation_kg: f64) -> bool {
    item_kg / graduation_kg < p.fewest_steps
}

/// To the nearest graduation.
pub fn to_step(kg: f64, graduation_kg: f64) -> f64 {
    // Rounded again so that 83.69999 is 83.7.
    ((kg / graduation_kg).round() * graduation_kg * 1e6).round() / 1e6
}

/// Ground grain to flush with after a ration that the next must not hold, kg.
pub fn flush_kg(p: &FeedParams, mixer_kg: f64) -> f64 {
    (p.flush_share * mixer_kg).max(p.flush_least_kg)
}

/// Feed saved by grinding finer, as a share, from `from_um` to `to_um`; none gained below the mark where dust and ulcers begin.
pub fn finer_saves(p: &FeedParams, from_um: f64, to_um: f64) -> f64 {
    p.feed_per_100_um * (from_um - to_um.max(500.0)) / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pass_and_a_fail() {
        let p = FeedParams::shipped();
        assert_eq!(uniformity(p, &[15.5, 15.4, 15.0, 15.2, 15.6, 15.3]).unwrap().verdict, Verdict::Good);
        assert_eq!(
            uniformity(p, &[380.0, 323.0, 391.0, 459.0, 336.0, 399.0]).unwrap().verdict,
            Verdict::Fair
        );
        assert_eq!(uniformity(p, &[1.0, 3.0]).unwrap().verdict, Verdict::Poor);
        assert!(uniformity(p, &[1.0]).is_none());
        assert_eq!(to_step(83.685, 0.1), 83.7);
        assert!(too_few_steps(p, 0.52, 0.05) && !too_few_steps(p, 2.0, 0.05));
        assert_eq!(flush_kg(p, 500.0), 68.0);
    }
}
