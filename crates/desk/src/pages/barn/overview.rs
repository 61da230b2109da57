//! `/barn`: feed on hand, what to mill next, the groups.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_barn::feed_bins::{self, FeedBinToday, ToMill};
use stook_barn::herd::{self, GroupToday};
use stook_barn::{Facts, batch, demand, mill_checks, rations, straw};
use stook_measure::figure;
use stook_season::words;

use super::facts;
use crate::draw::feed;
use crate::pages::{Frame, Place, Reply, Trouble, capital, clock, page, send, working};
use crate::server::beside;
use crate::state::Desk;

/// Days ahead that decide what is milled now.
const AHEAD: f64 = 5.0;

/// `/barn`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        Ok(send(view(&Frame::of(&desk, &known), &facts(&known))))
    })
    .await?
}

fn view(frame: &Frame, f: &Facts<'_>) -> Markup {
    let barn = &f.farm.barn;
    if barn.is_empty() {
        let body = html! {
            h1 { "The barn" }
            p.lede { "Nothing of the barn is written down yet." }
            p { "Write down the feed bins and the mixer, what you buy, and each group with its head and weight. From these five facts come feed on hand, rations and what to mill." }
            (set_up_links())
            p { a href="/barn/ration/grower_1" { "See a grower ration from the grain in your bins" } }
        };
        return page(frame, Place::Barn, "Barn", &body);
    }
    let bins = feed_bins::today(f);
    let mill = feed_bins::to_mill(f, AHEAD);
    let groups = herd::today(f);
    let body = html! {
        h1 { "The barn" }
        p.lede { (first_line(frame, &mill)) }
        p.act {
            a.btn.yes href="/barn/plan" { "Mill or trough" }
            a.btn href="/enter/feed_level" { "Feed bin looked at" }
            a.btn href="/enter/herd_move" { "Moved or sold" }
            a.btn href="/enter/deaths" { "Deaths" }
        }
        div.cols {
            section {
                h2 { "To mill" }
                (to_mill(frame, f, &mill))
                h2 { "Feed on hand" }
                (feed::bars(&bins, frame))
                (on_hand(frame, &bins))
            }
            section {
                h2 { "Groups" }
                (group_table(&groups))
                p.act { a.btn href="/enter/herd_group" { "Write a group down" } a.btn href="/barn/goats" { "Goats" } }
            }
        }
        section {
            h2 { "Rations" }
            ul.plain {
                @for phase in rations::phases_now(f) {
                    @let accepted = barn.ration_for(phase.key(), f.on);
                    li { a href={ "/barn/ration/" (phase.key()) } { (capital(phase.words())) span.quiet { ", " @match accepted {
                        Some(a) => { "accepted " (words::day(a.on())) @if let Some(c) = a.is.cost_t { " at " (frame.units.money) (figure(c, 0)) " a tonne" } },
                        None => { "none accepted yet" },
                    } } } }
                }
            }
        }
        section {
            h2 { "Feed by the week" }
            (weeks(f))
        }
        section {
            h2 { "Mixer and weighing" }
            @for m in batch::mixers(f) {
                p { b { (m.name) } ": " @if let Some(cv) = m.cv_pct { (figure(cv, 1)) " % variation" @if let Some(t) = &m.tracer { " of " (t) } @if let Some(d) = m.tested { " on " (words::day(d)) } ". " } (m.words) }
            }
            @for s in mill_checks::scales(f) { p { b { (capital(&s.name)) } ", " (words::day(s.checked)) ": " (s.words) } }
            @if f.farm.barn.scale_checks.is_empty() { p { "No scale was ever checked here: put known weights on it." } }
            @for g in mill_checks::grinds(f) { p { b { "Ground " (g.of) } ", " (words::day(g.sieved)) ": " (g.words) " Spread " (figure(g.particles.spread, 2)) "." } }
            (bias(f))
            p.act { a.btn href="/enter/scale_check" { "Scale checked" } a.btn href="/enter/sieve_test" { "Ground grain sieved" } a.btn href="/enter/mixer_test" { "Write a mixer test down" } }
        }
        @if let Some(s) = straw::answer(f) {
            section {
                h2 { "Straw" }
                p { (s.words) }
                p.act { a.btn href="/enter/straw_on_hand" { "Straw on hand" } }
                (working::folded(&s.working))
            }
        }
        section {
            h2 { "Look things up" }
            ul.plain {
                li { a href="/barn/trace" { "Trace a bag, a pen, a bin or a field" } }
                li { a href="/barn/became" { "What a field became" } }
            }
            (set_up_links())
        }
        p.caution { "A nutritionist looks at rations. Medicated feed is not planned here: that is for the veterinarian and a licensed mill. Treated seed never goes into feed. Lock out power before you reach into a mill or mixer; never enter a bin with grain moving." }
    };
    page(frame, Place::Barn, "Barn", &body)
}

