//! The class bin of a soil test in a published list of bins.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::table;

const BINS: &str = include_str!("../../../../reference/fertility-soil-bins.csv");

/// One analyte's bins.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bins {
    /// Key: `nitrate_n`, `phosphorus`.
    pub analyte: String,
    /// Unit of the bounds.
    pub unit: String,
    /// Upper bounds with a space between; the last bin has none.
    uppers: String,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

/// Where a value falls.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bin {
    /// Number from 1, the poorest.
    pub number: usize,
    /// How many there are.
    pub of: usize,
    /// Upper bound of the one below.
    pub above: Option<f64>,
    /// Upper bound, unless it is the last.
    pub up_to: Option<f64>,
}

impl Bins {
    /// All shipped bins.
    pub fn shipped() -> &'static [Self] {
        static ROWS: LazyLock<Vec<Bins>> = LazyLock::new(|| table::shipped("fertility-soil-bins.csv", BINS));
        &ROWS
    }

    /// The shipped bins of an analyte.
    pub fn of(analyte: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|b| b.analyte == analyte)
    }

    fn bounds(&self) -> impl Iterator<Item = f64> {
        self.uppers.split_whitespace().filter_map(|t| t.parse().ok())
    }

    /// The lowest bin whose upper bound the value does not exceed. The bins in lb/ac are printed in whole pounds and
    /// leave gaps (20, then 21), so the value is rounded to whole pounds first: 20.4 belongs to the bin up to 20.
    pub fn bin(&self, value: f64) -> Bin {
        let used = if self.unit == "lb/ac" { value.round() } else { value };
        let bounds: Vec<f64> = self.bounds().collect();
        let i = bounds.iter().position(|b| used <= *b).unwrap_or(bounds.len());
        Bin {
            number: i + 1,
            of: bounds.len() + 1,
            above: i.checked_sub(1).map(|j| bounds[j]),
            up_to: bounds.get(i).copied(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_bounds_are_read_and_rise() {
        for b in Bins::shipped() {
            let bounds: Vec<f64> = b.bounds().collect();
            assert_eq!(bounds.len(), b.uppers.split_whitespace().count(), "{}", b.analyte);
            assert!(bounds.windows(2).all(|w| w[0] < w[1]), "{}", b.analyte);
        }
    }

    #[test]
    fn gaps_belong_below() {
        let n = Bins::of("nitrate_n").unwrap();
        assert_eq!(n.bin(20.4).number, 2);
        assert_eq!(n.bin(20.6).number, 3);
        assert_eq!(n.bin(0.0), Bin { number: 1, of: 9, above: None, up_to: Some(10.0) });
        assert_eq!(n.bin(500.0), Bin { number: 9, of: 9, above: Some(80.0), up_to: None });
        assert_eq!(Bins::of("copper").unwrap().bin(0.6).number, 2);
    }
}
