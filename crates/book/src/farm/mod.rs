//! The farm as the entries tell it.

mod barn;
mod fold;
mod intervals;
mod money;
mod resolve;

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use stook_measure::{Reference, ReferenceError};
use stook_weather::Site;
use uuid::Uuid;

use crate::payload::{
    BarnCount, BarnKind, Bin, BinId, BinMeasured, BinReading, Buyer, Contact, Cost, CropPlan, Cut,
    DamageSeen, DecisionAnswer, DrillCatch, DrillSetUp, EmergenceSeen, EnteredEarly, Entrance, FanRun,
    FarmSetUp, FertilizerApplied, FertilizerPlan, Field, FieldId, FieldZones, GoNoGo, GrainSample, Harrowed,
    InsectsSeen, KernelMoisture, LabLayout, Load, LocalNumber, Machine, MachineId, MachineKind, MachineValue,
    ManureHauled, ManureLevel, ManurePlan, ManureRules, ManureStore, ManureStoreId, ManureTest, MoneyIn,
    Note, PanTest, PlantBack, Price, ProductLeast, ProteinPremium, Rain, RateTable, SeedLot, SeedLotId,
    Seeding, Settlement, SoilTest, SprayPass, SprayProduct, SprayProductId, StageSeen, StrawBaled, TankLeft,
    ThumbTest, UnitChoice, YieldCount, YieldMap,
};

pub use barn::{Barn, GroupNow};
pub use money::Due;

/// Something an entry says, with where it was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact<T> {
    /// The entry in force: the one to correct next.
    pub entry: Uuid,
    /// The entry it began with; the same when never corrected.
    pub first: Uuid,
    /// When it happened, by the farm's clock.
    pub happened: DateTime,
    /// When the entry in force was written.
    pub written: Timestamp,
    /// Who wrote it.
    pub who: String,
    /// What it says.
    pub is: T,
}

impl<T> Fact<T> {
    /// The day it happened.
    pub fn on(&self) -> Date {
        self.happened.date()
    }
}

/// A field with everything known of it, each list in the order things happened.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldRecord {
    /// The field's set-up, latest.
    pub set_up: Fact<Field>,
    /// Crop plan by crop year, latest of each.
    pub plans: BTreeMap<i16, Fact<CropPlan>>,
    /// Soil tests.
    pub soil_tests: Vec<Fact<SoilTest>>,
    /// Seeding.
    pub seedings: Vec<Fact<Seeding>>,
    /// Harrowing.
    pub harrowings: Vec<Fact<Harrowed>>,
    /// Emergence.
    pub emergence: Vec<Fact<EmergenceSeen>>,
    /// Stages.
    pub stages: Vec<Fact<StageSeen>>,
    /// Insects counted.
    pub insects: Vec<Fact<InsectsSeen>>,
    /// Damage seen.
    pub damages: Vec<Fact<DamageSeen>>,
    /// Heads and kernels counted.
    pub yield_counts: Vec<Fact<YieldCount>>,
    /// Rain in the field's own gauge.
    pub rain: Vec<Fact<Rain>>,
    /// Go or no at the gate.
    pub go_no_go: Vec<Fact<GoNoGo>>,
    /// Sprayer passes.
    pub sprays: Vec<Fact<SprayPass>>,
    /// Times somebody went in inside a re-entry interval.
    pub early: Vec<Fact<EnteredEarly>>,
    /// Kernel moisture.
    pub moistures: Vec<Fact<KernelMoisture>>,
    /// Thumb tests.
    pub thumb_tests: Vec<Fact<ThumbTest>>,
    /// Cutting.
    pub cuts: Vec<Fact<Cut>>,
    /// Fertilizer plan by crop year, latest of each.
    pub fertilizer_plans: BTreeMap<i16, Fact<FertilizerPlan>>,
    /// Fertilizer that went on.
    pub fertilizer: Vec<Fact<FertilizerApplied>>,
    /// What labels set on the next crop.
    pub plant_backs: Vec<Fact<PlantBack>>,
    /// Grain found behind the combine.
    pub pan_tests: Vec<Fact<PanTest>>,
    /// Yield maps.
    pub yield_maps: Vec<Fact<YieldMap>>,
    /// Zones, latest.
    pub zones: Option<Fact<FieldZones>>,
    /// Manure hauled to it.
    pub manure: Vec<Fact<ManureHauled>>,
    /// Manure meant for it.
    pub manure_plans: Vec<Fact<ManurePlan>>,
    /// What was left in the drill's tanks after it.
    pub tanks_left: Vec<Fact<TankLeft>>,
    /// Straw taken off it.
    pub straw: Vec<Fact<StrawBaled>>,
    /// Notes on the field.
    pub notes: Vec<Fact<Note>>,
}

