//! The door: every entry is looked at against the farm before it goes into the book.
//!
//! What is plainly wrong is stopped with the likely cause in the same sentence. Each problem names the input it
//! belongs to, so a form can show it there and keep what was typed.

mod barn;
mod bins;
mod care;
mod drill;
mod fertility;
mod harvest;
mod keeping;
mod loads;
mod manure;
mod maps;
mod money;
mod sale;
mod scouting;
mod seen;
mod setup;
mod spraying;
mod work;

use jiff::Timestamp;
use jiff::civil::DateTime;
use stook_measure::{Reference, figure};

use crate::entry::{Body, Entry};
use crate::farm::Farm;
use crate::payload::{FieldId, Payload};

/// Something wrong with an entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The input it belongs to: the payload's field name, with a place in a list where there is one
    /// (`layers.0.sand_pct`), or `happened`, `who`, `replaces`.
    pub at: String,
    /// What is wrong and how to mend it.
    pub sentence: String,
}

/// Looks at `entry` against the farm as it stands. `now` is the moment it is to be added.
///
/// # Errors
/// Every problem found, in the order of the inputs.
pub fn validate(
    entry: &Entry,
    farm: &Farm,
    reference: &Reference,
    now: Timestamp,
) -> Result<(), Vec<Problem>> {
    let mut door = Door {
        farm,
        reference,
        who: entry.who.trim(),
        replaces: entry.replaces,
        happened: entry.happened,
        latest: latest(farm, now),
        problems: vec![],
    };
    if entry.who.trim().is_empty() {
        door.stop("who", "Say who is writing.");
    }
    if entry.happened > door.latest {
        door.stop(
            "happened",
            format!(
                "{} is in the future; the book holds what has happened. Check the day.",
                entry.happened.date()
            ),
        );
    }
    if entry.happened.year() < 1950 {
        door.stop("happened", format!("{} is too long ago. Check the year.", entry.happened.date()));
    }
    if entry.replaces == Some(entry.id) {
        door.stop("replaces", "An entry cannot replace itself.");
    }
    match &entry.body {
        Body::Known(payload) => {
            door.payload(payload, entry.replaces.is_some());
            door.re_entry(payload);
        }
        Body::Unknown { kind, .. } => door.stop(
            "kind",
            format!(
                "\"{kind}\" is no kind of entry known here, or has inputs not known here; check the spelling."
            ),
        ),
    }
    if door.problems.is_empty() { Ok(()) } else { Err(door.problems) }
}

/// A day's grace for clocks and time zones.
fn latest(farm: &Farm, now: Timestamp) -> DateTime {
    farm.local(now).saturating_add(jiff::Span::new().days(1))
}

struct Door<'a> {
    farm: &'a Farm,
    reference: &'a Reference,
    who: &'a str,
    replaces: Option<uuid::Uuid>,
    happened: DateTime,
    latest: DateTime,
    problems: Vec<Problem>,
}

