//! Least squares on trial data.
//!
//! The plateau shapes are fitted by a search over the one number that enters crookedly, with linear least squares
//! inside: no starting values, and the best over the whole range of rates.

use serde::Serialize;

use super::curve::Curve;

/// A fitted curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fit {
    /// The curve.
    pub curve: Curve,
    /// Residual sum of squares.
    pub rss: f64,
    /// Share of the variation about the mean that the curve explains.
    pub r2: f64,
    /// Residual standard deviation on `count - 3` degrees of freedom; infinite when there are none.
    pub s: f64,
    /// Number of plots.
    pub count: usize,
    /// Highest rate tried: no rate above it may be named.
    pub tried_to: f64,
}

/// A quadratic with what is needed for the interval of its optimum.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct QuadraticFit {
    /// The fit.
    pub fit: Fit,
    /// Variance of the first slope.
    pub var_b1: f64,
    /// Variance of the bend.
    pub var_b2: f64,
    /// Covariance of the two.
    pub cov_b1_b2: f64,
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Lists of different length, or not numbers.
    #[error(
        "{rates} rates and {yields} yields were given; give one yield for every rate, all of them numbers"
    )]
    Unpaired {
        /// Rates.
        rates: usize,
        /// Yields.
        yields: usize,
    },
    /// Too few rates.
    #[error("only {found} different rates were tried and {needed} are needed for this shape")]
    TooFewRates {
        /// Found.
        found: usize,
        /// Needed.
        needed: usize,
    },
    /// The plateau lies at the edge of the data.
    #[error("no plateau found: yield was still rising at the highest rate tried ({0:.1}); try higher rates")]
    NoPlateau(f64),
    /// The yield does not rise.
    #[error("no response found: yield does not rise with the rate and flatten")]
    NoResponse,
}

/// Different rates among `rates`.
fn distinct(rates: &[f64]) -> Vec<f64> {
    let mut sorted = rates.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup();
    sorted
}

fn checked(rates: &[f64], yields: &[f64], needed: usize) -> Result<Vec<f64>, FitError> {
    let good = rates.iter().chain(yields).all(|x| x.is_finite());
    if rates.len() != yields.len() || !good {
        return Err(FitError::Unpaired { rates: rates.len(), yields: yields.len() });
    }
    let found = distinct(rates);
    if found.len() < needed {
        return Err(FitError::TooFewRates { found: found.len(), needed });
    }
    Ok(found)
}

