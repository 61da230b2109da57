//! `/bins/ticket`: a buyer's ticket worked line by line, with the error in it, and what the grade costs.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_book::Fact;
use stook_book::payload::{LoadTo, Settlement};
use stook_book::validate::Problem;
use stook_grain::settle::LineKey;
use stook_measure::figure;
use stook_yard::ticket::{self, Checked};
use uuid::Uuid;

use super::super::enter::{self, Refused};
use super::super::{Frame, Place, Reply, Trouble, bin_name, form_view, long_day, page, send, working};
use super::{terms, words};
use crate::forms::{self, Form, Values};
use crate::server::beside;
use crate::state::{Desk, Known};

fn form() -> Result<&'static Form, Trouble> {
    forms::find("settlement").ok_or_else(|| Trouble::missing("There is no form for tickets."))
}

/// `/bins/ticket`: the form, and the tickets kept.
pub async fn list(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let form = form()?;
        let mut values = enter::known_values(form, &known, &frame);
        for i in form.inputs.iter().filter(|i| i.first.is_empty()) {
            values.remove(i.key);
        }
        if let Some(last) = known.farm.settlements.last() {
            values.insert("buyer".into(), last.is.buyer.clone());
        }
        let ticket = asked.get("ticket").map_or("", |t| t.trim());
        if let Some(l) = known
            .farm
            .loads
            .iter()
            .rev()
            .find(|l| l.is.ticket.as_deref() == Some(ticket) && !ticket.is_empty())
        {
            values.insert("ticket".into(), ticket.into());
            values.insert("on".into(), l.on().to_string());
            values.insert("at".into(), l.happened.strftime("%H:%M").to_string());
            if let LoadTo::Buyer(who) = &l.is.to {
                values.insert("buyer".into(), who.clone());
            }
            if let Some(m) = known.yard().loads.iter().find(|m| m.entry == l.first)
                && let Some(crop) = &m.crop
            {
                values.insert("crop".into(), crop.key().into());
            }
        }
        values.extend(
            asked
                .iter()
                .filter(|(k, _)| form.inputs.iter().any(|i| i.key == *k))
                .map(|(k, v)| (k.clone(), v.clone())),
        );
        Ok(send(page(&frame, Place::Bins, "Buyer's ticket", &new_view(form, &known, &frame, &values, &[]))))
    })
    .await?
}

fn new_view(form: &Form, known: &Known, frame: &Frame, values: &Values, problems: &[Problem]) -> Markup {
    let get = |key: &str| values.get(key).map_or("", String::as_str);
    let a = form_view::Around { farm: &known.farm, units: &frame.units, values, problems };
    let open: Vec<_> = untold(known);
    html! {
        h1 { "Check a buyer's ticket" }
        p { "Copy the ticket. Stook works it line by line and says where it does not follow." }
        @if !open.is_empty() && get("ticket").is_empty() {
            section { h2 { "Sold, no ticket checked yet" }
                ul.plain { @for (ticket, line) in open.iter().take(6) { li { a href={ "/bins/ticket?ticket=" (ticket) } { (line) } } } }
            }
        }
        form.entry.two method="post" action="/bins/ticket" {
            @if !problems.is_empty() { p.wrong-all role="alert" { "Nothing is written yet: mend what is marked below." } }
            (form_view::elsewhere(form, a))
            input type="hidden" name="id" value=(get("id"));
            @if !get("replaces").is_empty() { input type="hidden" name="replaces" value=(get("replaces")); }
            (form_view::inputs(form, a))
            (form_view::when_and_who(values, problems, "Delivered on: change"))
            div.act { button.yes type="submit" { "Check it" } a.btn href="/bins" { "Leave it" } }
        }
        (kept(known, frame))
    }
}

/// Loads sold whose ticket was not entered, the latest first.
fn untold(known: &Known) -> Vec<(String, String)> {
    let told: Vec<&str> = known.farm.settlements.iter().filter_map(|s| s.is.ticket.as_deref()).collect();
    known
        .farm
        .loads
        .iter()
        .rev()
        .filter_map(|l| match (&l.is.to, &l.is.ticket) {
            (LoadTo::Buyer(who), Some(t)) if !told.contains(&t.as_str()) => {
                let kg = l.is.mass_kg.map(words::tonnes).unwrap_or_default();
                Some((t.clone(), format!("{} to {who}, ticket {t}, {kg}", long_day(l.on()))))
            }
            _ => None,
        })
        .collect()
}

