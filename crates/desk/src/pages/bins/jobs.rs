//! `/bins/jobs`: a job for every bin before harvest, what has no room, what to clean, and the wet grain likely.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_book::payload::{Crop, Load};
use stook_grain::drier::water_per_wet_kg;
use stook_measure::{Reference, figure};
use stook_season::Today;
use stook_yard::jobs::{self, BinPlan, Expected};
use stook_yard::{CropFacts, Yard};

use super::super::{Frame, Place, Reply, bin_name, field_name, page, send};
use super::words;
use crate::server::beside;
use crate::state::{Desk, Known};

pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let (yard, today, r) = (known.yard(), known.today()?, known.reference());
        let year = Load::harvest_year(frame.day());
        let (expected, unknown) = expected(&known, &yard, &today, &r, year);
        let plan = jobs::plan(&yard, &r, &expected, year);
        let don = stook_season::harvest::blight::expected_don(&known.question())?;
        let results = stook_yard::result::results(&known.farm, &yard, &r, year);
        let uses = super::uses::section(&frame, &known, &expected, &don, &results);
        Ok(send(view(&frame, &known, &yard, &r, year, &expected, &unknown, &plan, &uses)))
    })
    .await?
}

/// Grain still to come off this year's fields, and the fields of which nothing is known.
fn expected(
    known: &Known,
    yard: &Yard,
    today: &Today,
    r: &Reference,
    year: i16,
) -> (Vec<Expected>, Vec<String>) {
    let (mut out, mut unknown) = (Vec::new(), Vec::new());
    for record in known.farm.fields.values() {
        let f = record.field();
        let Some(plan) = record.plan(year) else { continue };
        let grain = !matches!(plan.crop, Crop::Hay | Crop::Fallow);
        if !grain || record.cut_on(year).is_some() || yard.ledger.off_field(year, &f.id).is_some() {
            continue;
        }
        let outlook = today.fields.iter().find(|o| o.field == f.id.as_str()).and_then(|o| o.yield_kg_ha);
        let found = match outlook {
            Some(y) => Some(Expected {
                field: f.id.clone(),
                crop: plan.crop.clone(),
                low_kg: y.p10 * f.area_ha,
                kg: y.p50 * f.area_ha,
                high_kg: y.p90 * f.area_ha,
                why: "the outlook".into(),
            }),
            None => jobs::by_own_years(&known.farm, yard, r, year, &f.id),
        };
        match found {
            Some(e) => out.push(e),
            None => unknown.push(f.name.clone()),
        }
    }
    (out, unknown)
}

#[allow(clippy::too_many_arguments)] // what the page shows, each its own
fn view(
    frame: &Frame,
    known: &Known,
    yard: &Yard,
    r: &Reference,
    year: i16,
    expected: &[Expected],
    unknown: &[String],
    plan: &BinPlan,
    uses: &Markup,
) -> Markup {
    let u = &frame.units;
    let sum = |m: &std::collections::BTreeMap<String, f64>| -> String {
        m.iter().map(|(crop, kg)| format!("{} of {crop}", words::tonnes(*kg))).collect::<Vec<_>>().join(", ")
    };
    let headline = if expected.is_empty() {
        "No grain is left to come in this year.".to_string()
    } else if !plan.no_room.is_empty() {
        format!("No room for {}.", sum(&plan.no_room))
    } else if !plan.no_room_high.is_empty() {
        format!("Room for all that is likely; in one year of ten none for {}.", sum(&plan.no_room_high))
    } else {
        "Room for all of it, also in one year of ten.".into()
    };
    let body = html! {
        h1 { "A job for every bin, harvest " (year) }
        p.lede { (headline) }
        @if !plan.no_room.is_empty() { p { "Sell some off the combine, empty a bin of old grain, or lay a pile on dry ground." } }
        @for name in unknown { p.note { (name) ": no yield is known, so it has no bin. Write the most it makes in its crop plan." } }
        section { h2 { "Bins" }
            ul.entries { @for j in &plan.jobs { @if let Some(b) = yard.bin(&j.bin) {
                @let facts = j.crop.as_ref().map_or_else(|| b.facts.clone(), |c| CropFacts::of(r, c));
                li {
                    p { a href={ "/bins/" (j.bin) } { b { (bin_name(known, &j.bin)) } } ": "
                        @if j.parts.is_empty() {
                            @if b.is_empty() { "nothing; for " (b.bin.job.words()) } @else { "stays as it is" }
                        } @else {
                            @for (i, p) in j.parts.iter().enumerate() { @if i > 0 { ", " } a href={ "/field/" (p.field) } { (field_name(known, &p.field)) } " " (words::short(u, &facts, p.kg)) }
                            " of " (j.crop.as_ref().map_or("grain", |c| c.words()))
                        }
                    }
                    p.quiet {
                        @if !j.parts.is_empty() { "room left then " (words::short(u, &facts, j.left_kg)) ". " }
                        @if !j.first.is_empty() { b { (j.first) } }
                    }
                }
            } } }
            p.under { "The largest fields first, each into the bin it fits with the least left over; a bin keeps to one crop; wet and seed bins are left free; new grain never goes onto old. Change a bin's job or crop in " a href="/setup" { "Set-up" } " and this changes. Lock out the unloader; nobody inside with power on." }
        }
        section { h2 { "What is likely to come" }
            div.scroll tabindex="0" role="group" aria-label="What is likely to come" { table {
                thead { tr { th { "Field" } th { "Crop" } th.num { "1 in 10 less, middle, 1 in 10 more" } th { "From" } } }
                tbody { @for e in expected { @let facts = CropFacts::of(r, &e.crop); tr {
                    td { (field_name(known, &e.field)) }
                    td { (e.crop.words()) }
                    td.num { (words::short(u, &facts, e.low_kg)) " - " (words::short(u, &facts, e.kg)) " - " (words::short(u, &facts, e.high_kg)) }
                    td { (e.why) }
                } } }
            } }
        }
        (uses)
        (wet(frame, known, yard, r, year, expected))
    };
    page(frame, Place::Bins, "A job for every bin", &body)
}

