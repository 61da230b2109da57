//! What was seen or measured: soil tests, rain, stages, moisture, notes, and answers to decisions.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::FieldId;
use crate::choice::choices;

/// One value of a soil test, as the lab wrote it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilTestValue {
    /// What was measured, such as `nitrate_n`, `p`, `k`, `ph`, `organic_matter`.
    pub what: String,
    /// The figure.
    pub value: f64,
    /// Unit as written: `ppm`, `lb/ac`, `kg/ha`, `%`, `1`.
    pub unit: String,
    /// Extraction method, such as `Olsen`, if stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extractant: Option<String>,
    /// Element or oxide, such as `P` or `P2O5`, if stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<String>,
}

/// One depth of a soil test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilTestLayer {
    /// Top, cm.
    pub top_cm: f64,
    /// Bottom, cm.
    pub bottom_cm: f64,
    /// Values.
    pub values: Vec<SoilTestValue>,
}

choices! {
    /// How a field was sampled.
    SampleKind {
        Composite = "composite", "one bag for the field";
        Zone = "zone", "one bag a zone";
        Benchmark = "benchmark", "one spot, the same each year";
        Grid = "grid", "a grid of points";
    }
}

/// A point where cores were taken.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SamplePoint {
    /// Latitude, degrees north.
    pub lat_deg: f64,
    /// Longitude, degrees east.
    pub lon_deg: f64,
}

/// A soil test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoilTest {
    /// Field.
    pub field: FieldId,
    /// Day the cores were taken.
    pub sampled: Date,
    /// Lab, if written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lab: Option<String>,
    /// By depth.
    pub layers: Vec<SoilTestLayer>,
    /// How the field was sampled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sample: Option<SampleKind>,
    /// The lab's or the farm's number of the sample.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    /// Zone, benchmark or grid cell it stands for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<String>,
    /// Cores in the bag.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cores: Option<u32>,
    /// Soil at 10 cm when it was taken, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soil_temp_c: Option<f64>,
    /// Where cores were taken.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<SamplePoint>,
    /// The sheet's own text, kept.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub text: String,
}

/// Emergence seen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EmergenceSeen {
    /// Field.
    pub field: FieldId,
    /// Plants counted, per m2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plants_per_m2: Option<f64>,
    /// Share of the field that is bare or as good as bare, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bare_pct: Option<f64>,
}

/// A crop stage as a person says it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CropStage {
    /// Leaves unfolded on the main stem.
    Leaves(f64),
    /// Zadoks two-digit stage.
    Zadoks(f64),
    /// In words.
    Words(String),
}

/// Crop stage seen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StageSeen {
    /// Field.
    pub field: FieldId,
    /// Stage.
    pub stage: CropStage,
}

/// Rain in a gauge, since it was last emptied.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rain {
    /// Rain, mm.
    pub rain_mm: f64,
    /// Field the gauge stands in; none for the yard.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<FieldId>,
}

choices! {
    /// How moisture was measured.
    MoistureMethod {
        Meter = "meter", "hand meter";
        Combine = "combine", "combine monitor";
        Oven = "oven", "oven";
        Elevator = "elevator", "elevator";
    }
}

/// Kernel moisture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KernelMoisture {
    /// Field.
    pub field: FieldId,
    /// Moisture, % wet basis.
    pub moisture_wb_pct: f64,
    /// How.
    pub method: MoistureMethod,
}

choices! {
    /// What the kernel does under the thumbnail or between the teeth.
    ThumbResult {
        Watery = "watery", "clear water comes out";
        Milky = "milky", "milk comes out";
        SoftDough = "soft_dough", "soft, like dough";
        HardDough = "hard_dough", "dents, does not smear";
        ThumbnailDent = "thumbnail_dent", "nail leaves a mark that stays";
        BitesHard = "bites_hard", "bites hard";
        Cracks = "cracks", "cracks between the teeth";
    }
}

/// Thumb or teeth test in the greenest part of the field.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThumbTest {
    /// Field.
    pub field: FieldId,
    /// Result.
    pub result: ThumbResult,
}

/// A note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// What it says.
    pub text: String,
    /// Field it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<FieldId>,
}

choices! {
    /// Yes or no to what the desk put forward.
    Answer { Accepted = "accepted", "yes"; No = "no", "no"; }
}

/// The answer to a decision, kept to learn from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DecisionAnswer {
    /// The decision's key, such as `seed/long-90/2026`.
    pub decision: String,
    /// Answer.
    pub answer: Answer,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Field it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<FieldId>,
}
