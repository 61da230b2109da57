//! Yield against nitrogen: curves, fitting them to trials, the rate that pays best and how much it matters.
//!
//! Rates and yields are in one pair of units throughout (kg/ha and kg/ha, or lb/ac and bu/ac); the price ratio is the
//! price of a unit of nitrogen over the price of a unit of grain, in the same units.

pub mod critical;
pub mod curve;
pub mod expected;
pub mod fit;
pub mod interval;
pub mod optimum;
pub mod premium;
mod student;

pub use curve::Curve;
pub use expected::{Ceiling, Expected, Follow, expected_optimum};
pub use fit::{Fit, FitError};
pub use optimum::{Found, NoOptimum, optimum};
