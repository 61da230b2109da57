//! The barn in the fold.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};

use super::Fact;
use crate::payload::{
    AcceptedRation, BoughtIngredient, Breeding, Deaths, FeedBatch, FeedBin, FeedBinId, FeedLevel, GroupId,
    HerdGroup, HerdMove, IngredientId, Mixer, MixerId, MixerTest, PaymentDue, ScaleCheck, SieveTest,
    StrawOnHand,
};

/// Everything known of the barn, lists in the order things happened.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Barn {
    /// Bought ingredients.
    pub ingredients: BTreeMap<IngredientId, Fact<BoughtIngredient>>,
    /// Groups: every state written of each.
    pub groups: BTreeMap<GroupId, Vec<Fact<HerdGroup>>>,
    /// Moves.
    pub moves: Vec<Fact<HerdMove>>,
    /// Deaths.
    pub deaths: Vec<Fact<Deaths>>,
    /// Rations accepted.
    pub rations: Vec<Fact<AcceptedRation>>,
    /// Batches made.
    pub batches: Vec<Fact<FeedBatch>>,
    /// Feed bins.
    pub feed_bins: BTreeMap<FeedBinId, Fact<FeedBin>>,
    /// Feed seen in them.
    pub levels: Vec<Fact<FeedLevel>>,
    /// Mixers.
    pub mixers: BTreeMap<MixerId, Fact<Mixer>>,
    /// Mixer tests.
    pub mixer_tests: Vec<Fact<MixerTest>>,
    /// Scales checked.
    pub scale_checks: Vec<Fact<ScaleCheck>>,
    /// Ground grain sieved.
    pub sieve_tests: Vec<Fact<SieveTest>>,
    /// Straw counted.
    pub straw: Vec<Fact<StrawOnHand>>,
    /// Bucks put in.
    pub breedings: Vec<Fact<Breeding>>,
    /// Payments due.
    pub payments: Vec<Fact<PaymentDue>>,
}

/// A group on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupNow<'a> {
    /// As last written.
    pub set_up: &'a Fact<HerdGroup>,
    /// Head now.
    pub head: u32,
    /// Weight when it was last written or moved into, kg.
    pub kg: Option<f64>,
    /// The day that weight was of.
    pub kg_on: Date,
    /// Head that died since.
    pub died: u32,
    /// Whether the last of it has gone.
    pub done: bool,
}

impl Barn {
    /// Whether there is anything of a barn in the book.
    pub fn is_empty(&self) -> bool {
        self.groups.is_empty() && self.feed_bins.is_empty() && self.rations.is_empty()
    }

    /// A group as it stands after everything that had happened by `at`; none before it is first written.
    pub fn group(&self, id: &GroupId, at: DateTime) -> Option<GroupNow<'_>> {
        let set_up = self.groups.get(id)?.iter().rev().find(|g| g.happened <= at)?;
        let since = |happened: DateTime| happened > set_up.happened && happened <= at;
        let mut now = GroupNow {
            set_up,
            head: set_up.is.head,
            kg: set_up.is.mean_kg,
            kg_on: set_up.on(),
            died: 0,
            done: false,
        };
        let mut changes: Vec<(DateTime, bool, usize)> = Vec::new();
        changes.extend(
            self.moves
                .iter()
                .enumerate()
                .filter(|(_, m)| since(m.happened))
                .map(|(i, m)| (m.happened, true, i)),
        );
        changes.extend(
            self.deaths
                .iter()
                .enumerate()
                .filter(|(_, d)| since(d.happened))
                .map(|(i, d)| (d.happened, false, i)),
        );
        changes.sort_by_key(|c| c.0);
        for (_, is_move, i) in changes {
            if is_move {
                let m = &self.moves[i];
                if m.is.group == *id {
                    now.head = now.head.saturating_sub(m.is.head);
                    now.done |= m.is.last || now.head == 0;
                } else if m.is.to.as_ref() == Some(id) {
                    // Those that come in weigh with those that are there.
                    if let (Some(kg), Some(new)) = (now.kg, m.is.mean_kg) {
                        let (a, b) = (f64::from(now.head), f64::from(m.is.head));
                        now.kg = Some((a * kg + b * new) / (a + b).max(1.0));
                    } else if now.head == 0 {
                        now.kg = m.is.mean_kg;
                        now.kg_on = m.on();
                    }
                    now.head += m.is.head;
                    now.done = false;
                }
            } else if self.deaths[i].is.group == *id {
                now.head = now.head.saturating_sub(self.deaths[i].is.head);
                now.died += self.deaths[i].is.head;
            }
        }
        Some(now)
    }

    /// Groups that still have animals on the evening of `on`.
    pub fn groups_on(&self, on: Date) -> Vec<GroupNow<'_>> {
        let at = on.at(23, 59, 59, 0);
        self.groups.keys().filter_map(|id| self.group(id, at)).filter(|g| !g.done && g.head > 0).collect()
    }

    /// The ration accepted last for a phase by `on`.
    pub fn ration_for(&self, phase: &str, on: Date) -> Option<&Fact<AcceptedRation>> {
        self.rations.iter().rev().find(|r| r.is.phase == phase && r.on() <= on)
    }

    /// The ration of a key.
    pub fn ration(&self, id: &crate::payload::RationId) -> Option<&Fact<AcceptedRation>> {
        self.rations.iter().rev().find(|r| r.is.id == *id)
    }

    /// The level seen last in a feed bin by `on`.
    pub fn level(&self, id: &FeedBinId, on: Date) -> Option<&Fact<FeedLevel>> {
        self.levels.iter().rev().find(|l| l.is.feed_bin == *id && l.on() <= on)
    }

    /// Batches that went into a feed bin, oldest first.
    pub fn batches_into<'a>(&'a self, id: &'a FeedBinId) -> impl Iterator<Item = &'a Fact<FeedBatch>> {
        self.batches.iter().filter(move |b| b.is.into.as_ref() == Some(id))
    }
}
