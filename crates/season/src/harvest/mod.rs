//! Harvest on this farm: what the combine leaves behind, the speed that pays, hauling, the order of fields, the hour to
//! stop, and the straw.

pub mod combine;
pub mod haul;

pub use combine::{CombineAnswer, combine};
pub use haul::{HaulAnswer, haul};
