//! Weather and forecast files: what is on file, a look at a new file, and bringing it in.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use maud::{Markup, html};
use stook_book::Store;
use stook_book::weather_file::{self, Answers, Question, Reading, Sheet, Step};
use stook_measure::figure;

use super::{Frame, Place, Reply, Trouble, capital, long_day, page, send, sent_file, sentence};
use crate::forms::Values;
use crate::server::beside;
use crate::state::{Desk, Known, Upload};

/// Where such a file is chosen.
const WHERE: &str = "Set-up, Weather";

/// Bad rows shown one by one; a broken column has thousands.
const SHOWN: usize = 100;

struct OnFile {
    station: String,
    days: Option<(Date, Date, usize)>,
    hours: usize,
}

/// `/setup/weather`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let store = desk.store()?;
        let said = brought_in(&asked);
        Ok(send(view(&Frame::of(&desk, &known), &known, &on_file(&store)?, said.as_deref(), None)))
    })
    .await?
}

/// What the last file brought, from the numbers in the address.
fn brought_in(asked: &Values) -> Option<String> {
    let get = |key: &str| asked.get(key)?.parse::<u32>().ok().map(|n| figure(f64::from(n), 0));
    if let Some(hours) = get("forecast_hours") {
        return Some(format!("Brought in: a forecast of {hours} hours."));
    }
    if let Some(days) = get("forecast") {
        return Some(format!("Brought in: a forecast of {days} days."));
    }
    let (new, changed, same) = (get("new")?, get("changed")?, get("same")?);
    Some(format!("Brought in: {new} new, {changed} changed, {same} there already."))
}

fn on_file(store: &Store) -> Result<Vec<OnFile>, Trouble> {
    let mut all = Vec::new();
    for station in store.stations()? {
        let days = store.days(&station)?;
        let hours = store.hours(&station, DateTime::MIN, DateTime::MAX)?.len();
        let days = days.first().zip(days.last()).map(|(a, b)| (a.date, b.date, days.len()));
        all.push(OnFile { station, days, hours });
    }
    Ok(all)
}

fn view(frame: &Frame, known: &Known, files: &[OnFile], said: Option<&str>, wrong: Option<&str>) -> Markup {
    let site = known.farm.site();
    let filled = site.map(|s| filled(known, &s)).unwrap_or_default();
    let odd = site.map(|s| stook_weather::quality::check(&known.weather.observed, &s)).unwrap_or_default();
    let body = html! {
        h1 { "Weather" }
        @if let Some(s) = said { p.note role="status" { (s) } }
        @if known.farm.set_up.is_none() { p.note { "Set the farm up first, so that times of day are read on its clock. " a href="/setup/new" { "To set-up" } } }
        div.cols {
            section {
                h2 { "Bring in a file" }
                form method="post" action="/setup/weather/file" enctype="multipart/form-data" {
                    p.hint { "A station's days or hours from a public climate archive, or any CSV with headings such as date, tmax_c, tmin_c, rain_mm. You see what was understood before anything is kept." }
                    @if let Some(w) = wrong { p.wrong role="alert" { (w) } }
                    fieldset { legend { "What it is" } div.choices {
                        label { input type="radio" name="what" value="observed" checked; "what was measured" }
                        label { input type="radio" name="what" value="forecast"; "a forecast" }
                    } }
                    div.field { label for="file" { "File" } input id="file" type="file" name="file" accept=".csv,.txt,.dly,.tsv,text/csv,text/plain" required; }
                    div.act { button.yes type="submit" { "Look at it" } }
                }
            }
            section {
                h2 { "On file" }
                @if files.is_empty() { p { "Nothing yet. Without it Stook reckons with the usual weather of the place, and the ranges are wide." } }
                ul.plain { @for f in files { li { p {
                    b { (f.station) }
                    @if let Some((a, b, n)) = f.days { ": " (figure(n as f64, 0)) " days, " (long_day(a)) " to " (long_day(b)) }
                    @if f.hours > 0 { ": " (figure(f.hours as f64, 0)) " hours" }
                } } } }
                @if let Some(f) = known.weather.forecast.last() { p { "Forecast to " (long_day(f.day.date)) "." } }
                @if !filled.is_empty() {
                    details {
                        summary { "Filled in: " (figure(filled.len() as f64, 0)) " stretches of days" }
                        p.quiet { "No reading of these was on file; the rule that stands in is named. A file that holds them replaces them." @if filled.len() > SHOWN { " The latest " (SHOWN) " are shown." } }
                        ul { @for s in filled.iter().rev().take(SHOWN) { li {
                            (long_day(s.from)) @if s.to != s.from { " to " (long_day(s.to)) } ": " (s.what) ", " (s.rule.words())
                        } } }
                    }
                }
                @if !odd.is_empty() {
                    h3 { "Odd in it" }
                    p.quiet { "Used as it is; look whether the station was right." }
                    ul { @for n in odd.iter().rev().take(SHOWN) { li { (capital(&n.sentence)) } } }
                }
            }
        }
    };
    page(frame, Place::SetUp, "Weather", &body)
}

