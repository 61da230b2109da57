//! `/harvest/result`: what each field made, against what was looked for.

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_book::payload::{AreaUnit, Load, UnitChoice, YieldUnit};
use stook_measure::{Reference, figure, units};
use stook_season::Today;
use stook_season::words as season_words;
use stook_yard::result::{FieldResult, results};

use super::super::{Frame, Place, Reply, capital, field_name, page, send, working};
use super::words;
use crate::forms::Values;
use crate::server::beside;
use crate::state::{Desk, Known};

pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let yard = known.yard();
        let years: std::collections::BTreeSet<i16> = yard.ledger.off_fields.keys().map(|k| k.0).collect();
        let this = Load::harvest_year(frame.day());
        let year =
            asked.get("year").and_then(|y| y.parse().ok()).or_else(|| years.last().copied()).unwrap_or(this);
        let all = results(&known.farm, &yard, &known.reference(), year);
        let today = if year == this { known.today().ok() } else { None };
        Ok(send(view(&frame, &known, &all, year, &years, today.as_deref())))
    })
    .await?
}

fn view(
    frame: &Frame,
    known: &Known,
    all: &[FieldResult],
    year: i16,
    years: &std::collections::BTreeSet<i16>,
    today: Option<&Today>,
) -> Markup {
    let body = html! {
        h1 { "What the fields made in " (year) }
        @if years.len() > 1 { ul.words { @for y in years { li { a href={ "/harvest/result?year=" (y) } aria-current=[(*y == year).then_some("page")] { (y) } } } } }
        @if all.is_empty() {
            p { "No load off a field is in the book for that year." }
            p.act { a.btn.yes href="/load" { "Load" } }
        }
        @for r in all { (one(frame, known, r, today)) }
        p { a href="/harvest/task-data" { "Bring in a yield map from the combine's terminal" } }
        @if !all.is_empty() { p.under { "Clean: dockage off, then at market moisture, as a ticket pays. Cost and margin hold only what is in the book." } }
    };
    page(frame, Place::Fields, "What the fields made", &body)
}

/// A yield in the farm's unit, by the crop's own bushel.
pub fn yield_words(u: &UnitChoice, kg_ha: f64, lb_per_bu: f64) -> String {
    let (x, d) = match u.grain_yield {
        YieldUnit::BuAc => (units::kg_ha_to_bu_ac(kg_ha, lb_per_bu), 1),
        YieldUnit::THa => (kg_ha / 1000.0, 2),
        YieldUnit::KgHa => (kg_ha, 0),
        YieldUnit::LbAc => (units::kg_ha_to_lb_ac(kg_ha), 0),
    };
    format!("{} {}", figure(x, d), u.grain_yield.words())
}

fn an_area(u: &UnitChoice, per_ha: f64) -> String {
    match u.area {
        AreaUnit::Acres => format!("{} an acre", season_words::cash(u, per_ha * units::HA_PER_ACRE)),
        AreaUnit::Hectares => format!("{} a hectare", season_words::cash(u, per_ha)),
    }
}

/// A field's result, here and on the field's page.
pub fn one(frame: &Frame, known: &Known, r: &FieldResult, today: Option<&Today>) -> Markup {
    let u = &frame.units;
    let facts = stook_yard::CropFacts::of(
        &Reference::shipped(),
        r.crop.as_ref().unwrap_or(&stook_book::payload::Crop::SpringWheat),
    );
    let outlook =
        today.and_then(|t| t.fields.iter().find(|f| f.field == r.field.as_str())).and_then(|f| f.yield_kg_ha);
    let row = |label: &str, value: String| html! { div { dt { (label) } dd { (value) } } };
    html! {
        section.todo {
            h2 { a href={ "/field/" (r.field) } { (field_name(known, &r.field)) } ": " (yield_words(u, r.yield_kg_ha, r.lb_per_bu))
                @if let Some(c) = &r.crop { " of " (c.words()) } @if !r.done { ", so far" } }
            p.why { (words::grain(u, &facts, r.standard_kg)) " clean at " (figure(r.standard_wb_pct, 1)) "\u{a0}% from " (r.loads) " loads on " (season_words::area(u, r.area_ha)) "."
                @if r.water_kg > 500.0 { " " (words::tonnes(r.water_kg)) " of water was in it over market moisture." }
                @if let (Some(o), true) = (outlook, r.done) { " " (against(u, r, o)) }
            }
            details { summary { "Figures, money and the working" }
                div.ruled { dl {
                    (row("As weighed", words::tonnes(r.gross_kg)))
                    (row("Moisture as weighed", words::class_words(&facts, r.moisture_wb_pct)))
                    (row("Dockage", r.dockage_pct.map_or_else(|| "not tested".into(), words::pct)))
                    (row("Protein at 13.5 %", r.protein_pct.map_or_else(|| "not tested".into(), words::pct)))
                    (row("Test weight", r.test_weight_kg_hl.map_or_else(|| "not tested".into(), |t| format!("{} kg/hL", figure(t, 1)))))
                    @if let Some(d) = r.don_ppm { (row("DON", format!("{} ppm", figure(d, 1)))) }
                    @if let Some(l) = loss(known, r) { (row("Loss found behind the combine", l)) }
                } }
                @if let Some(v) = r.money.value_ha {
                    div.ruled { dl {
                        (row("Value", an_area(u, v)))
                        @for (what, cost) in &r.money.costs { (row(&capital(what), format!("- {}", an_area(u, *cost)))) }
                        @if let Some(m) = r.money.margin_ha { div.sum { dt { "Left for the rest" } dd { (an_area(u, m)) } } }
                    } }
                    p.under { "Not in it: " (r.money.not_counted.join(", ")) ". " a href={ "/money?year=" (r.year) } { "All its costs" } }
                } @else { p.under { "No price for this crop is in the book, so its money is not reckoned. " a href="/enter/price" { "Write a price" } } }
                (working::open(&r.working))
                p { a href={ "/money?year=" (r.year) } { "Every cost and the margin, by field" } " · " a href={ "/field/" (r.field) "/soil" } { "What came off, in nutrients" } }
            }
            (super::super::task_data::links(known, &r.field, r.year))
        }
    }
}

fn against(u: &UnitChoice, r: &FieldResult, o: stook_measure::Range) -> String {
    let range = season_words::wheat_yield_range(u, o);
    let word = if r.yield_kg_ha < o.p10 {
        "under all but one in ten of the weathers"
    } else if r.yield_kg_ha > o.p90 {
        "over all but one in ten of the weathers"
    } else {
        "inside what was looked for"
    };
    format!("The outlook was {range}: {word}.")
}

/// The latest loss found on the field that year.
fn loss(known: &Known, r: &FieldResult) -> Option<String> {
    let record = known.farm.fields.get(&r.field)?;
    let n = record.pan_tests.iter().filter(|t| t.on().year() == r.year).count();
    if n == 0 {
        return None;
    }
    let tests = stook_season::harvest::combine(&known.question()).ok()?;
    let t = tests.tests.iter().rev().find(|t| t.field == r.field.as_str())?;
    Some(format!("{} bu/ac, {} of the crop", figure(t.total_bu_ac, 1), words::pct(t.total_pct)))
}
