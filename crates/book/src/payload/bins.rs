//! Bins, what was sampled in them and how full they were seen to be.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{BinId, Crop};
use crate::choice::choices;

choices! {
    /// What a bin is kept for.
    BinJob {
        Any = "any", "anything";
        Mill = "mill", "milling grain to sell";
        Feed = "feed", "the barn";
        Seed = "seed", "seed";
        Wet = "wet", "wet grain, waiting to dry";
    }
}

choices! {
    /// How air comes into a bin.
    AirFloor {
        FullFloor = "full_floor", "full perforated floor";
        Ducts = "ducts", "ducts on the floor";
        Centre = "centre", "a perforated tube or cone at the centre";
    }
}

choices! {
    /// How several fans on a bin stand to each other.
    FansStand {
        SideBySide = "side_by_side", "side by side, each blowing into the bin";
        OneBehindAnother = "one_behind_another", "one behind another, in one tube";
    }
}

/// The bottom of a bin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "shape", rename_all = "snake_case", deny_unknown_fields)]
pub enum BinFloor {
    /// Flat.
    Flat {},
    /// A hopper below the wall.
    Hopper {
        /// Height from the outlet to the wall, m; none for the slope that empties dry grain.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        height_m: Option<f64>,
        /// Width of the outlet, m; none for 0.5 m.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        outlet_m: Option<f64>,
    },
}

impl BinFloor {
    /// Flat.
    pub const FLAT: Self = Self::Flat {};

    /// Whether there is a hopper.
    pub fn is_hopper(&self) -> bool {
        matches!(self, Self::Hopper { .. })
    }
}

/// A point of a fan's curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FanPoint {
    /// Static pressure, Pa.
    pub pressure_pa: f64,
    /// Airflow, m3/s.
    pub air_m3_s: f64,
}

/// The fan on a bin, or several alike.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BinFan {
    /// Power of the motor, kW; of one where there are several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power_kw: Option<f64>,
    /// How the air comes in; none when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air: Option<AirFloor>,
    /// Points of its curve from the maker's table or the plate, rising in pressure; of one fan where there are several.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub curve: Vec<FanPoint>,
    /// How many fans alike; none for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u8>,
    /// How they stand to each other; none for side by side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stand: Option<FansStand>,
}

/// A bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bin {
    /// Its key: stays when the name changes.
    pub id: BinId,
    /// What the farm calls it.
    pub name: String,
    /// Inside diameter, m.
    pub diameter_m: f64,
    /// Height of the wall from the floor (or the top of the hopper) to the eave, m.
    pub wall_m: f64,
    /// Bottom.
    pub floor: BinFloor,
    /// Fan, if it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fan: Option<BinFan>,
    /// What it is kept for.
    pub job: BinJob,
    /// The crop it is kept for, if for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crop: Option<Crop>,
    /// What it holds by the maker's plate, m3; none to reckon it from its size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_m3: Option<f64>,
    /// When it was last cleaned out, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cleaned: Option<jiff::civil::Date>,
}

choices! {
    /// Where in a bin a sample was taken.
    SampledAt {
        Whole = "whole", "many probings mixed";
        Loads = "loads", "from the loads as they went in";
        Top = "top", "the top";
        Core = "core", "the core, as it runs out";
        Bottom = "bottom", "the bottom";
    }
}

/// What a sample of a bin showed. The entry's own time is when it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrainSample {
    /// Bin.
    pub bin: BinId,
    /// Where it was taken.
    pub taken: SampledAt,
    /// How many probings it was mixed from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub probings: Option<u32>,
    /// Moisture, % wet basis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_wb_pct: Option<f64>,
    /// Whether water has left the bin since it was filled (air or heat), rather than the loads having been read
    /// wrong; none to leave it to the bin having a fan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dried_in_bin: Option<bool>,
    /// Temperature of the grain, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Test weight, kg/hL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_weight_kg_hl: Option<f64>,
    /// Dockage, % of the weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dockage_pct: Option<f64>,
    /// Protein, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protein_pct: Option<f64>,
    /// Moisture basis of the protein, % wet basis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protein_basis_pct: Option<f64>,
    /// Deoxynivalenol, mg/kg as it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub don_ppm: Option<f64>,
    /// Falling number, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub falling_number_s: Option<f64>,
    /// Other grading factors by the grade table's name, such as `fdk_pct` or `ergot_pct`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub factors: BTreeMap<String, f64>,
    /// Grade given, in the inspector's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// Who tested it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lab: Option<String>,
    /// Number on the bag.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bag: Option<String>,
}

/// How full a bin was seen to be: one of depth, distance down from the eave, or volume.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BinMeasured {
    /// Bin.
    pub bin: BinId,
    /// Depth of grain at the wall, from the floor or the top of the hopper, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
    /// From the eave down to the grain at the wall, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub down_m: Option<f64>,
    /// The surface: 1 a full heap, 0 level, -1 a full hollow; none for level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heap: Option<f64>,
    /// Volume, m3; 0 for swept empty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_m3: Option<f64>,
    /// Test weight, kg/hL, if taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_weight_kg_hl: Option<f64>,
    /// Crop, for a bin the book has nothing in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crop: Option<Crop>,
    /// Moisture, % wet basis, for a bin the book has nothing in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_wb_pct: Option<f64>,
}
