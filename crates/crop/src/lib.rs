//! Wheat from seed to ripe: seed rate and stand, emergence and stage, ground cover, water-limited yield, spray
//! windows, head blight, ripening and what waiting costs.
//!
//! Everything is a pure function of numbers. A field-day in the season engine is
//! [`stage::WheatState::step`], [`cover::cover`] and [`ripening::KernelMoisture::step`]; none of them allocates.
//!
//! ```
//! use stook_crop::observe::Seen;
//! use stook_crop::ripening::KernelMoisture;
//! use stook_crop::{CropParams, Phase, WheatState, cover, windows, yield_};
//!
//! let p = CropParams::shipped();
//! let mut wheat = WheatState::sown(4.0, p);
//! assert_eq!(wheat.phase(p), Phase::Seeded);
//!
//! // A person counted three and a half leaves: the model takes it over.
//! wheat.re_anchor(Seen::Leaves(3.5), p);
//! let window = windows::herbicide(wheat.leaves(p), wheat.phase(p), windows::WeedSpray::General, &p.window);
//! assert_eq!(window, windows::Window::Best);
//! assert!(cover::cover(&wheat, p).kcb > 0.15);
//!
//! // 120 mm in the ground and 180 mm of rain give about 39 bushels an acre.
//! let x = yield_::YieldInputs::water_only(120.0, 180.0, 4500.0);
//! assert_eq!(yield_::yield_kg_ha(&x, &p.yield_).round(), 2627.0);
//!
//! // A moisture of 30 % means filling is over.
//! let grain = wheat.re_anchor_moisture(30.0, p);
//! assert!(wheat.is_mature(p) && grain == KernelMoisture::measured(30.0));
//! ```

pub mod calculators;
pub mod cover;
pub mod disease;
pub mod emc;
pub mod emergence;
pub mod frost;
pub mod insects;
pub mod observe;
pub mod params;
pub mod phase;
pub mod ripening;
pub mod seeding;
pub mod stage;
pub mod stand;
pub mod thermal;
pub mod waiting;
pub mod weeds;
pub mod windows;
pub mod yield_;

pub use calculators::calculators;
pub use params::CropParams;
pub use phase::Phase;
pub use stage::WheatState;
