//! What the laboratory said, and what the other nutrients want by each way of thinking.

use maud::{Markup, html};
use stook_book::payload::UnitChoice;
use stook_book::{Farm, FieldId};
use stook_inputs::nutrients::Row;
use stook_inputs::report::FieldReport;
use stook_measure::{figure, units};

use super::super::{rate, rate_words};
use crate::draw::map;
use crate::pages::{capital, long_day, working};

pub(super) fn others(r: &FieldReport, u: &UnitChoice) -> Markup {
    let cell = |x: Option<f64>| x.map_or_else(|| "-".into(), |x| figure(rate(u, x), 0));
    let own = r.nutrients.iter().any(|n| n.own_table.is_some());
    html! {
        div.scroll tabindex="0" role="region" aria-label="Nutrients by two ways" { table {
            thead { tr { th scope="col" { (u.rate.words()) } th scope="col" { "test" } th.num scope="col" { "what the crop pays for" } th.num scope="col" { "build and maintain" } th.num scope="col" { "what it takes" } @if own { th.num scope="col" { "our table" } } } }
            tbody { @for n in &r.nutrients { tr {
                th scope="row" { (n.name) }
                td { (n.test) }
                td.num { (cell(n.sufficiency_kg_ha)) } td.num { (cell(n.build_kg_ha)) } td.num { (cell(n.replacement_kg_ha)) }
                @if own { td.num { @match &n.own_table { Some(Ok((_, x))) => (figure(rate(u, *x), 0)), Some(Err(e)) => span.quiet { (capital(e)) }, None => "-" } } }
            } } }
        } }
        @for n in &r.nutrients { (nutrient_notes(n)) }
        p.quiet { "Your guide's own tables: " a href="/enter/rate_table" { "load one as CSV" } "." }
    }
}

fn nutrient_notes(n: &Row) -> Markup {
    html! {
        @if !n.notes.is_empty() { p.quiet { b { (n.name) } ": " (n.notes.join(" ")) } }
        @if let Some(w) = &n.working { (working::folded(w)) }
    }
}

pub(super) fn soil(farm: &Farm, r: &FieldReport, u: &UnitChoice) -> Markup {
    let s = &r.soil;
    let depth = |a: f64, b: f64| format!("{} to {}", figure(a, 0), figure(b, 0));
    html! {
        @match s.sampled {
            None => p { "No soil test in the book. " a href="/inputs/soil-file" { "Bring in the laboratory's file" } " or " a href={ "/enter/soil_test?field=" (r.field) } { "write one" } "." },
            Some(day) => {
                p { "Sampled " (long_day(day)) @if let Some(l) = &s.lab { ", " (l) } @if let Some(k) = &s.kind { ", " (k) } @if !s.zones.is_empty() { " (" (s.zones.join(", ")) ")" } "." }
                @for w in &s.warnings { p.caution { (w) } }
                @if !s.points.is_empty() { (map::points(farm, &FieldId::from(r.field.as_str()), &s.points)) }
                div.scroll tabindex="0" role="region" aria-label="Figures of the sheet" { table {
                    thead { tr { th scope="col" { "What" } @if s.zones.len() > 1 { th scope="col" { "Zone" } } th scope="col" { "Depth, cm" } th scope="col" { "On the sheet" } th.num scope="col" { "ppm of the element" } th.num scope="col" { "lb/ac in the layer" } th scope="col" { "Published bin" } } }
                    tbody { @for l in &s.lines { tr {
                        td { (l.what) }
                        @if s.zones.len() > 1 { td { (l.zone.as_deref().unwrap_or("")) } }
                        td { (depth(l.top_cm, l.bottom_cm)) }
                        td { (l.sheet) @if let Some(p) = &l.problem { br; span.wrong { (p) } } }
                        td.num { (l.ppm.map_or_else(|| "-".into(), |x| figure(x, if x < 10.0 { 1 } else { 0 }))) }
                        td.num { (l.kg_ha.map_or_else(|| "-".into(), |x| figure(units::kg_ha_to_lb_ac(x), 0))) }
                        td { (l.bin.as_deref().unwrap_or("")) }
                    } } }
                } }
                @let used = &s.used;
                p { "To two feet: nitrate nitrogen " b { (used.nitrate_kg_ha.map_or_else(|| "not known".into(), |x| rate_words(u, x))) }
                    @if used.nitrate_kg_ha.is_some() && !used.nitrate_complete { " (not sampled the whole way)" }
                    @if let Some(x) = used.sulphur_kg_ha { ", sulphate sulphur " b { (rate_words(u, x)) } }
                    @if let Some(x) = used.chloride_kg_ha { ", chloride " b { (rate_words(u, x)) } } "." }
                p.quiet { "ppm times 2 is lb/ac for six inches; a measured bulk density is used where there is one. Bins: Alberta Nutrient Management Planning Guide 2007, Table 3.4.2; their words differ by crop, so only the bin is told." }
                @if !s.text.is_empty() { details { summary { "The sheet's own words" } @for t in &s.text { pre.sheet { (t) } } } }
                p { a href={ "/enter/soil_test?field=" (r.field) } { "Write another test" } }
            }
        }
    }
}
