//! A weather file as read: rows in SI with what is wrong and what was done.

use jiff::civil::DateTime;

use super::header::Quantity;
use super::unit::Unit;
use crate::readings::{DayReading, Flags, ForecastHour, ForecastReading, HourReading};

/// Days or hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// One row a day.
    Day,
    /// One row an hour.
    Hour,
}

/// One day or hour, in SI: C, mm, cm of snow, MJ/m2 in the step, h, m/s, %, kPa.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// Line in the file, from 1.
    pub line: u64,
    /// The day at midnight, or the hour's start in local standard time.
    pub at: DateTime,
    values: [f64; Quantity::COUNT],
    /// A value was marked as estimated.
    pub estimated: bool,
    /// Precipitation fell, too little to measure; it stands as 0.
    pub trace: bool,
    /// Precipitation is the sum of this and earlier days.
    pub accumulated: bool,
}

impl PartialEq for Row {
    /// Missing equals missing.
    fn eq(&self, other: &Self) -> bool {
        (self.line, self.at, self.flags()) == (other.line, other.at, other.flags()) && self.same_values(other)
    }
}

impl Row {
    pub(super) fn new(line: u64, at: DateTime) -> Self {
        Self {
            line,
            at,
            values: [f64::NAN; Quantity::COUNT],
            estimated: false,
            trace: false,
            accumulated: false,
        }
    }

    /// The value, unless missing.
    pub fn get(&self, q: Quantity) -> Option<f64> {
        let v = self.values[q as usize];
        (!v.is_nan()).then_some(v)
    }

    pub(super) fn set(&mut self, q: Quantity, value: f64) {
        self.values[q as usize] = value;
    }

    pub(super) fn is_blank(&self) -> bool {
        self.values.iter().all(|v| v.is_nan())
    }

    pub(super) fn same_values(&self, other: &Self) -> bool {
        self.values.iter().zip(&other.values).all(|(a, b)| a == b || a.is_nan() && b.is_nan())
    }

    fn flags(&self) -> Flags {
        Flags { estimated: self.estimated, trace: self.trace, accumulated: self.accumulated }
    }

    /// Rain and melted snow, mm: as given, or the rain where no snow fell. Snow that was only measured by depth
    /// leaves it missing: its water is not known.
    pub fn precip_mm(&self) -> Option<f64> {
        self.get(Quantity::Precip).or_else(|| {
            let snow = self.get(Quantity::NewSnow).unwrap_or(0.0);
            self.get(Quantity::Rain).filter(|_| snow <= 0.0)
        })
    }
}

/// A row that cannot be right.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct BadRow {
    /// Line in the file, from 1.
    pub line: u64,
    /// The column's heading.
    pub column: String,
    /// What is wrong.
    pub sentence: String,
}

/// A column that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct ColumnUsed {
    /// Its heading.
    pub heading: String,
    /// What it holds.
    pub quantity: Quantity,
    /// In this unit.
    pub unit: Unit,
}

/// A weather file as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Days or hours.
    pub step: Step,
    /// The station, if the file names one.
    pub station: Option<String>,
    /// Height of the wind, m, if known.
    pub wind_height_m: Option<f64>,
    /// Rows in time order, none twice.
    pub rows: Vec<Row>,
    /// Rows that cannot be right, in line order. They are not among `rows`.
    pub bad_rows: Vec<BadRow>,
    /// What was done and passed over, in sentences.
    pub notes: Vec<String>,
    /// The columns read.
    pub columns: Vec<ColumnUsed>,
}

impl Sheet {
    /// The rows as days. With bad rows in the file, only when the person has said to leave them out.
    ///
    /// # Errors
    /// When the file holds hours, or bad rows that were not allowed.
    pub fn days(&self, skip_bad: bool) -> Result<Vec<DayReading>, SheetError> {
        self.rows_of(Step::Day, skip_bad).map(|rows| rows.iter().map(|r| self.day(r)).collect())
    }

    /// The rows as hours.
    ///
    /// # Errors
    /// When the file holds days, or bad rows that were not allowed.
    pub fn hours(&self, skip_bad: bool) -> Result<Vec<HourReading>, SheetError> {
        self.rows_of(Step::Hour, skip_bad).map(|rows| rows.iter().map(|r| self.hour(r)).collect())
    }

    /// The rows as forecast days.
    ///
    /// # Errors
    /// As [`Sheet::days`].
    pub fn forecast(&self, skip_bad: bool) -> Result<Vec<ForecastReading>, SheetError> {
        let rows = self.rows_of(Step::Day, skip_bad)?;
        let chance = |r: &Row| r.get(Quantity::RainChance);
        Ok(rows.iter().map(|r| ForecastReading { day: self.day(r), rain_chance_pct: chance(r) }).collect())
    }

