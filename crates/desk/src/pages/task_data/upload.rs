//! `/harvest/task-data`: choose the files of a terminal; the maps that are there.

use std::sync::Arc;

use axum::extract::{Multipart, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};

use super::files;
use crate::forms::Values;
use crate::pages::{Frame, Place, Reply, field_name, page, send};
use crate::server::beside;
use crate::state::{Desk, Known};

/// Shows it.
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let n = asked.get("brought").and_then(|n| n.parse::<u32>().ok());
        Ok(send(view(&Frame::of(&desk, &known), &known, n, None)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, brought: Option<u32>, wrong: Option<&str>) -> Markup {
    let maps = known.farm.fields.values().flat_map(|r| r.yield_maps.iter());
    let mut maps: Vec<_> = maps.collect();
    maps.sort_by_key(|m| std::cmp::Reverse(m.happened));
    let body = html! {
        h1 { "From a machine's terminal" }
        @if let Some(n) = brought { p.note role="status" { "Brought in: " (n) @if n == 1 { " entry." } @else { " entries." } } }
        div.cols {
            section {
                h2 { "Bring in task data" }
                form method="post" action="/harvest/task-data/file" enctype="multipart/form-data" {
                    p.hint { "The TASKDATA folder of the memory stick (ISO 11783-10): choose every file in it, or the folder packed as a zip. You see what was understood before anything is kept; the original stays in the book." }
                    @if let Some(w) = wrong { p.wrong role="alert" { (w) } }
                    div.field { label for="files" { "Files" } input id="files" type="file" name="files" multiple required accept=".xml,.bin,.zip,.XML,.BIN,.ZIP"; }
                    div.act { button.yes type="submit" { "Look at it" } }
                }
                p.under { "Read: yield and moisture of a combine; rates of a drill or spreader by weight. Not read: liquids, guidance, workers. Prove the first file against what you know of the field." }
            }
            section {
                h2 { "Yield maps" }
                @if maps.is_empty() { p { "None yet." } }
                ul.plain { @for m in maps { li { a href={ "/harvest/map/" (m.first) } { (field_name(known, &m.is.field)) ", " (m.is.crop.words()) " " (m.is.crop_year) } } } }
                h2 { "The other way" }
                ul.words { li { a href="/inputs/drill" { "Prescription from a drill card" } } li { a href="/fields/outlines" { "Outlines and zones" } } }
            }
        }
    };
    page(frame, Place::Fields, "Task data", &body)
}

/// `POST /harvest/task-data/file`
pub async fn upload(State(desk): State<Arc<Desk>>, parts: Multipart) -> Reply {
    let sent = files::sent(parts).await?;
    beside(move || {
        if sent.is_empty() {
            let known = desk.known()?;
            let page =
                view(&Frame::of(&desk, &known), &known, None, Some("Choose the files first; nothing came."));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, send(page)).into_response());
        }
        let token = files::hold(&desk, sent)?;
        Ok(Redirect::to(&format!("/harvest/task-data/{token}")).into_response())
    })
    .await?
}
