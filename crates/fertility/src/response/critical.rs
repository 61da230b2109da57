//! The soil test that best parts fields that respond from fields that do not.

use serde::Serialize;

/// A split of a calibration data set in two.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Split {
    /// Highest test in the lower class.
    pub below: f64,
    /// Lowest test in the upper class.
    pub above: f64,
    /// Mean yield of the lower class.
    pub low_mean: f64,
    /// Mean yield of the upper class.
    pub high_mean: f64,
    /// Share of the variation that lies between the classes.
    pub r2: f64,
}

/// The split with the most variation between the classes. `None` with fewer than two different tests.
///
/// Source: Cate and Nelson 1971, Soil Science Society of America Proceedings 35:658.
pub fn split(tests: &[f64], yields: &[f64]) -> Option<Split> {
    if tests.len() != yields.len() || tests.iter().chain(yields).any(|x| !x.is_finite()) {
        return None;
    }
    let mut pairs: Vec<(f64, f64)> = tests.iter().copied().zip(yields.iter().copied()).collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let n = pairs.len() as f64;
    let sum: f64 = pairs.iter().map(|p| p.1).sum();
    let mean = sum / n;
    let total: f64 = pairs.iter().map(|p| (p.1 - mean).powi(2)).sum();
    let (mut below, mut best) = (0.0, None::<Split>);
    for i in 1..pairs.len() {
        below += pairs[i - 1].1;
        if pairs[i].0 <= pairs[i - 1].0 {
            continue;
        }
        let k = i as f64;
        let (low_mean, high_mean) = (below / k, (sum - below) / (n - k));
        let between = k * (low_mean - mean).powi(2) + (n - k) * (high_mean - mean).powi(2);
        let r2 = if total > 0.0 { between / total } else { 0.0 };
        if best.is_none_or(|b| r2 > b.r2) {
            best = Some(Split { below: pairs[i - 1].0, above: pairs[i].0, low_mean, high_mean, r2 });
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clean_break_is_found() {
        let s = split(&[1.0, 2.0, 3.0, 8.0, 9.0], &[50.0, 50.0, 50.0, 90.0, 90.0]).unwrap();
        assert_eq!((s.below, s.above, s.low_mean, s.high_mean), (3.0, 8.0, 50.0, 90.0));
        assert!((s.r2 - 1.0).abs() < 1e-12);
        assert_eq!(split(&[1.0, 1.0], &[2.0, 3.0]), None);
    }
}
