//! The bin yard: the loads of the day book folded into bins.
//!
//! Each bin is a heap of layers, each layer a [`stook_grain::lot::Lot`] that remembers the fields it came from. A load
//! in is a layer on top; a load out of a flat bin comes from the top and the core, so that a truckload drawn has a
//! likely origin. Samples and levels re-anchor what the loads say. Every kilogram that comes in is in a bin, went
//! out, dried off, or is said to be missing: [`ledger::Ledger::gap_kg`] is nothing.

pub mod adds_up;
pub mod crops;
pub mod fold;
pub mod graded;
pub mod heap;
pub mod jobs;
pub mod ledger;
pub mod params;
pub mod result;
pub mod shape;
pub mod source;
pub mod state;
pub mod terms;
pub mod ticket;
pub mod weight;

pub use crops::CropFacts;
pub use fold::Yard;
pub use heap::Layer;
pub use ledger::Ledger;
pub use params::YardParams;
pub use source::Source;
pub use state::{BinEvent, BinState, Happened, Moved, Notice};
