//! Sprays at the door, and what their intervals forbid: a cut before its day, and anyone in the field too soon.

use jiff::civil::DateTime;

use super::Door;
use crate::payload::{
    Answer, Cut, DecisionAnswer, EnteredEarly, FieldId, GoNoGo, Operation, Payload, SprayPass, SprayProduct,
    SprayRateUnit,
};

const MS_FROM_KMH: &str = "Wind goes into the book in metres a second.";

impl Door<'_> {
    pub(super) fn spray_product(&mut self, x: &SprayProduct) {
        if !x.id.is_well_formed() {
            self.stop("name", "Give the product a name with letters or digits in it.");
        }
        self.text("name", &x.name, "Write the name as on the label.");
        self.maybe("leaf_from", x.leaf_from, 0.0, 12.0, "leaves", "");
        self.maybe("leaf_to", x.leaf_to, 0.0, 12.0, "leaves", "");
        self.ordered("leaf_to", x.leaf_from, x.leaf_to, "The last leaf stage is before the first.");
        if x.rate.is_some() != x.rate_unit.is_some() {
            let at = if x.rate.is_some() { "rate_unit" } else { "rate" };
            self.stop(at, "A rate needs its figure and its unit, both as on the label.");
        }
        if let (Some(rate), Some(unit)) = (x.rate, x.rate_unit) {
            let (high, hint) = most(unit);
            self.within("rate", rate, 1e-4, high, unit.words(), hint);
        }
        self.maybe("water_l_ha", x.water_l_ha, 5.0, 1_000.0, "L/ha", "");
        self.maybe("rainfast_h", x.rainfast_h, 0.0, 72.0, "h", "");
        self.maybe("wind_low_ms", x.wind_low_ms, 0.0, 10.0, "m/s", MS_FROM_KMH);
        self.maybe("wind_high_ms", x.wind_high_ms, 0.5, 15.0, "m/s", MS_FROM_KMH);
        self.ordered("wind_high_ms", x.wind_low_ms, x.wind_high_ms, "The most wind is under the least.");
        self.maybe("temp_low_c", x.temp_low_c, -10.0, 30.0, "C", "");
        self.maybe("temp_high_c", x.temp_high_c, 0.0, 45.0, "C", "Was it in Fahrenheit?");
        self.ordered("temp_high_c", x.temp_low_c, x.temp_high_c, "The warmest is colder than the coldest.");
        self.intervals(x.pre_harvest_days, x.re_entry_hours);
        if x.plant_back_days.is_some_and(|d| d > 1_500) {
            self.stop("plant_back_days", "A wait before seeding is given in days and is under four years.");
        }
        self.maybe("buffer_m", x.buffer_m, 0.0, 2_000.0, "m", "");
        self.maybe("container", x.container, 0.01, 2_000.0, "L or kg", "");
        if x.mix_place.is_some_and(|p| !(1..=12).contains(&p)) {
            self.stop("mix_place", "Places in the tank are counted from 1 to 12.");
        }
    }

    fn ordered(&mut self, at: &str, low: Option<f64>, high: Option<f64>, sentence: &str) {
        if let (Some(low), Some(high)) = (low, high)
            && low > high
        {
            self.stop(at, sentence);
        }
    }

    fn intervals(&mut self, pre_harvest_days: Option<u16>, re_entry_hours: Option<u16>) {
        if pre_harvest_days.is_some_and(|d| d > 200) {
            self.stop(
                "pre_harvest_days",
                "A pre-harvest interval is given in days and is under 200; see the label.",
            );
        }
        if re_entry_hours.is_some_and(|h| h > 24 * 60) {
            self.stop(
                "re_entry_hours",
                "A re-entry interval is given in hours and is under 60 days; see the label.",
            );
        }
    }

    pub(super) fn spray_pass(&mut self, x: &SprayPass) {
        self.known_field(&x.field);
        self.text("product", &x.product, "Write the product as on the label.");
        for (i, part) in x.mix.iter().enumerate() {
            self.text(&format!("mix.{i}"), &part.product, "Write the product as on the label.");
        }
        let products = x.mix.iter().map(|p| &p.product_id).chain([&x.product_id]);
        let missing: Vec<_> =
            products.flatten().filter(|id| !self.farm.spray_products.contains_key(*id)).cloned().collect();
        for id in missing {
            self.stop("product_id", format!("There is no spray product \"{id}\"; add it in set-up first."));
        }
        self.label_waits(x);
        self.finish(x.finished, 3);
        self.area(&x.field, x.area_ha);
        self.maybe("water_l_ha", x.water_l_ha, 5.0, 1_000.0, "L/ha", "");
        self.intervals(x.pre_harvest_days, x.re_entry_hours);
        self.maybe("buffer_m", x.buffer_m, 0.0, 2_000.0, "m", "");
        if let Some(air) = &x.air {
            self.maybe("air.temp_c", air.temp_c, -15.0, 45.0, "C", "Was it in Fahrenheit?");
            self.maybe("air.rh_pct", air.rh_pct, 3.0, 100.0, "%", "");
            self.maybe("air.wind_ms", air.wind_ms, 0.0, 25.0, "m/s", MS_FROM_KMH);
        }
    }

    /// An interval shorter than a label in set-up says; an old pass may be corrected when the label has changed since.
    fn label_waits(&mut self, x: &SprayPass) {
        if self.replaces.is_some() {
            return;
        }
        let ids = x.mix.iter().map(|p| &p.product_id).chain([&x.product_id]);
        let labels: Vec<&SprayProduct> =
            ids.flatten().filter_map(|id| self.farm.spray_products.get(id)).map(|p| &p.is).collect();
        let longest = |of: &dyn Fn(&SprayProduct) -> Option<u16>| {
            labels.iter().filter_map(|l| Some((of(l)?, l.name.clone()))).max()
        };
        let days = longest(&|l| l.pre_harvest_days);
        let hours = longest(&|l| l.re_entry_hours);
        for (at, wait, said, unit) in [
            ("pre_harvest_days", days, x.pre_harvest_days, "days to harvest"),
            ("re_entry_hours", hours, x.re_entry_hours, "h before anyone enters"),
        ] {
            if let Some((wait, name)) = wait
                && said.unwrap_or(0) < wait
            {
                self.stop(
                    at,
                    format!(
                        "The label of {name} in set-up says {wait} {unit}. Write {wait}, or put set-up right if the label \
                         has changed."
                    ),
                );
            }
        }
    }

    pub(super) fn entered_early(&mut self, x: &EnteredEarly) {
        self.known_field(&x.field);
        self.reason("why", &x.why, "Say why it could not wait.");
        self.reason("protection", &x.protection, "Say what was worn and done, as the label asks.");
        let inside =
            self.farm.fields.get(&x.field).is_some_and(|r| r.entry_blocked(self.happened, None).is_some());
        if !inside {
            self.stop("happened", "No re-entry interval on record was running on that field then.");
        }
    }

    /// A reason somebody could read: a name and some words.
    fn reason(&mut self, at: &str, text: &str, missing: &str) -> bool {
        let letters = text.chars().filter(|c| c.is_alphabetic()).count();
        if letters < 5 {
            self.stop(at, missing);
            return false;
        }
        if self.who.is_empty() || self.who.eq_ignore_ascii_case("me") {
            self.stop("who", "Going against an interval needs a name: say who decides it.");
            return false;
        }
        true
    }

    /// Why the field may not be cut at the entry's time, if it may not.
    fn not_yet(&self, field: &FieldId) -> Option<String> {
        let record = self.farm.fields.get(field)?;
        let (earliest, pass) = record.cut_blocked(self.happened)?;
        Some(format!(
            "{} was sprayed on {}, and its pre-harvest interval ends on {earliest}: not before then.",
            pass.products(),
            pass.on()
        ))
    }

    pub(super) fn cut_interval(&mut self, x: &Cut) {
        let Some(why_not) = self.not_yet(&x.field) else { return };
        match &x.inside_interval_why {
            // It happened, a named person says so, and the reason stays in the book.
            Some(why) if !why.trim().is_empty() => {
                self.reason("inside_interval_why", why, "Say in a few words why it was cut all the same.");
            }
            _ => self.stop(
                "inside_interval_why",
                format!(
                    "{why_not} If it has been cut already, write why, keep the grain apart and ask the buyer."
                ),
            ),
        }
    }

    pub(super) fn go_no_go(&mut self, x: &GoNoGo) {
        self.known_field(&x.field);
        if x.go
            && x.operation == Operation::Cut
            && let Some(why_not) = self.not_yet(&x.field)
        {
            self.stop("go", format!("{why_not} It cannot be a GO for cutting."));
        }
    }

    /// A yes to cutting is a plan to cut.
    pub(super) fn cut_accepted(&mut self, x: &DecisionAnswer) {
        if x.answer == Answer::Accepted
            && x.decision.starts_with("cut/")
            && let Some(field) = &x.field
            && let Some(why_not) = self.not_yet(field)
        {
            self.stop("answer", format!("{why_not} It cannot be planned as cut."));
        }
    }

    /// Work that takes somebody into the field waits for the re-entry interval, unless going in early is in the book.
    pub(super) fn re_entry(&mut self, payload: &Payload) {
        let Some(field) = goes_in(payload) else { return };
        let Some(record) = self.farm.fields.get(field) else { return };
        let Some((until, pass)) = record.entry_blocked(self.happened, self.replaces) else { return };
        // The same tank over the rest of the field is one job.
        if let Payload::SprayPass(x) = payload
            && x.product == pass.is.product
        {
            return;
        }
        if record.entered_early(pass, self.happened).is_some() {
            return;
        }
        let sentence = format!(
            "{} was sprayed on {} at {}, and nobody may enter {} before {}. If somebody had to go in, with what the \
             label asks to wear, write that down first as Entered early.",
            pass.products(),
            pass.on(),
            clock(pass.ended()),
            record.field().name,
            moment(until)
        );
        self.stop("field", sentence);
    }
}