fn kept(known: &Known, frame: &Frame) -> Markup {
    let yard = known.yard();
    let all: Vec<(&Fact<Settlement>, Checked)> = known
        .farm
        .settlements
        .iter()
        .rev()
        .map(|s| (s, ticket::check(&known.farm, &yard, &known.reference(), s)))
        .collect();
    html! {
        @if !all.is_empty() {
            section { h2 { "Tickets checked" }
                div.scroll tabindex="0" role="group" aria-label="Tickets checked" { table {
                    thead { tr { th { "Day" } th { "Buyer" } th { "Ticket" } th.num { "Paid" } th { "Finding" } } }
                    tbody { @for (s, c) in &all { tr {
                        td { (long_day(s.on())) }
                        td { (s.is.buyer) }
                        td { a href={ "/bins/ticket/" (s.first) } { (s.is.ticket.as_deref().unwrap_or("no number")) } }
                        td.num { (s.is.theirs.payable.map_or_else(String::new, |p| cash(frame, p))) }
                        td { (finding(frame, c)) }
                    } } }
                } }
            }
        }
    }
}

/// Money to the cent.
pub(super) fn cash(frame: &Frame, x: f64) -> String {
    let sign = if x < 0.0 { "-" } else { "" };
    format!("{sign}{}{}", frame.units.money, figure(x.abs(), 2))
}

/// The answer in a sentence.
fn finding(frame: &Frame, c: &Checked) -> String {
    let fault = c.lines.iter().filter_map(|l| l.disagrees.as_ref()).find(|d| d.at_fault);
    let short = c.short.filter(|s| s.abs() > 0.6);
    match (fault, short) {
        (Some(d), Some(s)) if s > 0.0 => {
            format!("Underpaid by {}: the {} is wrong.", cash(frame, s), d.line.words())
        }
        (Some(d), Some(s)) => format!("Overpaid by {}: the {} is wrong.", cash(frame, -s), d.line.words()),
        (Some(d), None) => format!("The {} is wrong.", d.line.words()),
        (None, Some(s)) if s > 0.0 => format!("Paid {} less than the ticket comes to.", cash(frame, s)),
        (None, Some(s)) => format!("Paid {} more than the ticket comes to.", cash(frame, -s)),
        (None, None) if c.lines.iter().any(|l| l.theirs.is_some()) => "It adds up.".into(),
        (None, None) => {
            format!("It comes to {}.", c.lines.last().map_or_else(String::new, |l| cash(frame, l.ours)))
        }
    }
}

/// `/bins/ticket/{id}`
pub async fn one(State(desk): State<Arc<Desk>>, Path(id): Path<Uuid>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let Some(s) = known.farm.settlements.iter().find(|s| s.first == id || s.entry == id) else {
            return Err(Trouble::missing(
                "There is no such ticket in the book; it may have been taken back.",
            ));
        };
        let c = ticket::check(&known.farm, &known.yard(), &known.reference(), s);
        Ok(send(page(&frame, Place::Bins, "Buyer's ticket", &one_view(&known, &frame, s, &c))))
    })
    .await?
}

fn one_view(known: &Known, frame: &Frame, s: &Fact<Settlement>, c: &Checked) -> Markup {
    let x = &s.is;
    html! {
        div {
            h1 { "Ticket " (x.ticket.as_deref().unwrap_or("without a number")) }
            p { (x.buyer) ", " (long_day(s.on())) ", " (x.crop.words()) @if let Some(g) = &x.grade { ", " (g) } }
        }
        p.lede { (finding(frame, c)) }
        @if let Some(d) = c.lines.iter().filter_map(|l| l.disagrees.as_ref()).find(|d| d.at_fault) {
            p.note { "The " (d.line.words()) " does not follow from the lines above it: they have " (shown(frame, d.line, d.theirs)) ", it should be " (shown(frame, d.line, d.from_above)) "."
                @if let Some(l) = d.likely { " It seems that " (l) "." }
            }
        }
        section { h2 { "Line by line" }
            div.scroll tabindex="0" role="group" aria-label="Line by line" { table {
                thead { tr { th { "Line" } th.num { "By the ticket's own terms" } th.num { "Theirs" } th { "" } } }
                tbody { @for l in &c.lines { tr.ticket-sum[l.line == LineKey::Payable] {
                    td { (super::super::capital(l.line.words())) }
                    td.num { (shown(frame, l.line, l.ours)) }
                    td.num { @match l.theirs { Some(t) => { (shown(frame, l.line, t)) } None => { span.quiet { "not printed" } } } }
                    td { @match &l.disagrees {
                        Some(d) if d.at_fault => { b { "wrong" } }
                        Some(_) => { span.quiet { "carries it" } }
                        None if l.theirs.is_some() => { "agrees" }
                        None => {}
                    } }
                } } }
            } }
        }
        (grain(known, frame, x, c))
        (terms::section(frame, c))
        section { h2 { "If you dispute it" }
            p { "The sample is to be kept until " (long_day(c.sample_kept_until)) " at the least; another look at the grade can be asked until " b { (long_day(c.dispute_until)) } "." }
            p.under { "Canada Grain Regulations, s. 34 to 36: a sample of at least 1 kg held for 7 days unless settled sooner; a 1 kg sample may go for a binding federal grade and dockage; another examination within 15 days. Elsewhere the law and the contract differ." }
        }
        details.working { summary { "How the statement was reckoned" } (working::open(&c.working)) }
        div.act {
            a.btn href={ "/enter/settlement?replaces=" (s.entry) } { "Correct the ticket" }
            a.btn href={ "/take-back/" (s.entry) } { "Take it back" }
            a.btn href="/bins/ticket" { "Another ticket" }
        }
    }
}

