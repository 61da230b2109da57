//! Hours from a day: temperature, humidity, wind and radiation.
//!
//! Hour `h` (0 to 23) is the hour from `h` to `h + 1` of local standard time; its value is that of its middle.
//! Temperature after Parton and Logan (1981, Agric. Meteorol. 23:205): a sine by day, a decay by night; their mean
//! error is 1.2 to 2.6 C. Vapour pressure is held through the day. Wind by day is twice that by night (ASCE 2005),
//! highest two hours after noon. Radiation follows the sun. Rain within a day is not spread over hours by any
//! reliable rule: its time is unknown.

use std::f64::consts::PI;

use crate::day::{Day, Forcing};
use crate::forcing::SiteTable;
use crate::humidity;
use crate::solar;

/// Constants of Parton and Logan's curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    /// Lag of the warmest hour, h.
    pub a: f64,
    /// Decay at night.
    pub b: f64,
    /// Lag of the coldest hour after sunrise, h.
    pub c: f64,
}

/// Their constants for air at 150 cm, Colorado shortgrass.
pub const AIR_150_CM: Curve = Curve { a: 1.86, b: 2.20, c: -0.17 };
/// Their constants for soil at 10 cm.
pub const SOIL_10_CM: Curve = Curve { a: 0.45, b: 2.28, c: 1.83 };

/// Temperature at clock time `at_h` by Parton and Logan's equations as published, C. The night part of the published
/// form does not quite reach Tmin; [`Shape`] mends that.
pub fn parton_logan(curve: Curve, tmax_c: f64, tmin_c: f64, sunrise_h: f64, sunset_h: f64, at_h: f64) -> f64 {
    let y = sunset_h - sunrise_h;
    let range = tmax_c - tmin_c;
    let m = (at_h - sunrise_h - curve.c).rem_euclid(24.0);
    let at_sunset = (PI * (y - curve.c) / (y + 2.0 * curve.a)).sin();
    if m <= y - curve.c {
        tmin_c + range * (PI * m / (y + 2.0 * curve.a)).sin()
    } else {
        let n = (at_h - sunset_h).rem_euclid(24.0);
        tmin_c + range * at_sunset * (-curve.b * n / (24.0 - y)).exp()
    }
}

/// The form of Wann, Yen and Gold (1985) with a lag of the maximum `alpha`, a lag of the minimum `beta` and a night
/// decay `gamma` (their order; Parton and Logan's is another), C.
#[allow(clippy::too_many_arguments)] // the curve has these eight terms
pub fn wann(
    tmax_c: f64,
    tmin_c: f64,
    sunrise_h: f64,
    sunset_h: f64,
    at_h: f64,
    alpha: f64,
    beta: f64,
    gamma: f64,
) -> f64 {
    let length = sunset_h - sunrise_h;
    let curve = |t: f64| {
        tmin_c + (tmax_c - tmin_c) * (PI * (t - sunrise_h - beta) / (length + 2.0 * (alpha - beta))).sin()
    };
    let since_min = (at_h - sunrise_h - beta).rem_euclid(24.0);
    if since_min <= length - beta {
        curve(sunrise_h + beta + since_min)
    } else {
        let after_sunset = (at_h - sunset_h).rem_euclid(24.0);
        tmin_c + (curve(sunset_h) - tmin_c) * (-gamma * after_sunset / (24.0 - length + beta)).exp()
    }
}

/// The sine of Campbell and Norman (1998), C; `solar_h` counts from solar midnight. Needs no day length.
pub fn campbell_norman(tmax_c: f64, tmin_c: f64, solar_h: f64) -> f64 {
    let w = PI / 12.0 * solar_h;
    let g = 0.44 - 0.46 * (0.9 + w).sin() + 0.11 * (0.9 + 2.0 * w).sin();
    tmax_c * g + tmin_c * (1.0 - g)
}

/// Courses over a day of the year at a site, as shares: temperature between Tmin (0) and Tmax (1), wind over its
/// mean, radiation over its day's sum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// Temperature, 0 to 1; the 24 values reach both ends.
    pub temp: [f64; 24],
    /// Wind over the day's mean; the mean of the 24 is 1.
    pub wind: [f64; 24],
    /// Share of the day's radiation; the sum is 1 (0 in polar night).
    pub sun: [f64; 24],
    /// Temperature at sunset on the same scale.
    at_sunset: f64,
    /// First hour of the day curve and first hour of the evening.
    first_day_hour: usize,
    first_evening_hour: usize,
}

