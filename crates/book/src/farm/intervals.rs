//! Re-entry and pre-harvest intervals of the sprays on record: what they forbid, and until when.

use jiff::civil::{Date, DateTime};
use uuid::Uuid;

use super::{Fact, FieldRecord};
use crate::payload::{EnteredEarly, SprayPass};

/// A pass this long ago can hold nothing up any more, days: no label's interval is longer.
const LOOK_BACK_DAYS: i32 = 400;

impl Fact<SprayPass> {
    /// When the sprayer left; when it began, if that is all that is written.
    pub fn ended(&self) -> DateTime {
        self.is.finished.unwrap_or(self.happened)
    }

    /// First day the field may be cut by this pass.
    pub fn earliest_cut(&self) -> Option<Date> {
        self.is.earliest_cut(self.ended().date())
    }

    /// The moment anyone may enter again by this pass.
    pub fn enter_from(&self) -> Option<DateTime> {
        self.is.enter_from(self.ended())
    }

    /// What was in the tank, for a sentence: `Product A with Product B`.
    pub fn products(&self) -> String {
        let mut said = self.is.product.clone();
        for (i, part) in self.is.mix.iter().enumerate() {
            said.push_str(if i == 0 { " with " } else { " and " });
            said.push_str(&part.product);
        }
        said
    }
}

impl FieldRecord {
    /// First day the field may be cut after the passes that had been made by `at`, with the pass that sets it, when
    /// that day is still to come. A pass after the cut holds nothing up.
    pub fn cut_blocked(&self, at: DateTime) -> Option<(Date, &Fact<SprayPass>)> {
        self.recent(at)
            .filter_map(|s| Some((s.earliest_cut()?, s)))
            .max_by_key(|(day, _)| *day)
            .filter(|(day, _)| *day > at.date())
    }

    /// The moment anyone may enter again, with the pass that sets it, when `at` lies inside a re-entry interval.
    /// `but` is left out: an entry that corrects a pass is not held up by what it corrects.
    pub fn entry_blocked(&self, at: DateTime, but: Option<Uuid>) -> Option<(DateTime, &Fact<SprayPass>)> {
        self.recent(at)
            .filter(|s| but.is_none_or(|id| s.entry != id && s.first != id))
            .filter_map(|s| Some((s.enter_from()?, s)))
            .max_by_key(|(until, _)| *until)
            .filter(|(until, _)| *until > at)
    }

    /// The reason given for going in inside the re-entry interval of `pass`, if one was by `at`.
    pub fn entered_early(&self, pass: &Fact<SprayPass>, at: DateTime) -> Option<&Fact<EnteredEarly>> {
        self.early.iter().rev().find(|e| e.happened >= pass.happened && e.happened <= at)
    }

    /// Passes begun by `at`, recent enough to matter.
    fn recent(&self, at: DateTime) -> impl Iterator<Item = &Fact<SprayPass>> {
        self.sprays
            .iter()
            .filter(move |s| s.happened <= at && (at.date() - s.on()).get_days() < LOOK_BACK_DAYS)
    }
}
