//! `/bins`: every bin as full as it is.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_measure::figure;
use stook_yard::{BinState, CropFacts, Yard};

use super::super::{Frame, Place, Reply, page, send};
use super::words;
use crate::draw::bin as draw;
use crate::server::beside;
use crate::state::{Desk, Known};

pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let yard = known.yard();
        Ok(send(view(&Frame::of(&desk, &known), &known, &yard)))
    })
    .await?
}

fn view(frame: &Frame, _known: &Known, yard: &Yard) -> Markup {
    let u = &frame.units;
    let bins = yard.in_order();
    let scale = draw::Frame::over(bins.iter().copied(), 150.0);
    let body = html! {
        h1 { "Bins" }
        @if bins.is_empty() {
            p { "No bin is in the book yet. Each needs its width across and the height of its wall." }
            p.act { a.btn.yes href="/enter/bin" { "Add a bin" } }
        } @else {
            p.lede { (in_all(yard, frame)) }
            div.act.glove { a.btn.yes href="/load" { "Load" } }
            p.act {
                a.btn href="/bins/air" { "Air and keeping" }
                a.btn href="/enter/bin_measured" { "Bin measured" }
                a.btn href="/enter/grain_sample" { "Sample" }
                a.btn href="/bins/ticket" { "Buyer's ticket" }
                a.btn href="/bins/jobs" { "Bin jobs" }
                a.btn href="/bins/stored" { "Acres and grain" }
                a.btn href="/enter/buyer" { "Buyer's offer" }
                a.btn href="/enter/bin" { "Add a bin" }
            }
            @for n in &yard.notices { p.note { (n.sentence) " " a href={ "/bins/" (n.bin) } { "See the bin" } } }
            ul.bins { @for b in &bins { li { (card(b, scale, u)) } } }
            p.key { "Drawn to one scale. Wheat is plain, barley and oats lined across, canola and flax dotted, peas ringed; a thin line across is where grain of one field gives way to another." }
            (by_crop(yard, frame))
        }
    };
    page(frame, Place::Bins, "Bins", &body)
}

/// `1,394 t in 9 of 12 bins, room for 1,480 t.`
fn in_all(yard: &Yard, _frame: &Frame) -> String {
    let used = yard.bins.values().filter(|b| !b.is_empty()).count();
    let kg: f64 = yard.bins.values().map(BinState::mass_kg).sum();
    let room: f64 = yard.bins.values().map(|b| b.room_m3()).sum();
    format!(
        "{} in {used} of {} bins. Room for {} of wheat.",
        words::tonnes(kg),
        yard.bins.len(),
        words::tonnes(room * 780.0)
    )
}

fn card(b: &BinState, scale: draw::Frame, u: &stook_book::payload::UnitChoice) -> Markup {
    let lot = b.lot();
    html! {
        a href={ "/bins/" (b.bin.id) } {
            (draw::draw(b, scale))
            b { (b.bin.name) }
            @if b.is_empty() {
                span { "empty" }
                span.quiet { "holds " (words::volume(u, b.capacity_m3)) }
            } @else {
                span { (b.crop.as_ref().map_or("grain", |c| c.words())) }
                span.money { (words::short(u, &b.facts, b.mass_kg())) }
                @if words::in_bushels(u) { span { (words::tonnes(b.mass_kg())) } }
                @if let Some(m) = lot.moisture_pct() { span { (words::moisture(&b.facts, m)) } }
                @if let Some(p) = lot.protein_pct(13.5) { span { (words::pct(p)) " protein" } }
                @if let Some(d) = lot.don_ppm().filter(|d| *d >= 0.05) { span { "DON " (figure(d, 1)) " ppm" } }
                span.quiet { "room " (words::short(u, &b.facts, b.room_kg(None))) }
            }
            span.quiet { "for " (b.bin.job.words()) }
        }
    }
}

fn by_crop(yard: &Yard, frame: &Frame) -> Markup {
    let mut crops: BTreeMap<String, (CropFacts, f64, usize)> = BTreeMap::new();
    for b in yard.bins.values().filter(|b| !b.is_empty()) {
        let name = b.crop.as_ref().map_or_else(|| "grain".into(), |c| c.words().to_string());
        let e = crops.entry(name).or_insert_with(|| (b.facts.clone(), 0.0, 0));
        e.1 += b.mass_kg();
        e.2 += 1;
    }
    html! {
        section {
            h2 { "By crop" }
            table {
                thead { tr { th { "Crop" } th.num { "Bins" } th.num { "In them" } } }
                tbody { @for (name, (facts, kg, n)) in &crops {
                    tr { td { (name) } td.num { (n) } td.num { (words::grain(&frame.units, facts, *kg)) } }
                } }
            }
        }
    }
}
