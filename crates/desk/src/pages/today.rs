//! Today: what is worth doing, why, what a day's wait costs, what would change it.

use std::sync::Arc;

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use stook_season::answer::{Decision, Job, Today};

use super::{layout, working};
use crate::draw::waiting_line::{self, Scale};
use crate::state::Desk;

/// `/`
pub async fn show(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |_, known| {
        if known.farm.set_up.is_none() || known.farm.fields.is_empty() {
            return Redirect::to("/setup").into_response();
        }
        let body = match known.today() {
            Ok(t) => body(&t),
            Err(e) => html! { h1 { "Not yet" } p { (e) "." } p { a href="/setup" { "To set-up" } } },
        };
        layout::ok(known, "/", "Today", &body)
    })
    .await
}

fn body(t: &Today) -> Markup {
    let scale = Scale::over(t.open.iter().filter_map(|d| d.waiting.as_ref()).map(|w| &w.money));
    html! {
        (waiting_line::patterns())
        h1.lede { (t.headline) }
        @if !t.open.is_empty() {
            section aria-label="Worth deciding today" { @for d in &t.open { (decision(d, scale)) } }
        }
        @if let Some(o) = &t.order {
            section {
                h2 { "Order for the " (o.machine) }
                p { (o.stops.iter().map(|s| s.name.as_str()).collect::<Vec<_>>().join(", then ")) ". " (o.words) }
                (working::show(&o.working, "How this was reckoned"))
                p { a href="/plan" { "The plan for each machine" } }
            }
        }
        @if !t.coming.is_empty() {
            section {
                h2 { "Coming" }
                ul.plain { @for c in &t.coming { li { a href={ "/field/" (c.field) } { (c.words) } } } }
            }
        }
        section.small {
            p { (t.weather.words) }
            @if !t.assumed.is_empty() {
                div.note {
                    p { "Taken in place of what is not known:" }
                    ul { @for a in &t.assumed { li { (a) } } }
                    p { a href="/setup" { "Set it right" } }
                }
            }
            @if !t.warnings.is_empty() {
                details { summary { "Worth a look (" (t.warnings.len()) ")" } ul { @for w in &t.warnings { li { (w) } } } }
            }
        }
    }
}

fn decision(d: &Decision, scale: Scale) -> Markup {
    html! {
        article.todo id=(d.key.replace('/', "-")) {
            p.quiet { a href={ "/field/" (d.field) } { (d.place) } }
            h2 { (d.what) }
            @if let Some(b) = &d.blocked { p.blocked { (b) } }
            p.why { (d.why) }
            @if let Some(w) = &d.waiting {
                (waiting_line::draw(&w.money, scale, &w.words))
                p { "Waiting a day " span.money { (w.words) } "." }
            }
            @if let Some(m) = &d.moved { p.change { b { "Since yesterday: " } (m) } }
            p.change { (d.change) }
            @if let Some(c) = &d.caution { p.caution { (c) } }
            @if let Some(a) = &d.answered { p.note { "You said: " (a) "." } }
            @if matches!(d.job, Job::Harrow | Job::Seed) { (gate(d)) }
            p { a href={ "/enter/decision_answer?decision=" (d.key) "&field=" (d.field) } { "No, because ..." span.away { " (" (d.place) ")" } } }
            @if let Some(w) = &d.waiting { (working::show(&w.working, "How this was reckoned")) }
        }
    }
}

/// GO and NO at the gate: one button each; they move the farm's own limit.
fn gate(d: &Decision) -> Markup {
    let operation = if d.job == Job::Harrow { "harrow" } else { "seed" };
    html! {
        div.act.glove {
            @for (go, word, class) in [("true", "GO", "yes"), ("false", "NO", "")] {
                form method="post" action="/enter/go_no_go" {
                    input type="hidden" name="entry_id" value=(uuid::Uuid::now_v7());
                    input type="hidden" name="field" value=(d.field);
                    input type="hidden" name="operation" value=(operation);
                    input type="hidden" name="go" value=(go);
                    button class=(class) { (word) }
                }
            }
            span.quiet { "At the gate: it teaches your own limit." }
        }
    }
}
