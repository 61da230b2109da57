//! The plan: the order of work for each machine, and what a lost day costs the farm.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::html;
use stook_measure::figure;
use stook_season::words;

use super::{layout, working};
use crate::state::Desk;

/// `/plan`
pub async fn show(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |_, known| {
        let body = match known.plan() {
            Err(e) => html! { h1 { "Not yet" } p { (e) "." } },
            Ok(plan) => html! {
                h1 { "The plan" }
                @if plan.orders.is_empty() && plan.machine_day.is_empty() { p { "No field work is waiting." } }
                @for o in &plan.orders {
                    section {
                        h2 { "The " (o.machine) }
                        p { (o.words) }
                        div.scroll { table {
                            thead { tr { th { "Field" } th.num { "Hours" } th.num { "Waiting, an hour" } th { "Done about" } } }
                            tbody { @for s in &o.stops { tr {
                                td { a href={ "/field/" (s.field) } { (s.name) } }
                                td.num { (figure(s.hours, 0)) }
                                td.num { (figure(s.per_hour, 0)) }
                                td { (words::day(s.expected.middle)) }
                            } } }
                        } }
                        (working::show(&o.working, "How this was reckoned"))
                    }
                }
                @for m in &plan.machine_day { p { (m.words) } }
            },
        };
        layout::ok(known, "/", "The plan", &body)
    })
    .await
}