    /// The rows as forecast hours.
    ///
    /// # Errors
    /// As [`Sheet::hours`].
    pub fn forecast_hours(&self, skip_bad: bool) -> Result<Vec<ForecastHour>, SheetError> {
        let rows = self.rows_of(Step::Hour, skip_bad)?;
        let chance = |r: &Row| r.get(Quantity::RainChance);
        Ok(rows.iter().map(|r| ForecastHour { hour: self.hour(r), rain_chance_pct: chance(r) }).collect())
    }

    fn rows_of(&self, step: Step, skip_bad: bool) -> Result<&[Row], SheetError> {
        if self.step != step {
            return Err(if step == Step::Day { SheetError::Hours } else { SheetError::Days });
        }
        match self.bad_rows.first() {
            Some(first) if !skip_bad => Err(SheetError::BadRows {
                count: self.bad_rows.len(),
                line: first.line,
                column: first.column.clone(),
                sentence: first.sentence.clone(),
            }),
            _ => Ok(&self.rows),
        }
    }

    fn day(&self, r: &Row) -> DayReading {
        let wind_ms = r.get(Quantity::Wind);
        DayReading {
            date: r.at.date(),
            tmax_c: r.get(Quantity::TempMax),
            tmin_c: r.get(Quantity::TempMin),
            tmean_c: r.get(Quantity::Temp),
            precip_mm: r.precip_mm(),
            new_snow_cm: r.get(Quantity::NewSnow),
            snow_depth_cm: r.get(Quantity::SnowDepth),
            rs_mj_m2: r.get(Quantity::Radiation),
            sunshine_h: r.get(Quantity::Sunshine),
            dew_point_c: r.get(Quantity::DewPoint),
            rh_pct: r.get(Quantity::Humidity),
            rh_max_pct: r.get(Quantity::HumidityMax),
            rh_min_pct: r.get(Quantity::HumidityMin),
            ea_kpa: r.get(Quantity::Vapour),
            wind_ms,
            wind_height_m: wind_ms.and(self.wind_height_m),
            flags: r.flags(),
        }
    }

    fn hour(&self, r: &Row) -> HourReading {
        let wind_ms = r.get(Quantity::Wind);
        HourReading {
            at: r.at,
            temp_c: r.get(Quantity::Temp),
            dew_point_c: r.get(Quantity::DewPoint),
            rh_pct: r.get(Quantity::Humidity),
            ea_kpa: r.get(Quantity::Vapour),
            precip_mm: r.precip_mm(),
            rs_mj_m2: r.get(Quantity::Radiation),
            sunshine_h: r.get(Quantity::Sunshine),
            pressure_kpa: r.get(Quantity::Pressure),
            snow_depth_cm: r.get(Quantity::SnowDepth),
            wind_ms,
            wind_height_m: wind_ms.and(self.wind_height_m),
            flags: r.flags(),
        }
    }
}

/// Why rows are not handed out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// Rows that cannot be right, and no word to leave them out.
    #[error(
        "{count} rows cannot be right; the first: line {line}, column \"{column}\": {sentence}. Mend the file, or say to \
         leave bad rows out"
    )]
    BadRows {
        /// How many.
        count: usize,
        /// Line of the first.
        line: u64,
        /// Its column.
        column: String,
        /// What is wrong.
        sentence: String,
    },
    /// Hours where days were wanted.
    #[error("this file holds hours; bring it in as hours")]
    Hours,
    /// Days where hours were wanted.
    #[error("this file holds days; bring it in as days")]
    Days,
}

/// What is wrong with a value, if it cannot be weather.
pub(super) fn impossible(q: Quantity, value: f64, hourly: bool) -> Option<String> {
    // Limits past every record with room to spare; the finer checks come with the whole series.
    let (low, high, unit) = match q {
        Quantity::TempMax | Quantity::TempMin | Quantity::Temp | Quantity::DewPoint => (-65.0, 60.0, "C"),
        Quantity::Humidity | Quantity::HumidityMax | Quantity::HumidityMin => (0.0, 105.0, "%"),
        Quantity::RainChance => (0.0, 100.0, "%"),
        Quantity::Vapour => (0.0, 8.0, "kPa"),
        Quantity::Precip | Quantity::Rain => (0.0, if hourly { 200.0 } else { 400.0 }, "mm"),
        Quantity::NewSnow => (0.0, 200.0, "cm"),
        Quantity::SnowDepth => (0.0, 1_000.0, "cm"),
        Quantity::Radiation => (0.0, if hourly { 5.2 } else { 48.0 }, "MJ/m2"),
        Quantity::Sunshine => (0.0, 24.0, "h"),
        Quantity::Wind => (0.0, 75.0, "m/s"),
        Quantity::Pressure => (40.0, 110.0, "kPa"),
    };
    if value >= low && value <= high {
        return None;
    }
    Some(format!(
        "{} of {} {unit} is not weather (it should be {low} to {high} {unit}); is the unit right?",
        q.words(),
        stook_measure::figure(value, 1)
    ))
}
