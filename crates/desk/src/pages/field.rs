//! A field: what next, its year, water, stage, ripeness, entries and the working.

use std::sync::Arc;

use axum::extract::{Path, State};
use maud::{Markup, html};
use stook_book::payload::{RainUnit, UnitChoice};
use stook_book::{FieldId, FieldRecord};
use stook_measure::{figure, units};
use stook_season::Today;
use stook_season::answer::{FieldOutlook, Job};
use stook_season::spraying::intervals;
use stook_season::words;

use super::{Frame, Place, Reply, Trouble, book, decision, growing, page, send, working};
use crate::draw::waiting_line::Scale;
use crate::draw::{fan, strip};
use crate::server::beside;
use crate::state::{Crops, Desk, Known};

/// `/field/{id}`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let Some(record) = known.farm.fields.get(&FieldId(id)) else {
            return Err(Trouble::missing("There is no field of that name in the book."));
        };
        let today = known.today()?;
        let crops = known.crops()?;
        Ok(send(view(&frame, &known, record, &today, &crops)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, r: &FieldRecord, t: &Today, crops: &Crops) -> Markup {
    let (f, u) = (r.field(), &frame.units);
    let id = f.id.as_str();
    let grows = crops.growing.iter().find(|g| g.field == id);
    let late = crops.late.iter().find(|l| l.field == id);
    let outlook = t.fields.iter().find(|o| o.field == id);
    let scale = Scale::over(t.open.iter().filter_map(|d| d.waiting.as_ref()).map(|w| &w.money));
    let open: Vec<_> = t.open.iter().filter(|d| d.field == id).collect();
    let crop = r.plan(frame.day().year()).map_or("no crop written for this year", |p| p.crop.words());
    let year = stook_book::payload::Load::harvest_year(frame.day());
    let yard = known.yard();
    let made: Vec<_> = [year, year - 1]
        .into_iter()
        .filter_map(|y| stook_yard::result::of_field(&known.farm, &yard, &known.reference(), y, &f.id))
        .take(1)
        .collect();
    let body = html! {
        div {
            h1 { (f.name) }
            p { (words::area(u, f.area_ha)) ", " (crop) @if let Some(o) = outlook { ", " (o.stage) } "." }
            @for i in intervals::open(&known.farm, frame.now).iter().filter(|i| i.field == id) { p.blocked { (i.words) } }
        }
        @if let Some(o) = outlook { (strip::draw(o, frame.day())) p.key { (strip::key()) } }
        div.cols {
            section aria-label="What next" {
                h2 { "What next" }
                @for d in &open { (decision::draw(d, scale, frame.now, 2)) }
                @let coming: Vec<_> = t.coming.iter().filter(|c| c.field == id).collect();
                @if open.is_empty() && coming.is_empty() { p { "Nothing is open or coming on this field." } }
                @for c in coming { p { (c.words) } }
                @if let Some(l) = late { (growing::late(l, u, f.area_ha)) }
                @if outlook.is_some_and(|o| o.zadoks.is_none()) && open.iter().any(|d| matches!(d.job, Job::Seed | Job::Harrow)) {
                    p { a href={ "/field/" (id) "/rain" } { "Rain coming: finish or quit?" } }
                }
                @if let Some(g) = grows { (growing::near(g)) }
                p { a href={ "/field/" (id) "/soil" } { "Soil tests and fertilizer of this field" } }
                h2 { "Write down for this field" }
                ul.words {
                    @for (kind, word) in [("stage_seen", "stage seen"), ("emergence_seen", "emergence, stand"), ("insects_seen", "insects"), ("damage_seen", "damage"), ("yield_count", "heads and kernels"), ("seeding", "seeded"), ("spray_pass", "sprayed"), ("entered_early", "entered early"), ("kernel_moisture", "moisture"), ("thumb_test", "thumb test"), ("cut", "cut"), ("soil_test", "soil test"), ("rain", "its own gauge"), ("note", "note")] {
                        li { a href={ "/enter/" (kind) "?field=" (id) } { (word) } }
                    }
                }
                p { a href={ "/spray?field=" (id) } { "Hours fit to spray" } }
                @if let Some(o) = outlook { (stands(o, u)) }
            }
            section aria-label="How it may go" {
                @if let Some(g) = grows { (growing::far(g, u)) }
                @if let Some(o) = outlook { (fans(o, u)) }
                @else { p.quiet { "Stook reckons wheat fields. This one is kept in the book." } }
            }
        }
        @for m in &made { (super::bins::result::one(frame, known, m, (m.year == frame.day().year()).then_some(t))) }
        section {
            h2 { "In the book" }
            (book::rows(known, known.entries.iter().rev().filter(|e| e.field().is_some_and(|x| x == &f.id)).take(40)))
            p { a href={ "/book?field=" (id) } { "All entries of this field" } }
            p { a href={ "/enter/field?key=" (id) } { "Change name, area, soil or outline" } }
        }
    };
    page(frame, Place::Fields, &f.name, &body)
}

/// Where it stands, in figures, with the working.
fn stands(o: &FieldOutlook, u: &UnitChoice) -> Markup {
    html! {
        h2 { "As it stands" }
        div.ruled { dl {
            div { dt { "Water the crop can use, to 1.2 m" } dd { (words::water(u, o.water_mm)) " of " (words::water(u, o.water_capacity_mm)) } }
            div { dt { "Top 0.1 m, over field capacity" } dd { (figure(o.surface, 2)) } }
            div { dt { "Soil at seed depth" } dd { (words::temperature(u, o.soil_temp_c)) } }
            @if let Some(y) = o.yield_kg_ha { div { dt { "Yield, 1 in 10 below, middle, 1 in 10 above" } dd { (words::wheat_yield_range(u, y)) } } }
        } }
        @for w in &o.working { (working::named(w)) }
    }
}

fn fans(o: &FieldOutlook, u: &UnitChoice) -> Markup {
    let (unit, convert): (&str, fn(f64) -> f64) = match u.rain {
        RainUnit::Mm => ("mm", |x| x),
        RainUnit::Inches => ("in", units::mm_to_in),
    };
    html! {
        (fan::draw("Water the crop can use", &o.water_fan, unit, &convert))
        (fan::draw("Kernel moisture", &o.moisture_fan, "% of wet weight", &|x| x))
        (fan::draw("Stage", &o.stage_fan, "Zadoks", &|x| x))
        p.key { "The ink line is what was. The band holds 8 weathers of 10; the broken line is the middle." }
    }
}
