//! The sprayer as arithmetic: what goes into each tank, what a nozzle gives, how fast to drive, what rate it worked.
//!
//! Numbers in, numbers out; areas in ha, volumes in L, dry products in kg.
//!
//! ```
//! use stook_spray::tank::{Job, Part, Per, fills};
//!
//! let job = Job { area_ha: 57.0, water_l_ha: 94.0, tank_l: 4500.0, left_l: 0.0, even: false };
//! let sheet = fills(&job, &[Part { per: Per::LPerHa(2.0) }]).unwrap();
//! assert_eq!(sheet.fills.len(), 2);
//! assert!((sheet.totals[0] - 114.0).abs() < 1e-9);
//! ```

pub mod calculators;
pub mod green;
pub mod nozzle;
pub mod params;
pub mod tank;

pub use params::SprayParams;
