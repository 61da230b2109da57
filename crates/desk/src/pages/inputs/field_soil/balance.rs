//! What went on and what came off by year, and what manure gives.

use maud::{Markup, html};
use stook_book::payload::UnitChoice;
use stook_fertility::Nutrients;
use stook_inputs::manure::credit::{Part, When};
use stook_inputs::report::FieldReport;
use stook_measure::figure;
use stook_season::words;

use super::super::{money_area, rate};
use crate::pages::{told_manure, working};

fn four(u: &UnitChoice, x: &Nutrients) -> String {
    [x.n, x.p2o5, x.k2o, x.s].map(|v| figure(rate(u, v), 0).replace('-', "\u{2212}")).join(" · ")
}

/// What manure gives this crop; nothing where there is none.
pub(super) fn manure(r: &FieldReport, u: &UnitChoice) -> Markup {
    let m = &r.manure;
    let when = |x: &Part| match x.when {
        When::Hauled(d) => format!("hauled {} {}", words::day(d), d.year()),
        When::Planned => "planned, not hauled yet".into(),
        When::Earlier(d, y) => {
            format!("hauled {} {}, {} year", words::day(d), d.year(), if y == 2 { "second" } else { "third" })
        }
    };
    html! {
        @if m.is_none() {
            p.quiet { "No manure is in the book for this crop. " a href="/inputs/manure" { "Plan where the pit goes" } " or " a href={ "/enter/manure_hauled?field=" (r.field) } { "write down what was hauled" } "." }
        } @else {
            p { "Of use to this crop: " b { (four(u, &m.gives_kg_ha)) } " " (u.rate.words()) " of N · P2O5 · K2O · S. It takes " b { (four(u, &r.manure_counted_kg_ha)) } " off what is to be bought, worth " (money_area(u, r.manure_spares_ha)) " at the prices on file." }
            div.scroll tabindex="0" role="region" aria-label="Manure for this crop" { table {
                thead { tr { th scope="col" { "Manure" } th.num scope="col" { "How much" } th scope="col" { "How" } th.num scope="col" { "Ammonium kept" } th scope="col" { "Crop gets, N · P2O5 · K2O · S" } th scope="col" { "Analysis" } } }
                tbody { @for x in &m.parts { tr {
                    td { (when(x)) } td.num { (told_manure::volume(u, x.m3)) } td { (x.how) } td.num { (figure(100.0 * x.kept, 0)) " %" } td { (four(u, &x.gives_kg_ha)) } td { (x.analysis_from) }
                } } }
            } }
            @for n in &m.notes { p.small { (n) } }
            @if let Some(w) = &m.working { (working::folded(w)) }
        }
    }
}

pub(super) fn balance(r: &FieldReport, u: &UnitChoice) -> Markup {
    let none = |x: &Nutrients| *x == Nutrients::NONE;
    html! {
        @if r.balance.is_empty() { p { "Nothing in the book yet: a yield at harvest and what the drill put on make the balance." } }
        @else {
            div.scroll tabindex="0" role="region" aria-label="Balance by year" { table {
                thead { tr { th scope="col" { "Year" } th scope="col" { "Crop and yield" } th scope="col" { "On, N · P2O5 · K2O · S" } th scope="col" { "Off" } th scope="col" { "Sum" } } }
                tbody { @for y in &r.balance { tr {
                    td { (y.year) } td { (y.crop) @if let (Some(x), Some(from)) = (y.yield_kg_ha, &y.yield_from) { br; span.quiet { (figure(rate(u, x), 0)) " " (u.rate.words()) ", " (from) } } @if !y.known { span.quiet { ", no removal table" } } }
                    td { (four(u, &y.applied_kg_ha)) br; span.quiet { (y.applied_from) @if !none(&y.manure_kg_ha) { " (" (four(u, &y.manure_kg_ha)) ")" } } }
                    td { (four(u, &y.removed_kg_ha)) @if !none(&y.straw_kg_ha) { br; span.quiet { "of it straw " (four(u, &y.straw_kg_ha)) } } } td { (four(u, &y.sum_kg_ha)) }
                } } }
            } }
            p.quiet { (u.rate.words()) ". Off: middle of the published range for the grain (by the loads where there are any) and for wheat straw that was " a href={ "/enter/straw_baled?field=" (r.field) } { "written down as baled" } ", potash most of all; no figure for the sulphur of straw was read. On: fertilizer; of manure the nitrogen of use that year and all of the phosphate and potash." }
        }
    }
}
