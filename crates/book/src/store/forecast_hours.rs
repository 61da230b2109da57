//! Forecasts by the hour. Each also stands as a forecast by the day under the same issue, so that what looks days ahead
//! needs to know of one kind only.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use rusqlite::{OptionalExtension, ToSql, params};
use stook_weather::series::daily_from_hourly;

use super::weather::{HOUR, hour_at, hour_number, marks, not_a_date, source};
use super::{Store, StoreError};
use crate::readings::{DayReading, Flags, ForecastHour, ForecastReading, HourReading};

/// Fewest hours of a day that make a day of the forecast.
const MOST_OF_A_DAY: usize = 20;

impl Store {
    /// Keeps a forecast by the hour under the time it was issued, by the farm's clock, and its whole days with it. Days
    /// it does not reach are taken over from the forecast before.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn put_forecast_hours(
        &mut self,
        issued: DateTime,
        file: &str,
        imported: Timestamp,
        hours: &[ForecastHour],
    ) -> Result<(), StoreError> {
        let mut days: BTreeMap<Date, ForecastReading> = self
            .latest_forecast(issued)?
            .map(|f| f.days)
            .unwrap_or_default()
            .into_iter()
            .filter(|d| d.day.date >= issued.date())
            .map(|d| (d.day.date, d))
            .collect();
        days.extend(whole_days(hours).into_iter().map(|d| (d.day.date, d)));
        let days: Vec<ForecastReading> = days.into_values().collect();
        self.put_forecast(issued, file, imported, &days)?;
        let tx = self.db.transaction()?;
        let source = source(&tx, file, imported)?;
        let issued = issued.to_string();
        tx.execute("DELETE FROM weather_forecast_hour WHERE issued = ?1", [&issued])?;
        {
            let marks = marks(3, HourReading::NUMBERS + 1);
            let mut insert = tx.prepare_cached(&format!(
                "INSERT OR REPLACE INTO weather_forecast_hour (issued, hour, source, {HOUR}, rain_chance_pct) VALUES \
                 (?1, ?2, ?3, {marks})"
            ))?;
            for f in hours {
                let (hour, numbers) = (hour_number(f.hour.at), f.hour.numbers());
                let mut values: Vec<&dyn ToSql> = vec![&issued, &hour, &source];
                values.extend(numbers.iter().map(|n| n as &dyn ToSql));
                values.push(&f.rain_chance_pct);
                insert.execute(values.as_slice())?;
            }
        }
        tx.commit()?;
        Ok(())
    }

    /// The hours of the last forecast issued by `by`; none when a later one by the day has taken its place.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn latest_forecast_hours(&self, by: DateTime) -> Result<Vec<ForecastHour>, StoreError> {
        let last = |table: &str| -> Result<Option<String>, StoreError> {
            Ok(self
                .db
                .prepare_cached(&format!("SELECT max(issued) FROM {table} WHERE issued <= ?1"))?
                .query_row([by.to_string()], |r| r.get(0))
                .optional()?
                .flatten())
        };
        let Some(issued) = last("weather_forecast_hour")? else { return Ok(Vec::new()) };
        let time = |text: &str| text.parse::<DateTime>().map_err(|e| not_a_date(0, e));
        let newer_days = match last("weather_forecast")? {
            Some(days) => time(&days)? > time(&issued)?,
            None => false,
        };
        if newer_days {
            return Ok(Vec::new());
        }
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {HOUR}, hour, rain_chance_pct FROM weather_forecast_hour WHERE issued = ?1 ORDER BY hour"
        ))?;
        let hours = query
            .query_map(params![issued], |r| {
                let mut numbers = [None; HourReading::NUMBERS];
                for (i, n) in numbers.iter_mut().enumerate() {
                    *n = r.get(i)?;
                }
                let at = hour_at(r.get(HourReading::NUMBERS)?);
                let hour = HourReading::from_numbers(at, numbers, Flags::default());
                Ok(ForecastHour { hour, rain_chance_pct: r.get(HourReading::NUMBERS + 1)? })
            })?
            .collect::<Result<_, _>>()?;
        Ok(hours)
    }
}

/// The days of which most hours are there. The chance of rain on a day is at least that of its likeliest hour.
fn whole_days(hours: &[ForecastHour]) -> Vec<ForecastReading> {
    let records: Vec<_> = hours.iter().map(|f| f.hour.record()).collect();
    daily_from_hourly(&records)
        .iter()
        .filter(|r| hours.iter().filter(|f| f.hour.at.date() == r.date).count() >= MOST_OF_A_DAY)
        .filter(|r| r.tmax_c.is_some() && r.tmin_c.is_some())
        .map(|r| {
            let of_day = hours.iter().filter(|f| f.hour.at.date() == r.date);
            let chance = of_day.filter_map(|f| f.rain_chance_pct).fold(f64::NAN, f64::max);
            ForecastReading {
                day: DayReading::from(r),
                rain_chance_pct: chance.is_finite().then_some(chance),
            }
        })
        .collect()
}
