//! Entry forms as data: what each kind of entry asks, in the farm's words and units. One function renders them all
//! ([`crate::pages::form_view`]), one reads them all ([`read`]).

mod ask;
mod barn;
mod harvest;
mod inputs;
mod keeping;
mod list;
mod manure;
mod money;
mod read;
mod sale;
mod scouting;
mod seen;
mod set_up;
mod soil_layers;
mod soil_test;
pub mod spraying;
mod work;
mod yard;

use stook_book::payload::UnitChoice;

pub use list::{all, find};
pub use read::{Values, prefill, read};

/// How an input is asked.
#[derive(Clone, Copy)]
pub enum Ask {
    /// A number in the farm's unit.
    Number {
        /// The unit as shown.
        unit: fn(&UnitChoice) -> &'static str,
        /// To the book's unit.
        to_si: fn(&UnitChoice, f64) -> f64,
        /// From it.
        from_si: fn(&UnitChoice, f64) -> f64,
        /// What one tap adds.
        step: f64,
    },
    /// One of a few, as buttons to choose.
    Choice(fn() -> Vec<(String, String)>),
    /// One of the farm's fields.
    Field,
    /// One of the farm's fields, or none: what none means.
    FieldOr(&'static str),
    /// One of the farm's bins.
    Bin,
    /// One of the farm's bins, or none: what none means.
    BinOr(&'static str),
    /// One of the farm's spray products, or none: what none means.
    ProductOr(&'static str),
    /// A time of day.
    Time,
    /// One of the things of the farm that the function lists.
    Of(fn(&stook_book::Farm) -> Vec<(String, String)>),
    /// One of them, or none: what none means.
    OfOr(fn(&stook_book::Farm) -> Vec<(String, String)>, &'static str),
    /// Yes or no: what each means.
    YesNo(&'static str, &'static str),
    /// A few words.
    Text,
    /// More words.
    LongText,
    /// A day.
    Date,
}

/// One input.
#[derive(Clone, Copy)]
pub struct Input {
    /// Where it goes in the entry: the payload's field name, dotted when nested.
    pub key: &'static str,
    /// What is asked.
    pub label: &'static str,
    /// A line under it; may be empty.
    pub hint: &'static str,
    /// How.
    pub ask: Ask,
    /// Whether it must be given.
    pub needed: bool,
    /// Chosen at first; may be empty.
    pub first: &'static str,
}

/// Inputs that few need in the field: by kind of entry, the first of them and what they are called together.
const FOLDS: [(&str, &str, &str); 1] =
    [("spray_pass", "finished", "For the record: finish, water, weather, driver, nozzle")];

/// From which input on a form is folded away, and the words on the fold.
pub fn fold(kind: &str) -> Option<(&'static str, &'static str)> {
    FOLDS.iter().find(|(k, _, _)| *k == kind).map(|(_, from, words)| (*from, *words))
}

/// One form.
#[derive(Clone, Copy)]
pub struct Form {
    /// Kind of entry.
    pub kind: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// Used in a glove: large targets, one thing at a time.
    pub glove: bool,
    /// Shown in set-up rather than among the day's entries.
    pub set_up: bool,
    /// Its inputs.
    pub inputs: &'static [Input],
}
