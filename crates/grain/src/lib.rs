//! Grain in lots and bins: moisture, air, drying, storage life, blending, grade and settlement.

pub mod air;
pub mod bin;
pub mod emc;
pub mod fan;
pub mod grain;

pub use air::Resistance;
pub use bin::{Bin, Floor, Heap};
pub use emc::{EmcError, EmcSet, EmcTable, Isotherm, Status};
pub use fan::{Curve, FanParams, Operating, Point};
pub use grain::{Grain, Properties};
