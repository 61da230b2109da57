//! What is known of a bin after the loads, and how it came to be.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};
use stook_book::BinId;
use stook_book::payload::{Bin, Crop, Load, LoadFrom, LoadTo, SampledAt};
use stook_grain::bin::{Bin as Round, Heap as Angles};
use stook_grain::lot::Lot;
use uuid::Uuid;

use crate::crops::CropFacts;
use crate::heap::{Flow, Heap, Layer};
use crate::source::{Source, sources};
use crate::weight::Weight;

/// A bin now.
#[derive(Debug, Clone, PartialEq)]
pub struct BinState {
    /// Its set-up.
    pub bin: Bin,
    /// Its size as the models take it.
    pub round: Round,
    /// Angles and packing of what is in it.
    pub angles: Angles,
    /// What is in it, from the bottom up.
    pub heap: Heap,
    /// The crop in it; what it is kept for when it is empty.
    pub crop: Option<Crop>,
    /// Facts of that crop (wheat's where there is none).
    pub facts: CropFacts,
    /// Spread of its mass, kg (one standard deviation).
    pub sd_kg: f64,
    /// What it holds, m3.
    pub capacity_m3: f64,
    /// How its grain runs out.
    pub flow: Flow,
    /// What happened to it, in time order.
    pub history: Vec<BinEvent>,
    /// Grading factors of its latest sample, by the grade table's name.
    pub factors: BTreeMap<String, f64>,
    /// When it was last empty, if the book has seen it so.
    pub empty_since: Option<DateTime>,
}

/// Something that happened to a bin.
#[derive(Debug, Clone, PartialEq)]
pub struct BinEvent {
    /// When.
    pub at: DateTime,
    /// The entry that says so.
    pub entry: Uuid,
    /// What.
    pub what: Happened,
    /// What the bin held afterwards, kg.
    pub after_kg: f64,
}

/// What can happen to a bin.
#[derive(Debug, Clone, PartialEq)]
pub enum Happened {
    /// A load in.
    In {
        /// Where from.
        from: LoadFrom,
        /// As it went in.
        lot: Lot,
        /// Spread of its weight, kg.
        sd_kg: f64,
    },
    /// A load out.
    Out {
        /// Where to.
        to: LoadTo,
        /// As it was drawn.
        lot: Lot,
        /// The loads it came from, kg of each, the latest in first.
        layers: Vec<(Option<Uuid>, f64)>,
        /// More than the book had there, kg.
        short_kg: f64,
        /// Spread of its weight, kg.
        sd_kg: f64,
    },
    /// A sample.
    Sample {
        /// Where it was taken.
        taken: SampledAt,
        /// Water said to have left since it was filled, kg.
        water_kg: f64,
    },
    /// A level seen.
    Measured {
        /// What the book said.
        book: Weight,
        /// What the level says.
        seen: Weight,
        /// What is taken.
        taken: Weight,
        /// Whether the two are further apart than both are unsure.
        differs: bool,
    },
    /// Nothing left; what the book still had is missing.
    Emptied {
        /// Missing, kg.
        missing_kg: f64,
    },
}

/// A load as it was reckoned.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Entry.
    pub entry: Uuid,
    /// When.
    pub at: DateTime,
    /// Who wrote it.
    pub who: String,
    /// As written.
    pub load: Load,
    /// Its crop.
    pub crop: Option<Crop>,
    /// Its weight when it left.
    pub weight: Weight,
    /// As it left.
    pub left: Lot,
    /// As it arrived.
    pub arrived: Lot,
    /// Whether its moisture had to be assumed.
    pub moisture_assumed: bool,
    /// Grading factors last sampled in the bin it came from.
    pub factors: BTreeMap<String, f64>,
}

impl Moved {
    /// The day.
    pub fn on(&self) -> Date {
        self.at.date()
    }

    /// Water the drier took, kg.
    pub fn water_kg(&self) -> f64 {
        self.left.mass_kg() - self.arrived.mass_kg()
    }
}

/// Something a person should look at.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Notice {
    /// The bin.
    pub bin: BinId,
    /// The entry it is about, if it is about one.
    pub entry: Option<Uuid>,
    /// In a sentence: what is wrong and how to mend it.
    pub sentence: String,
}

impl BinState {
    /// Its key.
    pub fn id(&self) -> &BinId {
        &self.bin.id
    }

    /// Mass, kg.
    pub fn mass_kg(&self) -> f64 {
        self.heap.mass_kg()
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.heap.is_empty()
    }

    /// All of it mixed.
    pub fn lot(&self) -> Lot {
        self.heap.mix()
    }

    /// Layers from the bottom up.
    pub fn layers(&self) -> &[Layer] {
        self.heap.layers()
    }

    /// Test weight used for volumes, kg/hL: as known, else the usual one of the crop.
    pub fn kg_hl(&self) -> f64 {
        self.lot().test_weight_kg_hl().unwrap_or(self.facts.density_kg_m3 / 10.0)
    }

    /// Volume of the grain, m3, packed as it lies.
    pub fn volume_m3(&self) -> f64 {
        self.angles.volume_m3(self.mass_kg(), self.kg_hl())
    }

    /// Room left, m3.
    pub fn room_m3(&self) -> f64 {
        (self.capacity_m3 - self.volume_m3()).max(0.0)
    }

    /// Room left for grain of a test weight (the bin's own where none is given), kg.
    pub fn room_kg(&self, kg_hl: Option<f64>) -> f64 {
        self.angles.mass_kg(self.room_m3(), kg_hl.unwrap_or_else(|| self.kg_hl()))
    }

    /// What it holds when full, kg, at its test weight.
    pub fn capacity_kg(&self) -> f64 {
        self.angles.mass_kg(self.capacity_m3, self.kg_hl())
    }

    /// How full it is, 0 to 1 and over.
    pub fn share_full(&self) -> f64 {
        if self.capacity_m3 > 0.0 { self.volume_m3() / self.capacity_m3 } else { 0.0 }
    }

    /// Depth of the grain levelled, from the floor or outlet, m; the eave when it is over-full.
    pub fn depth_m(&self) -> f64 {
        let volume = self.volume_m3().min(self.round.heaped_m3(self.angles.filling_deg));
        self.round.level_depth_m(volume, self.angles.filling_deg).unwrap_or(self.bin.wall_m)
    }

    /// Bushels by weight.
    pub fn bushels(&self) -> f64 {
        self.facts.bushels(self.mass_kg())
    }

    /// Where it came from, the largest part first.
    pub fn sources(&self) -> Vec<(Source, f64)> {
        sources(&self.lot())
    }

    /// What the next `kg` drawn out would likely be, and the loads it would come from.
    pub fn next_out(&self, kg: f64) -> (Lot, Vec<(Option<Uuid>, f64)>) {
        self.heap.clone().draw(kg, self.flow)
    }

    /// The latest sample's entry in its history.
    pub fn last_sample(&self) -> Option<&BinEvent> {
        self.history.iter().rev().find(|e| matches!(e.what, Happened::Sample { .. }))
    }

    /// The day the last grain went in.
    pub fn filled_on(&self) -> Option<Date> {
        self.history.iter().rev().find(|e| matches!(e.what, Happened::In { .. })).map(|e| e.at.date())
    }
}
