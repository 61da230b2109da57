//! `/barn/ration/{phase}`: the ration, its cost, what its limits cost, what would change it, and accepting it.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_barn::Facts;
use stook_barn::rations::{self, Asked, RationAnswer};
use stook_book::{Entry, validate};
use stook_feed::{Nutrient, Phase, ingredient};
use stook_measure::{Op, Reference, Working, figure};
use stook_season::words;

use super::facts;
use crate::pages::enter::latest;
use crate::pages::{Frame, Place, Reply, Trouble, capital, page, send, working};
use crate::server::beside;
use crate::state::{Desk, Known};

type Values = BTreeMap<String, String>;

fn asked(values: &Values) -> Asked {
    let number = |k: &str| values.get(k).and_then(|v| v.trim().replace(',', ".").parse::<f64>().ok());
    Asked {
        phase: None,
        safety_z: number("safety").unwrap_or(0.0).clamp(0.0, 3.0),
        margin: number("margin").map(|m| (m / 100.0).clamp(0.0, 0.2)),
    }
}

/// `GET`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(phase): Path<String>,
    Query(values): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let phase = stook_barn::phase(&phase)?;
        let f = facts(&known);
        let a = rations::answer(&f, phase, asked(&values))?;
        Ok(send(view(&Frame::of(&desk, &known), &f, &a, &values, &[])))
    })
    .await?
}

/// `POST`: accepts it as it stands.
pub async fn accept(
    State(desk): State<Arc<Desk>>,
    Path(phase): Path<String>,
    Posted(values): Posted<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let phase = stook_barn::phase(&phase)?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let a = rations::answer(&f, phase, asked(&values))?;
        let reviewed = values.get("reviewed_by").map(|r| r.trim().to_string()).filter(|r| !r.is_empty());
        let Some(payload) = rations::accepted_entry(&a, &f, reviewed) else {
            return Err(Trouble::Say(
                StatusCode::UNPROCESSABLE_ENTITY,
                "There is no ration to accept: its limits do not go together.".into(),
            ));
        };
        let entry = Entry::new(frame.now, who(&known, &values), payload);
        if let Err(problems) = validate(&entry, &known.farm, &Reference::shipped(), latest(&known, &frame)) {
            let said: Vec<String> = problems.into_iter().map(|p| p.sentence).collect();
            let body = send(view(&frame, &f, &a, &values, &said));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, body).into_response());
        }
        desk.store()?.append(&entry)?;
        Ok(Redirect::to(&format!("/saved/{}", entry.id)).into_response())
    })
    .await?
}

/// Who writes: as given, else as last time.
pub fn who(known: &Known, values: &Values) -> String {
    let given = values.get("who").map(|w| w.trim().to_string()).filter(|w| !w.is_empty());
    given.unwrap_or_else(|| known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone()))
}

