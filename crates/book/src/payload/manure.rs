//! Manure: the pits, what is in them, the barns over them, what was hauled, and the law's limits.

use serde::{Deserialize, Serialize};

use super::{FieldId, ManureStoreId};
use crate::choice::choices;

/// A pit or lagoon. The latest of a key counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManureStore {
    /// Its key.
    pub id: ManureStoreId,
    /// What the farm calls it.
    pub name: String,
    /// What it holds, m3.
    pub capacity_m3: f64,
    /// What flows in, m3 a day, by the farm's own meter or readings; none for the book's figure by head.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inflow_m3_day: Option<f64>,
}

/// A reading of how full a pit is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManureLevel {
    /// The pit.
    pub store: ManureStoreId,
    /// In it, m3.
    pub held_m3: f64,
}

/// A laboratory's analysis of a pit, kg/m3, phosphorus and potassium as elements.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManureTest {
    /// The pit.
    pub store: ManureStoreId,
    /// Whether it was stirred before the sample was taken.
    #[serde(default)]
    pub agitated: bool,
    /// Total nitrogen, kg/m3.
    pub total_n_kg_m3: f64,
    /// Ammonium nitrogen, kg/m3; none when the sheet has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ammonium_n_kg_m3: Option<f64>,
    /// Phosphorus, kg/m3.
    pub p_kg_m3: f64,
    /// Potassium, kg/m3.
    pub k_kg_m3: f64,
    /// Sulphur, kg/m3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub s_kg_m3: Option<f64>,
    /// Dry matter, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dry_matter_pct: Option<f64>,
}

choices! {
    /// What is kept over a pit, as the book of manure counts it.
    BarnKind {
        FarrowToFinish = "farrow_to_finish", "farrow to finish, by the sow";
        Farrow = "farrow", "farrowing barn, by the sow";
        Nursery = "nursery", "nursery";
        Feeder = "feeder", "feeder barn";
    }
}

/// Head of one kind over a pit. The latest of a pit and kind counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BarnCount {
    /// The pit.
    pub store: ManureStoreId,
    /// Kind.
    pub barn: BarnKind,
    /// Head, or sows where it is counted by the sow.
    pub head: f64,
}

choices! {
    /// How manure is put on.
    ManureMethod {
        Injected = "injected", "injected";
        WorkedIn = "worked_in", "spread and worked in";
        LeftBare = "left_bare", "spread on bare soil and left";
        LeftOnResidue = "left_on_residue", "spread on stubble or forage and left";
    }
}

/// Manure hauled to a field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManureHauled {
    /// The pit.
    pub store: ManureStoreId,
    /// The field.
    pub field: FieldId,
    /// How much, m3.
    pub volume_m3: f64,
    /// On this area, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// How.
    pub method: ManureMethod,
    /// Days until it was worked in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days_to_work_in: Option<f64>,
}

/// Manure meant for a field, to be hauled before its crop is seeded. The latest of a field and year counts; nothing at all
/// takes an earlier one back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManurePlan {
    /// The pit.
    pub store: ManureStoreId,
    /// The field.
    pub field: FieldId,
    /// Year of the harvest it is to feed.
    pub crop_year: i16,
    /// How much in all, m3.
    pub volume_m3: f64,
    /// On this area, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// How.
    pub method: ManureMethod,
    /// Days until it will be worked in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days_to_work_in: Option<f64>,
}

/// The law's limits where the farm is, as the owner read them. The latest counts; without one an example stands in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManureRules {
    /// Whose rule.
    pub name: String,
    /// Where it was read, with its date.
    pub source: String,
    /// Olsen phosphorus from which phosphate is held to twice the crop's removal, ppm; none for no such step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twice_removal_from_ppm: Option<f64>,
    /// From which it is held to the removal, ppm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub removal_from_ppm: Option<f64>,
    /// From which none may go on, ppm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub none_from_ppm: Option<f64>,
    /// First day of the year on which none may be spread, month-day as `11-10`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed_from: Option<String>,
    /// Last such day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed_to: Option<String>,
    /// Distances to keep, and what else it asks, in the owner's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_backs: Option<String>,
}

impl ManureRules {
    /// Month and day of `11-10`.
    pub fn month_day(text: &str) -> Option<(i8, i8)> {
        let (m, d) = text.trim().split_once('-')?;
        let (m, d) = (m.parse().ok()?, d.parse().ok()?);
        // A leap year, so that 29 February may be written.
        jiff::civil::Date::new(2024, m, d).ok().map(|_| (m, d))
    }
}
