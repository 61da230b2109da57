//! Where the pit goes: which field, at what rate, what a load is worth, and the days of room left.
//!
//! [`plan`] is a linear program over pits and fields in plain numbers; [`answer`] reads it from the book; [`credit`] is what
//! manure hauled or planned gives a field's crop.

pub mod answer;
pub mod credit;
pub mod gather;
mod haul;
pub mod plan;
pub mod room;
mod say;
pub mod ways;

pub use answer::{Manure, Pit, manure, rate, volume};
pub use credit::{Credit, credit};
pub use haul::Haul;
pub use ways::{Air, Way};
