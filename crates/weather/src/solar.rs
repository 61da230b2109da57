//! The sun: its place in the sky, daylight, radiation above the air and under a clear sky.
//!
//! Source unless stated: FAO Irrigation and Drainage Paper 56 (Allen and others 1998), ch. 3, Eq. 21 to 40. Angles in
//! radians inside, degrees at the door. The daily equations hold to about 55 degrees of latitude; past the polar
//! circles the day length is held to 0 or 24 h.

use std::f64::consts::PI;

use crate::day::Site;

/// Solar constant, MJ/m2/min (FAO-56).
const SOLAR_MJ_MIN: f64 = 0.0820;
/// Solar constant as the ASCE standard writes it, MJ/m2/h.
pub const SOLAR_MJ_H_ASCE: f64 = 4.92;
/// The same in the FAO-56 writing, MJ/m2/h.
pub const SOLAR_MJ_H_FAO: f64 = SOLAR_MJ_MIN * 60.0;
/// Sun's centre at rise and set as seen, degrees below the level: half its width and the bending of light in air
/// (the usual almanac figure of 50 minutes of arc).
const RISE_SET_DEPTH_DEG: f64 = 50.0 / 60.0;

/// Day of the year from month and day of month (FAO-56 Table 2.5). 29 February asks for `leap`.
pub fn day_of_year(month: u8, day: u8, leap: bool) -> u16 {
    let (m, d) = (f64::from(month), f64::from(day));
    let j = (275.0 * m / 9.0 - 30.0 + d).floor() - 2.0;
    let j = if month < 3 { j + 2.0 } else { j };
    let j = if leap && month > 2 { j + 1.0 } else { j };
    j.max(1.0) as u16
}

/// Day of the year in the middle of a month (FAO-56 Eq. 22).
pub fn mid_month(month: u8) -> u16 {
    (30.4 * f64::from(month) - 15.0).floor() as u16
}

/// Inverse relative distance to the sun, a ratio (Eq. 23).
pub fn inverse_distance(day_of_year: u16) -> f64 {
    1.0 + 0.033 * (2.0 * PI * f64::from(day_of_year) / 365.0).cos()
}

/// Declination of the sun, rad (Eq. 24).
pub fn declination(day_of_year: u16) -> f64 {
    0.409 * (2.0 * PI * f64::from(day_of_year) / 365.0 - 1.39).sin()
}

/// Hour angle at sunset, rad (Eq. 25); 0 in polar night, pi in polar day.
pub fn sunset_hour_angle(lat_deg: f64, day_of_year: u16) -> f64 {
    let x = -lat_deg.to_radians().tan() * declination(day_of_year).tan();
    x.clamp(-1.0, 1.0).acos()
}

/// Radiation above the air on a level, MJ/m2/d (Eq. 21).
///
/// ```
/// // FAO-56 example 8: 20 degrees south on 3 September, 32.2 MJ/m2/d
/// let ra = stook_weather::solar::extraterrestrial_daily(-20.0, 246);
/// assert!((ra - 32.2).abs() < 0.06);
/// ```
pub fn extraterrestrial_daily(lat_deg: f64, day_of_year: u16) -> f64 {
    let (phi, delta) = (lat_deg.to_radians(), declination(day_of_year));
    let ws = sunset_hour_angle(lat_deg, day_of_year);
    24.0 * 60.0 / PI
        * SOLAR_MJ_MIN
        * inverse_distance(day_of_year)
        * (ws * phi.sin() * delta.sin() + phi.cos() * delta.cos() * ws.sin())
}

/// Daylight, h (Eq. 34): the sun's centre above the geometric level, 10 to 14 minutes shorter than an almanac's at
/// 50 degrees north.
pub fn daylight_h(lat_deg: f64, day_of_year: u16) -> f64 {
    24.0 / PI * sunset_hour_angle(lat_deg, day_of_year)
}

/// How far the sun runs ahead of mean time, h (Eq. 32 and 33).
pub fn seasonal_correction_h(day_of_year: u16) -> f64 {
    let b = 2.0 * PI * (f64::from(day_of_year) - 81.0) / 364.0;
    0.1645 * (2.0 * b).sin() - 0.1255 * b.cos() - 0.025 * b.sin()
}

/// Time of the sun's highest stand by the clock, h, for a clock `utc_offset_h` ahead of UTC (negative in the west).
pub fn solar_noon_h(lon_deg: f64, day_of_year: u16, utc_offset_h: f64) -> f64 {
    12.0 - seasonal_correction_h(day_of_year) - (lon_deg / 15.0 - utc_offset_h)
}

/// Hour angle of the sun, rad, at clock time `clock_h` of a clock `utc_offset_h` ahead of UTC (Eq. 31).
pub fn hour_angle(lon_deg: f64, day_of_year: u16, clock_h: f64, utc_offset_h: f64) -> f64 {
    let w = PI / 12.0 * (clock_h - solar_noon_h(lon_deg, day_of_year, utc_offset_h));
    // A clock far from the sun (times in UTC) can carry the angle past midnight.
    if w < -PI {
        w + 2.0 * PI
    } else if w > PI {
        w - 2.0 * PI
    } else {
        w
    }
}

