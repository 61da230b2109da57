//! The re-entry and pre-harvest intervals running on the farm.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};
use stook_book::farm::Farm;

use crate::words;

/// Which interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum IntervalKind {
    /// Nobody enters.
    ReEntry,
    /// Nobody cuts.
    PreHarvest,
}

/// An interval that has not ended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenInterval {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Which.
    pub kind: IntervalKind,
    /// What was in the tank.
    pub product: String,
    /// When the sprayer left.
    pub sprayed: DateTime,
    /// Its end: a moment for entering, the start of the first day allowed for cutting.
    pub until: DateTime,
    /// The spray entry's first id.
    pub entry: String,
    /// In a sentence.
    pub words: String,
}

/// Every interval running at `at`, those on entering first, soonest to end first. A field that is off for the year no
/// longer waits for its cut.
pub fn open(farm: &Farm, at: DateTime) -> Vec<OpenInterval> {
    let mut out = Vec::new();
    for r in farm.fields.values() {
        let (id, name) = (r.field().id.to_string(), r.field().name.clone());
        if let Some((until, pass)) = r.entry_blocked(at, None) {
            out.push(OpenInterval {
                words: format!(
                    "Nobody enters {name} before {} {}: {} was sprayed {} at {}.",
                    words::day_from(at.date(), until.date()),
                    clock(until),
                    pass.products(),
                    said_past(at, pass.ended()),
                    clock(pass.ended())
                ),
                field: id.clone(),
                name: name.clone(),
                kind: IntervalKind::ReEntry,
                product: pass.products(),
                sprayed: pass.ended(),
                until,
                entry: pass.first.to_string(),
            });
        }
        let Some((day, pass)) = r.cut_blocked(at) else { continue };
        if r.cuts.iter().any(|c| c.is.done && c.happened >= pass.happened && c.happened <= at) {
            continue;
        }
        out.push(OpenInterval {
            words: format!(
                "{name} may be cut from {}: {} was sprayed on {}.",
                words::day(day),
                pass.products(),
                words::day(pass.ended().date())
            ),
            field: id,
            name,
            kind: IntervalKind::PreHarvest,
            product: pass.products(),
            sprayed: pass.ended(),
            until: day.at(0, 0, 0, 0),
            entry: pass.first.to_string(),
        });
    }
    out.sort_by_key(|i| (i.kind == IntervalKind::PreHarvest, i.until, i.name.clone()));
    out
}

/// `6:05`.
pub fn clock(t: DateTime) -> String {
    format!("{}:{:02}", t.hour(), t.minute())
}

fn said_past(now: DateTime, then: DateTime) -> String {
    match (now.date() - then.date()).get_days() {
        0 => "today".into(),
        1 => "yesterday".into(),
        _ => format!("on {}", words::day(then.date())),
    }
}
