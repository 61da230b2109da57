//! Grain in lots and bins: moisture, air, drying, storage life, blending, grade and settlement.

pub mod air;
pub mod auger;
pub mod bed;
pub mod bin;
pub mod calculators;
pub mod control;
pub mod corn_loss;
pub mod course;
pub mod don;
pub mod drier;
pub mod emc;
pub mod fan;
pub mod grade;
pub mod grain;
pub mod life;
pub mod loss;
pub mod lot;
pub mod malting;
pub mod moist;
pub mod moisture_class;
pub mod natural;
pub mod pests;
pub mod price;
pub mod settle;
pub mod store;
pub mod test_weight;

pub use air::Resistance;
pub use bin::{Bin, Floor, Heap};
pub use emc::{EmcError, EmcSet, EmcTable, Isotherm, Status};
pub use fan::{Curve, FanParams, Operating, Point};
pub use grain::{Grain, Properties};
pub use life::{Life, LifeParams, Spent};
