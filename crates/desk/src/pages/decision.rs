//! One decision: what to do, why, what a day's wait costs, what would change it, and the place to answer it.

use jiff::civil::DateTime;
use maud::{Markup, html};
use stook_book::payload::Operation;
use stook_season::answer::{Decision, Job};
use uuid::Uuid;

use super::working;
use crate::draw::waiting_line::{self, Scale};

/// The decision. `level` is 1 when it is the answer of the page, else 2.
pub fn draw(d: &Decision, scale: Scale, now: DateTime, level: u8) -> Markup {
    let field = format!("/field/{}", d.field);
    html! {
        article.todo id=(d.key.replace('/', "-")) {
            p.place { a href=(field) { (d.place) } }
            @if level == 1 { h1.lede { (unbroken(&d.what)) } } @else { h2 { (unbroken(&d.what)) } }
            @if let Some(b) = &d.blocked { p.blocked { (b) } }
            p.why { (d.why) }
            @if let Some(w) = &d.waiting {
                @if w.money.range.p90 - w.money.range.p10 >= 1.0 || w.money.mean.abs() >= 1.0 {
                    (waiting_line::draw(&w.money, scale, &w.words))
                }
                p.waiting { "Waiting a day " span.money { (w.words) } "." }
            }
            @if let Some(m) = &d.moved { p.change { b { "Since yesterday: " } (m) } }
            @if !d.change.is_empty() { p.change { b { "What would change it: " } (d.change) } }
            @if let Some(c) = &d.caution { p.caution { (c) } }
            @if let Some(a) = &d.answered { p.note { "You answered today: " (a) "." } }
            @if d.blocked.is_none() { (answer(d, now)) }
            @if matches!(d.job, Job::Herbicide | Job::Fungicide) {
                p.see { a href={ "/spray?field=" (d.field) } { "Hours fit to spray" span.apart { ", for " (d.place.split(',').next().unwrap_or("")) } } }
            }
            @if let Some(s) = &d.spray { (working::named(&s.working)) }
            @if let Some(w) = &d.waiting { (working::folded(&w.working)) }
        }
    }
}

/// A figure and its percent sign stay on one line.
pub fn unbroken(text: &str) -> String {
    text.replace(" %", "\u{a0}%")
}

/// GO, NO and "no, because".
fn answer(d: &Decision, now: DateTime) -> Markup {
    let (operation, done, word) = match d.job {
        Job::Harrow => (Operation::Harrow, "harrowed", "Harrowed"),
        Job::Seed => (Operation::Seed, "seeding", "Seeded"),
        Job::Herbicide | Job::Fungicide => (Operation::Spray, "spray_pass", "Sprayed"),
        Job::Cut => (Operation::Cut, "cut", "Cut"),
    };
    let purpose = match d.job {
        Job::Herbicide => "&purpose=herbicide",
        Job::Fungicide => "&purpose=fungicide",
        _ => "",
    };
    let name = d.place.split(',').next().unwrap_or("");
    let gate = |go: bool, label: &str, class: &str| {
        html! {
            form method="post" action="/enter/go_no_go" {
                (hidden(now))
                input type="hidden" name="field" value=(d.field);
                input type="hidden" name="operation" value=(operation.key());
                input type="hidden" name="go" value=(go);
                button class=(class) type="submit" aria-label={ (label) ": " (name) (if go { " is fit for " } else { " is not fit for " }) (operation.words()) } { (label) }
            }
        }
    };
    html! {
        div.act.glove {
            (gate(true, "GO", "yes"))
            (gate(false, "NO", ""))
            a.btn href={ "/enter/" (done) "?field=" (d.field) (purpose) } aria-label={ (word) ": write down for " (name) } { (word) }
        }
        details.because {
            summary { "No, because" span.apart { " of something Stook does not know about " (name) } }
            form method="post" action="/enter/decision_answer" {
                (hidden(now))
                input type="hidden" name="decision" value=(d.key);
                input type="hidden" name="answer" value="no";
                input type="hidden" name="field" value=(d.field);
                label for={ "why-" (d.field) } { "Why not?" }
                p.hint { "It is kept and shown here; it does not change the reckoning." }
                input id={ "why-" (d.field) } name="reason" required;
                div.act { button type="submit" { "Keep it" } }
            }
        }
    }
}

/// What every form to write carries: an id of its own, so that a second sending is harmless, and its moment.
pub fn hidden(now: DateTime) -> Markup {
    html! {
        input type="hidden" name="id" value=(Uuid::now_v7());
        input type="hidden" name="on" value=(now.date());
        input type="hidden" name="at" value=(now.strftime("%H:%M"));
    }
}
