//! The plan: the order of work for each machine, and what a lost day costs the farm.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_measure::figure;
use stook_season::Plan;
use stook_season::answer::OrderOfWork;
use stook_season::words;

use super::{Frame, Place, Reply, capital, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// `/plan`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        Ok(send(view(&Frame::of(&desk, &known), &*known.plan()?)))
    })
    .await?
}

fn view(frame: &Frame, plan: &Plan) -> Markup {
    let body = html! {
        h1 { "The plan" }
        @if plan.orders.is_empty() && plan.machine_day.is_empty() { p { "No field work is waiting." } }
        @for m in &plan.machine_day { p.why { (capital(&m.words)) } }
        @for o in &plan.orders { (order(o, frame)) }
        p { a href="/" { "Back to Today" } }
    };
    page(frame, Place::Today, "The plan", &body)
}

/// The order of one machine, with what each stop costs to leave.
fn order(o: &OrderOfWork, frame: &Frame) -> Markup {
    html! {
        section {
            h2 { "The " (o.machine) }
            p { (capital(&o.words)) }
            div.scroll tabindex="0" role="region" aria-label={ "Order for the " (o.machine) } { table {
                thead { tr { th scope="col" { "Field" } th.num scope="col" { "Hours" } th.num scope="col" { "Waiting, " (frame.units.money) " an hour" } th scope="col" { "About" } } }
                tbody { @for s in &o.stops { tr {
                    td { a href={ "/field/" (s.field) } { (s.name) } }
                    td.num { (figure(s.hours, 0)) }
                    td.num { (figure(s.per_hour, 0)) }
                    td { (words::day_from(frame.day(), s.expected.middle)) }
                } } }
            } }
            (working::folded(&o.working))
        }
    }
}
