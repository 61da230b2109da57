//! A new farm from nothing to its first Today, from five facts.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_book::payload::CropPlan;
use stook_book::validate::Problem;
use stook_book::{Entry, Farm, FieldId, Payload, validate};
use stook_measure::Reference;
use uuid::Uuid;

use super::form_view::{self, Around};
use super::{Frame, Place, Reply, enter, page, send};
use crate::forms::{self, Ask, Input, Values};
use crate::server::beside;
use crate::state::{Desk, Known};

/// A place to start from when the coordinates are not at hand.
struct Near {
    key: &'static str,
    words: &'static str,
    lat_deg: f64,
    lon_deg: f64,
    elevation_m: f64,
    time_zone: &'static str,
}

const fn near(
    key: &'static str,
    words: &'static str,
    (lat_deg, lon_deg, elevation_m): (f64, f64, f64),
    time_zone: &'static str,
) -> Near {
    Near { key, words, lat_deg, lon_deg, elevation_m, time_zone }
}

/// Middles of districts to about half a degree and a hundred metres, from memory: good enough for the length of days
/// and the air's thickness; the person's own coordinates are better and can be given at any time.
const NEAR: [Near; 15] = [
    near("mb-south-west", "South-west Manitoba", (49.8, -100.5, 430.0), "America/Winnipeg"),
    near("mb-red-river", "Red River valley, Manitoba", (49.5, -97.3, 240.0), "America/Winnipeg"),
    near("mb-parkland", "Parkland, Manitoba", (51.2, -100.3, 400.0), "America/Winnipeg"),
    near("sk-south-east", "South-east Saskatchewan", (50.0, -103.0, 580.0), "America/Regina"),
    near("sk-south-west", "South-west Saskatchewan", (50.3, -107.5, 750.0), "America/Regina"),
    near("sk-central", "Central Saskatchewan", (52.0, -106.5, 520.0), "America/Regina"),
    near("sk-north-east", "North-east Saskatchewan", (52.8, -104.5, 450.0), "America/Regina"),
    near("ab-south", "Southern Alberta", (50.0, -112.5, 900.0), "America/Edmonton"),
    near("ab-central", "Central Alberta", (52.3, -113.5, 880.0), "America/Edmonton"),
    near("peace", "Peace country", (55.3, -118.5, 680.0), "America/Edmonton"),
    near("nd-west", "Western North Dakota", (48.0, -102.5, 650.0), "America/Chicago"),
    near("nd-east", "Eastern North Dakota", (47.9, -97.5, 330.0), "America/Chicago"),
    near("mt-north", "Northern Montana", (48.5, -110.5, 850.0), "America/Denver"),
    near("sd-north", "Northern South Dakota", (45.5, -99.0, 430.0), "America/Chicago"),
    near("mn-north-west", "North-west Minnesota", (47.9, -96.4, 300.0), "America/Chicago"),
];

fn ask(form: &str, key: &str) -> Ask {
    forms::find(form).and_then(|f| f.inputs.iter().find(|i| i.key == key)).map_or(Ask::Text, |i| i.ask)
}

fn inputs() -> Vec<Input> {
    let input = |key, label, hint, ask, needed| Input { key, label, hint, ask, needed, first: "" };
    vec![
        input("farm_name", "What is the farm called?", "", Ask::Text, true),
        input(
            "near",
            "Where is it, roughly?",
            "It sets the length of the day and the usual weather.",
            Ask::Choice(|| NEAR.iter().map(|n| (n.key.to_string(), n.words.to_string())).collect()),
            true,
        ),
        input("lat", "Or its latitude", "Degrees north, such as 50.1.", ask("farm", "place.lat_deg"), false),
        input(
            "lon",
            "and longitude",
            "Degrees east; in the Americas with a minus, such as -101.3.",
            ask("farm", "place.lon_deg"),
            false,
        ),
        input("field_name", "One wheat field: what do you call it?", "", Ask::Text, true),
        input("area", "How large is it?", "", ask("field", "area_ha"), true),
        input(
            "soil",
            "What soil?",
            "Not known is an answer: the ranges are wider.",
            ask("field", "soil.class"),
            false,
        ),
        input("crop", "What will it grow?", "", ask("crop_plan", "crop"), true),
    ]
}

