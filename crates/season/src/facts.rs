//! What the season is asked with: the farm, and the weather on file as the weather models take it.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};
use stook_book::farm::Farm;
use stook_book::readings::{DayReading, ForecastReading, HourReading};
use stook_book::{Store, StoreError};
use stook_weather::ensemble::ForecastDay;
use stook_weather::humidity;
use stook_weather::series::{HourRecord, Record, daily_from_hourly};
use stook_weather::{Day, Site};

/// Weather facts from the store: observed days of every year on file, and the latest forecast.
#[derive(Debug, Clone, Default)]
pub struct WeatherFacts {
    /// Observed days, any order, any years.
    pub observed: Vec<Record>,
    /// The latest forecast issued by the day answered for.
    pub forecast: Vec<ForecastDay>,
}

/// One question to the season.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The fold of the book as known.
    pub farm: &'a Farm,
    /// Weather as known.
    pub weather: &'a WeatherFacts,
    /// The day to answer for. Weather of this day or later is not looked at, and entries only if they happened by
    /// its end.
    pub as_of: Date,
    /// How many weathers.
    pub members: usize,
    /// Seed of everything drawn.
    pub seed: u64,
}

impl WeatherFacts {
    /// Reads everything on file, and the last forecast issued by the end of `as_of`.
    ///
    /// Several stations make one series: each value of a day is taken from the first station (by name) that has it,
    /// a day's own reading before what its hours say.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn load(store: &Store, as_of: Date) -> Result<Self, StoreError> {
        let mut by_date: BTreeMap<Date, Record> = BTreeMap::new();
        let stations = store.stations()?;
        for station in &stations {
            for day in store.days(station)? {
                merge(&mut by_date, from_day(&day));
            }
        }
        for station in &stations {
            let hours: Vec<HourRecord> =
                store.hours(station, DateTime::MIN, DateTime::MAX)?.iter().map(from_hour).collect();
            for record in daily_from_hourly(&hours) {
                merge(&mut by_date, record);
            }
        }
        let forecast = store.latest_forecast(as_of.at(23, 59, 59, 0))?.map(|f| f.days).unwrap_or_default();
        let forecast = forecast.iter().filter(|f| f.day.date >= as_of).filter_map(from_forecast).collect();
        Ok(Self { observed: by_date.into_values().collect(), forecast })
    }

    /// The last observed day.
    pub fn last_day(&self) -> Option<Date> {
        self.observed.iter().map(|r| r.date).max()
    }
}

/// The day after the last weather on file: the morning a demo farm stands on.
///
/// # Errors
/// When the file cannot be read.
pub fn day_after_weather(store: &Store) -> Result<Option<Date>, StoreError> {
    Ok(WeatherFacts::load(store, Date::MAX)?.last_day().and_then(|d| d.tomorrow().ok()))
}

/// Days of complete weather as station readings, for farms that are made rather than measured.
pub fn readings(start: Date, days: &[Day]) -> Vec<DayReading> {
    let mut date = start;
    days.iter()
        .map(|d| {
            let reading = DayReading {
                tmax_c: Some(tenth(d.tmax_c)),
                tmin_c: Some(tenth(d.tmin_c)),
                precip_mm: Some(tenth(d.precip_mm)),
                rs_mj_m2: Some(tenth(d.rs_mj_m2)),
                ea_kpa: Some((d.ea_kpa * 1000.0).round() / 1000.0),
                wind_ms: Some(tenth(d.wind_2m_ms)),
                wind_height_m: Some(2.0),
                ..DayReading::blank(date)
            };
            date = date.tomorrow().unwrap_or(date);
            reading
        })
        .collect()
}

fn tenth(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}

