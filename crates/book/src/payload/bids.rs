//! Bids as they were written before a buyer's offer said the same, and money that falls due.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Buyer, Crop, GradePrice};

/// A buyer's bid for a crop, delivered. Superseded: read as a [`Buyer`]'s offer, no longer written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bid {
    /// Buyer, by the farm's word.
    pub buyer: String,
    /// Crop.
    pub crop: Crop,
    /// Money a tonne at the buyer's door.
    pub price_per_t: f64,
    /// Grade or use, in the buyer's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// Delivery from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Date>,
    /// Delivery to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<Date>,
    /// Least protein, %; below it the load is refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_protein_pct: Option<f64>,
    /// Protein of the base price, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub base_protein_pct: Option<f64>,
    /// Added a tonne for each point above the base.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premium_per_t_point: Option<f64>,
    /// Taken off a tonne for each point below the base.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dock_per_t_point: Option<f64>,
    /// Protein above which nothing more is added, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub premium_to_pct: Option<f64>,
    /// Most DON, mg/kg; above it the load is refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_don_ppm: Option<f64>,
    /// Haul from the yard, money a tonne.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub haul_per_t: Option<f64>,
    /// Most it takes from the farm in a month, t.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_t_month: Option<f64>,
    /// Already sold to it in this window and not yet delivered, t: a contract.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub committed_t: Option<f64>,
}

/// Money that falls due: a loan, rent, seed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaymentDue {
    /// What for.
    pub what: String,
    /// Money.
    pub amount: f64,
    /// The day.
    pub due: Date,
}

impl From<&Bid> for Buyer {
    /// Nothing a bid says is lost; what it never asked of (tough grain, falling number) is not held against a lot.
    fn from(b: &Bid) -> Self {
        Self {
            from: b.from,
            until: b.to,
            lowest_protein_pct: b.least_protein_pct,
            most_don_ppm: b.most_don_ppm,
            tough_off_per_t: Some(0.0),
            damp_off_per_t: Some(0.0),
            freight_per_t: b.haul_per_t,
            tonnes: b.committed_t,
            contract: b.committed_t.map(|_| "by its bid".to_string()),
            base_protein_pct: b.base_protein_pct,
            premium_per_t_point: b.premium_per_t_point,
            dock_per_t_point: b.dock_per_t_point,
            premium_to_pct: b.premium_to_pct,
            most_t_month: b.most_t_month,
            ..Self::new(
                b.buyer.clone(),
                b.crop.clone(),
                vec![GradePrice { grade: b.grade.clone().unwrap_or_default(), price_per_t: b.price_per_t }],
            )
        }
    }
}