impl Door<'_> {
    fn payload(&mut self, payload: &Payload, is_correction: bool) {
        match payload {
            Payload::Farm(x) => self.farm_set_up(x),
            Payload::Units(x) => self.units(x),
            Payload::Machine(x) => self.machine(x),
            Payload::Field(x) => self.a_field(x),
            Payload::CropPlan(x) => self.crop_plan(x),
            Payload::Price(x) => self.price(x),
            Payload::LocalNumber(x) => self.local_number(x),
            Payload::SoilTest(x) => self.soil_test(x),
            Payload::SeedLot(x) => self.seed_lot(x),
            Payload::Seeding(x) => self.seeding(x),
            Payload::Harrowed(x) => {
                self.known_field(&x.field);
                self.area(&x.field, x.area_ha);
            }
            Payload::EmergenceSeen(x) => {
                self.known_field(&x.field);
                self.maybe("plants_per_m2", x.plants_per_m2, 0.0, 2_000.0, "plants/m2", "");
                self.maybe("bare_pct", x.bare_pct, 0.0, 100.0, "%", "");
            }
            Payload::InsectsSeen(x) => self.insects_seen(x),
            Payload::DamageSeen(x) => self.damage_seen(x),
            Payload::YieldCount(x) => self.yield_count(x),
            Payload::StageSeen(x) => self.stage_seen(x),
            Payload::Rain(x) => self.rain(x),
            Payload::GoNoGo(x) => self.go_no_go(x),
            Payload::SprayProduct(x) => self.spray_product(x),
            Payload::SprayPass(x) => self.spray_pass(x),
            Payload::EnteredEarly(x) => self.entered_early(x),
            Payload::KernelMoisture(x) => self.kernel_moisture(x),
            Payload::ThumbTest(x) => self.known_field(&x.field),
            Payload::Cut(x) => self.cut(x),
            Payload::FertilizerPlan(x) => self.fertilizer_plan(x),
            Payload::FertilizerApplied(x) => self.fertilizer_applied(x),
            Payload::DrillSetUp(x) => self.drill_set_up(x),
            Payload::DrillCatch(x) => self.drill_catch(x),
            Payload::TankLeft(x) => self.tank_left(x),
            Payload::ProductLeast(x) => self.product_least(x),
            Payload::LabLayout(x) => {
                self.text("fingerprint", &x.fingerprint, "A layout is known by its headings.")
            }
            Payload::RateTable(x) => self.rate_table(x),
            Payload::PlantBack(x) => self.plant_back(x),
            Payload::ProteinPremium(x) => self.protein_premium(x),
            Payload::PanTest(x) => self.pan_test(x),
            Payload::StrawBaled(x) => self.straw_baled(x),
            Payload::YieldMap(x) => self.yield_map(x),
            Payload::FieldZones(x) => self.field_zones(x),
            Payload::ManureStore(x) => self.manure_store(x),
            Payload::ManureLevel(x) => self.manure_level(x),
            Payload::ManureTest(x) => self.manure_test(x),
            Payload::BarnCount(x) => self.barn_count(x),
            Payload::ManureHauled(x) => self.manure_hauled(x),
            Payload::ManurePlan(x) => self.manure_plan(x),
            Payload::ManureRules(x) => self.manure_rules(x),
            Payload::Note(x) => {
                self.text("text", &x.text, "Write the note.");
                if let Some(field) = &x.field {
                    self.known_field(field);
                }
            }
            Payload::DecisionAnswer(x) => {
                self.text("decision", &x.decision, "Say which decision this answers.");
                if let Some(field) = &x.field {
                    self.known_field(field);
                }
                self.cut_accepted(x);
            }
            Payload::Ingredient(x) => self.ingredient(x),
            Payload::HerdGroup(x) => self.herd_group(x),
            Payload::HerdMove(x) => self.herd_move(x),
            Payload::Deaths(x) => self.deaths(x),
            Payload::Ration(x) => self.accepted_ration(x),
            Payload::Batch(x) => self.feed_batch(x),
            Payload::FeedBin(x) => self.feed_bin(x),
            Payload::FeedLevel(x) => self.feed_level(x),
            Payload::Mixer(x) => self.mixer(x),
            Payload::MixerTest(x) => self.mixer_test(x),
            Payload::ScaleCheck(x) => self.scale_check(x),
            Payload::SieveTest(x) => self.sieve_test(x),
            Payload::StrawOnHand(x) => self.straw_on_hand(x),
            Payload::Breeding(x) => self.breeding(x),
            Payload::Bid(_) => {
                self.stop(
                    "form",
                    "A bid is now written as a buyer's offer (buyer); older bids are read as before.",
                );
            }
            Payload::PaymentDue(x) => self.payment_due(x),
            Payload::Cost(x) => self.cost(x),
            Payload::MachineValue(x) => self.machine_value(x),
            Payload::MoneyIn(x) => self.money_in(x),
            Payload::Buyer(x) => self.buyer(x),
            Payload::Settlement(x) => self.settlement(x),
            Payload::Contact(x) => {
                self.text("name", &x.name, "Say who it is.");
                self.text("phone", &x.phone, "Give the number.");
            }
            Payload::Entrance(x) => self.entrance(x),
            Payload::Bin(x) => self.a_bin(x),
            Payload::Load(x) => self.load(x),
            Payload::GrainSample(x) => self.grain_sample(x),
            Payload::BinMeasured(x) => self.bin_measured(x),
            Payload::BinReading(x) => self.bin_reading(x),
            Payload::FanRun(x) => self.fan_run(x),
            Payload::Withdrawn(x) => {
                self.text("why", &x.why, "Say in a word why it is taken back.");
                if !is_correction {
                    self.stop("replaces", "Say which entry is taken back.");
                }
            }
        }
    }

    fn stop(&mut self, at: impl Into<String>, sentence: impl Into<String>) {
        self.problems.push(Problem { at: at.into(), sentence: sentence.into() });
    }

    fn known_field(&mut self, id: &FieldId) {
        if !self.farm.fields.contains_key(id) {
            let names: Vec<&str> =
                self.farm.fields.values().map(|r| r.field().name.as_str()).take(20).collect();
            let have = if names.is_empty() {
                "add the field in set-up first".into()
            } else {
                format!("the fields are {}", names.join(", "))
            };
            self.stop("field", format!("There is no field \"{id}\"; {have}."));
        }
    }

    /// Within `low` to `high`; `hint` is the likely cause when it is not, as its own sentence, or empty.
    fn within(&mut self, at: &str, value: f64, low: f64, high: f64, unit: &str, hint: &str) {
        if value.is_finite() && value >= low && value <= high {
            return;
        }
        let shown = if value.is_finite() { plain(value) } else { "this".into() };
        let space = if hint.is_empty() { "" } else { " " };
        self.stop(
            at,
            format!(
                "{shown} {unit} cannot be right; it should be {} to {} {unit}.{space}{hint}",
                plain(low),
                plain(high)
            ),
        );
    }

    fn maybe(&mut self, at: &str, value: Option<f64>, low: f64, high: f64, unit: &str, hint: &str) {
        if let Some(value) = value {
            self.within(at, value, low, high, unit, hint);
        }
    }

    fn text(&mut self, at: &str, value: &str, missing: &str) {
        if value.trim().is_empty() {
            self.stop(at, missing);
        } else if value.len() > 20_000 {
            self.stop(at, "This is too long for one entry; keep it under 20,000 letters.");
        }
    }

    /// An area worked: not more than the field with a tenth of overlap.
    fn area(&mut self, field: &FieldId, area_ha: Option<f64>) {
        let (Some(area), Some(record)) = (area_ha, self.farm.fields.get(field)) else { return };
        let whole = record.field().area_ha;
        if !(area.is_finite() && area > 0.0 && area <= whole * 1.1) {
            let acres = stook_measure::units::acre_to_ha(area);
            let hint = if acres > 0.0 && acres <= whole * 1.1 {
                format!(" Did you mean acres? {} ac is {} ha.", plain(area), figure(acres, 1))
            } else {
                String::new()
            };
            self.stop(
                "area_ha",
                format!(
                    "{} is {} ha; {} ha cannot be worked on it.{hint}",
                    record.field().name,
                    plain(whole),
                    plain(area)
                ),
            );
        }
    }

    /// A finish after the start, not in the future, and within `days` of it.
    fn finish(&mut self, finished: Option<DateTime>, days: i64) {
        let Some(finished) = finished else { return };
        if finished < self.happened {
            self.stop("finished", "It cannot be finished before it began; check the times.");
        } else if finished > self.latest {
            self.stop("finished", "The finish is in the future; leave it empty until the field is done.");
        } else if finished > self.happened.saturating_add(jiff::Span::new().days(days)) {
            self.stop("finished", format!("More than {days} days from start to finish; check the dates."));
        }
    }
}

/// A figure without trailing zeros.
fn plain(value: f64) -> String {
    let text = figure(value, 3);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
}
