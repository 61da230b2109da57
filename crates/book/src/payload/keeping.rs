//! What was seen and done while grain is kept: readings of a bin, and its fan.

use serde::{Deserialize, Serialize};

use super::BinId;
use crate::choice::choices;

choices! {
    /// How a bin was read.
    ReadBy {
        Cable = "cable", "temperature cable";
        Probe = "probe", "probe";
        Meter = "meter", "gas meter";
        Hand = "hand", "hand and nose";
        Device = "device", "a device by itself";
    }
}

choices! {
    /// Where in a bin something was read.
    BinPart {
        Top = "top", "top";
        Middle = "middle", "middle";
        Bottom = "bottom", "bottom";
        Whole = "whole", "all of it";
    }
}

choices! {
    /// What the air of a bin smells of.
    Smell {
        None = "none", "clean";
        Musty = "musty", "musty";
        Sour = "sour", "sour or burnt";
    }
}

/// One place that was read: by height above the floor, or by part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingPoint {
    /// Height above the floor, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Part of the grain, where no height is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<BinPart>,
    /// Which sensor, by the farm's or the cable's own name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sensor: Option<String>,
    /// Temperature, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Moisture, % wet basis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_wb_pct: Option<f64>,
}

/// A reading of a bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BinReading {
    /// Bin.
    pub bin: BinId,
    /// How.
    pub by: ReadBy,
    /// Temperatures and moistures.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<ReadingPoint>,
    /// Carbon dioxide, ppm, in the first flush of air or under the roof.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub co2_ppm: Option<f64>,
    /// Smell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub smell: Option<Smell>,
    /// Whether there is a crust, insects, snow or wet on top, in the farm's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen: Option<String>,
}

/// The fan switched on or off. The entry's own time is when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FanRun {
    /// Bin.
    pub bin: BinId,
    /// On or off.
    pub on: bool,
    /// Why, if said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}
