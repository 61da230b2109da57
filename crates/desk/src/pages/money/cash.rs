//! Cash in and out by month, here and on mill or trough.

use jiff::civil::Date;
use maud::{Markup, html};
use stook_barn::Whole;
use stook_season::words;

use crate::pages::Frame;

/// `March 2026`.
pub fn month(d: Date) -> String {
    let day = words::day(d);
    let name = day.split(' ').nth(1).unwrap_or(&day).to_string();
    format!("{name} {}", d.year())
}

/// The table with what it leaves out.
pub fn table(frame: &Frame, w: &Whole) -> Markup {
    let cash = |x: f64| words::cash(&frame.units, x);
    let low = w.cash.iter().min_by(|a, b| a.running.total_cmp(&b.running));
    let pigs = w.cash.iter().any(|c| c.pigs.is_some());
    let other = w.cash.iter().any(|c| c.other > 0.0);
    html! {
        @if !w.cash.is_empty() {
            section {
                h2 { "Cash by month" }
                @if let Some(l) = low {
                    p { "Lowest at the end of " (month(l.month)) ": "
                        @if l.running < 0.0 { b { (cash(-l.running)) " short" } ". Sell sooner, move a payment, or arrange for it." } @else { b { (cash(l.running)) } " in hand." } }
                }
                div.scroll tabindex="0" role="region" aria-label="Cash by month" { table {
                    thead { tr {
                        th scope="col" { "Month" }
                        th.num scope="col" { "Grain" }
                        @if pigs { th.num scope="col" { "Pigs" } }
                        @if other { th.num scope="col" { "Other in" } }
                        th.num scope="col" { "Feed, storage" }
                        th.num scope="col" { "Due" }
                        th.num scope="col" { "In hand" }
                    } }
                    tbody { @for c in &w.cash { tr {
                        td { (month(c.month)) @if !c.due_words.is_empty() { span.quiet { " " (c.due_words.join(", ")) } } }
                        td.num { @if c.sales > 0.0 { (cash(c.sales)) } }
                        @if pigs { td.num { @if let Some(p) = c.pigs.filter(|p| *p > 0.0) { (cash(p)) } } }
                        @if other { td.num { @if c.other > 0.0 { (cash(c.other)) } } }
                        td.num { (cash(c.bought)) }
                        td.num { @if c.due > 0.0 { (cash(c.due)) } }
                        td.num { @if c.running < 0.0 { "- " } (cash(c.running.abs())) }
                    } } }
                } }
                p.quiet {
                    "Grain by the joint plan, feed by the growth curve, payments and bills by your own due days. "
                    @if !pigs { "Pigs are not in it: " a href="/enter/price?what=market_pig&unit=head" { "write the price of a market pig" } ". " }
                    "It starts from " a href="/enter/local_number?name=barn.cash.in_hand" { "money in hand" } ", nothing until you enter it."
                }
            }
        }
    }
}
