//! Where the pit goes: which field, at what rate, what a load is worth, and the days of room left.
//!
//! [`plan`] is a linear program over pits and fields in plain numbers; [`answer`] reads it from the book.

pub mod answer;
pub mod gather;
pub mod plan;
pub mod room;

pub use answer::{Haul, Manure, Pit, Way, manure, rate, volume};
