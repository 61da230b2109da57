//! Weather series and gaps, radiation, reference evapotranspiration, humidity, snow, hourly course, generator and ensemble.

pub mod calculators;
pub mod climate;
pub mod day;
pub mod degree_days;
pub mod ensemble;
pub mod et0;
pub mod forcing;
pub mod frost;
pub mod generator;
pub mod hourly;
pub mod humidity;
pub mod matrix;
pub mod params;
pub mod psychro;
pub mod quality;
pub mod radiation;
pub mod random;
pub mod series;
pub mod snowpack;
pub mod solar;
pub mod spray;

pub use day::{Day, Forcing, Site};
