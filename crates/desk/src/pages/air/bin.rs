//! A bin's evening: what its fan should do tonight and why, what else can be done, and how it may go.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, State};
use maud::{Markup, html};
use stook_book::BinId;
use stook_book::payload::UnitChoice;
use stook_keep::BinAir;
use stook_keep::answer::PlanSays;
use stook_measure::figure;
use stook_season::words;

use super::jobs::{Jobs, Said};
use super::{again_soon, caution, others, record, so_far, temp};
use crate::draw::film;
use crate::draw::layers;
use crate::draw::waiting_line::{self, Scale};
use crate::pages::{Frame, Place, Reply, capital, decision, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// Waits so long before a page with part of the answer is shown.
const PATIENCE: Duration = Duration::from_millis(600);

/// `/bins/{id}/air`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<String>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let record = record(&known, &id)?;
        let said = Jobs::of(&desk, &known, Some(&BinId(id.clone()))).look(PATIENCE);
        let shown = send(view(&frame, &record.bin().name, &id, &said));
        Ok(if said.done { shown } else { again_soon(shown) })
    })
    .await?
}

fn view(frame: &Frame, name: &str, id: &str, said: &Said) -> Markup {
    let body = match (said.bins.first(), &said.trouble) {
        (_, Some(why)) => html! { h1 { (name) } p.wrong-all { (why) } (caution()) },
        (None, None) if !said.done => {
            html! { h1 { (name) } p role="status" { "Reckoning: the page shows what is known in a moment." } (caution()) }
        }
        (None, None) => nothing(name, id, said),
        (Some(a), None) => answer(frame, a),
    };
    page(frame, Place::Bins, &format!("{name}, air"), &body)
}

fn nothing(name: &str, id: &str, said: &Said) -> Markup {
    html! {
        @match said.silent.first() {
            Some(s) => { h1 { (name) ": nothing can be reckoned." } p { (s.why) } }
            None => { h1 { (name) " is empty." } p { "Write down a load into it, and its air is reckoned." } }
        }
        (others(id, "air"))
        (caution())
    }
}

fn answer(frame: &Frame, a: &BinAir) -> Markup {
    let u = &frame.units;
    html! {
        h1.lede { (decision::unbroken(&a.what)) @if a.done < a.of && !a.plans.is_empty() { " So far." } }
        @for x in &a.alarms { div.blocked role="alert" { p { (x.sign) } p { (x.act) } } }
        div.todo {
            @for w in &a.why { p.why { (decision::unbroken(w)) } }
            @if let Some(w) = &a.waiting {
                (waiting_line::draw(&w.money, Scale::over(std::iter::once(&w.money)), &w.words))
                p { "Waiting a day " span.money { (w.words) } "." }
                (working::folded(&w.working))
            }
            p.change { (a.change) }
            (fan_buttons(frame, a))
        }
        @if a.done < a.of { (so_far(&format!("Ways tried so far, each over {} weathers:", a.weathers), a.done, a.of)) }
        @if !a.next.is_empty() {
            section {
                h2 { "Besides the fan" }
                @for (i, n) in a.next.iter().enumerate() { @if i == 0 { p { (n) } } }
                ul { @for n in a.next.iter().skip(1) { li { (n) } } }
                p.caution { "Most drier fires start in plugged grain and trash: clean it, watch it, and know how to shut off fuel and power before anyone needs to. Burner fumes kill in closed places." }
            }
        }
        (caution())
        div.cols {
            section aria-label="How it may go" {
                h2 { "Layer by layer" }
                (film::draw(a, u))
                (layers::frames(a, u))
                (layers::table(a, u))
            }
            section aria-label="Ways to run the fan" {
                (plans(frame, a))
                (hours(u, a))
                h2 { "Readings" }
                p { (a.readings.words) @if let Some(d) = a.readings.due { " Read again by " (words::day(d)) "." } }
                @if a.readings.overdue { p.note { "It is time to read it: temperature, smell, carbon dioxide where there is a meter. From outside." } }
                p.act { a.btn href={ "/enter/bin_reading?bin=" (a.bin) } { "Write a reading" } }
                (basis(a))
            }
        }
        (others(&a.bin, "air"))
    }
}

