//! Calculators: every model function a person could use, from the register, with its working and source.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use maud::{Markup, html};
use serde_json::{Map, Value as Json};
use stook_measure::calc::Kind;
use stook_measure::{CalcError, Calculator, Input, Outcome, Value, figure};

use super::{Frame, Place, Reply, Trouble, capital, page, send, sentence, working};
use crate::forms::Values;
use crate::server::beside;
use crate::state::Desk;

/// `/calculators`
pub async fn list(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        Ok(send(list_view(&Frame::of(&desk, &known), &stook_season::register::calculators())))
    })
    .await?
}

fn list_view(frame: &Frame, all: &[Calculator]) -> Markup {
    let mut topics: Vec<&str> = all.iter().map(|c| topic(c)).collect();
    topics.dedup();
    let body = html! {
        h1 { "Calculators" }
        p { "Every model Stook reckons with, to try by hand. Each shows its working and its source." }
        div.topics {
            @for t in topics {
                section {
                    h2 { (capital(t)) }
                    ul.plain { @for c in all.iter().filter(|c| topic(c) == t) { li { a href={ "/calculators/" (c.name) } { (c.title) } } } }
                }
            }
        }
    };
    page(frame, Place::Calculators, "Calculators", &body)
}

fn topic(c: &Calculator) -> &'static str {
    c.name.split('.').next().unwrap_or(c.name)
}

/// `/calculators/{name}`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(name): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let all = stook_season::register::calculators();
        let Some(c) = all.iter().find(|c| c.name == name) else {
            return Err(Trouble::missing("There is no calculator of that name."));
        };
        let ready = c.inputs.iter().all(|i| i.default.is_some() || i.optional);
        let outcome = (ready || !asked.is_empty()).then(|| c.call(&given(&asked)));
        Ok(send(view(&Frame::of(&desk, &known), c, &asked, outcome.as_ref())))
    })
    .await?
}

/// What was typed; an empty input is one that was not given.
fn given(asked: &Values) -> Map<String, Json> {
    asked
        .iter()
        .filter(|(_, v)| !v.trim().is_empty())
        .map(|(k, v)| (k.clone(), Json::String(v.clone())))
        .collect()
}

fn wrong_key(e: &CalcError) -> Option<&str> {
    match e {
        CalcError::Missing { key, .. }
        | CalcError::NotANumber { key, .. }
        | CalcError::NotAChoice { key, .. }
        | CalcError::OutOfRange { key, .. } => Some(key),
        _ => None,
    }
}

fn view(
    frame: &Frame,
    c: &Calculator,
    asked: &Values,
    outcome: Option<&Result<Outcome, CalcError>>,
) -> Markup {
    let wrong = outcome.and_then(|o| o.as_ref().err());
    let body = html! {
        div {
            p.quiet { a href="/calculators" { "Calculators" } ": " (topic(c)) }
            h1 { (c.title) }
            p.why { (c.about) }
        }
        div.cols {
            form method="get" action={ "/calculators/" (c.name) } {
                h2 { "Given" }
                @if let Some(e) = wrong.filter(|e| wrong_key(e).is_none()) { p.wrong role="alert" { (sentence(e)) } }
                @for i in &c.inputs { (input(i, asked, wrong.filter(|e| wrong_key(e) == Some(i.key)))) }
                div.act { button.yes type="submit" { "Reckon" } }
            }
            section aria-label="Answer" aria-live="polite" {
                @if let Some(Ok(o)) = outcome { (answer(c, o)) }
                @else { p.quiet { "The answer and its working come here." } }
                p.under { b { "Source. " } (c.source) }
                p.under { "On the command line: " code { "stook calc " (c.name) } }
            }
        }
    };
    page(frame, Place::Calculators, c.title, &body)
}

fn input(i: &Input, asked: &Values, wrong: Option<&CalcError>) -> Markup {
    let typed = asked.get(i.key).cloned();
    let value = typed.unwrap_or_else(|| i.default.as_ref().map(plain).unwrap_or_default());
    let hint = match &i.kind {
        Kind::Number { low, high, .. } => format!("{} to {}", short(*low), short(*high)),
        Kind::List { low, high, .. } => {
            format!("several, with commas between; each {} to {}", short(*low), short(*high))
        }
        Kind::Choice { .. } => String::new(),
    };
    let bad = wrong.map(|_| "true");
    html! {
        div.field {
            label for=(i.key) { (capital(i.about)) @if i.optional && !i.about.contains("if known") { span.quiet { ", if known" } } }
            @if !hint.is_empty() { p.hint id={ (i.key) "-hint" } { (hint) " " (unit(i.unit())) } }
            @if let Some(e) = wrong { p.wrong id={ (i.key) "-wrong" } { (sentence(e)) } }
            @match &i.kind {
                Kind::Choice { of } => {
                    select id=(i.key) name=(i.key) aria-invalid=[bad] {
                        @if i.optional && i.default.is_none() { option value="" { "not known" } }
                        @for o in *of { option value=(o) selected[*o == value] { (o.replace('_', " ")) } }
                        @if !value.is_empty() && !of.contains(&value.as_str()) { option value=(value) selected { (value) } }
                    }
                }
                Kind::Number { .. } => {
                    div.with-unit {
                        input id=(i.key) name=(i.key) value=(value) inputmode="decimal" autocomplete="off" aria-describedby={ (i.key) "-hint" } aria-invalid=[bad];
                        span.unit { (unit(i.unit())) }
                    }
                }
                Kind::List { .. } => {
                    textarea id=(i.key) name=(i.key) aria-describedby={ (i.key) "-hint" } aria-invalid=[bad] { (value) }
                }
            }
        }
    }
}

/// A ratio has no unit to show.
fn unit(u: &'static str) -> &'static str {
    if u == "1" { "" } else { u }
}

fn plain(v: &Value) -> String {
    match v {
        Value::Number(x) => x.to_string(),
        Value::Text(t) => t.clone(),
        Value::List(l) => l.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
    }
}

/// About four significant figures.
fn short(x: f64) -> String {
    let decimals = match x.abs() {
        a if a == 0.0 || a >= 1000.0 || x.fract() == 0.0 => 0,
        a if a >= 100.0 => 1,
        a if a >= 10.0 => 2,
        a if a >= 1.0 => 3,
        a if a >= 0.01 => 4,
        _ => 6,
    };
    let text = figure(x, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
}

fn answer(c: &Calculator, o: &Outcome) -> Markup {
    html! {
        h2 { "Answer" }
        dl.answers {
            @for out in &c.outputs {
                @if let Some(v) = o.get(out.key) {
                    div {
                        dt { (capital(out.about)) }
                        dd { @match v {
                            Value::Number(x) => { (short(*x)) " " (unit(out.unit)) }
                            Value::Text(t) => { (t) }
                            Value::List(l) => { (l.iter().map(|x| short(*x)).collect::<Vec<_>>().join("; ")) " " (unit(out.unit)) }
                        } }
                    }
                }
            }
        }
        (working::open(&o.working))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_short() {
        assert_eq!(short(0.0), "0");
        assert_eq!(short(14.499_9), "14.5");
        assert_eq!(short(0.012_34), "0.0123");
        assert_eq!(short(1234.56), "1,235");
        assert_eq!(short(60.0), "60");
    }
}