/// Radiation above the air over a step of `step_h` centred on `hour_angle`, MJ/m2 (Eq. 28).
///
/// `solar_mj_h` is [`SOLAR_MJ_H_FAO`] or [`SOLAR_MJ_H_ASCE`] (the same number, written in two ways).
pub fn extraterrestrial_hourly(
    lat_deg: f64,
    day_of_year: u16,
    hour_angle: f64,
    step_h: f64,
    solar_mj_h: f64,
) -> f64 {
    let (phi, delta) = (lat_deg.to_radians(), declination(day_of_year));
    let ws = sunset_hour_angle(lat_deg, day_of_year);
    let half = PI * step_h / 24.0;
    let w1 = (hour_angle - half).clamp(-ws, ws);
    let w2 = (hour_angle + half).clamp(-ws, ws);
    let sum = (w2 - w1) * phi.sin() * delta.sin() + phi.cos() * delta.cos() * (w2.sin() - w1.sin());
    (12.0 / PI * solar_mj_h * inverse_distance(day_of_year) * sum).max(0.0)
}

/// Clear-sky radiation from elevation alone, MJ/m2 in the step of `ra_mj_m2` (Eq. 37).
pub fn clear_sky(ra_mj_m2: f64, elev_m: f64) -> f64 {
    (0.75 + 2e-5 * elev_m) * ra_mj_m2
}

/// Clear-sky radiation of a day from the water in the air, MJ/m2/d (ASCE 2005 App. D; FAO-56 Annex 3).
///
/// `turbidity` is 1 in clean air and 0.5 in very dusty or smoky air.
pub fn clear_sky_physical_daily(
    lat_deg: f64,
    day_of_year: u16,
    ea_kpa: f64,
    pressure_kpa: f64,
    turbidity: f64,
) -> f64 {
    let phi = lat_deg.to_radians();
    let season = (2.0 * PI * f64::from(day_of_year) / 365.0 - 1.39).sin();
    let sin_b = (0.85 + 0.3 * phi * season - 0.42 * phi * phi).sin().max(0.1);
    beam_and_sky(sin_b, ea_kpa, pressure_kpa, turbidity) * extraterrestrial_daily(lat_deg, day_of_year)
}

/// Clear-sky radiation of an hour from the water in the air, MJ/m2/h (ASCE 2005 App. D), for the radiation above
/// the air `ra_mj_m2` and the hour angle at the middle of the hour.
pub fn clear_sky_physical_hourly(
    lat_deg: f64,
    day_of_year: u16,
    hour_angle: f64,
    ra_mj_m2: f64,
    ea_kpa: f64,
    pressure_kpa: f64,
    turbidity: f64,
) -> f64 {
    let (phi, delta) = (lat_deg.to_radians(), declination(day_of_year));
    let sin_b = (phi.sin() * delta.sin() + phi.cos() * delta.cos() * hour_angle.cos()).max(0.01);
    beam_and_sky(sin_b, ea_kpa, pressure_kpa, turbidity) * ra_mj_m2
}

/// Share of radiation that comes through clear air, straight and scattered.
fn beam_and_sky(sin_b: f64, ea_kpa: f64, pressure_kpa: f64, turbidity: f64) -> f64 {
    let water_mm = 0.14 * ea_kpa * pressure_kpa + 2.1;
    let beam =
        0.98 * (-0.00146 * pressure_kpa / (turbidity * sin_b) - 0.075 * (water_mm / sin_b).powf(0.4)).exp();
    beam + (0.35 - 0.36 * beam).min(0.18 + 0.82 * beam)
}

/// Solar radiation from hours of bright sun, MJ/m2/d (Eq. 35); `a` 0.25 and `b` 0.50 without local calibration.
pub fn from_sunshine(ra_mj_m2: f64, sunshine_h: f64, daylight_h: f64, a: f64, b: f64) -> f64 {
    let share = if daylight_h > 0.0 { (sunshine_h / daylight_h).clamp(0.0, 1.0) } else { 0.0 };
    (a + b * share) * ra_mj_m2
}

/// Solar radiation from the day's range of temperature, MJ/m2/d (Eq. 50); `krs` 0.16 inland, 0.19 by the sea.
/// Meant for means of several days; hold it to the clear sky with [`clear_sky`].
pub fn from_temperature(ra_mj_m2: f64, tmax_c: f64, tmin_c: f64, krs: f64) -> f64 {
    krs * (tmax_c - tmin_c).max(0.0).sqrt() * ra_mj_m2
}

/// Sunrise and sunset as seen (top of the sun at a level horizon, light bent by the air), h by a clock
/// `utc_offset_h` ahead of UTC. (0, 24) in polar day; noon twice in polar night.
///
/// Declination and equation of time by Spencer's (1971) series, given for the middle of the leap cycle: within two
/// minutes to 60 degrees. The radiation equations above use the shorter geometric day on purpose.
pub fn sun_times(site: &Site, day_of_year: u16, utc_offset_h: f64) -> (f64, f64) {
    let g = 2.0 * PI * (f64::from(day_of_year) - 1.0) / 365.0;
    let decl = 0.006918 - 0.399912 * g.cos() + 0.070257 * g.sin() - 0.006758 * (2.0 * g).cos()
        + 0.000907 * (2.0 * g).sin()
        - 0.002697 * (3.0 * g).cos()
        + 0.00148 * (3.0 * g).sin();
    let ahead_h = 229.18 / 60.0
        * (0.000075 + 0.001868 * g.cos()
            - 0.032077 * g.sin()
            - 0.014615 * (2.0 * g).cos()
            - 0.040849 * (2.0 * g).sin());
    let phi = site.lat_deg.to_radians();
    let noon = 12.0 - ahead_h - (site.lon_deg / 15.0 - utc_offset_h);
    let cos_w = (-RISE_SET_DEPTH_DEG.to_radians().sin() - phi.sin() * decl.sin()) / (phi.cos() * decl.cos());
    if cos_w <= -1.0 {
        return (0.0, 24.0);
    }
    let half_h = 12.0 / PI * cos_w.min(1.0).acos();
    (noon - half_h, noon + half_h)
}
