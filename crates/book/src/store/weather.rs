//! Weather readings and forecasts in the file.
//!
//! A station's day or hour stands once; a later file with another value for it takes its place, as archives revise
//! theirs. Forecasts are all kept, by when they were issued, so that what was known on a past day can be told.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};
use jiff::{Span, Timestamp};
use rusqlite::{OptionalExtension, ToSql, Transaction, TransactionBehavior, params};
use stook_weather::series::{Record, daily_from_hourly};

use super::{Store, StoreError};
use crate::readings::{DayReading, Flags, Forecast, ForecastReading, HourReading};

/// What became of readings put in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Put {
    /// Not there before.
    pub new: usize,
    /// There with other values.
    pub changed: usize,
    /// There already, the same.
    pub same: usize,
}

const DAY: &str = "tmax_c, tmin_c, tmean_c, precip_mm, new_snow_cm, snow_depth_cm, rs_mj_m2, sunshine_h, dew_point_c, \
                   rh_pct, rh_max_pct, rh_min_pct, ea_kpa, wind_ms, wind_height_m";
pub(super) const HOUR: &str = "temp_c, dew_point_c, rh_pct, ea_kpa, precip_mm, rs_mj_m2, sunshine_h, pressure_kpa, snow_depth_cm, \
                    wind_ms, wind_height_m";

