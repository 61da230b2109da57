//! A field: its year, water, stage, ripeness, what happened, what next.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use maud::html;
use stook_measure::figure;
use stook_season::words;

use super::{layout, working};
use crate::draw::{fan, strip, waiting_line};
use crate::state::Desk;

/// `/field/{id}`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Response {
    layout::answer(desk, move |_, known| {
        let Ok(today) = known.today() else {
            return layout::problem(StatusCode::NOT_FOUND, "The farm has no place yet.", "Give it one in set-up.");
        };
        let Some(f) = today.fields.iter().find(|f| f.field == id) else {
            return layout::problem(StatusCode::NOT_FOUND, "No wheat field of this year has that name.", "The fields page lists them.");
        };
        let u = known.farm.units();
        let body = html! {
            (waiting_line::patterns())
            h1 { (f.name) ", " (words::area(&u, f.area_ha)) " of " (f.crop) }
            p.lede { (f.stage) }
            div.scroll tabindex="0" role="group" aria-label="Strip of the year" { (strip::draw(f, today.as_of)) }
            p.small { (strip::said(f)) "." }
            p {
                "Water the crop can take: " b { (words::water(&u, f.water_mm)) } " of " (words::water(&u, f.water_capacity_mm))
                ". Top 4 in: " b { (figure(f.surface, 2)) } " of field capacity. Soil at seed depth: " b { (words::temperature(&u, f.soil_temp_c)) } "."
            }
            @if let Some(y) = f.yield_kg_ha { p { "Outlook: " b { (words::wheat_yield_range(&u, y)) } " (1 in 10 below, middle, 1 in 10 above)." } }
            div.act.glove {
                @for (kind, word) in [("go_no_go", "Go or no"), ("stage_seen", "Stage seen"), ("kernel_moisture", "Moisture"), ("thumb_test", "Thumb test")] {
                    a.btn href={ "/enter/" (kind) "?field=" (f.field) } { (word) }
                }
            }
            @for d in today.open.iter().filter(|d| d.field == f.field) { p.note { a href={ "/#" (d.key.replace('/', "-")) } { (d.what) } } }
            (fan::draw("Water the crop can take, to 1.2 m", &f.water_fan, u.rain.words(), &|mm| if u.rain.words() == "in" { stook_measure::units::mm_to_in(mm) } else { mm }))
            (fan::draw("Stage of the crop", &f.stage_fan, "Zadoks", &|z| z))
            (fan::draw("Kernel moisture", &f.moisture_fan, "% of wet weight", &|m| m))
            section {
                h2 { "What happened" }
                @if f.happened.is_empty() { p { "Nothing written this year." } }
                ul.plain { @for h in f.happened.iter().rev() { li { p { (words::day(h.date)) ": " (h.what) } } } }
                p { a href={ "/book?field=" (f.field) } { "All entries of this field" } }
            }
            section {
                h2 { "The working" }
                @for w in &f.working { (working::show(w, &w.title)) }
            }
        };
        layout::ok(known, "/fields", &f.name, &body)
    })
    .await
}
