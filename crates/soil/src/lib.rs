//! Soil water, soil temperature and fitness for work.
//!
//! A [`FieldSoil`] is worked out once from a [`Profile`]; the daily [`step`] then carries a [`WaterState`] forward.
//!
//! ```
//! use stook_measure::Reference;
//! use stook_soil::{Cover, DayWater, Drainage, FieldSoil, Profile, SoilParams, TextureClass, WaterState, step};
//! use stook_weather::{Day, Forcing};
//!
//! let params = SoilParams::from_reference(&Reference::shipped());
//! let profile = Profile::uniform(TextureClass::ClayLoam, 1.2, 4.0).unwrap();
//! let soil = FieldSoil::new(&profile, Drainage::Well, &params);
//! let mut state = WaterState::at_fraction(&soil, 0.8);
//! let day = Day { tmax_c: 18.0, tmin_c: 4.0, precip_mm: 12.0, rs_mj_m2: 16.0, ea_kpa: 0.7, wind_2m_ms: 3.0 };
//! let forcing = Forcing { day, tmean_c: 11.0, rain_mm: 12.0, snow_mm: 0.0, eto_mm: 3.0, vpd_kpa: 0.6,
//!     rh_min_pct: 40.0, rh_max_pct: 95.0, daylight_h: 14.0 };
//! let before = state.total_mm();
//! let f = step(&mut state, &soil, &params, &forcing, &DayWater::rain_only(&forcing), &Cover::bare(0.3));
//! let gained = f.infiltration_mm - f.evaporation_mm - f.transpiration_mm - f.drainage_mm;
//! assert!((state.total_mm() - before - gained).abs() < 1e-9);
//! ```

pub mod calculators;
pub mod dual;
pub mod field_soil;
pub mod fitness;
pub mod frost;
pub mod harrow;
pub mod learn;
pub mod params;
pub mod profile;
pub mod runoff;
pub mod temperature;
pub mod texture;
pub mod water;

pub use field_soil::{Drainage, FieldSoil};
pub use fitness::{Binding, Conditions, Fitness, Limit, Limits, Operation, fitness, judge};
pub use harrow::harrow_pass;
pub use learn::{Learned, refit};
pub use params::SoilParams;
pub use profile::{Layer, Profile, SoilError};
pub use temperature::SoilTemp;
pub use texture::{TextureClass, WaterLimits, saxton_rawls};
pub use water::{Cover, DayWater, Fluxes, WaterState, step};
