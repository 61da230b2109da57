//! Wheat from seed to ripe: seed rate and stand, emergence and stage, ground cover, water-limited yield, spray
//! windows, head blight, ripening and what waiting costs.
//!
//! Everything is a pure function of numbers. A field-day in the season engine is
//! [`stage::WheatState::step`], [`cover::cover`] and [`ripening::KernelMoisture::step`]; none of them allocates.

pub mod calculators;
pub mod cover;
pub mod disease;
pub mod emc;
pub mod emergence;
pub mod frost;
pub mod observe;
pub mod params;
pub mod phase;
pub mod ripening;
pub mod seeding;
pub mod stage;
pub mod thermal;
pub mod waiting;
pub mod weeds;
pub mod windows;
pub mod yield_;

pub use calculators::calculators;
pub use params::CropParams;
pub use phase::Phase;
pub use stage::WheatState;
