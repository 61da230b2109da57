//! What is seen, what it likely means, and what to change, in this order: `reference/harvest-adjust.csv`.
//!
//! The machine's own manual comes first. Engine at governed speed, even feed, header first, then concave before rotor;
//! the lowest rotor speed that threshes; one thing at a time, then measure again (Wisconsin L036; Hanna, Iowa State).

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

/// How to go about it, for every row.
pub const ORDER_OF_WORK: &str = "Engine at governed speed and even feed first. Header before concave, concave before rotor; the lowest rotor speed \
that threshes. Change one thing, then measure again. The machine's manual comes before this table.";

/// One row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Adjustment {
    /// Key in entries.
    pub key: String,
    /// What is seen.
    pub seen: String,
    /// Where the grain goes: `header`, `separator`, `shoe`, `tank`.
    pub place: String,
    /// What it likely is.
    pub likely: String,
    /// What to change, in order.
    pub change: Vec<String>,
    /// Source.
    pub source: String,
    /// How sure.
    pub sure: String,
}

/// The table.
///
/// # Panics
/// When the shipped table cannot be read; a test reads it.
pub fn table() -> &'static [Adjustment] {
    #[derive(Deserialize)]
    struct Row {
        key: String,
        seen: String,
        place: String,
        likely: String,
        change: String,
        source: String,
        sure: String,
    }
    static TABLE: LazyLock<Vec<Adjustment>> = LazyLock::new(|| {
        csv::Reader::from_reader(include_str!("../../../reference/harvest-adjust.csv").as_bytes())
            .deserialize()
            .map(|row: Result<Row, _>| {
                let r = row.expect("reference/harvest-adjust.csv has its seven columns");
                Adjustment {
                    key: r.key,
                    seen: r.seen,
                    place: r.place,
                    likely: r.likely,
                    change: r.change.split(';').map(|s| s.trim().to_string()).collect(),
                    source: r.source,
                    sure: r.sure,
                }
            })
            .collect()
    });
    &TABLE
}

/// The row of a key.
pub fn find(key: &str) -> Option<&'static Adjustment> {
    table().iter().find(|r| r.key == key)
}

/// The rows for a place grain is lost at.
pub fn at_place(place: &str) -> impl Iterator<Item = &'static Adjustment> {
    table().iter().filter(move |r| r.place == place)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_whole() {
        assert_eq!(table().len(), 8);
        for r in table() {
            assert!(["header", "separator", "shoe", "tank"].contains(&r.place.as_str()), "{}", r.key);
            assert!(!r.change.is_empty() && r.change.iter().all(|c| !c.is_empty()), "{}", r.key);
        }
        for place in ["header", "separator", "shoe"] {
            assert!(at_place(place).count() > 0, "{place}");
        }
        assert_eq!(find("bare").unwrap().change, ["fan down"]);
    }
}
