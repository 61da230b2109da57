//! Reading the tables of `reference/feed-*.csv`.

use serde::de::DeserializeOwned;

/// Reads a table that is shipped with the program.
///
/// # Panics
/// When it is malformed; a test of each table reads it.
pub(crate) fn shipped<T: DeserializeOwned>(table: &str, text: &str) -> Vec<T> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .collect::<Result<Vec<T>, _>>()
        .unwrap_or_else(|e| panic!("table {table} cannot be read: {e}"))
}