fn finish(curve: Curve, rates: &[f64], yields: &[f64]) -> Fit {
    let n = yields.len() as f64;
    let mean = yields.iter().sum::<f64>() / n;
    let total: f64 = yields.iter().map(|y| (y - mean).powi(2)).sum();
    let rss: f64 = rates.iter().zip(yields).map(|(x, y)| (y - curve.at(*x)).powi(2)).sum();
    let df = n - 3.0;
    Fit {
        curve,
        rss,
        r2: if total > 0.0 { 1.0 - rss / total } else { 0.0 },
        s: if df > 0.0 { (rss / df).sqrt() } else { f64::INFINITY },
        count: yields.len(),
        tried_to: rates.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

/// Intercept, slope and residual sum of squares of a straight line of `yields` on `z`.
fn line(z: impl Iterator<Item = f64> + Clone, yields: &[f64]) -> (f64, f64, f64) {
    let n = yields.len() as f64;
    let (zm, ym) = (z.clone().sum::<f64>() / n, yields.iter().sum::<f64>() / n);
    let (mut zz, mut zy, mut yy) = (0.0, 0.0, 0.0);
    for (z, y) in z.zip(yields) {
        zz += (z - zm) * (z - zm);
        zy += (z - zm) * (y - ym);
        yy += (y - ym) * (y - ym);
    }
    let slope = if zz > 0.0 { zy / zz } else { 0.0 };
    (ym - slope * zm, slope, yy - slope * zy)
}

/// The lowest point of `f` between `low` and `high`: a grid to find the valley, then golden section in it.
fn lowest(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    const STEPS: usize = 2000;
    let at = |i: usize| low + (high - low) * i as f64 / STEPS as f64;
    let best = (0..=STEPS).min_by(|a, b| f(at(*a)).total_cmp(&f(at(*b)))).unwrap_or(0);
    let (mut a, mut b) = (at(best.saturating_sub(1)), at((best + 1).min(STEPS)));
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    for _ in 0..100 {
        let (c, d) = (b - golden * (b - a), a + golden * (b - a));
        if f(c) <= f(d) { b = d } else { a = c }
    }
    0.5 * (a + b)
}

/// Least-squares quadratic. The rates are centred and scaled first, so that the sums stay sound.
///
/// # Errors
/// When fewer than three different rates were tried.
pub fn quadratic(rates: &[f64], yields: &[f64]) -> Result<QuadraticFit, FitError> {
    let found = checked(rates, yields, 3)?;
    let (low, high) = (found[0], found[found.len() - 1]);
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    // orthogonal polynomials 1, u - m, u^2 - q (u - m) - r over the data
    let n = rates.len() as f64;
    let u: Vec<f64> = rates.iter().map(|x| (x - middle) / half).collect();
    let m = u.iter().sum::<f64>() / n;
    let p1: Vec<f64> = u.iter().map(|u| u - m).collect();
    let p1p1: f64 = p1.iter().map(|p| p * p).sum();
    let q = p1.iter().zip(&u).map(|(p, u)| p * u * u).sum::<f64>() / p1p1;
    let r = u.iter().map(|u| u * u).sum::<f64>() / n;
    let p2: Vec<f64> = u.iter().zip(&p1).map(|(u, p)| u * u - q * p - r).collect();
    let p2p2: f64 = p2.iter().map(|p| p * p).sum();
    let ym = yields.iter().sum::<f64>() / n;
    let c1 = p1.iter().zip(yields).map(|(p, y)| p * (y - ym)).sum::<f64>() / p1p1;
    let c2 = p2.iter().zip(yields).map(|(p, y)| p * (y - ym)).sum::<f64>() / p2p2;
    // y = ym + c1 (u - m) + c2 (u^2 - q (u - m) - r), as a polynomial of u and then of x
    let (a0, a1, a2) = (ym - c1 * m + c2 * (q * m - r), c1 - c2 * q, c2);
    let b2 = a2 / (half * half);
    let b1 = a1 / half - 2.0 * b2 * middle;
    let b0 = a0 - a1 * middle / half + b2 * middle * middle;
    let fit = finish(Curve::Quadratic { b0, b1, b2 }, rates, yields);
    let s2 = fit.s * fit.s;
    // b1 = c1 / half - c2 (q / half + 2 middle / half^2), b2 = c2 / half^2, and c1 and c2 are independent
    let (v1, v2) = (s2 / p1p1, s2 / p2p2);
    let w = q / half + 2.0 * middle / (half * half);
    Ok(QuadraticFit {
        fit,
        var_b1: v1 / (half * half) + v2 * w * w,
        var_b2: v2 / half.powi(4),
        cov_b1_b2: -v2 * w / (half * half),
    })
}

/// Least-squares quadratic-plateau.
///
/// # Errors
/// Fewer than four different rates, a plateau at the edge of the data, or no rise.
pub fn quadratic_plateau(rates: &[f64], yields: &[f64]) -> Result<Fit, FitError> {
    let found = checked(rates, yields, 4)?;
    let (low, high) = (found[1], found[found.len() - 1]);
    let z = |from: f64| rates.iter().map(move |x| (from - x).max(0.0).powi(2));
    let from = lowest(low, high, |from| line(z(from), yields).2);
    let (plateau, slope, _) = line(z(from), yields);
    let bend = -2.0 * slope;
    // a bend that is only rounding is no response either
    if bend * from * from <= 1e-9 * plateau.abs() {
        return Err(FitError::NoResponse);
    }
    if from >= high - 1e-6 * (high - low) {
        return Err(FitError::NoPlateau(high));
    }
    Ok(finish(Curve::QuadraticPlateau { plateau, bend, from }, rates, yields))
}

/// Least-squares linear-plateau.
///
/// # Errors
/// As [`quadratic_plateau`], with three different rates.
pub fn linear_plateau(rates: &[f64], yields: &[f64]) -> Result<Fit, FitError> {
    let found = checked(rates, yields, 3)?;
    let (low, high) = (found[0] + 1e-3 * (found[1] - found[0]), found[found.len() - 1]);
    let z = |from: f64| rates.iter().map(move |x| (from - x).max(0.0));
    let from = lowest(low, high, |from| line(z(from), yields).2);
    let (plateau, slope, _) = line(z(from), yields);
    if -slope * from <= 1e-9 * plateau.abs() {
        return Err(FitError::NoResponse);
    }
    if from >= high - 1e-6 * (high - low) {
        return Err(FitError::NoPlateau(high));
    }
    Ok(finish(Curve::LinearPlateau { plateau, slope: -slope, from }, rates, yields))
}

/// Least-squares Mitscherlich, the curvature searched over the time constants that rates like these can show.
///
/// # Errors
/// Fewer than four different rates, or no rise that flattens.
pub fn mitscherlich(rates: &[f64], yields: &[f64]) -> Result<Fit, FitError> {
    let found = checked(rates, yields, 4)?;
    let span = found[found.len() - 1] - found[0];
    let z = |ln_c: f64| {
        let c = ln_c.exp();
        rates.iter().map(move |x| (-c * x).exp())
    };
    let (low, high) = ((0.02 / span).ln(), (200.0 / span).ln());
    let ln_c = lowest(low, high, |ln_c| line(z(ln_c), yields).2);
    let (ceiling, slope, _) = line(z(ln_c), yields);
    if slope >= 0.0 || ceiling <= 0.0 || ln_c <= low + 1e-6 || ln_c >= high - 1e-6 {
        return Err(FitError::NoResponse);
    }
    let c = ln_c.exp();
    let soil = (-ceiling / slope).ln() / c;
    Ok(finish(Curve::Mitscherlich { ceiling, c, soil }, rates, yields))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const RATES: [f64; 6] = [0.0, 67.0, 134.0, 201.0, 268.0, 335.0];

    #[test]
    fn says_why_there_is_no_fit() {
        assert_eq!(quadratic(&[0.0, 1.0], &[1.0]), Err(FitError::Unpaired { rates: 2, yields: 1 }));
        assert_eq!(
            quadratic_plateau(&[0.0, 1.0, 2.0], &[1.0, 2.0, 2.0]),
            Err(FitError::TooFewRates { found: 3, needed: 4 })
        );
        assert_eq!(
            quadratic_plateau(&RATES, &[10.0, 20.0, 30.0, 40.0, 50.0, 60.0]),
            Err(FitError::NoPlateau(335.0))
        );
        // Knoxville 1966, open trial data: yield falls with nitrogen.
        let falling = [63.0, 61.3, 63.4, 59.4, 57.8, 58.3];
        assert_eq!(quadratic_plateau(&RATES, &falling), Err(FitError::NoResponse));
        assert_eq!(mitscherlich(&RATES, &falling), Err(FitError::NoResponse));
        assert_eq!(quadratic_plateau(&RATES, &[60.0; 6]), Err(FitError::NoResponse));
    }

    proptest! {
        #[test]
        fn a_curve_without_noise_is_found_again(plateau in 3.0..9.0f64, share in 0.2..0.6f64, from in 90.0..320.0f64) {
            let bend = 2.0 * plateau * share / (from * from);
            let truth = Curve::QuadraticPlateau { plateau, bend, from };
            let yields = RATES.map(|x| truth.at(x));
            let fit = quadratic_plateau(&RATES, &yields).unwrap();
            let Curve::QuadraticPlateau { plateau: p, bend: k, from: m } = fit.curve else { unreachable!() };
            prop_assert!((p - plateau).abs() < 1e-4 && (m - from).abs() < 0.1 && (k / bend - 1.0).abs() < 2e-3);
            let q = Curve::Quadratic { b0: plateau, b1: share / 9.0, b2: -bend };
            let again = quadratic(&RATES, &RATES.map(|x| q.at(x))).unwrap().fit;
            prop_assert!(again.rss < 1e-18 * (1.0 + q.at(335.0).powi(2)));
        }

        #[test]
        fn no_neighbour_fits_better(noise in proptest::collection::vec(-0.3..0.3f64, 6)) {
            let truth = Curve::QuadraticPlateau { plateau: 6.0, bend: 2e-4, from: 180.0 };
            let yields: Vec<f64> = RATES.iter().zip(&noise).map(|(x, e)| truth.at(*x) + e).collect();
            let q = quadratic(&RATES, &yields).unwrap().fit;
            let Curve::Quadratic { b0, b1, b2 } = q.curve else { unreachable!() };
            for (d0, d1, d2) in [(1e-3, 0.0, 0.0), (0.0, 1e-5, 0.0), (0.0, 0.0, 1e-8)] {
                for sign in [-1.0, 1.0] {
                    let near = Curve::Quadratic { b0: b0 + sign * d0, b1: b1 + sign * d1, b2: b2 + sign * d2 };
                    prop_assert!(finish(near, &RATES, &yields).rss >= q.rss);
                }
            }
        }
    }
}
