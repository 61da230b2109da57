//! Set-up: a new farm from five facts, then everything that can be said of it.

use std::sync::Arc;

use axum::extract::{Form as Posted, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use maud::{Markup, html};
use stook_book::validate::{Problem, validate};
use stook_book::{Entry, Farm};
use stook_measure::Reference;
use stook_season::words;

use super::layout;
use crate::forms::{self, Values};
use crate::state::{Desk, Known};

/// `/setup`
pub async fn show(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |_, known| {
        let body =
            if known.farm.set_up.is_none() { start_form(&Values::new(), &[]) } else { overview(known) };
        layout::ok(known, "/setup", "Set-up", &body)
    })
    .await
}

/// What a new farm is asked: form, input, label, hint, first value.
const START: [(&str, &str, &str, &str, &str); 5] = [
    ("farm", "name", "What is the farm called?", "", ""),
    (
        "farm",
        "place.lat_deg",
        "Latitude of the yard",
        "Degrees north, such as 50.1. A phone's map shows it.",
        "",
    ),
    (
        "farm",
        "place.lon_deg",
        "Longitude of the yard",
        "Degrees east; west of Greenwich it is negative, such as -101.3.",
        "",
    ),
    ("field", "field_name", "Name of one wheat field", "More can be added later.", ""),
    ("field", "area_ha", "Its acres", "", ""),
];

fn start_form(values: &Values, problems: &[Problem]) -> Markup {
    let soils = forms::find("field").and_then(|f| f.inputs.iter().find(|i| i.key == "soil.class")).map(|i| {
        match i.ask {
            forms::Ask::Choice(of) => of(),
            _ => Vec::new(),
        }
    });
    let zones = forms::find("farm").and_then(|f| f.inputs.iter().find(|i| i.key == "place.time_zone")).map(
        |i| match i.ask {
            forms::Ask::Choice(of) => of(),
            _ => Vec::new(),
        },
    );
    html! {
        h1 { "A new farm, from five facts" }
        p { "The rest can wait; what is not known is taken as usual and said so, and the ranges are wider for it." }
        @for p in problems { p.wrong role="alert" { (p.sentence) } }
        form method="post" action="/setup/new" novalidate {
            @for (_, key, label, hint, first) in START {
                div.field {
                    label for={ "in-" (key) } { (label) }
                    @if !hint.is_empty() { p.hint { (hint) } }
                    input id={ "in-" (key) } name=(key) type="text" value=(values.get(key).map_or(first, String::as_str)) aria-invalid=[problems.iter().any(|p| p.at == key).then_some("true")];
                }
            }
            div.field { label for="in-soil" { "Its soil" } select id="in-soil" name="soil.class" { option value="" { "not known" } @for (k, w) in soils.unwrap_or_default() { option value=(k) selected[values.get("soil.class").is_some_and(|v| *v == k)] { (w) } } } }
            div.field { label for="in-zone" { "Clock" } select id="in-zone" name="place.time_zone" { @for (k, w) in zones.unwrap_or_default() { option value=(k) { (w) } } } }
            div.act { button.yes { "Show me today" } }
        }
    }
}

/// `POST /setup/new`
pub async fn start(State(desk): State<Arc<Desk>>, Posted(values): Posted<Values>) -> Response {
    layout::answer(desk, move |desk, known| match begin(desk, known, &values) {
        Ok(()) => Redirect::to("/").into_response(),
        Err(problems) => {
            let page = layout::page(Some(known), "/setup", "Set-up", &start_form(&values, &problems));
            (StatusCode::UNPROCESSABLE_ENTITY, Html(page.into_string())).into_response()
        }
    })
    .await
}

