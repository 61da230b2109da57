//! Set-up: everything the farm is, with the way to change each.

use std::sync::Arc;

use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use maud::{Markup, html};
use stook_book::payload::CropPlan;
use stook_season::words;
use uuid::Uuid;

use super::{Frame, Place, Reply, Trouble, page, send};
use crate::server::beside;
use crate::state::{Desk, Known};

/// `/setup`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        Ok(send(view(&Frame::of(&desk, &known), &known)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known) -> Markup {
    let (farm, u) = (&known.farm, &frame.units);
    let year = CropPlan::year_on(frame.day());
    let place = farm.set_up.as_ref().map(|f| &f.is.place);
    let body = html! {
        h1 { "Set-up" }
        div.cols {
            div {
                section {
                    h2 { "Farm and units" }
                    @if let Some(p) = place {
                        p { (frame.farm) ", latitude " (stook_measure::figure(p.lat_deg, 2)) ", longitude " (stook_measure::figure(p.lon_deg, 2)) ", " (stook_measure::figure(p.elevation_m, 0)) " m, clock of " (p.time_zone) "." }
                    }
                    p { "Shown in " (u.area.words()) ", " (u.grain_yield.words()) ", " (u.temperature.words()) ", " (u.rain.words()) " of rain." }
                    p.act { a.btn href="/enter/farm" { "Change the farm" } a.btn href="/enter/units" { "Change units" } }
                }
                section {
                    h2 { "Machines" }
                    ul.plain { @for m in farm.machines.values() {
                        li { a href={ "/enter/machine?key=" (m.is.id) } { (m.is.name) span.quiet { ", " (m.is.kind.words()) } } }
                    } }
                    @if farm.machines.is_empty() { p { "None is set up: usual sizes stand in, and Today says so." } }
                    p.act { a.btn href="/enter/machine" { "Add a machine" } }
                }
                section id="spray-products" {
                    h2 { "Spray products, by label" }
                    ul.plain { @for p in farm.spray_products.values() {
                        li { a href={ "/enter/spray_product?key=" (p.is.id) } { (p.is.name) span.quiet { ", " (p.is.purpose.words()) } } }
                    } }
                    @if farm.spray_products.is_empty() { p { "None yet. Copy a label's rate, water and intervals once, and every pass, mix and interval takes them from here." } }
                    p.act { a.btn href="/enter/spray_product" { "Add a product" } }
                }
                section {
                    h2 { "Bins" }
                    ul.plain { @for b in farm.bins.values() {
                        li { a href={ "/enter/bin?key=" (b.bin().id) } { (b.bin().name) span.quiet { ", for " (b.bin().job.words()) } } }
                    } }
                    @if farm.bins.is_empty() { p { "None is set up." } }
                    p.act { a.btn href="/enter/bin" { "Add a bin" } a.btn href="/setup/readings" { "Readings from devices" } }
                }
                section {
                    h2 { "The drill and its products" }
                    ul.plain {
                        @for d in farm.drills.values() {
                            li { a href={ "/enter/drill_set_up?key=" (d.is.machine) } { "Rows and tanks of " (d.is.machine) span.quiet { ": " @for (i, (name, _)) in d.is.carried().iter().enumerate() { @if i > 0 { ", " } (name) } } } }
                        }
                        @for x in farm.product_least.values() {
                            li { p { (x.is.product.replace('_', " ")) ": " @if let Some(r) = x.is.least_kg_ha { "no less than " (super::told_inputs::rate(u, r).round()) " " (u.rate.words()) } @if let Some(k) = x.is.least_kg { " " (k / 1000.0) " t at least from the dealer" } } }
                        }
                    }
                    p.act { @if farm.drills.is_empty() { a.btn href="/enter/drill_set_up" { "The drill's rows and tanks" } } a.btn href="/enter/product_least" { "Least of a product" } a.btn href="/enter/manure_rules" { "Manure rules" } }
                }
                section {
                    h2 { "If somebody is hurt" }
                    p { "One sheet with the numbers to ring and each field's entrance, to print." }
                    p.act { a.btn href="/emergency" { "Emergency sheet" } a.btn href="/enter/contact" { "Add a number" } a.btn href="/enter/entrance" { "Write an entrance" } }
                }
                section {
                    h2 { "Weather" }
                    @let days = known.weather.observed.len();
                    @if days == 0 { p { "None on file yet." } }
                    @else if let Some(last) = known.weather.last_day() { p { (stook_measure::figure(days as f64, 0)) " days on file, the last " (super::long_day(last)) "." } }
                    p.act { a.btn href="/setup/weather" { "Weather and forecast files" } }
                }
                section {
                    h2 { "Prices and your own numbers" }
                    ul.plain { @for list in farm.prices.values() { @if let Some(p) = list.last() {
                        li { p { (p.is.what.replace('_', " ")) ": " (u.money) (stook_measure::figure(p.is.value, 2)) " a " (p.is.unit.replace('_', " ")) } }
                    } } }
                    ul.plain { @for n in farm.local_numbers.values() { li { p { (n.is.name) " is " (n.is.value) ": " (n.is.why) } } } }
                    p.act { a.btn href="/enter/price" { "Write a price" } a.btn href="/enter/local_number" { "Your own number" } }
                }
                section {
                    h2 { "Keep a copy" }
                    p { "The whole book in one file, for a stick or another machine. Put it back with " code { "stook restore" } "." }
                    p.act { a.btn href="/setup/backup" download { "Download a copy" } }
                }
            }
            section {
                h2 { "Fields and crops of " (year) }
                ul.plain {
                    @for r in farm.fields.values() {
                        @let f = r.field();
                        li.field-row {
                            a href={ "/enter/field?key=" (f.id) } { (f.name) span.quiet { ", " (words::area(u, f.area_ha)) @if f.boundary.is_none() { ", no outline" } } }
                            a href={ "/enter/crop_plan?field=" (f.id) "&crop_year=" (year) } { (r.plan(year).map_or("crop not written", |p| p.crop.words())) span.apart { " on " (f.name) } }
                        }
                    }
                }
                p.act { a.btn href="/enter/field" { "Add a field" } a.btn href={ "/enter/crop_plan?crop_year=" (year) } { "Write a crop plan" } }
            }
        }
    };
    page(frame, Place::SetUp, "Set-up", &body)
}

/// `/setup/backup`: the book as a file.
pub async fn backup(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let part = std::env::temp_dir().join(format!("stook-{}.part", Uuid::now_v7()));
        let copied = desk.store()?.backup_to(&part);
        let bytes = copied.map_err(Trouble::from).and_then(|()| {
            std::fs::read(&part)
                .map_err(|why| Trouble::from(stook_book::StoreError::File { path: part.clone(), why }))
        });
        // Whether or not it could be read, nothing is left lying about.
        let _ = std::fs::remove_file(&part);
        let bytes = bytes?;
        let name = known
            .farm
            .set_up
            .as_ref()
            .map_or("farm".into(), |f| stook_book::FieldId::from_name(&f.is.name).0);
        let name: String = name.chars().filter(char::is_ascii).collect();
        let disposition = format!("attachment; filename=\"{name}-{}.stook\"", desk.now(&known.farm).date());
        Ok((
            [
                (header::CONTENT_TYPE, "application/vnd.sqlite3".to_string()),
                (header::CONTENT_DISPOSITION, disposition),
            ],
            bytes,
        )
            .into_response())
    })
    .await?
}