impl Store {
    /// Puts a station's days in. `file` is where they came from, `imported` when.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn put_days(
        &mut self,
        station: &str,
        file: &str,
        imported: Timestamp,
        days: &[DayReading],
    ) -> Result<Put, StoreError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let source = source(&tx, file, imported)?;
        let put = put(&tx, "weather_day", "date", DAY, station, days.len(), |write| {
            days.iter().try_for_each(|d| write(&d.date.to_string(), &d.numbers(), d.flags, source))
        })?;
        tx.commit()?;
        Ok(put)
    }

    /// Puts a station's hours in.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn put_hours(
        &mut self,
        station: &str,
        file: &str,
        imported: Timestamp,
        hours: &[HourReading],
    ) -> Result<Put, StoreError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let source = source(&tx, file, imported)?;
        let put = put(&tx, "weather_hour", "hour", HOUR, station, hours.len(), |write| {
            hours.iter().try_for_each(|h| write(&hour_number(h.at), &h.numbers(), h.flags, source))
        })?;
        tx.commit()?;
        Ok(put)
    }

    /// The stations with days or hours on file.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn stations(&self) -> Result<Vec<String>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT DISTINCT station FROM weather_day UNION SELECT DISTINCT station FROM weather_hour ORDER BY 1",
        )?;
        let names = query.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?;
        Ok(names)
    }

    /// A station's days in order.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn days(&self, station: &str) -> Result<Vec<DayReading>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {DAY}, flags, date FROM weather_day WHERE station = ?1 ORDER BY date"
        ))?;
        let days = query
            .query_map([station], |r| {
                let (numbers, flags) = numbers_and_flags(r)?;
                Ok(DayReading::from_numbers(date_at(r, DayReading::NUMBERS + 1)?, numbers, flags))
            })?
            .collect::<Result<_, _>>()?;
        Ok(days)
    }

    /// A station's hours from `from` up to and without `until`, in order.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn hours(
        &self,
        station: &str,
        from: DateTime,
        until: DateTime,
    ) -> Result<Vec<HourReading>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {HOUR}, flags, hour FROM weather_hour WHERE station = ?1 AND hour >= ?2 AND hour < ?3 ORDER BY hour"
        ))?;
        let hours = query
            .query_map(params![station, hour_number(from), hour_number(until)], |r| {
                let (numbers, flags) = numbers_and_flags(r)?;
                Ok(HourReading::from_numbers(hour_at(r.get(HourReading::NUMBERS + 1)?), numbers, flags))
            })?
            .collect::<Result<_, _>>()?;
        Ok(hours)
    }

    /// Every day observed, in order, as the weather crate takes it: each value from the station with the most days
    /// that has it, and from the station's hours where it wrote no day.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn observed(&self) -> Result<Vec<Record>, StoreError> {
        let mut by_station = Vec::new();
        for station in self.stations()? {
            let days: Vec<Record> = self.days(&station)?.iter().map(DayReading::record).collect();
            let hours = self.hours(&station, DateTime::MIN, DateTime::MAX)?;
            let hours: Vec<_> = hours.iter().map(HourReading::record).collect();
            let mut merged: BTreeMap<Date, Record> = BTreeMap::new();
            for record in days.into_iter().chain(daily_from_hourly(&hours)) {
                fill_in(merged.entry(record.date).or_insert(Record::on(record.date)), &record);
            }
            by_station.push(merged);
        }
        by_station.sort_by_key(|days| std::cmp::Reverse(days.len()));
        let mut all: BTreeMap<Date, Record> = BTreeMap::new();
        for record in by_station.iter().flat_map(BTreeMap::values) {
            fill_in(all.entry(record.date).or_insert(Record::on(record.date)), record);
        }
        Ok(all.into_values().collect())
    }

    /// Keeps a forecast under the time it was issued, by the farm's clock. The same issue again replaces itself.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn put_forecast(
        &mut self,
        issued: DateTime,
        file: &str,
        imported: Timestamp,
        days: &[ForecastReading],
    ) -> Result<(), StoreError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let source = source(&tx, file, imported)?;
        tx.execute("DELETE FROM weather_forecast WHERE issued = ?1", [issued.to_string()])?;
        {
            let marks = marks(3, DayReading::NUMBERS + 1);
            let mut insert = tx.prepare_cached(&format!(
                "INSERT INTO weather_forecast (issued, date, source, {DAY}, rain_chance_pct) VALUES (?1, ?2, ?3, {marks})"
            ))?;
            let issued = issued.to_string();
            for f in days {
                let (date, numbers) = (f.day.date.to_string(), f.day.numbers());
                let mut values: Vec<&dyn ToSql> = vec![&issued, &date, &source];
                values.extend(numbers.iter().map(|n| n as &dyn ToSql));
                values.push(&f.rain_chance_pct);
                insert.execute(values.as_slice())?;
            }
        }
        tx.commit()?;
        Ok(())
    }

    /// The last forecast issued by `by`, by the farm's clock.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn latest_forecast(&self, by: DateTime) -> Result<Option<Forecast>, StoreError> {
        let issued: Option<String> = self
            .db
            .prepare_cached("SELECT max(issued) FROM weather_forecast WHERE issued <= ?1")?
            .query_row([by.to_string()], |r| r.get(0))
            .optional()?
            .flatten();
        let Some(issued) = issued else { return Ok(None) };
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {DAY}, '', rain_chance_pct, date FROM weather_forecast WHERE issued = ?1 ORDER BY date"
        ))?;
        let days = query
            .query_map([&issued], |r| {
                let (numbers, flags) = numbers_and_flags(r)?;
                let day = DayReading::from_numbers(date_at(r, DayReading::NUMBERS + 2)?, numbers, flags);
                Ok(ForecastReading { day, rain_chance_pct: r.get(DayReading::NUMBERS + 1)? })
            })?
            .collect::<Result<_, _>>()?;
        let issued = issued.parse().map_err(|e: jiff::Error| not_a_date(0, e))?;
        Ok(Some(Forecast { issued, days }))
    }
}

/// Takes from `other` what `record` lacks. Extremes and humidity come as sets, never half from each.
fn fill_in(record: &mut Record, other: &Record) {
    if record.tmax_c.is_none() && record.tmin_c.is_none() {
        (record.tmax_c, record.tmin_c) = (other.tmax_c, other.tmin_c);
    }
    let humidity = |r: &Record| [r.ea_kpa, r.tdew_c, r.rh_mean_pct, r.rh_max_pct, r.rh_min_pct];
    if humidity(record).iter().all(Option::is_none) {
        [record.ea_kpa, record.tdew_c, record.rh_mean_pct, record.rh_max_pct, record.rh_min_pct] =
            humidity(other);
    }
    record.precip_mm = record.precip_mm.or(other.precip_mm);
    record.rs_mj_m2 = record.rs_mj_m2.or(other.rs_mj_m2);
    record.sunshine_h = record.sunshine_h.or(other.sunshine_h);
    record.wind_2m_ms = record.wind_2m_ms.or(other.wind_2m_ms);
    record.snow_depth_cm = record.snow_depth_cm.or(other.snow_depth_cm);
}

