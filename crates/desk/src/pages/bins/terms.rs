//! On a ticket's page: tough, damp, DON, protein and falling number by the buyer's own terms.

use maud::{Markup, html};
use stook_yard::ticket::Checked;

use super::super::{Frame, capital, working};
use super::ticket::cash;

/// What is not straight by the buyer's own terms, and whether drying first would have paid.
pub fn section(frame: &Frame, c: &Checked) -> Markup {
    if c.terms.is_empty() {
        return html! {};
    }
    let money = |x: Option<f64>, none: &str| match x {
        None => none.to_string(),
        Some(x) if x < -0.004 => format!("{} added", cash(frame, -x)),
        Some(x) => cash(frame, x),
    };
    html! {
        section { h2 { "By their own terms" }
            div.scroll tabindex="0" role="group" aria-label="By their own terms" { table {
                thead { tr { th { "" } th { "Found" } th.num { "Off a tonne by their prices" } th.num { "On the ticket" } th.num { "On this load" } } }
                tbody { @for t in &c.terms { tr {
                    td { (capital(t.what)) }
                    td { (t.found) }
                    td.num { @if t.refused { b { "not taken" } } @else { (money(t.by_prices, if t.what == "falling number" { "taken" } else { "not said" })) } }
                    td.num { (money(t.on_ticket, if t.what == "moisture" { "in the weight" } else { "" })) }
                    td.num { @if let (Some(a), Some(b)) = (t.by_prices, t.on_ticket) { @if (a - b).abs() < 0.005 { "as agreed" } @else { b { (cash(frame, (b - a).abs() * c.tonnes)) @if b > a { " too much off" } @else { " less off" } } } } }
                } } }
            } }
            @if let Some(d) = &c.dry_first {
                p { @if d.drying_t < d.discount_t { "Drying it first would have cost " (cash(frame, d.drying_t)) " a tonne against " (cash(frame, d.discount_t)) " taken off: next time dry it." } @else { "Selling it as it was cost " (cash(frame, d.discount_t)) " a tonne; drying it first " (cash(frame, d.drying_t)) ": this was the cheaper way." } }
                (working::folded(&d.working))
            }
            p.under { "Other discounts stand in one figure on a ticket; it is held against DON, which they are mostly for. Write the buyer's steps under " a href="/enter/buyer" { "Buyer's prices" } " and protein under " a href="/enter/protein_premium" { "Protein paid for" } "." }
        }
    }
}
