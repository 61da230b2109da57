//! What a plan says, by lot, ration, month and buyer.

use serde::Serialize;
use stook_optimise::Solution;

use super::PlanAsk;
use super::ask::discount;
use super::model::Model;

/// Grain fed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fed {
    /// Ration, by place.
    pub ration: usize,
    /// Month, from 0.
    pub month: usize,
    /// Tonnes.
    pub tonnes: f64,
}

/// Grain sold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sold {
    /// Buyer, by place.
    pub buyer: usize,
    /// Month, from 0.
    pub month: usize,
    /// Tonnes.
    pub tonnes: f64,
    /// Net price, money a tonne.
    pub price_t: f64,
}

/// What becomes of a lot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LotPlan {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Tonnes at the start.
    pub tonnes: f64,
    /// Fed.
    pub fed: Vec<Fed>,
    /// Sold.
    pub sold: Vec<Sold>,
    /// Left at the end, t.
    pub left_t: f64,
    /// What one tonne more of it would be worth now.
    pub worth_t: f64,
    /// What a tonne is worth in the best place in the trough that still has room; none where it may not be fed.
    pub trough_t: Option<f64>,
    /// What a tonne brings at the best buyer in the best month, as of now; none where nobody takes it.
    pub mill_t: Option<f64>,
}

impl LotPlan {
    /// Tonnes fed in all.
    pub fn fed_t(&self) -> f64 {
        self.fed.iter().map(|f| f.tonnes).sum()
    }

    /// Tonnes sold in all.
    pub fn sold_t(&self) -> f64 {
        self.sold.iter().map(|f| f.tonnes).sum()
    }
}

/// One ration in one month.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RationMonth {
    /// Ration, by place.
    pub ration: usize,
    /// Month.
    pub month: usize,
    /// What is in it: key and tonnes, largest first.
    pub parts: Vec<(String, f64)>,
}

/// Money of a month, not discounted.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct MonthCash {
    /// From grain.
    pub sales: f64,
    /// For ingredients.
    pub bought: f64,
    /// For storage.
    pub storage: f64,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanAnswer {
    /// Sales less costs, plus what is left, as of now.
    pub worth: f64,
    /// By lot.
    pub lots: Vec<LotPlan>,
    /// By ration and month.
    pub rations: Vec<RationMonth>,
    /// By month.
    pub cash: Vec<MonthCash>,
    /// What a unit of money wanted by the end of a month costs, where cash was asked for and binds.
    pub cash_price: Vec<f64>,
    /// Whether sales are whole trucks.
    pub whole_trucks: bool,
}

pub(super) fn read(ask: &PlanAsk, m: &Model, s: &Solution) -> PlanAnswer {
    const SOME: f64 = 1e-6;
    let mut cash = vec![MonthCash::default(); ask.months];
    let mut lots = Vec::new();
    for (l, lot) in ask.lots.iter().enumerate() {
        let (mut fed, mut sold) = (Vec::new(), Vec::new());
        let (mut trough_t, mut mill_t): (Option<f64>, Option<f64>) = (None, None);
        let better = |best: &mut Option<f64>, x: f64| *best = Some(best.map_or(x, |b| b.max(x)));
        let mut storage = 0.0;
        for month in 0..ask.months {
            for (ration, by_month) in m.feed[l].iter().enumerate() {
                let Some(c) = by_month[month] else { continue };
                let t = s.amount(c);
                if t > SOME {
                    fed.push(Fed { ration, month, tonnes: t });
                }
                // What a tonne more in this ration would save there: the prices of its rows on what the lot holds.
                let column = &m.problem.columns[c.index()];
                if t < column.high.unwrap_or(f64::INFINITY) - 1e-7 {
                    let value: f64 = m.ration_rows[ration][month]
                        .iter()
                        .map(|r| {
                            let k = m.problem.rows[r.index()]
                                .terms
                                .iter()
                                .filter(|(j, _)| *j == c.index())
                                .map(|(_, k)| k)
                                .sum::<f64>();
                            s.price(*r) * k
                        })
                        .sum();
                    better(&mut trough_t, value - column.cost - storage);
                }
            }
            for (buyer, by_month) in m.sell[l].iter().enumerate() {
                let (Some(c), Some(price)) = (by_month[month], ask.price(l, buyer, month)) else { continue };
                let t = s.amount(c);
                better(&mut mill_t, price * discount(ask, month) - storage);
                if t > SOME {
                    cash[month].sales += t * price;
                    sold.push(Sold { buyer, month, tonnes: t, price_t: price });
                }
            }
            let kept = s.amount(m.left[l][month]);
            cash[month].storage += kept * lot.storage_t_month;
            storage += lot.storage_t_month * discount(ask, month);
        }
        lots.push(LotPlan {
            key: lot.offer.key.clone(),
            name: lot.offer.name.clone(),
            tonnes: lot.tonnes,
            fed,
            sold,
            left_t: m.left[l].last().map_or(lot.tonnes, |c| s.amount(*c)),
            worth_t: m.stock[l].first().map_or(0.0, |r| -s.price(*r)),
            trough_t,
            mill_t,
        });
    }
    let mut rations = Vec::new();
    for (r, w) in ask.rations.iter().enumerate() {
        for month in 0..ask.months {
            if m.ration_rows[r][month].is_empty() {
                continue;
            }
            let mut parts = Vec::new();
            for (l, lot) in ask.lots.iter().enumerate() {
                if let Some(c) = m.feed[l][r][month].filter(|c| s.amount(*c) > SOME) {
                    parts.push((lot.offer.key.clone(), s.amount(c)));
                }
            }
            for (c, o) in m.buy[r][month].iter().zip(&w.bought) {
                let t = s.amount(*c);
                cash[month].bought += t * o.price_t;
                if t > SOME {
                    parts.push((o.key.clone(), t));
                }
            }
            parts.sort_by(|a, b| b.1.total_cmp(&a.1));
            rations.push(RationMonth { ration: r, month, parts });
        }
    }
    let cash_price = m.cash.iter().map(|c| c.map_or(0.0, |r| s.price(r) / 1000.0)).collect();
    PlanAnswer { worth: -s.objective, lots, rations, cash, cash_price, whole_trucks: false }
}
