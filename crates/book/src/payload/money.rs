//! Money: what things cost, what machines are worth and burn, and money to come in.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Crop, FieldId, MachineId};
use crate::choice::choices;

choices! {
    /// What a cost is for.
    CostKind {
        Land = "land", "land: rent, or tax and interest of your own";
        Seed = "seed", "seed";
        Fertilizer = "fertilizer", "fertilizer";
        Spray = "spray", "sprays";
        Machines = "machines", "machines: fuel, repairs, wear, wages";
        Custom = "custom", "work hired";
        Drying = "drying", "drying";
        Storage = "storage", "storage";
        Insurance = "insurance", "crop insurance";
        Overhead = "overhead", "the farm's own: power, office, upkeep";
        Barn = "barn", "the barn: not carried by the fields";
        Living = "living", "living: not carried by the fields";
    }
}

impl CostKind {
    /// Whether the fields carry it.
    pub fn of_fields(self) -> bool {
        !matches!(self, Self::Barn | Self::Living)
    }
}

/// A cost as billed or agreed: of one field, of a crop, or of the whole farm. Several of the same kind add up. One of the
/// kinds that are also reckoned (seed, fertilizer, sprays, machines, drying, storage) takes the reckoned figure's place
/// on the fields it is for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cost {
    /// What for.
    pub kind: CostKind,
    /// In the farm's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub what: Option<String>,
    /// Year of the harvest it is for.
    pub crop_year: i16,
    /// The field it is of; none for all of them, shared by area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<FieldId>,
    /// The crop it is of; none for all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crop: Option<Crop>,
    /// Money/ha; this or `amount`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_ha: Option<f64>,
    /// Money in all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<f64>,
    /// The day it is paid; none when it is paid already or the day is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Date>,
}

/// What a machine costs to own and run, from the farm's own papers. The latest of a machine counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MachineValue {
    /// Machine.
    pub machine: MachineId,
    /// Price of a like new one today, money.
    pub new_price: f64,
    /// Year it was built.
    pub built: i16,
    /// Hours a year; none for what the farm's own area takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours_a_year: Option<f64>,
    /// Power at the shaft, its own or the tractor's in front, kW.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power_kw: Option<f64>,
    /// Fuel by the farm's own fills, L/h.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel_l_h: Option<f64>,
    /// Repairs by the farm's own bills, money a year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repairs_a_year: Option<f64>,
    /// Price of a like new tractor, for what is pulled, money.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tractor_new_price: Option<f64>,
    /// Year the tractor was built.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tractor_built: Option<i16>,
    /// Hours a year of the tractor, all its work together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tractor_hours_a_year: Option<f64>,
}

/// Money that will come in besides grain and pigs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoneyIn {
    /// What for.
    pub what: String,
    /// Money.
    pub amount: f64,
    /// The day.
    pub due: Date,
}
