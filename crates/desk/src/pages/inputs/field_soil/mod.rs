//! A field's sheet: what the laboratory said, what the field wants and what that is worth, and the plan to accept.

mod balance;
mod laboratory;
mod nitrogen;

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use maud::{Markup, html};
use stook_book::payload::{FertilizerPlacement, UnitChoice};
use stook_book::{Farm, FieldId};
use stook_fertility::Nutrients;
use stook_fertility::nitrogen::{Credit, Need};
use stook_inputs::nitrogen::FOLLOWS;
use stook_inputs::report::{Choices, FieldReport, field_report, year_decided_on};
use stook_measure::{Reference, figure};
use stook_season::words;

use super::{rate, rate_words};
use crate::forms::Values;
use crate::pages::{Frame, Place, Reply, Trouble, page, send};
use crate::server::beside;
use crate::state::{Desk, Known};

/// `/field/{id}/soil`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let r = report(&known, &frame, &id, &asked)?;
        Ok(send(view(&frame, &known.farm, &r, &asked, &[])))
    })
    .await?
}

/// The sheet of a field with what was chosen in the address or the form.
pub fn report(known: &Known, frame: &Frame, id: &str, asked: &Values) -> Result<FieldReport, Trouble> {
    let id = FieldId(id.to_string());
    let year = asked.get("year").and_then(|y| y.parse().ok()).unwrap_or_else(|| year_decided_on(frame.day()));
    let ceilings = known.ceilings(year)?;
    let choices = choices(asked, &frame.units);
    field_report(&known.farm, &Reference::shipped(), &ceilings, &id, frame.day(), year, &choices)
        .ok_or_else(|| Trouble::missing("There is no field of that name in the book."))
}

fn choices(asked: &Values, u: &UnitChoice) -> Choices {
    let get = |k: &str| asked.get(k).map(|v| v.trim()).filter(|v| !v.is_empty());
    let number = |k: &str| {
        get(k).and_then(|v| v.replace(',', ".").parse::<f64>().ok()).filter(|x| x.is_finite() && *x >= 0.0)
    };
    let usual = Choices::default();
    Choices {
        need: get("need").filter(|k| Need::of(k).is_some()).map_or(usual.need, str::to_string),
        follow: get("follow")
            .and_then(|k| FOLLOWS.iter().find(|(_, key, _)| *key == k))
            .map_or(usual.follow, |(f, ..)| *f),
        target_kg_ha: number("target").map(|x| yield_si(u, x)).filter(|y| *y > 100.0),
        credit: get("credit").filter(|k| Credit::of(k).is_some()).map(str::to_string),
        manure_n_kg_ha: number("manure").map(|x| super::to_kg_ha(u, x).min(300.0)),
        philosophy: get("philosophy").unwrap_or("sufficiency").to_string(),
    }
}

/// A wheat yield in the farm's unit, as kg/ha.
fn yield_si(u: &UnitChoice, x: f64) -> f64 {
    let one = words::wheat_yield(u, 1.0);
    x / one
}

