//! Hours of outdoor air for fans: from a station's own hours where there are any, else drawn from the day.

use jiff::civil::{Date, DateTime};
use stook_grain::control::Hour;
use stook_weather::forcing::SiteTable;
use stook_weather::series::HourRecord;
use stook_weather::{Day, hourly, humidity, psychro};

/// Relative humidity over water, %, at which air is taken as fog or rain that a fan should not draw in.
const FOG_RH_PCT: f64 = 97.0;
/// Rain or snow in an hour that counts, mm.
const RAIN_MM: f64 = 0.2;

/// One hour from air temperature and vapour pressure; humidity over ice below freezing, as grain feels it.
pub fn hour_of(at: u8, t_c: f64, vapour_kpa: f64, rain_mm: Option<f64>, pressure_pa: f64) -> Hour {
    let rh = (vapour_kpa / psychro::saturation(t_c)).min(1.0);
    let fog = humidity::rh_pct(t_c, vapour_kpa) >= FOG_RH_PCT;
    Hour { hour: at, t_c, rh, pressure_pa, wet: fog || rain_mm.is_some_and(|r| r >= RAIN_MM) }
}

/// An hour of which nothing is known.
pub fn missing(at: u8) -> Hour {
    Hour { hour: at, t_c: f64::NAN, rh: f64::NAN, pressure_pa: f64::NAN, wet: false }
}

/// Hours of days that follow one another; the first hour is midnight of `first`. When rain fell within a day is not
/// known, so only fog-like air counts as wet.
pub fn of_days(first: Date, days: &[Day], table: &SiteTable, pressure_pa: f64) -> Vec<Hour> {
    let mut out = Vec::with_capacity(24 * days.len());
    let mut date = first;
    for (i, day) in days.iter().enumerate() {
        let doy = date.day_of_year().unsigned_abs();
        let temps =
            hourly::temperatures_joined(i.checked_sub(1).map(|k| &days[k]), day, days.get(i + 1), doy, table);
        for (h, t) in temps.into_iter().enumerate() {
            // Air cannot hold more than it can: a night below the dew point leaves dew and drier air.
            let vapour = day.ea_kpa.min(humidity::e0(t));
            out.push(hour_of(h as u8, t, vapour, None, pressure_pa));
        }
        date = date.tomorrow().unwrap_or(date);
    }
    out
}

/// Puts a station's own hours in the place of drawn ones; how many were there. `hours` starts at midnight of `first`;
/// records are in the station's standard time and `clock_ahead_h` is what the farm's clock is ahead of it.
pub fn lay_over(
    hours: &mut [Hour],
    first: Date,
    records: &[HourRecord],
    clock_ahead_h: i64,
    pressure_pa: f64,
) -> usize {
    let start = first.at(0, 0, 0, 0);
    let mut found = 0;
    for r in records {
        let Some(t) = r.temp_c else { continue };
        let Some(vapour) = r
            .tdew_c
            .map(humidity::e0)
            .or_else(|| Some(humidity::e0(t) * r.rh_pct?.clamp(1.0, 100.0) / 100.0))
        else {
            continue;
        };
        // An hour that ends at 1 is the hour from midnight.
        let at = r.date.at(0, 0, 0, 0).duration_since(start).as_hours() + i64::from(r.hour_ending) - 1
            + clock_ahead_h;
        if let Some(h) = usize::try_from(at).ok().and_then(|i| hours.get_mut(i)) {
            *h = hour_of(h.hour, t, vapour.min(humidity::e0(t)), r.precip_mm, pressure_pa);
            found += 1;
        }
    }
    found
}

/// Index of a moment in hours that start at midnight of `first`.
pub fn index(first: Date, at: DateTime) -> i64 {
    at.duration_since(first.at(0, 0, 0, 0)).as_hours()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use stook_weather::Site;

    fn table() -> SiteTable {
        SiteTable::with_offset(&Site { lat_deg: 50.0, lon_deg: -101.0, elev_m: 540.0 }, -5.0)
    }

    #[test]
    fn a_day_spans_its_extremes_and_a_station_hour_replaces_it() {
        let day =
            Day { tmax_c: 22.0, tmin_c: 8.0, precip_mm: 0.0, rs_mj_m2: 18.0, ea_kpa: 1.0, wind_2m_ms: 3.0 };
        let first = date(2026, 9, 2);
        let mut hours = of_days(first, &[day; 3], &table(), 95_000.0);
        assert_eq!(hours.len(), 72);
        let temps: Vec<f64> = hours[24..48].iter().map(|h| h.t_c).collect();
        let high = temps.iter().copied().fold(f64::MIN, f64::max);
        assert!((high - 22.0).abs() < 0.2 && temps[15] > temps[4]);
        assert!(hours.iter().all(|h| h.rh > 0.2 && h.rh <= 1.0));
        let record = HourRecord {
            date: first,
            hour_ending: 5,
            temp_c: Some(2.0),
            rh_pct: Some(80.0),
            precip_mm: Some(1.2),
            ..HourRecord::default()
        };
        assert_eq!(lay_over(&mut hours, first, &[record], 1, 95_000.0), 1);
        assert!((hours[5].t_c - 2.0).abs() < 1e-9 && hours[5].wet && (hours[5].rh - 0.8).abs() < 0.01);
    }

    #[test]
    fn station_humidity_below_freezing_is_turned_over_ice() {
        let h = hour_of(3, -20.0, humidity::e0(-20.0) * 0.8, None, 95_000.0);
        assert!(h.rh > 0.9 && h.rh < 1.0, "{}", h.rh);
        assert!(!missing(3).is_known());
    }
}
