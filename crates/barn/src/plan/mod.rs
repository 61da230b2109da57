//! Mill or trough for the farm as it stands: which bin to feed, which to sell, when, and what would change it.

mod put;
mod what_if;
mod words;

use std::borrow::Cow;
use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;
use stook_book::BinId;
use stook_feed::Phase;
use stook_feed::plan::{self, PlanAsk, Planned};
use stook_feed::ration::conflict_words;
use stook_measure::{Range, figure};

use put::{Put, put};
use words::{headline, lot_answer};

use crate::cash::{self, CashMonth};
use crate::hold::{self, Hold};
use crate::offers::OwnLot;
use crate::{BarnError, Facts};

/// What may be asked besides the book.
#[derive(Debug, Clone, Default)]
pub struct Asked<'a> {
    /// Chance of running short of own grain that is accepted, %; the farm's own number when none.
    pub short_pct: Option<f64>,
    /// Life the grain of a bin has left as it lies, where that is known.
    pub life: Cow<'a, BTreeMap<BinId, Life>>,
}

/// Life left.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Life {
    /// Days.
    pub days: f64,
    /// Whether the sources stop counting there: at least so long.
    pub at_least: bool,
}

/// A limit on the average of what a buyer is delivered: blending to it is agreed and said.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Blend {
    /// Buyer.
    pub buyer: String,
    /// `protein` or `DON`.
    pub what: String,
    /// Least of the average.
    pub least: Option<f64>,
    /// Most.
    pub most: Option<f64>,
    /// Delivered already: tonnes and their average.
    pub had: Option<(f64, f64)>,
    /// Tonnes the plan sends on top.
    pub tonnes: f64,
    /// What all of it then averages.
    pub comes_to: Option<f64>,
    #[serde(skip)]
    place: usize,
    #[serde(skip)]
    of_lot: Vec<f64>,
}

/// Where a lot goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Goes {
    /// To the pigs, all or nearly.
    Trough,
    /// To a buyer, all or nearly.
    Mill,
    /// Some to each.
    Both,
    /// Kept.
    Kept,
}

/// A lot in the plan.
#[derive(Debug, Clone, Serialize)]
pub struct LotAnswer {
    /// The lot.
    pub lot: OwnLot,
    /// Where it goes.
    pub goes: Goes,
    /// In a sentence: what to do, worth in the trough against at the mill.
    pub words: String,
    /// Why, in a sentence.
    pub why: String,
    /// Tonnes fed, sold, left.
    pub fed_t: f64,
    /// Sold.
    pub sold_t: f64,
    /// Left at the end.
    pub left_t: f64,
    /// Worth of a tonne in the trough.
    pub trough_t: Option<f64>,
    /// What it brings at the mill.
    pub mill_t: Option<f64>,
    /// Sales: month, buyer, tonnes, net price.
    pub sales: Vec<(Date, String, f64, f64)>,
    /// Fed: month and tonnes.
    pub feeding: Vec<(Date, f64)>,
    /// Fed by phase, tonnes.
    pub by_phase: Vec<(Phase, f64)>,
}

/// What one change does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhatIf {
    /// What is changed.
    pub what: String,
    /// Money gained (lost when less than nothing) over the plan, money.
    pub money: f64,
    /// Lots that go elsewhere then, in words; empty when the plan stands.
    pub moves: Vec<String>,
}

