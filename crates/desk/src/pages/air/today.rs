//! The bins' part of Today: only those that press, dearest to leave first.

use std::sync::Arc;
use std::time::Duration;

use maud::{Markup, html};

use super::jobs::Jobs;
use crate::draw::waiting_line::{self, Scale};
use crate::state::{Desk, Known};

/// Today is not held up for long.
const PATIENCE: Duration = Duration::from_millis(1500);
/// Bins shown; the rest stand on their own page.
const MOST: usize = 3;

/// What Today shows of the bins.
pub struct Tonight {
    /// What the bin that presses most asks for, if one does.
    pub first: Option<String>,
    /// The section; nothing where no bin has grain.
    pub section: Markup,
}

/// The bins that press.
pub fn tonight(desk: &Desk, known: &Arc<Known>) -> Tonight {
    if known.farm.bins.is_empty() || known.farm.loads.is_empty() {
        return Tonight { first: None, section: html! {} };
    }
    let said = Jobs::of(desk, known, None).look(PATIENCE);
    let mut bins: Vec<_> =
        said.bins.iter().filter(|a| a.presses() && (a.done == a.of || !a.alarms.is_empty())).collect();
    let money = |a: &stook_keep::BinAir| a.waiting.as_ref().map_or(0.0, |w| w.money.mean);
    let days = |a: &stook_keep::BinAir| a.life.as_ref().map_or(f64::INFINITY, |l| l.days[1]);
    bins.sort_by(|a, b| money(b).total_cmp(&money(a)).then_with(|| days(a).total_cmp(&days(b))));
    let scale = Scale::over(bins.iter().filter_map(|a| a.waiting.as_ref()).map(|w| &w.money));
    let first = bins.first().map(|a| a.what.clone());
    let section = html! {
        section aria-label="Bins tonight" {
            h2 { "Bins tonight" }
            @if !said.done { p.quiet { "Still being reckoned; " a href="/bins/air" { "look on the bins' own page" } "." } }
            @else if bins.is_empty() { p { "No bin presses. " a href="/bins/air" { "Fans tonight" } } }
            @for a in bins.iter().take(MOST) {
                div.todo {
                    h3 { a href={ "/bins/" (a.bin) "/air" } { (a.what) } }
                    @for x in &a.alarms { p.blocked { (x.sign) " " (x.act) } }
                    @if let Some(w) = a.why.first() { p.why { (w) } }
                    @if let Some(w) = &a.waiting {
                        (waiting_line::draw(&w.money, scale, &w.words))
                        p { "Waiting a day " span.money { (w.words) } "." }
                    }
                }
            }
            @if !bins.is_empty() { p { a href="/bins/air" { "All fans and the walk round the bins" } } }
        }
    };
    Tonight { first, section }
}
