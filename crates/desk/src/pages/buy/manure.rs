//! The manure plan: room in the pit, the fields in order, the rate, what a load is worth, and the law's lines.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_book::payload::{ManureMethod, ManurePlan};
use stook_book::{Entry, validate};
use stook_inputs::manure::{Air, Haul, Manure, Pit, manure, rate, volume};
use stook_measure::{Reference, figure};
use stook_season::words;

use super::super::{Frame, Place, Reply, capital, page, send, working};
use super::four;
use crate::draw::level;
use crate::pages::enter::latest;
use crate::server::beside;
use crate::state::{Desk, Known};

/// `/inputs/manure`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<BTreeMap<String, String>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let (answer, wrong) = answer(&known, &asked);
        Ok(send(view(&Frame::of(&desk, &known), &answer, &asked, &wrong)))
    })
    .await?
}

/// The plan by the way and the air that were asked, and what could not be read.
fn answer(known: &Known, asked: &BTreeMap<String, String>) -> (Manure, Vec<String>) {
    let (reference, _) = known.farm.reference(&Reference::shipped());
    let mut wrong = Vec::new();
    let mut number = |key: &str, what: &str, low: f64, high: f64| {
        let text = asked.get(key).map(|t| t.trim()).filter(|t| !t.is_empty())?;
        let x = text.replace(',', ".").parse::<f64>().ok().filter(|x| (low..=high).contains(x));
        if x.is_none() {
            wrong.push(format!("\"{text}\" is no {what}; write {} to {}.", figure(low, 0), figure(high, 0)));
        }
        x
    };
    let days = number("days", "number of days", 0.0, 60.0);
    let usual = Air::default();
    let air = Air {
        temperature_c: number("air", "temperature of the air in C", -10.0, 35.0)
            .unwrap_or(usual.temperature_c),
        wind_2m_ms: number("wind", "wind in m/s", 0.0, 15.0).unwrap_or(usual.wind_2m_ms),
    };
    let way = asked.get("method").and_then(|m| ManureMethod::from_key(m)).map(|m| (m, days));
    (manure(&known.farm, &reference, known.as_of, way, Some(air)), wrong)
}

/// `POST /inputs/manure`: the plan into the book, field by field.
pub async fn take(State(desk): State<Arc<Desk>>, Posted(asked): Posted<BTreeMap<String, String>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let (m, mut wrong) = answer(&known, &asked);
        let who = known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone());
        let entries: Vec<Entry> =
            plans(&m).into_iter().map(|p| Entry::new(frame.minute(), who.clone(), p)).collect();
        if wrong.is_empty() {
            for e in &entries {
                if let Err(why) = validate(e, &known.farm, &Reference::shipped(), latest(&known, &frame)) {
                    wrong.extend(why.into_iter().map(|p| p.sentence));
                }
            }
        }
        if entries.is_empty() {
            wrong.push("This plan hauls nothing, so there is nothing to put in the book.".into());
        }
        if !wrong.is_empty() {
            let page = send(view(&frame, &m, &asked, &wrong));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        desk.store()?.append_all(&entries)?;
        Ok(Redirect::to("/inputs/manure").into_response())
    })
    .await?
}

/// The plan as entries: every field of it, and nothing for fields an earlier plan had and this one has not.
fn plans(m: &Manure) -> Vec<ManurePlan> {
    let whole = |h: &Haul| h.from.iter().map(|(_, m3)| m3).sum::<f64>();
    let mut out: Vec<ManurePlan> = m
        .hauls
        .iter()
        .filter_map(|h| {
            // A field's plan names one pit: the one that gives most of it.
            let (store, _) = h.from.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
            let on = m.planned.iter().find(|p| p.field == h.field).map_or(0.0, |p| p.hauled_m3);
            Some(ManurePlan {
                store: store.as_str().into(),
                field: h.field.clone(),
                crop_year: m.crop_year,
                volume_m3: whole(h) + on,
                area_ha: Some(h.area_ha),
                method: m.method,
                days_to_work_in: m.days,
            })
        })
        .collect();
    for p in m.planned.iter().filter(|p| !m.hauls.iter().any(|h| h.field == p.field)) {
        out.push(ManurePlan {
            store: p.store.as_str().into(),
            field: p.field.clone(),
            crop_year: m.crop_year,
            volume_m3: p.hauled_m3,
            area_ha: None,
            method: p.method,
            days_to_work_in: None,
        });
    }
    out
}

