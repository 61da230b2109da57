//! A day of weather as the models take it.

use serde::{Deserialize, Serialize};

/// Where the weather is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Site {
    /// Latitude, degrees north.
    pub lat_deg: f64,
    /// Longitude, degrees east (negative in the Americas).
    pub lon_deg: f64,
    /// Elevation, m.
    pub elev_m: f64,
}

/// One complete day: nothing missing, nothing derived.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Day {
    /// Highest air temperature, C.
    pub tmax_c: f64,
    /// Lowest air temperature, C.
    pub tmin_c: f64,
    /// Rain and the water in snow, mm.
    pub precip_mm: f64,
    /// Solar radiation on the level, MJ/m2.
    pub rs_mj_m2: f64,
    /// Actual vapour pressure, kPa.
    pub ea_kpa: f64,
    /// Mean wind at 2 m, m/s.
    pub wind_2m_ms: f64,
}

/// A day with what is derived from it once, before any field or crop is known.
///
/// Made by [`crate::forcing::SiteTable::force`]; every field of the farm shares it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Forcing {
    /// The day itself.
    pub day: Day,
    /// (Tmax + Tmin) / 2, C.
    pub tmean_c: f64,
    /// Share of precipitation that fell as rain, mm.
    pub rain_mm: f64,
    /// Water in the snow that fell, mm.
    pub snow_mm: f64,
    /// FAO-56 grass reference evapotranspiration, mm; never below zero here.
    pub eto_mm: f64,
    /// Mean vapour pressure deficit, kPa.
    pub vpd_kpa: f64,
    /// Relative humidity at the warmest hour, %.
    pub rh_min_pct: f64,
    /// Relative humidity at the coolest hour, %.
    pub rh_max_pct: f64,
    /// Sunrise to sunset, h.
    pub daylight_h: f64,
}
