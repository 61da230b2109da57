//! The combine: loss by source with what to change, and the speed that pays.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_measure::{figure, units};
use stook_season::harvest::CombineAnswer;
use stook_season::harvest::combine::{SpeedAnswer, Tested, place_words};
use stook_season::words;

use super::super::{Frame, Place, Reply, capital, page, send, working};
use super::{across, combine_answer};
use crate::draw::loss;
use crate::server::beside;
use crate::state::Desk;

const CAUTION: &str = "Nobody behind a running combine: drop the pan from the machine, chopper and spreader off. Shut down and pocket \
the key before clearing the header.";

/// `/harvest/combine`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let answer = combine_answer(&known)?;
        Ok(send(view(&Frame::of(&desk, &known), &answer)))
    })
    .await?
}

fn view(frame: &Frame, a: &CombineAnswer) -> Markup {
    let body = html! {
        (across("/harvest/combine"))
        div {
            h1.lede { (a.headline) }
            p.why { (a.why) }
        }
        p.caution { (CAUTION) }
        div.act.glove { a.btn.yes href="/enter/pan_test" { "Write a loss down" } }
        div.cols {
            section aria-label="Loss by source" {
                h2 { "Loss by source" }
                @if a.tests.is_empty() { p { "Nothing is in the book this year." } }
                @else { p.key { "What you aim at: " (figure(a.target_pct, 1)) " % through the machine. More than half of the loss is usually shatter and header." } }
                @for t in &a.tests { (test(frame, t)) }
            }
            section aria-label="Speed and settings" {
                @if let Some(s) = &a.speed { (speed(frame, s)) }
                @else { h2 { "The speed that pays" } p { "Write the ground speed with the loss, and the curve is drawn; a second test at another speed makes it your own." } p { (a.hour.words) } }
                (table(a))
            }
        }
    };
    page(frame, Place::Fields, "The combine", &body)
}

fn test(frame: &Frame, t: &Tested) -> Markup {
    let u = &frame.units;
    let per_acre = t.money_ha * units::HA_PER_ACRE;
    html! {
        article.todo {
            p.place { a href={ "/field/" (t.field) } { (t.name) } ", " (words::day(t.date)) @if let Some(v) = t.speed_kmh { ", " (words::speed(u, v)) } }
            h3 { (figure(t.total_bu_ac, 1)) " bu/ac lost, " (figure(t.total_pct, 1)) "\u{a0}% of the crop, " (words::cash(u, per_acre)) " an acre" }
            (loss::bars(&t.by_source))
            p.why { "Most of it " (place_words(t.worst)) ". " b { "Change: " } (t.change.join("; then ")) "." }
            @if t.money_left >= 1.0 { p.change { "Over what still stands of the field: " (words::cash(u, t.money_left)) "." } }
            @if !t.yield_is_own { p.change { "The yield there was not written: the outlook of " (words::wheat_yield(u, t.yield_kg_ha).round()) " " (u.grain_yield.words()) " stands in." } }
            (working::folded(&t.working))
            p { a href={ "/enter/pan_test?replaces=" (t.entry) } { "Correct this test" } }
        }
    }
}

fn speed(frame: &Frame, s: &SpeedAnswer) -> Markup {
    let u = &frame.units;
    html! {
        h2 { "The speed that pays in " (s.name) }
        p.big { b { (words::speed(u, s.best.speed_kmh)) } ", losing " (figure(s.best.loss_pct, 1)) "\u{a0}% through the machine" }
        (loss::speed_curve(u, s))
        p.key {
            "Solid: grain lost over the back and time together, an acre. Broken: the grain alone. "
            @if s.exponent_is_own { "The curve goes through your own " (s.tests) " tests." } @else { "One test: the steepness is ours until you write a second at another speed." }
        }
        (working::folded(&s.working))
    }
}

fn table(a: &CombineAnswer) -> Markup {
    html! {
        h2 { "What you see, what to change" }
        p { (stook_harvest::adjust::ORDER_OF_WORK) }
        dl.answers.stacked {
            @for r in &a.table {
                div { dt { b { (capital(&r.seen)) } ": " (r.likely) } dd { (r.change.join("; ")) } }
            }
        }
        p.key { "From old extension bulletins and notes (Cornell 591, Wisconsin L036, Iowa State): a band to be sane in, not settings." }
    }
}
