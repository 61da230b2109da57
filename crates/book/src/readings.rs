//! Weather as a station or a forecast reported it, in SI, with gaps left as gaps.
//!
//! Nothing here is checked against its neighbours or filled in: that is the weather crate's work, each time from
//! these.

use jiff::civil::{Date, DateTime};
use stook_weather::humidity::{dew_point, wind_at_2m};
use stook_weather::series::{HourRecord, Record};

/// What the source said about a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Flags {
    /// A value is an estimate.
    pub estimated: bool,
    /// Precipitation fell, too little to measure; it stands as 0.
    pub trace: bool,
    /// Precipitation is the sum of this and earlier days.
    pub accumulated: bool,
}

impl Flags {
    /// One letter each: `E`, `T`, `A`.
    pub fn letters(self) -> String {
        [(self.estimated, 'E'), (self.trace, 'T'), (self.accumulated, 'A')]
            .into_iter()
            .filter_map(|(on, letter)| on.then_some(letter))
            .collect()
    }

    /// Reads the letters.
    pub fn from_letters(letters: &str) -> Self {
        Self {
            estimated: letters.contains('E'),
            trace: letters.contains('T'),
            accumulated: letters.contains('A'),
        }
    }
}

/// A day at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayReading {
    /// The day.
    pub date: Date,
    /// Highest air temperature, C.
    pub tmax_c: Option<f64>,
    /// Lowest air temperature, C.
    pub tmin_c: Option<f64>,
    /// Mean air temperature, C.
    pub tmean_c: Option<f64>,
    /// Rain and melted snow, mm.
    pub precip_mm: Option<f64>,
    /// New snow by depth, cm.
    pub new_snow_cm: Option<f64>,
    /// Snow on the ground, cm.
    pub snow_depth_cm: Option<f64>,
    /// Solar radiation on the level, MJ/m2.
    pub rs_mj_m2: Option<f64>,
    /// Bright sunshine, h.
    pub sunshine_h: Option<f64>,
    /// Mean dew point, C.
    pub dew_point_c: Option<f64>,
    /// Mean relative humidity, %; over water also below freezing, as stations report.
    pub rh_pct: Option<f64>,
    /// Highest relative humidity, %.
    pub rh_max_pct: Option<f64>,
    /// Lowest relative humidity, %.
    pub rh_min_pct: Option<f64>,
    /// Vapour pressure, kPa.
    pub ea_kpa: Option<f64>,
    /// Mean wind, m/s, at `wind_height_m`.
    pub wind_ms: Option<f64>,
    /// Height of the wind, m.
    pub wind_height_m: Option<f64>,
    /// What the source said.
    pub flags: Flags,
}

impl DayReading {
    /// A day of which nothing is known.
    pub fn blank(date: Date) -> Self {
        Self::from_numbers(date, [None; Self::NUMBERS], Flags::default())
    }

    /// As the weather crate takes it: wind brought down to 2 m. Wind of unknown height is left out.
    pub fn record(&self) -> Record {
        Record {
            date: self.date,
            tmax_c: self.tmax_c,
            tmin_c: self.tmin_c,
            precip_mm: self.precip_mm,
            rs_mj_m2: self.rs_mj_m2,
            sunshine_h: self.sunshine_h,
            ea_kpa: self.ea_kpa,
            tdew_c: self.dew_point_c,
            rh_mean_pct: self.rh_pct,
            rh_max_pct: self.rh_max_pct,
            rh_min_pct: self.rh_min_pct,
            wind_2m_ms: wind_2m(self.wind_ms, self.wind_height_m),
            snow_depth_cm: self.snow_depth_cm,
        }
    }

    pub(crate) const NUMBERS: usize = 15;

    /// In the order of the table's columns.
    pub(crate) fn numbers(&self) -> [Option<f64>; Self::NUMBERS] {
        [
            self.tmax_c,
            self.tmin_c,
            self.tmean_c,
            self.precip_mm,
            self.new_snow_cm,
            self.snow_depth_cm,
            self.rs_mj_m2,
            self.sunshine_h,
            self.dew_point_c,
            self.rh_pct,
            self.rh_max_pct,
            self.rh_min_pct,
            self.ea_kpa,
            self.wind_ms,
            self.wind_height_m,
        ]
    }

    pub(crate) fn from_numbers(date: Date, n: [Option<f64>; Self::NUMBERS], flags: Flags) -> Self {
        let [
            tmax_c,
            tmin_c,
            tmean_c,
            precip_mm,
            new_snow_cm,
            snow_depth_cm,
            rs_mj_m2,
            sunshine_h,
            dew_point_c,
            rh_pct,
            rh_max_pct,
            rh_min_pct,
            ea_kpa,
            wind_ms,
            wind_height_m,
        ] = n;
        Self {
            date,
            tmax_c,
            tmin_c,
            tmean_c,
            precip_mm,
            new_snow_cm,
            snow_depth_cm,
            rs_mj_m2,
            sunshine_h,
            dew_point_c,
            rh_pct,
            rh_max_pct,
            rh_min_pct,
            ea_kpa,
            wind_ms,
            wind_height_m,
            flags,
        }
    }
}

