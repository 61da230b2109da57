//! Rate tables that are loaded as data: by soil test, and without one.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::soil_test::figure::Extractant;
use crate::table::{self, TableError};

const SHIPPED: &str = include_str!("../../../reference/fertility-sufficiency.csv");
const NO_TEST: &str = include_str!("../../../reference/fertility-no-test.csv");

/// A step of a rate table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Name of the table.
    pub table: String,
    /// Crop.
    pub crop: String,
    /// N, P2O5, K2O, S.
    pub nutrient: String,
    /// Extractant of the test.
    pub extractant: Extractant,
    /// Unit of the test.
    pub unit: String,
    /// From this test on.
    pub from: f64,
    /// Below this one; none for all above.
    pub below: Option<f64>,
    /// Rate, lb/ac.
    pub rate_lb_ac: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

/// Why a table gives no rate.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LookupError {
    /// No such rows.
    #[error("the table {table} has no {nutrient} for {crop}; load the local guide's table for it")]
    NoRows {
        /// Table.
        table: String,
        /// Crop.
        crop: String,
        /// Nutrient.
        nutrient: String,
    },
    /// Test by another method.
    #[error("the table is made for another extractant; a figure of one is not a figure of another")]
    Extractant,
    /// Beyond the rows.
    #[error("the table does not reach a test of {0}; its rows end before")]
    Beyond(f64),
}

/// Reads an owner's table of the same columns as `fertility-sufficiency.csv`.
///
/// # Errors
/// When a column or a cell is wrong, or two steps of one crop and nutrient overlap.
pub fn read(name: &str, text: &str) -> Result<Vec<Step>, TableError> {
    let steps: Vec<Step> = table::read(name, text)?;
    for (i, a) in steps.iter().enumerate() {
        let same = |b: &&Step| b.table == a.table && b.crop == a.crop && b.nutrient == a.nutrient;
        let overlaps =
            |b: &Step| a.from < b.below.unwrap_or(f64::INFINITY) && b.from < a.below.unwrap_or(f64::INFINITY);
        if let Some(b) = steps[i + 1..].iter().filter(same).find(|b| overlaps(b)) {
            let why = format!(
                "two rows for {} {} overlap, from {} and from {}",
                a.crop, a.nutrient, a.from, b.from
            );
            return Err(TableError { table: name.into(), why });
        }
    }
    Ok(steps)
}

/// The shipped table: the barley rows of North Dakota. They are not for wheat.
pub fn shipped() -> &'static [Step] {
    static ROWS: LazyLock<Vec<Step>> =
        LazyLock::new(|| read("fertility-sufficiency.csv", SHIPPED).unwrap_or_else(|e| panic!("{e}")));
    &ROWS
}

/// The step of a table that holds a test.
///
/// # Errors
/// When the table has no such crop and nutrient, is for another extractant, or does not reach the test.
pub fn look_up<'a>(
    steps: &'a [Step],
    table: &str,
    crop: &str,
    nutrient: &str,
    extractant: Extractant,
    test: f64,
) -> Result<&'a Step, LookupError> {
    let rows: Vec<&Step> =
        steps.iter().filter(|s| s.table == table && s.crop == crop && s.nutrient == nutrient).collect();
    if rows.is_empty() {
        return Err(LookupError::NoRows {
            table: table.into(),
            crop: crop.into(),
            nutrient: nutrient.into(),
        });
    }
    if rows.iter().all(|s| s.extractant != extractant) {
        return Err(LookupError::Extractant);
    }
    rows.into_iter()
        .find(|s| s.extractant == extractant && s.from <= test && s.below.is_none_or(|b| test < b))
        .ok_or(LookupError::Beyond(test))
}

/// A range to use where there is no soil test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NoTest {
    /// Crop.
    pub crop: String,
    /// Stubble, fallow, sandy, any.
    pub case: String,
    /// N, P2O5, K2O, S.
    pub nutrient: String,
    /// Least, lb/ac.
    pub low_lb_ac: f64,
    /// Most, lb/ac.
    pub high_lb_ac: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

impl NoTest {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ROWS: LazyLock<Vec<NoTest>> =
            LazyLock::new(|| table::shipped("fertility-no-test.csv", NO_TEST));
        &ROWS
    }

    /// The range for a crop and nutrient in a case, or in any case.
    pub fn of(crop: &str, case: &str, nutrient: &str) -> Option<&'static Self> {
        let rows = || Self::shipped().iter().filter(|r| r.crop == crop && r.nutrient == nutrient);
        rows().find(|r| r.case == case).or_else(|| rows().find(|r| r.case == "any"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_says_what_it_does_not_hold() {
        let at = |crop, nutrient, x, test| look_up(shipped(), "north_dakota_barley", crop, nutrient, x, test);
        assert_eq!(at("barley", "P2O5", Extractant::Olsen, 15.9).unwrap().rate_lb_ac, 26.0);
        assert!(matches!(at("wheat", "P2O5", Extractant::Olsen, 5.0), Err(LookupError::NoRows { .. })));
        assert_eq!(at("barley", "P2O5", Extractant::Bray1, 5.0), Err(LookupError::Extractant));
        assert_eq!(at("barley", "K2O", Extractant::AmmoniumAcetate, 200.0), Err(LookupError::Beyond(200.0)));
    }

    #[test]
    fn overlapping_rows_are_refused() {
        let head = "table,crop,nutrient,extractant,unit,from,below,rate_lb_ac,sure,source,note\n";
        let rows =
            "t,wheat,P2O5,olsen,ppm,0,5,40,published,lab,\nt,wheat,P2O5,olsen,ppm,4,9,20,published,lab,\n";
        let e = read("mine", &format!("{head}{rows}")).unwrap_err();
        assert!(e.to_string().contains("two rows for wheat P2O5 overlap"), "{e}");
        assert!(read("mine", &format!("{head}{}", rows.replace(",4,9,", ",5,9,"))).is_ok());
    }

    #[test]
    fn no_test_ranges() {
        assert_eq!(NoTest::of("spring_wheat", "stubble", "N").unwrap().high_lb_ac, 90.0);
        assert_eq!(NoTest::of("spring_wheat", "stubble", "P2O5").unwrap().low_lb_ac, 30.0);
        assert!(NoTest::of("spring_wheat", "stubble", "K2O").is_none());
    }
}
