//! The rate that pays best when the yield ceiling is not known at seeding.
//!
//! One curve is known at one ceiling; the weather gives a list of ceilings. How a curve follows its ceiling is a
//! choice, and what spread does to the best rate depends on it. All three have the same optimum when the ceiling is
//! certain.

use serde::{Deserialize, Serialize};
use stook_measure::{Range, Spread};

use super::curve::Curve;
use super::optimum::NoOptimum;

/// How a curve follows its ceiling.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Follow {
    /// A bushel needs the same nitrogen at any yield: the curve grows in both directions from the point where soil and
    /// fertilizer together are nothing. Spread lowers the best rate where nitrogen is dear enough to be short in
    /// every year, and may raise it where it is cheap.
    NeedPerYield,
    /// The crop needs the same nitrogen at any yield, as it uses it worse in a poor year: only the height changes.
    /// Spread about the same mean changes nothing.
    SameNeed,
    /// The full rate moves with the ceiling and the last pounds before it are worth the same at any yield. Spread never
    /// lowers the best rate.
    SameApproach,
}

/// A possible ceiling and its weight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ceiling {
    /// Highest yield that the water allows.
    pub yield_: f64,
    /// Weight, above zero; they need not sum to one.
    pub weight: f64,
}

impl Ceiling {
    /// Ceilings of equal weight.
    pub fn equal(yields: &[f64]) -> Vec<Self> {
        yields.iter().map(|y| Self { yield_: *y, weight: 1.0 }).collect()
    }
}

/// What the expected profit over the ceilings says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Expected {
    /// Rate of highest expected profit.
    pub rate: f64,
    /// Expected profit over nitrogen there, money an area.
    pub profit: f64,
    /// Expected yield there.
    pub yield_: f64,
    /// The first unit does not pay: the rate is zero.
    pub does_not_pay: bool,
}

/// Why there is no expected optimum.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ExpectedError {
    /// No ceilings.
    #[error("no yield ceiling was given, or one is not above zero; give at least one")]
    BadCeilings,
    /// The curve says no.
    #[error(transparent)]
    Curve(#[from] NoOptimum),
}

/// The curve at another ceiling. `soil` is what the soil gives, in units of fertilizer; the curve must flatten.
pub fn at_ceiling(base: &Curve, soil: f64, ceiling: f64, follow: Follow) -> Option<Curve> {
    let old = base.ceiling().filter(|c| *c > 0.0)?;
    let l = ceiling / old;
    if !(l.is_finite() && l > 0.0) {
        return None;
    }
    // `from` counts fertilizer; the whole supply at the full rate is `from + soil`
    let moved = |from: f64| l * (from + soil) - soil;
    Some(match (*base, follow) {
        (Curve::QuadraticPlateau { bend, from, .. }, Follow::NeedPerYield) => {
            Curve::QuadraticPlateau { plateau: ceiling, bend: bend / l, from: moved(from) }
        }
        (Curve::QuadraticPlateau { bend, from, .. }, Follow::SameNeed) => {
            Curve::QuadraticPlateau { plateau: ceiling, bend: bend * l, from }
        }
        (Curve::QuadraticPlateau { bend, from, .. }, Follow::SameApproach) => {
            Curve::QuadraticPlateau { plateau: ceiling, bend, from: moved(from) }
        }
        (Curve::LinearPlateau { slope, from, .. }, Follow::SameNeed) => {
            Curve::LinearPlateau { plateau: ceiling, slope: slope * l, from }
        }
        (Curve::LinearPlateau { slope, from, .. }, _) => {
            Curve::LinearPlateau { plateau: ceiling, slope, from: moved(from) }
        }
        (Curve::Mitscherlich { c, soil: b, .. }, Follow::NeedPerYield) => {
            // Y = l F((n + s) / l) with F over the whole supply: F starts where the base curve has n = -s
            Curve::Mitscherlich { ceiling, c: c / l, soil: soil + l * (b - soil) }
        }
        // without a full rate there is nothing to move: only the height changes
        (Curve::Mitscherlich { c, soil: b, .. }, Follow::SameNeed | Follow::SameApproach) => {
            Curve::Mitscherlich { ceiling, c, soil: b }
        }
        // a quadratic is a quadratic-plateau without its flat part
        (Curve::Quadratic { b1, b2, .. }, _) => {
            let top = Curve::QuadraticPlateau { plateau: old, bend: -2.0 * b2, from: -b1 / (2.0 * b2) };
            let Curve::QuadraticPlateau { plateau, bend, from } = at_ceiling(&top, soil, ceiling, follow)?
            else {
                return None;
            };
            let (b0, b1, b2) = Curve::as_quadratic(plateau, bend, from);
            Curve::Quadratic { b0, b1, b2 }
        }
    })
}

