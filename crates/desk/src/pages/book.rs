//! The book: entries newest first, filtered, as known at a past day; correct or take back.

use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

use axum::extract::{Query, State};
use axum::response::Response;
use maud::html;
use stook_book::{Entry, Payload};
use uuid::Uuid;

use super::{enter, layout};
use crate::state::Desk;

/// Rows shown at once.
const ROWS: usize = 200;

/// `/book`
pub async fn show(State(desk): State<Arc<Desk>>, Query(q): Query<BTreeMap<String, String>>) -> Response {
    layout::answer(desk, move |_, known| {
        let of = |key: &str| q.get(key).map_or("", |t| t.trim());
        let as_of: Option<jiff::civil::Date> = of("as_of").parse().ok();
        let mut rows: Vec<&Entry> = known
            .entries
            .iter()
            .filter(|e| of("kind").is_empty() || e.body.kind() == of("kind"))
            .filter(|e| of("field").is_empty() || e.field().is_some_and(|f| f.as_str() == of("field")))
            .filter(|e| as_of.is_none_or(|d| known.farm.local(e.written).date() <= d))
            .collect();
        rows.sort_by_key(|e| std::cmp::Reverse((e.happened, e.written)));
        let replaced: HashSet<Uuid> = rows.iter().filter_map(|e| e.replaces).collect();
        let count = rows.len();
        let body = html! {
            h1 { "The book" }
            form method="get" action="/book" {
                div.field { label for="f-kind" { "Kind" } select id="f-kind" name="kind" { option value="" { "all" } @for (k, t) in Payload::KINDS { option value=(k) selected[*k == of("kind")] { (t) } } } }
                div.field { label for="f-field" { "Field" } select id="f-field" name="field" { option value="" { "all" } @for r in known.farm.fields.values() { option value=(r.field().id) selected[r.field().id.as_str() == of("field")] { (r.field().name) } } } }
                div.field { label for="f-as-of" { "As it was written by the end of" } input id="f-as-of" type="date" name="as_of" value=(of("as_of")); }
                div.act { button { "Show" } }
            }
            p { (count) " entries" @if count > ROWS { ", the latest " (ROWS) " shown" } "." }
            div.scroll tabindex="0" role="group" aria-label="Entries" {
                table {
                    thead { tr { th { "When" } th { "What" } th { "" } th { "" } } }
                    tbody {
                        @for e in rows.iter().take(ROWS) {
                            tr {
                                td { (e.happened.strftime("%-d %b %Y, %H:%M").to_string()) }
                                td { (e.payload().map_or(e.body.kind(), |p| p.title())) @if replaced.contains(&e.id) { span.quiet { " (corrected or taken back)" } } }
                                td { (enter::describe(e, known)) }
                                td {
                                    @if !replaced.contains(&e.id) && !matches!(e.payload(), Some(Payload::Withdrawn(_)) | None) {
                                        details {
                                            summary { "Change" }
                                            p { a href={ "/enter/" (e.body.kind()) "?correct=" (e.id) } { "Correct it" } }
                                            form method="post" action={ "/undo/" (e.id) } {
                                                label for={ "why-" (e.id) } { "Take it back because" }
                                                input id={ "why-" (e.id) } name="why" type="text";
                                                button { "Take it back" }
                                            }
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        };
        layout::ok(known, "/book", "The book", &body)
    })
    .await
}
