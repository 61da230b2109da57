//! `/barn/became`: what a field became, for visitors.

use std::sync::Arc;

use axum::extract::{Path, State};
use maud::html;
use stook_barn::visitors;
use stook_book::FieldId;
use stook_measure::figure;

use super::facts;
use crate::pages::{Frame, Place, Reply, capital, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// `/barn/became`
pub async fn list(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let body = html! {
            h1 { "What a field became" }
            ul.plain { @for r in known.farm.fields.values() { @if !visitors::years(&f, &r.field().id).is_empty() { li { a href={ "/barn/became/" (r.field().id) } { (r.field().name) } } } } }
            p.quiet { "Fields with loads written down." }
        };
        Ok(send(page(&frame, Place::Barn, "What a field became", &body)))
    })
    .await?
}

/// `/barn/became/{field}`
pub async fn show(State(desk): State<Arc<Desk>>, Path(field): Path<String>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let id = FieldId::from(field.as_str());
        let years = visitors::years(&f, &id);
        let mut all = Vec::new();
        for y in years.iter().take(3) {
            all.push(visitors::became(&f, &id, *y)?);
        }
        if all.is_empty() {
            return Err(crate::pages::Trouble::missing("No load off this field is written down, so there is nothing to tell yet."));
        }
        let body = html! {
            h1 { (all[0].name) }
            @for b in &all {
                section {
                    h2 { (capital(&b.crop)) ", " (b.year) }
                    p.lede {
                        @if let Some(l) = b.loaves.filter(|l| *l > 1.0) { (figure(l, 0)) " loaves of bread" @if b.fed_t > 0.5 { ", " } }
                        @if b.fed_t > 0.5 { (figure(b.pork_kg, 0)) " kg of pork" @if let Some(d) = b.barn_days { ", " (figure(d, 0)) " days of feed for the barn" } }
                        @if b.loaves.is_none_or(|l| l <= 1.0) && b.fed_t <= 0.5 { (figure(b.sold_t, 0)) " tonnes sold" }
                        "."
                    }
                    p { (figure(b.off_t, 0)) " tonnes came off it" @if let Some(k) = b.kernels { ", some " (figure(k / 1e9, 1)) " billion kernels" } ". " (figure(b.sold_t, 0)) " t were sold, " (figure(b.fed_t, 0)) " t fed, " (figure(b.sown_t, 0)) " t sown again, " (figure(b.kept_t, 0)) " t are in the bins." }
                    (working::folded(&b.working))
                }
            }
            p { a href="/barn/became" { "Another field" } }
        };
        Ok(send(page(&frame, Place::Barn, "What a field became", &body)))
    })
    .await?
}
