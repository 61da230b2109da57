//! Feed bins: what is in each, when it runs out, what to mill next.

use jiff::ToSpan;
use jiff::civil::{Date, DateTime};
use serde::Serialize;
use stook_book::FeedBinId;
use stook_feed::{Phase, growth};

use crate::Facts;
use crate::herd::{self, GroupToday};

/// A feed bin today.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FeedBinToday {
    /// Key.
    pub id: FeedBinId,
    /// Name.
    pub name: String,
    /// Phase of its feed.
    pub phase: Option<Phase>,
    /// What it holds when full, kg.
    pub holds_kg: f64,
    /// In it by the book, kg; none when no level was ever seen and nothing put in.
    pub kg: Option<f64>,
    /// Eaten from it a day, kg.
    pub eaten_kg_d: f64,
    /// Days until it is empty.
    pub days_left: Option<f64>,
    /// When that is.
    pub empty_at: Option<DateTime>,
    /// Groups that eat from it.
    pub groups: Vec<String>,
    /// What it can take before it is full, kg.
    pub room_kg: f64,
    /// The day the level was last seen.
    pub seen: Option<Date>,
}

/// Every feed bin, soonest empty first. The day's own feed is taken as given at noon.
pub fn today(f: &Facts<'_>) -> Vec<FeedBinToday> {
    let groups = herd::today(f);
    let barn = &f.farm.barn;
    let mut all: Vec<FeedBinToday> = barn
        .feed_bins
        .values()
        .map(|b| {
            let bin = &b.is;
            let eaters: Vec<&GroupToday> =
                groups.iter().filter(|g| g.feed_bin.as_ref() == Some(&bin.id)).collect();
            let level = barn.level(&bin.id, f.on);
            let since = level.map(|l| l.happened);
            let put_in: f64 = barn
                .batches_into(&bin.id)
                .filter(|x| x.on() <= f.on && since.is_none_or(|s| x.happened > s))
                .map(|x| x.is.total_kg())
                .sum();
            let known = level.is_some() || put_in > 0.0;
            let days_back = level.map_or(0.0, |l| f64::from((f.on - l.on()).get_days().max(0)));
            let eaten_since: f64 = eaters.iter().map(|g| eaten(f, g, -days_back)).sum();
            let kg = known.then(|| (level.map_or(0.0, |l| l.is.kg) + put_in - eaten_since).max(0.0));
            let eaten_kg_d: f64 = eaters.iter().map(|g| f64::from(g.head) * g.feed_kg_d).sum();
            let days_left = kg.filter(|_| eaten_kg_d > 0.0).map(|kg| lasts(f, &eaters, kg));
            let empty_at =
                days_left.map(|d| f.on.at(6, 0, 0, 0).saturating_add(((d * 24.0).round() as i64).hours()));
            FeedBinToday {
                id: bin.id.clone(),
                name: bin.name.clone(),
                phase: bin
                    .phase
                    .as_deref()
                    .and_then(Phase::from_key)
                    .or_else(|| eaters.iter().find_map(|g| g.phase)),
                holds_kg: bin.holds_kg,
                kg,
                eaten_kg_d,
                days_left,
                empty_at,
                groups: eaters.iter().map(|g| g.name.clone()).collect(),
                room_kg: (bin.holds_kg - kg.unwrap_or(0.0)).max(0.0),
                seen: level.map(stook_book::Fact::on),
            }
        })
        .collect();
    all.sort_by(|a, b| a.days_left.unwrap_or(f64::INFINITY).total_cmp(&b.days_left.unwrap_or(f64::INFINITY)));
    all
}

/// Feed a group eats over `days` from now, kg; before now when less than nothing.
fn eaten(f: &Facts<'_>, g: &GroupToday, days: f64) -> f64 {
    let n = days.abs().round() as usize;
    let Some(kg) = g.kg.filter(|_| g.phase.is_some_and(|p| !p.is_sow())) else {
        return f64::from(g.head) * g.feed_kg_d * n as f64;
    };
    (0..n)
        .map(|d| {
            let at = if days < 0.0 {
                // The curve backwards, near enough by the day's own gain.
                let gain = growth::weight_after(&f.params, kg, 1.0) - kg;
                (kg - gain * (d + 1) as f64).max(5.0)
            } else {
                growth::weight_after(&f.params, kg, d as f64)
            };
            f64::from(g.head) * herd::eats_at(f, g, at)
        })
        .sum()
}

/// Days `kg` of feed last the groups as they grow.
fn lasts(f: &Facts<'_>, groups: &[&GroupToday], kg: f64) -> f64 {
    let (mut left, mut day) = (kg, 0_usize);
    while day < 400 {
        let a_day: f64 = groups
            .iter()
            .map(|g| match g.kg.filter(|_| g.phase.is_some_and(|p| !p.is_sow())) {
                Some(w) => {
                    f64::from(g.head) * herd::eats_at(f, g, growth::weight_after(&f.params, w, day as f64))
                }
                None => f64::from(g.head) * g.feed_kg_d,
            })
            .sum();
        if a_day <= 0.0 || left <= a_day {
            return day as f64 + if a_day > 0.0 { left / a_day } else { 0.0 };
        }
        left -= a_day;
        day += 1;
    }
    day as f64
}

/// One batch to mill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ToMill {
    /// Phase.
    pub phase: Phase,
    /// Into which feed bin.
    pub feed_bin: FeedBinId,
    /// Its name.
    pub name: String,
    /// When it is empty.
    pub empty_at: DateTime,
    /// Batches that fit.
    pub batches: u32,
    /// Whether to flush before it: it is for sows or starters and does not come first.
    pub flush: bool,
}

/// What to mill by the end of `days` days: delicate feed first, so that nothing carries over into it.
pub fn to_mill(f: &Facts<'_>, days: f64) -> Vec<ToMill> {
    let mixer_kg = f.farm.barn.mixers.values().next().map_or(1000.0, |m| m.is.batch_kg);
    let mut list: Vec<ToMill> = today(f)
        .into_iter()
        .filter_map(|b| {
            let (phase, left, at) = (b.phase?, b.days_left?, b.empty_at?);
            (left <= days && b.room_kg >= 0.5 * mixer_kg).then(|| ToMill {
                phase,
                feed_bin: b.id,
                name: b.name,
                empty_at: at,
                batches: ((b.room_kg / mixer_kg).floor() as u32).clamp(1, 12),
                flush: false,
            })
        })
        .collect();
    // Sows and starters first (clean to risky); then by hour.
    list.sort_by(|a, b| {
        (!a.phase.is_delicate()).cmp(&!b.phase.is_delicate()).then(a.empty_at.cmp(&b.empty_at))
    });
    // What would run empty first all the same goes first when it cannot wait a day.
    list.sort_by_key(|t| t.empty_at > f.on.at(6, 0, 0, 0).saturating_add(24.hours()));
    let mut before: Option<Phase> = None;
    for t in &mut list {
        t.flush = t.phase.is_delicate() && before.is_some_and(|b| b != t.phase && !b.is_delicate());
        before = Some(t.phase);
    }
    list
}
