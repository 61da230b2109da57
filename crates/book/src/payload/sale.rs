//! Buyers with what they pay, and their tickets settled.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Crop;
use crate::choice::choices;

/// What a buyer pays for a grade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GradePrice {
    /// Grade in the table's words, such as `No. 1 CWRS`; empty for any.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub grade: String,
    /// Money a tonne of clean grain.
    pub price_per_t: f64,
}

/// What a buyer takes off for deoxynivalenol.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DonStep {
    /// Above this, mg/kg.
    pub above_ppm: f64,
    /// Money a tonne taken off.
    pub off_per_t: f64,
}

/// A buyer's offer for a crop, as known on the entry's day: a bid, a price list or a contract. The latest for the same
/// buyer, crop, window and contract counts. Where it prices no protein, the buyer's own `protein_premium` does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Buyer {
    /// Buyer, by the farm's word.
    pub name: String,
    /// Crop.
    pub crop: Crop,
    /// Price by grade, best grade first.
    pub prices: Vec<GradePrice>,
    /// First day of delivery; none for now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Date>,
    /// Last day of delivery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
    /// Lowest protein taken, % at 13.5 % moisture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_protein_pct: Option<f64>,
    /// Most deoxynivalenol taken, mg/kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_don_ppm: Option<f64>,
    /// Taken off for deoxynivalenol, rising.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub don_steps: Vec<DonStep>,
    /// Lowest falling number taken, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_falling_number_s: Option<f64>,
    /// Taken off for tough grain, money a tonne; none when tough is not taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tough_off_per_t: Option<f64>,
    /// Taken off for damp grain, money a tonne; none when damp is not taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub damp_off_per_t: Option<f64>,
    /// Cost of the haul, money a tonne.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub freight_per_t: Option<f64>,
    /// The most they take, t; a contract's tonnes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tonnes: Option<f64>,
    /// Contract number, when it is one: its tonnes must be delivered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contract: Option<String>,
    /// Protein of the price, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub base_protein_pct: Option<f64>,
    /// Added a tonne for each point above it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premium_per_t_point: Option<f64>,
    /// Taken off a tonne for each point below it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dock_per_t_point: Option<f64>,
    /// Protein above which nothing more is added, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premium_to_pct: Option<f64>,
    /// Most it takes from the farm in a month, t.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_t_month: Option<f64>,
    /// Whether its limits on protein and deoxynivalenol are of the average of all that is delivered, and not of each load:
    /// blending to them is agreed and open.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub average: bool,
}

impl Buyer {
    /// An offer with nothing but its prices.
    pub fn new(name: impl Into<String>, crop: Crop, prices: Vec<GradePrice>) -> Self {
        Self {
            name: name.into(),
            crop,
            prices,
            from: None,
            until: None,
            lowest_protein_pct: None,
            most_don_ppm: None,
            don_steps: Vec::new(),
            lowest_falling_number_s: None,
            tough_off_per_t: None,
            damp_off_per_t: None,
            freight_per_t: None,
            tonnes: None,
            contract: None,
            base_protein_pct: None,
            premium_per_t_point: None,
            dock_per_t_point: None,
            premium_to_pct: None,
            most_t_month: None,
            average: false,
        }
    }

    /// The price of a grade; the price for any grade where there is one.
    pub fn price(&self, grade: &str) -> Option<f64> {
        let named =
            |g: &str| self.prices.iter().find(|p| p.grade.eq_ignore_ascii_case(g)).map(|p| p.price_per_t);
        named(grade.trim()).or_else(|| named(""))
    }

    /// What is taken off for deoxynivalenol, money a tonne; none when it is not taken at all.
    pub fn don_off(&self, ppm: f64) -> Option<f64> {
        if self.most_don_ppm.is_some_and(|most| ppm > most) {
            return None;
        }
        let steps = self.don_steps.iter().filter(|s| ppm > s.above_ppm);
        Some(steps.max_by(|a, b| a.above_ppm.total_cmp(&b.above_ppm)).map_or(0.0, |s| s.off_per_t))
    }

    /// Whether delivery on `day` falls in its window.
    pub fn takes_on(&self, day: Date) -> bool {
        self.from.is_none_or(|d| d <= day) && self.until.is_none_or(|d| day <= d)
    }
}

choices! {
    /// How moisture was settled on a ticket: once, never twice.
    MoistureSettled {
        Straight = "straight", "dry: nothing off";
        Discount = "discount", "a discount for tough or damp";
        Drying = "drying", "a drying charge";
        Shrink = "shrink", "the weight shrunk";
    }
}

/// A buyer's figure for each line of the statement, as far as it is printed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TheirFigures {
    /// Net scale weight, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub net_scale_kg: Option<f64>,
    /// Dockage, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dockage_kg: Option<f64>,
    /// Clean weight, t.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub net_t: Option<f64>,
    /// Price after adjustments, money a tonne.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_t: Option<f64>,
    /// Value before deductions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gross_value: Option<f64>,
    /// Deductions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deductions: Option<f64>,
    /// Levies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub levy: Option<f64>,
    /// Paid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub payable: Option<f64>,
}

/// A ticket settled by a buyer. The entry's own time is the delivery.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settlement {
    /// Buyer.
    pub buyer: String,
    /// Ticket number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ticket: Option<String>,
    /// Crop.
    pub crop: Crop,
    /// Grade given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// Scale, full, kg.
    pub gross_kg: f64,
    /// Scale, empty, kg.
    pub tare_kg: f64,
    /// Dockage, %.
    #[serde(default)]
    pub dockage_pct: f64,
    /// Moisture, % wet basis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_wb_pct: Option<f64>,
    /// Protein, % at 13.5 % moisture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protein_pct: Option<f64>,
    /// How moisture was settled.
    pub moisture: MoistureSettled,
    /// Discount or drying charge, money a tonne, as the choice says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_per_t: Option<f64>,
    /// Moisture the weight was shrunk to, % wet basis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shrink_to_pct: Option<f64>,
    /// Price for the grade, money a tonne.
    pub price_t: f64,
    /// Protein premium, money a tonne; below nothing for a discount.
    #[serde(default)]
    pub protein_t: f64,
    /// Other discounts, money a tonne.
    #[serde(default)]
    pub discount_t: f64,
    /// Freight, money a tonne.
    #[serde(default)]
    pub freight_t: f64,
    /// Elevation, money a tonne.
    #[serde(default)]
    pub elevation_t: f64,
    /// Cleaning, money a tonne.
    #[serde(default)]
    pub cleaning_t: f64,
    /// Inspection, money a tonne.
    #[serde(default)]
    pub inspection_t: f64,
    /// Levies, money a tonne.
    #[serde(default)]
    pub levy_t: f64,
    /// Advances and other money already had.
    #[serde(default)]
    pub advance: f64,
    /// The buyer's own figures.
    #[serde(default)]
    pub theirs: TheirFigures,
}