/// The whole page; `refused` when the plan that was sent could not be accepted.
pub fn view(frame: &Frame, farm: &Farm, r: &FieldReport, asked: &Values, refused: &[String]) -> Markup {
    let u = &frame.units;
    let crop = r.crop.as_deref().unwrap_or("no crop written");
    let body = html! {
        div.prints-dense {
            p { a href={ "/field/" (r.field) } { (r.name) } }
            h1 { (headline(r, u)) }
            p.why { (words::area(u, r.area_ha)) ", " (crop) " in " (r.crop_year) @if let Some(b) = &r.crop_before { ", after " (b) } "." }
        }
        @if !refused.is_empty() {
            div.caution role="alert" {
                p { b { "Not accepted: the seed would not bear it." } }
                @for s in refused { p { (s) } }
            }
        }
        div.cols {
            section aria-label="Nitrogen" {
                @if let Some(t) = &r.top_up { (nitrogen::top_up(t, u)) }
                @if let Some(n) = &r.nitrogen { (nitrogen::nitrogen(r, n, u)) }
                @else { h2 { "Nitrogen" } p { "Stook has no response curve for " (crop) ": its nitrogen is what the grain takes off, less what manure gives." } }
                (choose(r, asked, u))
            }
            section aria-label="Plan" {
                (accept_form(r, asked, u))
                @if let Some(p) = &r.plan { p.note { "In the book for " (r.crop_year) ": " (crate::pages::told_inputs::four(u, &crate::pages::told_inputs::plan_rates(p))) ", " (p.placement.words()) ". Accepting again replaces it." } }
            }
        }
        section { h2 { "Phosphate, potash, sulphur and the rest" } (laboratory::others(r, u)) @if r.manure_counted_kg_ha != Nutrients::NONE { p { "The plan above is less by what manure gives: see below." } } }
        section { h2 { "Manure" } (balance::manure(r, u)) }
        section { h2 { "What the laboratory said" } (laboratory::soil(farm, r, u)) }
        section { h2 { "What went on and what came off" } (balance::balance(r, u)) }
        @if !r.assumed.is_empty() { section { h2 { "What stands in for what is not known" } ul { @for a in &r.assumed { li { (a) } } } } }
        p.quiet { "Good to about 30 lb/ac either way. The local guide, your own strips and your agronomist know this land better." }
    };
    page(frame, Place::Inputs, &format!("Soil and fertilizer: {}", r.name), &body)
}

/// The answer.
fn headline(r: &FieldReport, u: &UnitChoice) -> String {
    let p = &r.proposed;
    let all = [
        (p.n_kg_ha, "nitrogen"),
        (p.p2o5_kg_ha, "phosphate"),
        (p.k2o_kg_ha, "potash"),
        (p.s_kg_ha, "sulphur"),
    ];
    let buys: Vec<String> = all
        .iter()
        .filter(|(x, what)| rate(u, *x) >= 0.5 || (*what == "nitrogen" && r.nitrogen.is_some()))
        .enumerate()
        .map(|(i, (x, what))| {
            let x = if i == 0 { rate_words(u, *x) } else { figure(rate(u, *x), 0) };
            format!("{x} of {what}")
        })
        .collect();
    match (buys.is_empty(), r.manure_counted_kg_ha != Nutrients::NONE) {
        (false, _) => format!("{}: {}", r.name, buys.join(", ")),
        (true, true) => format!("{}: nothing to buy, the manure is enough", r.name),
        (true, false) => format!("{}: soil and fertilizer", r.name),
    }
}

fn choose(r: &FieldReport, asked: &Values, u: &UnitChoice) -> Markup {
    let c = &r.choices;
    let typed = |k: &str| asked.get(k).map_or("", String::as_str);
    html! {
        details open[!asked.is_empty()] {
            summary { "Reckon it another way" }
            form method="get" action={ "/field/" (r.field) "/soil" } {
                div.field { label for="need" { "Need a bushel, for the budget" } select id="need" name="need" { @for n in Need::shipped() { option value=(n.key) selected[n.key == c.need] { (n.name) ": " (figure(n.lb_n_per_bu, 2)) " lb" } } } }
                div.field { label for="target" { "Yield to aim at, " (u.grain_yield.words()) } p.hint { "Empty for the middle of the outlook." } input id="target" name="target" value=(typed("target")) inputmode="decimal" autocomplete="off"; }
                div.field { label for="follow" { "In a dry year" } select id="follow" name="follow" { @for (f, key, w) in FOLLOWS { option value=(key) selected[f == c.follow] { (w) } } } }
                div.field { label for="credit" { "Credit of the crop before" } p.hint { "Not when the laboratory has taken it off already, or the fall nitrate holds it." } select id="credit" name="credit" { option value="" { "as the crop before suggests: " (r.credit.0) } @for k in Credit::shipped() { option value=(k.key) selected[Some(&k.key) == c.credit.as_ref()] { (k.name) } } } }
                div.field { label for="manure" { "Nitrogen from manure, " (u.rate.words()) } p.hint { "Empty for what the book says: " (rate_words(u, r.manure.gives_kg_ha.n)) "." } input id="manure" name="manure" value=(typed("manure")) inputmode="decimal" autocomplete="off"; }
                div.field { label for="philosophy" { "Phosphate and potash by" } select id="philosophy" name="philosophy" { @for (k, w) in PHILOSOPHIES { option value=(k) selected[k == c.philosophy] { (w) } } } }
                div.act { button type="submit" { "Reckon" } }
            }
        }
    }
}