fn view(frame: &Frame, m: &Manure, asked: &BTreeMap<String, String>, wrong: &[String]) -> Markup {
    let body = html! {
        div.prints-dense {
            h1.lede { (m.headline) }
            p.why { (m.why) }
            p.change { "What would change it: " (m.change) }
        }
        @if !wrong.is_empty() { div.wrong-all role="alert" { @for w in wrong { p { (w) } } } }
        p.caution { (m.caution) }
        @if !m.notes.is_empty() { ul.note { @for n in &m.notes { li { (n) } } } }
        div.act { a.btn.yes href="/enter/manure_level" { "Write the level" } a.btn href="/enter/manure_hauled" { "Manure hauled" } a.btn href="/enter/manure_test" { "Analysis" } @if m.pits.is_empty() { a.btn href="/enter/manure_store" { "Set up the pit" } } }
        @for p in &m.pits { (pit(frame, p, m.load_m3)) }
        @if !m.hauls.is_empty() {
            section { h2 { "Fields in order" } (hauls(frame, m)) (take_form(m, asked)) }
        }
        @if !m.planned.is_empty() { section { h2 { "In the book for " (m.crop_year) } (planned(frame, m)) } }
        @if !m.ways.is_empty() { section { h2 { "How it is put on" } (ways(frame, m, asked)) } }
        @if !m.none_for.is_empty() {
            section { h2 { "None for these" } ul { @for n in &m.none_for { li { (n) } } } }
        }
        section {
            h2 { "The law" }
            p { (m.law) "." }
            p.caution { (m.check_law) @if m.law_is_example { " It stands in until you write down your own." } }
            @if !m.law_lines.is_empty() { ul { @for l in &m.law_lines { li { (l) } } } }
            p { a href="/enter/manure_rules" { "Write down the rules of your place" } }
        }
    };
    page(frame, Place::Inputs, "Manure", &body)
}

fn pit(frame: &Frame, p: &Pit, load_m3: f64) -> Markup {
    let u = &frame.units;
    html! {
        section aria-label=(p.name) {
            h2 { (p.name) }
            @if let Some(r) = &p.room { (level::bar(r.held_m3, r.capacity_m3, p.left_m3, &format!("{} of {} in the pit", volume(u, r.held_m3), volume(u, r.capacity_m3)))) }
            dl.answers {
                @if let Some(r) = &p.room {
                    div { dt { "In it" } dd { (volume(u, r.held_m3)) } }
                    div { dt { "Left after this plan" } dd { (volume(u, p.left_m3)) } }
                    @if let Some(d) = r.days { div { dt { "Days of room left" } dd { (figure(d.floor(), 0)) } } }
                    @if let Some(full) = r.full_on { div { dt { "Full on" } dd { (words::day_from(frame.day(), full)) } } }
                    @if p.must_m3 > 0.5 { @if let Some(last) = p.last_open { div { dt { "Must leave by " (words::day(last)) } dd { (volume(u, p.must_m3)) } } } }
                }
                @if p.worth_per_m3.abs() > 0.005 { div { dt { "One more load would bring" } dd { (u.money) (figure(p.worth_per_m3 * load_m3, 0)) } } }
                div { dt { "Analysis" } dd { (p.analysis_from) } }
            }
        }
    }
}

fn hauls(frame: &Frame, m: &Manure) -> Markup {
    let u = &frame.units;
    html! {
        div.scroll.wide tabindex="0" role="region" aria-label="Fields to haul to" { table {
            thead { tr {
                th scope="col" { "Field" } th.num scope="col" { "How much" } th.num scope="col" { "On" } th.num scope="col" { "Rate" }
                th.num scope="col" { "Loads" } th.num scope="col" { "A load covers" } th scope="col" { "The rate is set by" } th.num scope="col" { "Crop gets N-P-K-S" } th.num scope="col" { "Still to buy" } th.num scope="col" { "A load brings" }
            } }
            tbody { @for h in &m.hauls { (haul(frame, h)) } }
        } }
        @for h in &m.hauls { @if !h.taken.is_empty() { p.small { b { (h.name) ": " } (h.taken.join("; ")) "." } } }
        p.key { "A load is " (volume(u, m.load_m3)) ". A load brings: the fertilizer it saves less the haul. Crop gets: of use this year; the law counts all of the phosphate." }
        @for h in &m.hauls {
            details.working {
                summary { "A load on " (h.name) ", and its three rates" }
                (three(frame, h))
                (working::open(&h.working))
            }
        }
    }
}

fn take_form(m: &Manure, asked: &BTreeMap<String, String>) -> Markup {
    html! {
        form.off-print method="post" action="/inputs/manure" {
            @for (k, v) in asked { input type="hidden" name=(k) value=(v); }
            div.act { button.yes type="submit" { "Put this plan in the book" } a.btn href="/enter/manure_plan" { "Write another" } }
            p.key { "From then on each field's sheet, plan and the order for " (m.crop_year) " count on it, and buy less." }
        }
    }
}

