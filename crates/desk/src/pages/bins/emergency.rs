//! `/emergency`: one sheet to print: whom to ring and where each field is entered.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_book::FieldRecord;
use stook_book::boundary::outer_points;
use stook_measure::figure;

use super::super::{Frame, Place, Reply, page, send};
use crate::server::beside;
use crate::state::{Desk, Known};

pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        Ok(send(view(&Frame::of(&desk, &known), &known)))
    })
    .await?
}

fn degrees(lat: f64, lon: f64) -> String {
    let side =
        |x: f64, pos: &str, neg: &str| format!("{} {}", figure(x.abs(), 5), if x >= 0.0 { pos } else { neg });
    format!("{}, {}", side(lat, "N", "S"), side(lon, "E", "W"))
}

/// Kilometres and compass from the yard.
fn way(from: (f64, f64), to: (f64, f64)) -> String {
    let north = (to.0 - from.0) * 111.2;
    let east = (to.1 - from.1) * 111.2 * from.0.to_radians().cos();
    let km = north.hypot(east);
    let names = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    let turn = east.atan2(north).to_degrees().rem_euclid(360.0);
    format!(
        "{} km {} of the yard as the crow flies",
        figure(km, 1),
        names[((turn + 22.5) / 45.0) as usize % 8]
    )
}

fn view(frame: &Frame, known: &Known) -> Markup {
    let farm = &known.farm;
    let place = farm.set_up.as_ref().map(|f| &f.is.place);
    let yard = place.map(|p| (p.lat_deg, p.lon_deg));
    let body = html! {
        h1 { "If somebody is hurt" }
        ol.big {
            li { "Stop the machine; keep others out. Nobody goes into a bin, a pit or near a downed wire after them." }
            li { "Ring the emergency line. Say which field or bin, by the position below." }
            li { "Send somebody to the road to wave them in." }
        }
        section { h2 { "Ring" }
            @if farm.contacts.is_empty() { p.note { "No number is in the book yet. Write the emergency line, the power line, gas, a neighbour, the doctor, the veterinarian." } }
            @else { table { tbody { @for c in farm.contacts.values() { tr { td { b { (c.is.name) } } td { b { (c.is.phone) } } td { (c.is.words.as_deref().unwrap_or("")) } } } } } }
            p.act { a.btn href="/enter/contact" { "Add a number" } }
        }
        section { h2 { "The yard" }
            @if let Some((lat, lon)) = yard { p { b { (frame.farm) } ", " (degrees(lat, lon)) } }
        }
        section { h2 { "Fields" }
            div.scroll tabindex="0" role="group" aria-label="Fields" { table {
                thead { tr { th { "Field" } th { "Way in" } th { "Position" } } }
                tbody { @for r in farm.fields.values() { (row(known, r, yard)) } }
            } }
            p.act { a.btn href="/enter/entrance" { "Write an entrance" } }
        }
        p.caution { "Print it, one for the office door and one for each cab. Check the positions with a telephone at the gate: one that is not confirmed is the outline's corner nearest the yard." }
    };
    page(frame, Place::Fields, "Emergency sheet", &body)
}

fn row(known: &Known, r: &FieldRecord, yard: Option<(f64, f64)>) -> Markup {
    let f = r.field();
    let entrance = known.farm.entrances.get(&f.id).map(|e| &e.is);
    let written = entrance.and_then(|e| Some((e.lat_deg?, e.lon_deg?)));
    let corner = yard.and_then(|y| {
        let points = f.boundary.as_ref().map(outer_points)?;
        let far = |p: &(f64, f64)| ((p.0 - y.0) * 1.0).hypot((p.1 - y.1) * y.0.to_radians().cos());
        points.into_iter().min_by(|a, b| far(a).total_cmp(&far(b)))
    });
    let at = written.or(corner);
    html! { tr {
        td { b { (f.name) } }
        td {
            @if let Some(e) = entrance { (e.words) } @else { a href={ "/enter/entrance?field=" (f.id) } { "not written" span.apart { ": entrance of " (f.name) } } }
            @if let Some(km) = f.distance_km { span.quiet { ", " (figure(km, 1)) " km by road" } }
        }
        td { @match at {
            Some((lat, lon)) => { (degrees(lat, lon)) @if written.is_none() { span.quiet { ", not confirmed" } } @if let Some(y) = yard { br; span.quiet { (way(y, (lat, lon))) } } }
            None => { span.quiet { "no outline in the book" } }
        } }
    } }
}
