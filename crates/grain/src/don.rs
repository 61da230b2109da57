//! Deoxynivalenol (DON) in a diet, and how much of a tainted lot a limit leaves room for.
//!
//! Limits are dated data. One part per million for pigs is a ceiling with cost below it, not a safe step. Sampling
//! error dominates: carry it with every figure, and never credit screenings to the pigs untested.

use serde::Deserialize;

const LIMITS: &str = include_str!("../../../reference/grain-don-limits.csv");

/// A limit as printed.
#[derive(Debug, Clone, PartialEq, Deserialize, serde::Serialize)]
pub struct DonLimit {
    /// Country.
    pub place: String,
    /// For whom.
    #[serde(rename = "for")]
    pub for_whom: String,
    /// Limit, mg/kg.
    pub limit_ppm: f64,
    /// Most of the diet such grain may be, percent.
    pub max_share_pct: Option<f64>,
    /// Of what: diet, grain, product.
    pub of: String,
    /// In force from.
    pub from: String,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// Caveat.
    pub note: String,
}

impl DonLimit {
    /// The shipped limits.
    ///
    /// # Panics
    /// When the shipped file is malformed; a test reads it.
    pub fn shipped() -> Vec<Self> {
        csv::Reader::from_reader(LIMITS.as_bytes())
            .deserialize()
            .collect::<Result<_, _>>()
            .expect("the shipped DON limits are well formed")
    }
}

/// DON of a diet, mg/kg, from (share, mg/kg) of its parts; shares in any one unit.
pub fn in_diet(parts: &[(f64, f64)]) -> f64 {
    let total: f64 = parts.iter().map(|p| p.0).sum();
    if total > 0.0 { parts.iter().map(|p| p.0 * p.1).sum::<f64>() / total } else { 0.0 }
}

/// Most of an ingredient, percent of the diet, that keeps the diet within a limit: 100 when the ingredient is already
/// within it, 0 when the rest alone is over it.
pub fn max_inclusion_pct(ingredient_ppm: f64, rest_ppm: f64, limit_ppm: f64) -> f64 {
    if ingredient_ppm <= limit_ppm {
        return 100.0;
    }
    (100.0 * (limit_ppm - rest_ppm) / (ingredient_ppm - rest_ppm)).clamp(0.0, 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn limits_read() {
        let all = DonLimit::shipped();
        assert!(all.iter().any(|l| l.place == "Canada" && l.for_whom == "pigs" && l.limit_ppm == 1.0));
    }

    proptest! {
        #[test]
        fn the_most_that_fits_is_at_the_limit(i in 1.1..8.0f64, rest in 0.0..0.9f64) {
            let share = max_inclusion_pct(i, rest, 1.0);
            prop_assert!((in_diet(&[(share, i), (100.0 - share, rest)]) - 1.0).abs() < 1e-9);
        }
    }
}