fn begin(desk: &Desk, known: &Known, values: &Values) -> Result<(), Vec<Problem>> {
    let units = known.farm.units();
    let mut field = values.clone();
    field.insert("name".into(), values.get("field_name").cloned().unwrap_or_default());
    let mut farm = values.clone();
    farm.insert("place.elevation_m".into(), "500".into());
    let mut plan = Values::new();
    plan.insert(
        "field".into(),
        stook_book::FieldId::from_name(values.get("field_name").map_or("", |n| n.trim())).0,
    );
    plan.insert("crop_year".into(), known.as_of.year().to_string());
    plan.insert("crop".into(), "spring_wheat".into());
    let mut entries: Vec<Entry> = Vec::new();
    let mut problems = Vec::new();
    for (kind, values) in [("farm", &farm), ("field", &field), ("crop_plan", &plan)] {
        let form = forms::find(kind).expect("set-up forms are in the list");
        match forms::read(form, values, &units) {
            Ok(payload) => {
                let entry = Entry::new(desk.now(&known.farm), "desk", payload);
                // Each is checked against the farm as the ones before have made it.
                let so_far = Farm::fold(&entries);
                match validate(&entry, &so_far, &Reference::shipped(), jiff::Timestamp::now()) {
                    Ok(()) => entries.push(entry),
                    Err(p) => problems.extend(p),
                }
            }
            Err(p) => problems.extend(p.into_iter().map(|mut p| {
                if kind == "field" && p.at == "name" {
                    p.at = "field_name".into();
                    p.sentence = format!("The field: {}", p.sentence);
                }
                p
            })),
        }
        if !problems.is_empty() && kind == "field" {
            return Err(problems);
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let stored = desk.store().and_then(|mut s| s.append_all(&entries));
    stored.map(|_| ()).map_err(|e| vec![Problem { at: "form".into(), sentence: e.to_string() }])
}

fn overview(known: &Known) -> Markup {
    let farm = &known.farm;
    let u = farm.units();
    let entry = |id: uuid::Uuid, kind: &str| format!("/enter/{kind}?correct={id}&then=setup");
    html! {
        h1 { "Set-up" }
        div.cols {
            div {
                h2 { "Farm" }
                ul.plain {
                    @if let Some(f) = &farm.set_up { li { a href=(entry(f.entry, "farm")) { (f.is.name) ", " (f.is.place.lat_deg) " north, " (f.is.place.lon_deg) " east" } } }
                    li { a href="/enter/units?then=setup" { "Units: " (u.area.words()) ", " (u.grain_yield.words()) ", " (u.temperature.words()) ", " (u.rain.words()) } }
                }
                h2 { "Machines" }
                ul.plain {
                    @for m in farm.machines.values() { li { a href=(entry(m.entry, "machine")) { (m.is.name) " (" (m.is.kind.words()) ")" } } }
                    li { a href="/enter/machine?then=setup" { "Add a machine" } }
                }
                h2 { "Weather" }
                p { @match known.weather.last_day() { Some(d) => { (known.weather.observed.len()) " days on file, to " (d) "." } None => { "None on file: a general plains climate stands in, and ranges are wide." } } }
                ul.plain { li { a href="/setup/weather" { "Bring in a station file or a forecast" } } li { a href="/enter/rain" { "Rain in the gauge" } } }
                h2 { "Keep it safe" }
                ul.plain { li { a href="/backup" { "Download a backup" } } }
            }
            div {
                h2 { "Fields" }
                ul.plain {
                    @for r in farm.fields.values() {
                        @let f = r.field();
                        @let plan = r.plan(known.as_of.year());
                        li {
                            a href=(entry(r.set_up.entry, "field")) { (f.name) ", " (words::area(&u, f.area_ha)) }
                            p.small { (plan.map_or("no crop planned", |p| p.crop.words())) " " (known.as_of.year()) ". "
                                a href={ "/enter/crop_plan?field=" (f.id) "&crop_year=" (known.as_of.year()) "&then=setup" } { "Plan " (f.name) } }
                        }
                    }
                    li { a href="/enter/field?then=setup" { "Add a field" } }
                }
                h2 { "Money and numbers" }
                ul.plain { li { a href="/enter/price?then=setup" { "Set a price" } } li { a href="/enter/local_number?then=setup" { "Your own number" } } }
            }
        }
    }
}

/// `/backup`: a whole copy of the book, while it stays in use.
pub async fn backup(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |desk, _| {
        let to = std::env::temp_dir().join(format!("stook-backup-{}.stook", uuid::Uuid::now_v7()));
        let bytes = desk.store().map_err(|e| e.to_string()).and_then(|s| {
            s.backup_to(&to).map_err(|e| e.to_string())?;
            std::fs::read(&to).map_err(|e| e.to_string())
        });
        let _ = std::fs::remove_file(&to);
        match bytes {
            Ok(bytes) => (
                [
                    (header::CONTENT_TYPE, "application/vnd.sqlite3"),
                    (header::CONTENT_DISPOSITION, "attachment; filename=\"farm-backup.stook\""),
                ],
                bytes,
            )
                .into_response(),
            Err(e) => layout::problem(StatusCode::INTERNAL_SERVER_ERROR, "The backup could not be made.", &e),
        }
    })
    .await
}
