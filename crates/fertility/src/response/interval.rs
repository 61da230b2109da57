//! How well a trial fixes the optimum of a quadratic.

use serde::Serialize;

use super::curve::Curve;
use super::fit::QuadraticFit;
use super::student::two_sided;

/// Confidence interval of a rate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Interval {
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// Interval of the economic optimum of a quadratic, holding it with `share` (0.95).
///
/// `None` when no finite interval exists: the data do not fix an optimum. The limits are those of the curve and may
/// lie outside the rates tried. Source: Bachmaier 2009, Statistical Papers 50:649.
pub fn of_optimum(q: &QuadraticFit, ratio: f64, share: f64) -> Option<Interval> {
    let Curve::Quadratic { b1, b2, .. } = q.fit.curve else { return None };
    let df = q.fit.count.checked_sub(3).filter(|d| *d > 0)?;
    let t2 = two_sided(share, u32::try_from(df).ok()?).powi(2);
    let a = b2 * b2 - t2 * q.var_b2;
    let b = (b1 - ratio) * b2 - t2 * q.cov_b1_b2;
    let c = ((b1 - ratio).powi(2) - t2 * q.var_b1) / 4.0;
    let d = b * b - 4.0 * a * c;
    if a <= 0.0 || d < 0.0 || b2 >= 0.0 {
        return None;
    }
    // the roots of a n^2 + b n + c, in the form that does not cancel for the lower one
    let root = d.sqrt();
    let (low, high) = ((-2.0 * c) / (b - root), (-b + root) / (2.0 * a));
    Some(Interval { low: low.min(high), high: low.max(high) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::response::fit::quadratic;

    #[test]
    fn a_noisy_trial_fixes_nothing() {
        let rates = [0.0, 50.0, 100.0, 150.0, 200.0];
        let q = quadratic(&rates, &[5.0, 5.6, 5.1, 5.9, 5.4]).unwrap();
        assert_eq!(of_optimum(&q, 0.002, 0.95), None);
        let q = quadratic(&rates, &[3.0, 4.52, 5.47, 6.03, 6.0]).unwrap();
        let i = of_optimum(&q, 0.005, 0.95).unwrap();
        let best = q.fit.curve.unbounded_optimum(0.005).unwrap();
        assert!(i.low < best && best < i.high, "{i:?} {best}");
        let wider = of_optimum(&q, 0.005, 0.99).unwrap();
        assert!(wider.low < i.low && wider.high > i.high);
    }
}
