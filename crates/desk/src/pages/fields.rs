//! Fields: the map, and a strip for each.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::html;

use super::layout;
use crate::draw::{map, strip, waiting_line};
use crate::state::Desk;

/// `/fields`
pub async fn show(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |_, known| {
        let fields = known.today().map(|t| t.fields.clone()).unwrap_or_default();
        let wheat: Vec<String> = fields.iter().map(|f| f.field.clone()).collect();
        let body = html! {
            (waiting_line::patterns())
            h1 { "Fields" }
            div.cols {
                div { (map::draw(&known.farm, &wheat)) p.small { "Wheat has a page of its own; the others are drawn for the lie of the land." } }
                div {
                    h2 { "Stubble to stubble" }
                    @if fields.is_empty() { p { "No wheat field is planned for this year. " a href="/enter/crop_plan" { "Plan one" } } }
                    @for f in &fields {
                        section {
                            h3 { a href={ "/field/" (f.field) } { (f.name) } }
                            p.small { (f.stage) }
                            div.scroll tabindex="0" role="group" aria-label={ "Strip of " (f.name) } { (strip::draw(f, known.as_of)) }
                            p.small { (strip::said(f)) "." }
                        }
                    }
                }
            }
        };
        layout::ok(known, "/fields", "Fields", &body)
    })
    .await
}