/// `/setup/new`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_some() {
            return Ok(Redirect::to("/setup").into_response());
        }
        let mut values = Values::new();
        values.insert("crop".into(), "spring_wheat".into());
        values.insert("units".into(), "acres".into());
        for key in ["id", "id_units", "id_field", "id_plan"] {
            values.insert(key.into(), Uuid::now_v7().to_string());
        }
        Ok(send(view(&Frame::of(&desk, &known), &known, &values, &[])))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, values: &Values, problems: &[Problem]) -> Markup {
    let a = Around { farm: &known.farm, units: &frame.units, values, problems };
    let get = |key: &str| values.get(key).map_or("", String::as_str);
    let acres = get("units") != "hectares";
    let body = html! {
        form method="post" action="/setup/new" {
            h1.lede { "Five facts, and Stook can answer." }
            p { "All of it can be changed later. What you do not know, leave: the answer is then wider." }
            @if !problems.is_empty() { p.wrong-all role="alert" { "Nothing is written yet: mend what is marked below." } }
            @for p in problems.iter().filter(|p| p.at == "form") { p.wrong { (p.sentence) } }
            @for key in ["id", "id_units", "id_field", "id_plan"] { input type="hidden" name=(key) value=(get(key)); }
            @for (n, i) in inputs().iter().enumerate() {
                @if let Some(fact) = [(0, "1. The farm"), (1, "2. The place"), (4, "3. A field"), (6, "4. Its soil"), (7, "5. Its crop")].iter().find(|(at, _)| *at == n) { h2.fact { (fact.1) } }
                @if i.key == "area" {
                    (form_view::input(i, false, Around { units: &area_units(acres), ..a }))
                    fieldset { legend.apart { "Unit of area" } div.choices {
                        label { input type="radio" name="units" value="acres" checked[acres]; "acres, bushels" }
                        label { input type="radio" name="units" value="hectares" checked[!acres]; "hectares, tonnes" }
                    } }
                } @else { (form_view::input(i, false, a)) }
            }
            div.act { button.yes type="submit" { "To the first Today" } }
        }
    };
    page(frame, Place::SetUp, "A new farm", &body)
}

/// The unit stands in the choice below the number, so it is not said twice.
fn area_units(acres: bool) -> stook_book::payload::UnitChoice {
    use stook_book::payload::{AreaUnit, DepthUnit, LengthUnit, RateUnit, SpeedUnit, UnitChoice, YieldUnit};
    if acres {
        return UnitChoice::default();
    }
    UnitChoice {
        area: AreaUnit::Hectares,
        grain_yield: YieldUnit::THa,
        rate: RateUnit::KgHa,
        depth: DepthUnit::Cm,
        length: LengthUnit::Metres,
        speed: SpeedUnit::Kmh,
        ..UnitChoice::default()
    }
}

/// `POST /setup/new`
pub async fn save(State(desk): State<Arc<Desk>>, Posted(values): Posted<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let mut store = desk.store()?;
        let first: Option<Uuid> = values.get("id").and_then(|v| v.parse().ok());
        if let Some(id) = first
            && store.entry(id)?.is_some()
        {
            return Ok(Redirect::to("/").into_response());
        }
        match entries(&values, &known, &frame) {
            Ok(entries) => {
                store.append_all(&entries)?;
                Ok(Redirect::to("/").into_response())
            }
            Err(problems) => {
                let page = send(view(&frame, &known, &values, &problems));
                Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
            }
        }
    })
    .await?
}

fn problem(at: &str, sentence: &str) -> Problem {
    Problem { at: at.into(), sentence: sentence.into() }
}

