//! Spraying: which hours of the next days fit, for which fields, under whose limits; what the intervals forbid; what an
//! inspector asks; and all of it as a calendar.
//!
//! The label always rules. Nothing here is more than the farm's own reading of it.

pub mod air;
pub mod answer;
pub mod calendar;
pub mod green;
pub mod green_money;
pub mod hours;
pub mod intervals;
pub mod limits;
pub mod mix;
mod outlook;
pub mod record;
pub mod stage;

pub use answer::{SprayAnswer, SprayDay, SprayField, SprayHour};
pub use outlook::{SprayAsk, spray};
