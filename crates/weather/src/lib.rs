//! Weather series and gaps, radiation, reference evapotranspiration, humidity, snow, hourly course, generator and ensemble.

pub mod day;
pub mod et0;
pub mod forcing;
pub mod hourly;
pub mod humidity;
pub mod params;
pub mod psychro;
pub mod radiation;
pub mod snowpack;
pub mod solar;
pub mod spray;

pub use day::{Day, Forcing, Site};
