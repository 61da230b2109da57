//! From a bag of feed back to the field, and forward to the pen; and the same from any end.

use std::collections::{BTreeMap, BTreeSet};

use jiff::ToSpan;
use jiff::civil::{Date, DateTime};
use serde::Serialize;
use stook_book::payload::{FeedBatch, LoadTo};
use stook_book::{BinId, Fact, FeedBinId, FieldId, GroupId};
use stook_yard::{BinState, Happened, Source};

use crate::{BarnError, Facts};

/// Where a trace begins.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum From {
    /// A batch by its number.
    Batch(String),
    /// A group: what it ate of late.
    Group(GroupId),
    /// A bin of grain.
    Bin(BinId),
    /// A field.
    Field(FieldId),
    /// Lot number of a bought ingredient.
    Lot(String),
    /// A feed bin.
    FeedBin(FeedBinId),
}

/// A batch in the trace.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BatchLink {
    /// Number.
    pub number: String,
    /// Day.
    pub on: Date,
    /// Ration.
    pub ration: String,
    /// Kg.
    pub kg: f64,
    /// Own grain: bin, kg, and the fields it came from with their shares.
    pub grain: Vec<GrainLink>,
    /// Bought things: key and lot number.
    pub bought: Vec<(String, Option<String>, f64)>,
    /// Into which feed bin.
    pub into: Option<FeedBinId>,
    /// Groups that ate from it while it was there: group, head, first and last day.
    pub ate: Vec<AteLink>,
}

/// Grain in a batch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GrainLink {
    /// Bin.
    pub bin: BinId,
    /// Its name.
    pub name: String,
    /// Kg in the batch.
    pub kg: f64,
    /// Where it came from: field, year, share.
    pub fields: Vec<FieldLink>,
    /// Share that came from elsewhere or is not written, 0 to 1.
    pub other: f64,
}

/// A field in a trace.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldLink {
    /// Key.
    pub field: FieldId,
    /// Name.
    pub name: String,
    /// Harvest year.
    pub year: i16,
    /// Share, 0 to 1.
    pub share: f64,
}

/// A group that ate a batch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AteLink {
    /// Key.
    pub group: GroupId,
    /// Name.
    pub name: String,
    /// Head.
    pub head: u32,
    /// First day.
    pub from: Date,
    /// Last day by the reckoning: when what was on top of it would have been eaten.
    pub to: Date,
}

/// The trace.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trace {
    /// From what, in words.
    pub about: String,
    /// Batches, latest first.
    pub batches: Vec<BatchLink>,
    /// Bins in it.
    pub bins: Vec<(BinId, String)>,
    /// Fields in it.
    pub fields: Vec<FieldLink>,
    /// Groups in it: those that ate it.
    pub groups: Vec<(GroupId, String, u32)>,
    /// What to do, in sentences.
    pub words: Vec<String>,
}

/// Days back that a group's feed is looked at when it goes off its feed.
const LATE_DAYS: i64 = 21;

/// A day as one says it.
fn day(d: Date) -> String {
    d.strftime("%-d %b %Y").to_string()
}

