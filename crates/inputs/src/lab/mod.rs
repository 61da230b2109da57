//! A laboratory's file into soil tests: any CSV once its columns are known, and the open Modus lab-data standard
//! (version 1 in XML, its JSON, and the slim JSON).
//!
//! Nothing is guessed that matters: a unit, depth, basis or phosphorus method that the file does not state is asked, and
//! the answers are kept by the file's headings so that the next file of the laboratory needs none. The original
//! text of each sample is kept beside what was read.

mod analyte;
mod ask;
mod columns;
mod depth;
mod entries;
mod finding;
mod modus_json;
mod modus_xml;
mod settle;
mod table;

use stook_book::Farm;

pub use analyte::{ANALYTES, Analyte};
pub use ask::{Answers, Question};
pub use columns::{Column, ROLES};
pub use entries::entries;
pub use finding::{BadRow, Finding};
pub use settle::{Sheet, Test};

/// What a reading comes to.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// Something must be said first. For a CSV the columns stand with what they were taken for.
    Ask {
        /// Columns of a CSV; empty for Modus.
        columns: Vec<Column>,
        /// Open questions.
        questions: Vec<Question>,
        /// The headings made plain: what the layout is remembered by.
        fingerprint: String,
    },
    /// Understood.
    Done(Sheet),
}

/// Why a file cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LabError {
    /// Nothing in it.
    #[error("the file is empty")]
    Empty,
    /// No table.
    #[error(
        "no table was found: the first line should hold the headings, and there should be lines below it"
    )]
    NoTable,
    /// Not text.
    #[error("this is not text; save the sheet as CSV and choose it again")]
    NotText,
    /// A Modus file that is none.
    #[error("this looks like Modus but cannot be read: {0}")]
    Modus(String),
    /// No soil in it.
    #[error("there is no soil sample in this file")]
    NoSoil,
}

/// Reads a file with the answers given so far, laid over those remembered for its layout.
///
/// # Errors
/// When it is no table and no Modus file.
pub fn read(
    bytes: &[u8],
    farm: &Farm,
    typed: &Answers,
    today: jiff::civil::Date,
) -> Result<Reading, LabError> {
    let text = decode(bytes)?;
    let start = text.trim_start_matches('\u{feff}').trim_start();
    if start.is_empty() {
        return Err(LabError::Empty);
    }
    if start.starts_with('<') {
        let found = modus_xml::read(start)?;
        return settle::settle(found, "Modus XML", "modus", farm, typed, today);
    }
    if start.starts_with('{') || start.starts_with('[') {
        let found = modus_json::read(start)?;
        return settle::settle(found, "Modus JSON", "modus", farm, typed, today);
    }
    table::read(start, farm, typed, today)
}

/// UTF-8, or the Windows code page that spreadsheets write.
fn decode(bytes: &[u8]) -> Result<String, LabError> {
    if bytes.is_empty() {
        return Err(LabError::Empty);
    }
    if bytes.contains(&0) {
        return Err(LabError::NotText);
    }
    Ok(match std::str::from_utf8(bytes) {
        Ok(text) => text.to_string(),
        Err(_) => bytes.iter().map(|b| char::from(*b)).collect(),
    })
}
