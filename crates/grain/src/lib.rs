//! Grain in lots and bins: moisture, air, drying, storage life, blending, grade and settlement.

pub mod emc;
pub mod grain;

pub use emc::{EmcError, EmcSet, EmcTable, Isotherm, Status};
pub use grain::{Grain, Properties};
