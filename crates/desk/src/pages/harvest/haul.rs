//! Hauling: who waits for whom, and what one more of each would buy.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_measure::figure;
use stook_season::harvest::HaulAnswer;
use stook_season::harvest::haul::HaulField;

use super::super::{Frame, Place, Reply, capital, page, send, working};
use super::across;
use crate::draw::chain;
use crate::forms::Values;
use crate::server::beside;
use crate::state::Desk;

const CAUTION: &str = "Augers and power lines: 10 ft clear in every direction, auger lowered before it is moved even a few feet. Nobody \
on a cart floor or in a bin while grain flows. Brakes and lights for dusk on the road.";

/// `/harvest/haul?field=`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let field = asked.get("field").map(String::as_str).filter(|f| !f.is_empty());
        let answer = stook_season::harvest::haul(&known.question(), field)?;
        Ok(send(view(&Frame::of(&desk, &known), &answer)))
    })
    .await?
}

fn view(frame: &Frame, a: &HaulAnswer) -> Markup {
    let chosen = a.field.as_ref().map_or("", |f| f.field.as_str());
    let body = html! {
        (across("/harvest/haul"))
        div {
            h1.lede { (a.headline) }
            p.why { (a.why) }
        }
        @if a.fields.len() > 1 {
            form.filter method="get" action="/harvest/haul" {
                div.field {
                    label for="field" { "From the field" }
                    select id="field" name="field" {
                        @for (id, name) in &a.fields { option value=(id) selected[id == chosen] { (name) } }
                    }
                }
                div.act { button type="submit" { "Play it" } }
            }
        }
        @if let Some(f) = &a.field { (field(f)) }
        @if !a.assumed.is_empty() {
            section {
                h2 { "Taken as" }
                ul { @for x in &a.assumed { li { (x) } } }
            }
        }
        p { a href="/enter/machine" { "Add a truck, cart, auger or drier" } " · " a href="/setup" { "Change one in set-up" } }
        p.caution { (CAUTION) }
    };
    page(frame, Place::Fields, "Hauling", &body)
}

fn field(f: &HaulField) -> Markup {
    let pct = |x: f64| format!("{} %", figure(100.0 * x, 0));
    let m = &f.summary;
    html! {
        div.cols {
            section aria-label="Who waits" {
                h2 { "Who waits" }
                (chain::draw(f))
                p.key { "Dark is at work, hatched is waiting, the rest is free time. " (figure(m.cut_t_h.half / m.cut_t_h.mean * 100.0, 1)) "\u{a0}% either way on the rate, over " (m.days) " days played." }
                div.ruled { dl {
                    div { dt { "Off the field" } dd { (figure(f.bu_h, 0)) " bu an hour" } }
                    div { dt { "Combine waiting with a full tank" } dd { (pct(m.combine_waits.mean)) } }
                    div { dt { "Combine stopped to unload" } dd { (pct(m.combine_unloads.mean)) } }
                    div { dt { "A load waits in line at the auger" } dd { (figure(m.load_wait_min.mean, 0)) " min" } }
                    div { dt { "Trucks by plain arithmetic, no waiting" } dd { (figure(f.trucks_plain, 0)) } }
                } }
                h2 { "Where to stand" }
                p { "The tank is full every " (figure(f.tank_min, 0)) " minutes, or " (figure(f.tank_feet, 0)) " feet of driving: have the cart there before it." }
                (working::folded(&f.working))
            }
            section aria-label="What a change buys" {
                h2 { "What a change buys" }
                ul.plain.changes {
                    @for b in &f.changes { li { p { b { (b.what) } ": " (capital(&b.words)) "." } } }
                }
                p.key { "Each is played on the same days. A price that pays counts twelve years, interest after inflation, housing and insurance, and what an hour of the combine is worth today; another year has other rain." }
            }
        }
    }
}