/// Follows it both ways.
///
/// # Errors
/// When there is no such thing in the book.
pub fn trace(f: &Facts<'_>, from: &From) -> Result<Trace, BarnError> {
    let barn = &f.farm.barn;
    let missing = |s: String| BarnError::Missing(s);
    let all: Vec<&Fact<FeedBatch>> = barn.batches.iter().filter(|b| b.on() <= f.on).collect();
    let sources = Sources::new(f);
    let (about, picked): (String, Vec<&Fact<FeedBatch>>) = match from {
        From::Batch(number) => {
            let found: Vec<_> =
                all.iter().copied().filter(|b| b.is.number.eq_ignore_ascii_case(number.trim())).collect();
            if found.is_empty() {
                return Err(missing(format!(
                    "There is no batch {number} in the book; the number stands on the bag and the sheet."
                )));
            }
            (format!("batch {}", found[0].is.number), found)
        }
        From::Group(id) => {
            let g = barn
                .groups
                .get(id)
                .and_then(|g| g.last())
                .ok_or_else(|| missing(format!("There is no group \"{id}\" in the book.")))?;
            let since = f.on.saturating_sub(LATE_DAYS.days());
            let picked = all
                .iter()
                .copied()
                .filter(|b| eaters(f, b).iter().any(|e| e.group == *id && e.to >= since))
                .collect();
            (format!("what {} has eaten since {}", g.is.name, day(since)), picked)
        }
        From::Bin(id) => {
            let name = f
                .farm
                .bins
                .get(id)
                .map(|b| b.bin().name.clone())
                .ok_or_else(|| missing(format!("There is no bin \"{id}\" in the book.")))?;
            let picked = all
                .iter()
                .copied()
                .filter(|b| b.is.lines.iter().any(|l| l.bin.as_ref() == Some(id)))
                .collect();
            (format!("feed made of grain from {name}"), picked)
        }
        From::Field(id) => {
            let name = f
                .farm
                .fields
                .get(id)
                .map(|r| r.field().name.clone())
                .ok_or_else(|| missing(format!("There is no field \"{id}\" in the book.")))?;
            let picked = all
                .iter()
                .copied()
                .filter(|b| {
                    b.is.lines
                        .iter()
                        .filter_map(|l| l.bin.as_ref())
                        .any(|bin| sources.of(bin, b.happened).0.iter().any(|s| s.field == *id))
                })
                .collect();
            (format!("feed that holds grain off {name}"), picked)
        }
        From::Lot(lot) => {
            let picked: Vec<_> = all
                .iter()
                .copied()
                .filter(|b| {
                    b.is.lines
                        .iter()
                        .any(|l| l.lot.as_deref().is_some_and(|x| x.eq_ignore_ascii_case(lot.trim())))
                })
                .collect();
            if picked.is_empty() {
                return Err(missing(format!("No batch in the book holds lot {lot}.")));
            }
            (format!("feed that holds lot {lot}"), picked)
        }
        From::FeedBin(id) => {
            let name = barn
                .feed_bins
                .get(id)
                .map(|b| b.is.name.clone())
                .ok_or_else(|| missing(format!("There is no feed bin \"{id}\" in the book.")))?;
            let since = f.on.saturating_sub(LATE_DAYS.days());
            let picked =
                all.iter().copied().filter(|b| b.is.into.as_ref() == Some(id) && b.on() >= since).collect();
            (format!("what went into {name} since {}", day(since)), picked)
        }
    };
    let mut batches: Vec<BatchLink> = picked.into_iter().map(|b| link(f, &sources, b)).collect();
    batches.sort_by(|a, b| b.on.cmp(&a.on).then(b.number.cmp(&a.number)));
    Ok(whole(f, from, about, batches))
}

fn whole(f: &Facts<'_>, from: &From, about: String, batches: Vec<BatchLink>) -> Trace {
    let mut bins: BTreeMap<BinId, String> = BTreeMap::new();
    let mut fields: BTreeMap<(FieldId, i16), (String, f64)> = BTreeMap::new();
    let mut groups: BTreeMap<GroupId, (String, u32)> = BTreeMap::new();
    let mut grain_kg = 0.0;
    for b in &batches {
        for g in &b.grain {
            bins.insert(g.bin.clone(), g.name.clone());
            grain_kg += g.kg;
            for s in &g.fields {
                let e = fields.entry((s.field.clone(), s.year)).or_insert_with(|| (s.name.clone(), 0.0));
                e.1 += s.share * g.kg;
            }
        }
        for a in &b.ate {
            groups.insert(a.group.clone(), (a.name.clone(), a.head));
        }
    }
    let mut fields: Vec<FieldLink> = fields
        .into_iter()
        .map(|((field, year), (name, kg))| FieldLink {
            field,
            name,
            year,
            share: kg / f64::max(grain_kg, 1e-9),
        })
        .collect();
    fields.sort_by(|a, b| b.share.total_cmp(&a.share));
    let groups: Vec<(GroupId, String, u32)> = groups.into_iter().map(|(k, (n, h))| (k, n, h)).collect();
    let mut words = Vec::new();
    if batches.is_empty() {
        words.push("No batch in the book holds it.".to_string());
    } else if let From::Group(id) = from {
        let last = batches.first();
        if let Some(last) = last {
            words.push(format!(
                "Their last batch is {} of {}. Ring the veterinarian; look at water and air first.",
                last.number,
                day(last.on)
            ));
        }
        let now: BTreeSet<&BinId> = batches
            .iter()
            .filter(|b| b.on >= f.on.saturating_sub(7.days()))
            .flat_map(|b| b.grain.iter().map(|g| &g.bin))
            .collect();
        let before: BTreeSet<&BinId> = batches
            .iter()
            .filter(|b| b.on < f.on.saturating_sub(7.days()))
            .flat_map(|b| b.grain.iter().map(|g| &g.bin))
            .collect();
        let fresh: Vec<String> = now.difference(&before).filter_map(|b| bins.get(*b).cloned()).collect();
        if !fresh.is_empty() && !before.is_empty() {
            words.push(format!(
                "New in their feed this week: {}. Halve it, or stop it for a week, and test it.",
                fresh.join(", ")
            ));
        }
        let others: Vec<&str> = groups.iter().filter(|g| g.0 != *id).map(|g| g.1.as_str()).collect();
        words.push(if others.is_empty() {
            "No other group ate from the same batches.".into()
        } else {
            format!("The same batches went to {}.", others.join(", "))
        });
        words.push("Keep a sample of the feed and of each bin.".into());
    } else if !groups.is_empty() {
        words.push(format!(
            "It went to {}.",
            groups.iter().map(|g| g.1.as_str()).collect::<Vec<_>>().join(", ")
        ));
    }
    Trace { about, bins: bins.into_iter().collect(), fields, groups, batches, words }
}

