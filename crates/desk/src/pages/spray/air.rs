//! The air at a time, from what is on file: for the form of a pass and for the record.

use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use stook_book::payload::{AirBy, SprayAir, UnitChoice};
use stook_book::readings::HourReading;
use stook_measure::Reference;
use stook_season::spraying::air::{self, AirFacts};
use stook_weather::forcing::SiteTable;
use stook_weather::params::WeatherParams;

use super::super::Trouble;
use crate::forms::{self, Values};
use crate::state::{Desk, Known};

/// Everything on file that tells the air between two days.
pub struct Airs<'a> {
    known: &'a Known,
    hours: Vec<HourReading>,
    table: Option<SiteTable>,
    params: WeatherParams,
    zone: TimeZone,
}

impl<'a> Airs<'a> {
    /// Reads the station's hours from the day before `from` to the day after `to`.
    pub fn of(desk: &Desk, known: &'a Known, from: Date, to: Date) -> Result<Self, Trouble> {
        let store = desk.store()?;
        let (from, to) = (from.yesterday().unwrap_or(from), to.tomorrow().unwrap_or(to));
        let mut hours = Vec::new();
        for station in store.stations()? {
            hours.extend(store.hours(&station, from.at(0, 0, 0, 0), to.at(23, 59, 0, 0))?);
        }
        Ok(Self {
            known,
            hours,
            table: known.farm.site().map(|s| SiteTable::new(&s)),
            params: WeatherParams::from_reference(&Reference::shipped()),
            zone: known.farm.time_zone(),
        })
    }

    /// The air at a time by the farm's clock.
    pub fn at(&self, t: DateTime) -> Option<SprayAir> {
        let facts = AirFacts {
            hours: &self.hours,
            observed: &self.known.weather.observed,
            forecast: &self.known.weather.forecast,
            table: self.table.as_ref()?,
            params: &self.params,
            zone: &self.zone,
        };
        air::at(&facts, t)
    }
}

/// The inputs that hold the air, and what was put into them, so that what a person changed is told from it.
const INPUTS: [&str; 3] = ["air.temp_c", "air.rh_pct", "air.wind_ms"];
/// The hidden input with what was put in.
pub const PUT_IN: &str = "air_put_in";

/// The air as the form holds it.
fn typed(a: &SprayAir, units: &UnitChoice) -> Vec<(String, String)> {
    let value = |key: &str, si: Option<f64>| {
        let input = forms::find("spray_pass")?.inputs.iter().find(|i| i.key == key)?;
        let forms::Ask::Number { from_si, .. } = input.ask else { return None };
        Some((key.to_string(), format!("{}", (from_si(units, si?) * 10.0).round() / 10.0)))
    };
    [(INPUTS[0], a.temp_c), (INPUTS[1], a.rh_pct), (INPUTS[2], a.wind_ms)]
        .into_iter()
        .filter_map(|(key, x)| value(key, x))
        .chain([("air.by".to_string(), a.by.key().to_string())])
        .collect()
}

fn held(values: &Values) -> String {
    INPUTS.map(|k| values.get(k).map_or("", |v| v.trim())).join("|")
}

/// Puts the air of the form's day and time in, where nothing is written yet.
pub fn put_in(values: &mut Values, at: Option<DateTime>, airs: &Airs<'_>, units: &UnitChoice) {
    let empty = |v: &Values| held(v).chars().all(|c| c == '|');
    let untouched = values.get(PUT_IN).is_some_and(|was| *was == held(values) && !was.is_empty());
    if !(empty(values) || untouched) {
        // A person wrote over it: it is theirs.
        let by = values.get("air.by").map_or("", String::as_str);
        if values.contains_key(PUT_IN) && by != AirBy::Hand.key() {
            values.insert("air.by".into(), AirBy::Hand.key().into());
        }
        return;
    }
    for key in INPUTS {
        values.remove(key);
    }
    if values.get("air.by").is_some_and(|b| b != AirBy::Hand.key()) {
        values.remove("air.by");
    }
    if let Some(a) = at.and_then(|t| airs.at(t)) {
        values.extend(typed(&a, units));
    }
    let now = held(values);
    values.insert(PUT_IN.into(), now);
}