pub(super) fn source(tx: &Transaction<'_>, file: &str, imported: Timestamp) -> Result<i64, StoreError> {
    tx.execute("INSERT INTO weather_source (file, imported) VALUES (?1, ?2)", [file, &imported.to_string()])?;
    Ok(tx.last_insert_rowid())
}

type Write<'w> = &'w mut dyn FnMut(&dyn ToSql, &[Option<f64>], Flags, i64) -> Result<(), StoreError>;

/// Writes `count` rows through `feed` and tells what became of them.
fn put(
    tx: &Transaction<'_>,
    table: &str,
    key: &str,
    columns: &str,
    station: &str,
    count: usize,
    feed: impl FnOnce(Write<'_>) -> Result<(), StoreError>,
) -> Result<Put, StoreError> {
    let rows = || -> Result<usize, StoreError> {
        let sql = format!("SELECT count(*) FROM {table} WHERE station = ?1");
        Ok(tx.query_row(&sql, [station], |r| r.get::<_, u32>(0))? as usize)
    };
    let before = rows()?;
    let names: Vec<&str> = columns.split(", ").collect();
    let set: Vec<String> = names.iter().map(|n| format!("{n} = excluded.{n}")).collect();
    let newer: Vec<String> = names.iter().map(|n| format!("excluded.{n}")).collect();
    let mut upsert = tx.prepare_cached(&format!(
        "INSERT INTO {table} (station, {key}, flags, source, {columns}) VALUES (?1, ?2, ?3, ?4, {}) \
         ON CONFLICT (station, {key}) DO UPDATE SET {}, flags = excluded.flags, source = excluded.source \
         WHERE ({columns}, {table}.flags) IS NOT ({}, excluded.flags)",
        marks(4, names.len()),
        set.join(", "),
        newer.join(", ")
    ))?;
    let mut written = 0;
    feed(&mut |key, numbers, flags, source| {
        upsert.raw_bind_parameter(1, station)?;
        upsert.raw_bind_parameter(2, key)?;
        upsert.raw_bind_parameter(3, flags.letters())?;
        upsert.raw_bind_parameter(4, source)?;
        for (i, n) in numbers.iter().enumerate() {
            upsert.raw_bind_parameter(5 + i, n)?;
        }
        written += upsert.raw_execute()?;
        Ok(())
    })?;
    let new = rows()? - before;
    Ok(Put { new, changed: written - new, same: count - written })
}

/// `?5, ?6, …` after the first `from`.
pub(super) fn marks(from: usize, count: usize) -> String {
    (from + 1..=from + count).map(|i| format!("?{i}")).collect::<Vec<_>>().join(", ")
}

fn numbers_and_flags<const N: usize>(r: &rusqlite::Row<'_>) -> rusqlite::Result<([Option<f64>; N], Flags)> {
    let mut numbers = [None; N];
    for (i, n) in numbers.iter_mut().enumerate() {
        *n = r.get(i)?;
    }
    let letters = r.get_ref(N)?.as_str()?;
    Ok((numbers, Flags::from_letters(letters)))
}

fn date_at(r: &rusqlite::Row<'_>, i: usize) -> rusqlite::Result<Date> {
    let text = r.get_ref(i)?.as_str()?;
    text.parse().map_err(|e| not_a_date(i, e))
}

pub(super) fn not_a_date(column: usize, why: jiff::Error) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(column, rusqlite::types::Type::Text, Box::new(why))
}

const START: DateTime = DateTime::constant(1970, 1, 1, 0, 0, 0, 0);

pub(super) fn hour_number(at: DateTime) -> i64 {
    at.duration_since(START).as_hours()
}

pub(super) fn minute_number(at: DateTime) -> i64 {
    at.duration_since(START).as_mins()
}

pub(super) fn minute_at(number: i64) -> DateTime {
    START.saturating_add(Span::new().minutes(number))
}

pub(super) fn hour_at(number: i64) -> DateTime {
    START.saturating_add(Span::new().hours(number))
}