fn view(frame: &Frame, f: &Facts<'_>, a: &RationAnswer, values: &Values, problems: &[String]) -> Markup {
    let money = &frame.units.money;
    let get = |k: &str| values.get(k).map_or("", String::as_str);
    let body = html! {
        h1 { (capital(a.words)) }
        @for p in problems { p.wrong-all role="alert" { (p) } }
        @match &a.ration {
            Some(r) => {
                p.lede { (money) (figure(r.cost_t, 0)) " a tonne" @if let Some(c) = &a.accepted { @if let Some(old) = c.cost_t { ", " (against(old - r.cost_t, money)) } } }
            },
            None => { p.lede { "No ration meets all limits." } },
        }
        @for s in &a.conflict { p { (s) } }
        @if !a.assumed.is_empty() {
            p.note { "Our price, since none of yours is written down: " (a.assumed.join(", ")) ". " a href="/enter/price" { "Write a price down" } }
        }
        @if let Some(r) = &a.ration {
            div.cols {
                section {
                    h2 { "What is in it" }
                    div.scroll tabindex="0" role="region" aria-label="What is in it" { table {
                        thead { tr { th scope="col" { "" } th.num scope="col" { "%" } th.num scope="col" { (money) " a tonne" } th.num scope="col" { "In the ration" } } }
                        tbody { @for p in &r.parts { tr { td { (p.name) } td.num { (figure(100.0 * p.share, if p.share < 0.02 { 3 } else { 1 })) } td.num { (figure(p.price_t, 0)) } td.num { (figure(p.share * p.price_t, 2)) } } } }
                    } }
                    (working::folded(&reckoned(r)))
                }
                section {
                    h2 { "What its limits cost" }
                    ul { @for s in a.prices.iter().take(8) { li { (s) } } }
                    @if a.prices.is_empty() { p { "No limit binds." } }
                    h2 { "What would change it" }
                    ul { @for s in a.would_change.iter().take(10) { li { (s) } } }
                }
            }
            section {
                h2 { "How it stands to what they need" }
                (standing(a))
            }
        }
        @if let Some(c) = &a.accepted {
            section {
                h2 { "Against the one accepted " (words::day(c.on)) }
                @if !c.misses.is_empty() { p.blocked { "By today's tests the old one: " (c.misses.join("; ")) "." } }
                @if c.cost_t.is_none() { p { "Something in the old one is no longer on offer." } }
                div.scroll tabindex="0" role="region" aria-label="Old and new" { table {
                    thead { tr { th scope="col" { "" } th.num scope="col" { "then %" } th.num scope="col" { "now %" } } }
                    tbody { @for (name, then, now) in &c.parts { @if (then - now).abs() > 5e-5 { tr { td { (name) } td.num { (figure(100.0 * then, 2)) } td.num { (figure(100.0 * now, 2)) } } } } }
                } }
                p { @match &c.reviewed_by { Some(n) => { "Looked at by " (n) ". " }, None => { "No nutritionist has looked at it yet. " } } a href={ "/barn/batch/" (c.id) } { "Batch sheet of the accepted one" } }
            }
        }
        section {
            h2 { "Accept it" }
            form method="post" action={ "/barn/ration/" (a.phase.key()) } {
                input type="hidden" name="safety" value=(get("safety"));
                input type="hidden" name="margin" value=(get("margin"));
                div.field { label for="reviewed_by" { "Nutritionist who looked at it, if one has" } input id="reviewed_by" name="reviewed_by" value=(get("reviewed_by")) autocomplete="off"; }
                div.act { button.yes type="submit" disabled[a.ration.is_none()] { "Accept this ration" } a.btn href="/barn" { "Leave it" } }
            }
        }
        section {
            h2 { "Ask again with" }
            form.filter method="get" action={ "/barn/ration/" (a.phase.key()) } {
                div.field { label for="safety" { "Safety on lysine" } select id="safety" name="safety" {
                    @for (v, w) in [("", "as the means"), ("0.842", "enough in 4 batches of 5"), ("1.282", "in 9 of 10"), ("1.645", "in 19 of 20")] { option value=(v) selected[get("safety") == v] { (w) } }
                } }
                div.field { label for="margin" { "Margin on lysine and phosphorus, %" } input id="margin" name="margin" inputmode="decimal" value=(get("margin")) placeholder=(figure(100.0 * a.need.margin, 0)); }
                div.act { button type="submit" { "Ask" } }
            }
            p.quiet { "Safety is by the scatter of each ingredient's lysine, averaged over the mix (tangents to the square root of the variance, not a margin on each)." }
        }
        section {
            h2 { "Other phases" }
            ul.words { @for p in Phase::ALL { li { a href={ "/barn/ration/" (p.key()) } aria-current=[(*p == a.phase).then_some("page")] { (capital(p.words())) } } } }
        }
        @for n in &a.notes { p.caution { (n) } }
        p.quiet { "Own grain stands at what the best offer would bring at the yard" @if f.farm.buyers.is_empty() { " (no offer is written down: the feed wheat price stands in)" } ". Digestible amino acids, net energy, digestible phosphorus." }
    };
    page(frame, Place::Barn, &capital(a.words), &body)
}

fn against(saved: f64, money: &str) -> String {
    if saved.abs() < 0.5 {
        "no dearer and no cheaper than the accepted one".into()
    } else if saved > 0.0 {
        format!("{money}{} less than the accepted one", figure(saved, 2))
    } else {
        format!("{money}{} more than the accepted one", figure(-saved, 2))
    }
}

fn reckoned(r: &stook_feed::ration::Ration) -> Working {
    let mut w = Working::new("A tonne of it");
    for p in &r.parts {
        w = w.line(
            Op::Plus,
            format!("{} {} %", p.name, figure(100.0 * p.share, 3)),
            p.share * p.price_t,
            "",
            2,
        );
    }
    w.sum("A tonne", r.cost_t, "", 2)
        .note(format!(
            "{} kcal net energy, {} % digestible lysine, {} % protein",
            figure(r.holds.of(Nutrient::Ne), 0),
            figure(r.holds.of(Nutrient::Lys), 2),
            figure(r.holds.of(Nutrient::Protein), 1)
        ))
        .note("The cheapest mix that meets every limit, by linear programming.")
        .source(ingredient::find("wheat_hrs").map_or_else(String::new, |i| i.source.clone()))
        .source("NRC 2012 requirement tables; own grain from its tests")
}

fn standing(a: &RationAnswer) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Limits" { table {
            thead { tr { th scope="col" { "" } th.num scope="col" { "has" } th.num scope="col" { "least" } th.num scope="col" { "most" } th scope="col" { "" } } }
            tbody { @for l in &a.limits { tr {
                td { (capital(&l.what)) }
                td.num { (figure(l.has, l.decimals)) }
                td.num { @if let Some(x) = l.least { (figure(x, l.decimals)) } }
                td.num { @if let Some(x) = l.most { (figure(x, l.decimals)) } }
                td { (l.unit) }
            } } }
        } }
        @if a.need.margin > 0.0 { p.quiet { "A margin of " (figure(100.0 * a.need.margin, 0)) " % on lysine and phosphorus is in it." } }
    }
}
