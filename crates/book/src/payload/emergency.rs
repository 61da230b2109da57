//! For the day a stranger must find somebody: numbers to ring, and where each field is entered.

use serde::{Deserialize, Serialize};

use super::FieldId;

/// A person or service to ring.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Contact {
    /// Who: emergency line, neighbour, power line, gas line, veterinarian.
    pub name: String,
    /// Number.
    pub phone: String,
    /// What for, or where the yard is in the words an ambulance uses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}

/// Where a field is entered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entrance {
    /// Field.
    pub field: FieldId,
    /// Latitude of the entrance, degrees north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lat_deg: Option<f64>,
    /// Longitude of the entrance, degrees east.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lon_deg: Option<f64>,
    /// The way in, in words: road, grid position, gate.
    pub words: String,
}
