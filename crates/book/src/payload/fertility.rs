//! Fertilizer: what a field is to get, what it got, the tables it is reckoned by, and the limits a label sets on the next
//! crop. The drill that puts it there is in [`super::drill`].

use serde::{Deserialize, Serialize};

use super::{Crop, FieldId};
use crate::choice::choices;

/// Amounts of the four nutrients, kg/ha. Phosphorus and potassium as oxides, as they are sold.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NutrientRates {
    /// Nitrogen, kg/ha.
    #[serde(default)]
    pub n_kg_ha: f64,
    /// Phosphate, P2O5, kg/ha.
    #[serde(default)]
    pub p2o5_kg_ha: f64,
    /// Potash, K2O, kg/ha.
    #[serde(default)]
    pub k2o_kg_ha: f64,
    /// Sulphur, kg/ha.
    #[serde(default)]
    pub s_kg_ha: f64,
}

/// Analysis of a product that is not in the shipped table, %.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grade {
    /// Nitrogen, %.
    pub n_pct: f64,
    /// Phosphate, %.
    pub p2o5_pct: f64,
    /// Potash, %.
    pub k2o_pct: f64,
    /// Sulphur, %.
    #[serde(default)]
    pub s_pct: f64,
}

/// A product and its rate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProductRate {
    /// Key in the table of products, such as `urea`, or the farm's own word with a grade.
    pub product: String,
    /// Rate, kg/ha.
    pub kg_ha: f64,
    /// Whether it goes in the seed row.
    #[serde(default)]
    pub with_seed: bool,
    /// Analysis, for a product that is not in the table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<Grade>,
}

choices! {
    /// Where fertilizer that is not in the seed row goes.
    FertilizerPlacement {
        SideBand = "side_band", "side band";
        MidRow = "mid_row", "mid-row band";
        Banded = "banded", "band before seeding";
        Broadcast = "broadcast", "broadcast";
        SeedRow = "seed_row", "all with the seed";
    }
}

/// What a field is to get in a crop year: the plan that was accepted. The latest of a field and year counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FertilizerPlan {
    /// Field.
    pub field: FieldId,
    /// Year of the harvest.
    pub crop_year: i16,
    /// Nitrogen to put on, kg/ha, all places together.
    pub n_kg_ha: f64,
    /// Phosphate, P2O5, kg/ha.
    pub p2o5_kg_ha: f64,
    /// Potash, K2O, kg/ha.
    pub k2o_kg_ha: f64,
    /// Sulphur, kg/ha.
    #[serde(default)]
    pub s_kg_ha: f64,
    /// The part of it that goes in the seed row.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seed_row: Option<NutrientRates>,
    /// Where the rest goes.
    pub placement: FertilizerPlacement,
    /// Products, once chosen; empty while only the nutrients are.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub products: Vec<ProductRate>,
    /// Yield it was reckoned for, kg/ha.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_yield_kg_ha: Option<f64>,
    /// What manure was counted on to give beside it when it was accepted, kg/ha; the rates above are less by so much.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub manure: Option<NutrientRates>,
    /// Why, in the farm's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A product that went on, by weight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProductUsed {
    /// Key in the table of products, or the farm's own word with a grade.
    pub product: String,
    /// What went on in all, kg.
    pub kg: f64,
    /// Whether it went in the seed row.
    #[serde(default)]
    pub with_seed: bool,
    /// Analysis, for a product that is not in the table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<Grade>,
}

/// What went on a field, by the scales of the tanks or the bags.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FertilizerApplied {
    /// Field.
    pub field: FieldId,
    /// Year of the harvest it is for.
    pub crop_year: i16,
    /// Products.
    pub products: Vec<ProductUsed>,
    /// Area, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// How: none when not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub placement: Option<FertilizerPlacement>,
}

/// A layout of a laboratory's file: what its columns are, so that the next one needs no asking.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LabLayout {
    /// The headings, in order, made plain: the layout is known by them.
    pub fingerprint: String,
    /// What the farm calls it.
    pub name: String,
    /// What was answered for it.
    pub answers: std::collections::BTreeMap<String, String>,
}

/// A rate table of the local guide or the laboratory, in the columns of `fertility-sufficiency.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RateTable {
    /// What the farm calls it.
    pub name: String,
    /// Where it is from, with its year.
    pub source: String,
    /// The table, as CSV.
    pub text: String,
}

/// A limit that a label sets on what may grow after a product. Copied from the label by the person who read it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlantBack {
    /// Field.
    pub field: FieldId,
    /// Product as on the label.
    pub product: String,
    /// Day it was applied.
    pub applied: jiff::civil::Date,
    /// Crop the limit is on.
    pub crop: Crop,
    /// Months that must pass before it is seeded.
    pub months: f64,
    /// Rain that must have fallen from 1 June to 31 August of the year of application, mm, where the label asks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub june_to_august_mm: Option<f64>,
}

/// Protein paid for: the buyer's premium and dock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProteinPremium {
    /// Buyer.
    pub buyer: String,
    /// Protein of the base price, %.
    pub base_pct: f64,
    /// Added a tonne for each point above.
    pub up_per_t_point: f64,
    /// Taken off a tonne for each point below.
    pub down_per_t_point: f64,
    /// Protein above which nothing more is added, %.
    pub cap_pct: f64,
    /// Width of a step of the schedule, points; zero pays for every fraction.
    #[serde(default)]
    pub step_pct: f64,
}
