//! `/barn/plan`: mill or trough. Which bin to feed, which to sell, when; what would change it; bushels to hold; cash.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_barn::Whole;
use stook_barn::plan::{Goes, LotAnswer};
use stook_measure::{figure, money};
use stook_season::words;

use crate::draw::flow;
use crate::pages::money::cash::{self, month};
use crate::pages::{Frame, Place, Reply, Trouble, capital, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// `GET`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let whole = known.whole()?;
        Ok(send(view(&frame, &whole)))
    })
    .await?
}

fn view(frame: &Frame, w: &Whole) -> Markup {
    let body = html! {
        h1 { "Mill or trough" }
        @for (n, s) in w.headline.iter().enumerate() { @if n == 0 { p.lede { (s) } } @else { p.lede.second { (s) } } }
        p { "Money a tonne at the yard, " (frame.units.money) ". In the trough: what a tonne saves of other feed. At the mill: the best bid less the haul." }
        @for s in &w.conflict { p.blocked { (s) } }
        section {
            h2 { "Bushels to hold" }
            @for h in &w.hold {
                p { "Hold " b { (figure(h.bushels(h.hold_t), 0)) " bu" } " (" (figure(h.hold_t, 0)) " t) of " (h.crop.replace('_', " ")) " to " (words::day(h.until)) ": enough 9 years in 10. In the bins " (figure(h.bushels(h.have_t), 0)) " bu, "
                    @if h.free_t >= 0.0 { "so " (figure(h.bushels(h.free_t), 0)) " bu are free to sell." } @else { b { (figure(h.bushels(-h.free_t), 0)) " bu short" } ": buy or change the rations." } }
                (working::folded(&h.working))
            }
            @if w.hold.is_empty() { p { "No pigs are written down, so nothing is held." } }
        }
        section {
            h2 { "Bin by bin" }
            (flow::draw(&w.lots))
            @for l in &w.lots { (lot(frame, w, l)) }
            @if w.lots.is_empty() { p { "No bin holds grain that the barn or a buyer could take." } }
        }
        section {
            h2 { "What would change it" }
            div.scroll tabindex="0" role="region" aria-label="What would change it" { table {
                thead { tr { th scope="col" { "If" } th.num scope="col" { "Gained, " (frame.units.money) } th scope="col" { "Then" } } }
                tbody { @for c in &w.what_if { tr {
                    td { (c.what) }
                    td.num { @if c.money.is_finite() { (money(c.money)) } }
                    td { @if c.moves.is_empty() { "the plan stands" } @else { (c.moves.join("; ")) } }
                } } }
            } }
        }
        (cash::table(frame, w))
        p.act { a.btn href="/enter/bid" { "Write a bid down" } a.btn href="/enter/payment_due" { "Payment due" } a.btn href="/money" { "Money by field" } a.btn href="/barn" { "The barn" } }
        @for n in &w.notes { p.note { (n) } }
        p.caution { "Feed no bin that has not been tested for DON to young pigs, gilts or sows. Declare what you deliver truly; contracts, grades and the buyer's specification rule." }
    };
    page(frame, Place::Barn, "Mill or trough", &body)
}

fn lot(frame: &Frame, w: &Whole, l: &LotAnswer) -> Markup {
    html! {
        article.lot {
            h3 id=(l.lot.bin) { (l.words) }
            p { (l.why) " " span.quiet { (figure(l.lot.tonnes, 0)) " t in it" @if let Some(b) = &l.lot.buyer { ", best bid " (b) } "." } }
            @if !l.sales.is_empty() {
                p { "Sell " @for (n, (m, buyer, t, price)) in l.sales.iter().enumerate() { @if n > 0 { "; " } (figure(*t, 0)) " t to " (buyer) " in " (month(*m)) " at " (frame.units.money) (figure(*price, 0)) } "." }
            }
            @if l.by_phase.iter().any(|x| x.1 >= 0.5) {
                p { "Feed " (figure(l.fed_t, 0)) " t: " @for (n, (phase, t)) in l.by_phase.iter().filter(|x| x.1 >= 0.5).enumerate() { @if n > 0 { ", " } (figure(*t, 0)) " to " (phase.words()) } @if let (Some(a), Some(b)) = (l.feeding.first(), l.feeding.last()) { "; " (month(a.0)) @if a.0 != b.0 { " to " (month(b.0)) } } "." }
            }
            @if l.left_t > 0.5 { p.quiet { (figure(l.left_t, 0)) " t still there at the end of " (w.months.last().map_or_else(String::new, |m| month(*m))) "." } }
            @if l.goes == Goes::Trough || l.goes == Goes::Both { p.quiet { a href={ "/barn/step-in/" (l.lot.bin) } { "Step it in" } ", " a href={ "/barn/trace?bin=" (l.lot.bin) } { "what was made of it" } } }
            details { summary { "How its content was come by" } ul { @for s in &l.lot.said { li { (capital(s)) "." } } } }
        }
    }
}
