//! Fields: the map, and a strip a field.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_book::Farm;
use stook_season::Today;
use stook_season::words;

use super::{Frame, Place, Reply, Trouble, page, send};
use crate::draw::{map, strip};
use crate::server::beside;
use crate::state::Desk;

/// `/fields`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        Ok(send(view(&Frame::of(&desk, &known), &known.farm, &*known.today()?)))
    })
    .await?
}

fn view(frame: &Frame, farm: &Farm, t: &Today) -> Markup {
    let wheat: Vec<String> = t.fields.iter().map(|f| f.field.clone()).collect();
    let year = frame.day().year();
    let others: Vec<_> = farm.fields.values().filter(|r| !wheat.contains(&r.field().id.0)).collect();
    let body = html! {
        h1 { "Fields" }
        @if farm.fields.is_empty() { p { "There is no field yet. " a href="/enter/field" { "Add the first" } "." } }
        p { "Harvest: " a href="/harvest" { "order of fields" } " · " a href="/harvest/combine" { "the combine" } " · " a href="/harvest/haul" { "hauling" } " · " a href="/harvest/result" { "what the fields made" } " · " a href="/harvest/task-data" { "task data and yield maps" } " · " a href="/money" { "money" } }
        p { a href="/fields/outlines" { "Outlines and zones from a file" } }
        p { a href="/spray" { "Spraying: hours, tank mix, record and calendar" } }
        div.cols {
            section aria-label="Strips" {
                @for f in &t.fields {
                    div.year {
                        p { a.big href={ "/field/" (f.field) } { (f.name) } " " span.quiet { (words::area(&frame.units, f.area_ha)) ", " (f.stage) } }
                        (strip::draw(f, frame.day()))
                        p.quiet {
                            "Water " (words::water(&frame.units, f.water_mm)) " of " (words::water(&frame.units, f.water_capacity_mm))
                            @if let Some(y) = f.yield_kg_ha { ", outlook " (words::wheat_yield_range(&frame.units, y)) }
                        }
                    }
                }
                @if !t.fields.is_empty() { p.key { (strip::key()) } }
                @if !others.is_empty() {
                    h2 { "Not wheat this year" }
                    ul.plain {
                        @for r in others {
                            @let f = r.field();
                            li { a href={ "/field/" (f.id) } {
                                (f.name) span.quiet { ", " (words::area(&frame.units, f.area_ha)) ", " (r.plan(year).map_or("no crop written", |p| p.crop.words())) }
                            } }
                        }
                    }
                }
            }
            section aria-label="Map" { (map::draw(farm, &wheat)) p.key { "Straw is wheat. Squares are fields without an outline, to scale." } }
        }
    };
    page(frame, Place::Fields, "Fields", &body)
}
