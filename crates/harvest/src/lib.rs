//! The machines in the field: capacity, the hours a day gives, what drying costs, what lateness costs, and which
//! field comes first.

pub mod calculators;
pub mod capacity;
pub mod drying;
pub mod hours;
pub mod order;
pub mod params;
pub mod timeliness;

pub use calculators::calculators;
pub use params::HarvestParams;