/// A bin with what was seen in it. What is in it follows from the loads: the crate `yard` reckons that.
#[derive(Debug, Clone, PartialEq)]
pub struct BinRecord {
    /// The bin's set-up, latest.
    pub set_up: Fact<Bin>,
    /// Every set-up of it, in time order: jobs change.
    pub set_ups: Vec<Fact<Bin>>,
    /// Samples, in time order.
    pub samples: Vec<Fact<GrainSample>>,
    /// Levels seen, in time order.
    pub measured: Vec<Fact<BinMeasured>>,
    /// Readings, in time order.
    pub readings: Vec<Fact<BinReading>>,
    /// Fan switched on and off, in time order.
    pub fan_runs: Vec<Fact<FanRun>>,
}

impl BinRecord {
    /// The bin.
    pub fn bin(&self) -> &Bin {
        &self.set_up.is
    }
}

/// A manure pit with what was seen of it, each list in time order.
#[derive(Debug, Clone, PartialEq)]
pub struct ManureStoreRecord {
    /// The pit's set-up, latest.
    pub set_up: Fact<ManureStore>,
    /// Readings of its level.
    pub levels: Vec<Fact<ManureLevel>>,
    /// Analyses.
    pub tests: Vec<Fact<ManureTest>>,
    /// Hauled from it.
    pub hauled: Vec<Fact<ManureHauled>>,
    /// Head over it by kind, latest of each.
    pub counts: BTreeMap<BarnKind, Fact<BarnCount>>,
}

/// Something in the book that does not fit, for a person to look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// The entry it is about.
    pub entry: Uuid,
    /// What is wrong and what was done about it, in a sentence.
    pub sentence: String,
}

/// An entry of a kind this version does not know.
#[derive(Debug, Clone, PartialEq)]
pub struct UnknownFact {
    /// Its kind.
    pub kind: String,
    /// Its data as it came.
    pub data: serde_json::Value,
}

/// The fold of the entries.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Farm {
    /// Name and place, once set up.
    pub set_up: Option<Fact<FarmSetUp>>,
    /// Units chosen, if any.
    pub units: Option<Fact<UnitChoice>>,
    /// Machines.
    pub machines: BTreeMap<MachineId, Fact<Machine>>,
    /// Fields.
    pub fields: BTreeMap<FieldId, FieldRecord>,
    /// Seed lots.
    pub seed_lots: BTreeMap<SeedLotId, Fact<SeedLot>>,
    /// How drills stand, latest of each.
    pub drills: BTreeMap<MachineId, Fact<DrillSetUp>>,
    /// The least of each product, latest of each.
    pub product_least: BTreeMap<String, Fact<ProductLeast>>,
    /// Catches under the drill, in time order.
    pub catches: Vec<Fact<DrillCatch>>,
    /// Layouts of lab files by their headings, latest of each.
    pub lab_layouts: BTreeMap<String, Fact<LabLayout>>,
    /// Rate tables by name, latest of each.
    pub rate_tables: BTreeMap<String, Fact<RateTable>>,
    /// Protein premiums by buyer, latest of each.
    pub premiums: BTreeMap<String, Fact<ProteinPremium>>,
    /// Bins.
    pub bins: BTreeMap<BinId, BinRecord>,
    /// The barn.
    pub barn: Barn,
    /// Loads, in time order.
    pub loads: Vec<Fact<Load>>,
    /// Spray products, by label.
    pub spray_products: BTreeMap<SprayProductId, Fact<SprayProduct>>,
    /// Buyers' prices, in time order.
    pub buyers: Vec<Fact<Buyer>>,
    /// Costs, in time order.
    pub costs: Vec<Fact<Cost>>,
    /// What machines are worth and burn, latest of each.
    pub machine_values: BTreeMap<MachineId, Fact<MachineValue>>,
    /// Money to come in besides grain and pigs.
    pub money_in: Vec<Fact<MoneyIn>>,
    /// Tickets settled, in time order.
    pub settlements: Vec<Fact<Settlement>>,
    /// Numbers to ring, latest by name.
    pub contacts: BTreeMap<String, Fact<Contact>>,
    /// Entrances of fields, latest of each.
    pub entrances: BTreeMap<FieldId, Fact<Entrance>>,
    /// Manure pits.
    pub manure_stores: BTreeMap<ManureStoreId, ManureStoreRecord>,
    /// The law's limits on manure as the owner wrote them, latest.
    pub manure_rules: Option<Fact<ManureRules>>,
    /// Prices by thing, in time order.
    pub prices: BTreeMap<String, Vec<Fact<Price>>>,
    /// The farm's own numbers by coefficient.
    pub local_numbers: BTreeMap<String, Fact<LocalNumber>>,
    /// Rain in the yard gauge.
    pub rain: Vec<Fact<Rain>>,
    /// Answers to decisions.
    pub answers: Vec<Fact<DecisionAnswer>>,
    /// Notes that name no field.
    pub notes: Vec<Fact<Note>>,
    /// Entries of kinds not known here.
    pub unknown: Vec<Fact<UnknownFact>>,
    /// What does not fit.
    pub warnings: Vec<Warning>,
}

