//! Writing an entry: the list of forms, one form, what was written with Undo.

use std::sync::Arc;

use axum::extract::{Form as Posted, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use jiff::civil::DateTime;
use maud::html;
use stook_book::payload::Withdrawn;
use stook_book::validate::{Problem, validate};
use stook_book::{Body, Entry};
use stook_measure::Reference;
use uuid::Uuid;

use super::{controls, layout};
use crate::forms::{self, Ask, Form, Values};
use crate::state::{Desk, Known};

/// Who writes at the desk.
pub const WHO: &str = "desk";

/// `/enter`
pub async fn list(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |_, known| {
        let table = |f: &&Form| !f.glove && !f.set_up && f.kind != "decision_answer";
        let body = html! {
            h1 { "Write it down" }
            div.cols {
                section { h2 { "In the field" } ul.plain { @for f in forms::all().iter().filter(|f| f.glove) { li { a href={ "/enter/" (f.kind) } { (f.title) } } } } }
                section { h2 { "At the table" } ul.plain { @for f in forms::all().iter().filter(table) { li { a href={ "/enter/" (f.kind) } { (f.title) } } } } }
            }
        };
        layout::ok(known, "/enter", "Write", &body)
    })
    .await
}

/// `/enter/{kind}`: the form, prefilled; `correct=ID` prefills an entry to correct.
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(kind): Path<String>,
    Query(mut given): Query<Values>,
) -> Response {
    layout::answer(desk, move |desk, known| {
        let Some(form) = forms::find(&kind) else { return no_form() };
        let old = given.get("correct").and_then(|id| known.entries.iter().find(|e| e.id.to_string() == *id));
        if let Some(entry) = old {
            let data = entry.payload().and_then(|p| p.data().ok()).unwrap_or_default();
            let mut values = forms::prefill(form, &data, &known.farm.units());
            values.insert("happened".into(), entry.happened.strftime("%Y-%m-%dT%H:%M").to_string());
            values.extend(given);
            given = values;
        }
        let body = controls::form_page(form, known, desk.now(&known.farm), &given, &[]);
        layout::ok(known, "/enter", form.title, &body)
    })
    .await
}

fn no_form() -> Response {
    layout::problem(StatusCode::NOT_FOUND, "There is no such form.", "The Write page lists them.")
}

/// `POST /enter/{kind}`
pub async fn save(
    State(desk): State<Arc<Desk>>,
    Path(kind): Path<String>,
    Posted(values): Posted<Values>,
) -> Response {
    layout::answer(desk, move |desk, known| {
        let Some(form) = forms::find(&kind) else { return no_form() };
        match write(desk, known, form, &values) {
            Ok(_) if values.get("then").is_some_and(|t| t == "setup") => {
                Redirect::to("/setup").into_response()
            }
            Ok(id) => Redirect::to(&format!("/saved/{id}")).into_response(),
            Err(problems) => {
                let body = controls::form_page(form, known, desk.now(&known.farm), &values, &problems);
                let page = layout::page(Some(known), "/enter", form.title, &body);
                (StatusCode::UNPROCESSABLE_ENTITY, Html(page.into_string())).into_response()
            }
        }
    })
    .await
}

/// Checks and appends.
fn write(desk: &Desk, known: &Known, form: &Form, values: &Values) -> Result<Uuid, Vec<Problem>> {
    let problem = |at: &str, sentence: String| vec![Problem { at: at.into(), sentence }];
    let payload = forms::read(form, values, &known.farm.units())?;
    let happened = match values.get("happened").map(|t| t.trim()).filter(|t| !t.is_empty()) {
        None => desk.now(&known.farm),
        Some(t) => t.parse::<DateTime>().map_err(|_| {
            problem("happened", format!("\"{t}\" is no day and time; write it as 2026-05-05T06:10."))
        })?,
    };
    let mut entry = Entry::new(happened, WHO, payload);
    if let Some(id) = values.get("entry_id").and_then(|t| t.parse::<Uuid>().ok()) {
        entry.id = id;
    }
    if let Some(earlier) = values.get("replaces").and_then(|t| t.parse::<Uuid>().ok()) {
        entry = entry.replacing(earlier);
    }
    // The same form sent twice: the first is kept.
    if known.entries.iter().any(|e| e.id == entry.id) {
        return Ok(entry.id);
    }
    // A farm looked at on a chosen day takes entries as of that day.
    let now = desk
        .now(&known.farm)
        .to_zoned_datetime(known.farm.time_zone())
        .map_or_else(|_| jiff::Timestamp::now(), |z| z.timestamp());
    validate(&entry, &known.farm, &Reference::shipped(), now)?;
    let stored = desk.store().and_then(|mut s| s.append(&entry));
    stored.map(|_| entry.id).map_err(|e| problem("form", e.to_string()))
}

