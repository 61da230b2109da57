//! Barn entries at the door. Treated seed is stopped here, and nobody may let it past.

use stook_measure::{figure, units};

use super::{Door, plain};
use crate::payload::{
    AcceptedRation, BatchLine, BinId, BinJob, BoughtIngredient, Deaths, FeedBatch, FeedBin, FeedBinId,
    FeedLevel, GroupId, GroupKind, HerdGroup, HerdMove, Mixer, MixerId, MixerTest, MoveWhy, PaymentDue,
};

/// Said wherever seed comes near feed.
const NEVER: &str = "Treated seed never goes into feed, not one kernel; there is no way round this.";

impl Door<'_> {
    pub(super) fn ingredient(&mut self, x: &BoughtIngredient) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Say what it is called.");
        self.text("like", &x.like, "Say what it is like.");
        for (key, value) in &x.analysis {
            let high = if key == "ne" || key == "me" { 9_000.0 } else { 100.0 };
            self.within(
                &format!("analysis.{key}"),
                *value,
                0.0,
                high,
                if high > 100.0 { "kcal/kg" } else { "%" },
                "",
            );
        }
        self.maybe("most_pct", x.most_pct, 0.0, 100.0, "%", "");
        let share = "Write 0.5 %, not 0.005.";
        let hint = if x.rate_pct.is_some_and(|r| r > 0.0 && r < 0.05) { share } else { "" };
        self.maybe("rate_pct", x.rate_pct, 0.05, 10.0, "% of the diet", hint);
        self.maybe("phytase_p_pct", x.phytase_p_pct, 0.0, 0.2, "%", "Labels give 0.05 to 0.15 %.");
        self.maybe("don_ppm", x.don_ppm, 0.0, 100.0, "ppm", "Labs that write ppb mean a thousandth of it.");
        self.maybe("on_hand_kg", x.on_hand_kg, 0.0, 1e6, "kg", "");
    }

    pub(super) fn herd_group(&mut self, x: &HerdGroup) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Say what the group is called.");
        if x.head > 50_000 {
            self.stop("head", "More than 50,000 head in one group cannot be right.");
        }
        let high = if x.kind == GroupKind::Growing { 200.0 } else { 450.0 };
        let kg = x.mean_kg.unwrap_or(50.0);
        let pounds = units::lb_to_kg(kg);
        let hint = if kg > high && pounds <= high {
            format!("Did you mean pounds? {} lb is {} kg.", plain(kg), figure(pounds, 0))
        } else {
            String::new()
        };
        self.maybe("mean_kg", x.mean_kg, 0.8, high, "kg", &hint);
        if x.kind == GroupKind::Growing && x.mean_kg.is_none() {
            self.stop("mean_kg", "Give the weight of growing pigs, near enough: what they eat hangs on it.");
        }
        self.maybe("sold_at_kg", x.sold_at_kg, 60.0, 200.0, "kg", "");
        if let Some(b) = &x.feed_bin {
            self.known_feed_bin("feed_bin", b);
        }
    }

    pub(super) fn herd_move(&mut self, x: &HerdMove) {
        self.known_group("group", &x.group);
        if x.head == 0 {
            self.stop("head", "How many?");
        }
        match (x.why, &x.to) {
            (MoveWhy::Sold, Some(_)) => self.stop("to", "Sold animals go to no group here; leave it empty."),
            (MoveWhy::Moved | MoveWhy::Weaned, None) => self.stop("to", "Say which group they went to."),
            (_, Some(to)) => {
                if *to == x.group {
                    self.stop("to", "They cannot move to the group they are in.");
                }
                self.known_group("to", to);
            }
            (MoveWhy::Sold, None) => {}
        }
        self.enough_head(&x.group, x.head);
        self.maybe("mean_kg", x.mean_kg, 0.8, 450.0, "kg", "");
    }

    pub(super) fn deaths(&mut self, x: &Deaths) {
        self.known_group("group", &x.group);
        if x.head == 0 {
            self.stop("head", "How many?");
        }
        self.enough_head(&x.group, x.head);
    }

    pub(super) fn accepted_ration(&mut self, x: &AcceptedRation) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Say what the ration is called.");
        self.text("phase", &x.phase, "Say which phase it is for.");
        let sum: f64 = x.items.iter().map(|i| i.share_pct).sum();
        if !(99.5..=100.5).contains(&sum) {
            self.stop("items", format!("The parts come to {} %; they must come to 100.", plain(sum)));
        }
        for item in &x.items {
            if let Some(bin) = &item.bin {
                self.never_seed("items", bin);
            }
        }
        self.maybe("cost_t", x.cost_t, 1.0, 20_000.0, "a tonne", "");
    }

    pub(super) fn feed_batch(&mut self, x: &FeedBatch) {
        if self.farm.barn.ration(&x.ration).is_none() {
            self.stop("ration", format!("There is no ration \"{}\" in the book; accept it first.", x.ration));
        }
        self.text("number", &x.number, "Give the batch a number, so that a bag can be traced.");
        let twice = self.farm.barn.batches.iter().any(|b| {
            b.is.number == x.number && b.happened != self.happened && b.on().year() == self.happened.year()
        });
        if twice {
            self.stop(
                "number",
                format!("There is already a batch {}; give this one another number.", x.number),
            );
        }
        if x.lines.is_empty() {
            self.stop("lines", "Write down what was weighed.");
        }
        for (n, line) in x.lines.iter().enumerate() {
            self.batch_line(n, line);
        }
        if let Some(b) = &x.into {
            self.known_feed_bin("into", b);
        }
        if let Some(m) = &x.mixer {
            self.known_mixer(m);
        }
        self.maybe("mixed_min", x.mixed_min, 0.5, 60.0, "minutes", "");
    }

    fn batch_line(&mut self, n: usize, line: &BatchLine) {
        self.within(&format!("lines.{n}.weighed_kg"), line.weighed_kg, 0.0, 30_000.0, "kg", "");
        if let Some(bin) = &line.bin {
            if !self.farm.bins.contains_key(bin) {
                self.stop(format!("lines.{n}.bin"), format!("There is no bin \"{bin}\" in the book."));
            }
            self.never_seed(&format!("lines.{n}.bin"), bin);
        }
        // A seed lot by name, whatever it was written under.
        for word in line.lot.iter().map(String::as_str).chain([line.of.as_str()]) {
            let lot = self.farm.seed_lots.values().find(|l| l.is.id.as_str() == word);
            if lot.is_some_and(|l| l.is.treated) {
                self.stop(format!("lines.{n}.lot"), format!("{word} is a treated seed lot. {NEVER}"));
            }
        }
    }

    /// A bin that holds treated seed, or is kept for seed.
    fn never_seed(&mut self, at: &str, bin: &BinId) {
        let Some(record) = self.farm.bins.get(bin) else { return };
        let name = record.bin().name.clone();
        if let Some(lot) = self.farm.treated_seed_in(bin, self.happened) {
            self.stop(at, format!("{name} holds treated seed ({lot}). {NEVER}"));
        } else if record.bin().job == BinJob::Seed {
            self.stop(
                at,
                format!("{name} is kept for seed. If what is in it was never treated, give the bin another job first; treated seed never goes into feed."),
            );
        }
    }

    fn enough_head(&mut self, id: &GroupId, head: u32) {
        if let Some(now) = self.farm.barn.group(id, self.happened)
            && head > now.head
        {
            self.stop(
                "head",
                format!("{} has {} head; {head} cannot leave it.", now.set_up.is.name, now.head),
            );
        }
    }

    fn known_group(&mut self, at: &str, id: &GroupId) {
        if !self.farm.barn.groups.contains_key(id) {
            self.stop(at, format!("There is no group \"{id}\"; write the group down first."));
        }
    }

    fn known_feed_bin(&mut self, at: &str, id: &FeedBinId) {
        if !self.farm.barn.feed_bins.contains_key(id) {
            self.stop(at, format!("There is no feed bin \"{id}\"; add it in set-up first."));
        }
    }

    pub(super) fn known_mixer(&mut self, id: &MixerId) {
        if !self.farm.barn.mixers.contains_key(id) {
            self.stop("mixer", format!("There is no mixer \"{id}\"; add it in set-up first."));
        }
    }

    pub(super) fn feed_bin(&mut self, x: &FeedBin) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Say what the feed bin is called.");
        self.within("holds_kg", x.holds_kg, 50.0, 100_000.0, "kg", "");
    }

    pub(super) fn feed_level(&mut self, x: &FeedLevel) {
        self.known_feed_bin("feed_bin", &x.feed_bin);
        let holds = self.farm.barn.feed_bins.get(&x.feed_bin).map_or(100_000.0, |b| b.is.holds_kg * 1.1);
        self.within("kg", x.kg, 0.0, holds, "kg", "");
    }

    pub(super) fn mixer(&mut self, x: &Mixer) {
        self.key("id", x.id.is_well_formed());
        self.text("name", &x.name, "Say what the mixer is called.");
        self.within("batch_kg", x.batch_kg, 20.0, 20_000.0, "kg", "");
        for (at, step, high) in [
            ("step_kg", x.step_kg, 50.0),
            ("hand_step_kg", x.hand_step_kg, 5.0),
            ("small_step_kg", x.small_step_kg, 1.0),
        ] {
            self.maybe(at, step, 0.0001, high, "kg", "");
        }
        self.maybe("mix_min", x.mix_min, 0.5, 60.0, "minutes", "");
    }

    pub(super) fn mixer_test(&mut self, x: &MixerTest) {
        self.known_mixer(&x.mixer);
        self.text("tracer", &x.tracer, "Say what was traced, such as salt.");
        if x.samples.len() < 3 {
            self.stop("samples", "Give at least three samples; ten is the usual.");
        }
        if x.samples.iter().any(|s| !s.is_finite() || *s < 0.0) || x.samples.iter().sum::<f64>() <= 0.0 {
            self.stop("samples", "The samples must be figures, none below nothing, not all nothing.");
        }
    }

    pub(super) fn payment_due(&mut self, x: &PaymentDue) {
        self.text("what", &x.what, "Say what it is for.");
        self.within("amount", x.amount, 0.01, 1e9, "of money", "");
    }
}
