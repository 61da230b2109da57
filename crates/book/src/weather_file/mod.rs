//! Weather from files: the public climate archives' layouts and plain tables with a heading.
//!
//! A file that does not say its units is answered with questions; the same call with the answers reads it. A row that
//! cannot be right is named by line and column, and left out only when the person says so; the rest comes in.
//!
//! Layouts: the Canadian climate archive, daily and hourly; GHCN-Daily by station, as CSV and as fixed width; any
//! table with a heading line (`date,tmax_c,tmin_c,rain_mm`).

mod ask;
mod cell;
mod clock;
mod ghcn;
mod header;
mod plan;
mod settle;
mod sheet;
mod table;
mod typical_year;
mod unit;

pub use ask::{Answers, Choice, Question};
pub use header::{Clock, Quantity};
pub use sheet::{BadRow, ColumnUsed, Row, Sheet, SheetError, Step};
pub use unit::Unit;

/// Why a file cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WeatherFileError {
    /// Nothing in it.
    #[error("the file is empty")]
    Empty,
    /// A spreadsheet or another program's own format.
    #[error("this is not a text file; save it as CSV and try again")]
    NotText,
    /// No heading with a date and something measured.
    #[error(
        "no heading line was found; the first line must name the columns, with a date and at least one of temperature, \
         rain, wind or radiation, such as \"date,tmax_c,tmin_c,rain_mm\""
    )]
    NoHeading,
    /// A heading and nothing more, or rows without a single value.
    #[error(
        "the file has {rows} rows and not one value: the station did not report then; choose other years or another station"
    )]
    NoValues {
        /// How many rows.
        rows: usize,
    },
    /// Every row is wrong.
    #[error("not one of the {rows} rows can be read; the first: line {line}, {sentence}")]
    AllBad {
        /// How many rows.
        rows: usize,
        /// Line of the first.
        line: u64,
        /// What is wrong with it.
        sentence: String,
    },
    /// Several readings an hour.
    #[error("the file has more than one reading an hour; hourly values are needed")]
    TooFine,
}

/// What came of reading a file.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// The file leaves something open: ask, then read again with the answers.
    Ask(Vec<Question>),
    /// Read.
    Done(Sheet),
}

/// Reads a weather file. `time_zone` is the farm's, for files that keep the clock on the wall or universal time.
///
/// # Errors
/// When it is no weather file, or holds no values.
pub fn read(
    bytes: &[u8],
    time_zone: &jiff::tz::TimeZone,
    answers: &Answers,
) -> Result<Reading, WeatherFileError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.trim_ascii().is_empty() {
        return Err(WeatherFileError::Empty);
    }
    if bytes.iter().take(4096).any(|b| *b == 0) {
        return Err(WeatherFileError::NotText);
    }
    let reading = match ghcn::layout(bytes) {
        Some(layout) => ghcn::read(bytes, layout, answers),
        None => table::read(bytes, time_zone, answers),
    }?;
    Ok(match reading {
        Reading::Done(sheet) => typical_year::look(sheet, answers),
        asked @ Reading::Ask(_) => asked,
    })
}