impl Farm {
    /// Where the weather is taken, once the farm has a place.
    pub fn site(&self) -> Option<Site> {
        let place = &self.set_up.as_ref()?.is.place;
        Some(Site { lat_deg: place.lat_deg, lon_deg: place.lon_deg, elev_m: place.elevation_m })
    }

    /// The farm's time zone; UTC before there is a place.
    pub fn time_zone(&self) -> jiff::tz::TimeZone {
        self.set_up
            .as_ref()
            .and_then(|f| jiff::tz::TimeZone::get(&f.is.place.time_zone).ok())
            .unwrap_or(jiff::tz::TimeZone::UTC)
    }

    /// The farm's wall clock at an instant.
    pub fn local(&self, at: Timestamp) -> DateTime {
        at.to_zoned_datetime(self.time_zone()).datetime()
    }

    /// Units chosen, or the usual ones.
    pub fn units(&self) -> UnitChoice {
        self.units.as_ref().map(|u| u.is.clone()).unwrap_or_default()
    }

    /// The first machine of a kind, by key.
    pub fn machine(&self, kind: MachineKind) -> Option<&Machine> {
        self.machines.values().map(|m| &m.is).find(|m| m.kind == kind)
    }

    /// Every machine of a kind, by key.
    pub fn machines_of(&self, kind: MachineKind) -> impl Iterator<Item = &Machine> {
        self.machines.values().map(|m| &m.is).filter(move |m| m.kind == kind)
    }

    /// The price of a thing on a day: the latest that had happened by then.
    pub fn price(&self, what: &str, on: Date) -> Option<&Price> {
        self.prices.get(what)?.iter().rev().find(|p| p.on() <= on).map(|p| &p.is)
    }

    /// The treated seed lot that a bin holds at a moment, if it holds one: until the bin is seen empty or cleaned after the
    /// lot was last written down.
    pub fn treated_seed_in(&self, bin: &BinId, at: DateTime) -> Option<&SeedLotId> {
        let lot = self
            .seed_lots
            .values()
            .find(|l| l.is.treated && l.is.bin.as_ref() == Some(bin) && l.happened <= at)?;
        let record = self.bins.get(bin);
        let emptied = record.is_some_and(|r| {
            r.measured
                .iter()
                .any(|m| m.is.volume_m3 == Some(0.0) && m.happened > lot.happened && m.happened <= at)
                || r.bin().cleaned.is_some_and(|d| d > lot.on() && d <= at.date())
        });
        (!emptied).then_some(&lot.is.id)
    }

    /// Loads off a field, in time order.
    pub fn loads_off<'a>(&'a self, field: &'a FieldId) -> impl Iterator<Item = &'a Fact<Load>> {
        self.loads.iter().filter(move |l| l.is.fields().iter().any(|(f, _)| *f == field))
    }

    /// `shipped` with the farm's own numbers in place, and every own number that no longer fits because its
    /// coefficient is gone or its range has changed.
    pub fn reference(&self, shipped: &Reference) -> (Reference, Vec<ReferenceError>) {
        let (mut reference, mut problems) = (shipped.clone(), Vec::new());
        for own in self.local_numbers.values() {
            match reference.clone().with_local(&own.is.name, own.is.value, &own.is.why) {
                Ok(next) => reference = next,
                Err(problem) => problems.push(problem),
            }
        }
        (reference, problems)
    }
}

impl FieldRecord {
    /// The field.
    pub fn field(&self) -> &Field {
        &self.set_up.is
    }

    /// The plan for a crop year.
    pub fn plan(&self, crop_year: i16) -> Option<&CropPlan> {
        self.plans.get(&crop_year).map(|p| &p.is)
    }

    /// Seeding of the year, finished or not, first to last.
    pub fn seeded_in(&self, year: i16) -> impl Iterator<Item = &Fact<Seeding>> {
        self.seedings.iter().filter(move |s| s.on().year() == year)
    }

    /// The day the whole field was seeded in `year`, if it was.
    pub fn seeded_on(&self, year: i16) -> Option<Date> {
        self.seeded_in(year).find(|s| s.is.done).map(|s| s.is.finished.unwrap_or(s.happened).date())
    }

    /// The day the whole field was cut in `year`, if it was.
    pub fn cut_on(&self, year: i16) -> Option<Date> {
        self.cuts
            .iter()
            .find(|c| c.on().year() == year && c.is.done)
            .map(|c| c.is.finished.unwrap_or(c.happened).date())
    }

    /// First day the field may be cut in `year` by the pre-harvest intervals on record, with the pass that sets it.
    pub fn earliest_cut(&self, year: i16) -> Option<(Date, &Fact<SprayPass>)> {
        self.sprays
            .iter()
            .filter(|s| s.on().year() == year)
            .filter_map(|s| Some((s.earliest_cut()?, s)))
            .max_by_key(|(day, _)| *day)
    }
}
