//! The plan as a linear program: a column for every tonne's way, a row for every limit.

use stook_optimise::{Col, Problem, Row};

use super::PlanAsk;
use super::ask::discount;
use crate::ration::{self, Offer};

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
        }
        if let Some(most) = buyer.most_t {
            let terms: Vec<_> = (0..nm).flat_map(|m| of_buyer(&sell, b, m, &|_| 1.0)).collect();
            p.at_most(format!("what {} takes in all", buyer.name), most, &terms);
        }
        for a in &buyer.averages {
            let spans: Vec<(usize, usize)> =
                a.window.map_or_else(|| (0..nm).map(|m| (m, m)).collect(), |w| vec![w]);
            for (from, to) in spans {
                // Over or under the limit by the tonne; what was delivered already stands on the other side.
                let over = |limit: f64| -> Vec<(Col, f64)> {
                    (from..=to.min(nm.saturating_sub(1)))
                        .flat_map(|m| of_buyer(&sell, b, m, &|l| a.of_lot[l] - limit))
                        .collect()
                };
                let had = |limit: f64| a.had.map_or(0.0, |(t, x)| t * (x - limit));
                let name = format!("{} at {}", a.what, buyer.name);
                if let Some(least) = a.least {
                    p.at_least(name.clone(), -had(least), &over(least));
                }
                if let Some(top) = a.most {
                    p.at_most(name, -had(top), &over(top));
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
    for k in &ask.keep {
        let terms: Vec<_> = k.lots.iter().map(|l| (left[*l][k.month.min(nm - 1)], 1.0)).collect();
        p.at_least(k.name.clone(), k.tonnes, &terms);
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
