//! What the barn will want of next year's grain, against what is planned.

use maud::{Markup, html};
use stook_book::payload::UnitChoice;
use stook_inputs::next_crop::NextCrop;
use stook_measure::{Range, figure, units};
use stook_season::words;

use crate::state::Known;

/// A crop the barn eats.
struct Need {
    crop: String,
    /// A year of it, t.
    year_t: Range,
    /// Planned to grow, t, on ha.
    planned: (f64, f64),
    lb_per_bu: f64,
}

/// Fewer days than this to new crop say too little of a whole year.
const LEAST_DAYS: i32 = 45;

/// In words: `wheat_hrs` or `spring_wheat` are wheat.
fn plain(crop: &str) -> String {
    if crop.contains("wheat") { "spring wheat".into() } else { crop.replace('_', " ") }
}

/// A year of each crop by today's rations and herd, and what the plan for the year makes of it.
fn needs(known: &Known, all: &[NextCrop]) -> Vec<Need> {
    let facts = stook_barn::Facts::new(&known.farm, known.as_of);
    let mut out: Vec<Need> = Vec::new();
    for h in stook_barn::hold::answer(&facts, None) {
        let days = (h.until - known.as_of).get_days();
        if days < LEAST_DAYS {
            continue;
        }
        let k = 365.0 / f64::from(days);
        let crop = plain(&h.crop);
        let mine = all.iter().filter(|f| f.planned.as_deref() == Some(crop.as_str()));
        let planned = mine.fold((0.0, 0.0), |(t, ha), f| {
            let y = f.choices.iter().find(|c| c.crop == crop).map_or(0.0, |c| c.yield_kg_ha);
            (t + y * f.area_ha / 1000.0, ha + f.area_ha)
        });
        let w = h.wanted_t;
        let year_t = Range { p10: k * w.p10, p50: k * w.p50, p90: k * w.p90 };
        match out.iter_mut().find(|n| n.crop == crop) {
            Some(n) => {
                n.year_t = Range {
                    p10: n.year_t.p10 + year_t.p10,
                    p50: n.year_t.p50 + year_t.p50,
                    p90: n.year_t.p90 + year_t.p90,
                }
            }
            None => out.push(Need { crop, year_t, planned, lb_per_bu: h.lb_per_bu }),
        }
    }
    out
}

/// The section; nothing without animals in the book.
pub(super) fn section(known: &Known, all: &[NextCrop], year: i16, u: &UnitChoice) -> Markup {
    let needs = needs(known, all);
    let bu = |n: &Need, t: f64| figure((t * units::bushels_per_tonne(n.lb_per_bu) / 10.0).round() * 10.0, 0);
    html! {
        @if !needs.is_empty() {
            section {
                h2 { "What the barn will want" }
                div.scroll tabindex="0" role="region" aria-label="What the barn will want" { table {
                    thead { tr { th scope="col" { "Crop" } th.num scope="col" { "A year of it, bu" } th.num scope="col" { "Planned for " (year) ", bu" } th.num scope="col" { "on" } th scope="col" { "" } } }
                    tbody { @for n in &needs { tr {
                        th scope="row" { (crate::pages::capital(&n.crop)) }
                        td.num { (bu(n, n.year_t.p50)) span.quiet { " (" (bu(n, n.year_t.p10)) " to " (bu(n, n.year_t.p90)) ")" } }
                        td.num { (bu(n, n.planned.0)) }
                        td.num { (words::area(u, n.planned.1)) }
                        td { (verdict(n, u)) }
                    } } }
                } }
                p.quiet { "A year of the herd as it is, by today's least-cost rations; another price turns them to another grain. Planned: the yield taken below, so a dry year makes less. The barn's own plan: " a href="/barn/plan" { "mill or trough" } "." }
            }
        }
    }
}

fn verdict(n: &Need, u: &UnitChoice) -> String {
    let short = n.year_t.p90 - n.planned.0;
    if short <= 0.0 {
        return "Enough, nine years in ten of the herd's appetite.".into();
    }
    let per_ha = if n.planned.1 > 0.0 { n.planned.0 / n.planned.1 } else { 0.0 };
    if per_ha > 0.0 {
        format!("Short by {} more of it at that yield, or buy it.", words::area(u, short / per_ha))
    } else {
        "None is planned: grow some or buy it.".into()
    }
}
