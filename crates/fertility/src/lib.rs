//! From the soil probe to the drill: what a soil test says, how much of each nutrient a field wants and what that is
//! worth, what the barn's manure gives, which products hold it, what the seed bears beside it, and how the drill is set.
//!
//! Everything is a pure function of numbers. Inside stands kg/ha; where a published table is in lb/ac and rounds in
//! whole pounds (the seed row), the name says so. Phosphorus and potassium are oxides from
//! [`nutrients::Nutrients`] on, and elements only where a laboratory or a book prints them so.
//!
//! ```
//! use stook_fertility::response::{Ceiling, Curve, Follow, expected, expected_optimum, optimum};
//!
//! let curve = Curve::QuadraticPlateau { plateau: 60.0, bend: 0.004, from: 120.0 };
//! let textbook = optimum(&curve, 0.65 / 7.50, 200.0).unwrap();
//! let ceilings = Ceiling::equal(&[40.0, 60.0, 80.0]);
//! let curves = expected::curves(&curve, 40.0, &ceilings, Follow::SameApproach).unwrap();
//! let best = expected_optimum(&curves, 7.50, 0.65, 200.0).unwrap();
//! assert!(best.rate > textbook.rate);
//! ```

pub mod blend;
pub mod calculators;
pub mod drill;
pub mod fills;
pub mod manure;
pub mod micronutrients;
pub mod nitrogen;
pub mod nutrients;
pub mod params;
pub mod phosphate_potash;
pub mod product;
pub mod protein;
pub mod removal;
pub mod response;
pub mod safety;
pub mod seed_row;
pub mod seed_row_check;
pub mod soil_test;
pub mod stand_loss;
pub mod sufficiency;
pub mod sulphur_chloride;
pub mod surface_urea;
pub mod table;

pub use calculators::calculators;
pub use nutrients::{Nutrient, Nutrients};
pub use params::FertilityParams;
