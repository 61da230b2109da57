//! What the season is asked with.

use jiff::civil::Date;
use stook_book::farm::Farm;
use stook_weather::{ensemble::ForecastDay, series::Record};

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
    /// The day to answer for. Weather and entries of this day or later are not looked at, except
    /// entries that happened earlier on this day.
    pub as_of: Date,
    /// How many weathers.
    pub members: usize,
    /// Seed of everything drawn.
    pub seed: u64,
}
