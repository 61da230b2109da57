//! What to buy and where the pit goes: the order and the manure plan.

mod manure;
mod order;

use std::sync::Arc;

use axum::Router;
use axum::routing::get;
use stook_book::payload::{RateUnit, UnitChoice};
use stook_measure::{figure, units};

use crate::state::Desk;

/// The pages.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/inputs/order", get(order::show).post(order::take))
        .route("/inputs/manure", get(manure::show).post(manure::take))
}

/// A rate in the farm's unit.
fn rate(u: &UnitChoice, kg_ha: f64) -> f64 {
    if u.rate == RateUnit::LbAc { units::kg_ha_to_lb_ac(kg_ha) } else { kg_ha }
}

/// `90-34-0-10` in the farm's unit.
fn four(u: &UnitChoice, n: stook_fertility::Nutrients) -> String {
    [n.n, n.p2o5, n.k2o, n.s].map(|x| figure(rate(u, x), 0)).join("-")
}

/// Money by the pound or the kilogram, as rates are asked.
fn per_weight(u: &UnitChoice, per_kg: f64) -> String {
    let x = if u.rate == RateUnit::LbAc { per_kg * units::KG_PER_LB } else { per_kg };
    figure(x, 2)
}

/// `lb` or `kg`.
fn weight(u: &UnitChoice) -> &'static str {
    if u.rate == RateUnit::LbAc { "lb" } else { "kg" }
}

/// Money a hectare in the farm's unit of area.
fn per_area(u: &UnitChoice, per_ha: f64) -> String {
    use stook_book::payload::AreaUnit;
    figure(if u.area == AreaUnit::Acres { per_ha * units::HA_PER_ACRE } else { per_ha }, 2)
}

/// A rate of a liquid by volume: `14.2 US gal/ac` or `132 L/ha`.
fn volume_rate(u: &UnitChoice, l_ha: f64) -> String {
    if u.rate == RateUnit::LbAc {
        format!("{} US gal/ac", figure(l_ha / units::L_PER_US_GALLON * units::HA_PER_ACRE, 1))
    } else {
        format!("{} L/ha", figure(l_ha, 0))
    }
}

/// An amount of a liquid by volume.
fn volume(u: &UnitChoice, m3: f64) -> String {
    if u.rate == RateUnit::LbAc {
        format!("{} US gal", figure(1000.0 * m3 / units::L_PER_US_GALLON, 0))
    } else {
        format!("{} m3", figure(m3, 1))
    }
}
