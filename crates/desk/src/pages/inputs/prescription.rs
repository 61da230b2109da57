//! A prescription for a terminal, made from the drill card: one product at a time, by the field's zones where it has
//! any, as task data (ISO 11783-10) packed into one file.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use maud::{Markup, html};
use stook_book::boundary::{self, Geometry};
use stook_book::{Farm, FieldId};
use stook_inputs::drill_card::{Card, CardAsked, card};
use stook_inputs::report::year_decided_on;
use stook_measure::Reference;
use stook_taskdata::prescription::GRID;
use stook_taskdata::{Outline, Prescription, Zone, folder, prescription};

use crate::forms::Values;
use crate::pages::task_data::download;
use crate::pages::{Frame, Reply, Trouble, sentence};
use crate::server::beside;
use crate::state::Desk;

/// The seed, among the products.
const SEED: &str = "seed";
/// Side of a cell, m: a drill's sections are about so wide.
const CELL_M: f64 = 20.0;

/// `/inputs/drill/{field}/task-data?product=KEY`
pub async fn send(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let year = year_decided_on(frame.day());
        let field = FieldId(id);
        let soil = known.ceilings(year)?.first().map(|c| c.soil_temp_c);
        let c =
            card(&known.farm, &Reference::shipped(), &field, frame.day(), year, soil, &CardAsked::default())
                .ok_or_else(|| Trouble::missing("There is no field of that name in the book."))?;
        let product = asked.get("product").map_or(SEED, String::as_str);
        let cannot = |text: String| Trouble::Say(StatusCode::UNPROCESSABLE_ENTITY, text);
        let (name, rate) = rate_of(&c, product).ok_or_else(|| {
            cannot(format!(
                "The card of {} has no rate for \"{product}\"; accept a plan or write a seed lot first.",
                c.name
            ))
        })?;
        let p = of(&known.farm, &field, &c, &name, rate).map_err(cannot)?;
        let files = prescription(&p).map_err(|e| cannot(sentence(&e)))?;
        let grid = format!("TASKDATA/{GRID}.bin");
        let all = [("TASKDATA/TASKDATA.XML", files.xml.as_bytes()), (grid.as_str(), files.grid.as_slice())];
        let packed = folder::pack(all).map_err(|e| cannot(sentence(&e)))?;
        Ok(download(&format!("{}-{product}-{year}.zip", c.field), packed))
    })
    .await?
}

/// Name and rate of the seed or a product, kg/ha.
fn rate_of(c: &Card, product: &str) -> Option<(String, f64)> {
    if product == SEED {
        let s = c.seed.as_ref().ok()?;
        return Some((format!("seed {}", s.cultivar.as_deref().unwrap_or(&s.lot)), s.exact_kg_ha));
    }
    let lines: Vec<_> = c.products.iter().filter(|l| l.key == product).collect();
    Some((lines.first()?.name.clone(), lines.iter().map(|l| l.kg_ha).sum()))
}

fn of(farm: &Farm, field: &FieldId, c: &Card, product: &str, rate: f64) -> Result<Prescription, String> {
    let record = farm.fields.get(field).ok_or("There is no such field.")?;
    let shape = record.field().boundary.as_ref().ok_or_else(|| {
        format!(
            "{} has no outline, and a terminal wants one: bring it in under Fields, Outlines and zones.",
            c.name
        )
    })?;
    let mut zones = Vec::new();
    for z in record.zones.iter().flat_map(|z| &z.is.zones) {
        zones.push(Zone {
            name: z.name.clone(),
            rate_kg_ha: rate * z.rate_pct / 100.0,
            outline: outline(&z.boundary)?,
        });
    }
    zones.push(Zone { name: "rest of the field".into(), rate_kg_ha: rate, outline: Outline::default() });
    Ok(Prescription {
        farm: farm.set_up.as_ref().map_or_else(|| "farm".into(), |f| f.is.name.clone()),
        field: c.name.clone(),
        area_m2: 10_000.0 * c.area_ha,
        outline: outline(shape)?,
        product: product.into(),
        task: format!("{product} on {}", c.name),
        zones,
        cell_m: CELL_M,
    })
}

fn outline(shape: &Geometry) -> Result<Outline, String> {
    boundary::rings(shape).map(Outline).map_err(|e| sentence(&e))
}

/// On the drill card: what can be taken to a terminal.
pub fn offer(c: &Card) -> Markup {
    let link = |key: &str, word: &str| html! { li { a href={ "/inputs/drill/" (c.field) "/task-data?product=" (key) } { (word) } } };
    html! {
        @if c.seed.is_ok() || !c.products.is_empty() {
            h2 { "For the drill's terminal" }
            p { "A prescription as task data (ISO 11783-10), one product a file, by the field's zones where it has any. Unpack it onto the stick and prove it on your own terminal." }
            ul.words {
                @if c.seed.is_ok() { (link(SEED, "Seed")) }
                @for l in &c.products { (link(&l.key, &l.name)) }
                li { a href="/fields/outlines" { "Outlines and zones" } }
            }
        }
    }
}
