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

/// A reading and its row in the table of the store: the same numbers in the same order, said once.
macro_rules! readings {
    ($(#[$about:meta])* $name:ident $(#[$when_about:meta])* $when:ident: $When:ty; $($(#[$each:meta])* $number:ident,)+) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct $name {
            $(#[$when_about])*
            pub $when: $When,
            $($(#[$each])* pub $number: Option<f64>,)+
            /// What the source said.
            pub flags: Flags,
        }

        impl $name {
            pub(crate) const NUMBERS: usize = [$(stringify!($number)),+].len();

            /// With nothing known.
            pub fn blank($when: $When) -> Self {
                Self { $when, $($number: None,)+ flags: Flags::default() }
            }

            /// In the order of the table's columns.
            pub(crate) fn numbers(&self) -> [Option<f64>; Self::NUMBERS] {
                [$(self.$number),+]
            }

            pub(crate) fn from_numbers($when: $When, numbers: [Option<f64>; Self::NUMBERS], flags: Flags) -> Self {
                let [$($number),+] = numbers;
                Self { $when, $($number,)+ flags }
            }
        }
    };
}

readings! {
    /// A day at a station.
    DayReading
    /// The day.
    date: Date;
    /// Highest air temperature, C.
    tmax_c,
    /// Lowest air temperature, C.
    tmin_c,
    /// Mean air temperature, C.
    tmean_c,
    /// Rain and melted snow, mm.
    precip_mm,
    /// New snow by depth, cm.
    new_snow_cm,
    /// Snow on the ground, cm.
    snow_depth_cm,
    /// Solar radiation on the level, MJ/m2.
    rs_mj_m2,
    /// Bright sunshine, h.
    sunshine_h,
    /// Mean dew point, C.
    dew_point_c,
    /// Mean relative humidity, %; over water also below freezing, as stations report.
    rh_pct,
    /// Highest relative humidity, %.
    rh_max_pct,
    /// Lowest relative humidity, %.
    rh_min_pct,
    /// Vapour pressure, kPa.
    ea_kpa,
    /// Mean wind, m/s, at `wind_height_m`.
    wind_ms,
    /// Height of the wind, m.
    wind_height_m,
}

impl DayReading {
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

readings! {
    /// An hour at a station.
    HourReading
    /// Start of the hour, local standard time.
    at: DateTime;
    /// Air temperature, C.
    temp_c,
    /// Dew point, C.
    dew_point_c,
    /// Relative humidity, %; over water also below freezing.
    rh_pct,
    /// Vapour pressure, kPa.
    ea_kpa,
    /// Rain and melted snow in the hour, mm.
    precip_mm,
    /// Solar radiation in the hour, MJ/m2.
    rs_mj_m2,
    /// Bright sunshine in the hour, h.
    sunshine_h,
    /// Air pressure at the station, kPa.
    pressure_kpa,
    /// Snow on the ground, cm.
    snow_depth_cm,
    /// Wind, m/s, at `wind_height_m`.
    wind_ms,
    /// Height of the wind, m.
    wind_height_m,
}

impl HourReading {
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