/// Where the entry's id stands, its kind, and for each input of its form: the input here and what was typed.
type Asked<'a> = (&'a str, &'a str, &'a [(&'a str, &'a str, &'a str)]);

fn entries(values: &Values, known: &Known, frame: &Frame) -> Result<Vec<Entry>, Vec<Problem>> {
    let get = |key: &str| values.get(key).map_or("", |v| v.trim());
    let mut problems = Vec::new();
    let place = place(get("near"), get("lat"), get("lon"));
    if let Err(p) = &place {
        problems.push(p.clone());
    }
    let (lat, lon, elevation, zone) = place.unwrap_or_default();
    let units = area_units(get("units") != "hectares");
    let year = CropPlan::year_on(frame.day()).to_string();
    // What each form asks, from where it stands on this page.
    let wanted: [Asked<'_>; 3] = [
        (
            "id",
            "farm",
            &[
                ("name", "farm_name", get("farm_name")),
                ("place.lat_deg", "lat", &lat),
                ("place.lon_deg", "lon", &lon),
                ("place.elevation_m", "near", &elevation),
                ("place.time_zone", "near", &zone),
            ],
        ),
        (
            "id_field",
            "field",
            &[
                ("name", "field_name", get("field_name")),
                ("area_ha", "area", get("area")),
                ("soil.class", "soil", get("soil")),
            ],
        ),
        (
            "id_plan",
            "crop_plan",
            &[
                ("field", "field_name", &FieldId::from_name(get("field_name")).0),
                ("crop_year", "crop", &year),
                ("crop", "crop", get("crop")),
            ],
        ),
    ];
    let mut made: Vec<Entry> = Vec::new();
    let write = |id: &str, payload: Payload| {
        let mut e = Entry::new(frame.now, "me", payload);
        e.id = get(id).parse().unwrap_or(e.id);
        e
    };
    made.push(write("id_units", units.clone().into()));
    for (id, kind, parts) in wanted {
        // Without a place the rest is still looked at, so that all is said at once.
        if kind == "farm" && lat.is_empty() {
            if get("farm_name").is_empty() {
                problems.push(problem("farm_name", "Give the farm a name."));
            }
            continue;
        }
        let Some(form) = forms::find(kind) else { continue };
        let typed: Values = parts.iter().map(|(key, _, v)| ((*key).to_string(), (*v).to_string())).collect();
        let back = |p: Problem| {
            let at = parts.iter().find(|(key, ..)| *key == p.at || p.at == "id" && *key == "name");
            Problem { at: at.map_or("form", |(_, here, _)| here).into(), sentence: p.sentence }
        };
        match forms::read(form, &typed, &units, None) {
            Err(wrong) => problems.extend(wrong.into_iter().map(back)),
            Ok(payload) => {
                let entry = write(id, payload);
                let farm = Farm::fold(&made);
                match validate(&entry, &farm, &Reference::shipped(), enter::latest(known, frame)) {
                    Ok(()) => made.push(entry),
                    Err(wrong) => problems.extend(wrong.into_iter().map(back)),
                }
            }
        }
    }
    problems.dedup_by(|a, b| a.at == b.at);
    // A missing field is said once, at the field.
    let no_field = problems.iter().any(|p| p.at == "field_name" || p.at == "area");
    if no_field {
        problems.retain(|p| !p.sentence.starts_with("There is no field"));
    }
    if problems.is_empty() { Ok(made) } else { Err(problems) }
}

/// Latitude, longitude, elevation and time zone as a form would hold them.
fn place(near: &str, lat: &str, lon: &str) -> Result<(String, String, String, String), Problem> {
    if lat.is_empty() && lon.is_empty() {
        let n = NEAR
            .iter()
            .find(|n| n.key == near)
            .ok_or_else(|| problem("near", "Choose the nearest district, or give latitude and longitude."))?;
        return Ok((
            n.lat_deg.to_string(),
            n.lon_deg.to_string(),
            n.elevation_m.to_string(),
            n.time_zone.into(),
        ));
    }
    if lat.is_empty() {
        return Err(problem("lat", "Give the latitude too."));
    }
    if lon.is_empty() {
        return Err(problem("lon", "Give the longitude too."));
    }
    // Height and clock of the nearest district stand in until set-up says better.
    let at = |text: &str| text.replace(',', ".").parse::<f64>().unwrap_or(0.0);
    let off = |n: &Near| (n.lat_deg - at(lat)).powi(2) + (0.65 * (n.lon_deg - at(lon))).powi(2);
    let n = NEAR.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    let n = n.ok_or_else(|| problem("near", "Choose the nearest district."))?;
    Ok((lat.into(), lon.into(), n.elevation_m.to_string(), n.time_zone.into()))
}