/// On or off, by one touch, when it is done.
fn fan_buttons(frame: &Frame, a: &BinAir) -> Markup {
    let button = |on: bool| {
        let word = if on { "Fan is ON" } else { "Fan is OFF" };
        html! {
            form method="post" action="/enter/fan_run" {
                (decision::hidden(frame.now))
                input type="hidden" name="bin" value=(a.bin);
                input type="hidden" name="who" value="me";
                input type="hidden" name="on_off" value=(on);
                button.yes[on != a.fan.on_now] type="submit" { (word) }
            }
        }
    };
    html! {
        @if a.fan.push.is_some() {
            p.quiet { "In the book the fan is " b { @if a.fan.on_now { "on" } @else { "off" } } ". Touch when you have switched it:" }
            div.act.glove { (button(true)) (button(false)) }
        }
        p.quiet { (a.fan.words) }
        @for o in &a.fan.objections { p.note { (capital(o)) "." } }
    }
}

fn plans(frame: &Frame, a: &BinAir) -> Markup {
    let u = &frame.units;
    html! {
        h2 { "Ways to run it" }
        @if a.plans.is_empty() { p { "None tried yet." } }
        @else {
            div.scroll tabindex="0" role="region" aria-label="Ways to run the fan" { table {
                caption { "Each over the same " (a.weathers) " weathers" }
                thead { tr { th scope="col" { "Way" } th.num scope="col" { "Costs" } th.num scope="col" { "Fan h" } th.num scope="col" { "Dry in time" } th.num scope="col" { "All below " (temp(u, a.plans[0].cool_to_c)) } th.num scope="col" { "Top after" } } }
                tbody { @for p in &a.plans { (plan_row(u, p)) } }
            } }
            p.key { "Costs: chance of spoiling times what it takes off, weight sold too dry or drying still to pay, and power, over the days looked ahead. In brackets 8 of 10 weathers." }
        }
    }
}

fn plan_row(u: &UnitChoice, p: &PlanSays) -> Markup {
    html! {
        tr {
            td { @if p.chosen { b { (capital(&p.words)) } " (tonight's)" } @else { (capital(&p.words)) } }
            td.num { (words::cash(u, p.mean)) span.quiet { " (" (words::cash(u, p.cost.p10)) " to " (words::cash(u, p.cost.p90)) ")" } }
            td.num { (figure(p.fan_h.p50, 0)) }
            td.num { @if p.dry_days.is_some() { (figure(100.0 * p.in_time, 0)) " %" } @else { "dry" } }
            td.num { @match p.cool_days { Some(d) if p.cool_share > 0.5 => { (figure(d.p50.ceil(), 0)) " days" }, _ => { "not in sight" } } }
            td.num { (figure(p.top_pct.p50, 1)) " %" br; (temp(u, p.warmest_c.p50)) }
        }
    }
}

fn hours(u: &UnitChoice, a: &BinAir) -> Markup {
    if a.hours.is_empty() {
        return html! {};
    }
    html! {
        details {
            summary { "Tonight hour by hour" }
            div.scroll tabindex="0" role="region" aria-label="Tonight hour by hour" { table {
                thead { tr { th scope="col" { "Hour" } th.num scope="col" { "Outdoors" } th.num scope="col" { "Past the fan" } th.num scope="col" { "Makes" } th scope="col" { "Fan" } } }
                tbody { @for h in &a.hours {
                    tr {
                        td { (h.at.hour()) ":00" }
                        td.num { (temp(u, h.t_c)) ", " (figure(h.rh_pct, 0)) " %" }
                        td.num { (temp(u, h.fan_t_c)) ", " (figure(h.fan_rh_pct, 0)) " %" }
                        td.num { (figure(h.emc_pct, 1)) " %" }
                        td { @if h.on_share >= 0.5 { b { "on" } } @else { "off" } }
                    }
                } }
            } }
            p.key { "The mean of the weathers. Makes: the moisture that air would bring the grain to in time." }
        }
    }
}

/// What it rests on.
fn basis(a: &BinAir) -> Markup {
    html! {
        @if !a.faults.is_empty() { h3 { "Look at" } ul { @for f in &a.faults { li { (f) } } } }
        @if !a.assumed.is_empty() { h3 { "Taken as" } ul { @for f in &a.assumed { li { (f) } } } }
        @for w in &a.workings { details.working { summary { "How reckoned: " (w.title) } (working::open(w)) } }
        p.quiet { "Layers and days are good to about 15 in 100; storage life below a month to a factor of two. Grain that heats by its own spoiling is not reckoned: read it." }
    }
}
