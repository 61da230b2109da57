//! The drill: how it stands, what it carries, what was caught under it and what was left in its tanks.

use serde::{Deserialize, Serialize};

use super::{FertilizerPlacement, FieldId, MachineId};

/// A tank of a drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrillTank {
    /// What the farm calls it.
    pub name: String,
    /// Volume, m3.
    pub volume_m3: f64,
    /// Lowest rate its meter holds, kg/ha; none when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_kg_ha: Option<f64>,
    /// Highest rate its meter passes, kg/ha; none when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_kg_ha: Option<f64>,
}

impl DrillTank {
    /// A tank of which only the size is known.
    pub fn new(name: &str, volume_m3: f64) -> Self {
        Self { name: name.into(), volume_m3, least_kg_ha: None, most_kg_ha: None }
    }
}

/// How a drill stands on the ground and what it carries. The latest of a machine counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrillSetUp {
    /// The machine.
    pub machine: MachineId,
    /// Row spacing, cm.
    pub row_spacing_cm: f64,
    /// Width of the band of seed and fertilizer in the row, dug and measured, cm.
    pub spread_cm: f64,
    /// Whether it is a double disc.
    #[serde(default)]
    pub double_disc: bool,
    /// Where fertilizer that is not in the seed row can go.
    pub band: FertilizerPlacement,
    /// Tanks: seed first.
    pub tanks: Vec<DrillTank>,
    /// Minutes a refill takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refill_min: Option<f64>,
    /// Tank for liquid fertilizer with its pump, m3; none when the drill carries no liquid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub liquid_m3: Option<f64>,
    /// Whether the liquid can run into the seed row as well as into the band.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub liquid_with_seed: bool,
    /// Nurse tank for anhydrous ammonia pulled with the drill, m3; none when there are no shanks for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub anhydrous_m3: Option<f64>,
}

impl DrillSetUp {
    /// Every tank it carries by name with its volume, m3: the dry ones, then the liquid and the ammonia.
    pub fn carried(&self) -> Vec<(&str, f64)> {
        let dry = self.tanks.iter().map(|t| (t.name.as_str(), t.volume_m3));
        let liquid = self.liquid_m3.map(|v| ("liquid", v));
        dry.chain(liquid).chain(self.anhydrous_m3.map(|v| ("anhydrous", v))).collect()
    }
}

/// Catches under a meter of the drill, and what was wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrillCatch {
    /// What was caught: a product's key, or a seed lot's.
    pub what: String,
    /// Catches, kg, each over the whole strip.
    pub caught_kg: Vec<f64>,
    /// Width the catch stands for, m.
    pub width_m: f64,
    /// Distance it stands for, m.
    pub distance_m: f64,
    /// Rate wanted, kg/ha.
    pub wanted_kg_ha: f64,
    /// Setting of the meter in use.
    pub setting: f64,
}

/// What was left in a tank when a field was done, so that the meter can be held to account.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TankLeft {
    /// Field that was done.
    pub field: FieldId,
    /// Year of the harvest.
    pub crop_year: i16,
    /// The tank, as the drill's set-up calls it.
    pub tank: String,
    /// All that was in it and put into it for this field, kg.
    pub filled_kg: f64,
    /// Left in it, kg.
    pub left_kg: f64,
    /// Area by the drill's counter, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
}

/// The least of a product that can be had or sown. The latest of a product counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProductLeast {
    /// Key in the table of products.
    pub product: String,
    /// Least rate at which it can be metered and spread evenly, alone or in a blend, kg/ha.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_kg_ha: Option<f64>,
    /// Least the dealer sells of it, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_kg: Option<f64>,
}
