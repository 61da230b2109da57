//! The farm carried over the ensemble: windows, cost of waiting, order of work.
//!
//! [`today`] and [`plan`] answer a [`facts::Question`]. The way there: [`model`] turns the book into numbers,
//! [`sky`] makes the weathers, [`past`] and [`carry`] bring every field to the evening before, [`run`] carries the
//! farm through one season in one weather, [`waiting`] and [`order`] compare such runs, and [`outlook`] and
//! [`decide`] put the answer in words.

pub mod alone;
pub mod answer;
mod before;
pub mod calibration;
pub mod carry;
pub mod ceiling;
pub mod dates;
pub mod decide;
pub mod disease;
pub mod facts;
pub mod field;
pub mod growing;
pub mod harvest;
pub mod hindcast;
pub mod late;
pub mod model;
pub mod money;
mod moved;
pub mod order;
pub mod outlook;
pub mod params;
pub mod past;
pub mod register;
pub mod run;
pub mod sky;
mod spray_case;
pub mod spraying;
mod today;
pub mod waiting;
pub mod words;

pub use answer::{Plan, Today};
pub use before::Before;
pub use facts::{Question, WeatherFacts};
pub use today::{plan, today};

/// What can keep the season from answering.
#[derive(Debug, thiserror::Error)]
pub enum SeasonError {
    /// No place.
    #[error("the farm has no place yet: give its latitude and longitude in set-up")]
    NoPlace,
    /// A day outside the calendar.
    #[error("the day asked for cannot be used: {0}")]
    Date(String),
}
