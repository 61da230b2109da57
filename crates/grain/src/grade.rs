//! Grades by published tables, kept as dated data: the grade of each factor alone, and the grade of the lot.
//!
//! The table alone: soundness, odour and the standard samples are for an inspector's eye. Check the date of the
//! schedule before relying on it; Canadian changes take effect on 1 August.

use serde::Deserialize;

const GRADES: &str = include_str!("../../../reference/grain-grades.csv");

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Row {
    schedule: String,
    from: String,
    until: String,
    rank: usize,
    grade: String,
    factor: String,
    bound: String,
    limit: Option<f64>,
    unit: String,
    sure: String,
    source: String,
}

/// All dated schedules.
#[derive(Debug, Clone, PartialEq)]
pub struct GradeTables(Vec<Row>);

/// A limit of one factor in one grade.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Limit {
    /// Place of the grade, 1 best.
    pub rank: usize,
    /// Factor, with its unit in the name.
    pub factor: String,
    /// At least, or at most.
    pub at_least: bool,
    /// Limit.
    pub limit: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
}

/// One schedule on a date.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Schedule {
    /// Key: `CWRS`, `US HRS`.
    pub name: String,
    /// In force from.
    pub from: String,
    /// Grades, best first; the last is what fails them all.
    pub grades: Vec<String>,
    /// Limits.
    pub limits: Vec<Limit>,
}

/// Why there is no grade.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GradeError {
    /// No such schedule.
    #[error("there is no grade schedule \"{name}\" in force on {date}; there are {known}")]
    NoSchedule {
        /// Asked for.
        name: String,
        /// On.
        date: String,
        /// What there is.
        known: String,
    },
    /// No such factor.
    #[error("\"{factor}\" is no factor of {schedule}; its factors are {known}")]
    NoFactor {
        /// Given.
        factor: String,
        /// Where.
        schedule: String,
        /// What there is.
        known: String,
    },
}

/// One factor's part in the grade.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct FactorGrade {
    /// Factor.
    pub factor: String,
    /// As given.
    pub value: f64,
    /// As compared: test weight in kg/hL to a whole number.
    pub used: f64,
    /// Grade by this factor alone.
    pub grade: String,
    /// Its place.
    pub rank: usize,
    /// What the lot would grade if this factor were no hindrance.
    pub without: String,
}

/// A grade with its reasons.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Graded {
    /// The grade.
    pub grade: String,
    /// Its place, 1 best.
    pub rank: usize,
    /// Each factor given, the worst first.
    pub factors: Vec<FactorGrade>,
    /// Factors of the schedule that were not given: the grade may be lower.
    pub not_tested: Vec<String>,
}

impl GradeTables {
    /// The tables shipped in `reference/`.
    ///
    /// # Panics
    /// When the shipped file is malformed; a test reads it.
    pub fn shipped() -> Self {
        let rows = csv::Reader::from_reader(GRADES.as_bytes()).deserialize().collect::<Result<Vec<Row>, _>>();
        Self(rows.expect("the shipped grade tables are well formed"))
    }

    /// Names of all schedules.
    pub fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = self.0.iter().map(|r| r.schedule.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        names
    }

    /// The schedule in force on a date (`2026-08-20`).
    ///
    /// # Errors
    /// When there is none.
    pub fn on(&self, name: &str, date: &str) -> Result<Schedule, GradeError> {
        let in_force = |r: &&Row| {
            r.schedule == name && r.from.as_str() <= date && (r.until.is_empty() || date < r.until.as_str())
        };
        let from = self.0.iter().filter(in_force).map(|r| r.from.clone()).max().ok_or_else(|| {
            GradeError::NoSchedule { name: name.into(), date: date.into(), known: self.names().join(", ") }
        })?;
        let rows: Vec<&Row> = self.0.iter().filter(in_force).filter(|r| r.from == from).collect();
        let count = rows.iter().map(|r| r.rank).max().unwrap_or(0);
        let mut grades = vec![String::new(); count];
        for r in &rows {
            grades[r.rank - 1].clone_from(&r.grade);
        }
        let limits = rows
            .iter()
            .filter_map(|r| {
                r.limit.map(|limit| Limit {
                    rank: r.rank,
                    factor: r.factor.clone(),
                    at_least: r.bound == "min",
                    limit,
                    sure: r.sure.clone(),
                    source: r.source.clone(),
                })
            })
            .collect();
        Ok(Schedule { name: name.into(), from, grades, limits })
    }
}

