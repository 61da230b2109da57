//! Sulphur and chloride by test.

use serde::Serialize;
use stook_measure::Reference;
use stook_measure::units::lb_ac_to_kg_ha;

/// Coefficients `fertility.sulphur.*` and `fertility.chloride.*`, kg/ha.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SulphurChlorideParams {
    /// Sulphate-S in 0-60 cm up to which the soil is very low.
    pub very_low_to_kg_ha: f64,
    /// Sulphur on such a soil.
    pub very_low_rate_kg_ha: f64,
    /// Sulphur on any other, for small grains.
    pub small_grain_kg_ha: f64,
    /// Chloride wanted in 0-60 cm, soil and fertilizer together.
    pub chloride_target_kg_ha: f64,
}

impl SulphurChlorideParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| lb_ac_to_kg_ha(r.get(&format!("fertility.{what}")));
        Self {
            very_low_to_kg_ha: get("sulphur.very_low_to_lb_ac"),
            very_low_rate_kg_ha: get("sulphur.very_low_rate_lb_ac"),
            small_grain_kg_ha: get("sulphur.small_grain_lb_ac"),
            chloride_target_kg_ha: get("chloride.target_lb_ac"),
        }
    }
}

/// Sulphate-S to put on, kg/ha, for a sulphate-S test of 0-60 cm, kg/ha.
///
/// The two figures that could be read: 25 lb/ac on a very low soil (South Dakota) and at least 10 lb/ac on small grains
/// (North Dakota). The classes between were not readable. A field's mean hides hungry knolls.
pub fn sulphur_kg_ha(test_kg_ha: f64, p: &SulphurChlorideParams) -> f64 {
    // a grace, as a test of 9 lb/ac goes through kilograms
    if test_kg_ha <= p.very_low_to_kg_ha + 1e-9 { p.very_low_rate_kg_ha } else { p.small_grain_kg_ha }
}

/// Sulphate or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum SulphurForm {
    /// Works the same year wherever it is put.
    Sulphate,
    /// Must go on a year ahead and lie on the surface.
    Elemental,
}

/// Whether a form works for the crop of this season, `months` of warm soil ahead of it.
///
/// South Dakota gives elemental sulphur one to three months in warm soil; Manitoba a year. The longer one is asked for.
pub fn sulphur_works_in_time(form: SulphurForm, months: f64) -> bool {
    form == SulphurForm::Sulphate || months >= 12.0
}

/// Chloride to put on, kg/ha, for a chloride test of 0-60 cm, kg/ha. Wheat and barley only (South Dakota State Univ.).
pub fn chloride_kg_ha(test_kg_ha: f64, p: &SulphurChlorideParams) -> f64 {
    (p.chloride_target_kg_ha - test_kg_ha).max(0.0)
}

/// Potassium chloride, kg/ha, that holds this chloride: the printed factor 2.2 for a product of 45 % chloride.
pub fn kcl_for_chloride_kg_ha(chloride_kg_ha: f64) -> f64 {
    2.2 * chloride_kg_ha
}

/// The class of a chloride test, lb/ac in two feet (South Dakota State Univ.).
pub fn chloride_class(test_lb_ac: f64) -> &'static str {
    match test_lb_ac.round() {
        x if x <= 15.0 => "very low",
        x if x <= 30.0 => "low",
        x if x <= 45.0 => "medium",
        x if x <= 60.0 => "high",
        _ => "very high",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_richer_soil_never_wants_more() {
        let p = crate::FertilityParams::shipped().sulphur_chloride;
        for i in 0..100 {
            let x = f64::from(i);
            assert!(sulphur_kg_ha(x + 1.0, &p) <= sulphur_kg_ha(x, &p));
            assert!(chloride_kg_ha(x + 1.0, &p) <= chloride_kg_ha(x, &p));
            assert!(chloride_kg_ha(x, &p) >= 0.0);
        }
        assert_eq!(sulphur_kg_ha(lb_ac_to_kg_ha(9.0), &p), p.very_low_rate_kg_ha);
        assert!(!sulphur_works_in_time(SulphurForm::Elemental, 3.0));
        assert!(sulphur_works_in_time(SulphurForm::Sulphate, 0.0));
    }
}
