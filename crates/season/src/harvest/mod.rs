//! Harvest on this farm: what the combine leaves behind, the speed that pays, hauling, the order of fields, the hour to
//! stop, and the straw.

pub mod blight;
pub mod combine;
pub mod haul;
pub mod order;
pub mod pays;
pub mod room;
pub mod spread;
pub mod straw;
pub mod tonight;

pub use combine::{CombineAnswer, combine};
pub use haul::{HaulAnswer, haul};
pub use order::{OrderAnswer, order};
pub use pays::{PaysAnswer, pays};
pub use straw::{StrawAnswer, straw};
