//! Work done: seeding, harrowing, cutting, and the go or no at the gate.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use super::{Crop, FieldId, SeedLotId};
use crate::choice::choices;

/// A lot of seed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeedLot {
    /// Its key.
    pub id: SeedLotId,
    /// Crop.
    pub crop: Crop,
    /// Cultivar by name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cultivar: Option<String>,
    /// Weight of a thousand kernels, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tkw_g: Option<f64>,
    /// Germination, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub germination_pct: Option<f64>,
    /// Vigour, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vigour_pct: Option<f64>,
    /// Whether it is treated. Treated seed never goes into feed.
    pub treated: bool,
    /// The bin it is kept in, if in one: nothing from that bin goes into feed while it is there and treated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bin: Option<super::BinId>,
    /// Seeds with fusarium, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fusarium_pct: Option<f64>,
    /// What there is of it, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_hand_kg: Option<f64>,
}

/// Seeding of a field; the entry's own time is the start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seeding {
    /// Field.
    pub field: FieldId,
    /// Seed lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<SeedLotId>,
    /// When the drill left, if it has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finished: Option<DateTime>,
    /// Seed rate, kg/ha.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_kg_ha: Option<f64>,
    /// Seeding depth, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_mm: Option<f64>,
    /// Area seeded in this entry, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// Whether the whole field is now seeded.
    pub done: bool,
}

/// A field harrowed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Harrowed {
    /// Field.
    pub field: FieldId,
    /// Area, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
}

choices! {
    /// Work that waits for the field to be fit.
    Operation {
        Harrow = "harrow", "harrowing";
        Seed = "seed", "seeding";
        Spray = "spray", "spraying";
        Cut = "cut", "cutting";
        Haul = "haul", "hauling";
    }
}

/// Go or no at the gate. It teaches the farm's own limit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GoNoGo {
    /// Field.
    pub field: FieldId,
    /// Work.
    pub operation: Operation,
    /// Fit or not.
    pub go: bool,
    /// Why, in the farm's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// Cutting of a field; the entry's own time is the start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cut {
    /// Field.
    pub field: FieldId,
    /// When the combine left, if it has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finished: Option<DateTime>,
    /// Area cut in this entry, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// Yield, kg/ha as weighed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub yield_kg_ha: Option<f64>,
    /// Moisture, % wet basis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_wb_pct: Option<f64>,
    /// Why it was cut inside a pre-harvest interval, when it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inside_interval_why: Option<String>,
    /// Whether the whole field is now cut.
    pub done: bool,
}

/// Takes back the entry this one replaces.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawn {
    /// Why.
    pub why: String,
}
