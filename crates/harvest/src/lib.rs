//! The machines in the field: capacity, the hours a day gives, what drying costs, what lateness costs, and which
//! field comes first.
//!
//! ```
//! use stook_harvest::order::{Job, order};
//! use stook_harvest::{HarvestParams, capacity, drying};
//!
//! let p = HarvestParams::shipped();
//! // A 40 ft drill at 5 mph, seven tenths of the time at full width and speed.
//! assert_eq!(capacity::acres_per_hour(40.0, 5.0, 0.7).round(), 17.0);
//! // Three points off 200 t.
//! assert!(drying::drying_cost(200.0, 17.5, 14.5, &p.drying).money > 0.0);
//! // The field that loses more for each hour of work goes first.
//! let fields = [Job { hours: 10.0, loss_rate: 50.0 }, Job { hours: 6.0, loss_rate: 60.0 }];
//! assert_eq!(order(&fields), [1, 0]);
//! ```

pub mod adjust;
pub mod calculators;
pub mod capacity;
pub mod combine;
pub mod costs;
pub mod drying;
pub mod haul;
pub mod hours;
pub mod night;
pub mod order;
pub mod owning;
pub mod params;
pub mod queue;
pub mod road;
pub mod search;
pub mod speed;
pub mod straw;
pub mod timeliness;

pub use calculators::calculators;
pub use params::HarvestParams;
