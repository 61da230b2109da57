//! Calculators: every model function, made from the register.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::Response;
use maud::{Markup, html};
use serde_json::{Map, Value as Json};
use stook_measure::calc::{Calculator, Kind, Value};
use stook_season::register;

use super::{layout, working};
use crate::state::Desk;

/// `/calculators`
pub async fn list(State(desk): State<Arc<Desk>>) -> Response {
    layout::answer(desk, |_, known| {
        let all = register::calculators();
        let mut topics: BTreeMap<&str, Vec<&Calculator>> = BTreeMap::new();
        for c in &all {
            topics.entry(c.name.split('.').next().unwrap_or("")).or_default().push(c);
        }
        let body = html! {
            h1 { "Calculators" }
            p { "Each with its working and its source. They use the shipped coefficients, not your own numbers." }
            @for (topic, list) in topics {
                section { h2 { (topic) } ul.plain { @for c in list { li { a href={ "/calculators/" (c.name) } { (c.title) } } } } }
            }
        };
        layout::ok(known, "/calculators", "Calculators", &body)
    })
    .await
}

/// `/calculators/{name}`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(name): Path<String>,
    Query(given): Query<BTreeMap<String, String>>,
) -> Response {
    layout::answer(desk, move |_, known| {
        let all = register::calculators();
        let Some(c) = all.iter().find(|c| c.name == name) else {
            return layout::problem(StatusCode::NOT_FOUND, "There is no such calculator.", "The calculators page lists them.");
        };
        let filled: Map<String, Json> = given
            .iter()
            .filter(|(_, v)| !v.trim().is_empty())
            .map(|(k, v)| (k.clone(), Json::String(v.trim().to_string())))
            .collect();
        let asked = !given.is_empty();
        let body = html! {
            h1 { (c.title) }
            p { (c.about) }
            @if asked { (answer(c, &filled)) }
            form method="get" action={ "/calculators/" (c.name) } {
                @for i in &c.inputs {
                    @let shown = given.get(i.key).cloned().or_else(|| i.default.as_ref().map(text)).unwrap_or_default();
                    div.field {
                        label for={ "in-" (i.key) } { (i.about) @if i.optional { span.quiet { " (may be left out)" } } }
                        @match &i.kind {
                            Kind::Choice { of } => { select id={ "in-" (i.key) } name=(i.key) { @for w in *of { option value=(w) selected[*w == shown] { (w) } } } }
                            Kind::Number { unit, low, high } => { p.hint { (low) " to " (high) " " (unit) } input id={ "in-" (i.key) } name=(i.key) type="text" inputmode="decimal" value=(shown); }
                            Kind::List { unit, low, high } => { p.hint { "Several with commas, each " (low) " to " (high) " " (unit) } input id={ "in-" (i.key) } name=(i.key) type="text" value=(shown); }
                        }
                    }
                }
                div.act { button.yes { "Reckon" } }
            }
            p.small { "Source: " (c.source) }
            p.small { "On the command line: stook calc " (c.name) }
        };
        layout::ok(known, "/calculators", c.title, &body)
    })
    .await
}

fn answer(c: &Calculator, given: &Map<String, Json>) -> Markup {
    match c.call(given) {
        Err(e) => html! { p.wrong role="alert" { (e) "." } },
        Ok(o) => html! {
            section {
                h2 { "Answer" }
                table { tbody { @for (key, value) in &o.out {
                    @let declared = c.outputs.iter().find(|x| x.key == *key);
                    tr { td { (declared.map_or(*key, |d| d.about)) } td.num { b { (text(value)) } " " (declared.map_or("", |d| d.unit)) } }
                } } }
                (working::sheet(&o.working))
            }
        },
    }
}

fn text(v: &Value) -> String {
    let number = |x: f64| {
        let t = format!("{x:.4}");
        if t.contains('.') { t.trim_end_matches('0').trim_end_matches('.').to_string() } else { t }
    };
    match v {
        Value::Number(x) => number(*x),
        Value::Text(t) => t.clone(),
        Value::List(l) => l.iter().map(|x| number(*x)).collect::<Vec<_>>().join(", "),
    }
}
