//! Days from hourly readings.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Record;
use crate::humidity;

/// Fewer readings than this in a day and its extremes and sums are left out.
const LEAST_READINGS: usize = 20;

/// One hour of readings.
///
/// Hours are local standard time all year and hour-ending: `hour_ending` 1 is midnight to one, 24 is the last hour of
/// the same date. A file stamped 00:00 for that last hour must be turned into 24 of the day before by whoever reads
/// it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct HourRecord {
    /// Date the hour belongs to.
    pub date: Date,
    /// 1 to 24.
    pub hour_ending: u8,
    /// Temperature, C.
    pub temp_c: Option<f64>,
    /// Dew point, C.
    pub tdew_c: Option<f64>,
    /// Relative humidity over water, %.
    pub rh_pct: Option<f64>,
    /// Wind at 2 m, m/s.
    pub wind_2m_ms: Option<f64>,
    /// Radiation, mean of the hour, W/m2.
    pub rs_w_m2: Option<f64>,
    /// Rain and the water in snow, mm.
    pub precip_mm: Option<f64>,
}

/// Daily records from hourly ones, in order of date. Hours reported twice count once (the first); readings of one
/// instant an hour miss the true extremes: the day's high comes out about 0.5 C low and the low 0.6 C high (a winter
/// half-year at one interior station), so prefer a station's own daily extremes where it has them. A day with fewer
/// than 20 readings of something gets none of it: half a day has no daily high.
pub fn daily_from_hourly(hours: &[HourRecord]) -> Vec<Record> {
    let mut sorted: Vec<&HourRecord> = hours.iter().filter(|h| (1..=24).contains(&h.hour_ending)).collect();
    // Stable, so the first of two readings of an hour stays first.
    sorted.sort_by_key(|h| (h.date, h.hour_ending));
    sorted.dedup_by_key(|h| (h.date, h.hour_ending));
    sorted.chunk_by(|a, b| a.date == b.date).map(day).collect()
}

fn day(hours: &[&HourRecord]) -> Record {
    let all = |of: fn(&HourRecord) -> Option<f64>| -> Option<Vec<f64>> {
        let values: Vec<f64> = hours.iter().filter_map(|h| of(h)).collect();
        (values.len() >= LEAST_READINGS).then_some(values)
    };
    let mean = |x: &Vec<f64>| x.iter().sum::<f64>() / x.len() as f64;
    let temps = all(|h| h.temp_c);
    let vapour = all(|h| {
        // Dew point first: relative humidity needs the temperature of the same instant.
        h.tdew_c
            .map(humidity::e0)
            .or_else(|| Some(humidity::e0(h.temp_c?) * (h.rh_pct?.clamp(0.0, 100.0) / 100.0)))
    });
    let rh = all(|h| h.rh_pct);
    Record {
        date: hours[0].date,
        tmax_c: temps.as_ref().map(|t| t.iter().copied().fold(f64::NEG_INFINITY, f64::max)),
        tmin_c: temps.as_ref().map(|t| t.iter().copied().fold(f64::INFINITY, f64::min)),
        precip_mm: all(|h| h.precip_mm).map(|p| p.iter().sum()),
        // A few missing night hours would not matter and missing noon hours would: the mean of those present is
        // scaled to the day.
        rs_mj_m2: all(|h| h.rs_w_m2).map(|w| mean(&w) * 24.0 * 0.0036),
        ea_kpa: vapour.as_ref().map(mean),
        tdew_c: all(|h| h.tdew_c).as_ref().map(mean),
        rh_mean_pct: rh.as_ref().map(mean),
        rh_max_pct: rh.as_ref().map(|r| r.iter().copied().fold(f64::NEG_INFINITY, f64::max)),
        rh_min_pct: rh.as_ref().map(|r| r.iter().copied().fold(f64::INFINITY, f64::min)),
        wind_2m_ms: all(|h| h.wind_2m_ms).as_ref().map(mean),
        ..Record::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn hours(on: Date) -> Vec<HourRecord> {
        (1..=24)
            .map(|h| HourRecord {
                date: on,
                hour_ending: h,
                temp_c: Some(f64::from(h)),
                tdew_c: Some(2.0),
                wind_2m_ms: Some(3.0),
                rs_w_m2: Some(if (7..=18).contains(&h) { 500.0 } else { 0.0 }),
                precip_mm: Some(0.1),
                ..HourRecord::default()
            })
            .collect()
    }

    #[test]
    fn a_day_of_hours() {
        let mut all = hours(date(2024, 6, 1));
        // An hour reported twice, as when the clock goes back, counts once.
        all.push(HourRecord { temp_c: Some(99.0), ..all[5] });
        let d = daily_from_hourly(&all);
        assert_eq!(d.len(), 1);
        assert_eq!((d[0].tmax_c, d[0].tmin_c), (Some(24.0), Some(1.0)));
        assert!((d[0].rs_mj_m2.unwrap() - 21.6).abs() < 1e-9);
        assert!((d[0].precip_mm.unwrap() - 2.4).abs() < 1e-9);
        assert!((d[0].ea_kpa.unwrap() - humidity::e0(2.0)).abs() < 1e-12);
    }

    #[test]
    fn half_a_day_has_no_extremes() {
        let mut all = hours(date(2024, 6, 1));
        all.truncate(12);
        all.extend(hours(date(2024, 6, 2)));
        let d = daily_from_hourly(&all);
        assert_eq!((d[0].tmax_c, d[0].precip_mm), (None, None));
        assert!(d[1].tmax_c.is_some());
    }

    #[test]
    fn station_humidity_below_freezing_is_over_water() {
        // Two hours of an interior station: T -9.1, dew point -12.9, RH 74 and T -9.6, -13.1, 76.
        for (t, td, rh) in [(-9.1, -12.9, 74.0), (-9.6, -13.1, 76.0)] {
            let over_water = humidity::rh_pct(t, humidity::e0(td));
            assert!((over_water - rh).abs() < 0.6, "{over_water}");
            let over_ice = 100.0 * crate::psychro::saturation(td) / crate::psychro::saturation(t);
            assert!(rh - over_ice > 2.5, "{over_ice}");
        }
    }
}
