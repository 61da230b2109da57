//! From entries to the farm.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::resolve::{InForce, in_force};
use super::{BinRecord, Fact, Farm, FieldRecord, ManureStoreRecord, UnknownFact, Warning};
use crate::entry::{Body, Entry};
use crate::payload::{
    BinId, Buyer, FeedBatch, Field, FieldId, Load, LoadFrom, LoadTo, ManureStoreId, Payload, SeedLotId,
    Weighed,
};

impl Farm {
    /// The farm as all `entries` together tell it, in whatever order they come.
    pub fn fold<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Self {
        let (standing, warnings) = in_force(entries);
        let mut farm = Self { warnings, ..Self::default() };
        // Set-up first: a field may have been written down after the work done on it.
        for f in &standing {
            farm.set_up(f);
        }
        for f in &standing {
            farm.add(f);
        }
        farm
    }

    /// The farm as it was known at `moment`: from entries written by then.
    pub fn fold_as_of<'a>(entries: impl IntoIterator<Item = &'a Entry>, moment: Timestamp) -> Self {
        Self::fold(entries.into_iter().filter(|e| e.written <= moment))
    }

    fn set_up(&mut self, f: &InForce<'_>) {
        let Body::Known(payload) = &f.entry.body else { return };
        match payload {
            Payload::Farm(x) => self.set_up = Some(fact(f, x)),
            Payload::Units(x) => self.units = Some(fact(f, x)),
            Payload::Machine(x) => {
                self.machines.insert(x.id.clone(), fact(f, x));
            }
            Payload::Field(x) => match self.fields.get_mut(&x.id) {
                Some(record) => record.set_up = fact(f, x),
                None => {
                    self.fields.insert(x.id.clone(), new_record(fact(f, x)));
                }
            },
            Payload::SeedLot(x) => {
                self.seed_lots.insert(x.id.clone(), fact(f, x));
            }
            Payload::DrillSetUp(x) => {
                self.drills.insert(x.machine.clone(), fact(f, x));
            }
            Payload::ProductLeast(x) => {
                self.product_least.insert(x.product.clone(), fact(f, x));
            }
            Payload::LabLayout(x) => {
                self.lab_layouts.insert(x.fingerprint.clone(), fact(f, x));
            }
            Payload::RateTable(x) => {
                self.rate_tables.insert(x.name.clone(), fact(f, x));
            }
            Payload::ProteinPremium(x) => {
                self.premiums.insert(x.buyer.clone(), fact(f, x));
            }
            Payload::Bin(x) => {
                let said = fact(f, x);
                match self.bins.get_mut(&x.id) {
                    Some(record) => {
                        record.set_up = said.clone();
                        record.set_ups.push(said);
                    }
                    None => {
                        let record = BinRecord {
                            set_up: said.clone(),
                            set_ups: vec![said],
                            samples: Vec::new(),
                            measured: Vec::new(),
                            readings: Vec::new(),
                            fan_runs: Vec::new(),
                        };
                        self.bins.insert(x.id.clone(), record);
                    }
                }
            }
            Payload::SprayProduct(x) => {
                self.spray_products.insert(x.id.clone(), fact(f, x));
            }
            Payload::Ingredient(x) => {
                self.barn.ingredients.insert(x.id.clone(), fact(f, x));
            }
            Payload::FeedBin(x) => {
                self.barn.feed_bins.insert(x.id.clone(), fact(f, x));
            }
            Payload::Mixer(x) => {
                self.barn.mixers.insert(x.id.clone(), fact(f, x));
            }
            Payload::ManureStore(x) => match self.manure_stores.get_mut(&x.id) {
                Some(record) => record.set_up = fact(f, x),
                None => {
                    let record = ManureStoreRecord {
                        set_up: fact(f, x),
                        levels: Vec::new(),
                        tests: Vec::new(),
                        hauled: Vec::new(),
                        counts: BTreeMap::new(),
                    };
                    self.manure_stores.insert(x.id.clone(), record);
                }
            },
            Payload::ManureRules(x) => self.manure_rules = Some(fact(f, x)),
            Payload::LocalNumber(x) => {
                self.local_numbers.insert(x.name.clone(), fact(f, x));
            }
            Payload::Price(x) => self.prices.entry(x.what.clone()).or_default().push(fact(f, x)),
            _ => {}
        }
    }

    fn add(&mut self, f: &InForce<'_>) {
        let payload = match &f.entry.body {
            Body::Known(payload) => payload,
            Body::Unknown { kind, data } => {
                self.unknown.push(fact(f, &UnknownFact { kind: kind.clone(), data: data.clone() }));
                return;
            }
        };
        match payload {
            Payload::CropPlan(x) => {
                if let Some(r) = self.record(f, &x.field) {
                    r.plans.insert(x.crop_year, fact(f, x));
                }
            }
            Payload::FertilizerPlan(x) => {
                if let Some(r) = self.record(f, &x.field) {
                    r.fertilizer_plans.insert(x.crop_year, fact(f, x));
                }
            }
            Payload::FertilizerApplied(x) => self.on_field(f, &x.field, x, |r| &mut r.fertilizer),
            Payload::PlantBack(x) => self.on_field(f, &x.field, x, |r| &mut r.plant_backs),
            Payload::DrillCatch(x) => self.catches.push(fact(f, x)),
            Payload::SoilTest(x) => self.on_field(f, &x.field, x, |r| &mut r.soil_tests),
            Payload::Seeding(x) => {
                self.check_lot(f, x.lot.as_ref());
                self.on_field(f, &x.field, x, |r| &mut r.seedings);
            }
            Payload::Harrowed(x) => self.on_field(f, &x.field, x, |r| &mut r.harrowings),
            Payload::EmergenceSeen(x) => self.on_field(f, &x.field, x, |r| &mut r.emergence),
            Payload::InsectsSeen(x) => self.on_field(f, &x.field, x, |r| &mut r.insects),
            Payload::DamageSeen(x) => self.on_field(f, &x.field, x, |r| &mut r.damages),
            Payload::YieldCount(x) => self.on_field(f, &x.field, x, |r| &mut r.yield_counts),
            Payload::StageSeen(x) => self.on_field(f, &x.field, x, |r| &mut r.stages),
            Payload::Rain(x) => match &x.field {
                Some(id) => self.on_field(f, id, x, |r| &mut r.rain),
                None => self.rain.push(fact(f, x)),
            },
            Payload::GoNoGo(x) => self.on_field(f, &x.field, x, |r| &mut r.go_no_go),
            Payload::SprayPass(x) => self.on_field(f, &x.field, x, |r| &mut r.sprays),
            Payload::EnteredEarly(x) => self.on_field(f, &x.field, x, |r| &mut r.early),
            Payload::KernelMoisture(x) => self.on_field(f, &x.field, x, |r| &mut r.moistures),
            Payload::ThumbTest(x) => self.on_field(f, &x.field, x, |r| &mut r.thumb_tests),
            Payload::Cut(x) => self.on_field(f, &x.field, x, |r| &mut r.cuts),
            Payload::PanTest(x) => self.on_field(f, &x.field, x, |r| &mut r.pan_tests),
            Payload::StrawBaled(x) => self.on_field(f, &x.field, x, |r| &mut r.straw),
            Payload::YieldMap(x) => self.on_field(f, &x.field, x, |r| &mut r.yield_maps),
            Payload::FieldZones(x) => {
                if let Some(r) = self.record(f, &x.field) {
                    r.zones = Some(fact(f, x));
                }
            }
            Payload::ManureLevel(x) => self.on_pit(f, &x.store, |p| p.levels.push(fact(f, x))),
            Payload::ManureTest(x) => self.on_pit(f, &x.store, |p| p.tests.push(fact(f, x))),
            Payload::BarnCount(x) => self.on_pit(f, &x.store, |p| {
                p.counts.insert(x.barn, fact(f, x));
            }),
            Payload::ManureHauled(x) => {
                self.on_pit(f, &x.store, |p| p.hauled.push(fact(f, x)));
                self.on_field(f, &x.field, x, |r| &mut r.manure);
            }
            Payload::ManurePlan(x) => self.on_field(f, &x.field, x, |r| &mut r.manure_plans),
            Payload::TankLeft(x) => self.on_field(f, &x.field, x, |r| &mut r.tanks_left),
            Payload::Note(x) => match &x.field {
                Some(id) => self.on_field(f, id, x, |r| &mut r.notes),
                None => self.notes.push(fact(f, x)),
            },
            Payload::DecisionAnswer(x) => self.answers.push(fact(f, x)),
            Payload::Buyer(x) => self.buyers.push(fact(f, x)),
            Payload::Cost(x) => match &x.field {
                Some(id) if self.record(f, id).is_none() => {}
                _ => self.costs.push(fact(f, x)),
            },
            Payload::MachineValue(x) => {
                self.machine_values.insert(x.machine.clone(), fact(f, x));
            }
            Payload::MoneyIn(x) => self.money_in.push(fact(f, x)),
            Payload::Settlement(x) => self.settlements.push(fact(f, x)),
            Payload::Contact(x) => {
                self.contacts.insert(x.name.clone(), fact(f, x));
            }
            Payload::Entrance(x) => {
                if self.record(f, &x.field).is_some() {
                    self.entrances.insert(x.field.clone(), fact(f, x));
                }
            }
            Payload::Load(x) => self.load(f, x),
            Payload::GrainSample(x) => {
                if let Some(r) = self.bin(f, &x.bin) {
                    r.samples.push(fact(f, x));
                }
            }
            Payload::BinMeasured(x) => {
                if let Some(r) = self.bin(f, &x.bin) {
                    r.measured.push(fact(f, x));
                }
            }
            Payload::BinReading(x) => {
                if let Some(r) = self.bin(f, &x.bin) {
                    r.readings.push(fact(f, x));
                }
            }
            Payload::FanRun(x) => {
                if let Some(r) = self.bin(f, &x.bin) {
                    r.fan_runs.push(fact(f, x));
                }
            }
            Payload::HerdGroup(x) => self.barn.groups.entry(x.id.clone()).or_default().push(fact(f, x)),
            Payload::HerdMove(x) => self.barn.moves.push(fact(f, x)),
            Payload::Deaths(x) => self.barn.deaths.push(fact(f, x)),
            Payload::Ration(x) => self.barn.rations.push(fact(f, x)),
            Payload::Batch(x) => self.batch(f, x),
            Payload::FeedLevel(x) => self.barn.levels.push(fact(f, x)),
            Payload::MixerTest(x) => self.barn.mixer_tests.push(fact(f, x)),
            // A bid says what a buyer's offer says.
            Payload::Bid(x) => self.buyers.push(fact(f, &Buyer::from(x))),
            Payload::ScaleCheck(x) => self.barn.scale_checks.push(fact(f, x)),
            Payload::SieveTest(x) => self.barn.sieve_tests.push(fact(f, x)),
            Payload::StrawOnHand(x) => self.barn.straw.push(fact(f, x)),
            Payload::Breeding(x) => self.barn.breedings.push(fact(f, x)),
            Payload::PaymentDue(x) => self.barn.payments.push(fact(f, x)),
            Payload::Ingredient(_)
            | Payload::FeedBin(_)
            | Payload::Mixer(_)
            | Payload::Farm(_)
            | Payload::Units(_)
            | Payload::Machine(_)
            | Payload::Field(_)
            | Payload::SeedLot(_)
            | Payload::DrillSetUp(_)
            | Payload::ProductLeast(_)
            | Payload::LabLayout(_)
            | Payload::RateTable(_)
            | Payload::ProteinPremium(_)
            | Payload::SprayProduct(_)
            | Payload::LocalNumber(_)
            | Payload::ManureStore(_)
            | Payload::ManureRules(_)
            | Payload::Price(_)
            | Payload::Bin(_)
            | Payload::Withdrawn(_) => {}
        }
    }

    /// A batch; grain augered straight from a bin into it leaves that bin as a load to the mill.
    fn batch(&mut self, f: &InForce<'_>, x: &FeedBatch) {
        for line in x.lines.iter().filter(|l| l.straight && l.weighed_kg > 0.0) {
            if let Some(bin) = &line.bin {
                let load = Load::new(
                    LoadFrom::Bin(bin.clone()),
                    LoadTo::Mill,
                    Weighed::CartScale,
                    Some(line.weighed_kg),
                );
                self.loads.push(fact(f, &load));
            }
        }
        self.barn.batches.push(fact(f, x));
    }

    fn on_field<T: Clone>(
        &mut self,
        f: &InForce<'_>,
        id: &FieldId,
        x: &T,
        list: impl Fn(&mut FieldRecord) -> &mut Vec<Fact<T>>,
    ) {
        if let Some(record) = self.record(f, id) {
            list(record).push(fact(f, x));
        }
    }

    fn record(&mut self, f: &InForce<'_>, id: &FieldId) -> Option<&mut FieldRecord> {
        if !self.fields.contains_key(id) {
            self.warn(f, format!("This entry is about the field \"{id}\", which is not in the book; it is kept but not used."));
        }
        self.fields.get_mut(id)
    }

    fn on_pit(&mut self, f: &InForce<'_>, id: &ManureStoreId, add: impl FnOnce(&mut ManureStoreRecord)) {
        match self.manure_stores.get_mut(id) {
            Some(pit) => add(pit),
            None => self.warn(
                f,
                format!(
                    "This entry is about the pit \"{id}\", which is not in the book; it is kept but not used."
                ),
            ),
        }
    }

    fn bin(&mut self, f: &InForce<'_>, id: &BinId) -> Option<&mut BinRecord> {
        if !self.bins.contains_key(id) {
            self.warn(
                f,
                format!(
                    "This entry is about the bin \"{id}\", which is not in the book; it is kept but not used."
                ),
            );
        }
        self.bins.get_mut(id)
    }

    /// A load counts even when one end of it is not in the book: the grain moved.
    fn load(&mut self, f: &InForce<'_>, x: &Load) {
        for (field, _) in x.fields() {
            if !self.fields.contains_key(field) {
                self.warn(f, format!("This load names the field \"{field}\", which is not in the book."));
            }
        }
        let from = if let LoadFrom::Bin(b) = &x.from { Some(b) } else { None };
        let to = if let LoadTo::Bin(b) = &x.to { Some(b) } else { None };
        for bin in from.into_iter().chain(to) {
            if !self.bins.contains_key(bin) {
                self.warn(f, format!("This load names the bin \"{bin}\", which is not in the book."));
            }
        }
        self.loads.push(fact(f, x));
    }

    fn check_lot(&mut self, f: &InForce<'_>, lot: Option<&SeedLotId>) {
        if let Some(lot) = lot
            && !self.seed_lots.contains_key(lot)
        {
            self.warn(f, format!("This entry names the seed lot \"{lot}\", which is not in the book."));
        }
    }

    fn warn(&mut self, f: &InForce<'_>, sentence: String) {
        self.warnings.push(Warning { entry: f.entry.id, sentence });
    }
}

