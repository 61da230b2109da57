//! Inputs: every field, what is decided, what it adds up to, and the way to each sheet.

use std::sync::Arc;

use axum::extract::State;
use maud::{Markup, html};
use stook_fertility::Nutrients;
use stook_inputs::report::{FarmReport, FieldReport, farm_report, year_decided_on};
use stook_measure::{Reference, figure};
use stook_season::words;

use super::rate;
use crate::pages::{Frame, Place, Reply, Trouble, page, send};
use crate::server::beside;
use crate::state::Desk;

/// `/inputs`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let year = year_decided_on(frame.day());
        let ceilings = known.ceilings(year)?;
        let r = farm_report(&known.farm, &Reference::shipped(), &ceilings, frame.day(), year);
        Ok(send(view(&frame, &r)))
    })
    .await?
}

fn headline(r: &FarmReport) -> String {
    let open: Vec<&str> =
        r.fields.iter().filter(|f| f.plan.is_none() && wants(f)).map(|f| f.name.as_str()).collect();
    match open.len() {
        0 if r.decided == 0 => format!("No field is planned for {} yet.", r.crop_year),
        0 => format!("All {} fields are decided for {}.", r.decided, r.crop_year),
        1 => format!("{} is still to decide for {}.", open[0], r.crop_year),
        n => format!("{n} fields are still to decide for {}: {} first.", r.crop_year, open[0]),
    }
}

/// Whether a field takes fertilizer at all this year.
fn wants(f: &FieldReport) -> bool {
    let p = &f.proposed;
    f.crop.is_some() && p.n_kg_ha + p.p2o5_kg_ha + p.k2o_kg_ha + p.s_kg_ha > 0.0
}

fn view(frame: &Frame, r: &FarmReport) -> Markup {
    let u = &frame.units;
    let four = |x: [f64; 4]| x.map(|v| figure(rate(u, v), 0)).join("-");
    let tonnes = |n: &Nutrients| [n.n, n.p2o5, n.k2o, n.s].map(|x| figure(x / 1000.0, 1));
    let dry = |f: &FieldReport| match f.soil.sampled {
        None => "no test".to_string(),
        Some(d) => format!("{} {}", words::day(d), d.year()),
    };
    let body = html! {
        h1.lede.prints-dense { (headline(r)) }
        ul.words.off-print {
            li { a href="/inputs/soil-file" { "Soil tests from a file" } }
            @for (href, word) in super::MORE { li { a href=(href) { (word) } } }
        }
        div.scroll tabindex="0" role="region" aria-label="Fields" { table {
            caption { "Crop year " (r.crop_year) ", N - P2O5 - K2O - S in " (u.rate.words()) }
            thead { tr { th scope="col" { "Field" } th scope="col" { "Crop" } th scope="col" { "Soil test" } th scope="col" { "Plan" } th.num scope="col" { "Area" } } }
            tbody { @for f in &r.fields { tr {
                td { a href={ "/field/" (f.field) "/soil" } { (f.name) } @if !f.soil.warnings.is_empty() { " " span.quiet { "(" (f.soil.warnings.len()) " to mind)" } } }
                td { (f.crop.as_deref().unwrap_or("none written")) }
                td { (dry(f)) @if f.soil.used.nitrate_stale { span.quiet { ", nitrate old" } } }
                td {
                    @match &f.plan {
                        Some(p) => { b.npks { (four([p.n_kg_ha, p.p2o5_kg_ha, p.k2o_kg_ha, p.s_kg_ha])) } },
                        None if wants(f) => { span.npks { (four([f.proposed.n_kg_ha, f.proposed.p2o5_kg_ha, f.proposed.k2o_kg_ha, f.proposed.s_kg_ha])) } br; span.quiet { "proposed" } },
                        None => span.quiet { "none" },
                    }
                }
                td.num { (words::area(u, f.area_ha)) }
            } } }
        } }
        section {
            h2 { "In all, tonnes of nutrient" }
            table {
                thead { tr { th scope="col" { "" } th.num scope="col" { "N" } th.num scope="col" { "P2O5" } th.num scope="col" { "K2O" } th.num scope="col" { "S" } } }
                tbody {
                    tr { th scope="row" { "decided" } @for t in tonnes(&r.decided_kg) { td.num { (t) } } }
                    tr { th scope="row" { "proposed, still open" } @for t in tonnes(&r.open_kg) { td.num { (t) } } }
                    tr { th scope="row" { "both" } @for t in tonnes(&(r.decided_kg + r.open_kg)) { td.num { b { (t) } } } }
                }
            }
        }
    };
    page(frame, Place::Inputs, "Inputs", &body)
}