/// Values on file that rest on no reading of their day.
fn filled(known: &Known, site: &stook_weather::Site) -> Vec<stook_weather::series::Stretch> {
    let (reference, _) = known.farm.reference(&stook_measure::Reference::shipped());
    let params = stook_weather::params::WeatherParams::from_reference(&reference);
    stook_weather::series::fill(&known.weather.observed, site, &params).stretches()
}

/// `POST /setup/weather/file`
pub async fn upload(State(desk): State<Arc<Desk>>, parts: Multipart) -> Reply {
    let sent = sent_file::receive(parts, 64).await?;
    beside(move || {
        if sent.bytes.is_empty() {
            let known = desk.known()?;
            let files = on_file(&desk.store()?)?;
            let page = send(view(&Frame::of(&desk, &known), &known, &files, None, Some(sent_file::EMPTY)));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        let forecast = sent.said.get("what").is_some_and(|w| w == "forecast");
        Ok(sent_file::hold(&desk, "/setup/weather", sent.name, sent.bytes, forecast))
    })
    .await?
}

/// `/setup/weather/{token}`: what was understood.
pub async fn preview(
    State(desk): State<Arc<Desk>>,
    Path(token): Path<String>,
    Query(typed): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let file = sent_file::kept(&desk, &token, WHERE)?;
        Ok(send(look(&Frame::of(&desk, &known), &known, &file, &typed, None)))
    })
    .await?
}

fn look(frame: &Frame, known: &Known, file: &Upload, typed: &Values, wrong: Option<&str>) -> Markup {
    let reading =
        weather_file::read(&file.bytes, &known.farm.time_zone(), &Answers(sent_file::answers(typed)));
    let body = html! {
        h1 { "Before it is brought in: " (file.name) }
        @match reading {
            Err(e) => { p.wrong role="alert" { (sentence(&e)) } p { a.btn href="/setup/weather" { "Choose another file" } } }
            Ok(Reading::Ask(questions)) => { (asked(file, typed, &questions)) }
            Ok(Reading::Done(sheet)) => { (understood(file, typed, &sheet, wrong)) }
        }
    };
    page(frame, Place::SetUp, "A weather file", &body)
}

fn carried(typed: &Values, but: &[Question]) -> Markup {
    html! {
        @for (k, v) in typed.iter().filter(|(k, _)| k.strip_prefix(sent_file::ANSWER).is_some_and(|k| !but.iter().any(|q| q.key == k))) {
            input type="hidden" name=(k) value=(v);
        }
    }
}

fn asked(file: &Upload, typed: &Values, questions: &[Question]) -> Markup {
    html! {
        form method="get" action={ "/setup/weather/" (file.token) } {
            p { "The file does not say everything. One wrong unit spoils every answer, so Stook asks." }
            (carried(typed, questions))
            @for q in questions {
                fieldset {
                    legend { (q.sentence) }
                    div.choices { @for c in &q.choices { label { input type="radio" name={ (sent_file::ANSWER) (q.key) } value=(c.key) required; (c.words) } } }
                }
            }
            div.act { button.yes type="submit" { "Go on" } a.btn href="/setup/weather" { "Leave it" } }
        }
    }
}

