//! The loads, samples and levels of the book, in time order, into the bins.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::DateTime;
use stook_book::payload::{Bin, BinMeasured, Crop, GrainSample, Load, LoadFrom, LoadTo, SampledAt};
use stook_book::{BinId, Fact, Farm, FieldId};
use stook_grain::Grain;
use stook_grain::bin::Heap as Angles;
use stook_grain::lot::{Lot, Quality};
use stook_measure::{Reference, figure};
use uuid::Uuid;

use crate::crops::CropFacts;
use crate::heap::{Flow, Heap, Layer, NOTHING_KG, Which, quality_of};
use crate::ledger::Ledger;
use crate::params::YardParams;
use crate::shape;
use crate::source::Source;
use crate::state::{BinEvent, BinState, Happened, Moved, Notice};
use crate::weight::{Weight, of_load, reconciled};

/// The yard now.
#[derive(Debug, Clone)]
pub struct Yard {
    /// Bins by key.
    pub bins: BTreeMap<BinId, BinState>,
    /// Loads as reckoned, in time order.
    pub loads: Vec<Moved>,
    /// The account.
    pub ledger: Ledger,
    /// What a person should look at.
    pub notices: Vec<Notice>,
    /// Coefficients used.
    pub params: YardParams,
}

enum Event<'a> {
    Load(&'a Fact<Load>),
    Sample(&'a Fact<GrainSample>),
    Level(&'a Fact<BinMeasured>),
}

impl Event<'_> {
    fn order(&self) -> (DateTime, Timestamp, Uuid) {
        match self {
            Self::Load(f) => (f.happened, f.written, f.first),
            Self::Sample(f) => (f.happened, f.written, f.first),
            Self::Level(f) => (f.happened, f.written, f.first),
        }
    }
}

impl Yard {
    /// From everything in the book.
    pub fn fold(farm: &Farm, r: &Reference) -> Self {
        Self::fold_until(farm, r, None)
    }

    /// From what had happened by `until`: what stood in each bin on a day.
    pub fn fold_until(farm: &Farm, r: &Reference, until: Option<DateTime>) -> Self {
        let mut yard = Self {
            bins: farm.bins.iter().map(|(id, b)| (id.clone(), new_state(b.bin(), r))).collect(),
            loads: Vec::new(),
            ledger: Ledger::default(),
            notices: Vec::new(),
            params: YardParams::new(r),
        };
        let mut events: Vec<Event<'_>> = farm.loads.iter().map(Event::Load).collect();
        for b in farm.bins.values() {
            events.extend(b.samples.iter().map(Event::Sample));
            events.extend(b.measured.iter().map(Event::Level));
        }
        events.retain(|e| until.is_none_or(|u| e.order().0 <= u));
        events.sort_by_key(Event::order);
        for e in events {
            match e {
                Event::Load(f) => yard.load(farm, r, f),
                Event::Sample(f) => yard.sample(f),
                Event::Level(f) => yard.level(r, f),
            }
        }
        yard.ledger.in_bins_kg = yard.bins.values().map(BinState::mass_kg).sum();
        yard.say_over_full();
        yard
    }

    /// Bins as a person counts them: Bin 2 before Bin 10.
    pub fn in_order(&self) -> Vec<&BinState> {
        let mut all: Vec<&BinState> = self.bins.values().collect();
        all.sort_by_key(|b| as_counted(&b.bin.name));
        all
    }

    /// A bin.
    pub fn bin(&self, id: &BinId) -> Option<&BinState> {
        self.bins.get(id)
    }

    fn load(&mut self, farm: &Farm, r: &Reference, f: &Fact<Load>) {
        let load = &f.is;
        let source_bin = load.from_bin().and_then(|b| self.bins.get(b));
        let crop = load.crop.clone().or_else(|| match &load.from {
            LoadFrom::Bin(_) => source_bin.and_then(|b| b.crop.clone()),
            LoadFrom::Bought(_) => None,
            LoadFrom::Field(_) | LoadFrom::Fields(_) => planned(farm, f),
        });
        let facts = CropFacts::of(r, crop.as_ref().unwrap_or(&Crop::SpringWheat));
        let factors = source_bin.map(|b| b.factors.clone()).unwrap_or_default();
        let known_kg_hl = source_bin.filter(|b| !b.is_empty()).map(BinState::kg_hl);
        let weight = of_load(load, known_kg_hl, &facts, &self.params);
        let usual = facts.market_wb_pct.unwrap_or(self.params.moisture_wb_pct);
        let quality = Quality {
            protein_pct: load.protein_pct,
            protein_basis_pct: load.protein_basis_pct.unwrap_or(0.0),
            don_ppm: load.don_ppm,
            test_weight_kg_hl: load.test_weight_kg_hl,
            falling_number_s: load.falling_number_s,
            dockage_pct: load.dockage_pct,
        };
        let fresh = |kg: f64, source: &Source| {
            Lot::new(kg, load.moisture_wb_pct.unwrap_or(usual), &quality, &source.key()).unwrap_or_default()
        };
        let mut left = Lot::default();
        match &load.from {
            LoadFrom::Field(_) | LoadFrom::Fields(_) => {
                let year = Load::harvest_year(f.on());
                for (field, share) in load.fields() {
                    let lot = fresh(weight.kg * share, &Source::Field { field: field.clone(), year });
                    self.ledger.off_fields.entry((year, field.clone())).or_default().add(&lot);
                    left.add(&lot);
                }
            }
            LoadFrom::Bought(from) => {
                let lot = fresh(weight.kg, &Source::Bought { from: from.clone(), on: f.on() });
                self.ledger.bought.entry(from.clone()).or_default().add(&lot);
                left = lot;
            }
            LoadFrom::Bin(id) => left = self.out(id, f, weight, &quality, usual),
        }
        let moisture_assumed = load.moisture_wb_pct.is_none() && load.from_bin().is_none();
        let mut arrived = left.clone();
        if let Some(dry) = load.dried_to_wb_pct
            && let Ok(water) = arrived.dry_to(dry)
        {
            self.ledger.drier_water_kg += water;
        }
        self.arrive(r, f, &arrived, crop.as_ref(), weight);
        if load.emptied
            && let Some(id) = load.from_bin()
        {
            self.empty(id, f.happened, f.first);
        }
        self.loads.push(Moved {
            entry: f.first,
            at: f.happened,
            who: f.who.clone(),
            load: load.clone(),
            crop,
            weight,
            left,
            arrived,
            moisture_assumed,
            factors,
        });
    }

    /// Draws a load out of a bin; what the book does not have there is taken as not written.
    fn out(&mut self, id: &BinId, f: &Fact<Load>, weight: Weight, q: &Quality, usual: f64) -> Lot {
        let moisture = f.is.moisture_wb_pct;
        let Some(b) = self.bins.get_mut(id) else {
            let key = Source::NotWritten.key();
            let lot = Lot::new(weight.kg, moisture.unwrap_or(usual), q, &key).unwrap_or_default();
            self.ledger.not_written.add(&lot);
            return lot;
        };
        let held = Weight { kg: b.mass_kg(), sd_kg: b.sd_kg };
        let mean = b.lot();
        let (mut lot, layers) = b.heap.draw(weight.kg, b.flow);
        let short_kg = (weight.kg - lot.mass_kg()).max(0.0);
        if short_kg > 0.0 {
            let more = Lot::new(
                short_kg,
                mean.moisture_pct().or(moisture).unwrap_or(usual),
                &quality_of(&mean),
                &Source::NotWritten.key(),
            );
            let more = more.unwrap_or_default();
            self.ledger.not_written.add(&more);
            lot.add(&more);
        }
        // The truck's own test is the best word on what is in the truck.
        let _ = lot.sampled(moisture, q);
        b.sd_kg = if b.is_empty() { 0.0 } else { b.sd_kg.hypot(weight.sd_kg) };
        let after_kg = b.mass_kg();
        b.history.push(BinEvent {
            at: f.happened,
            entry: f.first,
            what: Happened::Out {
                to: f.is.to.clone(),
                lot: lot.clone(),
                layers,
                short_kg,
                sd_kg: weight.sd_kg,
            },
            after_kg,
        });
        if short_kg > (2.0 * held.sd_kg.hypot(weight.sd_kg)).max(100.0) {
            let sentence = format!(
                "{} had {} t by the book when {} t was drawn on {}. A load in was not written, or a weight is wrong; \
                 the {} t is taken as there without an entry.",
                b.bin.name,
                tonnes(held.kg),
                tonnes(weight.kg),
                f.on(),
                tonnes(short_kg)
            );
            self.notices.push(Notice { bin: id.clone(), entry: Some(f.first), sentence });
        }
        lot
    }

    fn arrive(&mut self, r: &Reference, f: &Fact<Load>, lot: &Lot, crop: Option<&Crop>, weight: Weight) {
        match &f.is.to {
            LoadTo::Buyer(who) => self.ledger.sold.entry(who.clone()).or_default().add(lot),
            LoadTo::Mill => self.ledger.milled.add(lot),
            LoadTo::Seed => self.ledger.seeded.add(lot),
            LoadTo::Elsewhere(place) => self.ledger.elsewhere.entry(place.clone()).or_default().add(lot),
            LoadTo::Bin(id) => {
                let Some(b) = self.bins.get_mut(id) else {
                    let place = format!("{id}, a bin that is not in the book");
                    self.ledger.elsewhere.entry(place).or_default().add(lot);
                    return;
                };
                if b.is_empty() {
                    if let Some(crop) = crop {
                        set_crop(b, crop, r);
                    }
                } else if let (Some(held), Some(new)) = (&b.crop, crop)
                    && held != new
                {
                    let sentence = format!(
                        "{} held {} when {} went in on {}. If that is so it is a mix; if not, correct the load.",
                        b.bin.name,
                        held.words(),
                        new.words(),
                        f.on()
                    );
                    self.notices.push(Notice { bin: id.clone(), entry: Some(f.first), sentence });
                }
                b.heap.put(Layer {
                    lot: lot.clone(),
                    since: f.happened,
                    entry: Some(f.first),
                    temperature_c: f.is.temperature_c,
                });
                b.sd_kg = b.sd_kg.hypot(weight.sd_kg);
                let after_kg = b.mass_kg();
                b.history.push(BinEvent {
                    at: f.happened,
                    entry: f.first,
                    what: Happened::In { from: f.is.from.clone(), lot: lot.clone(), sd_kg: weight.sd_kg },
                    after_kg,
                });
            }
        }
    }

    fn sample(&mut self, f: &Fact<GrainSample>) {
        let s = &f.is;
        let Some(b) = self.bins.get_mut(&s.bin) else { return };
        let q = Quality {
            protein_pct: s.protein_pct,
            protein_basis_pct: s.protein_basis_pct.unwrap_or(0.0),
            don_ppm: s.don_ppm,
            test_weight_kg_hl: s.test_weight_kg_hl,
            falling_number_s: s.falling_number_s,
            dockage_pct: s.dockage_pct,
        };
        let which = match s.taken {
            SampledAt::Whole | SampledAt::Loads | SampledAt::Core => Which::All,
            SampledAt::Top => Which::Top,
            SampledAt::Bottom => Which::Bottom,
        };
        // Drier than reckoned: with a fan the water left; without one the loads were read wrong.
        let drier = s.moisture_wb_pct.zip(b.lot().moisture_pct()).is_some_and(|(new, old)| new < old);
        let from_loads = s.taken == SampledAt::Loads;
        let dried = s.dried_in_bin.unwrap_or(b.bin.fan.is_some() && !from_loads) && drier;
        let water_kg = b.heap.sampled(which, s.moisture_wb_pct, &q, dried);
        b.factors.extend(s.factors.iter().map(|(k, v)| (k.clone(), *v)));
        self.ledger.air_water_kg += water_kg;
        let after_kg = b.mass_kg();
        b.history.push(BinEvent {
            at: f.happened,
            entry: f.first,
            what: Happened::Sample { taken: s.taken, water_kg },
            after_kg,
        });
    }

    fn level(&mut self, r: &Reference, f: &Fact<BinMeasured>) {
        let m = &f.is;
        let Some(b) = self.bins.get_mut(&m.bin) else { return };
        if b.is_empty()
            && let Some(crop) = m.crop.clone().or_else(|| b.bin.crop.clone())
        {
            set_crop(b, &crop, r);
        }
        let wall =
            |depth: f64| b.round.filled_m3(depth, m.heap.unwrap_or(0.0), b.angles.filling_deg).max(0.0);
        let volume = m
            .volume_m3
            .or_else(|| m.depth_m.map(wall))
            .or_else(|| m.down_m.map(|d| wall((b.bin.wall_m - d).max(0.0))))
            .unwrap_or(0.0);
        if volume <= 0.0 {
            self.empty(&m.bin, f.happened, f.first);
            return;
        }
        let kg_hl = m.test_weight_kg_hl.unwrap_or_else(|| b.kg_hl());
        let seen_kg = b.angles.mass_kg(volume, kg_hl);
        let area = std::f64::consts::PI * b.bin.diameter_m * b.bin.diameter_m / 4.0;
        let level_sd = if m.volume_m3.is_some() { 0.0 } else { self.params.level_sd_m * area / volume };
        let seen = Weight {
            kg: seen_kg,
            sd_kg: seen_kg
                * self
                    .params
                    .sd_share(stook_book::payload::Weighed::BinMeasure)
                    .hypot(b.angles.pack_uncertainty.min(1.0))
                    .hypot(level_sd),
        };
        let book = Weight { kg: b.mass_kg(), sd_kg: b.sd_kg };
        let nothing_written = b.is_empty();
        let differs = !nothing_written && (seen.kg - book.kg).abs() > 2.0 * seen.sd_kg.hypot(book.sd_kg);
        // Two sayings that cannot both be right are not averaged: what is seen there is there.
        let taken = if nothing_written || differs { seen } else { reconciled(book, seen) };
        if nothing_written {
            let usual = b.facts.market_wb_pct.unwrap_or(self.params.moisture_wb_pct);
            let q = Quality { test_weight_kg_hl: m.test_weight_kg_hl, ..Quality::default() };
            let key = Source::NotWritten.key();
            let lot = Lot::new(taken.kg, m.moisture_wb_pct.unwrap_or(usual), &q, &key).unwrap_or_default();
            self.ledger.not_written.add(&lot);
            b.heap.put(Layer { lot, since: f.happened, entry: None, temperature_c: None });
        } else if taken.kg > book.kg {
            let lot = b.heap.grow(taken.kg - book.kg, &Source::NotWritten.key());
            self.ledger.not_written.add(&lot);
        } else {
            let lot = b.heap.draw_evenly(book.kg - taken.kg);
            self.ledger.missing.add(&lot);
        }
        b.sd_kg = taken.sd_kg;
        let after_kg = b.mass_kg();
        b.history.push(BinEvent {
            at: f.happened,
            entry: f.first,
            what: Happened::Measured { book, seen, taken, differs },
            after_kg,
        });
        if differs {
            let more = if seen.kg > book.kg { "more" } else { "less" };
            let sentence = format!(
                "{} was measured at {} t on {}, {} t {more} than the loads say. What was seen is taken; look for a \
                 load not written or written twice.",
                b.bin.name,
                tonnes(seen.kg),
                f.on(),
                tonnes((seen.kg - book.kg).abs())
            );
            self.notices.push(Notice { bin: m.bin.clone(), entry: Some(f.first), sentence });
        }
    }

    /// Nothing is left: what the book still had is missing.
    fn empty(&mut self, id: &BinId, at: DateTime, entry: Uuid) {
        let Some(b) = self.bins.get_mut(id) else { return };
        let lot = b.heap.take_all();
        let missing_kg = lot.mass_kg();
        self.ledger.missing.add(&lot);
        b.sd_kg = 0.0;
        b.factors.clear();
        b.empty_since = Some(at);
        b.history.push(BinEvent { at, entry, what: Happened::Emptied { missing_kg }, after_kg: 0.0 });
    }

    fn say_over_full(&mut self) {
        for (id, b) in &self.bins {
            let over = b.volume_m3() - b.capacity_m3;
            // A bin is filled to the brim now and then; packing is not known to the hundredth.
            if over > b.capacity_m3 * b.angles.pack_uncertainty && b.mass_kg() > NOTHING_KG {
                let sentence = format!(
                    "{} holds {} t by the book, {} t more than fits. A load went to another bin, a load out was not \
                     written, or the bin's size is wrong: measure it from the ground.",
                    b.bin.name,
                    tonnes(b.mass_kg()),
                    tonnes(b.angles.mass_kg(over, b.kg_hl()))
                );
                self.notices.push(Notice { bin: id.clone(), entry: None, sentence });
            }
        }
    }
}

fn new_state(bin: &Bin, r: &Reference) -> BinState {
    let p = YardParams::new(r);
    let crop = bin.crop.clone();
    let facts = CropFacts::of(r, crop.as_ref().unwrap_or(&Crop::SpringWheat));
    let angles = Angles::from_reference(r, facts.grain.unwrap_or(Grain::HardWheat));
    let round = shape::round(bin, &angles, &p);
    let steep = shape::slope_deg(&round).is_some_and(|s| s >= p.mass_flow_slope_deg);
    BinState {
        bin: bin.clone(),
        round,
        angles,
        heap: Heap::default(),
        crop,
        facts,
        sd_kg: 0.0,
        capacity_m3: shape::capacity_m3(bin, &round, &angles),
        flow: if steep { Flow::Mass } else { Flow::Funnel { core_share: p.core_share } },
        history: Vec::new(),
        factors: BTreeMap::new(),
        empty_since: None,
    }
}

fn set_crop(b: &mut BinState, crop: &Crop, r: &Reference) {
    b.facts = CropFacts::of(r, crop);
    b.angles = Angles::from_reference(r, b.facts.grain.unwrap_or(Grain::HardWheat));
    b.capacity_m3 = shape::capacity_m3(&b.bin, &b.round, &b.angles);
    b.crop = Some(crop.clone());
}

/// What the field of a load grew that year.
fn planned(farm: &Farm, f: &Fact<Load>) -> Option<Crop> {
    let year = Load::harvest_year(f.on());
    let fields: Vec<&FieldId> = f.is.fields().into_iter().map(|(field, _)| field).collect();
    fields.into_iter().find_map(|field| Some(farm.fields.get(field)?.plan(year)?.crop.clone()))
}

/// A name as words and whole numbers, to sort by.
fn as_counted(name: &str) -> Vec<(String, u64)> {
    let mut parts = Vec::new();
    let mut rest = name;
    while !rest.is_empty() {
        let word_end = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
        let (word, after) = rest.split_at(word_end);
        let number_end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
        let (number, next) = after.split_at(number_end);
        parts.push((word.to_lowercase(), number.parse().unwrap_or(0)));
        rest = next;
    }
    parts
}

fn tonnes(kg: f64) -> String {
    figure(kg / 1000.0, 1)
}

#[cfg(test)]
mod tests {
    use super::as_counted;

    #[test]
    fn bins_are_counted_as_people_do() {
        let mut names = ["Bin 10", "Bin 2", "Annex", "Bin 2 b"];
        names.sort_by_key(|n| as_counted(n));
        assert_eq!(names, ["Annex", "Bin 2", "Bin 2 b", "Bin 10"]);
    }
}
