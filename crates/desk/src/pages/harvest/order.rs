//! The order of fields: where to cut, from what hour at what moisture, when to stop, and what waiting costs.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_measure::figure;
use stook_season::harvest::OrderAnswer;
use stook_season::harvest::order::{Stop, clock};
use stook_season::harvest::tonight::Tonight;
use stook_season::words;

use super::super::{Frame, Place, Reply, capital, page, send, working};
use super::{across, order_answer};
use crate::draw::waiting_line::{self, Scale};
use crate::forms::Values;
use crate::server::beside;
use crate::state::Desk;

const CAUTION: &str = "Fire: clean the engine bay daily and blow chaff off every few hours in dry going; two extinguishers, cab and ground; do not park \
hot on stubble. If it burns: out of the standing crop, engine off, call, and fight it only if that is safe.";

/// `/harvest`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let answer = order_answer(&known)?;
        let typed = asked.get("limit").map_or("", |t| t.trim());
        let mut evening = answer.tonight.clone();
        let mut wrong = None;
        if let (Some(t), false) = (&answer.tonight, typed.is_empty()) {
            match typed.replace(',', ".").parse::<f64>() {
                Ok(pct) if (10.0..=30.0).contains(&pct) => {
                    evening = stook_season::harvest::order::evening(&known.question(), &t.field, pct)?;
                }
                _ => {
                    wrong = Some(format!(
                        "\"{typed}\" is no moisture grain is cut at; give 10 to 30, such as 16.5."
                    ))
                }
            }
        }
        Ok(send(view(&Frame::of(&desk, &known), &answer, evening.as_ref(), typed, wrong.as_deref())))
    })
    .await?
}

fn view(
    frame: &Frame,
    a: &OrderAnswer,
    evening: Option<&Tonight>,
    typed: &str,
    wrong: Option<&str>,
) -> Markup {
    let scale = Scale::over(a.stops.iter().map(|s| &s.waiting));
    let body = html! {
        (across("/harvest"))
        div {
            h1.lede { (a.headline) }
            p.why { (a.why) }
        }
        @if !a.stops.is_empty() { p.caution { (CAUTION) } }
        div.cols {
            section aria-label="Order of fields" {
                @if !a.stops.is_empty() {
                    h2 { "In this order" }
                    @for (i, s) in a.stops.iter().enumerate() { (stop(frame, s, i, scale)) }
                }
            }
            section aria-label="Gain, tonight" {
                @if let Some(t) = evening { (tonight(t, typed, wrong)) }
                @if !a.gains.is_empty() {
                    h2 { "What the order gains" }
                    ul { @for g in &a.gains { li { (capital(&g.words)) "." } } }
                    p.key { "Cut from " (figure(a.start_pct, 1)) "\u{a0}% down. Both ways are played through the same weathers; 8 of 10 lie between the two figures." }
                }
                @if let Some(w) = &a.working { (working::folded(w)) }
                @if let Some(r) = &a.room {
                    h2 { "Room in the bins" }
                    p { (r.words) }
                    (working::folded(&r.working))
                    p { a href="/bins/jobs" { "A job for every bin" } }
                }
                @if !a.assumed.is_empty() { h2 { "Taken as" } ul { @for x in &a.assumed { li { (x) } } } }
                h2 { "Write it down" }
                ul.words {
                    li { a href="/enter/kernel_moisture" { "moisture" } }
                    li { a href="/enter/cut" { "cut" } }
                    li { a href="/enter/pan_test" { "loss behind the combine" } }
                }
            }
        }
    };
    page(frame, Place::Fields, "Harvest", &body)
}

fn stop(frame: &Frame, s: &Stop, i: usize, scale: Scale) -> Markup {
    let u = &frame.units;
    let w = &s.waiting;
    let span = |a: f64, b: f64| format!("{} to {}", words::cash(u, a), words::cash(u, b));
    let said = if !(w.is_clear() && w.mean.abs() >= 1.0) {
        format!("makes no clear difference ({})", span(w.range.p10, w.range.p90))
    } else if w.mean > 0.0 {
        format!("costs about {} ({})", words::cash(u, w.mean), span(w.range.p10, w.range.p90))
    } else {
        format!("saves about {} ({})", words::cash(u, -w.mean), span(-w.range.p90, -w.range.p10))
    };
    html! {
        article.todo {
            h3 { (i + 1) ". " a href={ "/field/" (s.field) } { (s.name) } }
            p.why {
                (figure(s.moisture.p50, 1)) "\u{a0}% this afternoon"
                @if s.moisture.p90 - s.moisture.p10 >= 0.2 { " (" (figure(s.moisture.p10, 1)) " to " (figure(s.moisture.p90, 1)) ")" }
                ", " (words::area(u, s.left_ha)) ", " (figure(s.hours, 0)) " h"
                @if s.move_h > 0.05 { ", " (figure(60.0 * s.move_h, 0)) " min to move in" }
                @if s.fit_today.p50 > 0.5 { ", fit " (figure(s.fit_today.p50, 0)) " h today" } @else { ", not fit today" }
                "."
                @if let Some(e) = s.expected { " Off about " (words::day_from(frame.day(), e.middle)) "." }
                @if s.drying_per_t >= 0.05 { " Drying takes " (u.money) (figure(s.drying_per_t, 2)) " a tonne." }
            }
            @if w.range.p90 - w.range.p10 >= 1.0 || w.mean.abs() >= 1.0 { (waiting_line::draw(w, scale, &said)) }
            p.waiting { "Left one fit day, it " span.money { (said) } "." @if !s.parts.is_empty() { " Of that " (s.parts) "." } }
        }
    }
}

fn tonight(t: &Tonight, typed: &str, wrong: Option<&str>) -> Markup {
    html! {
        h2 { "Keep going tonight?" }
        p.big { b { @match t.stop { Some(r) => { "Stop about " (clock(r.p50)) } None => { "Grain lets you go on" } } } " in " (t.name) }
        p.why { (t.words) }
        form.filter method="get" action="/harvest" {
            div.field {
                label for="limit" { "Moisture not to pass" }
                @if let Some(w) = wrong { p.wrong id="limit-wrong" { (w) } }
                div.with-unit {
                    input id="limit" name="limit" inputmode="decimal" autocomplete="off" value=(if typed.is_empty() { figure(t.limit_pct, 1) } else { typed.to_string() }) aria-invalid=[wrong.map(|_| "true")] aria-describedby=[wrong.map(|_| "limit-wrong")];
                    span.unit { "%" }
                }
            }
            div.act { button type="submit" { "Reckon" } }
        }
        @if let Some(h) = t.opens { p { "In the morning straw is dry enough from about " (clock(h)) "." } }
        p.caution { "Tired is dangerous: lights, a second pair of hands at the truck, nobody alone at an auger. Stop and clean when chaff smokes." }
        (working::folded(&t.working))
    }
}
