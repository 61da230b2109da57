//! Reckoning by hand: the square, phytase, and the worth of grain by two nutrients.

/// Why a square cannot be drawn.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SquareError {
    /// Both alike.
    #[error("both feeds hold the same, so no mix of them holds anything else")]
    Alike,
    /// Outside.
    #[error("the target must lie between the two feeds; neither mix reaches {target}")]
    Outside {
        /// Target after what is fixed.
        target: f64,
    },
}

/// Shares of two feeds holding `a` and `b` that give `target`, with a fixed share `fixed` of the diet holding `fixed_holds`.
/// All in the same unit. The two shares and the fixed one sum to 1.
///
/// # Errors
/// When the target does not lie between them.
pub fn square(target: f64, a: f64, b: f64, fixed: f64, fixed_holds: f64) -> Result<(f64, f64), SquareError> {
    let rest = 1.0 - fixed;
    let t = (target - fixed * fixed_holds) / rest;
    if (a - b).abs() < 1e-12 {
        return Err(SquareError::Alike);
    }
    let share = (t - b) / (a - b);
    if !(-1e-12..=1.0 + 1e-12).contains(&share) {
        return Err(SquareError::Outside { target: t });
    }
    Ok((share * rest, (1.0 - share) * rest))
}

/// Phosphorus digested, % of all, at a dose of phytase, units/kg: `a - b exp(-k dose)` (fit to PMC6541801 Table 3; one product).
pub fn phytase_digested_pct(dose: f64) -> f64 {
    71.00 - 32.70 * (-0.002_521_6 * dose).exp()
}

/// Price of net energy, money/Mcal, and of digestible lysine, money/kg, from the prices of corn and soybean meal, money/t.
/// For cereals only: it overvalues peas at a high lysine price because other amino acids bind first.
pub fn two_nutrients(corn_t: f64, meal_t: f64) -> (f64, f64) {
    let (a, b, c, d) = (2672.0, 1.85, 2087.0, 26.344);
    let det = a * d - b * c;
    ((corn_t * d - b * meal_t) / det, (a * meal_t - c * corn_t) / det)
}

/// Worth of a tonne of grain by those prices.
pub fn worth_t(corn_t: f64, meal_t: f64, ne_kcal_kg: f64, lys_sid_pct: f64) -> f64 {
    let (e, l) = two_nutrients(corn_t, meal_t);
    ne_kcal_kg * e + lys_sid_pct * 10.0 * l
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn says_when_there_is_no_square() {
        assert_eq!(square(10.0, 8.0, 8.0, 0.0, 0.0), Err(SquareError::Alike));
        assert!(square(50.0, 8.0, 44.0, 0.0, 0.0).unwrap_err().to_string().contains("between"));
    }

    proptest! {
        #[test]
        fn the_square_closes(a in 5.0..20.0_f64, b in 30.0..60.0_f64, s in 0.0..1.0_f64, fixed in 0.0..0.5_f64, holds in 0.0..30.0_f64) {
            let target = (1.0 - fixed) * (s * a + (1.0 - s) * b) + fixed * holds;
            let (x, y) = square(target, a, b, fixed, holds).unwrap();
            prop_assert!((x + y + fixed - 1.0).abs() < 1e-9);
            prop_assert!((x * a + y * b + fixed * holds - target).abs() < 1e-9);
        }
    }
}
