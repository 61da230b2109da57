//! Cash in and out by month for the whole farm: grain and feed by the plan, pigs by the curve, and what falls due.

use jiff::civil::Date;
use serde::Serialize;
use stook_feed::plan::MonthCash;

use crate::{Facts, demand};

/// Cash of a month.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CashMonth {
    /// First day.
    pub month: Date,
    /// From grain.
    pub sales: f64,
    /// From pigs at the farm's price of a market pig; none when it has entered none.
    pub pigs: Option<f64>,
    /// Other money to come in.
    pub other: f64,
    /// For bought feed and storage.
    pub bought: f64,
    /// What falls due.
    pub due: f64,
    /// What comes and what is due, in words.
    pub due_words: Vec<String>,
    /// In hand at its end.
    pub running: f64,
}

fn month_of(months: &[Date], day: Date) -> Option<usize> {
    months.iter().rposition(|m| *m <= day).filter(|_| months.last().is_some_and(|l| day <= l.last_of_month()))
}

/// What a head sold brings, money, by weight; none when the farm has written no price.
fn a_head(f: &Facts<'_>, kg: f64) -> Option<f64> {
    let p = f.farm.price("market_pig", f.on)?;
    match p.unit.as_str() {
        "head" => Some(p.value),
        "kg" => Some(p.value * kg),
        "lb" => Some(p.value * kg / stook_measure::units::KG_PER_LB),
        _ => None,
    }
}

/// Money from pigs by month; none when there is no price, or no growing pigs.
pub fn pigs(f: &Facts<'_>, months: &[Date]) -> Option<Vec<f64>> {
    a_head(f, 1.0)?;
    let end = months.last()?.last_of_month();
    let days = (end - f.on).get_days().max(0) as usize + 1;
    let sold = demand::sold(f, days);
    if sold.is_empty() {
        return None;
    }
    let mut out = vec![0.0; months.len()];
    for s in sold {
        let day = f.on.saturating_add(jiff::Span::new().days(s.day as i64));
        if let Some(m) = month_of(months, day) {
            out[m] += s.head * a_head(f, s.kg)?;
        }
    }
    Some(out)
}

/// What grain must bring by the end of each month so that everything due is paid: dues so far, less what is in hand and
/// comes in besides. A due day in the first ten of a month is met from the month before, unless that is already past.
pub fn wanted(f: &Facts<'_>, months: &[Date]) -> Vec<f64> {
    let mut by = vec![-f.reference.get("barn.cash.in_hand"); months.len()];
    let mut from = |m: usize, x: f64| by[m..].iter_mut().for_each(|b| *b += x);
    for d in f.farm.dues(f.on) {
        if let Some(m) = month_of(months, d.on) {
            from(if d.on.day() <= 10 { m.saturating_sub(1) } else { m }, d.amount);
        }
    }
    for i in f.farm.money_in.iter().filter(|i| i.is.due >= f.on) {
        if let Some(m) = month_of(months, i.is.due) {
            from(m, -i.is.amount);
        }
    }
    for (m, x) in pigs(f, months).into_iter().flatten().enumerate() {
        from(m, -x);
    }
    by.into_iter().map(|x| x.max(0.0)).collect()
}

/// Month by month.
pub fn by_month(f: &Facts<'_>, months: &[Date], plan: &[MonthCash]) -> Vec<CashMonth> {
    let pigs = pigs(f, months);
    let dues = f.farm.dues(f.on);
    let mut running = f.reference.get("barn.cash.in_hand");
    plan.iter()
        .enumerate()
        .map(|(m, c)| {
            let here = |d: Date| month_of(months, d) == Some(m);
            let due: Vec<_> = dues.iter().filter(|d| here(d.on)).collect();
            let other: Vec<_> =
                f.farm.money_in.iter().filter(|i| i.is.due >= f.on && here(i.is.due)).collect();
            let (sum, extra): (f64, f64) =
                (due.iter().map(|d| d.amount).sum(), other.iter().map(|i| i.is.amount).sum());
            let of_pigs = pigs.as_ref().map(|p| p[m]);
            running += c.sales + of_pigs.unwrap_or(0.0) + extra - c.bought - c.storage - sum;
            CashMonth {
                month: months[m],
                sales: c.sales,
                pigs: of_pigs,
                other: extra,
                bought: c.bought + c.storage,
                due: sum,
                due_words: due
                    .iter()
                    .map(|d| d.what.clone())
                    .chain(other.iter().map(|i| format!("in: {}", i.is.what)))
                    .collect(),
                running,
            }
        })
        .collect()
}