const PHILOSOPHIES: [(&str, &str); 4] = [
    ("sufficiency", "what this crop will pay for"),
    ("build", "building the soil up and holding it"),
    ("replacement", "putting back what the crop takes"),
    ("table", "our own table"),
];

/// The plan, filled with what is proposed or what was typed.
fn accept_form(r: &FieldReport, asked: &Values, u: &UnitChoice) -> Markup {
    let (all, seed) = match &r.plan {
        Some(p) => (crate::pages::told_inputs::plan_rates(p), p.seed_row.unwrap_or_default()),
        None => (r.proposed, r.proposed_seed),
    };
    let shown = |k: &str, x: f64| asked.get(k).cloned().unwrap_or_else(|| figure(rate(u, x), 0));
    let place = asked
        .get("placement")
        .and_then(|k| FertilizerPlacement::from_key(k))
        .or(r.plan.as_ref().map(|p| p.placement))
        .unwrap_or(r.row.band);
    let line = |key: &str, word: &str, whole: f64, with_seed: f64| {
        let seed_key = format!("seed_{key}");
        html! { tr {
            th scope="row" { (word) }
            td { input id=(key) name=(key) value=(shown(key, whole)) inputmode="decimal" autocomplete="off" aria-label={ (word) ", in all" }; }
            td { input name=(seed_key) value=(shown(&seed_key, with_seed)) inputmode="decimal" autocomplete="off" aria-label={ (word) ", with the seed" }; }
        } }
    };
    html! {
        h2 { "The plan" }
        form.rates method="post" action={ "/field/" (r.field) "/soil" } {
            input type="hidden" name="year" value=(r.crop_year);
            table {
                thead { tr { th scope="col" { (u.rate.words()) } th scope="col" { "in all" } th scope="col" { "of it with the seed" } } }
                tbody {
                    (line("n", "Nitrogen", all.n_kg_ha, seed.n_kg_ha))
                    (line("p2o5", "Phosphate", all.p2o5_kg_ha, seed.p2o5_kg_ha))
                    (line("k2o", "Potash", all.k2o_kg_ha, seed.k2o_kg_ha))
                    (line("s", "Sulphur", all.s_kg_ha, seed.s_kg_ha))
                }
            }
            div.field { label for="placement" { "The rest goes" } select id="placement" name="placement" { @for p in FertilizerPlacement::ALL { option value=(p.key()) selected[*p == place] { (p.words()) } } } }
            div.choices { label { input type="checkbox" name="dry" value="yes" checked[asked.get("dry").is_some()]; "The seedbed is dry, or a warm wind dries it" } }
            div.field { label for="why" { "Why, if you like" } input id="why" name="why" value=(asked.get("why").map_or("", String::as_str)) autocomplete="off"; }
            div.act { button.yes type="submit" { "Accept this plan" } a.btn href="/inputs" { "To all fields" } }
        }
        @let l = stook_inputs::propose::bare_limits(&r.row, stook_fertility::FertilityParams::shipped());
        p.quiet {
            "With the seed of cereals on " (r.row.texture.words()) " soil, " (figure(r.row.spread_in, 1)) " in spread on " (figure(r.row.spacing_in, 1)) " in rows: urea N up to " (figure(l.urea_n_lb_ac, 0)) " lb/ac"
            @if let Some(p) = l.p2o5_lb_ac { ", phosphate up to " (figure(p, 0)) } ", N and K2O together up to " (figure(l.n_k_lb_ac, 0)) " where there is potash, in good moisture. Never anhydrous ammonia in the seed row."
        }
    }
}
