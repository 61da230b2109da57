//! `/money`: what each field costs and leaves, by crop and by use, and the cash of the whole farm by month. One page for
//! the kitchen table and the lender.

pub mod cash;
mod fields;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::routing::get;
use maud::{Markup, html};
use stook_barn::{Facts, Whole};
use stook_book::payload::{AreaUnit, UnitChoice};
use stook_measure::{figure, units};
use stook_money::Money;

use super::{Frame, Place, Reply, Trouble, capital, page, send};
use crate::forms::Values;
use crate::server::beside;
use crate::state::Desk;

/// The page.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/money", get(show))
}

async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let frame = Frame::of(&desk, &known);
        let facts = Facts::new(&known.farm, known.as_of);
        let whole = known.whole().ok();
        let today = known.today().ok();
        let outlook = |id: &stook_book::FieldId| {
            today.as_ref()?.fields.iter().find(|f| f.field == id.as_str())?.yield_kg_ha
        };
        let year = asked.get("year").and_then(|y| y.parse().ok());
        let m = stook_money::answer(&facts, whole.as_deref(), &outlook, year);
        Ok(send(view(&frame, &m, whole.as_deref())))
    })
    .await?
}

fn view(frame: &Frame, m: &Money, whole: Option<&Whole>) -> Markup {
    let body = html! {
        h1 { "Money" }
        p.lede { (m.headline) }
        p { (m.sure) }
        @if m.years.len() > 1 { p.screen { "Harvest of: " @for (n, y) in m.years.iter().enumerate() { @if n > 0 { " · " } a href={ "/money?year=" (y) } aria-current=[(*y == m.year).then_some("page")] { (y) } } } }
        @if m.fields.is_empty() {
            p.act { a.btn.yes href="/enter/crop_plan" { "Write a crop plan" } }
        } @else {
            (fields::crops(frame, m))
            (fields::asked(m))
            (fields::uses(frame, m))
            (fields::all(frame, m))
        }
        p.act.screen {
            a.btn href={ "/enter/cost?crop_year=" (m.year) } { "Cost or bill" }
            a.btn href="/enter/price" { "Price" }
            a.btn href="/enter/machine_value" { "Machine: worth and fuel" }
            a.btn href="/enter/payment_due" { "Payment due" }
            a.btn href="/enter/money_in" { "Money to come in" }
        }
        @if let Some(w) = whole { (cash::table(frame, w)) }
        p.screen { a href="/barn/plan" { "Mill or trough" } " · " a href="/harvest/pays" { "What would pay" } " · " a href="/harvest/result" { "What the fields made" } }
        @for n in &m.notes { p.note { (n) } }
    };
    page(frame, Place::Fields, "Money", &body)
}

/// Money by the farm's unit of area.
fn an_area(u: &UnitChoice, per_ha: f64) -> String {
    figure(if u.area == AreaUnit::Acres { per_ha * units::HA_PER_ACRE } else { per_ha }, 0)
}

fn area_word(u: &UnitChoice) -> &'static str {
    if u.area == AreaUnit::Acres { "an acre" } else { "a hectare" }
}

/// A price by the bushel where the farm reads bushels, else by the tonne.
fn a_price(u: &UnitChoice, per_t: f64, lb_per_bu: f64) -> String {
    if u.area == AreaUnit::Acres {
        figure(per_t / units::bushels_per_tonne(lb_per_bu), 2)
    } else {
        figure(per_t, 0)
    }
}

fn price_word(u: &UnitChoice) -> &'static str {
    if u.area == AreaUnit::Acres { "a bushel" } else { "a tonne" }
}