/// The whole answer.
#[derive(Debug, Clone, Serialize)]
pub struct Whole {
    /// The day.
    pub on: Date,
    /// First days of the months.
    pub months: Vec<Date>,
    /// In the first sentences: what to do.
    pub headline: Vec<String>,
    /// Lots.
    pub lots: Vec<LotAnswer>,
    /// Bushels to keep.
    pub hold: Vec<Hold>,
    /// What would change it.
    pub what_if: Vec<WhatIf>,
    /// Cash.
    pub cash: Vec<CashMonth>,
    /// Whether sales are whole trucks.
    pub whole_trucks: bool,
    /// What the plan rests on and leaves out.
    pub notes: Vec<String>,
    /// Why there is no plan, in sentences.
    pub conflict: Vec<String>,
    /// Grain and feed wanted by phase over the months, t.
    pub wanted: Vec<(Phase, f64)>,
    /// Worth of the plan, money.
    pub worth: Option<f64>,
    /// The same with grain prices low and high, one season in ten each.
    pub worth_range: Option<Range>,
    /// Limits on the average of deliveries.
    pub blends: Vec<Blend>,
    /// Bins in the order to finish them, where their life is known: bin, days left, last month it is used in the plan.
    pub finish: Vec<Finish>,
}

/// When a bin's grain must be gone, and when the plan has it gone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finish {
    /// Bin.
    pub bin: BinId,
    /// Name.
    pub name: String,
    /// Days it keeps as it lies.
    pub days: f64,
    /// Whether it is at least so long: no source counts on.
    pub at_least: bool,
    /// Day that is.
    pub until: Date,
    /// First day of the last month the plan takes from it; none when it is not touched.
    pub last_used: Option<Date>,
    /// Tonnes still there at the end of the plan.
    pub left_t: f64,
}

/// Answers for the farm.
///
/// # Errors
/// When the solver cannot be used.
pub fn answer(f: &Facts<'_>) -> Result<Whole, BarnError> {
    answer_to(f, &Asked::default())
}

/// Answers for the farm with what is asked besides.
///
/// # Errors
/// When the solver cannot be used.
pub fn answer_to(f: &Facts<'_>, asked: &Asked<'_>) -> Result<Whole, BarnError> {
    let mut p = put(f, asked, 0.0)?;
    let hold = hold::answer(f, asked.short_pct);
    let wanted: Vec<(Phase, f64)> =
        p.phases.iter().zip(&p.ask.rations).map(|(ph, w)| (*ph, w.tonnes.iter().sum())).collect();
    if p.ask.lots.is_empty() {
        p.notes.insert(0, "There is no grain in the bins that the barn or a buyer could take.".into());
    }
    let mut conflict = Vec::new();
    let found = match plan::plan(&p.ask)? {
        Planned::Found(a) => Some(*a),
        Planned::Impossible(c) => {
            conflict = c.as_ref().map_or_else(Vec::new, conflict_words);
            without(&mut p, &mut conflict)?
        }
    };
    let Some(linear) = found else {
        return Ok(Whole {
            on: f.on,
            months: p.months,
            headline: vec!["No plan meets all that is asked.".into()],
            lots: Vec::new(),
            hold,
            what_if: Vec::new(),
            cash: Vec::new(),
            whole_trucks: false,
            notes: p.notes,
            conflict,
            wanted,
            worth: None,
            worth_range: None,
            blends: Vec::new(),
            finish: Vec::new(),
        });
    };
    let what_if = what_if::what_if(f, asked, &p, &linear)?;
    let worth_range = what_if::range(f, &p, &linear)?;
    let truck = f.reference.get("barn.plan.truck_t");
    let a = match plan::plan(&PlanAsk { truck_t: Some(truck), ..p.ask.clone() })? {
        Planned::Found(a) => *a,
        Planned::Impossible(_) => linear.clone(),
    };
    let lots: Vec<LotAnswer> = a
        .lots
        .iter()
        .zip(&p.lots)
        .map(|(l, own)| lot_answer(&p, l, own, a.whole_trucks.then_some(truck)))
        .collect();
    let cash = cash::by_month(f, &p.months, &a.cash);
    p.notes.push(format!(
        "Sold in whole trucks of {} t; storage {} a tonne and month, interest {} % a year, grinding {} a tonne; grain left at the end is worth {} % of today's best bid. Prices are taken as offered; what low and high ones do stands under what would change it.",
        figure(truck, 0),
        figure(f.reference.get("barn.plan.storage_t_month"), 2),
        figure(f.reference.get("barn.plan.interest_pct"), 1),
        figure(p.ask.grind_t, 0),
        figure(100.0 * f.reference.get("barn.plan.carry_over_share"), 0),
    ));
    let blends = blends(&p, &a);
    p.notes.push(if blends.is_empty() {
        "Each lot is sold on its own grade; nothing here is blended to slip past a limit. In a ration the DON of all parts together is held under the limit for pigs.".into()
    } else {
        "Loads are blended only where the buyer's offer says its limits are of the average delivered, and that is stated above; every other lot is sold on its own grade. In a ration the DON of all parts together is held under the limit for pigs.".to_string()
    });
    let finish = finish(f, asked, &lots);
    Ok(Whole {
        on: f.on,
        months: p.months.clone(),
        headline: headline(&lots),
        lots,
        hold,
        what_if,
        cash,
        whole_trucks: a.whole_trucks,
        notes: p.notes,
        conflict,
        wanted,
        worth: Some(linear.worth),
        worth_range,
        blends,
        finish,
    })
}

