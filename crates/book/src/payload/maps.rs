//! Maps of a field: what a yield monitor wrote, and the zones a prescription is made by.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::{Crop, FieldId};

/// A file as it was sent, kept whole in the book's own file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptFile {
    /// Its number.
    pub id: Uuid,
    /// Its name on the sender's machine.
    pub name: String,
}

/// A square of a yield map: longitude and latitude of its middle, mean yield in kg/ha, points in it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct YieldSquare(pub f64, pub f64, pub f64, pub u32);

/// What one cleaning rule left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeftOut {
    /// Points.
    pub points: u32,
    /// Why, in words.
    pub why: String,
}

/// Yield over a field as a combine's monitor wrote it, cleaned, in squares. The entry's own time is the last record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct YieldMap {
    /// Field.
    pub field: FieldId,
    /// Year of the harvest.
    pub crop_year: i16,
    /// Crop.
    pub crop: Crop,
    /// Moisture the yields stand at, % wet basis.
    pub moisture_wb_pct: f64,
    /// Side of a square, m.
    pub square_m: f64,
    /// Squares.
    pub squares: Vec<YieldSquare>,
    /// Points that stayed.
    pub points: u32,
    /// What was left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<LeftOut>,
    /// Mean of the points that stayed, kg/ha.
    pub mean_kg_ha: f64,
    /// The file it was read from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub original: Option<KeptFile>,
}

/// A zone of a field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Zone {
    /// What the farm calls it.
    pub name: String,
    /// Outline, a Polygon or MultiPolygon.
    pub boundary: geojson::Geometry,
    /// Its share of the field's rate, %.
    pub rate_pct: f64,
}

/// The zones of a field; the latest of a field count, and what no zone covers gets the field's whole rate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FieldZones {
    /// Field.
    pub field: FieldId,
    /// Zones; none to have no zones any more.
    pub zones: Vec<Zone>,
    /// The file they were read from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub original: Option<KeptFile>,
}
