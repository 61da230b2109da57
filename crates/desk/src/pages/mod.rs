//! The pages, one file each. A page is a plain function from what it shows to markup; the handler beside it fetches
//! that and nothing more.

pub mod air;
pub mod barn;
pub mod bins;
pub mod book;
pub mod buy;
pub mod calculators;
pub mod decision;
pub mod enter;
pub mod field;
pub mod fields;
pub mod form_view;
pub mod growing;
pub mod harvest;
pub mod inputs;
pub mod money;
pub mod plan;
pub mod saved;
mod sent_file;
pub mod set_up;
pub mod spray;
pub mod start;
pub mod task_data;
pub mod today;
pub mod told;
pub mod told_barn;
pub mod told_inputs;
pub mod told_keep;
pub mod told_manure;
pub mod told_money;
pub mod told_yard;
pub mod trouble;
pub mod weather;
pub mod working;

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use jiff::civil::{Date, DateTime, Weekday};
use maud::{DOCTYPE, Markup, html};
use stook_book::payload::UnitChoice;
use stook_book::{FieldId, StoreError};
use stook_season::{SeasonError, words};

use crate::assets::STAMP;
use crate::draw;
use crate::state::{Desk, Known};

/// The places of the desk, as words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// What is worth doing.
    Today,
    /// The map and the strips.
    Fields,
    /// The bins.
    Bins,
    /// From the soil probe to the drill.
    Inputs,
    /// Herd, feed, mill or trough.
    Barn,
    /// The forms.
    Write,
    /// Entries.
    Book,
    /// Model functions.
    Calculators,
    /// The farm.
    SetUp,
}

const PLACES: &[(Place, &str, &str)] = &[
    (Place::Today, "Today", "/"),
    (Place::Fields, "Fields", "/fields"),
    (Place::Inputs, "Inputs", "/inputs"),
    (Place::Bins, "Bins", "/bins"),
    (Place::Barn, "Barn", "/barn"),
    (Place::Write, "Write", "/enter"),
    (Place::Book, "Book", "/book"),
    (Place::Calculators, "Calculators", "/calculators"),
    (Place::SetUp, "Set-up", "/setup"),
];

/// What stands around every page.
#[derive(Debug, Clone)]
pub struct Frame {
    /// Name of the farm, if it has one.
    pub farm: String,
    /// The day and time answered for.
    pub now: DateTime,
    /// Whether a day was chosen instead of the clock's.
    pub chosen_day: bool,
    /// Units.
    pub units: UnitChoice,
}

impl Frame {
    /// For what is known.
    pub fn of(desk: &Desk, known: &Known) -> Self {
        Self {
            farm: known.farm.set_up.as_ref().map_or_else(String::new, |f| f.is.name.clone()),
            now: desk.now(&known.farm),
            chosen_day: desk.config.as_of.is_some(),
            units: known.farm.units(),
        }
    }

    /// The day.
    pub fn day(&self) -> Date {
        self.now.date()
    }

    /// The minute, as the forms give it: so that of two entries a moment apart the one written later is the later one.
    pub fn minute(&self) -> DateTime {
        let t = self.now;
        t.date().at(t.hour(), t.minute(), 0, 0)
    }
}

/// A whole page.
pub fn page(frame: &Frame, place: Place, title: &str, body: &Markup) -> Markup {
    let farm = if frame.farm.is_empty() { "Stook" } else { &frame.farm };
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · " (farm) }
                link rel="stylesheet" href={ "/web/" (STAMP) "/style.css" };
                script type="module" src={ "/web/" (STAMP) "/desk.js" } {}
            }
            body {
                a.skip href="#main" { "To the page" }
                (draw::waiting_line::patterns())
                header.top {
                    span.farm { (farm) }
                    span.when {
                        (weekday(frame.day())) " " (words::day(frame.day()))
                        @if !frame.chosen_day { ", " (clock(frame.now)) }
                    }
                    nav.places aria-label="Places" {
                        @for (p, word, href) in PLACES.iter().copied() {
                            a href=(href) aria-current=[(p == place).then_some("page")] { (word) }
                        }
                    }
                }
                main id="main" tabindex="-1" { (body) }
                footer.foot {
                    p { "Labels, local law and the insurer's papers rule. Stook reckons; you decide." }
                }
            }
        }
    }
}

/// `Tuesday`.
pub fn weekday(date: Date) -> &'static str {
    match date.weekday() {
        Weekday::Monday => "Monday",
        Weekday::Tuesday => "Tuesday",
        Weekday::Wednesday => "Wednesday",
        Weekday::Thursday => "Thursday",
        Weekday::Friday => "Friday",
        Weekday::Saturday => "Saturday",
        Weekday::Sunday => "Sunday",
    }
}

/// `5:30`.
pub fn clock(t: DateTime) -> String {
    format!("{}:{:02}", t.hour(), t.minute())
}

/// `5 May 2026`.
pub fn long_day(d: Date) -> String {
    format!("{} {}", words::day(d), d.year())
}

/// What a field is called; its key when it is not in the book.
pub fn field_name(known: &Known, id: &FieldId) -> String {
    known.farm.fields.get(id).map_or_else(|| id.to_string(), |r| r.field().name.clone())
}

/// What a bin is called; its key when it is not in the book.
pub fn bin_name(known: &Known, id: &stook_book::BinId) -> String {
    known.farm.bins.get(id).map_or_else(|| id.to_string(), |b| b.bin().name.clone())
}

/// The first letter large.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// What can keep a page from being shown.
#[derive(Debug)]
pub enum Trouble {
    /// Said to the person, with how the web puts it.
    Say(StatusCode, String),
    /// The file.
    Store(Box<StoreError>),
    /// The reckoning.
    Season(SeasonError),
    /// There is no farm yet: go to set-up.
    NoFarm,
    /// Already an answer.
    Done(Box<Response>),
}

/// What a handler gives back.
pub type Reply = Result<Response, Trouble>;

impl Trouble {
    /// Something that is not there.
    pub fn missing(sentence: impl Into<String>) -> Self {
        Self::Say(StatusCode::NOT_FOUND, sentence.into())
    }
}

impl From<StoreError> for Trouble {
    fn from(e: StoreError) -> Self {
        Self::Store(Box::new(e))
    }
}
impl From<SeasonError> for Trouble {
    fn from(e: SeasonError) -> Self {
        match e {
            SeasonError::NoPlace => Self::NoFarm,
            other @ SeasonError::Date(_) => Self::Season(other),
        }
    }
}
impl From<Response> for Trouble {
    fn from(r: Response) -> Self {
        Self::Done(Box::new(r))
    }
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        match self {
            Self::Say(status, sentence) => trouble::page(status, &sentence),
            Self::Store(e) => trouble::page(StatusCode::INTERNAL_SERVER_ERROR, &sentence(&e)),
            Self::Season(e) => trouble::page(StatusCode::INTERNAL_SERVER_ERROR, &sentence(&e)),
            Self::NoFarm => Redirect::to("/setup/new").into_response(),
            Self::Done(r) => *r,
        }
    }
}

/// An error as a sentence.
pub fn sentence(e: &dyn std::fmt::Display) -> String {
    format!("{}.", capital(e.to_string().trim_end_matches('.')))
}

/// A page as a response.
pub fn send(markup: Markup) -> Response {
    Html(markup.into_string()).into_response()
}