/// `/saved/{id}`
pub async fn saved(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Response {
    layout::answer(desk, move |_, known| {
        let Some(entry) = known.entries.iter().find(|e| e.id.to_string() == id) else { return no_entry() };
        let title = entry.payload().map_or("Written", |p| p.title());
        let body = html! {
            h1 { "Written down: " (title) }
            p { (describe(entry, known)) }
            div.act.glove {
                a.btn.yes href="/" { "To Today" }
                form method="post" action={ "/undo/" (entry.id) } { button { "Undo" } }
                a.btn href={ "/enter/" (entry.body.kind()) } { "Another" }
            }
        };
        layout::ok(known, "/enter", "Written down", &body)
    })
    .await
}

fn no_entry() -> Response {
    layout::problem(StatusCode::NOT_FOUND, "There is no such entry.", "The book lists them.")
}

/// `POST /undo/{id}`: takes an entry back; nothing is deleted.
pub async fn undo(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Posted(values): Posted<Values>,
) -> Response {
    layout::answer(desk, move |desk, known| {
        let Some(entry) = known.entries.iter().find(|e| e.id.to_string() == id) else { return no_entry() };
        let why = values.get("why").map_or("", |w| w.trim());
        let why = if why.is_empty() { "undone at the desk" } else { why };
        let back = Entry::new(desk.now(&known.farm), WHO, Withdrawn { why: why.into() }).replacing(entry.id);
        match desk.store().and_then(|mut s| s.append(&back)) {
            Ok(_) => Redirect::to("/book").into_response(),
            Err(e) => layout::problem(
                StatusCode::INTERNAL_SERVER_ERROR,
                "It could not be taken back.",
                &e.to_string(),
            ),
        }
    })
    .await
}

/// An entry in a line, in the farm's units where a form knows them.
pub fn describe(entry: &Entry, known: &Known) -> String {
    let data = match &entry.body {
        Body::Known(p) => p.data().unwrap_or_default(),
        Body::Unknown { data, .. } => return format!("From a newer version, kept as it came: {data}"),
    };
    let units = known.farm.units();
    let Some(form) = forms::find(entry.body.kind()) else {
        return data["why"].as_str().unwrap_or("").to_string();
    };
    let values = forms::prefill(form, &data, &units);
    let field = |id: &str| {
        let found = known.farm.fields.values().find(|r| r.field().id.as_str() == id);
        found.map_or_else(|| id.to_string(), |r| r.field().name.clone())
    };
    let mut parts = Vec::new();
    for input in form.inputs {
        let Some(text) = values.get(input.key).filter(|t| !t.is_empty()) else { continue };
        let shown = match input.ask {
            Ask::Number { unit, .. } => format!("{text} {}", unit(&units)).trim().to_string(),
            Ask::YesNo(yes, no) => if text == "true" { yes } else { no }.to_string(),
            Ask::Choice(of) => {
                of().into_iter().find(|(k, _)| k == text).map_or_else(|| text.clone(), |(_, w)| w)
            }
            Ask::Field | Ask::FieldOr(_) => field(text),
            _ if text.len() > 80 => "...".into(),
            _ => text.clone(),
        };
        parts.push(if input.key == "field" { shown } else { format!("{}: {shown}", input.label) });
    }
    parts.join(", ")
}