fn shown(frame: &Frame, line: LineKey, x: f64) -> String {
    match line {
        LineKey::NetScaleKg | LineKey::DockageKg => format!("{} kg", figure(x, 0)),
        LineKey::NetT => format!("{} t", figure(x, 3)),
        LineKey::PriceT => format!("{} a tonne", cash(frame, x)),
        _ => cash(frame, x),
    }
}

/// Their tests beside ours, the grade, and what one bad factor costs.
fn grain(known: &Known, frame: &Frame, x: &Settlement, c: &Checked) -> Markup {
    let Some(o) = &c.ours else {
        return html! { section { h2 { "Our own figures" } p { "No load out with this ticket number is in the book, so there is nothing of ours to hold it against." } } };
    };
    let their_net = f64::max(x.gross_kg - x.tare_kg, 0.0);
    let row = |label: &str, ours: Option<f64>, theirs: Option<f64>, decimals: u8, unit: &str| {
        html! { @if ours.is_some() || theirs.is_some() { tr {
            td { (label) }
            td.num { (ours.map_or_else(|| "not known".into(), |v| format!("{} {unit}", figure(v, decimals)))) }
            td.num { (theirs.map_or_else(|| "not printed".into(), |v| format!("{} {unit}", figure(v, decimals)))) }
        } } }
    };
    let name = |factor: &str| factor.replace('_', " ").replace(" pct", ", %").replace(" kg hl", ", kg/hL");
    html! {
        section { h2 { "Our own figures" }
            @if let Some(b) = &o.bin { p { "Loaded out of " a href={ "/bins/" (b) } { (bin_name(known, b)) } "." } }
            div.scroll tabindex="0" role="group" aria-label="Ours and theirs" { table {
                thead { tr { th { "" } th.num { "Ours" } th.num { "Theirs" } } }
                tbody {
                    (row("Weight", Some(o.kg), Some(their_net), 0, "kg"))
                    (row("Moisture", o.moisture_wb_pct, x.moisture_wb_pct, 1, "%"))
                    (row("Protein at 13.5 %", o.protein_pct, x.protein_pct, 1, "%"))
                    (row("Dockage", o.dockage_pct, Some(x.dockage_pct), 1, "%"))
                    (row("Test weight", o.test_weight_kg_hl, None, 1, "kg/hL"))
                    (row("DON", o.don_ppm, None, 1, "ppm"))
                }
            } }
            @if let Some(g) = &o.graded {
                p { "By the table our figures make " b { (g.grade) } @if let Some(t) = &x.grade { "; they gave " b { (t) } } "." }
                p.under { "Tables: " (o.tables.join(" with the ")) ". A grade given in the words of the United States is held against its table." }
                @if let (Some(per_t), Some(all)) = (c.grade_costs_per_t, c.grade_costs) {
                    p { "By their own prices the difference is " (cash(frame, per_t)) " a tonne, " b { (cash(frame, all)) } " on this load." }
                }
                @for (factor, without, per_t) in &c.factors_cost {
                    p { (super::super::capital(&name(factor))) " alone holds it down: without it, " (without) @if let Some(d) = per_t { ", worth " (cash(frame, *d)) " a tonne" } "." }
                }
                @if !g.not_tested.is_empty() { p.under { "Not tested here: " (g.not_tested.iter().map(|f| name(f)).collect::<Vec<_>>().join("; ")) ". The table alone: soundness, smell, frost and mildew are for the inspector." } }
            }
        }
    }
}

/// `POST /bins/ticket`
pub async fn save(State(desk): State<Arc<Desk>>, Posted(values): Posted<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let form = form()?;
        match enter::write(form, &values, &known, &frame, &mut desk.store()?) {
            Ok(id) => Ok(Redirect::to(&format!("/bins/ticket/{id}")).into_response()),
            Err(Refused::Store(e)) => Err(e.into()),
            Err(Refused::Problems(problems)) => {
                let body = new_view(form, &known, &frame, &values, &problems);
                Ok((
                    StatusCode::UNPROCESSABLE_ENTITY,
                    send(page(&frame, Place::Bins, "Buyer's ticket", &body)),
                )
                    .into_response())
            }
        }
    })
    .await?
}
