//! Coefficients `harvest.haul.*`: what stands in where the book is silent.

use serde::Serialize;
use stook_measure::Reference;

use super::Variation;

/// What stands in where the book is silent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HaulParams {
    /// Combine tank, kg.
    pub tank_kg: f64,
    /// Combine unloading, kg/h.
    pub unload_kg_h: f64,
    /// Cart unloading, kg/h.
    pub cart_kg_h: f64,
    /// Yard auger, kg/h.
    pub auger_kg_h: f64,
    /// Truck box, kg.
    pub truck_kg: f64,
    /// Cart to the trucks, min.
    pub cart_trip_min: f64,
    /// Combine to the edge, min.
    pub edge_min: f64,
    /// At the auger without pouring, min.
    pub pit_setup_min: f64,
    /// Road besides its length, min.
    pub road_stop_min: f64,
    /// Truck on the road, km/h.
    pub road_kmh: f64,
    /// How times vary.
    pub varies: Variation,
}

impl HaulParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.haul.{what}"));
        Self {
            tank_kg: get("tank_kg"),
            unload_kg_h: get("unload_kg_h"),
            cart_kg_h: get("cart_kg_h"),
            auger_kg_h: get("auger_kg_h"),
            truck_kg: get("truck_kg"),
            cart_trip_min: get("cart_trip_min"),
            edge_min: get("edge_min"),
            pit_setup_min: get("pit_setup_min"),
            road_stop_min: get("road_stop_min"),
            road_kmh: get("road_kmh"),
            varies: Variation {
                fill: get("cv_fill"),
                field: get("cv_field"),
                road: get("cv_road"),
                yard: get("cv_yard"),
            },
        }
    }
}
