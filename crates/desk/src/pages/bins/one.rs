//! `/bins/{id}`: what is in it, where it came from, what would come out next, whether it adds up.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use maud::{Markup, html};
use stook_book::BinId;
use stook_book::payload::{LoadFrom, LoadTo};
use stook_grain::lot::Lot;
use stook_grain::{Grain, test_weight};
use stook_measure::{Reference, figure};
use stook_yard::source::sources;
use stook_yard::{BinState, Happened, Yard};

use super::super::{Frame, Place, Reply, Trouble, bin_name, field_name, long_day, page, send};
use super::words;
use crate::draw::bin as draw;
use crate::forms::Values;
use crate::server::beside;
use crate::state::{Desk, Known};

/// Rows of history shown at first.
const ROWS: usize = 40;
/// A truckload where nothing else is said, kg.
const TRUCK_KG: f64 = 16_000.0;

pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let yard = known.yard();
        let Some(b) = yard.bin(&BinId(id)) else {
            return Err(Trouble::missing("There is no bin of that name in the book."));
        };
        Ok(send(view(&Frame::of(&desk, &known), &known, &yard, b, &asked)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, yard: &Yard, b: &BinState, asked: &Values) -> Markup {
    let u = &frame.units;
    let id = b.bin.id.as_str();
    let scale = draw::Frame::over(std::iter::once(b), 220.0);
    let truck_kg = asked
        .get("t")
        .and_then(|t| t.trim().replace(',', ".").parse::<f64>().ok())
        .filter(|t| (0.1..=100.0).contains(t))
        .map_or(TRUCK_KG, |t| t * 1000.0);
    let body = html! {
        div {
            h1 { (b.bin.name) }
            p.lede {
                @if b.is_empty() { "Empty." }
                @else { (words::grain(u, &b.facts, b.mass_kg())) " of " (b.crop.as_ref().map_or("grain", |c| c.words())) "." }
            }
            p { "For " (b.bin.job.words()) ". "
                @if !b.is_empty() { "Room for " (words::grain(u, &b.facts, b.room_kg(None))) " more." }
                @else { "Holds " (words::volume(u, b.capacity_m3)) "." }
            }
        }
        @for n in yard.notices.iter().filter(|n| n.bin == b.bin.id) { p.note { (n.sentence) } }
        div.act {
            a.btn.yes href={ "/load?to=bin:" (id) } { "Load in" }
            @if !b.is_empty() { a.btn href={ "/load?from=bin:" (id) } { "Load out" } }
            a.btn href={ "/enter/bin_measured?bin=" (id) } { "Measured" }
            a.btn href={ "/enter/grain_sample?bin=" (id) } { "Sample" }
        }
        div.cols {
            section {
                div.bin-large { (draw::draw(b, scale)) }
                @if !b.is_empty() { h2 { "What is in it" } (figures(&b.lot(), b, frame)) }
            }
            section {
                @if !b.is_empty() {
                    h2 { "Where it came from" }
                    (origin(known, &b.lot(), b, frame))
                    h2 { "The next load out" }
                    (next(known, b, truck_kg, frame))
                }
                (adds_up(b, frame))
            }
        }
        (history(known, yard, b, frame, asked.contains_key("all")))
        p { a href={ "/enter/bin?key=" (id) } { "Change its name, size, fan or job" } }
        p.caution { "Read bins from the ground. Never go in while grain moves or the unloader can start; nobody goes in alone." }
    };
    page(frame, Place::Bins, &b.bin.name, &body)
}

fn figures(lot: &Lot, b: &BinState, frame: &Frame) -> Markup {
    let protein = lot.protein_pct(13.5);
    html! {
        div.ruled { dl {
            div { dt { "Weight, give or take" } dd { (words::tonnes(b.mass_kg())) " \u{b1} " (words::tonnes(b.sd_kg)) } }
            div { dt { "Volume as it lies" } dd { (words::volume(&frame.units, b.volume_m3())) } }
            div { dt { "Moisture" } dd { @if let Some(m) = lot.moisture_pct() { (words::class_words(&b.facts, m)) } } }
            div { dt { "Protein at 13.5\u{a0}% moisture" } dd { (known_or(protein, |p| words::pct(p))) } }
            (test_weights(lot, b))
            div { dt { "DON" } dd { (known_or(lot.don_ppm(), |d| format!("{} ppm", figure(d, 1)))) } }
            div { dt { "Falling number" } dd { (known_or(lot.falling_number_s(), |f| format!("{} s", figure(f, 0)))) } }
            div { dt { "Dockage" } dd { (known_or(lot.dockage_pct(), |d| words::pct(d))) } }
        } }
        p.under { "Mixed by weight; protein by dry matter; falling number by liquefaction number. A sample of the whole bin takes the place of what the loads said." }
    }
}

/// Test weight in its three units, which are three quantities.
fn test_weights(lot: &Lot, b: &BinState) -> Markup {
    let r = Reference::shipped();
    let key = match b.facts.grain {
        Some(Grain::HardWheat | Grain::SoftWheat) => "wheat",
        Some(g) => g.key(),
        None => "",
    };
    let Some(kg_hl) = lot.test_weight_kg_hl() else {
        return html! { div { dt { "Test weight" } dd { "not known" } } };
    };
    let half = test_weight::half_litre_for(&r, key, kg_hl);
    let us = matches!(b.facts.grain, Some(g) if g.is_wheat())
        .then(|| test_weight::us_from_kg_hl(kg_hl, b.facts.grain == Some(Grain::Durum)));
    html! {
        div { dt { "Test weight" } dd { (figure(kg_hl, 1)) " kg/hL" } }
        @if let Some(t) = half.and_then(|g| test_weight::from_half_litre(&r, key, g)) {
            div { dt { "the same, pounds in an imperial bushel (Avery)" } dd { (figure(t.lb_bu_avery, 1)) " lb" } }
            div { dt { "the same, pounds in a Winchester bushel (Canada)" } dd { (figure(t.lb_bu_winchester, 1)) " lb" } }
        }
        @if let Some(us) = us { div { dt { "the same, as measured in the United States" } dd { (figure(us, 1)) " lb/bu" } } }
    }
}

fn known_or(x: Option<f64>, f: impl Fn(f64) -> String) -> String {
    x.map_or_else(|| "not known".into(), f)
}

fn origin(known: &Known, lot: &Lot, b: &BinState, frame: &Frame) -> Markup {
    let all = sources(lot);
    let sum: f64 = all.iter().map(|s| s.1).sum();
    html! {
        ul.plain.origin {
            @for (s, kg) in &all {
                li { p { (words::source(known, s)) ": " b { (words::short(&frame.units, &b.facts, *kg)) } ", " (figure(100.0 * kg / sum.max(1e-9), 0)) "\u{a0}%" } }
            }
        }
    }
}

fn next(known: &Known, b: &BinState, truck_kg: f64, frame: &Frame) -> Markup {
    let (lot, _) = b.next_out(truck_kg);
    html! {
        form.inline method="get" action={ "/bins/" (b.bin.id) } {
            label for="t" { "Tonnes in the truck" }
            div.with-unit { input id="t" name="t" inputmode="decimal" value=(figure(truck_kg / 1000.0, 1)); button type="submit" { "Show" } }
        }
        p { "Likely " @if let Some(m) = lot.moisture_pct() { (words::moisture(&b.facts, m)) }
            @if let Some(p) = lot.protein_pct(13.5) { ", " (words::pct(p)) " protein" }
            @if let Some(d) = lot.don_ppm() { ", DON " (figure(d, 1)) " ppm" } ", from" }
        (origin(known, &lot, b, frame))
        p.under {
            @match b.flow {
                stook_yard::heap::Flow::Mass => { "A steep hopper: the first in is the first out." }
                stook_yard::heap::Flow::Funnel { core_share } => { "Grain runs out from the core and the surface: the last in is the first out, with " (figure(100.0 * core_share, 0)) "\u{a0}% from all depths. Stir it or turn it and this no longer holds." }
            }
        }
    }
}

/// In, out, dried, missing: since it was last empty.
fn adds_up(b: &BinState, frame: &Frame) -> Markup {
    let a = stook_yard::adds_up::since_empty(b);
    let line = |label: &str, kg: f64| {
        html! { @if kg.abs() > stook_yard::adds_up::NOTHING_KG { div { dt { (label) } dd { (words::short(&frame.units, &b.facts, kg)) } } } }
    };
    html! {
        @if !b.history.is_empty() {
            h2 { "Does it add up" }
            p { (a.sentence(&|kg| words::short(&frame.units, &b.facts, kg))) }
            div.ruled { dl {
                (line("Loads in", a.in_kg))
                (line("Found by a measure or drawn without an entry", a.found_kg))
                (line("Loads out", -a.out_kg))
                (line("Water dried off in the bin", -a.water_kg))
                (line("Missing by a measure or at the end", -a.missing_kg))
                div.sum { dt { "In it now" } dd { (words::short(&frame.units, &b.facts, a.now_kg)) } }
            } }
        }
    }
}

fn history(known: &Known, yard: &Yard, b: &BinState, frame: &Frame, all: bool) -> Markup {
    let notes: BTreeMap<_, _> = yard.loads.iter().map(|m| (m.entry, m)).collect();
    let shown = if all { usize::MAX } else { ROWS };
    let u = &frame.units;
    html! {
        @if !b.history.is_empty() {
            section {
                h2 { "What happened" }
                ul.entries { @for e in b.history.iter().rev().take(shown) {
                    @let load = notes.get(&e.entry);
                    @let weight = moved(&e.what, u, b);
                    li {
                        p {
                            span.day { (long_day(e.at.date())) }
                            (what(known, &e.what, u, b))
                            @if !weight.is_empty() { " " b.weight { (weight) } }
                        }
                        p.quiet {
                            "then held " (words::short(u, &b.facts, e.after_kg))
                            @if let Some(m) = load.and_then(|l| l.load.moisture_wb_pct) { ", " (words::pct(m)) }
                            @if let Some(t) = load.and_then(|l| l.load.ticket.as_ref()) { ", ticket " a href={ "/bins/ticket?ticket=" (t) } { (t) } }
                            @if let Some((kind, entry)) = in_force(known, e.entry) { " " a href={ "/enter/" (kind) "?replaces=" (entry) } { "Correct" span.apart { ", " (long_day(e.at.date())) } } }
                        }
                    }
                } }
                @if b.history.len() > shown { p { a href={ "/bins/" (b.bin.id) "?all=1" } { "All " (b.history.len()) " of them" } } }
            }
        }
    }
}

/// The entry now in force of the thread that began with `first`, to correct.
fn in_force(known: &Known, first: uuid::Uuid) -> Option<(&'static str, uuid::Uuid)> {
    let farm = &known.farm;
    if let Some(l) = farm.loads.iter().find(|l| l.first == first) {
        return Some(("load", l.entry));
    }
    farm.bins.values().find_map(|b| {
        let sample = b.samples.iter().find(|s| s.first == first).map(|s| ("grain_sample", s.entry));
        sample.or_else(|| b.measured.iter().find(|m| m.first == first).map(|m| ("bin_measured", m.entry)))
    })
}

fn what(known: &Known, h: &Happened, u: &stook_book::payload::UnitChoice, b: &BinState) -> Markup {
    html! {
        @match h {
            Happened::In { from, .. } => {
                @match from {
                    LoadFrom::Field(f) => { "In from " a href={ "/field/" (f) } { (field_name(known, f)) } }
                    LoadFrom::Fields(parts) => { "In from " @for (i, p) in parts.iter().enumerate() { @if i > 0 { " and " } a href={ "/field/" (p.field) } { (field_name(known, &p.field)) } } }
                    LoadFrom::Bin(o) => { "In from " a href={ "/bins/" (o) } { (bin_name(known, o)) } }
                    LoadFrom::Bought(w) => { "Bought from " (w) }
                }
            }
            Happened::Out { to, lot, short_kg, .. } => {
                @match to {
                    LoadTo::Bin(o) => { "Out to " a href={ "/bins/" (o) } { (bin_name(known, o)) } }
                    LoadTo::Buyer(w) => { "Sold to " (w) }
                    LoadTo::Mill => { "To the mill" }
                    LoadTo::Seed => { "To the drill" }
                    LoadTo::Elsewhere(w) => { "Out: " (w) }
                }
                span.quiet { ": " @for (i, (s, _)) in sources(lot).iter().enumerate().take(3) { @if i > 0 { ", " } (words::source_text(known, s)) } }
                @if *short_kg > 1.0 { span.quiet { "; " (words::short(u, &b.facts, *short_kg)) " more than the book had" } }
            }
            Happened::Sample { taken, water_kg } => { "Sampled, " (taken.words()) @if *water_kg > 1.0 { span.quiet { "; " (words::tonnes(*water_kg)) " of water had left" } } }
            Happened::Measured { book, seen, taken, differs } => {
                "Measured: the loads said " (words::tonnes(book.kg)) " \u{b1} " (words::tonnes(book.sd_kg)) ", the tape "
                (words::tonnes(seen.kg)) " \u{b1} " (words::tonnes(seen.sd_kg)) ". Taken: " (words::tonnes(taken.kg))
                @if *differs { ", as seen: both cannot be right" } @else if book.kg > 0.0 { ", each by how sure it is" }
            }
            Happened::Emptied { missing_kg } => { "Empty" @if missing_kg.abs() > 1.0 { ": " (words::short(u, &b.facts, *missing_kg)) " missing" } }
        }
    }
}

fn moved(h: &Happened, u: &stook_book::payload::UnitChoice, b: &BinState) -> String {
    let kg = match h {
        Happened::In { lot, .. } => lot.mass_kg(),
        Happened::Out { lot, .. } => -lot.mass_kg(),
        Happened::Sample { water_kg, .. } => -water_kg,
        Happened::Measured { book, taken, .. } => taken.kg - book.kg,
        Happened::Emptied { missing_kg } => -missing_kg,
    };
    if kg.abs() < 0.5 { String::new() } else { words::short(u, &b.facts, kg) }
}
