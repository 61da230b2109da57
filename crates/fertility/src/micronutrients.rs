//! Copper and zinc.

use serde::Serialize;
use stook_measure::Reference;

/// Coefficients `fertility.copper.*` and `fertility.zinc.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MicronutrientParams {
    /// DTPA copper below which it is deficient, ppm.
    pub copper_critical_ppm: f64,
    /// Copper sulphate on mineral soil, kg/ha, least and most.
    pub copper_mineral_kg_ha: (f64, f64),
    /// Copper sulphate on peat, kg/ha, least and most.
    pub copper_peat_kg_ha: (f64, f64),
    /// EDTA chelate on mineral soil, kg/ha, least and most.
    pub copper_chelate_kg_ha: (f64, f64),
    /// DTPA zinc below which to watch, ppm.
    pub zinc_critical_ppm: f64,
}

impl MicronutrientParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("fertility.{what}"));
        Self {
            copper_critical_ppm: get("copper.critical_ppm"),
            copper_mineral_kg_ha: (get("copper.mineral_low_kg_ha"), get("copper.mineral_high_kg_ha")),
            copper_peat_kg_ha: (get("copper.mineral_low_kg_ha"), get("copper.peat_high_kg_ha")),
            copper_chelate_kg_ha: (get("copper.chelate_low_kg_ha"), get("copper.chelate_high_kg_ha")),
            zinc_critical_ppm: get("zinc.critical_ppm"),
        }
    }
}

/// What copper asks for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum Copper {
    /// Enough.
    Enough,
    /// Copper sulphate or, on mineral soil, chelate; kg/ha of the product, least and most.
    Apply {
        /// Copper sulphate.
        sulphate_kg_ha: (f64, f64),
        /// Chelate, where a figure was read.
        chelate_kg_ha: Option<(f64, f64)>,
    },
}

/// Copper for wheat by the DTPA test. Source: Alberta, Wheat nutrition: micronutrients.
pub fn copper(test_ppm: f64, peat: bool, p: &MicronutrientParams) -> Copper {
    if test_ppm >= p.copper_critical_ppm {
        return Copper::Enough;
    }
    if peat {
        Copper::Apply { sulphate_kg_ha: p.copper_peat_kg_ha, chelate_kg_ha: None }
    } else {
        Copper::Apply { sulphate_kg_ha: p.copper_mineral_kg_ha, chelate_kg_ha: Some(p.copper_chelate_kg_ha) }
    }
}

/// Whether zinc is worth watching. Never a rate: one trial in 23 responded below this level in Saskatchewan.
pub fn watch_zinc(test_ppm: f64, p: &MicronutrientParams) -> bool {
    test_ppm < p.zinc_critical_ppm
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_low_test_asks_for_copper() {
        let p = crate::FertilityParams::shipped().micronutrients;
        assert_eq!(copper(0.5, false, &p), Copper::Enough);
        assert!(matches!(
            copper(0.4, true, &p),
            Copper::Apply { chelate_kg_ha: None, sulphate_kg_ha: (5.0, 15.0) }
        ));
        assert!(watch_zinc(0.4, &p) && !watch_zinc(0.5, &p));
    }
}