impl Schedule {
    /// Factors, in the order of the table.
    pub fn factors(&self) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        for l in &self.limits {
            if !out.contains(&l.factor.as_str()) {
                out.push(&l.factor);
            }
        }
        out
    }

    /// Best grade a factor alone allows: its place from 1.
    fn rank_of(&self, factor: &str, value: f64) -> usize {
        // Sums of percents must not fail on the last bit of a double.
        const GRACE: f64 = 1e-9;
        let holds = |rank: usize| {
            self.limits
                .iter()
                .filter(|l| l.rank == rank && l.factor == factor)
                .all(|l| if l.at_least { value >= l.limit - GRACE } else { value <= l.limit + GRACE })
        };
        (1..=self.grades.len()).find(|&rank| rank == self.grades.len() || holds(rank)).unwrap_or(1)
    }

    /// The highest grade the table allows.
    ///
    /// # Errors
    /// For a factor the schedule does not know.
    pub fn grade(&self, given: &[(&str, f64)]) -> Result<Graded, GradeError> {
        let known = self.factors();
        let mut ranked = Vec::new();
        for &(factor, value) in given {
            if !known.contains(&factor) {
                return Err(GradeError::NoFactor {
                    factor: factor.into(),
                    schedule: self.name.clone(),
                    known: known.join(", "),
                });
            }
            // Canada grades on kg/hL rounded to a whole number, half up.
            let used = if factor == "test_weight_kg_hl" { (value + 0.5).floor() } else { value };
            ranked.push((factor, value, used, self.rank_of(factor, used)));
        }
        let worst = |skip: usize| {
            ranked.iter().enumerate().filter(|(i, _)| *i != skip).map(|(_, r)| r.3).max().unwrap_or(1)
        };
        let name = |rank: usize| self.grades[rank - 1].clone();
        let rank = worst(usize::MAX);
        let mut factors: Vec<FactorGrade> = ranked
            .iter()
            .enumerate()
            .map(|(i, &(factor, value, used, rank))| FactorGrade {
                factor: factor.into(),
                value,
                used,
                grade: name(rank),
                rank,
                without: name(worst(i)),
            })
            .collect();
        factors.sort_by_key(|f| std::cmp::Reverse(f.rank));
        let not_tested =
            known.iter().filter(|k| !given.iter().any(|g| g.0 == **k)).map(|k| (*k).to_string()).collect();
        Ok(Graded { grade: name(rank), rank, factors, not_tested })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn shipped_schedules_are_whole() {
        let all = GradeTables::shipped();
        for name in all.names() {
            let s = all.on(name, "2026-08-20").unwrap();
            assert!(s.grades.iter().all(|g| !g.is_empty()), "{name}");
            // A lower grade never asks for more.
            for f in s.factors() {
                let of: Vec<&Limit> = s.limits.iter().filter(|l| l.factor == f).collect();
                for w in of.windows(2) {
                    let looser =
                        if w[0].at_least { w[1].limit <= w[0].limit } else { w[1].limit >= w[0].limit };
                    assert!(looser && w[0].at_least == w[1].at_least, "{name} {f}");
                }
            }
        }
        assert!(all.on("CWRS", "1990-01-01").unwrap_err().to_string().contains("in force on 1990-01-01"));
    }

    #[test]
    fn one_bad_factor_is_named_with_its_price() {
        let s = GradeTables::shipped().on("CWRS", "2026-08-20").unwrap();
        let g = s.grade(&[("test_weight_kg_hl", 78.0), ("hvk_pct", 80.0), ("foreign_pct", 2.0)]).unwrap();
        assert_eq!(g.grade, "No. 3 CWRS");
        assert_eq!(
            (g.factors[0].factor.as_str(), g.factors[0].without.as_str()),
            ("foreign_pct", "No. 1 CWRS")
        );
        assert!(g.not_tested.contains(&"protein_pct".to_string()));
        assert!(s.grade(&[("smell", 1.0)]).is_err());
        assert_eq!(s.grade(&[("test_weight_kg_hl", 60.0)]).unwrap().grade, "Sample");
    }

    proptest! {
        #[test]
        fn more_foreign_never_grades_better(a in 0.0..12.0f64, d in 0.0..3.0f64, kg in 60.0..84.0f64) {
            let s = GradeTables::shipped().on("CWRS", "2026-08-20").unwrap();
            let rank = |fm: f64, kg: f64| s.grade(&[("foreign_pct", fm), ("test_weight_kg_hl", kg)]).unwrap().rank;
            prop_assert!(rank(a + d, kg) >= rank(a, kg));
            prop_assert!(rank(a, kg + d) <= rank(a, kg));
        }
    }
}
