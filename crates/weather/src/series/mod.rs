//! Observed weather as it comes, with holes, and as the models need it, without.

mod fill;
mod hours;
mod stretch;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

pub use fill::fill;
pub use hours::{HourRecord, daily_from_hourly};
pub use stretch::Stretch;

use crate::day::Day;

/// What a station or a notebook has of one day. Local standard time; the day runs from midnight to midnight unless the
/// station's climate day differs (many end at 06 UTC).
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Record {
    /// Date.
    pub date: Date,
    /// Highest temperature, C.
    pub tmax_c: Option<f64>,
    /// Lowest temperature, C.
    pub tmin_c: Option<f64>,
    /// Rain and the water in snow, mm.
    pub precip_mm: Option<f64>,
    /// Solar radiation, MJ/m2.
    pub rs_mj_m2: Option<f64>,
    /// Hours of bright sun.
    pub sunshine_h: Option<f64>,
    /// Vapour pressure, kPa.
    pub ea_kpa: Option<f64>,
    /// Dew point, mean of the day, C.
    pub tdew_c: Option<f64>,
    /// Relative humidity over water, mean, %.
    pub rh_mean_pct: Option<f64>,
    /// Relative humidity over water, highest, %.
    pub rh_max_pct: Option<f64>,
    /// Relative humidity over water, lowest, %.
    pub rh_min_pct: Option<f64>,
    /// Mean wind at 2 m, m/s; bring it down from the mast with [`crate::humidity::wind_at_2m`].
    pub wind_2m_ms: Option<f64>,
    /// Snow on the ground, cm.
    pub snow_depth_cm: Option<f64>,
}

impl Record {
    /// A day of which nothing is known yet.
    pub fn on(date: Date) -> Self {
        Self { date, ..Self::default() }
    }
}

/// The rule that gave a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// As measured.
    Measured,
    /// Radiation from hours of sun (FAO-56 Eq. 35).
    FromSunshine,
    /// Radiation from the range of temperature (FAO-56 Eq. 50), held to the clear sky.
    FromTempRange,
    /// Vapour pressure from the dew point (FAO-56 Eq. 14).
    FromDewPoint,
    /// Vapour pressure from both ends of relative humidity (Eq. 17).
    FromRhRange,
    /// Vapour pressure from the highest relative humidity (Eq. 18).
    FromRhMax,
    /// Vapour pressure from mean relative humidity (Eq. 19).
    FromRhMean,
    /// Vapour pressure from a dew point a little below Tmin (FAO-56 p. 58).
    FromTmin,
    /// The usual wind of many stations (FAO-56 p. 63).
    UsualWind,
    /// A short gap bridged in a straight line between its two ends.
    Bridged,
    /// No rain assumed in a short gap.
    AssumedDry,
    /// Mean of the same days in the record's other years.
    OtherYears,
    /// The general plains climate.
    GeneralClimate,
}

impl Rule {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::FromSunshine => "from hours of sun",
            Self::FromTempRange => "from the day's range of temperature",
            Self::FromDewPoint => "from the dew point",
            Self::FromRhRange => "from the highest and lowest relative humidity",
            Self::FromRhMax => "from the highest relative humidity",
            Self::FromRhMean => "from the mean relative humidity",
            Self::FromTmin => "dew point taken a little below the lowest temperature",
            Self::UsualWind => "usual wind of many stations",
            Self::Bridged => "bridged in a straight line across a short gap",
            Self::AssumedDry => "no rain assumed in a short gap",
            Self::OtherYears => "mean of the same days in other years of the record",
            Self::GeneralClimate => "general plains climate",
        }
    }

    /// Whether the value rests on a reading of that day.
    pub fn rests_on_the_day(self) -> bool {
        !matches!(
            self,
            Self::UsualWind | Self::Bridged | Self::AssumedDry | Self::OtherYears | Self::GeneralClimate
        )
    }
}

/// How each value of a filled day came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Marks {
    /// Highest temperature.
    pub tmax: Rule,
    /// Lowest temperature.
    pub tmin: Rule,
    /// Precipitation.
    pub precip: Rule,
    /// Radiation.
    pub radiation: Rule,
    /// Vapour pressure.
    pub humidity: Rule,
    /// Wind.
    pub wind: Rule,
}

/// A run of days without readings of something, too long to bridge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// Days.
    pub days: usize,
    /// What is missing: "highest temperature", "lowest temperature" or "precipitation".
    pub what: &'static str,
}

/// A series without holes.
#[derive(Debug, Clone, PartialEq)]
pub struct Filled {
    /// First day.
    pub start: Date,
    /// One a day from there.
    pub days: Vec<Day>,
    /// How each came about.
    pub marks: Vec<Marks>,
    /// Gaps longer than could be bridged; their days rest on climate, not on readings.
    pub gaps: Vec<Gap>,
}