/// Wet grain likely, and the fuel to dry it.
fn wet(frame: &Frame, known: &Known, yard: &Yard, r: &Reference, year: i16, expected: &[Expected]) -> Markup {
    let mut crops: Vec<&Crop> = expected.iter().map(|e| &e.crop).collect();
    crops.sort();
    crops.dedup();
    let litres = |wet_kg: f64, market: f64, points: f64| {
        wet_kg * water_per_wet_kg(market + points, market) * r.get("grain.drier.mj_per_kg_water")
            / r.get("grain.drier.propane_mj_l")
    };
    let rows: Vec<_> = crops
        .into_iter()
        .filter_map(|crop| {
            let w = jobs::wetness(yard, r, crop, year)?;
            let facts = CropFacts::of(r, crop);
            let market = facts.market_wb_pct?;
            let of = |f: &dyn Fn(&Expected) -> f64| -> f64 {
                expected.iter().filter(|e| e.crop == *crop).map(f).sum()
            };
            // One or two years say little of a spread: half to twice the share, held to what there is.
            let (low, high) = if w.years > 2 {
                (w.share_low, w.share_high)
            } else {
                (0.5 * w.share, (2.0 * w.share).min(1.0))
            };
            let kg = (of(&|e| e.low_kg) * low, of(&|e| e.kg) * w.share, of(&|e| e.high_kg) * high);
            let fuel = [kg.0, kg.1, kg.2].map(|k| litres(k, market, w.points));
            Some((crop, facts, w, kg, fuel))
        })
        .collect();
    let total = |i: usize| rows.iter().map(|x| x.4[i]).sum::<f64>();
    html! {
        section { h2 { "Wet grain likely, and fuel to dry it" }
            @if rows.is_empty() { p { "No load of another year with its moisture is in the book, so there is nothing of yours to go by." } }
            @else {
                p { "Propane: about " b { (figure(total(1), 0)) " L" } " (" (figure(total(0), 0)) " to " (figure(total(2), 0)) "), if all that comes in over market moisture is dried with heat." }
                div.scroll tabindex="0" role="group" aria-label="Wet grain likely" { table {
                    thead { tr { th { "Crop" } th.num { "Over market moisture" } th.num { "By" } th.num { "Likely this year" } th.num { "Propane" } } }
                    tbody { @for (crop, facts, w, kg, fuel) in &rows { tr {
                        td { (crop.words()) }
                        td.num { (figure(100.0 * w.share, 0)) "\u{a0}% of it" }
                        td.num { (figure(w.points, 1)) " points" }
                        td.num { (words::short(&frame.units, facts, kg.0)) " - " (words::short(&frame.units, facts, kg.1)) " - " (words::short(&frame.units, facts, kg.2)) }
                        td.num { (figure(fuel[1], 0)) " L" }
                    } } }
                } }
                p.under { "By your own loads of " (rows.iter().map(|x| x.2.years).max().unwrap_or(0)) " year(s). With one or two years the share is taken as half to twice: a judgement. Heat " (figure(r.get("grain.drier.mj_per_kg_water"), 1)) " MJ for each kilogram of water, " (figure(r.get("grain.drier.propane_mj_l"), 1)) " MJ in a litre; air that dries without heat saves its part. " a href="/emergency" { "Emergency sheet" } }
                p.caution { "Driers burn grain and barns: clean it before you light it, watch it while it runs, extinguisher at hand; carbon monoxide in closed places." }
            }
            @if known.farm.bins.is_empty() { p { "No bins are in the book." } }
        }
    }
}
