//! A bin's set-up as the volumes of the grain models.

use stook_book::payload::{Bin, BinFloor};
use stook_grain::bin::{Bin as Round, Floor, Heap};

use crate::params::YardParams;

/// The bin's geometry.
pub fn round(bin: &Bin, heap: &Heap, p: &YardParams) -> Round {
    let floor = match bin.floor {
        BinFloor::Flat {} => Floor::Flat,
        BinFloor::Hopper { height_m, outlet_m } => {
            let outlet_m = outlet_m.unwrap_or(p.outlet_m).min(bin.diameter_m * 0.9);
            let run = (bin.diameter_m - outlet_m) / 2.0;
            let height_m = height_m.unwrap_or_else(|| run * heap.hopper_dry_deg.to_radians().tan());
            Floor::Hopper { height_m, outlet_m }
        }
    };
    Round { diameter_m: bin.diameter_m, wall_m: bin.wall_m, floor }
}

/// Slope of the hopper, degrees; none for a flat floor.
pub fn slope_deg(round: &Round) -> Option<f64> {
    match round.floor {
        Floor::Flat => None,
        Floor::Hopper { height_m, outlet_m } => {
            Some((height_m / ((round.diameter_m - outlet_m) / 2.0).max(1e-9)).atan().to_degrees())
        }
    }
}

/// What the bin holds, m3: by its plate, or heaped by its size.
pub fn capacity_m3(bin: &Bin, round: &Round, heap: &Heap) -> f64 {
    bin.capacity_m3.unwrap_or_else(|| round.heaped_m3(heap.filling_deg))
}
