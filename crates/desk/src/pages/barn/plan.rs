//! `/barn/plan`: mill or trough. Which bin to feed, which to sell, when; what would change it; bushels to hold; cash.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_barn::Whole;
use stook_barn::hold::enough_words;
use stook_barn::plan::{Goes, LotAnswer};
use stook_measure::{figure, money};
use stook_season::words;

use crate::draw::flow;
use crate::forms::Values;
use crate::pages::money::cash::{self, month};
use crate::pages::{Frame, Place, Reply, Trouble, capital, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// `GET`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        // Another chance than the farm's own is only looked at, not kept.
        let short =
            asked.get("short").and_then(|x| x.parse::<f64>().ok()).filter(|x| (0.5..=50.0).contains(x));
        let whole = match short {
            None => known.whole()?,
            Some(x) => Arc::new(known.whole_at(Some(x))?),
        };
        Ok(send(view(&frame, &whole, short)))
    })
    .await?
}

fn view(frame: &Frame, w: &Whole, short: Option<f64>) -> Markup {
    let body = html! {
        h1 { "Mill or trough" }
        @for (n, s) in w.headline.iter().enumerate() { @if n == 0 { p.lede { (s) } } @else { p.lede.second { (s) } } }
        p { "Money a tonne at the yard, " (frame.units.money) ". In the trough: what a tonne saves of other feed. At the mill: the best bid less the haul." }
        @for s in &w.conflict { p.blocked { (s) } }
        @if let Some(r) = w.worth_range { p { "The plan is worth " (cash_words(frame, r.p50)) " at these prices; one season in ten under " (cash_words(frame, r.p10)) ", one over " (cash_words(frame, r.p90)) ", each planned anew." } }
        (hold(w, short))
        (finish(w))
        (blends(w))
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
        p.act { a.btn href="/enter/buyer" { "Buyer's offer" } a.btn href="/enter/payment_due" { "Payment due" } a.btn href="/money" { "Money by field" } a.btn href="/barn" { "The barn" } }
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

fn cash_words(frame: &Frame, x: f64) -> String {
    words::cash(&frame.units, x)
}

/// Chances of running short to choose from, %.
const CHANCES: [f64; 6] = [50.0, 20.0, 10.0, 5.0, 2.0, 1.0];

/// Bushels to keep to new crop at the chance chosen.
fn hold(w: &Whole, short: Option<f64>) -> Markup {
    let now = w.hold.first().map(|h| h.short_pct);
    html! {
        section id="hold" {
            h2 { "Bushels to hold" }
            @for h in &w.hold {
                p { "Hold " b { (figure(h.bushels(h.hold_t), 0)) " bu" } " (" (figure(h.hold_t, 0)) " t) of " (h.crop.replace('_', " ")) " to " (words::day(h.until)) ": enough " (enough_words(h.short_pct)) ". In the bins " (figure(h.bushels(h.have_t), 0)) " bu, "
                    @if h.free_t >= 0.0 { "so " (figure(h.bushels(h.free_t), 0)) " bu are free to sell." } @else { b { (figure(h.bushels(-h.free_t), 0)) " bu short" } ": buy or change the rations." } }
                (working::folded(&h.working))
            }
            @if w.hold.is_empty() { p { "No pigs are written down, so nothing is held." } }
            @if let Some(now) = now {
                form.line method="get" action="/barn/plan#hold" {
                    label for="short" { "Run short" }
                    select #short name="short" {
                        @for c in CHANCES { option value=(c) selected[(c - now).abs() < 0.05] { @if c >= 50.0 { "every other year" } @else { "one year in " (figure(100.0 / c, 0)) } } }
                    }
                    button.btn type="submit" { "Look" }
                }
                @if let Some(x) = short {
                    p { "Looked at only. " a href={ "/enter/local_number?name=barn.hold.short_chance_pct&value=" (x) "&why=the%20risk%20of%20running%20short%20we%20accept" } { "Keep it as our own number" } ", or " a href="/barn/plan" { "go back to it" } "." }
                }
            }
        }
    }
}

/// Old bins by the life they have left, against when the plan is done with them.
fn finish(w: &Whole) -> Markup {
    html! {
        @if !w.finish.is_empty() {
            section {
                h2 { "Which bin to finish first" }
                div.scroll tabindex="0" role="region" aria-label="Which bin to finish first" { table {
                    thead { tr { th scope="col" { "Bin" } th.num scope="col" { "Keeps, days" } th scope="col" { "To about" } th scope="col" { "Plan" } } }
                    tbody { @for x in &w.finish { tr {
                        td { a href={ "/bins/" (x.bin) "/air" } { (x.name) } }
                        td.num { @if x.at_least { "at least " } (figure(x.days.min(999.0), 0)) }
                        td { @if !x.at_least { (words::day(x.until)) } }
                        td { @match x.last_used { Some(m) => { "used to " (month(m)) }, None => { "not touched" } } @if x.left_t > 0.5 { ", " (figure(x.left_t, 0)) " t left" } }
                    } } }
                } }
                p.under { "Life as it lies now, from each bin's own air: warmth shortens it. A bin that would not keep to the end of the plan must be gone by then in it." }
            }
        }
    }
}

/// Limits on the average of deliveries, said openly.
fn blends(w: &Whole) -> Markup {
    html! {
        @if !w.blends.is_empty() {
            section {
                h2 { "Blended, by the contract" }
                @for b in &w.blends {
                    p { (b.buyer) ": " (b.what) " of all delivered "
                        @if let Some(x) = b.least { "at least " (figure(x, 1)) } @if let Some(x) = b.most { "at most " (figure(x, 1)) }
                        @if let Some((t, x)) = b.had { ". Delivered " (figure(t, 0)) " t at " (figure(x, 2)) }
                        ". The plan sends " (figure(b.tonnes, 0)) " t" @if let Some(x) = b.comes_to { ": all of it comes to " b { (figure(x, 2)) } } "." }
                }
            }
        }
    }
}