fn link(f: &Facts<'_>, sources: &Sources<'_>, b: &Fact<FeedBatch>) -> BatchLink {
    let grain =
        b.is.lines
            .iter()
            .filter_map(|l| {
                let bin = l.bin.as_ref()?;
                let (fields, other) = sources.of(bin, b.happened);
                let name = f.farm.bins.get(bin).map_or_else(|| bin.to_string(), |x| x.bin().name.clone());
                Some(GrainLink { bin: bin.clone(), name, kg: l.weighed_kg, fields, other })
            })
            .collect();
    BatchLink {
        number: b.is.number.clone(),
        on: b.on(),
        ration: f
            .farm
            .barn
            .ration(&b.is.ration)
            .map_or_else(|| b.is.ration.to_string(), |r| r.is.name.clone()),
        kg: b.is.total_kg(),
        grain,
        bought: b
            .is
            .lines
            .iter()
            .filter(|l| l.bin.is_none())
            .map(|l| (l.of.clone(), l.lot.clone(), l.weighed_kg))
            .collect(),
        into: b.is.into.clone(),
        ate: eaters(f, b),
    }
}

/// Groups that ate from the feed bin from the day the batch went in until the next two batches have gone in after it, or to now.
fn eaters(f: &Facts<'_>, b: &Fact<FeedBatch>) -> Vec<AteLink> {
    let barn = &f.farm.barn;
    let Some(bin) = &b.is.into else { return Vec::new() };
    let later: Vec<Date> = barn.batches_into(bin).filter(|x| x.happened > b.happened).map(Fact::on).collect();
    // A bin runs roughly first in, first out; what is left under the next batch lasts into it.
    let to = later.get(1).copied().unwrap_or(f.on).min(f.on);
    let mut out = Vec::new();
    for (id, states) in &barn.groups {
        for (n, s) in states.iter().enumerate() {
            let end = states.get(n + 1).map_or(Date::MAX, Fact::on);
            if s.is.feed_bin.as_ref() != Some(bin) || s.on() > to || end < b.on() {
                continue;
            }
            let Some(now) = barn.group(id, b.happened.max(s.happened)) else { continue };
            if now.head == 0 || now.done {
                continue;
            }
            if !out.iter().any(|a: &AteLink| a.group == *id) {
                out.push(AteLink {
                    group: id.clone(),
                    name: s.is.name.clone(),
                    head: now.head,
                    from: b.on().max(s.on()),
                    to,
                });
            }
        }
    }
    out
}

/// Where each bin's grain at the mill came from, by time.
struct Sources<'a> {
    f: &'a Facts<'a>,
    /// Loads to the mill out of each bin: when, and sources with kg.
    milled: BTreeMap<&'a BinId, Vec<(DateTime, Vec<(Source, f64)>)>>,
}

impl<'a> Sources<'a> {
    fn new(f: &'a Facts<'a>) -> Self {
        let milled = f
            .yard
            .bins
            .iter()
            .map(|(id, b)| {
                let out = b
                    .history
                    .iter()
                    .filter_map(|e| match &e.what {
                        Happened::Out { to: LoadTo::Mill, lot, .. } => {
                            Some((e.at, stook_yard::source::sources(lot)))
                        }
                        _ => None,
                    })
                    .collect();
                (id, out)
            })
            .collect();
        Self { f, milled }
    }

    /// Fields of the grain of a bin that was at the mill at a moment: the last load hauled there by then, else what is in the
    /// bin by the book.
    fn of(&self, bin: &BinId, at: DateTime) -> (Vec<FieldLink>, f64) {
        let last = self.milled.get(bin).and_then(|v| v.iter().rev().find(|x| x.0 <= at));
        let found: Vec<(Source, f64)> = match last {
            Some((_, s)) => s.clone(),
            None => self.f.yard.bins.get(bin).map(BinState::sources).unwrap_or_default(),
        };
        let all: f64 = found.iter().map(|s| s.1).sum::<f64>().max(1e-9);
        let mut other = 0.0;
        let mut fields = Vec::new();
        for (s, kg) in found {
            match s {
                Source::Field { field, year } => {
                    let name = self
                        .f
                        .farm
                        .fields
                        .get(&field)
                        .map_or_else(|| field.to_string(), |r| r.field().name.clone());
                    fields.push(FieldLink { field, name, year, share: kg / all });
                }
                _ => other += kg / all,
            }
        }
        (fields, other)
    }
}
