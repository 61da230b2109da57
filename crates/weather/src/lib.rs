//! Weather series and gaps, radiation, reference evapotranspiration, humidity, snow, hourly course, generator and ensemble.

pub mod day;

pub use day::{Day, Forcing, Site};