impl From<&Record> for DayReading {
    fn from(r: &Record) -> Self {
        Self {
            tmax_c: r.tmax_c,
            tmin_c: r.tmin_c,
            precip_mm: r.precip_mm,
            snow_depth_cm: r.snow_depth_cm,
            rs_mj_m2: r.rs_mj_m2,
            sunshine_h: r.sunshine_h,
            dew_point_c: r.tdew_c,
            rh_pct: r.rh_mean_pct,
            rh_max_pct: r.rh_max_pct,
            rh_min_pct: r.rh_min_pct,
            ea_kpa: r.ea_kpa,
            wind_ms: r.wind_2m_ms,
            wind_height_m: r.wind_2m_ms.map(|_| 2.0),
            ..Self::blank(r.date)
        }
    }
}

fn wind_2m(wind_ms: Option<f64>, height_m: Option<f64>) -> Option<f64> {
    let (wind, height) = (wind_ms?, height_m?);
    // The profile is fitted to a rounded factor; a wind measured at 2 m stays as it is.
    Some(if height == 2.0 { wind } else { wind_at_2m(wind, height) })
}

/// An hour at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourReading {
    /// Start of the hour, local standard time.
    pub at: DateTime,
    /// Air temperature, C.
    pub temp_c: Option<f64>,
    /// Dew point, C.
    pub dew_point_c: Option<f64>,
    /// Relative humidity, %; over water also below freezing.
    pub rh_pct: Option<f64>,
    /// Vapour pressure, kPa.
    pub ea_kpa: Option<f64>,
    /// Rain and melted snow in the hour, mm.
    pub precip_mm: Option<f64>,
    /// Solar radiation in the hour, MJ/m2.
    pub rs_mj_m2: Option<f64>,
    /// Bright sunshine in the hour, h.
    pub sunshine_h: Option<f64>,
    /// Air pressure at the station, kPa.
    pub pressure_kpa: Option<f64>,
    /// Snow on the ground, cm.
    pub snow_depth_cm: Option<f64>,
    /// Wind, m/s, at `wind_height_m`.
    pub wind_ms: Option<f64>,
    /// Height of the wind, m.
    pub wind_height_m: Option<f64>,
    /// What the source said.
    pub flags: Flags,
}

impl HourReading {
    /// An hour of which nothing is known.
    pub fn blank(at: DateTime) -> Self {
        Self::from_numbers(at, [None; Self::NUMBERS], Flags::default())
    }

    /// As the weather crate takes it: known by the end of the hour, wind at 2 m, radiation as the hour's mean.
    pub fn record(&self) -> HourRecord {
        HourRecord {
            date: self.at.date(),
            hour_ending: self.at.hour().unsigned_abs() + 1,
            temp_c: self.temp_c,
            tdew_c: self.dew_point_c.or(self.ea_kpa.map(dew_point)),
            rh_pct: self.rh_pct,
            wind_2m_ms: wind_2m(self.wind_ms, self.wind_height_m),
            rs_w_m2: self.rs_mj_m2.map(|mj| mj / 0.0036),
            precip_mm: self.precip_mm,
        }
    }

    pub(crate) const NUMBERS: usize = 11;

    /// In the order of the table's columns.
    pub(crate) fn numbers(&self) -> [Option<f64>; Self::NUMBERS] {
        [
            self.temp_c,
            self.dew_point_c,
            self.rh_pct,
            self.ea_kpa,
            self.precip_mm,
            self.rs_mj_m2,
            self.sunshine_h,
            self.pressure_kpa,
            self.snow_depth_cm,
            self.wind_ms,
            self.wind_height_m,
        ]
    }

    pub(crate) fn from_numbers(at: DateTime, n: [Option<f64>; Self::NUMBERS], flags: Flags) -> Self {
        let [
            temp_c,
            dew_point_c,
            rh_pct,
            ea_kpa,
            precip_mm,
            rs_mj_m2,
            sunshine_h,
            pressure_kpa,
            snow_depth_cm,
            wind_ms,
            wind_height_m,
        ] = n;
        Self {
            at,
            temp_c,
            dew_point_c,
            rh_pct,
            ea_kpa,
            precip_mm,
            rs_mj_m2,
            sunshine_h,
            pressure_kpa,
            snow_depth_cm,
            wind_ms,
            wind_height_m,
            flags,
        }
    }
}

/// A day of a forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForecastReading {
    /// The day.
    pub day: DayReading,
    /// Chance of rain or snow, %.
    pub rain_chance_pct: Option<f64>,
}

/// An hour of a forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForecastHour {
    /// The hour.
    pub hour: HourReading,
    /// Chance of rain or snow in it, %.
    pub rain_chance_pct: Option<f64>,
}

/// A forecast with when it was issued.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// When, by the farm's clock.
    pub issued: DateTime,
    /// The days, in order.
    pub days: Vec<ForecastReading>,
}