impl Shape {
    /// For a latitude, a day of the year, its solar noon and daylight.
    pub fn new(lat_deg: f64, day_of_year: u16, noon_h: f64, daylight_h: f64) -> Self {
        // The curve needs some day and some night; polar ends are held just short of them.
        let y = daylight_h.clamp(1.0, 23.0);
        let (sunrise, sunset) = (noon_h - 0.5 * y, noon_h + 0.5 * y);
        let k = AIR_150_CM;
        let at_sunset = (PI * (y - k.c) / (y + 2.0 * k.a)).sin();
        let night_h = 24.0 - y;
        // The published night stops short of Tmin by exp(-b); stretched here so that it joins the morning.
        let end = (-k.b * (night_h + k.c) / night_h).exp();
        let mut temp = [0.0; 24];
        let mut wind = [0.0; 24];
        let mut sun = [0.0; 24];
        for h in 0..24 {
            let t = h as f64 + 0.5;
            let m = (t - sunrise - k.c).rem_euclid(24.0);
            temp[h] = if m <= y - k.c {
                (PI * m / (y + 2.0 * k.a)).sin()
            } else {
                let n = (t - sunset).rem_euclid(24.0);
                at_sunset * ((-k.b * n / night_h).exp() - end) / (1.0 - end)
            };
            let from_peak = (t - noon_h - 2.0 + 12.0).rem_euclid(24.0) - 12.0;
            let bump = if from_peak.abs() < 0.5 * y { (PI * from_peak / y).cos() } else { 0.0 };
            wind[h] = 1.0 + 0.5 * PI * bump;
            let angle = PI / 12.0 * ((t - noon_h + 12.0).rem_euclid(24.0) - 12.0);
            sun[h] = solar::extraterrestrial_hourly(lat_deg, day_of_year, angle, 1.0, solar::SOLAR_MJ_H_FAO);
        }
        let low = temp.iter().copied().fold(f64::INFINITY, f64::min);
        let high = temp.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let stretch = |x: f64| (x - low) / (high - low);
        temp = temp.map(stretch);
        let total_wind: f64 = wind.iter().sum();
        wind = wind.map(|w| 24.0 * w / total_wind);
        let total_sun: f64 = sun.iter().sum();
        if total_sun > 0.0 {
            sun = sun.map(|s| s / total_sun);
        }
        let hour_at = |t: f64| (t - 0.5).ceil().clamp(0.0, 24.0) as usize;
        Self {
            temp,
            wind,
            sun,
            at_sunset: stretch(at_sunset),
            first_day_hour: hour_at(sunrise + k.c),
            first_evening_hour: hour_at(sunset),
        }
    }
}

/// The 24 hours of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hours {
    /// Air temperature, C.
    pub temp_c: [f64; 24],
    /// Relative humidity over water, %.
    pub rh_pct: [f64; 24],
    /// Wind at 2 m, m/s.
    pub wind_2m_ms: [f64; 24],
    /// Radiation, MJ/m2 in the hour.
    pub rs_mj_m2: [f64; 24],
}

/// Temperatures of the 24 hours, C, from the day alone (the night before and after taken alike).
pub fn temperatures(day: &Day, day_of_year: u16, table: &SiteTable) -> [f64; 24] {
    let range = day.tmax_c - day.tmin_c;
    table.sun(day_of_year).shape.temp.map(|g| day.tmin_c + range * g)
}

/// Temperatures of the 24 hours, C, joined to the days on either side: the hours before dawn fall from yesterday's
/// sunset, those after sunset fall toward tomorrow's Tmin, so that midnight has no step.
pub fn temperatures_joined(
    before: Option<&Day>,
    day: &Day,
    after: Option<&Day>,
    day_of_year: u16,
    table: &SiteTable,
) -> [f64; 24] {
    let shape = &table.sun(day_of_year).shape;
    let mut hours = temperatures(day, day_of_year, table);
    let sunset = |d: &Day| d.tmin_c + (d.tmax_c - d.tmin_c) * shape.at_sunset;
    if let Some(before) = before {
        for (t, g) in hours.iter_mut().zip(shape.temp).take(shape.first_day_hour) {
            *t = day.tmin_c + (sunset(before) - day.tmin_c) * g / shape.at_sunset;
        }
    }
    if let Some(after) = after {
        for (t, g) in hours.iter_mut().zip(shape.temp).skip(shape.first_evening_hour) {
            *t = after.tmin_c + (sunset(day) - after.tmin_c) * g / shape.at_sunset;
        }
    }
    hours
}

/// All courses of a day.
pub fn course(day: &Day, day_of_year: u16, table: &SiteTable) -> Hours {
    let shape = &table.sun(day_of_year).shape;
    let temp_c = temperatures(day, day_of_year, table);
    Hours {
        temp_c,
        rh_pct: temp_c.map(|t| humidity::rh_pct(t, day.ea_kpa)),
        wind_2m_ms: shape.wind.map(|w| w * day.wind_2m_ms),
        rs_mj_m2: shape.sun.map(|s| s * day.rs_mj_m2),
    }
}

