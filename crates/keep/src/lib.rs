//! Keeping grain: each bin hour by hour on the farm's weather, what its fan should do tonight, what waiting costs.
//!
//! A [`bin_case::Case`] is the bin as the models take it. [`carry`] brings it from its first load to now; [`play`]
//! runs it on through one weather under one [`plan`]; [`compare`] does so over many and picks.

pub mod answer;
pub mod bed_view;
pub mod bin_case;
pub mod carry;
pub mod choices;
pub mod compare;
pub mod farm;
pub mod money;
pub mod params;
pub mod plan;
pub mod play;
pub mod reading;
mod say;
mod sensors;
pub mod signs;
pub mod sky;
mod spring;
pub mod stack;
pub mod work;

pub use answer::BinAir;
pub use farm::{AirFacts, Keeping, Silent, lives};
pub use params::KeepParams;
pub use work::Work;
