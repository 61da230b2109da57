//! Next year's crop by field: labels first, then what pays over its fertilizer.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_book::payload::{AreaUnit, UnitChoice};
use stook_inputs::next_crop::{LabelSays, NextCrop, next_crops};
use stook_inputs::report::year_decided_on;
use stook_measure::{Range, Reference, figure, units};
use stook_season::words;

use super::barn_need;
use crate::pages::{Frame, Place, Reply, Trouble, capital, page, send};
use crate::server::beside;
use crate::state::Desk;

/// `/inputs/next-crop`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let year = year_decided_on(frame.day());
        let ceilings = known.ceilings(year)?;
        let all =
            next_crops(&known.farm, &Reference::shipped(), &known.weather, &ceilings, frame.day(), year);
        let barn = barn_need::section(&known, &all, year, &frame.units);
        Ok(send(view(&frame, year, &all, &barn)))
    })
    .await?
}

fn margin(u: &UnitChoice, m: Range) -> String {
    let area = |x: f64| if u.area == AreaUnit::Acres { x * units::HA_PER_ACRE } else { x };
    let one = |x: f64| figure(area(x), 0);
    if (m.p90 - m.p10).abs() < 1.0 {
        one(m.p50)
    } else {
        format!("{} ({} to {})", one(m.p50), one(m.p10), one(m.p90))
    }
}

fn view(frame: &Frame, year: i16, all: &[NextCrop], barn: &Markup) -> Markup {
    let u = &frame.units;
    let blocked = all.iter().flat_map(|f| &f.limits).filter(|l| l.says != LabelSays::Fine).count();
    let area = if u.area == AreaUnit::Acres { "an acre" } else { "a hectare" };
    let body = html! {
        h1 { "What to grow where in " (year) }
        p.why { @if blocked > 0 { (blocked) @if blocked == 1 { " label stands" } @else { " labels stand" } " in the way; see below. " } "Ordered by grain less the fertilizer it takes, " (u.money) " " (area) "; your other costs come off all of them, and the barn's need comes first." }
        ul.words {
            li { a href="/enter/crop_plan" { "Write a crop plan" } }
            li { a href="/enter/plant_back" { "Enter a label's plant-back limit" } }
            li { a href="/enter/price" { "Enter a price" } }
        }
        (barn)
        @for f in all { (field(f, u)) }
        p.quiet { "A crop without a price in the book is not shown. Yields of crops other than wheat are this field's own where the book has them, else usual ones. Labels rule; ask before you seed into doubt." }
    };
    page(frame, Place::Inputs, "Next year's crop", &body)
}

fn field(f: &NextCrop, u: &UnitChoice) -> Markup {
    let before: Vec<String> = f.grown.iter().map(|(y, c)| format!("{c} {y}")).collect();
    html! {
        section {
            h2 { a href={ "/field/" (f.field) } { (f.name) } span.quiet { ", " (words::area(u, f.area_ha)) } }
            p { @if before.is_empty() { "No crop of the last years is in the book." } @else { (capital(&before.join(", "))) "." }
                @if let Some(p) = &f.planned { " Planned: " b { (p) } "." }
                @if let Some(r) = &f.rain { " June to August " (r.year) ": " (words::rain(u, r.mm.round())) " by " (r.from) "." } }
            @for l in &f.limits { @if l.says == LabelSays::Fine { p.quiet { (l.sentence) } } @else { p.caution { (l.sentence) } } }
            div.scroll tabindex="0" role="region" aria-label={ "Crops on " (f.name) } { table {
                thead { tr { th scope="col" { "Crop" } th.num scope="col" { "over fertilizer" } th scope="col" { "for and against" } } }
                tbody { @for c in &f.choices { tr {
                    th scope="row" { (capital(&c.crop)) @if c.blocked { br; b { "blocked by a label" } } }
                    td.num { (c.margin_ha.map_or_else(|| "-".into(), |m| margin(u, m))) }
                    td { @for n in &c.notes { (n) " " } span.quiet { "Yield: " (c.yield_from) "." } }
                } } }
            } }
        }
    }
}
