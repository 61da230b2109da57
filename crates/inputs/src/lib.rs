//! From the soil probe to the drill: the book's soil tests, plans, seed lots and drills joined to the models.
//!
//! A joining crate: it reads a [`stook_book::Farm`] and the season's weathers, asks the pure models of
//! `stook_fertility` and `stook_crop`, and gives back what the pages, the command line and the JSON all show, each
//! number with its working.

pub mod balance;
pub mod blend;
pub mod drill_card;
pub mod lab;
pub mod manure;
pub mod next_crop;
pub mod nitrogen;
pub mod nutrients;
pub mod order;
pub mod params;
pub mod prices;
pub mod probe;
pub mod propose;
pub mod report;
pub mod soil;
mod taken;
pub mod top_up;
mod words;

pub use report::{FarmReport, FieldReport, farm_report, field_report};