fn fact<T: Clone>(f: &InForce<'_>, is: &T) -> Fact<T> {
    Fact {
        entry: f.entry.id,
        first: f.first,
        happened: f.entry.happened,
        written: f.entry.written,
        who: f.entry.who.clone(),
        is: is.clone(),
    }
}

fn new_record(set_up: Fact<Field>) -> FieldRecord {
    FieldRecord {
        set_up,
        plans: BTreeMap::new(),
        soil_tests: Vec::new(),
        seedings: Vec::new(),
        harrowings: Vec::new(),
        emergence: Vec::new(),
        stages: Vec::new(),
        insects: Vec::new(),
        damages: Vec::new(),
        yield_counts: Vec::new(),
        rain: Vec::new(),
        go_no_go: Vec::new(),
        sprays: Vec::new(),
        early: Vec::new(),
        moistures: Vec::new(),
        thumb_tests: Vec::new(),
        cuts: Vec::new(),
        fertilizer_plans: BTreeMap::new(),
        fertilizer: Vec::new(),
        plant_backs: Vec::new(),
        pan_tests: Vec::new(),
        straw: Vec::new(),
        yield_maps: Vec::new(),
        zones: None,
        manure: Vec::new(),
        manure_plans: Vec::new(),
        tanks_left: Vec::new(),
        notes: Vec::new(),
    }
}
