//! Test weight in its three units, which are not the same quantity.
//!
//! Canada weighs half a litre and regresses to kg/hL, allowing for packing; its Avery bushel comes from kg/hL, its
//! Winchester bushel from the half litre without packing. The United States measures lb/bu and converts by another
//! line. Never turn one lb/bu into the other by the ratio of the bushels.

use stook_measure::Reference;

/// Grains with a Canadian regression.
pub const TEST_WEIGHT_KEYS: [&str; 11] = [
    "wheat",
    "durum",
    "barley",
    "hulless_barley",
    "oats",
    "rye",
    "flax",
    "corn",
    "soybean",
    "canola",
    "buckwheat",
];

/// A Canadian test weight.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct TestWeight {
    /// kg/hL, not rounded. For grading round to a whole number.
    pub kg_hl: f64,
    /// Pounds in an imperial bushel by the Canadian rule.
    pub lb_bu_avery: f64,
    /// Pounds in a Winchester bushel, no packing.
    pub lb_bu_winchester: f64,
}

/// From grams in half a litre, dockage removed; `None` for a grain without a regression.
pub fn from_half_litre(r: &Reference, grain: &str, g: f64) -> Option<TestWeight> {
    let get = |what: &str| r.coefficient(&format!("grain.test_weight.{grain}.{what}")).map(|c| c.value);
    let kg_hl = get("a")? + get("b")? * g;
    Some(TestWeight { kg_hl, lb_bu_avery: kg_hl / 1.247, lb_bu_winchester: 0.1552 * g })
}

/// Grams in half a litre that give a kg/hL; the inverse.
pub fn half_litre_for(r: &Reference, grain: &str, kg_hl: f64) -> Option<f64> {
    let get = |what: &str| r.coefficient(&format!("grain.test_weight.{grain}.{what}")).map(|c| c.value);
    Some((kg_hl - get("a")?) / get("b")?)
}

/// kg/hL from pounds a bushel as measured in the United States (FGIS-PN-97-5).
pub fn kg_hl_from_us(lb_bu: f64, durum: bool) -> f64 {
    1.292 * lb_bu + if durum { 0.630 } else { 1.419 }
}

/// Pounds a bushel as measured in the United States from kg/hL.
pub fn us_from_kg_hl(kg_hl: f64, durum: bool) -> f64 {
    (kg_hl - if durum { 0.630 } else { 1.419 }) / 1.292
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_grain_goes_there_and_back() {
        let r = Reference::shipped();
        for g in TEST_WEIGHT_KEYS {
            let t = from_half_litre(&r, g, 350.0).unwrap();
            assert!((half_litre_for(&r, g, t.kg_hl).unwrap() - 350.0).abs() < 1e-9, "{g}");
        }
        assert!((us_from_kg_hl(kg_hl_from_us(60.0, true), true) - 60.0).abs() < 1e-12);
    }
}
