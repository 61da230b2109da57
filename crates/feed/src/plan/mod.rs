//! Mill or trough: one linear program over lots, uses and months.
//!
//! Every tonne of every lot is fed in some ration in some month, sold to some buyer in some month, or kept. Every ration is
//! met in every month from lots and bought ingredients. What it comes to: sales, less what is bought, less storage and
//! interest, plus what is left valued at the end. All money is discounted to the first month.

mod answer;

pub use answer::{Fed, LotPlan, MonthCash, PlanAnswer, RationMonth, Sold};

use stook_optimise::{Col, Conflict, Options, Problem, Row, SolveError, Status};

use crate::need::Need;
use crate::ration::{self, Offer};

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

/// A limit on the average of what is delivered in a month.
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
    /// Grinding and mixing own grain, money a tonne.
    pub grind_t: f64,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Planned {
    /// A plan.
    Found(Box<PlanAnswer>),
    /// Not all can be met.
    Impossible(Option<Conflict>),
}

/// Columns and rows by what they stand for.
pub(crate) struct Model {
    pub problem: Problem,
    /// Lot, ration, month.
    pub feed: Vec<Vec<Vec<Option<Col>>>>,
    /// Ration, month, bought.
    pub buy: Vec<Vec<Vec<Col>>>,
    /// Lot, buyer, month.
    pub sell: Vec<Vec<Vec<Option<Col>>>>,
    /// Lot, month: what is left at its end.
    pub left: Vec<Vec<Col>>,
    /// Lot, month.
    pub stock: Vec<Vec<Row>>,
    /// Ration, month: every row of it.
    pub ration_rows: Vec<Vec<Vec<Row>>>,
    /// Month: cash.
    pub cash: Vec<Option<Row>>,
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

pub(crate) fn model(ask: &PlanAsk) -> Model {
    let mut p = Problem::minimise();
    let (nl, nr, nb, nm) = (ask.lots.len(), ask.rations.len(), ask.buyers.len(), ask.months);
    let mut feed = vec![vec![vec![None; nm]; nr]; nl];
    let mut buy = vec![vec![Vec::new(); nm]; nr];
    let mut ration_rows = vec![vec![Vec::new(); nm]; nr];
    for r in 0..nr {
        let w = &ask.rations[r];
        for m in 0..nm {
            let total = w.tonnes.get(m).copied().unwrap_or(0.0);
            if total <= 1e-9 {
                continue;
            }
            let d = discount(ask, m);
            let mut offers: Vec<Offer> = Vec::new();
            let mut columns: Vec<Col> = Vec::new();
            for (l, lot) in ask.lots.iter().enumerate() {
                let gone = lot.gone_by.is_some_and(|g| m > g);
                let max = w.lot_max.get(l).copied().unwrap_or(0.0);
                if lot.never_fed || gone || max <= 0.0 || lot.tonnes <= 1e-9 {
                    continue;
                }
                let c =
                    p.column(format!("{} in {}", lot.offer.name, w.name), ask.grind_t * d, 0.0, max * total);
                feed[l][r][m] = Some(c);
                offers.push(Offer { max, ..lot.offer.clone() });
                columns.push(c);
            }
            for o in &w.bought {
                let (low, high) = if o.class == "premix" {
                    (w.need.premix_share * total, w.need.premix_share * total)
                } else {
                    (o.min * total, o.max * total)
                };
                let c = p.column(format!("{} in {}", o.name, w.name), o.price_t * d, low, high);
                buy[r][m].push(c);
                offers.push(o.clone());
                columns.push(c);
            }
            let said = ration::rows(
                &mut p,
                &w.need,
                &offers,
                &columns,
                total,
                &format!("{}, month {}", w.name, m + 1),
            );
            ration_rows[r][m] = said.into_iter().map(|s| s.row).collect();
        }
    }
    let mut sell = vec![vec![vec![None; nm]; nb]; nl];
    for l in 0..nl {
        for b in 0..nb {
            for m in 0..nm {
                let gone = ask.lots[l].gone_by.is_some_and(|g| m > g);
                if let Some(price) = ask.price(l, b, m).filter(|_| !gone) {
                    let name = format!("{} to {}", ask.lots[l].offer.name, ask.buyers[b].name);
                    sell[l][b][m] = Some(p.column(name, -price * discount(ask, m), 0.0, f64::INFINITY));
                }
            }
        }
    }
    let mut left = vec![Vec::new(); nl];
    let mut stock = vec![Vec::new(); nl];
    for (l, lot) in ask.lots.iter().enumerate() {
        for m in 0..nm {
            let gone = lot.gone_by.is_some_and(|g| m >= g);
            let mut cost = lot.storage_t_month * discount(ask, m);
            if m + 1 == nm {
                cost -= lot.offer.price_t * discount(ask, nm);
            }
            let high = if gone { 0.0 } else { f64::INFINITY };
            let c = p.column(format!("{} kept", lot.offer.name), cost, 0.0, high);
            let mut terms = vec![(c, 1.0)];
            if let Some(before) = left[l].last() {
                terms.push((*before, -1.0));
            }
            terms.extend(feed[l].iter().filter_map(|by_month| Some((by_month[m]?, 1.0))));
            terms.extend(sell[l].iter().filter_map(|by_month| Some((by_month[m]?, 1.0))));
            let have = if m == 0 { lot.tonnes } else { 0.0 };
            stock[l].push(p.equal(format!("{} in month {}", lot.offer.name, m + 1), have, &terms));
            left[l].push(c);
        }
    }
    let of_buyer = |sell: &Vec<Vec<Vec<Option<Col>>>>,
                    b: usize,
                    m: usize,
                    k: &dyn Fn(usize) -> f64|
     -> Vec<(Col, f64)> { (0..nl).filter_map(|l| Some((sell[l][b][m]?, k(l)))).collect() };
    for (b, buyer) in ask.buyers.iter().enumerate() {
        for m in 0..nm {
            let terms = of_buyer(&sell, b, m, &|_| 1.0);
            p.at_most(format!("what {} takes in month {}", buyer.name, m + 1), buyer.most_month_t, &terms);
            for a in &buyer.averages {
                if let Some(least) = a.least {
                    let t = of_buyer(&sell, b, m, &|l| a.of_lot[l] - least);
                    p.at_least(format!("{} at {}", a.what, buyer.name), 0.0, &t);
                }
                if let Some(top) = a.most {
                    let t = of_buyer(&sell, b, m, &|l| a.of_lot[l] - top);
                    p.at_most(format!("{} at {}", a.what, buyer.name), 0.0, &t);
                }
            }
        }
        for c in &buyer.contracts {
            let terms: Vec<_> = (c.from..=c.to.min(nm.saturating_sub(1)))
                .flat_map(|m| of_buyer(&sell, b, m, &|_| 1.0))
                .collect();
            p.at_least(format!("the contract with {}", buyer.name), c.tonnes, &terms);
        }
    }
    let mut cash = vec![None; nm];
    for (m, wanted) in ask.cash_by.iter().enumerate().take(nm) {
        if *wanted <= 0.0 {
            continue;
        }
        let mut terms = Vec::new();
        for l in 0..nl {
            for b in 0..nb {
                for k in 0..=m {
                    if let (Some(c), Some(price)) = (sell[l][b][k], ask.price(l, b, k)) {
                        terms.push((c, price / 1000.0));
                    }
                }
            }
        }
        if ask.cash_pays_feed {
            for (w, by_month) in ask.rations.iter().zip(&buy) {
                for columns in &by_month[..=m] {
                    terms.extend(columns.iter().zip(&w.bought).map(|(c, o)| (*c, -o.price_t / 1000.0)));
                }
            }
            for (lot, by_month) in ask.lots.iter().zip(&left) {
                terms.extend(by_month[..=m].iter().map(|c| (*c, -lot.storage_t_month / 1000.0)));
            }
        }
        cash[m] = Some(p.at_least(format!("cash by the end of month {}", m + 1), wanted / 1000.0, &terms));
    }
    Model { problem: p, feed, buy, sell, left, stock, ration_rows, cash }
}

/// Solves it. With whole trucks the linear answer is found first; then whole trucks are asked for on the sales it makes, a
/// neighbouring month at the most, within half a percent of the best such plan.
///
/// # Errors
/// When a figure is not a number or the solver gives up.
pub fn plan(ask: &PlanAsk) -> Result<Planned, SolveError> {
    let m = model(ask);
    let s = m.problem.solve()?;
    if s.status != Status::Optimal {
        return Ok(Planned::Impossible(m.problem.explain_infeasible()?));
    }
    let mut answer = answer::read(ask, &m, &s);
    if let Some(truck) = ask.truck_t {
        let mut whole = m.problem.clone();
        for lot in &m.sell {
            for by_month in lot {
                for (k, c) in by_month.iter().enumerate() {
                    let Some(c) = *c else { continue };
                    let near = (k.saturating_sub(1)..=(k + 1).min(ask.months - 1))
                        .any(|j| by_month[j].is_some_and(|c| s.amount(c) > 1e-6));
                    if near {
                        let trucks = whole.whole(
                            format!("trucks: {}", m.problem.columns[c.index()].name),
                            0.0,
                            0.0,
                            1e4,
                        );
                        whole.equal("whole trucks", 0.0, &[(c, 1.0), (trucks, -truck)]);
                    } else {
                        whole.columns[c.index()].high = Some(0.0);
                    }
                }
            }
        }
        let options = Options { time_limit_s: 5.0, gap: 0.005, ranges: false };
        let w = whole.solve_with(options)?;
        if w.found() {
            let worth = answer.lots.clone();
            answer = answer::read(ask, &m, &w);
            // Prices stand for the linear answer: a tonne, not a truck.
            for (lot, linear) in answer.lots.iter_mut().zip(worth) {
                (lot.worth_t, lot.trough_t, lot.mill_t) = (linear.worth_t, linear.trough_t, linear.mill_t);
            }
            answer.whole_trucks = true;
        }
    }
    Ok(Planned::Found(Box::new(answer)))
}

#[cfg(test)]
mod tests;
