//! `/spray`: the hours of the next days, and what they are good for.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_book::SprayProductId;
use stook_measure::figure;
use stook_season::answer::Job;
use stook_season::spraying::green::Green;
use stook_season::spraying::{SprayAnswer, SprayAsk, SprayDay, SprayField, limits};
use stook_season::words;

use super::super::{Frame, Place, Reply, Trouble, capital, page, send, working};
use crate::draw::hour_strip;
use crate::forms::Values;
use crate::server::beside;
use crate::state::{Desk, Known};

/// `/spray`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let get = |key: &str| asked.get(key).map(String::as_str).filter(|v| !v.is_empty());
        let ask = SprayAsk {
            product: get("product").map(SprayProductId::from),
            field: get("field").map(Into::into),
            // A chosen day is shown whole.
            now: (!frame.chosen_day).then_some(frame.now),
            thistle_pct: get("thistle").and_then(|t| t.replace(',', ".").trim().parse().ok()),
        };
        let answer = known.spray(&ask)?;
        Ok(send(view(&frame, &known, &answer, &ask)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, s: &SprayAnswer, ask: &SprayAsk) -> Markup {
    let body = html! {
        div {
            h1.lede { (s.headline) }
            p.why { (s.why) }
            p.caution { (s.rule) }
        }
        div.cols {
            section aria-label="Hours" {
                h2 { "Hours fit to spray" }
                @if let Some(m) = &s.measured { p { b { (m) } } }
                p.key { (hour_strip::key()) }
                @for d in &s.days { (day(d, frame)) }
                (chooser(known, ask))
                (limits_said(s))
                p.quiet { (s.weather) }
            }
            section aria-label="Fields" {
                h2 { "Fields waiting" }
                @if s.fields.is_empty() { p { "No wheat field has a spray window open or opening this week." } }
                @for f in &s.fields { (field(f, frame, ask)) }
                @for g in &s.green { (green(g, ask)) }
                @if !s.intervals.is_empty() {
                    h2 { "Intervals running" }
                    ul.plain { @for i in &s.intervals { li { a href={ "/field/" (i.field) } { (i.words) } } } }
                }
                h2 { "Write down and print" }
                ul.plain {
                    li { a href="/enter/spray_pass" { "Sprayed" } }
                    li { a href={ "/spray/mix" (mix_query(s, ask)) } { "Tank mix sheet" } }
                    li { a href="/spray/record" { "Spray record" } }
                    li { a href="/calendar" { "Windows and intervals as a calendar" } }
                    li { a href="/setup#spray-products" { "Spray products, by label" } }
                }
            }
        }
    };
    page(frame, Place::Fields, "Spraying", &body)
}

/// The mix of the product chosen for the first field waiting.
fn mix_query(s: &SprayAnswer, ask: &SprayAsk) -> String {
    let field = ask.field.clone().or_else(|| s.fields.first().map(|f| f.field.clone()));
    let parts: Vec<String> =
        [field.map(|f| format!("field={f}")), ask.product.as_ref().map(|p| format!("product0={p}"))]
            .into_iter()
            .flatten()
            .collect();
    if parts.is_empty() { String::new() } else { format!("?{}", parts.join("&")) }
}

/// Sprays on ground without a crop.
fn green(g: &Green, ask: &SprayAsk) -> Markup {
    html! {
        section {
            h2 { (g.title) }
            p { (g.words) }
            @if g.good_leaf_until.is_some() || g.tonight.is_some() { (thistle(ask)) }
            @for f in &g.fields {
                article.todo {
                    p.place { a href={ "/field/" (f.field) } { (f.name) } }
                    p { (capital(&f.words)) "." }
                    @if let Some(m) = &f.money {
                        p { (capital(&m.words)) "." }
                        (working::folded(&m.working))
                    }
                    div.act { a.btn href={ "/enter/spray_pass?field=" (f.field) "&purpose=" (f.purpose) } { "Sprayed" span.apart { ": write down for " (f.name) } } }
                }
            }
        }
    }
}

/// Asks what share of the stubble is in thistle patches.
fn thistle(ask: &SprayAsk) -> Markup {
    html! {
        form.filter method="get" action="/spray" {
            div.field {
                label for="thistle" { "In thistle patches, % of the field" }
                input id="thistle" name="thistle" type="number" inputmode="decimal" min="0" max="100" step="any" value=[ask.thistle_pct];
            }
            @if let Some(p) = &ask.product { input type="hidden" name="product" value=(p); }
            @if let Some(f) = &ask.field { input type="hidden" name="field" value=(f); }
            div.act { button type="submit" { "Reckon" } }
        }
    }
}

fn day(d: &SprayDay, frame: &Frame) -> Markup {
    let u = &frame.units;
    let rain = (d.rain_chance >= 0.02)
        .then(|| format!("Rain in {}, at no known hour.", words::in_ten(d.rain_chance)));
    html! {
        div.hour-day {
            p { b { (d.words) } @if d.area_ha > 0.0 { " About " (words::area(u, d.area_ha)) "." } @if let Some(r) = &rain { " " span.quiet { (r) } } }
            (hour_strip::draw(d, &d.words))
            details { summary { "Hour by hour" span.apart { " of " (words::day(d.date)) } }
                div.scroll tabindex="0" role="region" aria-label={ "Hours of " (words::day(d.date)) } { table {
                    thead { tr { th scope="col" { "Hour" } th scope="col" { "Verdict" } th.num scope="col" { "Wind" } th.num scope="col" { "Delta T" } th.num scope="col" { "Air" } th.num scope="col" { "Humidity" } th.num scope="col" { "Fit in" } } }
                    tbody { @for h in d.hours.iter().filter(|h| !h.dark) { tr {
                        td { (h.hour) ":00" }
                        td { @match h.because { None => "fit", Some(b) => { @if h.grade == stook_weather::spray::Grade::Caution { "care: " } (b) } } }
                        td.num { (limits::wind(u, h.wind_ms)) }
                        td.num { (figure(h.delta_t_c, 1)) }
                        td.num { (words::temperature(u, h.temp_c)) }
                        td.num { (figure(h.rh_pct, 0)) " %" }
                        td.num { (figure(h.share_fit * 10.0, 0)) " of 10" }
                    } } }
                } }
            }
        }
    }
}

fn chooser(known: &Known, ask: &SprayAsk) -> Markup {
    let chosen = ask.product.as_ref().map_or("", SprayProductId::as_str);
    html! {
        form.filter method="get" action="/spray" {
            div.field { label for="product" { "By the label of" } select id="product" name="product" {
                option value="" { "no product: the shipped guidance" }
                @for p in known.farm.spray_products.values() { option value=(p.is.id) selected[p.is.id.as_str() == chosen] { (p.is.name) } }
            } }
            @if let Some(f) = &ask.field { input type="hidden" name="field" value=(f); }
            div.act { button type="submit" { "Show" } }
        }
    }
}

fn limits_said(s: &SprayAnswer) -> Markup {
    html! {
        details { summary { "The limits used" }
            ul { @for l in &s.limits { li { (capital(&l.words)) @if l.by_label { b { ", by the label" } } } } }
            p.under { "Delta T 2 to 8, wind and inversion hours: public extension guidance, each with its source in " code { "stook reference weather.spray" } ". A label's own limit goes before it, and your own number before ours." }
        }
    }
}

fn field(f: &SprayField, frame: &Frame, ask: &SprayAsk) -> Markup {
    let purpose = if f.job == Job::Fungicide { "fungicide" } else { "herbicide" };
    let product = ask.product.as_ref().map_or(String::new(), |p| format!("&product_id={p}"));
    html! {
        article.todo {
            p.place { a href={ "/field/" (f.field) } { (f.name) ", " (words::area(&frame.units, f.area_ha)) } }
            p { (capital(&f.words)) "." }
            div.act { a.btn href={ "/enter/spray_pass?field=" (f.field) "&purpose=" (purpose) (product) } { "Sprayed" span.apart { ": write down for " (f.name) } } }
        }
    }
}
