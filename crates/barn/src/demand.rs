//! Feed wanted by week and by month, phase by phase, with a range.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;
use stook_feed::{Phase, growth};
use stook_measure::Range;

use crate::Facts;
use crate::herd::{self, GroupToday, SOLD_AT_KG};

/// Weaned a litter, and weight at weaning, where the book says nothing.
const WEANED: f64 = 11.0;
const WEANED_KG: f64 = 6.0;
const LOST: f64 = 0.05;

/// Feed of a day by phase, kg.
pub type ByPhase = BTreeMap<Phase, f64>;

/// A week of feed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Week {
    /// First day.
    pub from: Date,
    /// Feed by phase, kg.
    pub by_phase: ByPhase,
    /// All of it, kg, one week in ten below and above.
    pub all_kg: Range,
}

/// Feed day by day for `days` days from the day asked for.
///
/// Groups grow by the curve and leave at their weight. Sows stay as many as they are; their litters are weaned week by week
/// and become the groups to come. Without sows in the book nothing is bought in: the figure then falls as groups are sold.
pub fn days(f: &Facts<'_>, days: usize) -> Vec<ByPhase> {
    run(f, days).0
}

/// Pigs that leave at their weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoldPigs {
    /// Days from the day asked for.
    pub day: usize,
    /// Head.
    pub head: f64,
    /// Weight of each, kg.
    pub kg: f64,
}

/// Pigs that reach the weight they are sold at in the next `days` days.
pub fn sold(f: &Facts<'_>, days: usize) -> Vec<SoldPigs> {
    run(f, days).1
}

fn run(f: &Facts<'_>, days: usize) -> (Vec<ByPhase>, Vec<SoldPigs>) {
    let groups = herd::today(f);
    let mut out = vec![ByPhase::new(); days];
    let mut sold: Vec<SoldPigs> = Vec::new();
    let put = |out: &mut Vec<ByPhase>, day: usize, phase: Phase, kg: f64| {
        *out[day].entry(phase).or_insert(0.0) += kg;
    };
    let mut sows = 0.0;
    for g in &groups {
        match g.phase {
            Some(Phase::Gestation | Phase::Lactation) => {
                sows += f64::from(g.head);
                for d in 0..days {
                    put(&mut out, d, g.phase.expect("just matched"), f64::from(g.head) * g.feed_kg_d);
                }
            }
            Some(_) => {
                let head = f64::from(g.head);
                sold.extend(grow(f, g, head, g.kg.unwrap_or(30.0), 0, days, &mut |d, ph, kg| {
                    put(&mut out, d, ph, kg)
                }));
            }
            None => {}
        }
    }
    let a_week = sows * growth::litters_per_sow(&f.params) / 52.0 * WEANED * (1.0 - LOST);
    if a_week > 0.0 {
        // The newest group in the barn stands for the weeks since; the next is weaned a week after it.
        let newest = groups
            .iter()
            .filter(|g| g.sold_at_kg > 0.0 && g.phase.is_some_and(|p| !p.is_sow()))
            .filter_map(|g| g.kg)
            .fold(f64::INFINITY, f64::min);
        let since = if newest.is_finite() && newest > WEANED_KG {
            growth::stretch(&f.params, WEANED_KG, newest).days
        } else {
            0.0
        };
        let mut start = (7.0 - since.min(7.0)).max(0.0) as usize;
        let like = GroupToday {
            id: "weaned".into(),
            name: "weaned".into(),
            kind: "growing pigs",
            pigs: true,
            head: 0,
            died: 0,
            kg: Some(WEANED_KG),
            phase: Some(Phase::Starter1),
            feed_kg_d: 0.0,
            sold_at_kg: SOLD_AT_KG,
            days_to_sale: None,
            feed_bin: None,
            sex: stook_feed::Sex::Mixed,
            bedded: false,
        };
        while start < days {
            sold.extend(grow(f, &like, a_week, WEANED_KG, start, days, &mut |d, ph, kg| {
                put(&mut out, d, ph, kg)
            }));
            start += 7;
        }
    }
    (out, sold)
}

fn grow(
    f: &Facts<'_>,
    g: &GroupToday,
    head: f64,
    kg: f64,
    from: usize,
    days: usize,
    put: &mut dyn FnMut(usize, Phase, f64),
) -> Option<SoldPigs> {
    let mut kg = kg;
    for d in from..days {
        if kg >= g.sold_at_kg {
            return Some(SoldPigs { day: d, head, kg });
        }
        put(d, Phase::at_kg(kg), head * herd::eats_at(f, g, kg));
        kg = growth::weight_after(&f.params, kg, 1.0);
    }
    None
}

/// The spread about a sum of feed, as a range.
pub fn range(f: &Facts<'_>, kg: f64) -> Range {
    const NINE_IN_TEN: f64 = 1.2816;
    let s = NINE_IN_TEN * f.params.growth_spread * kg;
    Range { p10: kg - s, p50: kg, p90: kg + s }
}

/// Week by week.
pub fn weeks(f: &Facts<'_>, n: usize) -> Vec<Week> {
    days(f, 7 * n)
        .chunks(7)
        .enumerate()
        .map(|(w, days)| {
            let mut by_phase = ByPhase::new();
            for d in days {
                for (p, kg) in d {
                    *by_phase.entry(*p).or_insert(0.0) += kg;
                }
            }
            let all: f64 = by_phase.values().sum();
            Week { from: f.on.saturating_add((7 * w as i64).days()), by_phase, all_kg: range(f, all) }
        })
        .collect()
}

/// Tonnes by phase for each calendar month from the day asked for; the first is what is left of it.
pub fn months(f: &Facts<'_>, n: usize) -> Vec<(Date, ByPhase)> {
    let mut firsts = vec![f.on];
    for _ in 0..n {
        let next = firsts.last().expect("not empty").last_of_month().saturating_add(1.day());
        firsts.push(next);
    }
    let total = (firsts[n] - f.on).get_days() as usize;
    let all = days(f, total);
    (0..n)
        .map(|m| {
            let from = (firsts[m] - f.on).get_days() as usize;
            let to = (firsts[m + 1] - f.on).get_days() as usize;
            let mut sum = ByPhase::new();
            for d in &all[from..to] {
                for (p, kg) in d {
                    *sum.entry(*p).or_insert(0.0) += kg / 1000.0;
                }
            }
            (firsts[m], sum)
        })
        .collect()
}