/// Hours of the day with relative humidity below `rh_limit_pct`, h, with vapour pressure held through the day.
/// Parts of hours count. No search: the limit is turned into a temperature once.
pub fn hours_with_rh_below(f: &Forcing, day_of_year: u16, table: &SiteTable, rh_limit_pct: f64) -> f64 {
    if rh_limit_pct > 100.0 {
        return 24.0;
    }
    let limit_c = humidity::e0_inverse(100.0 * f.day.ea_kpa / rh_limit_pct.max(0.1));
    hours_above(f, day_of_year, table, limit_c)
}

/// Hours of the day warmer than `limit_c`, h; parts of hours count.
pub fn hours_above(f: &Forcing, day_of_year: u16, table: &SiteTable, limit_c: f64) -> f64 {
    let range = f.day.tmax_c - f.day.tmin_c;
    if limit_c < f.day.tmin_c {
        return 24.0;
    }
    if limit_c >= f.day.tmax_c || range <= 0.0 {
        return 0.0;
    }
    let limit = (limit_c - f.day.tmin_c) / range;
    let temp = &table.sun(day_of_year).shape.temp;
    let mut hours = 0.0;
    let mut last = temp[23];
    for &next in temp {
        let (low, high) = if last < next { (last, next) } else { (next, last) };
        hours += if low > limit {
            1.0
        } else if high > limit {
            (high - limit) / (high - low)
        } else {
            0.0
        };
        last = next;
    }
    hours
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::day::Site;
    use crate::params::WeatherParams;
    use proptest::prelude::*;
    use stook_measure::Reference;

    fn table() -> SiteTable {
        SiteTable::with_offset(&Site { lat_deg: 50.4, lon_deg: -104.6, elev_m: 577.0 }, -6.0)
    }

    fn day(tmax: f64, tmin: f64) -> Day {
        let ea = humidity::e0(tmin - 1.0);
        Day { tmax_c: tmax, tmin_c: tmin, precip_mm: 0.0, rs_mj_m2: 20.0, ea_kpa: ea, wind_2m_ms: 3.0 }
    }

    #[test]
    fn shares_are_shares() {
        let t = table();
        for j in 1..=366 {
            let s = &t.sun(j).shape;
            assert!((s.sun.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            assert!((s.wind.iter().sum::<f64>() - 24.0).abs() < 1e-9);
            assert!(s.temp.contains(&0.0) && s.temp.contains(&1.0));
            let warmest = (0..24).max_by(|a, b| s.temp[*a].total_cmp(&s.temp[*b])).unwrap();
            assert!((13..=16).contains(&warmest), "day {j}: warmest hour {warmest}");
        }
    }

    #[test]
    fn midnight_has_no_step_between_days() {
        let t = table();
        let (a, b) = (day(28.0, 12.0), day(15.0, 4.0));
        let today = temperatures_joined(None, &a, Some(&b), 190, &t);
        let tomorrow = temperatures_joined(Some(&a), &b, None, 191, &t);
        // The night is one decay: over midnight it falls less than in the hour before, and more than not at all.
        let (before, over) = (today[22] - today[23], today[23] - tomorrow[0]);
        assert!(0.0 < over && over < before, "{before} {over}");
        let alone = temperatures(&a, 190, &t);
        assert!(today[23] < alone[23]);
        assert_eq!(today[12], alone[12]);
    }

    proptest! {
        #[test]
        fn hours_stay_between_the_ends(tmin in -40.0..20.0f64, range in 0.5..25.0f64, j in 1u16..=366) {
            let d = day(tmin + range, tmin);
            let hours = temperatures(&d, j, &table());
            let low = hours.iter().copied().fold(f64::INFINITY, f64::min);
            let high = hours.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            prop_assert!((low - d.tmin_c).abs() < 1e-9 && (high - d.tmax_c).abs() < 1e-9);
        }

        #[test]
        fn dry_hours_agree_with_the_course(tmin in 0.0..18.0f64, range in 4.0..22.0f64, rh in 20.0..95.0f64, j in 100u16..300) {
            let t = table();
            let d = day(tmin + range, tmin);
            let f = t.force(j, &d, &WeatherParams::from_reference(&Reference::shipped()));
            let cheap = hours_with_rh_below(&f, j, &t, rh);
            let counted = course(&d, j, &t).rh_pct.iter().filter(|x| **x < rh).count() as f64;
            prop_assert!((cheap - counted).abs() <= 1.01, "{cheap} {counted}");
            prop_assert!(hours_with_rh_below(&f, j, &t, rh + 2.0) >= cheap);
        }
    }
}
