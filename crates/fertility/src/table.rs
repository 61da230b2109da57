//! The tables of `reference/fertility-*.csv`, and a farm's own tables of the same layout.
//!
//! A recommendation table is the owner's to load: from the laboratory's report or the local guide, with its source.

use serde::de::DeserializeOwned;

/// A table that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("table {table} cannot be read: {why}; compare its header and its rows with the shipped table")]
pub struct TableError {
    /// Which.
    pub table: String,
    /// What the reader stumbled on.
    pub why: String,
}

/// Reads a table: a header line, then rows of the same columns, in any order of columns.
///
/// # Errors
/// When a column is missing, or a cell is not what it should be.
pub fn read<T: DeserializeOwned>(table: &str, text: &str) -> Result<Vec<T>, TableError> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .collect::<Result<Vec<T>, _>>()
        .map_err(|e| TableError { table: table.into(), why: e.to_string() })
}

/// Reads a table that is shipped with the program.
///
/// # Panics
/// When it is malformed; a test of each table reads it.
pub(crate) fn shipped<T: DeserializeOwned>(table: &str, text: &str) -> Vec<T> {
    read(table, text).unwrap_or_else(|e| panic!("{e}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, PartialEq, serde::Deserialize)]
    struct Row {
        a: String,
        b: Option<f64>,
    }

    #[test]
    fn says_what_is_wrong_with_a_farms_own_table() {
        assert_eq!(read::<Row>("mine", "b,a\n,x\n").unwrap(), [Row { a: "x".into(), b: None }]);
        let e = read::<Row>("mine", "a,b\nx,wet\n").unwrap_err();
        assert!(e.to_string().starts_with("table mine cannot be read:"), "{e}");
        assert!(
            read::<Row>("mine", "a\nx\n").is_err() || read::<Row>("mine", "a\nx\n").unwrap()[0].b.is_none()
        );
        assert!(read::<Row>("mine", "b\n1\n").is_err());
    }
}
