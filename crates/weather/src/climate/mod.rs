//! What a place's weather is like, month by month: the parameters of the generator.
//!
//! Fitted to the farm's own station with [`Climate::fit`] (five years or more), or the general plains climate of
//! [`Climate::plains`] until then. Structure after Richardson (1981, WRR 17:182): wet and dry days as a two-state
//! chain, amounts as gamma, and Tmax, Tmin and radiation as residuals about means that depend on the state, joined by
//! their correlations on the same day and the day after.

mod between;
mod fit;
mod plains;
mod slow;
mod year;

use serde::{Deserialize, Serialize};

pub use between::{BetweenYears, between_years};
pub use fit::ClimateError;
pub use year::{leap_day, smooth_year};

use crate::day::Site;

/// Precipitation from which a day counts as wet, mm (Richardson 1981: 0.01 inch). Part of the model's definition:
/// fitted amounts are meant above it.
pub const WET_DAY_MM: f64 = 0.2;

/// A 3 by 3 matrix over Tmax, Tmin and radiation.
pub type Matrix = [[f64; 3]; 3];

/// Mean and standard deviation.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Level {
    /// Mean.
    pub mean: f64,
    /// Standard deviation about it.
    pub sd: f64,
}

/// One month. Pairs are dry days, then wet days.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Month {
    /// Chance of a wet day after a dry one.
    pub wet_after_dry: f64,
    /// Chance of a wet day after a wet one.
    pub wet_after_wet: f64,
    /// Mean of a wet day, mm.
    pub wet_mean_mm: f64,
    /// Gamma shape of what a wet day brings above [`WET_DAY_MM`].
    pub wet_shape: f64,
    /// Highest temperature, C.
    pub tmax_c: [Level; 2],
    /// Lowest temperature, C.
    pub tmin_c: [Level; 2],
    /// Radiation, MJ/m2/d.
    pub rs_mj_m2: [Level; 2],
    /// How far the dew point lies below Tmin, C; below zero when the day's mean dew point lies above it.
    pub dew_below_tmin_c: [Level; 2],
    /// Wind at 2 m, m/s.
    pub wind_2m_ms: [Level; 2],
}

impl Month {
    /// Share of wet days the chain settles to.
    pub fn wet_fraction(&self) -> f64 {
        wet_fraction(self.wet_after_dry, self.wet_after_wet)
    }

    /// Mean over dry and wet days.
    pub fn overall(&self, pair: &[Level; 2]) -> f64 {
        let wet = self.wet_fraction();
        (1.0 - wet) * pair[0].mean + wet * pair[1].mean
    }
}

/// Share of wet days of a two-state chain: `P(W|D) / (1 + P(W|D) - P(W|W))`.
pub fn wet_fraction(wet_after_dry: f64, wet_after_wet: f64) -> f64 {
    wet_after_dry / (1.0 + wet_after_dry - wet_after_wet)
}

/// What varies slowly: months and seasons that stay warm or cool, wet or dry. Plain generators of this kind make years
/// too much alike; these terms give back what the fit can see of it, and add what the length of the record leaves open.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Slow {
    /// Share of the variance of daily temperature that forgets over [`Self::days`].
    pub temp_share: f64,
    /// Standard deviation of the logarithm of a factor on wet-day amounts that forgets over [`Self::days`].
    pub rain_sd: f64,
    /// Time over which both forget, d.
    pub days: f64,
    /// Share of the variance of daily temperature that forgets over [`Self::season_days`].
    #[serde(default)]
    pub season_temp_share: f64,
    /// As [`Self::rain_sd`], over [`Self::season_days`].
    #[serde(default)]
    pub season_rain_sd: f64,
    /// Time over which the seasonal two forget, d.
    #[serde(default)]
    pub season_days: f64,
    /// How far the record's mean temperature may lie from the place's for want of years: variance as a share of a
    /// day's. Held for the whole of a generated run.
    #[serde(default)]
    pub doubt_temp_share: f64,
    /// The same of rain, as the standard deviation of the logarithm of a factor on amounts.
    #[serde(default)]
    pub doubt_rain_sd: f64,
}

/// The climate of a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Climate {
    /// Where.
    pub site: Site,
    /// Where the numbers come from, in words.
    pub source: String,
    /// Years of record behind it; 0 for the general climate.
    pub years: f64,
    /// January to December.
    pub months: [Month; 12],
    /// Correlation of the residuals of Tmax, Tmin and radiation on the same day.
    pub m0: Matrix,
    /// Correlation of today's residual (row) with yesterday's (column).
    pub m1: Matrix,
    /// Slow terms.
    pub slow: Slow,
}

/// What generated weather is known to get wrong, for people who read ranges made from it.
pub const FAILINGS: &str = "Generated seasons vary in rain and warmth about as the record's do, as far as its years can \
    tell; the number of wet days varies less than it should from year to year, and dry spells are a little short. Past \
    years of your own station are the better guide where they exist.";

impl Climate {
    /// Mean air temperature of the year, C.
    pub fn annual_mean_c(&self) -> f64 {
        let days = year::MONTH_DAYS.iter().sum::<u16>();
        let sum: f64 = self
            .months
            .iter()
            .zip(year::MONTH_DAYS)
            .map(|(m, n)| 0.5 * (m.overall(&m.tmax_c) + m.overall(&m.tmin_c)) * f64::from(n))
            .sum();
        sum / f64::from(days)
    }

    /// Precipitation of an average year, mm.
    pub fn annual_precip_mm(&self) -> f64 {
        self.months
            .iter()
            .zip(year::MONTH_DAYS)
            .map(|(m, n)| m.wet_fraction() * m.wet_mean_mm * f64::from(n))
            .sum()
    }

    /// A monthly quantity drawn out over the 366 days of a leap year with its monthly means kept.
    pub fn by_day(&self, of: impl Fn(&Month) -> f64) -> Vec<f64> {
        smooth_year(&std::array::from_fn(|m| of(&self.months[m])))
    }
}