fn merge(by_date: &mut BTreeMap<Date, Record>, new: Record) {
    let r = by_date.entry(new.date).or_insert_with(|| Record::on(new.date));
    // A low from one place and a high from another make no day.
    if r.tmax_c.is_none() || r.tmin_c.is_none() {
        (r.tmax_c, r.tmin_c) = (new.tmax_c, new.tmin_c);
    }
    for (mine, other) in [
        (&mut r.precip_mm, new.precip_mm),
        (&mut r.rs_mj_m2, new.rs_mj_m2),
        (&mut r.sunshine_h, new.sunshine_h),
        (&mut r.ea_kpa, new.ea_kpa),
        (&mut r.tdew_c, new.tdew_c),
        (&mut r.rh_mean_pct, new.rh_mean_pct),
        (&mut r.rh_max_pct, new.rh_max_pct),
        (&mut r.rh_min_pct, new.rh_min_pct),
        (&mut r.wind_2m_ms, new.wind_2m_ms),
        (&mut r.snow_depth_cm, new.snow_depth_cm),
    ] {
        *mine = mine.or(other);
    }
}

/// A mast height nobody stated is taken as the usual 10 m of climate stations.
const USUAL_MAST_M: f64 = 10.0;

fn wind(ms: Option<f64>, height_m: Option<f64>) -> Option<f64> {
    let z = height_m.unwrap_or(USUAL_MAST_M);
    ms.map(|u| if z == 2.0 { u } else { humidity::wind_at_2m(u, z) })
}

fn from_day(d: &DayReading) -> Record {
    Record {
        tmax_c: d.tmax_c,
        tmin_c: d.tmin_c,
        precip_mm: d.precip_mm,
        rs_mj_m2: d.rs_mj_m2,
        sunshine_h: d.sunshine_h,
        ea_kpa: d.ea_kpa,
        tdew_c: d.dew_point_c,
        rh_mean_pct: d.rh_pct,
        wind_2m_ms: wind(d.wind_ms, d.wind_height_m),
        snow_depth_cm: d.snow_depth_cm,
        ..Record::on(d.date)
    }
}

fn from_hour(h: &HourReading) -> HourRecord {
    HourRecord {
        date: h.at.date(),
        hour_ending: h.at.hour().unsigned_abs() + 1,
        temp_c: h.temp_c,
        tdew_c: h.dew_point_c,
        rh_pct: h.rh_pct,
        wind_2m_ms: wind(h.wind_ms, h.wind_height_m),
        rs_w_m2: h.rs_mj_m2.map(|mj| mj / 0.0036),
        precip_mm: h.precip_mm,
    }
}

/// A forecast day with both temperatures; the rest by the missing-data rules of the weather models.
fn from_forecast(f: &ForecastReading) -> Option<ForecastDay> {
    let d = &f.day;
    let (tmax_c, tmin_c) = (d.tmax_c?, d.tmin_c?);
    Some(ForecastDay {
        date: d.date,
        day: Day {
            tmax_c,
            tmin_c,
            precip_mm: d.precip_mm.unwrap_or(0.0),
            // Not a number where the forecast does not say: filled by `complete` for the site.
            rs_mj_m2: d.rs_mj_m2.unwrap_or(f64::NAN),
            ea_kpa: d.ea_kpa.or_else(|| d.dew_point_c.map(humidity::e0)).unwrap_or(f64::NAN),
            wind_2m_ms: wind(d.wind_ms, d.wind_height_m).unwrap_or(f64::NAN),
        },
        rain_chance: f.rain_chance_pct.map(|p| p / 100.0),
    })
}

/// A forecast with what it does not say filled by the rules for observed days.
pub fn complete(
    forecast: &[ForecastDay],
    site: &Site,
    params: &stook_weather::params::WeatherParams,
) -> Vec<ForecastDay> {
    let known = |x: f64| (!x.is_nan()).then_some(x);
    forecast
        .iter()
        .map(|f| {
            let record = Record {
                tmax_c: Some(f.day.tmax_c),
                tmin_c: Some(f.day.tmin_c),
                precip_mm: Some(f.day.precip_mm),
                rs_mj_m2: known(f.day.rs_mj_m2),
                ea_kpa: known(f.day.ea_kpa),
                wind_2m_ms: known(f.day.wind_2m_ms),
                ..Record::on(f.date)
            };
            let filled = stook_weather::series::fill(&[record], site, params);
            ForecastDay { day: filled.days.first().copied().unwrap_or(f.day), ..*f }
        })
        .collect()
}
