//! Net radiation at the reference grass, and heat into the ground.
//!
//! Source: FAO-56 (Allen and others 1998) Eq. 38 to 46; the ASCE standard (2005) where named.

use crate::day::Site;

/// Share of solar radiation the reference grass throws back (FAO-56: part of the definition of the reference).
pub const GRASS_ALBEDO: f64 = 0.23;
/// Stefan-Boltzmann constant as FAO-56 rounds it, MJ/K4/m2/d.
pub const SIGMA_DAY_FAO: f64 = 4.903e-9;
/// The same for an hour, MJ/K4/m2/h.
pub const SIGMA_HOUR_FAO: f64 = 2.043e-10;
/// The ASCE standard's rounding for a day.
pub const SIGMA_DAY_ASCE: f64 = 4.901e-9;
/// The ASCE standard's rounding for an hour.
pub const SIGMA_HOUR_ASCE: f64 = 2.042e-10;
/// 0 C in K as FAO-56 rounds it.
pub const KELVIN_FAO: f64 = 273.16;

/// Net shortwave, MJ/m2 (Eq. 38).
pub fn net_shortwave(rs_mj_m2: f64) -> f64 {
    (1.0 - GRASS_ALBEDO) * rs_mj_m2
}

/// sigma T^4 at a temperature, in the step of `sigma`.
pub fn sigma_t4(sigma: f64, temp_c: f64) -> f64 {
    let k = temp_c + KELVIN_FAO;
    sigma * (k * k) * (k * k)
}

/// Net longwave of a day, MJ/m2/d (Eq. 39). `rs_over_rso` is held to 1 here; the ASCE standard also holds it
/// above 0.3.
pub fn net_longwave_daily(sigma: f64, tmax_c: f64, tmin_c: f64, ea_kpa: f64, rs_over_rso: f64) -> f64 {
    0.5 * (sigma_t4(sigma, tmax_c) + sigma_t4(sigma, tmin_c))
        * (0.34 - 0.14 * ea_kpa.max(0.0).sqrt())
        * (1.35 * rs_over_rso.min(1.0) - 0.35)
}

/// Net longwave of an hour, MJ/m2/h: as [`net_longwave_daily`] with one temperature.
pub fn net_longwave_hourly(sigma: f64, temp_c: f64, ea_kpa: f64, rs_over_rso: f64) -> f64 {
    sigma_t4(sigma, temp_c) * (0.34 - 0.14 * ea_kpa.max(0.0).sqrt()) * (1.35 * rs_over_rso.min(1.0) - 0.35)
}

/// Heat into the ground over a month, MJ/m2/d, from the months before and after (Eq. 43).
pub fn ground_heat_monthly(previous_c: f64, next_c: f64) -> f64 {
    0.07 * (next_c - previous_c)
}

/// Heat into the ground over a month, MJ/m2/d, when the next month is not known yet (Eq. 44).
pub fn ground_heat_monthly_so_far(previous_c: f64, this_c: f64) -> f64 {
    0.14 * (this_c - previous_c)
}

/// Share of clear-sky radiation, 0 to 1; 1 when there is no sun to compare with.
pub fn clearness(rs_mj_m2: f64, rso_mj_m2: f64) -> f64 {
    if rso_mj_m2 > 1e-9 { (rs_mj_m2 / rso_mj_m2).clamp(0.0, 1.0) } else { 1.0 }
}

/// Net radiation of a day at a site, MJ/m2/d: shortwave less longwave (Eq. 40), clear sky by Eq. 37.
pub fn net_daily(site: &Site, day_of_year: u16, tmax_c: f64, tmin_c: f64, ea_kpa: f64, rs_mj_m2: f64) -> f64 {
    let rso =
        crate::solar::clear_sky(crate::solar::extraterrestrial_daily(site.lat_deg, day_of_year), site.elev_m);
    net_shortwave(rs_mj_m2)
        - net_longwave_daily(SIGMA_DAY_FAO, tmax_c, tmin_c, ea_kpa, clearness(rs_mj_m2, rso))
}
