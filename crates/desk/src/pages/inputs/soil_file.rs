//! A laboratory's file: choose it, say what the columns are, look at what was understood, bring it in.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use jiff::Timestamp;
use maud::{Markup, html};
use stook_inputs::lab::{self, ANALYTES, Answers, Column, Question, ROLES, Reading, Sheet};
use stook_measure::{Reference, figure};

use crate::forms::Values;
use crate::pages::sent_file::{self, ANSWER};
use crate::pages::{Frame, Place, Reply, capital, long_day, page, send, sentence};
use crate::server::beside;
use crate::state::{Desk, Known, Upload};

/// Where such a file is chosen.
const WHERE: &str = "Inputs, Soil tests from a file";

/// Bad rows shown one by one.
const SHOWN: usize = 100;
/// `/inputs/soil-file`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let said = asked.get("brought").and_then(|n| n.parse::<u32>().ok()).map(|n| {
            let there = asked.get("there").and_then(|t| t.parse::<u32>().ok()).unwrap_or(0);
            format!("Brought in: {n} soil tests. {there} were there already.")
        });
        Ok(send(view(&Frame::of(&desk, &known), &known, said.as_deref(), None)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, said: Option<&str>, wrong: Option<&str>) -> Markup {
    let mut tests: Vec<_> =
        known.farm.fields.values().flat_map(|r| r.soil_tests.iter().map(move |t| (r.field(), t))).collect();
    tests.sort_by_key(|(_, t)| std::cmp::Reverse(t.is.sampled));
    let body = html! {
        h1 { "Soil tests from a laboratory's file" }
        @if let Some(s) = said { p.note role="status" { (s) " " a href="/inputs" { "To the farm's plan" } } }
        div.cols {
            section {
                h2 { "Bring in a file" }
                form method="post" action="/inputs/soil-file/file" enctype="multipart/form-data" {
                    p.hint { "Any CSV with a line a sample or a line a figure, or a Modus file (XML or JSON). You see what was understood before anything is kept; the columns of a laboratory are asked once." }
                    @if let Some(w) = wrong { p.wrong role="alert" { (w) } }
                    div.field { label for="file" { "File" } input id="file" type="file" name="file" accept=".csv,.txt,.tsv,.xml,.json,text/csv,text/plain" required; }
                    div.act { button.yes type="submit" { "Look at it" } }
                }
                p { "No file? " a href="/enter/soil_test" { "Write one test by hand" } "." }
            }
            section {
                h2 { "In the book" }
                @if tests.is_empty() { p { "No soil test yet." } }
                ul.plain { @for (f, t) in tests.iter().take(20) { li { a href={ "/field/" (f.id) "/soil" } { (f.name) ", " (long_day(t.is.sampled)) } } } }
                @if !known.farm.lab_layouts.is_empty() {
                    h3 { "Layouts remembered" }
                    ul { @for l in known.farm.lab_layouts.values() { li { (l.is.name) } } }
                }
            }
        }
    };
    page(frame, Place::Inputs, "Soil tests from a file", &body)
}

/// `POST /inputs/soil-file/file`
pub async fn upload(State(desk): State<Arc<Desk>>, parts: Multipart) -> Reply {
    let sent = sent_file::receive(parts, 16).await?;
    beside(move || {
        if sent.bytes.is_empty() {
            let known = desk.known()?;
            let page = send(view(&Frame::of(&desk, &known), &known, None, Some(sent_file::EMPTY)));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        Ok(sent_file::hold(&desk, "/inputs/soil-file", sent.name, sent.bytes, false))
    })
    .await?
}

/// `/inputs/soil-file/{token}`: questions, or what was understood.
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
    let reading = lab::read(&file.bytes, &known.farm, &Answers(sent_file::answers(typed)), frame.day());
    let again = typed.contains_key("columns");
    let body = html! {
        h1 { "Before it is brought in: " (file.name) }
        @match reading {
            Err(e) => { p.wrong role="alert" { (sentence(&e)) } p { a.btn href="/inputs/soil-file" { "Choose another file" } } }
            Ok(Reading::Ask { columns, questions, .. }) => (asked(file, typed, &columns, &questions)),
            Ok(Reading::Done(sheet)) if again && !sheet.columns.is_empty() => (asked(file, typed, &sheet.columns, &[])),
            Ok(Reading::Done(sheet)) => (understood(file, typed, &sheet, wrong)),
        }
    };
    page(frame, Place::Inputs, "A laboratory's file", &body)
}

fn asked(file: &Upload, typed: &Values, columns: &[Column], questions: &[Question]) -> Markup {
    let general: Vec<&Question> = questions.iter().filter(|q| q.of_column().is_none()).collect();
    let shown = |key: &str| {
        columns.iter().any(|c| key.starts_with(&format!("c{}.", c.index)))
            || general.iter().any(|q| q.key == key)
    };
    html! {
        form.wide method="get" action={ "/inputs/soil-file/" (file.token) } {
            @if questions.is_empty() { p { "Change what a column is, then go on." } }
            @else { p { "The file does not say everything. One wrong unit spoils the rate, so Stook asks; for this laboratory only once." } }
            @for (k, v) in typed.iter().filter(|(k, _)| k.strip_prefix(ANSWER).is_some_and(|k| !shown(k))) { input type="hidden" name=(k) value=(v); }
            @for q in &general { (general_question(q, typed)) }
            @if !columns.is_empty() { h2 { "The columns" } @for c in columns { (column(c, questions)) } }
            div.act { button.yes type="submit" { "Go on" } a.btn href="/inputs/soil-file" { "Leave it" } }
        }
    }
}

fn general_question(q: &Question, typed: &Values) -> Markup {
    let name = format!("{ANSWER}{}", q.key);
    let value = typed.get(&name).map_or("", String::as_str);
    let id = q.key.replace(['.', ' '], "-");
    html! {
        @if q.choices.is_empty() {
            @if q.key == "columns" { p.wrong role="alert" { (q.sentence) } }
            @else { div.field { label for=(id) { (q.sentence) } input id=(id) name=(name) value=(value) autocomplete="off"; } }
        } @else if q.choices.len() > 6 {
            div.field { label for=(id) { (q.sentence) } select id=(id) name=(name) {
                option value="" { "choose" }
                @for (k, w) in &q.choices { option value=(k) selected[k == value] { (w) } }
            } }
        } @else {
            fieldset { legend { (q.sentence) } div.choices { @for (k, w) in &q.choices { label { input type="radio" name=(name) value=(k) checked[k == value]; (w) } } } }
        }
    }
}

/// `1 note`, `3 notes`.
fn count(n: usize, word: &str) -> String {
    format!("{} {word}{}", figure(n as f64, 0), if n == 1 { "" } else { "s" })
}

/// One column: what it is, and for a figure its unit, depth, basis and method.
fn column(c: &Column, questions: &[Question]) -> Markup {
    let open = |what: &str| questions.iter().find(|q| q.key == format!("c{}.{what}", c.index));
    let name = |what: &str| format!("{ANSWER}c{}.{what}", c.index);
    let id = |what: &str| format!("c{}-{what}", c.index);
    let wrong = |what: &str| html! { @if let Some(q) = open(what) { p.wrong id={ (id(what)) "-wrong" } { (q.sentence) } } };
    let analyte = c.analyte();
    html! {
        fieldset.column {
            legend { (c.heading) @if !c.first.is_empty() { span.quiet { ": " (c.first.join(", ")) } } }
            div.row {
                div.field {
                    label for=(id("is")) { "It is" }
                    select id=(id("is")) name=(name("is")) {
                        @for (k, w) in ROLES { option value=(k) selected[k == c.is] { (w) } }
                        @for a in ANALYTES { option value=(a.key) selected[a.key == c.is] { (a.words) } }
                    }
                }
                @if let Some(a) = analyte {
                    @if a.only_unit().is_none() {
                        (wrong("unit"))
                        div.field { label for=(id("unit")) { "Unit" } select id=(id("unit")) name=(name("unit")) aria-invalid=[open("unit").map(|_| "true")] {
                            option value="" { "choose" }
                            @for u in a.units { option value=(u) selected[c.unit.as_deref() == Some(u)] { (u) } }
                            @if !a.units.contains(&"mg/L") { option value="mg/L" selected[c.unit.as_deref() == Some("mg/L")] { "mg/L of extract" } }
                        } }
                    }
                    (wrong("depth"))
                    div.field { label for=(id("depth")) { "Depth" } input id=(id("depth")) name=(name("depth")) value=(c.depth.as_deref().unwrap_or("")) placeholder="0-6 in" autocomplete="off" aria-invalid=[open("depth").map(|_| "true")]; }
                    @if !a.bases.is_empty() {
                        (wrong("basis"))
                        div.field { label for=(id("basis")) { "Quoted as" } select id=(id("basis")) name=(name("basis")) aria-invalid=[open("basis").map(|_| "true")] {
                            option value="" { "choose" }
                            @for b in a.bases { option value=(b) selected[c.basis.as_deref() == Some(b)] { (b) } }
                        } }
                    }
                    @if a.key == "p" {
                        (wrong("method"))
                        div.field { label for=(id("method")) { "Method" } select id=(id("method")) name=(name("method")) aria-invalid=[open("method").map(|_| "true")] {
                            option value="" { "choose" }
                            @for m in ["Olsen", "modified Kelowna", "Bray 1", "Bray 2", "Mehlich 3", "Mehlich 1"] { option value=(m) selected[c.extractant.as_deref() == Some(m)] { (m) } }
                        } }
                    }
                }
            }
        }
    }
}

fn carried(typed: &Values) -> Markup {
    html! { @for (k, v) in typed.iter().filter(|(k, _)| k.starts_with(ANSWER)) { input type="hidden" name=(k) value=(v); } }
}

fn understood(file: &Upload, typed: &Values, sheet: &Sheet, wrong: Option<&str>) -> Markup {
    let new = sheet.tests.iter().filter(|t| !t.there).count();
    html! {
        p.big { (figure(sheet.tests.len() as f64, 0)) " soil tests in a " (sheet.kind) " file" @if new < sheet.tests.len() { ", " (figure((sheet.tests.len() - new) as f64, 0)) " of them in the book already" } "." }
        @if !sheet.bad.is_empty() {
            section {
                h2 { (count(sheet.bad.len(), "figure")) " cannot be right" }
                ul { @for b in sheet.bad.iter().take(SHOWN) { li { "Line " (b.line) ", " (b.column) ": " (b.sentence) } } }
                @if sheet.bad.len() > SHOWN { p { "and " (figure((sheet.bad.len() - SHOWN) as f64, 0)) " more." } }
            }
        }
        @if !sheet.notes.is_empty() { details { summary { (count(sheet.notes.len(), "note")) } ul { @for n in &sheet.notes { li { (capital(n)) } } } } }
        form method="post" action={ "/inputs/soil-file/" (file.token) } {
            (carried(typed))
            @if !sheet.bad.is_empty() {
                @if let Some(w) = wrong { p.wrong id="skip-wrong" role="alert" { (w) } }
                div.choices { label { input type="checkbox" name="skip" value="yes" aria-invalid=[wrong.map(|_| "true")]; "Leave this out and bring in the rest" } }
            } @else if let Some(w) = wrong { p.wrong role="alert" { (w) } }
            div.act {
                @if new > 0 { button.yes type="submit" { "Bring it in" } }
                a.btn href="/inputs/soil-file" { "Leave it" }
            }
        }
        @if !sheet.columns.is_empty() {
            form method="get" action={ "/inputs/soil-file/" (file.token) } { (carried(typed)) input type="hidden" name="columns" value="again"; div.act { button type="submit" { "Change what the columns are" } } }
        }
        h2 { "As it will be kept" }
        @for t in &sheet.tests {
            section.sample {
                h3 { (t.field_name) @if let Some(z) = &t.is.zone { ", " (z) } }
                p.quiet {
                    "Sampled " (long_day(t.is.sampled))
                    @if let Some(n) = &t.is.number { ", number " (n) }
                    @if let Some(n) = t.is.cores { ", " (n) " cores" }
                    @if let Some(c) = t.is.soil_temp_c { ", soil at " (figure(c, 0)) " C" }
                    @if t.there { ". In the book already: left as it is" }
                    "."
                }
                div.scroll tabindex="0" role="region" aria-label={ "Figures of " (t.field_name) } { table {
                    thead { tr { th scope="col" { "Depth, cm" } th scope="col" { "Figures as they will be kept" } } }
                    tbody { @for l in &t.is.layers { tr {
                        td.depth { (figure(l.top_cm, 0)) " to " (figure(l.bottom_cm, 0)) }
                        td { @for (i, v) in l.values.iter().enumerate() { @if i > 0 { "; " } (lab::ANALYTES.iter().find(|a| a.key == v.what).map_or(v.what.as_str(), |a| a.words)) " " b { (v.value) @if v.unit != "1" { " " (v.unit) } } @if let Some(b) = &v.basis { " as " (b) } @if let Some(e) = &v.extractant { ", " (e) } } }
                    } } }
                } }
            }
        }
    }
}

/// `POST /inputs/soil-file/{token}`
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
        let Ok(Reading::Done(sheet)) =
            lab::read(&file.bytes, &known.farm, &Answers(sent_file::answers(&typed)), frame.day())
        else {
            return again("");
        };
        if !sheet.bad.is_empty() && typed.get("skip").is_none_or(|s| s != "yes") {
            return again(
                "Say that the wrong figures may be left out, or mend the file and choose it again.",
            );
        }
        let who = known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone());
        let now = super::super::enter::latest(&known, &frame);
        let (mut entries, refused) =
            lab::entries(&sheet, &file.name, &known.farm, &who, &Reference::shipped(), now);
        if let Some(r) = refused.first() {
            return again(&format!("{}: {}", r.column, r.sentence));
        }
        // a chosen day stands still: what is written now must not lie after it
        let written = Timestamp::now();
        for e in &mut entries {
            e.written = written;
            if e.body.kind() == "lab_layout" {
                e.happened = frame.now;
            }
        }
        let brought = entries.iter().filter(|e| e.body.kind() == "soil_test").count();
        desk.store()?.append_all(&entries)?;
        let there = sheet.tests.len() - brought;
        Ok(Redirect::to(&format!("/inputs/soil-file?brought={brought}&there={there}")).into_response())
    })
    .await?
}
