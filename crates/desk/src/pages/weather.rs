//! Bringing weather in: choose a file, see what was understood, answer what it leaves open, then bring it in.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Form as Posted, Multipart, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use maud::{Markup, html};
use stook_book::weather_file::{self, Answers, Reading, Sheet, Step};

use super::layout;
use crate::state::{Desk, Known};

/// Bad rows shown.
const SHOWN: usize = 20;

/// `/setup/weather`
pub async fn show(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |_, known| layout::ok(known, "/setup", "Weather", &choose(None))).await
}

fn choose(wrong: Option<&str>) -> Markup {
    html! {
        h1 { "Weather from a file" }
        p { "A station file (the Canadian climate archive, GHCN-Daily, a typical year, or any table with a heading such as date,tmax_c,tmin_c,rain_mm), or a forecast in the same form. Nothing is brought in before you have seen what was understood." }
        @if let Some(w) = wrong { p.wrong role="alert" { (w) } }
        form method="post" action="/setup/weather" enctype="multipart/form-data" {
            div.field { label for="in-file" { "File" } input id="in-file" name="file" type="file"; }
            div.act { button.yes { "Look at it" } }
        }
    }
}

/// `POST /setup/weather`
pub async fn upload(State(desk): State<Arc<Desk>>, mut parts: Multipart) -> Response {
    let mut file = None;
    while let Ok(Some(part)) = parts.next_field().await {
        if part.name() == Some("file") {
            let name = part.file_name().unwrap_or("file").to_string();
            file = part.bytes().await.ok().map(|b| (name, b.to_vec()));
        }
    }
    layout::answer(desk, move |desk, known| {
        let Some((name, bytes)) = file.filter(|(_, b)| !b.is_empty()) else {
            return refused(known, "Choose a file first.");
        };
        let token = uuid::Uuid::now_v7().to_string();
        desk.keep_upload(token.clone(), bytes.clone());
        let form = BTreeMap::from([("token".to_string(), token), ("name".to_string(), name)]);
        preview(known, &bytes, &form)
    })
    .await
}

fn refused(known: &Known, why: &str) -> Response {
    let page = layout::page(Some(known), "/setup", "Weather", &choose(Some(why)));
    (StatusCode::UNPROCESSABLE_ENTITY, Html(page.into_string())).into_response()
}

fn answers(form: &BTreeMap<String, String>) -> Answers {
    form.iter()
        .filter_map(|(k, v)| Some((k.strip_prefix("answer.")?, v)))
        .filter(|(_, v)| !v.is_empty())
        .fold(Answers::default(), |a, (k, v)| a.with(k, v))
}

