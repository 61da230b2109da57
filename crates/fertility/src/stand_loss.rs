//! Stand lost to fertilizer beside the seed: a second opinion on the limits, in percent of plants.
//!
//! Source: Gelderman, South Dakota State Univ. seed-row worksheet; slopes from laboratory emergence. The slope of
//! 28-0-0 looks mild because most of its nitrogen in the laboratory was not urea: it is no licence.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::seed_row::SeedRowParams;
use crate::table;

const SLOPES: &str = include_str!("../../../reference/fertility-stand-loss.csv");

/// A slope: % of stand lost for a pound an acre of product, in a 1 in furrow on 30 in rows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Slope {
    /// Product.
    pub product: String,
    /// Crop.
    pub crop: String,
    /// Slope, % per lb/ac.
    pub slope_pct_per_lb_ac: f64,
    /// Nitrogen of the product, %.
    pub n_pct: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
}

impl Slope {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<Slope>> =
            LazyLock::new(|| table::shipped("fertility-stand-loss.csv", SLOPES));
        &ALL
    }

    /// One.
    pub fn of(product: &str, crop: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|s| s.product == product && s.crop == crop)
    }

    /// Product, lb/ac, for a tolerated loss, %: `30 S T / (C R MX)`.
    ///
    /// `opening_in` is the furrow's width, `moisture` the moisture and texture factor, 1 in moist fine or medium soil.
    pub fn safe_lb_ac(&self, opening_in: f64, spacing_in: f64, tolerated_pct: f64, moisture: f64) -> f64 {
        30.0 * opening_in * tolerated_pct / (self.slope_pct_per_lb_ac * spacing_in * moisture)
    }

    /// Loss to expect, %, of a rate of product in lb/ac, at most all.
    pub fn loss_pct(&self, rate_lb_ac: f64, opening_in: f64, spacing_in: f64, moisture: f64) -> f64 {
        (self.slope_pct_per_lb_ac * rate_lb_ac * spacing_in * moisture / (30.0 * opening_in)).min(100.0)
    }
}

/// What coarse soil leaves of a safe rate (South Dakota State Univ. Extension).
pub fn coarse_factor(moist: bool, p: &SeedRowParams) -> f64 {
    1.0 - if moist { p.coarse_moist_cut } else { p.coarse_dry_cut }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn rate_and_loss_are_inverse(s in 0.5..4.0f64, r in 6.0..30.0f64, t in 1.0..30.0f64, mx in 0.5..3.0f64) {
            for slope in Slope::shipped() {
                let rate = slope.safe_lb_ac(s, r, t, mx);
                prop_assert!((slope.loss_pct(rate, s, r, mx) - t).abs() < 1e-9);
                prop_assert!(slope.loss_pct(rate, s, r + 1.0, mx) >= t - 1e-9);
                prop_assert!((slope.safe_lb_ac(s, r, 0.5 * t, mx) - 0.5 * rate).abs() < 1e-9);
            }
        }
    }
}
