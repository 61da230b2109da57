//! Reference evapotranspiration.
//!
//! FAO-56 daily is what the crop coefficients are tied to. The ASCE hourly form, summed, is the better one when
//! hourly readings exist. Never use the tall reference with FAO-56 coefficients. Winter values can be slightly below
//! zero and are given as they come; never let them add water to a soil.
//!
//! Sources: FAO-56 (Allen and others 1998) Eq. 6, 52, 53; ASCE-EWRI (2005), the standardized equation.

use crate::humidity;

/// MJ/m2 to mm of water at 2.45 MJ/kg (FAO-56 Eq. 20).
pub const MM_PER_MJ: f64 = 0.408;

/// The Penman-Monteith combination both standards share, mm in the step of `cn`.
///
/// `available_mj_m2` is net radiation less heat into the ground; `vpd_kpa` the deficit; `cn` and `cd` carry the
/// reference crop and the step.
#[allow(clippy::too_many_arguments)] // the equation has these eight terms
pub fn combination(
    slope: f64,
    gamma: f64,
    available_mj_m2: f64,
    temp_c: f64,
    wind_2m_ms: f64,
    vpd_kpa: f64,
    cn: f64,
    cd: f64,
) -> f64 {
    (MM_PER_MJ * slope * available_mj_m2 + gamma * cn / (temp_c + 273.0) * wind_2m_ms * vpd_kpa)
        / (slope + gamma * (1.0 + cd * wind_2m_ms))
}

/// FAO-56 grass reference of a day, mm/d (Eq. 6), from net radiation and heat into the ground.
/// Wind below 0.5 m/s should be raised to 0.5 first (FAO-56 p. 63).
pub fn fao56_daily(
    tmax_c: f64,
    tmin_c: f64,
    ea_kpa: f64,
    wind_2m_ms: f64,
    net_mj_m2: f64,
    ground_mj_m2: f64,
    elev_m: f64,
) -> f64 {
    let mean = 0.5 * (tmax_c + tmin_c);
    let gamma = humidity::gamma(humidity::pressure(elev_m));
    let vpd = humidity::vpd_daily(tmax_c, tmin_c, ea_kpa);
    combination(humidity::slope(mean), gamma, net_mj_m2 - ground_mj_m2, mean, wind_2m_ms, vpd, 900.0, 0.34)
}

/// FAO-56 grass reference of an hour, mm/h (Eq. 53); ground heat is a tenth of net radiation by day, half by night.
pub fn fao56_hourly(temp_c: f64, ea_kpa: f64, wind_2m_ms: f64, net_mj_m2: f64, elev_m: f64) -> f64 {
    let gamma = humidity::gamma(humidity::pressure(elev_m));
    let ground = if net_mj_m2 > 0.0 { 0.1 } else { 0.5 } * net_mj_m2;
    let vpd = humidity::e0(temp_c) - ea_kpa;
    combination(humidity::slope(temp_c), gamma, net_mj_m2 - ground, temp_c, wind_2m_ms, vpd, 37.0, 0.34)
}

/// Which reference crop of the ASCE standard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cover {
    /// Clipped grass, 0.12 m.
    Short,
    /// Full-cover alfalfa, 0.5 m.
    Tall,
}

/// Slope of the saturation curve in the ASCE writing, kPa/C.
fn slope_asce(temp_c: f64) -> f64 {
    2503.0 * (17.27 * temp_c / (temp_c + 237.3)).exp() / (temp_c + 237.3).powi(2)
}

/// ASCE standardized reference of a day, mm/d.
pub fn asce_daily(
    cover: Cover,
    tmax_c: f64,
    tmin_c: f64,
    ea_kpa: f64,
    wind_2m_ms: f64,
    net_mj_m2: f64,
    elev_m: f64,
) -> f64 {
    let (cn, cd) = match cover {
        Cover::Short => (900.0, 0.34),
        Cover::Tall => (1600.0, 0.38),
    };
    let mean = 0.5 * (tmax_c + tmin_c);
    let gamma = 0.000665 * humidity::pressure(elev_m);
    let vpd = humidity::vpd_daily(tmax_c, tmin_c, ea_kpa).max(0.0);
    combination(slope_asce(mean), gamma, net_mj_m2, mean, wind_2m_ms, vpd, cn, cd)
}

/// ASCE standardized reference of an hour, mm/h.
pub fn asce_hourly(
    cover: Cover,
    temp_c: f64,
    ea_kpa: f64,
    wind_2m_ms: f64,
    net_mj_m2: f64,
    elev_m: f64,
) -> f64 {
    let day = net_mj_m2 >= 0.0;
    let (cn, cd, ground) = match (cover, day) {
        (Cover::Short, true) => (37.0, 0.24, 0.1),
        (Cover::Short, false) => (37.0, 0.96, 0.5),
        (Cover::Tall, true) => (66.0, 0.25, 0.04),
        (Cover::Tall, false) => (66.0, 1.7, 0.2),
    };
    let gamma = 0.000665 * humidity::pressure(elev_m);
    let vpd = (humidity::e0(temp_c) - ea_kpa).max(0.0);
    combination(slope_asce(temp_c), gamma, net_mj_m2 * (1.0 - ground), temp_c, wind_2m_ms, vpd, cn, cd)
}

/// Hargreaves' estimate from temperature alone, mm/d (FAO-56 Eq. 52). Runs low in wind above 3 m/s and high in humid
/// air; filling the missing readings and using [`fao56_daily`] is preferred.
pub fn hargreaves(tmean_c: f64, tmax_c: f64, tmin_c: f64, ra_mj_m2: f64) -> f64 {
    0.0023 * (tmean_c + 17.8) * (tmax_c - tmin_c).max(0.0).sqrt() * MM_PER_MJ * ra_mj_m2
}
