//! What is said of the hours to spray: printed, shown and sent as JSON alike.

use jiff::civil::{Date, DateTime};
use serde::Serialize;
use stook_weather::spray::{Factor, Grade};

use super::green::Green;
use super::intervals::OpenInterval;
use crate::answer::{DateRange, Job};

/// The hours fit to spray and what they are good for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SprayAnswer {
    /// The day answered for.
    pub as_of: Date,
    /// What to do, in a sentence.
    pub headline: String,
    /// Why, and how sure.
    pub why: String,
    /// The product whose label was taken, by name.
    pub product: Option<String>,
    /// The limits used, and whose each is.
    pub limits: Vec<LimitSaid>,
    /// Days in order, today first.
    pub days: Vec<SprayDay>,
    /// Fields whose window is open or about to be, first to spray first.
    pub fields: Vec<SprayField>,
    /// Sprays on ground without a crop, in their season.
    pub green: Vec<Green>,
    /// Area an hour of the sprayer, ha.
    pub ha_per_h: f64,
    /// Intervals running.
    pub intervals: Vec<OpenInterval>,
    /// Where the weather comes from.
    pub weather: String,
    /// The last hour the station measured today, judged by the same limits.
    pub measured: Option<String>,
    /// What rules.
    pub rule: String,
}

/// One limit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitSaid {
    /// What is limited, with its figure in the farm's unit.
    pub words: String,
    /// Whether the product's label set it; else the shipped guidance or the farm's own number did.
    pub by_label: bool,
}

/// A day by the hour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SprayDay {
    /// The day.
    pub date: Date,
    /// Hours by the farm's clock, as many as were reckoned.
    pub hours: Vec<SprayHour>,
    /// Fit stretches: from the start of an hour to the end of the last.
    pub fit: Vec<(u8, u8)>,
    /// Area the sprayer can do in them, ha.
    pub area_ha: f64,
    /// Share of the weathers with rain on the day.
    pub rain_chance: f64,
    /// In words.
    pub words: String,
}

/// An hour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SprayHour {
    /// Its start by the farm's clock.
    pub hour: u8,
    /// How good it is in most weathers.
    #[serde(serialize_with = "grade")]
    pub grade: Grade,
    /// What binds most, in words; none when fit.
    pub because: Option<&'static str>,
    /// Share of the weathers in which it is fit and stays dry long enough.
    pub share_fit: f64,
    /// Temperature, middle of the weathers, C.
    pub temp_c: f64,
    /// Relative humidity, %.
    pub rh_pct: f64,
    /// Delta T, C.
    pub delta_t_c: f64,
    /// Wind at 2 m, m/s.
    pub wind_ms: f64,
    /// Between sunset and sunrise.
    pub dark: bool,
    /// What binds.
    #[serde(skip)]
    pub factor: Option<Factor>,
}

fn grade<S: serde::Serializer>(g: &Grade, s: S) -> Result<S::Ok, S::Error> {
    s.serialize_str(grade_word(*g))
}

/// `fit`, `care`, `no`.
pub const fn grade_word(g: Grade) -> &'static str {
    match g {
        Grade::Fit => "fit",
        Grade::Caution => "care",
        Grade::No => "no",
    }
}

/// A field to spray.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SprayField {
    /// Its key.
    pub field: String,
    /// Its name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// What for.
    pub job: Job,
    /// Stage now, in words.
    pub stage: String,
    /// When the window opens.
    pub opens: DateRange,
    /// When it closes.
    pub closes: DateRange,
    /// Whether the spray is expected to pay, where that was weighed.
    pub pays: Option<bool>,
    /// The part of it that today's fit hours reach, ha.
    pub today_ha: f64,
    /// First day it may be cut if it is sprayed today.
    pub cut_from: Option<Date>,
    /// The moment anyone may enter if it is sprayed when the fit hours end.
    pub enter_from: Option<DateTime>,
    /// In a sentence.
    pub words: String,
}
