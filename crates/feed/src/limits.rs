//! How much of an ingredient a diet may hold, by phase.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::need::Phase;
use crate::table;

#[derive(Debug, Deserialize)]
struct Row {
    ingredient: String,
    class: String,
    min_share: Option<f64>,
    max_share: f64,
    source: String,
    sure: String,
}

/// Least and most of an ingredient, as shares of the diet, with the evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Inclusion {
    /// Least.
    pub min: f64,
    /// Most.
    pub max: f64,
    /// Where from.
    pub source: String,
    /// How sure.
    pub sure: String,
}

/// The usual limits of an ingredient in a phase; none means no limit known. Wheat lots come under `wheat`.
pub fn inclusion(ingredient: &str, phase: Phase) -> Option<Inclusion> {
    static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
        table::shipped("feed-inclusion", include_str!("../../../reference/feed-inclusion.csv"))
    });
    let name = if ingredient.starts_with("wheat_hrs") { "wheat" } else { ingredient };
    ROWS.iter().find(|r| r.ingredient == name && r.class == phase.key()).map(|r| Inclusion {
        min: r.min_share.unwrap_or(0.0),
        max: r.max_share,
        source: r.source.clone(),
        sure: r.sure.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_shares() {
        assert_eq!(inclusion("wheat_hrs", Phase::Gestation).unwrap().max, 0.5);
        assert_eq!(inclusion("wheat_hrs", Phase::Grower1), None);
        assert_eq!(inclusion("whey_dried", Phase::Starter1).unwrap().min, 0.1);
        for phase in Phase::ALL {
            for i in crate::ingredient::all() {
                if let Some(l) = inclusion(&i.key, *phase) {
                    assert!((0.0..=1.0).contains(&l.max) && l.min <= l.max, "{} {}", i.key, phase.key());
                }
            }
        }
    }
}