/// The plan with what cannot be had dropped one after the other, each said: first the life of the bins, which cold air can
/// lengthen, then cash, which grain alone cannot always bring.
fn without(p: &mut Put, conflict: &mut Vec<String>) -> Result<Option<plan::PlanAnswer>, BarnError> {
    if p.ask.lots.iter().any(|l| l.gone_by.is_some()) {
        p.ask.lots.iter_mut().for_each(|l| l.gone_by = None);
        if let Planned::Found(a) = plan::plan(&p.ask)? {
            p.notes.insert(0, "As the grain lies now it does not keep as long as the barn needs it: it is planned as if it kept. Cool it and watch it; see which bin to finish first.".into());
            conflict.clear();
            return Ok(Some(*a));
        }
    }
    // Cash cannot be had from grain alone: say so and plan without it.
    if p.ask.cash_by.iter().any(|c| *c > 0.0) {
        p.ask.cash_by = vec![0.0; p.ask.months];
        if let Planned::Found(a) = plan::plan(&p.ask)? {
            p.notes.insert(0, "The payments due cannot be met from grain alone by their day: the plan leaves them out; see what does not go together.".into());
            return Ok(Some(*a));
        }
    }
    Ok(None)
}

/// What the averages come to with what the plan sends.
fn blends(p: &Put, a: &plan::PlanAnswer) -> Vec<Blend> {
    p.blends
        .iter()
        .map(|b| {
            let (mut t, mut sum) = b.had.map_or((0.0, 0.0), |(t, x)| (t, t * x));
            let mut sent = 0.0;
            for (l, lot) in a.lots.iter().enumerate() {
                for s in lot.sold.iter().filter(|s| s.buyer == b.place) {
                    t += s.tonnes;
                    sum += s.tonnes * b.of_lot[l];
                    sent += s.tonnes;
                }
            }
            Blend { tonnes: sent, comes_to: (t > 0.0).then(|| sum / t), ..b.clone() }
        })
        .collect()
}

/// Bins by the life they have left, the shortest first.
fn finish(f: &Facts<'_>, asked: &Asked<'_>, lots: &[LotAnswer]) -> Vec<Finish> {
    let mut all: Vec<Finish> = lots
        .iter()
        .filter_map(|l| {
            let Life { days, at_least } = *asked.life.get(&l.lot.bin)?;
            let used = l.feeding.iter().map(|x| x.0).chain(l.sales.iter().map(|s| s.0)).max();
            Some(Finish {
                bin: l.lot.bin.clone(),
                name: l.lot.name.clone(),
                days,
                at_least,
                until: f.on.saturating_add(jiff::Span::new().days(days.clamp(0.0, 1e4) as i64)),
                last_used: used,
                left_t: l.left_t,
            })
        })
        .collect();
    all.sort_by(|a, b| a.days.total_cmp(&b.days));
    all
}
