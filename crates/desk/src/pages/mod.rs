//! The pages, one file each.

pub mod book;
pub mod calculators;
mod controls;
pub mod enter;
pub mod field;
pub mod fields;
pub mod layout;
pub mod plan;
pub mod setup;
pub mod today;
pub mod weather;
mod working;
