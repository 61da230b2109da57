//! The card for the bin's door: what is in it, its numbers, and a code that opens its page.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, State};
use axum::http::{HeaderMap, header};
use maud::{Markup, html};
use stook_book::BinId;
use stook_book::farm::BinRecord;
use stook_keep::BinAir;
use stook_measure::figure;
use stook_season::words;

use super::jobs::Jobs;
use super::{caution, others, record, temp};
use crate::draw::curves;
use crate::pages::{Frame, Place, Reply, page, send};
use crate::server::beside;
use crate::state::Desk;

/// `/bins/{id}/card`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<String>, headers: HeaderMap) -> Reply {
    let host =
        headers.get(header::HOST).and_then(|h| h.to_str().ok()).unwrap_or("127.0.0.1:7345").to_string();
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let record = record(&known, &id)?;
        let said = Jobs::of(&desk, &known, Some(&BinId(id.clone()))).look(Duration::from_millis(300));
        Ok(send(view(&frame, record, said.bins.first().map(AsRef::as_ref), &host)))
    })
    .await?
}

fn view(frame: &Frame, r: &BinRecord, a: Option<&BinAir>, host: &str) -> Markup {
    let u = &frame.units;
    let id = r.bin().id.as_str();
    let url = format!("http://{host}/bins/{id}/air");
    let body = html! {
        div.card-print {
            h1.lede { (r.bin().name) }
            @match a {
                Some(a) => {
                    p.big { (a.holds) ", as of " (words::day(frame.day())) "." }
                    div.ruled { dl {
                        @let top = a.layers.last();
                        @let warm = a.layers.iter().map(|l| l.t_c).fold(f64::NEG_INFINITY, f64::max);
                        @if let Some(l) = top { div { dt { "Top" } dd { (figure(l.m_pct, 1)) " %, " (temp(u, l.t_c)) } } }
                        @if let Some(l) = a.layers.first() { div { dt { "Bottom" } dd { (figure(l.m_pct, 1)) " %, " (temp(u, l.t_c)) } } }
                        div { dt { "Warmest place" } dd { (temp(u, warm)) } }
                        @if let Some(l) = &a.life { div { dt { "Days of life left, as it lies" } dd { (figure(l.days[1], 0)) @if l.at_least { " at least" } } } }
                        @if let Some(p) = &a.fan.push { div { dt { "Air" } dd { (figure(p.cfm_bu, 2)) " cfm a bushel" } } }
                        @if let Some(h) = a.fan.front_h { div { dt { "A cooling front" } dd { (figure(h, 0)) " h of fan" } } }
                    } }
                }
                None => p.big { "Nothing in it by the book, as of " (words::day(frame.day())) "." }
            }
            (curves::qr(&url))
            p.small { "Opens " code { (url) } " where the desk runs." }
            div.ruled { dl { @for what in ["Date", "Top, middle, bottom", "Smell", "Carbon dioxide", "Who"] { div { dt { (what) } dd { "" } } } } }
            (caution())
        }
        (others(id, "card"))
    };
    page(frame, Place::Bins, &format!("{}, card", r.bin().name), &body)
}