/// The curves of all ceilings with their weights made to sum to one.
///
/// # Errors
/// When there are none, one is not above zero, or the curve does not flatten.
pub fn curves(
    base: &Curve,
    soil: f64,
    ceilings: &[Ceiling],
    follow: Follow,
) -> Result<Vec<(f64, Curve)>, ExpectedError> {
    if !base.flattens() {
        return Err(NoOptimum::OpensUpward.into());
    }
    let total: f64 = ceilings.iter().map(|c| c.weight).sum();
    if !(total > 0.0 && total.is_finite()) || ceilings.iter().any(|c| c.weight < 0.0) {
        return Err(ExpectedError::BadCeilings);
    }
    ceilings
        .iter()
        .map(|c| Some((c.weight / total, at_ceiling(base, soil, c.yield_, follow)?)))
        .collect::<Option<_>>()
        .ok_or(ExpectedError::BadCeilings)
}

/// Expected profit over nitrogen at a rate, money an area.
pub fn expected_profit(curves: &[(f64, Curve)], n: f64, grain_price: f64, n_price: f64) -> f64 {
    grain_price * curves.iter().map(|(w, c)| w * c.at(n)).sum::<f64>() - n_price * n
}

/// Profit at a rate over the ceilings: what one year in ten falls short of, the middle, and what one in ten beats.
///
/// Percentiles count each ceiling once, so give ceilings of equal weight. `None` without any.
pub fn profit_band(curves: &[(f64, Curve)], n: f64, grain_price: f64, n_price: f64) -> Option<Range> {
    let all: Vec<f64> = curves.iter().map(|(_, c)| grain_price * c.at(n) - n_price * n).collect();
    Spread::of(&all).map(|s| s.range)
}

/// The rate of highest expected profit between zero and the highest rate tried.
///
/// The slope of the expected yield falls with the rate, so the place where it equals the price ratio is found by
/// halving, to the last digit. With one certain ceiling this is the textbook optimum.
///
/// # Errors
/// As [`super::optimum()`] for the expected curve; or when the ceilings are none.
pub fn expected_optimum(
    curves: &[(f64, Curve)],
    grain_price: f64,
    n_price: f64,
    tried_to: f64,
) -> Result<Expected, ExpectedError> {
    let ratio = n_price / grain_price;
    if !(ratio.is_finite() && ratio > 0.0) {
        return Err(NoOptimum::BadRatio.into());
    }
    if curves.is_empty() {
        return Err(ExpectedError::BadCeilings);
    }
    if curves.iter().any(|(_, c)| !c.flattens()) {
        return Err(NoOptimum::OpensUpward.into());
    }
    let slope = |n: f64| curves.iter().map(|(w, c)| w * c.slope(n)).sum::<f64>();
    let answer = |rate: f64, does_not_pay: bool| Expected {
        rate,
        profit: expected_profit(curves, rate, grain_price, n_price),
        yield_: curves.iter().map(|(w, c)| w * c.at(rate)).sum(),
        does_not_pay,
    };
    if slope(0.0) <= ratio {
        return Ok(answer(0.0, true));
    }
    if slope(tried_to) > ratio {
        let beyond = curves.iter().filter_map(|(_, c)| c.unbounded_optimum(ratio)).fold(tried_to, f64::max);
        return Err(NoOptimum::StillRising { tried_to, beyond }.into());
    }
    let (mut low, mut high) = (0.0, tried_to);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if slope(middle) > ratio { low = middle } else { high = middle }
    }
    Ok(answer(0.5 * (low + high), false))
}
