//! What a walk through the growing crop brings back: insects, damage, and counts for a yield estimate.

use serde::{Deserialize, Serialize};

use super::FieldId;
use crate::choice::choices;

choices! {
    /// An insect of wheat, or a like one by another name.
    Insect {
        PaleWesternCutworm = "pale_western_cutworm", "pale western cutworm";
        RedBackedCutworm = "red_backed_cutworm", "red-backed cutworm";
        ArmyCutworm = "army_cutworm", "army cutworm";
        Armyworm = "armyworm", "armyworm";
        Grasshopper = "grasshopper", "grasshopper";
        Aphid = "aphid", "aphid";
        Midge = "midge", "wheat midge";
        Other = "other", "another";
    }
}

choices! {
    /// What a count is for.
    CountUnit {
        PerM2 = "per_m2", "a square metre";
        PerFt2 = "per_ft2", "a square foot";
        PerStem = "per_stem", "a stem";
        PerHead = "per_head", "a head";
    }
}

/// Insects counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InsectsSeen {
    /// Field.
    pub field: FieldId,
    /// Which.
    pub insect: Insect,
    /// How many, the mean of several places.
    pub count: f64,
    /// Of what.
    pub unit: CountUnit,
    /// Area they are on, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// Where, or what else was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

choices! {
    /// What hurt the crop.
    DamageCause {
        Frost = "frost", "frost";
        Hail = "hail", "hail";
        Heat = "heat", "heat";
        Flood = "flood", "standing water";
        Wind = "wind", "blowing soil";
        Other = "other", "another cause";
    }
}

/// Damage seen in a field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DamageSeen {
    /// Field.
    pub field: FieldId,
    /// What did it.
    pub cause: DamageCause,
    /// Share of the yield that the person takes as lost, %; none before it can be judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lost_pct: Option<f64>,
    /// Area hit, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// Whether the insurer has been told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insurer_told: Option<bool>,
    /// What was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Heads and kernels counted for a yield estimate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct YieldCount {
    /// Field.
    pub field: FieldId,
    /// Heads, per m2, the mean of several places.
    pub heads_per_m2: f64,
    /// Kernels a head, the mean of several heads.
    pub kernels_per_head: f64,
    /// Weight of a thousand kernels, g; none for the usual.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tkw_g: Option<f64>,
}
