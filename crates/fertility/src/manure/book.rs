//! What barns make, by a survey, for a farm without its own meter and analysis. Always second to the farm's own.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::Analysis;
use crate::table;

const ROWS: &str = include_str!("../../../../reference/fertility-manure-book.csv");

/// One kind of barn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Barn {
    /// Key.
    pub barn: String,
    /// In words.
    pub name: String,
    /// Mean weight of an animal, kg.
    pub mean_weight_kg: Option<f64>,
    /// Slurry, L a head and day.
    pub l_per_head_day: f64,
    /// Nitrogen, kg/m3.
    pub n_kg_m3: f64,
    /// Phosphorus, kg/m3.
    pub p_kg_m3: f64,
    /// Potassium, kg/m3.
    pub k_kg_m3: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

impl Barn {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<Barn>> = LazyLock::new(|| table::shipped("fertility-manure-book.csv", ROWS));
        &ALL
    }

    /// One by its key.
    pub fn of(key: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|b| b.barn == key)
    }

    /// Slurry, m3, of `head` animals (sows, for a barn counted by the sow) over `days`.
    pub fn volume_m3(&self, head: f64, days: f64) -> f64 {
        self.l_per_head_day * head * days / 1000.0
    }

    /// The analysis, with the ammonium taken as `ammonium_share` of the nitrogen: the survey has none, so say so.
    pub fn analysis(&self, ammonium_share: f64) -> Analysis {
        Analysis {
            total_n: self.n_kg_m3,
            ammonium_n: self.n_kg_m3 * ammonium_share,
            nitrate_n: 0.0,
            p: self.p_kg_m3,
            k: self.k_kg_m3,
            s: 0.0,
        }
    }
}

/// Days until a store is full, from what is in it, what it holds and what flows in, all m3.
/// Zero when it is full; `None` when nothing flows in.
pub fn days_to_full(content_m3: f64, capacity_m3: f64, inflow_m3_day: f64) -> Option<f64> {
    (inflow_m3_day > 0.0).then(|| ((capacity_m3 - content_m3) / inflow_m3_day).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn storage_days() {
        assert_eq!(days_to_full(600.0, 1000.0, 10.0), Some(40.0));
        assert_eq!(days_to_full(1100.0, 1000.0, 10.0), Some(0.0));
        assert_eq!(days_to_full(1.0, 1000.0, 0.0), None);
        for b in Barn::shipped() {
            assert!(b.analysis(0.67).check().is_ok() && b.n_kg_m3 > b.p_kg_m3);
        }
    }
}