/// The field a person must have walked or driven into to report this.
fn goes_in(payload: &Payload) -> Option<&FieldId> {
    match payload {
        Payload::Seeding(_)
        | Payload::Harrowed(_)
        | Payload::EmergenceSeen(_)
        | Payload::StageSeen(_)
        | Payload::InsectsSeen(_)
        | Payload::DamageSeen(_)
        | Payload::YieldCount(_)
        | Payload::ManureHauled(_)
        | Payload::SprayPass(_)
        | Payload::FertilizerApplied(_)
        | Payload::PanTest(_)
        | Payload::KernelMoisture(_)
        | Payload::ThumbTest(_)
        | Payload::Cut(_) => payload.field(),
        _ => None,
    }
}

fn clock(t: DateTime) -> String {
    format!("{}:{:02}", t.hour(), t.minute())
}

fn moment(t: DateTime) -> String {
    format!("{} on {}", clock(t), t.date())
}

/// The most a rate in a unit can sensibly be, and the likely cause when it is more.
fn most(unit: SprayRateUnit) -> (f64, &'static str) {
    use SprayRateUnit as U;
    match unit {
        U::LAc | U::LHa | U::KgHa => (50.0, "Did you mean mL or g?"),
        U::PtAc | U::LbAc => (50.0, ""),
        U::MlAc | U::GAc | U::MlHa | U::GHa => (20_000.0, ""),
        U::FlOzAc | U::OzAc => (600.0, ""),
        U::Percent => (10.0, "Adjuvants are around 0.25 to 1 % of the tank."),
    }
}
