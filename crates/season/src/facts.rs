//! What the season is asked with: the farm, and the weather on file as the weather models take it.

use std::collections::BTreeMap;

use jiff::civil::Date;
use stook_book::farm::Farm;
use stook_book::readings::{DayReading, ForecastHour, ForecastReading, HourReading};
use stook_book::{Store, StoreError};
use stook_crop::disease::DiseaseParams;
use stook_crop::disease::leaf::{Wetness, wetness_measured};
use stook_weather::ensemble::ForecastDay;
use stook_weather::params::WeatherParams;
use stook_weather::series::{self, Record};
use stook_weather::{Day, Site};

use crate::Before;

/// Weather facts from the store: observed days of every year on file, and the latest forecast.
#[derive(Debug, Clone, Default)]
pub struct WeatherFacts {
    /// Observed days, any order, any years.
    pub observed: Vec<Record>,
    /// The latest forecast issued by the day answered for.
    pub forecast: Vec<ForecastReading>,
    /// Its hours, when it came by the hour.
    pub forecast_hours: Vec<ForecastHour>,
    /// The station's own hours of the last months, to the end of the day answered for, in order.
    pub hours: Vec<HourReading>,
}

/// How far back the station's hours are of use: the disease season.
const HOURS_BACK_DAYS: i64 = 150;

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
    /// The book as it stood the evening before, to tell what moved since; without it, today's book stands in.
    pub before: Option<&'a Before>,
    /// How many weathers.
    pub members: usize,
    /// Seed of everything drawn.
    pub seed: u64,
}

impl WeatherFacts {
    /// Reads everything on file, and the last forecast issued by the end of `as_of`.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn load(store: &Store, as_of: Date) -> Result<Self, StoreError> {
        let forecast = store.latest_forecast(as_of.at(23, 59, 59, 0))?.map(|f| f.days).unwrap_or_default();
        let forecast = forecast.into_iter().filter(|f| f.day.date >= as_of).collect();
        let forecast_hours = store.latest_forecast_hours(as_of.at(23, 59, 59, 0))?;
        let from = as_of.saturating_sub(jiff::Span::new().days(HOURS_BACK_DAYS)).at(0, 0, 0, 0);
        let mut hours = BTreeMap::new();
        for station in store.stations()? {
            for h in store.hours(&station, from, as_of.at(23, 59, 59, 0))? {
                hours.entry(h.at).or_insert(h);
            }
        }
        let hours = hours.into_values().collect();
        Ok(Self { observed: store.observed()?, forecast, forecast_hours, hours })
    }

    /// The last observed day.
    pub fn last_day(&self) -> Option<Date> {
        self.observed.iter().map(|r| r.date).max()
    }
}

/// How wet the canopy was on each day before `until` that the station has hours of.
pub fn measured_wetness(
    weather: &WeatherFacts,
    until: Date,
    disease: &DiseaseParams,
) -> BTreeMap<Date, Wetness> {
    let records: Vec<_> = weather.hours.iter().map(HourReading::record).filter(|h| h.date < until).collect();
    records
        .chunk_by(|a, b| a.date == b.date)
        .filter_map(|day| Some((day[0].date, wetness_measured(day, disease)?)))
        .collect()
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

/// Forecast days with what they do not say filled by the rules for observed days; one without both temperatures is of no
/// use and is left out.
pub fn complete(forecast: &[ForecastReading], site: &Site, params: &WeatherParams) -> Vec<ForecastDay> {
    forecast
        .iter()
        .filter(|f| f.day.tmax_c.is_some() && f.day.tmin_c.is_some())
        .filter_map(|f| {
            let filled = series::fill(&[f.day.record()], site, params);
            Some(ForecastDay {
                date: f.day.date,
                day: *filled.days.first()?,
                rain_chance: f.rain_chance_pct.map(|p| p / 100.0),
            })
        })
        .collect()
}