fn planned(frame: &Frame, m: &Manure) -> Markup {
    let u = &frame.units;
    html! {
        div.scroll tabindex="0" role="region" aria-label="Manure planned" { table {
            thead { tr { th scope="col" { "Field" } th.num scope="col" { "Planned" } th.num scope="col" { "Hauled" } th scope="col" { "How" } th scope="col" { "" } } }
            tbody { @for p in &m.planned { tr {
                th scope="row" { a href={ "/field/" (p.field) "/soil" } { (p.name) } }
                td.num { (volume(u, p.m3)) } td.num { (volume(u, p.hauled_m3)) } td { (p.method.words()) }
                td { a href={ "/enter/manure_hauled?field=" (p.field) "&method=" (p.method.key()) } { "Hauled" } }
            } } }
        } }
    }
}

fn haul(frame: &Frame, h: &Haul) -> Markup {
    let u = &frame.units;
    html! { tr {
        th scope="row" { a href={ "/field/" (h.field) } { (h.name) } }
        td.num { (volume(u, h.m3)) }
        td.num { (words::area(u, h.area_ha)) }
        td.num { b { (rate(u, h.rate_m3_ha)) } }
        td.num { (figure(h.loads, 0)) }
        td.num { (words::area(u, h.ha_per_load)) }
        td { (capital(&h.sets)) }
        td.num { (four(u, h.available_kg_ha)) }
        td.num { (four(u, h.top_up_kg_ha)) }
        td.num { (u.money) (figure(h.net_per_load, 0)) }
    } }
}

fn three(frame: &Frame, h: &Haul) -> Markup {
    let u = &frame.units;
    let one = |x: Option<f64>| x.map_or_else(|| "no limit".into(), |r| rate(u, r));
    html! {
        @if let Some(r) = &h.rates {
            dl.answers {
                div { dt { "By nitrogen" } dd { (one(r.by_n)) } }
                div { dt { "By phosphate the law lets on" } dd { (one(r.by_p)) } }
                div { dt { "By potash" } dd { (one(r.by_k)) } }
                @if let Some(km) = h.break_even_km { div { dt { "Worth its haul to" } dd { (figure(km, 0)) " km" } } }
            }
        }
    }
}

fn ways(frame: &Frame, m: &Manure, asked: &BTreeMap<String, String>) -> Markup {
    let u = &frame.units;
    let pct = |x: f64| format!("{} %", figure(100.0 * x, 0));
    let was = |key: &str| asked.get(key).cloned().unwrap_or_default();
    html! {
        div.scroll tabindex="0" role="region" aria-label="Ways of putting it on" { table {
            thead { tr { th scope="col" { "All of the pit" } th.num scope="col" { "Ammonium kept, by the guide" } th.num scope="col" { "by the equations" } th.num scope="col" { "Nitrogen it keeps" } th.num scope="col" { "Less than injected" } } }
            tbody { @for w in &m.ways { tr {
                th scope="row" { (capital(&w.words)) }
                td.num { (pct(w.kept)) }
                td.num { @match w.kept_by_equations { Some(k) => { (pct(k)) @if w.differ { br; span.small { "they differ" } } }, None => span.small { "not in its data" } } }
                td.num { (words::cash(u, w.n_money)) } td.num { (words::cash(u, w.less_than_injected)) }
            } } }
        } }
        p.key { "This plan takes it as " (m.method.words()) ", by the guide's table for average weather (Alberta 2007). The equations are a second opinion: Hafner and others 2019, for " (figure(m.air.temperature_c, 0)) " C and a wind of " (figure(m.air.wind_2m_ms, 0)) " m/s over a week after broadcasting at this plan's rate. They were fitted to thicker slurry than a prairie pit's and see no stubble, so where the two differ believe neither to the percent: a warm dry wind takes more, injection nearly none." }
        form.filter method="get" action="/inputs/manure" aria-label="Try another way" {
            div.field { label for="how" { "How" } select id="how" name="method" { @for x in ManureMethod::ALL { option value=(x.key()) selected[*x == m.method] { (x.words()) } } } }
            div.field { label for="days" { "Days until worked in" } input id="days" name="days" inputmode="decimal" value=(was("days")); }
            div.field { label for="air" { "Air, C" } input id="air" name="air" inputmode="decimal" value=(was("air")) placeholder=(figure(m.air.temperature_c, 0)); }
            div.field { label for="wind" { "Wind, m/s" } input id="wind" name="wind" inputmode="decimal" value=(was("wind")) placeholder=(figure(m.air.wind_2m_ms, 0)); }
            div.act { button type="submit" { "Try" } }
        }
    }
}
