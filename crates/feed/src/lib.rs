//! Feeding pigs and goats from own grain: ingredients, needs, growth and intake, least-cost rations, batches.

pub mod became;
pub mod calculators;
pub mod diet;
pub mod goat;
pub mod growth;
pub mod hand;
pub mod ingredient;
pub mod limits;
pub mod market;
pub mod mixer;
pub mod need;
pub mod nutrient;
pub mod own_grain;
pub mod params;
pub mod particle;
pub mod plan;
pub mod ration;
mod table;
pub mod toxin;

pub use calculators::calculators;
pub use ingredient::Ingredient;
pub use need::{Need, Phase, Sex};
pub use nutrient::{Composition, Nutrient};
pub use params::FeedParams;
