//! Inputs: from the soil probe to the drill. One file a page.

pub mod accept;
mod barn_need;
mod drill;
mod drill_list;
mod farm;
mod field_soil;
mod next_crop;
mod prescription;
mod probe;
mod soil_file;

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};
use stook_book::payload::{RateUnit, UnitChoice};
use stook_measure::{figure, units};

use crate::state::Desk;

/// Further pages of this place, as `/inputs` lists them: address and words.
pub const MORE: &[(&str, &str)] = &[
    ("/inputs/next-crop", "Next year's crop"),
    ("/inputs/probe", "Probe list"),
    ("/inputs/manure", "Manure"),
    ("/inputs/order", "The order"),
    ("/inputs/drill", "Drill cards"),
];

/// A laboratory's file is small.
const FILE_LIMIT: usize = 16 * 1024 * 1024;

/// The addresses.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/inputs", get(farm::show))
        .route("/inputs/soil-file", get(soil_file::show))
        .route("/inputs/soil-file/file", post(soil_file::upload).layer(DefaultBodyLimit::max(FILE_LIMIT)))
        .route("/inputs/soil-file/{token}", get(soil_file::preview).post(soil_file::bring_in))
        .route("/inputs/next-crop", get(next_crop::show))
        .route("/inputs/probe", get(probe::show))
        .route("/inputs/drill", get(drill_list::list))
        .route("/inputs/drill/{field}", get(drill::show))
        .route("/inputs/drill/{field}/task-data", get(prescription::send))
        .route("/field/{id}/soil", get(field_soil::show).post(accept::save))
}

/// A rate in the farm's unit: `78`.
pub fn rate(u: &UnitChoice, kg_ha: f64) -> f64 {
    if u.rate == RateUnit::LbAc { units::kg_ha_to_lb_ac(kg_ha) } else { kg_ha }
}

/// The same back.
pub fn to_kg_ha(u: &UnitChoice, x: f64) -> f64 {
    if u.rate == RateUnit::LbAc { units::lb_ac_to_kg_ha(x) } else { x }
}

/// `78 lb/ac`.
pub fn rate_words(u: &UnitChoice, kg_ha: f64) -> String {
    format!("{} {}", figure(rate(u, kg_ha), 0), u.rate.words())
}

/// Money an area in the farm's unit of it: `$4 an acre`.
pub fn money_area(u: &UnitChoice, per_ha: f64) -> String {
    use stook_book::payload::AreaUnit;
    let (x, word) = match u.area {
        AreaUnit::Acres => (per_ha * units::HA_PER_ACRE, "an acre"),
        AreaUnit::Hectares => (per_ha, "a hectare"),
    };
    format!("{}{} {word}", u.money, figure(x, if x.abs() < 10.0 { 2 } else { 0 }))
}
