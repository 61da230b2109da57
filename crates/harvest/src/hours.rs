//! How many hours of a day the combine can run.

use serde::Serialize;
use stook_measure::Reference;
use stook_weather::Forcing;

use crate::params::HarvestParams;

/// Coefficients `harvest.hours.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HoursParams {
    /// Most combine hours a day.
    pub combine_day_h: f64,
    /// Most drill hours a day.
    pub drill_day_h: f64,
    /// Most sprayer hours a day.
    pub sprayer_day_h: f64,
    /// Straw threshes up to this humidity, %.
    pub straw_rh_pct: f64,
    /// Night humidity that leaves dew, %.
    pub dew_rh_pct: f64,
    /// Hours lost to dew beyond the humidity limit.
    pub dew_delay_h: f64,
    /// Rain that takes the whole day, mm.
    pub rain_stops_mm: f64,
    /// Wettest grain that is cut, afternoon mean, % wet basis.
    pub max_moisture_pct: f64,
    /// Points of moisture between morning and late afternoon.
    pub day_swing_pct: f64,
}

impl HoursParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.hours.{what}"));
        Self {
            combine_day_h: get("combine_day_h"),
            drill_day_h: get("drill_day_h"),
            sprayer_day_h: get("sprayer_day_h"),
            straw_rh_pct: get("straw_rh_pct"),
            dew_rh_pct: get("dew_rh_pct"),
            dew_delay_h: get("dew_delay_h"),
            rain_stops_mm: get("rain_stops_mm"),
            max_moisture_pct: get("max_moisture_pct"),
            day_swing_pct: get("day_swing_pct"),
        }
    }
}

/// Hours of a day on which relative humidity, a cosine between its extremes, is at or below `limit_pct`.
#[inline]
pub fn hours_at_or_below(rh_min_pct: f64, rh_max_pct: f64, limit_pct: f64) -> f64 {
    if limit_pct >= rh_max_pct {
        return 24.0;
    }
    if limit_pct < rh_min_pct {
        return 0.0;
    }
    let middle = 0.5 * (rh_min_pct + rh_max_pct);
    let swing = 0.5 * (rh_max_pct - rh_min_pct);
    24.0 / std::f64::consts::PI * ((middle - limit_pct) / swing).clamp(-1.0, 1.0).acos()
}

/// The parts of a combine day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fit {
    /// Hours dry enough for the straw, dew off, up to what the machine runs.
    pub open_h: f64,
    /// Share left by the grain's moisture.
    pub by_moisture: f64,
    /// Share left by rain today.
    pub by_rain: f64,
}

impl Fit {
    /// Hours fit to combine.
    #[inline]
    pub fn hours(&self) -> f64 {
        self.open_h * self.by_moisture * self.by_rain
    }
}

/// The parts of [`combine_hours`].
#[inline]
pub fn fit(
    rh_min_pct: f64,
    rh_max_pct: f64,
    rain_mm: f64,
    kernel_moisture_pct: f64,
    p: &HarvestParams,
) -> Fit {
    let h = &p.hours;
    let dry = hours_at_or_below(rh_min_pct, rh_max_pct, h.straw_rh_pct);
    let dew = if rh_max_pct >= h.dew_rh_pct { h.dew_delay_h } else { 0.0 };
    Fit {
        open_h: (dry - dew).clamp(0.0, h.combine_day_h),
        by_moisture: ((h.max_moisture_pct - kernel_moisture_pct) / h.day_swing_pct + 0.5).clamp(0.0, 1.0),
        by_rain: (1.0 - rain_mm / h.rain_stops_mm).clamp(0.0, 1.0),
    }
}

/// Hours of the day fit to combine grain of `kernel_moisture_pct` (afternoon, wet basis).
///
/// Hours dry enough for the straw, less those lost to dew, up to what the machine runs; a share of them for rain that
/// falls today, and for grain near the wettest that is cut (within a day grain swings a few points about its mean).
/// A judgement throughout: no published form was found; compare with the log of first and last loads.
#[inline]
pub fn combine_hours(weather: &Forcing, kernel_moisture_pct: f64, p: &HarvestParams) -> f64 {
    // The common cases, green grain and a wet day, need no humidity course.
    let h = &p.hours;
    if kernel_moisture_pct >= h.max_moisture_pct + 0.5 * h.day_swing_pct || weather.rain_mm >= h.rain_stops_mm
    {
        return 0.0;
    }
    fit(weather.rh_min_pct, weather.rh_max_pct, weather.rain_mm, kernel_moisture_pct, p).hours()
}

/// Hours the drill runs on a day whose soil is fit for a share `fitness` (0 to 1) of it.
#[inline]
pub fn drill_hours(fitness: f64, p: &HarvestParams) -> f64 {
    fitness.clamp(0.0, 1.0) * p.hours.drill_day_h
}

/// Hours the sprayer runs on a day with `fit_hours` of spray weather.
#[inline]
pub fn sprayer_hours(fit_hours: f64, p: &HarvestParams) -> f64 {
    fit_hours.clamp(0.0, p.hours.sprayer_day_h)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use stook_weather::Day;

    fn p() -> HarvestParams {
        *HarvestParams::shipped()
    }

    fn day(rh_min_pct: f64, rh_max_pct: f64, rain_mm: f64) -> Forcing {
        Forcing {
            day: Day {
                tmax_c: 26.0,
                tmin_c: 11.0,
                precip_mm: rain_mm,
                rs_mj_m2: 19.0,
                ea_kpa: 1.2,
                wind_2m_ms: 3.0,
            },
            tmean_c: 18.5,
            rain_mm,
            snow_mm: 0.0,
            eto_mm: 4.5,
            vpd_kpa: 1.0,
            rh_min_pct,
            rh_max_pct,
            daylight_h: 14.0,
        }
    }

    #[test]
    fn a_good_august_day_gives_eight_to_ten_hours() {
        let h = combine_hours(&day(40.0, 95.0, 0.0), 15.0, &p());
        assert!((8.0..=10.0).contains(&h), "{h}");
    }

    #[test]
    fn some_days_give_none() {
        assert_eq!(combine_hours(&day(40.0, 95.0, 12.0), 15.0, &p()), 0.0);
        assert_eq!(combine_hours(&day(75.0, 98.0, 0.0), 15.0, &p()), 0.0);
        assert_eq!(combine_hours(&day(40.0, 95.0, 0.0), 25.0, &p()), 0.0);
    }

    proptest! {
        #[test]
        fn damper_never_gives_more(
            lo in 15.0..70.0f64, range in 1.0..30.0f64, rain in 0.0..5.0f64, m in 12.0..24.0f64,
            damper in 0.0..10.0f64,
        ) {
            let p = p();
            let h = combine_hours(&day(lo, lo + range, rain), m, &p);
            prop_assert!((0.0..=p.hours.combine_day_h).contains(&h));
            prop_assert!(combine_hours(&day(lo + damper, lo + range + damper, rain), m, &p) <= h + 1e-9);
            prop_assert!(combine_hours(&day(lo, lo + range, rain + damper), m, &p) <= h + 1e-9);
            prop_assert!(combine_hours(&day(lo, lo + range, rain), m + damper, &p) <= h + 1e-9);
        }
    }
}
