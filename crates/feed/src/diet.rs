//! What a diet holds, and how it stands against a need.

use crate::need::Need;
use crate::nutrient::{Composition, Nutrient};

/// A limit of a need and how a diet stands to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// What is held.
    pub what: String,
    /// The diet's.
    pub has: f64,
    /// Least.
    pub least: Option<f64>,
    /// Most.
    pub most: Option<f64>,
    /// Unit.
    pub unit: &'static str,
}

impl Standing {
    /// How far short of the least, or over the most, as a share of it; none or less when met.
    pub fn miss(&self) -> f64 {
        let short = self.least.map_or(f64::NEG_INFINITY, |l| (l - self.has) / l.abs().max(1e-9));
        let over = self.most.map_or(f64::NEG_INFINITY, |m| (self.has - m) / m.abs().max(1e-9));
        short.max(over)
    }
}

/// Every limit of `need` against what a diet holds; `don_ppm` where the parts' DON is known.
pub fn stand(need: &Need, c: &Composition, don_ppm: f64) -> Vec<Standing> {
    let lys = c.of(Nutrient::Lys);
    let one = |what: &str, has: f64, least: Option<f64>, most: Option<f64>, unit| Standing {
        what: what.into(),
        has,
        least,
        most,
        unit,
    };
    let mut all = vec![
        one("net energy", c.of(Nutrient::Ne), Some(need.ne_kcal_kg), None, "kcal/kg"),
        one(
            "lysine for energy",
            1e4 * lys / c.of(Nutrient::Ne).max(1.0),
            Some(need.lys_g_mcal),
            None,
            "g/Mcal",
        ),
    ];
    for (n, least) in Nutrient::RATIOED.iter().zip(need.ratios) {
        all.push(one(&format!("{} to lysine", n.words()), c.of(*n) / lys.max(1e-9), Some(least), None, "1"));
    }
    all.extend([
        one(
            "digestible phosphorus",
            c.of(Nutrient::SttdP) + need.phytase_p_pct,
            Some(need.sttd_p_pct),
            None,
            "%",
        ),
        one("calcium", c.of(Nutrient::Ca), Some(need.ca_min_pct), Some(need.ca_max_pct), "%"),
        one("sodium", c.of(Nutrient::Na), Some(need.na_min_pct), None, "%"),
    ]);
    if let Some(most) = need.ca_per_p_max {
        all.push(one(
            "calcium to phosphorus",
            c.of(Nutrient::Ca) / c.of(Nutrient::P).max(1e-9),
            None,
            Some(most),
            "1",
        ));
    }
    if let Some(most) = need.don_max_ppm {
        all.push(one("DON", don_ppm, None, Some(most), "ppm"));
    }
    all
}
