//! All fans of tonight, and the walk round the bins.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::State;
use maud::{Markup, html};
use stook_keep::BinAir;
use stook_measure::figure;
use stook_season::words;

use super::jobs::{Jobs, Said};
use super::{again_soon, caution, so_far, temp};
use crate::pages::{Frame, Place, Reply, page, send};
use crate::server::beside;
use crate::state::Desk;

const PATIENCE: Duration = Duration::from_millis(900);

/// `/bins/air`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let said = Jobs::of(&desk, &known, None).look(PATIENCE);
        let shown = send(view(&frame, &said));
        Ok(if said.done { shown } else { again_soon(shown) })
    })
    .await?
}

fn view(frame: &Frame, said: &Said) -> Markup {
    let mut bins: Vec<&BinAir> = said.bins.iter().map(AsRef::as_ref).collect();
    bins.sort_by(|a, b| money(b).total_cmp(&money(a)).then_with(|| days(a).total_cmp(&days(b))));
    let body = html! {
        h1.lede { @if said.done { (headline(&bins)) } @else { "Fans tonight: still being reckoned." } }
        @if let Some(why) = &said.trouble { p.wrong-all { (why) } }
        @if !said.done { (so_far("Reckoned so far, steps:", said.steps.0, said.steps.1)) }
        @if bins.is_empty() && said.silent.is_empty() && said.done { p { "No bin has grain in the book. Write down a load into one." } }
        section aria-label="Fans tonight" {
            @for a in &bins {
                div.todo {
                    h2 { a href={ "/bins/" (a.bin) "/air" } { (a.what) } }
                    @for x in &a.alarms { p.blocked { (x.sign) " " (x.act) } }
                    @if let Some(w) = a.why.first() { p.why { (w) } }
                    p.quiet {
                        (a.holds) ". "
                        @if let Some(h) = a.fan.front_h { "A cooling front takes " (figure(h, 0)) " h of its fan. " }
                        @if let Some(w) = &a.waiting { "Waiting a day " (w.words) "." }
                    }
                }
            }
            @for s in &said.silent { div.todo { h2 { a href={ "/bins/" (s.bin) "/air" } { (s.name) } } p { (s.why) } } }
        }
        (walk(frame, &bins))
        (caution())
        p.quiet { (said.weather) }
    };
    page(frame, Place::Bins, "Fans tonight", &body)
}

fn money(a: &BinAir) -> f64 {
    a.waiting.as_ref().map_or(0.0, |w| w.money.mean)
}

fn days(a: &BinAir) -> f64 {
    a.life.as_ref().map_or(f64::INFINITY, |l| l.days[1])
}

/// Which fans run, in one sentence.
fn headline(bins: &[&BinAir]) -> String {
    let on: Vec<&str> = bins.iter().filter(|a| !a.on.is_empty()).map(|a| a.name.as_str()).collect();
    if let Some(a) = bins.iter().find(|a| a.alarms.iter().any(|x| x.urgent)) {
        return a.what.clone();
    }
    match on.as_slice() {
        [] if bins.is_empty() => "Fans tonight".into(),
        [] => "All fans off tonight.".into(),
        [one] => format!("Tonight only the fan of {one} runs."),
        [rest @ .., last] => format!("Fans of {} and {last} run tonight.", rest.join(", ")),
    }
}

/// The walk: which bin to read next, and what is known of it.
fn walk(frame: &Frame, bins: &[&BinAir]) -> Markup {
    let u = &frame.units;
    let mut by_due: Vec<&&BinAir> = bins.iter().collect();
    by_due.sort_by_key(|a| a.readings.due);
    html! {
        section {
            h2 { "Walk the bins" }
            p.hint { "Temperature top, middle and bottom, the smell of the first air, carbon dioxide where there is a meter, snow in the eaves. From outside." }
            div.scroll tabindex="0" role="region" aria-label="Readings due" { table {
                thead { tr { th scope="col" { "Bin" } th scope="col" { "Read again by" } th.num scope="col" { "Warmest now" } th.num scope="col" { "Wettest" } th.num scope="col" { "Days left" } th scope="col" { "Verdict" } } }
                tbody { @for a in by_due {
                    @let warm = a.layers.iter().map(|l| l.t_c).fold(f64::NEG_INFINITY, f64::max);
                    @let wet = a.layers.iter().map(|l| l.m_pct).fold(0.0, f64::max);
                    tr {
                        td { a href={ "/enter/bin_reading?bin=" (a.bin) } { (a.name) } }
                        td { @if let Some(d) = a.readings.due { (words::day_from(frame.day(), d)) @if a.readings.overdue { b { ", due" } } } }
                        td.num { (temp(u, warm)) }
                        td.num { (figure(wet, 1)) " %" }
                        td.num { @match &a.life { Some(l) if l.at_least => { (figure(l.days[1], 0)) "+" }, Some(l) => { (figure(l.days[1], 0)) }, None => { "not known" } } }
                        td { @if a.done == a.of { (verdict(a)) } @else { "being reckoned" } }
                    }
                } }
            } }
        }
    }
}

/// Fine, cool it, dry it, or move it out.
fn verdict(a: &BinAir) -> &'static str {
    if a.alarms.iter().any(|x| x.urgent) {
        "look now"
    } else if !a.next.is_empty() {
        "dry it or move it out"
    } else if !a.on.is_empty() {
        "cool it"
    } else {
        "fine"
    }
}
