//! What the plan is asked with.

use crate::need::Need;
use crate::ration::Offer;

/// A lot of grain in a bin.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// As an ingredient; its price is what carrying it over is worth at the end, money a tonne.
    pub offer: Offer,
    /// Tonnes.
    pub tonnes: f64,
    /// Protein for the buyer, %.
    pub protein_pct: Option<f64>,
    /// Storage, money a tonne and month (air, turning, shrink).
    pub storage_t_month: f64,
    /// The last month it may still be there, counted from 0; none for no end.
    pub gone_by: Option<usize>,
    /// Never fed: treated, or past a limit of its own.
    pub never_fed: bool,
}

/// A buyer.
#[derive(Debug, Clone, PartialEq)]
pub struct Buyer {
    /// Name.
    pub name: String,
    /// Net price at the yard for each lot (haul taken off), money a tonne; none where the lot is refused.
    pub price_t: Vec<Option<f64>>,
    /// Added to the price each month, from the first: a carry in the market, money a tonne.
    pub by_month: Vec<f64>,
    /// Months in which it takes grain; all when empty.
    pub open: Vec<bool>,
    /// Most taken in a month, t.
    pub most_month_t: f64,
    /// Most taken over all months, t; none for no end.
    pub most_t: Option<f64>,
    /// Least to deliver by the end of a month, t: contracts.
    pub contracts: Vec<Contract>,
    /// Averages the delivered mix must keep in each month. Blending to meet them is stated openly.
    pub averages: Vec<Average>,
}

/// Tonnes to be delivered to a buyer.
#[derive(Debug, Clone, PartialEq)]
pub struct Contract {
    /// From this month, counted from 0.
    pub from: usize,
    /// To this month.
    pub to: usize,
    /// Tonnes.
    pub tonnes: f64,
}

/// A limit on the average of what is delivered, each month by itself or over a contract's window.
#[derive(Debug, Clone, PartialEq)]
pub struct Average {
    /// What: `protein`, `DON`.
    pub what: String,
    /// Value of each lot.
    pub of_lot: Vec<f64>,
    /// Least.
    pub least: Option<f64>,
    /// Most.
    pub most: Option<f64>,
    /// Over these months together, from and to; each month by itself when none.
    pub window: Option<(usize, usize)>,
    /// Delivered in the window already: tonnes, and the average of them.
    pub had: Option<(f64, f64)>,
}

/// Tonnes of some lots together that are still there at the end of a month: kept in hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Keep {
    /// What, in words.
    pub name: String,
    /// Lots, by place.
    pub lots: Vec<usize>,
    /// Month, from 0.
    pub month: usize,
    /// Tonnes.
    pub tonnes: f64,
}

/// A ration with how much of it is wanted each month.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Name.
    pub name: String,
    /// Need.
    pub need: Need,
    /// Most of each lot in it, as a share; none of it where nought.
    pub lot_max: Vec<f64>,
    /// Tonnes each month.
    pub tonnes: Vec<f64>,
    /// Bought ingredients with this phase's limits.
    pub bought: Vec<Offer>,
}

/// The whole question.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanAsk {
    /// Months.
    pub months: usize,
    /// Lots.
    pub lots: Vec<Lot>,
    /// Rations.
    pub rations: Vec<Wanted>,
    /// Buyers.
    pub buyers: Vec<Buyer>,
    /// Interest a month, as a share.
    pub interest_month: f64,
    /// Cash wanted from sales by the end of each month, money; nought for none.
    pub cash_by: Vec<f64>,
    /// Whether bought feed and storage are paid from that cash too.
    pub cash_pays_feed: bool,
    /// Sales in whole trucks of so many tonnes.
    pub truck_t: Option<f64>,
    /// Kept in hand.
    pub keep: Vec<Keep>,
    /// Grinding and mixing own grain, money a tonne.
    pub grind_t: f64,
}

/// Money in month `m` as of the first.
pub(crate) fn discount(ask: &PlanAsk, m: usize) -> f64 {
    (1.0 + ask.interest_month).powi(-(m as i32))
}

impl PlanAsk {
    /// Net price of a lot at a buyer in a month, before discount.
    pub(crate) fn price(&self, lot: usize, buyer: usize, month: usize) -> Option<f64> {
        let b = &self.buyers[buyer];
        if !b.open.is_empty() && !b.open.get(month).copied().unwrap_or(false) {
            return None;
        }
        Some(b.price_t[lot]? + b.by_month.get(month).copied().unwrap_or(0.0))
    }
}
