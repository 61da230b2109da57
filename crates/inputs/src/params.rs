//! Coefficients `inputs.*`, in SI.

use serde::Serialize;
use stook_measure::Reference;
use stook_measure::units::lb_ac_to_kg_ha;

/// The shape of the answer to nitrogen, and what stands in for what is not known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct InputsParams {
    /// Nitrogen in soil and fertilizer a mass of grain at the full yield, kg/kg.
    pub full_need_kg_per_kg: f64,
    /// Share of the full yield made without any.
    pub share_without: f64,
    /// Protein with just enough, %.
    pub protein_at_full_pct: f64,
    /// Protein for each further kg/ha, %.
    pub protein_per_kg_ha: f64,
    /// How far off the rate is priced, kg/ha.
    pub off_by_kg_ha: f64,
    /// Highest rate looked at, kg/ha.
    pub tried_to_kg_ha: f64,
    /// Nitrate taken without a test, kg/ha.
    pub nitrate_without_test_kg_ha: f64,
    /// Lowest ceiling, kg/ha.
    pub floor_kg_ha: f64,
}

impl InputsParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("inputs.{what}"));
        Self {
            full_need_kg_per_kg: get("response.full_need_lb_per_bu") / 60.0,
            share_without: get("response.share_without"),
            protein_at_full_pct: get("response.protein_at_full_pct"),
            protein_per_kg_ha: get("response.protein_per_lb_ac") / lb_ac_to_kg_ha(1.0),
            off_by_kg_ha: lb_ac_to_kg_ha(get("response.off_by_lb_ac")),
            tried_to_kg_ha: lb_ac_to_kg_ha(get("response.tried_to_lb_ac")),
            nitrate_without_test_kg_ha: lb_ac_to_kg_ha(get("nitrate_without_test_lb_ac")),
            floor_kg_ha: get("response.floor_kg_ha"),
        }
    }
}