fn preview(known: &Known, bytes: &[u8], form: &BTreeMap<String, String>) -> Response {
    let of = |key: &str| form.get(key).map_or("", String::as_str);
    let hidden = html! {
        input type="hidden" name="token" value=(of("token"));
        input type="hidden" name="name" value=(of("name"));
        @for (k, v) in form.iter().filter(|(k, _)| k.starts_with("answer.")) { input type="hidden" name=(k) value=(v); }
    };
    let body = match weather_file::read(bytes, &known.farm.time_zone(), &answers(form)) {
        Err(e) => return refused(known, &e.to_string()),
        Ok(Reading::Ask(questions)) => html! {
            h1 { "The file leaves something open" }
            form method="post" action="/setup/weather/bring-in" {
                (hidden)
                @for q in &questions {
                    fieldset {
                        legend { (q.sentence) }
                        div.choices { @for c in &q.choices { label { input type="radio" name={ "answer." (q.key) } value=(c.key); (c.words) } } }
                    }
                }
                div.act { button.yes name="step" value="look" { "Go on" } }
            }
        },
        Ok(Reading::Done(sheet)) => html! {
            h1 { "What was understood of " (of("name")) }
            p { (sheet.rows.len()) @if sheet.step == Step::Day { " days" } @else { " hours" }
                @if let (Some(a), Some(b)) = (sheet.rows.first(), sheet.rows.last()) { ", from " (a.at.date()) " to " (b.at.date()) } "." }
            table { thead { tr { th { "Column" } th { "Holds" } th { "In" } } } tbody { @for c in &sheet.columns { tr { td { (c.heading) } td { (c.quantity.words()) } td { (c.unit.key()) } } } } }
            @for n in &sheet.notes { p.small { (n) } }
            @if !sheet.bad_rows.is_empty() {
                div.note {
                    p { (sheet.bad_rows.len()) " rows cannot be right:" }
                    ul { @for b in sheet.bad_rows.iter().take(SHOWN) { li { "line " (b.line) ", " (b.column) ": " (b.sentence) } } }
                    @if sheet.bad_rows.len() > SHOWN { p { "and " (sheet.bad_rows.len() - SHOWN) " more." } }
                }
            }
            form method="post" action="/setup/weather/bring-in" {
                (hidden)
                div.field { label for="in-station" { "Station" } input id="in-station" name="station" type="text" value=(sheet.station.as_deref().unwrap_or(of("name"))); }
                fieldset { legend { "It is" } div.choices {
                    label { input type="radio" name="what" value="observed" checked; "measured weather" }
                    label { input type="radio" name="what" value="forecast"; "a forecast" }
                } }
                div.act {
                    @if sheet.bad_rows.is_empty() { button.yes name="step" value="bring" { "Bring it in" } }
                    @else { button.yes name="step" value="skip" { "Leave the bad rows out and bring in the rest" } }
                    a.btn href="/setup/weather" { "Leave it" }
                }
            }
        },
    };
    layout::ok(known, "/setup", "Weather", &body)
}

/// `POST /setup/weather/bring-in`
pub async fn bring_in(
    State(desk): State<Arc<Desk>>,
    Posted(form): Posted<BTreeMap<String, String>>,
) -> Response {
    layout::answer(desk, move |desk, known| {
        let of = |key: &str| form.get(key).map_or("", |t| t.trim());
        let Some(bytes) = desk.upload(of("token")) else {
            return refused(known, "The file is no longer at hand; choose it again.");
        };
        if of("step") == "look" {
            return preview(known, &bytes, &form);
        }
        let sheet = match weather_file::read(&bytes, &known.farm.time_zone(), &answers(&form)) {
            Ok(Reading::Done(sheet)) => sheet,
            Ok(Reading::Ask(_)) => return preview(known, &bytes, &form),
            Err(e) => return refused(known, &e.to_string()),
        };
        match put(desk, known, &sheet, &form) {
            Ok(said) => {
                let body = html! { h1 { "Brought in" } p { (said) } div.act { a.btn.yes href="/" { "To Today" } a.btn href="/setup/weather" { "Another file" } } };
                layout::ok(known, "/setup", "Weather", &body)
            }
            Err(e) => refused(known, &e),
        }
    })
    .await
}

fn put(desk: &Desk, known: &Known, sheet: &Sheet, form: &BTreeMap<String, String>) -> Result<String, String> {
    let of = |key: &str| form.get(key).map_or("", |t| t.trim());
    let skip = of("step") == "skip";
    let station = if of("station").is_empty() { of("name") } else { of("station") };
    let now = jiff::Timestamp::now();
    let mut store = desk.store().map_err(|e| e.to_string())?;
    if of("what") == "forecast" {
        let days = sheet.forecast(skip).map_err(|e| e.to_string())?;
        store.put_forecast(desk.now(&known.farm), of("name"), now, &days).map_err(|e| e.to_string())?;
        return Ok(format!("A forecast of {} days.", days.len()));
    }
    let put = match sheet.step {
        Step::Day => store.put_days(station, of("name"), now, &sheet.days(skip).map_err(|e| e.to_string())?),
        Step::Hour => {
            store.put_hours(station, of("name"), now, &sheet.hours(skip).map_err(|e| e.to_string())?)
        }
    }
    .map_err(|e| e.to_string())?;
    Ok(format!("{station}: {} new, {} changed, {} there already.", put.new, put.changed, put.same))
}