fn understood(file: &Upload, typed: &Values, sheet: &Sheet, wrong: Option<&str>) -> Markup {
    let what = match sheet.step {
        Step::Day => "days",
        Step::Hour => "hours",
    };
    let span = sheet.rows.first().zip(sheet.rows.last());
    let station =
        typed.get("station").cloned().or_else(|| sheet.station.clone()).unwrap_or_else(|| file.name.clone());
    html! {
        p.big {
            (figure(sheet.rows.len() as f64, 0)) " " (what)
            @if let Some((a, b)) = span { ", " (long_day(a.at.date())) " to " (long_day(b.at.date())) }
            "."
        }
        div.scroll tabindex="0" role="region" aria-label="Columns" { table {
            caption { "What was understood" }
            thead { tr { th scope="col" { "Heading in the file" } th scope="col" { "Taken as" } th scope="col" { "Unit" } } }
            tbody { @for c in &sheet.columns { tr { td { (c.heading) } td { (c.quantity.words()) } td { (c.unit.key()) } } } }
        } }
        @if !sheet.notes.is_empty() { ul { @for n in &sheet.notes { li { (capital(n)) } } } }
        @if !sheet.bad_rows.is_empty() {
            section {
                h2 { (figure(sheet.bad_rows.len() as f64, 0)) " rows cannot be right" }
                ul { @for b in sheet.bad_rows.iter().take(SHOWN) { li { "Line " (b.line) ", " (b.column) ": " (b.sentence) } } }
                @if sheet.bad_rows.len() > SHOWN { p { "and " (figure((sheet.bad_rows.len() - SHOWN) as f64, 0)) " more." } }
            }
        }
        form method="post" action={ "/setup/weather/" (file.token) } {
                (carried(typed, &[]))
                @if !file.forecast {
                    div.field { label for="station" { "Station" } p.hint { "One name for one station, so that a later file joins it." } input id="station" name="station" value=(station); }
                }
                @if let Some(w) = wrong { p.wrong id="skip-wrong" role="alert" { (w) } }
                @if !sheet.bad_rows.is_empty() {
                    div.choices { label { input type="checkbox" name="skip" value="yes" aria-invalid=[wrong.map(|_| "true")]; "Leave the wrong rows out and bring in the rest" } }
                }
                div.act { button.yes type="submit" { "Bring it in" } a.btn href="/setup/weather" { "Leave it" } }
        }
    }
}

/// `POST /setup/weather/{token}`
pub async fn bring_in(
    State(desk): State<Arc<Desk>>,
    Path(token): Path<String>,
    Posted(typed): Posted<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let file = sent_file::kept(&desk, &token, WHERE)?;
        let again = |wrong: &str| {
            let page = send(look(&frame, &known, &file, &typed, Some(wrong)));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        };
        let reading =
            weather_file::read(&file.bytes, &known.farm.time_zone(), &Answers(sent_file::answers(&typed)));
        let Ok(Reading::Done(sheet)) = reading else { return again("") };
        let skip = typed.get("skip").is_some_and(|s| s == "yes");
        if !sheet.bad_rows.is_empty() && !skip {
            return again("Say that the wrong rows may be left out, or mend the file and choose it again.");
        }
        let station = typed.get("station").map_or("", |s| s.trim());
        if station.is_empty() && !file.forecast {
            return again("Give the station a name.");
        }
        match put(&mut desk.store()?, &file, &sheet, station, skip, frame.now) {
            Ok(said) => Ok(Redirect::to(&format!("/setup/weather?{said}")).into_response()),
            Err(Brought::Sheet(why)) => again(&why),
            Err(Brought::Store(t)) => Err(t),
        }
    })
    .await?
}

enum Brought {
    Sheet(String),
    Store(Trouble),
}

fn put(
    store: &mut Store,
    file: &Upload,
    sheet: &Sheet,
    station: &str,
    skip: bool,
    now: DateTime,
) -> Result<String, Brought> {
    let of_sheet = |e: weather_file::SheetError| Brought::Sheet(sentence(&e));
    let of_store = |e: stook_book::StoreError| Brought::Store(e.into());
    let stamp = Timestamp::now();
    if file.forecast {
        if sheet.step == Step::Hour {
            let hours = sheet.forecast_hours(skip).map_err(of_sheet)?;
            store.put_forecast_hours(now, &file.name, stamp, &hours).map_err(of_store)?;
            return Ok(format!("forecast_hours={}", hours.len()));
        }
        let days = sheet.forecast(skip).map_err(of_sheet)?;
        store.put_forecast(now, &file.name, stamp, &days).map_err(of_store)?;
        return Ok(format!("forecast={}", days.len()));
    }
    let put = match sheet.step {
        Step::Day => store.put_days(station, &file.name, stamp, &sheet.days(skip).map_err(of_sheet)?),
        Step::Hour => store.put_hours(station, &file.name, stamp, &sheet.hours(skip).map_err(of_sheet)?),
    }
    .map_err(of_store)?;
    Ok(format!("new={}&changed={}&same={}", put.new, put.changed, put.same))
}
