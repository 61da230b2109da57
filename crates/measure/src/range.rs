//! Ranges over an ensemble of possible weathers.

use serde::{Deserialize, Serialize};

/// The 10th, 50th and 90th percentile of a set of outcomes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Range {
    /// One outcome in ten is below this.
    pub p10: f64,
    /// The middle outcome.
    pub p50: f64,
    /// One outcome in ten is above this.
    pub p90: f64,
}

/// A [`Range`] with the mean and how well the mean is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// The 10-50-90 percentiles.
    pub range: Range,
    /// The arithmetic mean.
    pub mean: f64,
    /// The standard error of the mean: sample standard deviation over the root of the count.
    pub standard_error: f64,
    /// How many outcomes there were.
    pub count: usize,
}

impl Range {
    /// Percentiles of `outcomes`; `None` when there is none or one is not a number.
    pub fn of(outcomes: &[f64]) -> Option<Self> {
        if outcomes.is_empty() || outcomes.iter().any(|x| x.is_nan()) {
            return None;
        }
        let mut sorted = outcomes.to_vec();
        sorted.sort_by(f64::total_cmp);
        Some(Self { p10: quantile(&sorted, 0.1), p50: quantile(&sorted, 0.5), p90: quantile(&sorted, 0.9) })
    }

    /// The same range in another unit.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        let (a, b) = (f(self.p10), f(self.p90));
        Self { p10: a.min(b), p50: f(self.p50), p90: a.max(b) }
    }
}

impl Spread {
    /// Summary of `outcomes`; `None` when there is none or one is not a number.
    pub fn of(outcomes: &[f64]) -> Option<Self> {
        let range = Range::of(outcomes)?;
        let n = outcomes.len() as f64;
        let mean = outcomes.iter().sum::<f64>() / n;
        let standard_error = if outcomes.len() < 2 {
            f64::INFINITY
        } else {
            (outcomes.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0) / n).sqrt()
        };
        Some(Self { range, mean, standard_error, count: outcomes.len() })
    }

    /// Whether the mean can be told from zero: at least two standard errors away.
    pub fn is_clear(&self) -> bool {
        self.mean.abs() > 2.0 * self.standard_error
    }
}

/// The quantile at `share` (0 to 1) of an ascending slice, by linear interpolation between order statistics
/// (the definition numbered 7 by Hyndman and Fan 1996, American Statistician 50:361).
///
/// # Panics
/// When `sorted` is empty.
pub fn quantile(sorted: &[f64], share: f64) -> f64 {
    assert!(!sorted.is_empty(), "a quantile needs at least one value");
    let place = share.clamp(0.0, 1.0) * (sorted.len() - 1) as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (place - below as f64) * (sorted[above] - sorted[below])
}

/// Standard normal value that a share of all lies below, by halving; good to 1e-9.
pub fn normal_quantile(share: f64) -> f64 {
    let below = |z: f64| {
        // The integral as a power series: exact enough inside four deviations.
        let (mut term, mut sum, mut n) = (z, z, 1.0);
        while term.abs() > 1e-16 && n < 400.0 {
            term *= -z * z * (2.0 * n - 1.0) / (2.0 * n * (2.0 * n + 1.0));
            sum += term;
            n += 1.0;
        }
        0.5 + sum / (2.0 * std::f64::consts::PI).sqrt()
    };
    let share = share.clamp(1e-4, 1.0 - 1e-4);
    let (mut low, mut high) = (-4.0, 4.0);
    for _ in 0..60 {
        let mid = f64::midpoint(low, high);
        if below(mid) < share {
            low = mid;
        } else {
            high = mid;
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_values_as_tabled() {
        for (share, z) in
            [(0.5, 0.0), (0.8, 0.841_621), (0.9, 1.281_552), (0.95, 1.644_854), (0.99, 2.326_348)]
        {
            assert!((normal_quantile(share) - z).abs() < 1e-5, "{share}");
            assert!((normal_quantile(1.0 - share) + z).abs() < 1e-5, "{share}");
        }
    }

    #[test]
    fn quantiles_of_a_ramp() {
        let ramp: Vec<f64> = (0..=100).map(f64::from).collect();
        let r = Range::of(&ramp).unwrap();
        assert_eq!((r.p10, r.p50, r.p90), (10.0, 50.0, 90.0));
        assert!(Range::of(&[]).is_none());
        assert!(Range::of(&[1.0, f64::NAN]).is_none());
        assert_eq!(r.map(|x| -x).p10, -90.0);
    }

    #[test]
    fn clear_only_when_the_error_is_small() {
        assert!(Spread::of(&[9.0, 10.0, 11.0, 10.0]).unwrap().is_clear());
        assert!(!Spread::of(&[-10.0, 10.0, -9.0, 9.5]).unwrap().is_clear());
        assert!(!Spread::of(&[5.0]).unwrap().is_clear());
    }
}
