//! The probe list and the labels for the bags.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_inputs::probe::{ProbeList, WHERE, probe_list};
use stook_inputs::report::year_decided_on;
use stook_measure::Reference;
use stook_season::words;

use crate::pages::{Frame, Place, Reply, Trouble, page, send};
use crate::server::beside;
use crate::state::Desk;

/// `/inputs/probe`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let year = year_decided_on(frame.day());
        let soil = soil_now(&known, frame.day());
        let list = probe_list(&known.farm, &Reference::shipped(), frame.day(), year, soil);
        Ok(send(view(&frame, &list)))
    })
    .await?
}

/// Soil at seed depth this morning, from the day's answer.
fn soil_now(known: &crate::state::Known, day: jiff::civil::Date) -> Option<f64> {
    let year = stook_book::payload::CropPlan::year_on(day);
    known.ceilings(year).ok()?.first().map(|c| c.soil_temp_c)
}

fn view(frame: &Frame, l: &ProbeList) -> Markup {
    let u = &frame.units;
    let due = l.fields.iter().filter(|f| f.needed).count();
    let body = html! {
        h1 { @if due == 0 { "Every field has a test that counts for " (l.crop_year) "." } @else { (due) @if due == 1 { " field" } @else { " fields" } " to probe for " (l.crop_year) } }
        p.why { (l.advice) }
        p.caution { "Have buried lines marked before the probe goes in: power, gas, fibre, water." }
        div.scroll tabindex="0" role="region" aria-label="Probe list" { table {
            thead { tr { th scope="col" { "Field" } th scope="col" { "Why" } th.num scope="col" { "Cores a bag" } th scope="col" { "To mind" } } }
            tbody { @for f in &l.fields { tr {
                td { a href={ "/field/" (f.field) "/soil" } { (f.name) } br; span.quiet { (words::area(u, f.area_ha)) @if !f.needed { ", can wait" } } }
                td { (f.why) }
                td.num { (f.cores) }
                td { (f.mind.join("; ")) @if !f.zones.is_empty() { br; "zones as before: " (f.zones.join(", ")) } }
            } } }
        } }
        ul { @for w in WHERE { li { (w) } } }
        section.labels {
            h2 { "Bag labels" }
            ul.bag-labels { @for f in l.fields.iter().filter(|f| f.needed) { @for b in &f.bags { li {
                b { (frame.farm) } br; b { (f.name) ", " (b) } br; "crop year " (l.crop_year) br; "day ______ cores ____ soil ___ C"
            } } } }
        }
        p { a href="/inputs/soil-file" { "When the laboratory answers, bring its file in" } }
    };
    page(frame, Place::Inputs, "Probe list", &body)
}
