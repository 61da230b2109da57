//! The rate that pays best on one curve, and when no rate may be named.

use serde::Serialize;

use super::curve::Curve;

/// A rate that pays best, within the rates that were tried.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Found {
    /// The rate.
    pub rate: f64,
    /// Yield there.
    pub at_yield: f64,
    /// The first unit does not pay for itself: the rate is zero.
    pub does_not_pay: bool,
    /// Rate of highest yield, if the curve has one within the rates tried.
    pub full_rate: Option<f64>,
}

/// Why no rate is named.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoOptimum {
    /// The curve bends the wrong way.
    #[error(
        "no optimum found: the curve opens upward, so its turning point is a lowest yield and not a best rate"
    )]
    OpensUpward,
    /// The best lies beyond the trial.
    #[error(
        "no optimum found: profit was still rising at the highest rate tried ({tried_to:.1}); try higher rates"
    )]
    StillRising {
        /// Highest rate tried.
        tried_to: f64,
        /// Where the curve would put it; shown for information, not to be used.
        beyond: f64,
    },
    /// A ratio that is none.
    #[error("the price of nitrogen over the price of grain must be above zero; check both prices")]
    BadRatio,
}

/// The rate at which the next unit of nitrogen just pays, between zero and the highest rate tried.
///
/// # Errors
/// When the curve opens upward, or profit still rises at `tried_to`. A rate is never extrapolated.
///
/// ```
/// use stook_fertility::response::{Curve, optimum};
/// let c = Curve::QuadraticPlateau { plateau: 88.654, bend: 0.002_027_7, from: 243.5 };
/// assert!((optimum(&c, 0.11 / 1.15, 335.0).unwrap().rate - 196.4).abs() < 0.1);
/// ```
pub fn optimum(curve: &Curve, ratio: f64, tried_to: f64) -> Result<Found, NoOptimum> {
    if !(ratio.is_finite() && ratio > 0.0) {
        return Err(NoOptimum::BadRatio);
    }
    let Some(best) = curve.unbounded_optimum(ratio) else { return Err(NoOptimum::OpensUpward) };
    if best > tried_to {
        return Err(NoOptimum::StillRising { tried_to, beyond: best });
    }
    let rate = best.max(0.0);
    Ok(Found {
        rate,
        at_yield: curve.at(rate),
        does_not_pay: best <= 0.0,
        full_rate: curve.full_rate().filter(|n| (0.0..=tried_to).contains(n)),
    })
}

/// Profit over nitrogen at a rate: grain less nitrogen, in money an area.
pub fn profit(curve: &Curve, n: f64, grain_price: f64, n_price: f64) -> f64 {
    grain_price * curve.at(n) - n_price * n
}

/// What being off by `by` costs, in money an area, below and above `rate`. Below stops at zero nitrogen.
///
/// With `rate` the optimum both are zero or more.
pub fn cost_of_being_off(profit_at: impl Fn(f64) -> f64, rate: f64, by: f64) -> (f64, f64) {
    let best = profit_at(rate);
    (best - profit_at((rate - by).max(0.0)), best - profit_at(rate + by))
}

/// The flat top: the lowest and highest rate in `0..=tried_to` whose profit is within `within` of that at `rate`.
/// `profit_at` must rise to `rate` and fall from it, as it does on a curve that flattens.
pub fn flat_top(profit_at: impl Fn(f64) -> f64, rate: f64, within: f64, tried_to: f64) -> (f64, f64) {
    let floor = profit_at(rate) - within;
    let edge = |mut good: f64, mut bad: f64| {
        if profit_at(bad) >= floor {
            return bad;
        }
        for _ in 0..100 {
            let middle = 0.5 * (good + bad);
            if profit_at(middle) >= floor { good = middle } else { bad = middle }
        }
        good
    };
    (edge(rate, 0.0), edge(rate, tried_to.max(rate)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refuses_what_the_trials_do_not_hold() {
        let upward = Curve::Quadratic { b0: 96.655, b1: 0.037_025, b2: 1.30e-4 };
        assert_eq!(optimum(&upward, 0.063_474, 124.6), Err(NoOptimum::OpensUpward));
        let oats = Curve::Quadratic { b0: 79.288_89, b1: 112.416_67, b2: -64.583_33 };
        let e = optimum(&oats, 1.0, 0.6).unwrap_err();
        assert!(matches!(e, NoOptimum::StillRising { beyond, .. } if beyond > 0.6), "{e}");
        assert_eq!(optimum(&oats, 0.0, 0.6), Err(NoOptimum::BadRatio));
        // no response: bend below zero
        let none = Curve::QuadraticPlateau { plateau: 58.0, bend: -1e-4, from: 300.0 };
        assert_eq!(optimum(&none, 0.1, 335.0), Err(NoOptimum::OpensUpward));
        let flat = Curve::LinearPlateau { plateau: 6.0, slope: 0.004, from: 120.0 };
        let zero = optimum(&flat, 0.005, 200.0).unwrap();
        assert!(zero.does_not_pay && zero.rate == 0.0);
        let whole_1999 = Curve::Quadratic { b0: 59.2533, b1: 0.113_007, b2: -3.204_14e-4 };
        assert_eq!(optimum(&whole_1999, 0.063_474, 131.5).unwrap().full_rate, None);
    }

    proptest! {
        #[test]
        fn dearer_nitrogen_never_raises_the_rate(ratio in 1e-3..0.02f64, more in 0.0..0.01f64) {
            for c in [
                Curve::Quadratic { b0: 2.0, b1: 0.04, b2: -1e-4 },
                Curve::QuadraticPlateau { plateau: 6.0, bend: 4e-4, from: 150.0 },
                Curve::LinearPlateau { plateau: 6.0, slope: 0.012, from: 120.0 },
                Curve::Mitscherlich { ceiling: 6.0, c: 0.02, soil: 40.0 },
            ] {
                let (a, b) = (optimum(&c, ratio, 900.0).unwrap(), optimum(&c, ratio + more, 900.0).unwrap());
                prop_assert!(b.rate <= a.rate);
                let at = |n| profit(&c, n, 1.0, ratio);
                let (low, high) = cost_of_being_off(at, a.rate, 20.0);
                prop_assert!(low >= -1e-12 && high >= -1e-12);
                let (from, to) = flat_top(at, a.rate, 0.01, 900.0);
                prop_assert!(from <= a.rate && a.rate <= to);
                prop_assert!(at(from) >= at(a.rate) - 0.01 - 1e-9 && at(to) >= at(a.rate) - 0.01 - 1e-9);
            }
        }
    }
}
