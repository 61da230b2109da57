//! Costs over the fields they are for, and what falls due.

use jiff::civil::Date;

use super::Farm;
use crate::payload::Cost;

/// Something that is paid on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// The day.
    pub on: Date,
    /// What for.
    pub what: String,
    /// Money.
    pub amount: f64,
}

impl Farm {
    /// Area a cost is for, ha: its field, the fields of its crop, or all with a crop planned that year.
    pub fn cost_area_ha(&self, cost: &Cost) -> f64 {
        match &cost.field {
            Some(f) => self.fields.get(f).map_or(0.0, |r| r.field().area_ha),
            None => self
                .fields
                .values()
                .filter(|r| {
                    r.plan(cost.crop_year).is_some_and(|p| cost.crop.as_ref().is_none_or(|c| p.crop == *c))
                })
                .map(|r| r.field().area_ha)
                .sum(),
        }
    }

    /// All the money of a cost.
    pub fn cost_money(&self, cost: &Cost) -> f64 {
        cost.amount.unwrap_or_else(|| cost.per_ha.unwrap_or(0.0) * self.cost_area_ha(cost))
    }

    /// Everything that falls due from a day on: payments, and costs with a day to pay them; the earliest first.
    pub fn dues(&self, from: Date) -> Vec<Due> {
        let payments = self.barn.payments.iter().map(|p| Due {
            on: p.is.due,
            what: p.is.what.clone(),
            amount: p.is.amount,
        });
        let costs = self.costs.iter().filter_map(|c| {
            let short = c.is.kind.words().split(':').next().unwrap_or_default();
            Some(Due {
                on: c.is.due?,
                what: c.is.what.clone().unwrap_or_else(|| short.to_string()),
                amount: self.cost_money(&c.is),
            })
        });
        let mut all: Vec<Due> = payments.chain(costs).filter(|d| d.on >= from).collect();
        all.sort_by_key(|d| d.on);
        all
    }
}
