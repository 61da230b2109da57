//! The barn's checks and the goats' year: a scale checked, ground grain sieved, straw on hand, the buck put in.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{GroupId, MixerId};
use crate::choice::choices;

choices! {
    /// Which scale of the mill.
    ScaleOf { Main = "main", "the mixer's"; Hand = "hand", "the hand scale"; Small = "small", "the small scale"; }
}

/// A scale checked with known weights.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScaleCheck {
    /// Mixer it belongs to.
    pub mixer: MixerId,
    /// Which scale.
    pub scale: ScaleOf,
    /// What was put on, kg.
    pub put_kg: f64,
    /// What it read, kg.
    pub read_kg: f64,
}

/// What a sieve held back.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SieveCatch {
    /// Opening of the sieve, um.
    pub opening_um: f64,
    /// Held back on it, g.
    pub g: f64,
}

/// Ground grain shaken through sieves.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SieveTest {
    /// What was ground, such as wheat.
    pub of: String,
    /// Sieves, coarsest first.
    pub catches: Vec<SieveCatch>,
    /// In the pan, g.
    #[serde(default)]
    pub pan_g: f64,
    /// Screen or roll gap, in the farm's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screen: Option<String>,
}

/// Straw counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StrawOnHand {
    /// Bales.
    pub bales: u32,
    /// Weight of one, kg.
    pub bale_kg: f64,
}

/// The buck with the does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Breeding {
    /// The does.
    pub group: GroupId,
    /// Buck in.
    pub buck_in: Date,
    /// Buck out; none while he is with them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buck_out: Option<Date>,
}
