//! Harvest seen from the ground: what the combine leaves behind.

use serde::{Deserialize, Serialize};

use super::FieldId;
use crate::choice::choices;

choices! {
    /// How loss was measured.
    LossMeasure {
        Kernels = "kernels", "kernels counted";
        Grams = "grams", "grams weighed";
    }
}

/// Grain found on the ground or in a drop pan, on one area throughout. Chopper and spreader off for what lies behind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PanTest {
    /// Field.
    pub field: FieldId,
    /// Kernels or grams.
    pub measure: LossMeasure,
    /// Area counted or area of the pan, m2.
    pub area_m2: f64,
    /// Under the discharge, behind the machine.
    pub behind: f64,
    /// On cut ground that the discharge has not reached.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_ground: Option<f64>,
    /// In the standing crop ahead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standing: Option<f64>,
    /// Of what lies behind: in the long straw, from the rotor or walkers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_separator: Option<f64>,
    /// Of what lies behind: in the chaff, from the shoe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_shoe: Option<f64>,
    /// Width the straw and chaff fell on, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub discharge_m: Option<f64>,
    /// Ground speed, km/h.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed_kmh: Option<f64>,
    /// Yield there, kg/ha.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub yield_kg_ha: Option<f64>,
    /// Weight of a thousand kernels, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tkw_g: Option<f64>,
    /// What else was seen, by the key of the adjustment table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen: Option<String>,
}

/// Straw baled and taken off a field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StrawBaled {
    /// Field.
    pub field: FieldId,
    /// Bales.
    pub bales: f64,
    /// What one weighs, kg.
    pub bale_kg: f64,
}