fn set_up_links() -> Markup {
    html! {
        p.act {
            a.btn href="/enter/feed_bin" { "Add a feed bin" }
            a.btn href="/enter/mixer" { "Add a mixer" }
            a.btn href="/enter/ingredient" { "Add an ingredient" }
            a.btn href="/enter/price" { "Write a price down" }
            a.btn href="/enter/buyer" { "Buyer's offer" }
            a.btn href="/enter/payment_due" { "Payment due" }
        }
    }
}

fn when(frame: &Frame, at: jiff::civil::DateTime) -> String {
    format!("{} {}", words::day_from(frame.day(), at.date()), clock(at.round(jiff::Unit::Hour).unwrap_or(at)))
}

fn first_line(frame: &Frame, mill: &[ToMill]) -> Markup {
    html! {
        @match mill.iter().min_by_key(|m| m.empty_at) {
            Some(m) => { "Mill for " (m.name) ": it is empty " (when(frame, m.empty_at)) "." },
            None => { "No feed bin runs out in the next " (figure(AHEAD, 0)) " days." },
        }
    }
}

fn to_mill(frame: &Frame, f: &Facts<'_>, mill: &[ToMill]) -> Markup {
    html! {
        @if mill.is_empty() { p { "Nothing within " (figure(AHEAD, 0)) " days." } }
        ol {
            @for m in mill {
                li {
                    @if m.flush { "Flush first. " }
                    @match f.farm.barn.ration_for(m.phase.key(), f.on) {
                        Some(r) => { a href={ "/barn/batch/" (r.is.id) } { (m.batches) @if m.batches == 1 { " batch" } @else { " batches" } " for " (m.name) } },
                        None => { (m.batches) " for " (m.name) ": " a href={ "/barn/ration/" (m.phase.key()) } { "accept a ration first" } },
                    }
                    span.quiet { ", empty " (when(frame, m.empty_at)) }
                }
            }
        }
    }
}

fn on_hand(frame: &Frame, bins: &[FeedBinToday]) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Feed on hand" { table {
            thead { tr { th scope="col" { "Feed bin" } th.num scope="col" { "Kg" } th.num scope="col" { "Kg a day" } th.num scope="col" { "Days left" } th scope="col" { "Empty" } } }
            tbody { @for b in bins { tr {
                td { (b.name) @if !b.groups.is_empty() { span.quiet { " " (b.groups.join(", ")) } } }
                td.num { @match b.kg { Some(kg) => { (figure(kg, 0)) }, None => { "not seen" } } }
                td.num { (figure(b.eaten_kg_d, 0)) }
                td.num { @match b.days_left { Some(d) => { (figure(d, 1)) }, None => { "" } } }
                td { @if let Some(at) = b.empty_at { (capital(&when(frame, at))) } }
            } } }
        } }
    }
}

fn group_table(groups: &[GroupToday]) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Groups" { table {
            thead { tr { th scope="col" { "Group" } th.num scope="col" { "Head" } th.num scope="col" { "Kg" } th.num scope="col" { "Kg a day each" } th.num scope="col" { "Days to sale" } th scope="col" { "" } } }
            tbody { @for g in groups { tr {
                td { (g.name) span.quiet { " " (g.kind) @if g.died > 0 { ", " (g.died) " died" } } }
                td.num { (g.head) }
                td.num { @if let Some(kg) = g.kg { (figure(kg, 0)) } }
                td.num { @if g.pigs { (figure(g.feed_kg_d, 2)) } }
                td.num { @if let Some(d) = g.days_to_sale { (figure(d, 0)) } }
                td { @if g.pigs { a href={ "/barn/trace?group=" (g.id) } { "off feed?" } " " @if g.days_to_sale.is_some() { a href={ "/barn/closeout/" (g.id) } { "close out" } } } }
            } } }
        } }
        p.quiet { "Weights by the curve from the last one written down." }
    }
}

fn weeks(f: &Facts<'_>) -> Markup {
    let weeks = demand::weeks(f, 8);
    html! {
        div.scroll tabindex="0" role="region" aria-label="Feed by the week" { table {
            thead { tr { th scope="col" { "Week from" } th.num scope="col" { "Tonnes, 1 in 10 below" } th.num scope="col" { "middle" } th.num scope="col" { "1 in 10 above" } } }
            tbody { @for w in &weeks { tr {
                td { (words::day(w.from)) }
                td.num { (figure(w.all_kg.p10 / 1000.0, 1)) }
                td.num { (figure(w.all_kg.p50 / 1000.0, 1)) }
                td.num { (figure(w.all_kg.p90 / 1000.0, 1)) }
            } } }
        } }
    }
}

fn bias(f: &Facts<'_>) -> Markup {
    let off: Vec<_> =
        batch::bias(f, 20).into_iter().filter(|b| b.bias.abs() > 0.01 || b.missed > 0).collect();
    html! {
        @if f.farm.barn.batches.is_empty() { p { "No batch is written down yet." } }
        @else if off.is_empty() { p { "Over the last batches everything was weighed within a percent of what was asked." } }
        @for b in off { p { (b.of) ": " (figure(100.0 * b.bias, 1)) " % over " (b.batches) " batches" @if b.missed > 0 { ", outside what is let pass in " (b.missed) } "." } }
    }
}
