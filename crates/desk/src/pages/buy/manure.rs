//! The manure plan: room in the pit, the fields in order, the rate, what a load is worth, and the law's lines.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_book::payload::ManureMethod;
use stook_inputs::manure::{Haul, Manure, Pit, manure, rate, volume};
use stook_measure::{Reference, figure};
use stook_season::words;

use super::super::{Frame, Place, Reply, capital, page, send, working};
use super::four;
use crate::draw::level;
use crate::server::beside;
use crate::state::Desk;

/// `/inputs/manure`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<BTreeMap<String, String>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let (reference, _) = known.farm.reference(&Reference::shipped());
        let days = asked.get("days").and_then(|d| d.trim().parse().ok()).filter(|d| (0.0..=60.0).contains(d));
        let way = asked.get("method").and_then(|m| ManureMethod::from_key(m)).map(|m| (m, days));
        let answer = manure(&known.farm, &reference, known.as_of, way);
        Ok(send(view(&Frame::of(&desk, &known), &answer)))
    })
    .await?
}

fn view(frame: &Frame, m: &Manure) -> Markup {
    let body = html! {
        div {
            h1.lede { (m.headline) }
            p.why { (m.why) }
            p.change { "What would change it: " (m.change) }
        }
        p.caution { (m.caution) }
        @if !m.notes.is_empty() { ul.note { @for n in &m.notes { li { (n) } } } }
        div.act { a.btn.yes href="/enter/manure_level" { "Write the level" } a.btn href="/enter/manure_hauled" { "Manure hauled" } a.btn href="/enter/manure_test" { "Analysis" } @if m.pits.is_empty() { a.btn href="/enter/manure_store" { "Set up the pit" } } }
        @for p in &m.pits { (pit(frame, p, m.load_m3)) }
        @if !m.hauls.is_empty() {
            section { h2 { "Fields in order" } (hauls(frame, m)) }
            section { h2 { "How it is put on" } (ways(frame, m)) }
        }
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

fn ways(frame: &Frame, m: &Manure) -> Markup {
    let u = &frame.units;
    html! {
        table {
            thead { tr { th scope="col" { "All of the pit" } th.num scope="col" { "Nitrogen it keeps" } th.num scope="col" { "Less than injected" } } }
            tbody { @for w in &m.ways { tr { th scope="row" { (capital(&w.words)) } td.num { (words::cash(u, w.n_money)) } td.num { (words::cash(u, w.less_than_injected)) } } } }
        }
        p.key { "This plan takes it as " (m.method.words()) ". The table's shares are for average weather; a warm dry wind takes more." }
        form.filter method="get" action="/inputs/manure" aria-label="Try another way" {
            div.field { label for="how" { "How" } select id="how" name="method" { @for x in ManureMethod::ALL { option value=(x.key()) selected[*x == m.method] { (x.words()) } } } }
            div.field { label for="days" { "Days until worked in" } input id="days" name="days" inputmode="decimal"; }
            div.act { button type="submit" { "Try" } }
        }
    }
}
