//! What is asked: columns, rows, bounds, and what is best.

use serde::{Deserialize, Serialize};

/// Whether less or more of the objective is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sense {
    /// The least: a cost.
    #[default]
    Minimise,
    /// The most: a margin.
    Maximise,
}

/// A column of one problem, by place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Col(pub(crate) usize);

impl Col {
    /// Its place in [`crate::Solution::x`].
    pub const fn index(self) -> usize {
        self.0
    }
}

/// A row of one problem, by place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Row(pub(crate) usize);

impl Row {
    /// Its place in [`crate::Solution::dual`].
    pub const fn index(self) -> usize {
        self.0
    }
}

/// An amount to be found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Column {
    /// What it is, in words that can stand in a sentence.
    pub name: String,
    /// What one unit of it adds to the objective.
    pub cost: f64,
    /// The least it may be; none is no limit.
    pub low: Option<f64>,
    /// The most it may be; none is no limit.
    pub high: Option<f64>,
    /// Whether only whole numbers will do.
    #[serde(default)]
    pub whole: bool,
}

/// Something that must hold: a sum of columns between two limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RowLimits {
    /// What it is, in words that can stand in a sentence.
    pub name: String,
    /// The least; none is no limit.
    pub low: Option<f64>,
    /// The most; none is no limit.
    pub high: Option<f64>,
    /// Column and how much of the row one unit of it gives.
    pub terms: Vec<(usize, f64)>,
}

/// Columns, rows, and what is best.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Problem {
    /// Least or most.
    pub sense: Sense,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<RowLimits>,
}

/// Why a problem could not be put to the solver, or not answered.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SolveError {
    /// A figure that is no number.
    #[error("{0} holds a figure that is not a number; mend what it was reckoned from")]
    NotANumber(String),
    /// A row with a column that is not there.
    #[error("{0} names a column that is not there")]
    NoSuchColumn(String),
    /// The solver gave up.
    #[error("the solver stopped without an answer ({0}); scale the figures or loosen the limits")]
    NoAnswer(String),
}

fn limit(x: f64) -> Option<f64> {
    // NaN is kept, so that the check before solving names it.
    (x.abs() < f64::INFINITY || x.is_nan()).then_some(x)
}

impl Problem {
    /// A problem where less is better.
    pub fn minimise() -> Self {
        Self { sense: Sense::Minimise, ..Self::default() }
    }

    /// A problem where more is better.
    pub fn maximise() -> Self {
        Self { sense: Sense::Maximise, ..Self::default() }
    }

    /// Adds an amount between `low` and `high` (either may be infinite) that costs `cost` a unit.
    pub fn column(&mut self, name: impl Into<String>, cost: f64, low: f64, high: f64) -> Col {
        let column = Column { name: name.into(), cost, low: limit(low), high: limit(high), whole: false };
        self.columns.push(column);
        Col(self.columns.len() - 1)
    }

    /// The same, in whole numbers only.
    pub fn whole(&mut self, name: impl Into<String>, cost: f64, low: f64, high: f64) -> Col {
        let col = self.column(name, cost, low, high);
        self.columns[col.0].whole = true;
        col
    }

    /// Nought or one: whether a thing is done.
    pub fn yes_no(&mut self, name: impl Into<String>, cost: f64) -> Col {
        self.whole(name, cost, 0.0, 1.0)
    }

    /// The sum of `terms` is to lie between `low` and `high` (either may be infinite).
    pub fn row(&mut self, name: impl Into<String>, low: f64, high: f64, terms: &[(Col, f64)]) -> Row {
        let terms = terms.iter().map(|(c, x)| (c.0, *x)).collect();
        self.rows.push(RowLimits { name: name.into(), low: limit(low), high: limit(high), terms });
        Row(self.rows.len() - 1)
    }

    /// The sum is to be at least `low`.
    pub fn at_least(&mut self, name: impl Into<String>, low: f64, terms: &[(Col, f64)]) -> Row {
        self.row(name, low, f64::INFINITY, terms)
    }

    /// The sum is to be at most `high`.
    pub fn at_most(&mut self, name: impl Into<String>, high: f64, terms: &[(Col, f64)]) -> Row {
        self.row(name, f64::NEG_INFINITY, high, terms)
    }

    /// The sum is to be just `value`.
    pub fn equal(&mut self, name: impl Into<String>, value: f64, terms: &[(Col, f64)]) -> Row {
        self.row(name, value, value, terms)
    }

    /// The column at `place`, as if just added.
    ///
    /// # Panics
    /// When there are not so many.
    pub fn nth(&self, place: usize) -> Col {
        assert!(place < self.columns.len(), "there is no column {place}");
        Col(place)
    }

    /// The objective at `x`.
    pub fn objective(&self, x: &[f64]) -> f64 {
        self.columns.iter().zip(x).map(|(c, x)| c.cost * x).sum()
    }

    /// What row `r` comes to at `x`.
    pub fn activity(&self, r: Row, x: &[f64]) -> f64 {
        self.rows[r.0].terms.iter().map(|(c, k)| k * x[*c]).sum()
    }

    /// By how much `x` misses the limit it misses most, in that limit's own unit; 0 when it meets them all.
    pub fn worst_miss(&self, x: &[f64]) -> f64 {
        let miss = |v: f64, low: Option<f64>, high: Option<f64>| {
            (low.unwrap_or(f64::NEG_INFINITY) - v).max(v - high.unwrap_or(f64::INFINITY)).max(0.0)
        };
        let rows =
            (0..self.rows.len()).map(|r| miss(self.activity(Row(r), x), self.rows[r].low, self.rows[r].high));
        let columns = self.columns.iter().zip(x).map(|(c, x)| miss(*x, c.low, c.high));
        rows.chain(columns).fold(0.0, f64::max)
    }

    /// Whether any column must be whole.
    pub fn has_whole(&self) -> bool {
        self.columns.iter().any(|c| c.whole)
    }

    /// The same with every whole column held at what `x` gives it: a plain linear program, which has prices.
    #[must_use]
    pub fn with_whole_held(&self, x: &[f64]) -> Self {
        let mut held = self.clone();
        for (c, x) in held.columns.iter_mut().zip(x).filter(|(c, _)| c.whole) {
            c.whole = false;
            c.low = Some(x.round());
            c.high = Some(x.round());
        }
        held
    }

    /// Every figure a number, every column there.
    pub(crate) fn check(&self) -> Result<(), SolveError> {
        let number = |x: Option<f64>| x.is_none_or(|x| !x.is_nan());
        for c in &self.columns {
            if !(c.cost.is_finite() && number(c.low) && number(c.high)) {
                return Err(SolveError::NotANumber(c.name.clone()));
            }
        }
        for r in &self.rows {
            if !(number(r.low) && number(r.high) && r.terms.iter().all(|(_, k)| k.is_finite())) {
                return Err(SolveError::NotANumber(r.name.clone()));
            }
            if r.terms.iter().any(|(c, _)| *c >= self.columns.len()) {
                return Err(SolveError::NoSuchColumn(r.name.clone()));
            }
        }
        Ok(())
    }
}
