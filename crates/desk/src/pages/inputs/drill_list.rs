//! All drill cards: the whole job, what stands in the tanks, and the way to each card.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_book::payload::{Crop, UnitChoice};
use stook_inputs::drill_card::{Amount, Card, CardAsked, Leftover, WholeJob, card, leftovers, whole};
use stook_measure::{Reference, figure};
use stook_season::words;

use super::drill::{weight, year};
use crate::forms::Values;
use crate::pages::{Frame, Place, Reply, Trouble, page, send};
use crate::server::beside;
use crate::state::Desk;

/// `/inputs/drill`
pub async fn list(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let year = year(&frame);
        let mut fields: Vec<_> = known.farm.fields.values().collect();
        fields.sort_by(|a, b| a.field().name.cmp(&b.field().name));
        let soil = known.ceilings(year)?.first().map(|c| c.soil_temp_c);
        // What is still to sow, and has a crop or a plan to be sown by.
        let cards: Vec<Card> = fields
            .iter()
            .filter(|r| r.seeded_on(year).is_none())
            .filter(|r| r.fertilizer_plans.contains_key(&year) || r.plan(year).is_some_and(|p| p.crop == Crop::SpringWheat))
            .filter_map(|r| {
                let id = &r.field().id;
                card(&known.farm, &Reference::shipped(), id, frame.day(), year, soil, &CardAsked::default())
            })
            .collect();
        let job = whole(&cards);
        let left = leftovers(&known.farm, year, frame.day());
        let body = html! {
            h1 { "Drill cards for " (year) }
            @if asked.contains_key("taken") { p.note role="status" { "The cards are filled from the order." } }
            ul.words {
                li { a href="/enter/seed_lot" { "A seed lot" } }
                li { a href="/enter/drill_set_up" { "The drill's rows and tanks" } }
                li { a href="/enter/drill_catch" { "A catch" } }
                li { a href="/enter/fertilizer_applied" { "What went on" } }
                li { a href="/enter/tank_left" { "Left in a tank" } }
            }
            @if !left.is_empty() { section { h2 { "Left in the tanks" } (leftover_list(&left, &frame.units)) } }
            @if job.fields > 0 { section { h2 { "The whole job" } (whole_job(&job, &frame.units)) } }
            ul.plain { @for r in &fields {
                li { a href={ "/inputs/drill/" (r.field().id) } {
                    (r.field().name) span.quiet { ", " (r.plan(year).map_or("no crop written", |p| p.crop.words())) @if r.fertilizer_plans.contains_key(&year) { ", plan accepted" } @if r.seeded_on(year).is_some() { ", seeded" } }
                } }
            } }
        };
        Ok(send(page(&frame, Place::Inputs, "Drill cards", &body)))
    })
    .await?
}

fn whole_job(j: &WholeJob, u: &UnitChoice) -> Markup {
    let row = |x: &Amount, seed: bool| {
        html! { tr {
            th scope="row" { @if seed { "seed of lot " } (x.name) }
            td.num { (figure(x.kg / 1000.0, 1)) }
            td.num { (weight(u, x.kg)) }
            td.num { (figure(x.totes.0, 0)) span.quiet { ", " (weight(u, x.totes.1)) " over" } }
            td.num { (figure(x.bags, 0)) }
        } }
    };
    html! {
        p { "Still to sow: " (j.fields) @if j.fields == 1 { " field, " } @else { " fields, " } (words::area(u, j.area_ha)) @if j.hours > 0.0 { ", about " b { (figure(j.hours, 0)) " hours" } " with " (j.fills) " fills" } "." }
        div.scroll tabindex="0" role="region" aria-label="The whole job" { table {
            thead { tr { th scope="col" { "" } th.num scope="col" { "tonnes" } th.num scope="col" { "weight" } th.num scope="col" { "totes of 1 t" } th.num scope="col" { "or bags of 25 kg" } } }
            tbody { @for x in &j.seed { (row(x, true)) } @for x in &j.products { (row(x, false)) } }
        } }
        @if !j.lacking.is_empty() { p.small { "Not all there yet (seed lot, plan or tanks): " (stook_season::model::list(&j.lacking)) "." } }
    }
}

fn leftover_list(left: &[Leftover], u: &UnitChoice) -> Markup {
    html! {
        table {
            thead { tr { th scope="col" { "Tank" } th.num scope="col" { "Left" } th scope="col" { "After" } } }
            tbody { @for x in left { tr { th scope="row" { (x.tank) } td.num { (weight(u, x.left_kg)) } td { (x.field) ", " (words::day(x.on)) } } } }
        }
        p.caution { "Fertilizer draws water and sets: empty and clean the tanks the day the last field is done. Treated seed goes back in its bags, locked away; clean the auger and the tank before any grain or feed runs through them, since a few treated kernels condemn a load." }
    }
}
