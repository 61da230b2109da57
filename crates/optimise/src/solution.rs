//! What is answered.

use serde::{Deserialize, Serialize};

use crate::problem::{Col, Row};

/// How the solve ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// The best there is.
    Optimal,
    /// Nothing meets all limits. [`crate::Problem::explain_infeasible`] says which do not go together.
    Infeasible,
    /// Better without end: a limit is missing.
    Unbounded,
    /// The time ran out with something good in hand: see [`Solution::gap`].
    StoppedEarly,
}

/// An interval, open-ended where `None`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// Lowest.
    pub low: Option<f64>,
    /// Highest.
    pub high: Option<f64>,
}

impl Span {
    pub(crate) fn of(low: f64, high: f64) -> Self {
        // The solver's infinity is 1e30 in places.
        let end = |x: f64| (x.abs() < 1e29).then_some(x);
        Self { low: end(low), high: end(high) }
    }

    /// Whether `x` lies in it.
    pub fn holds(&self, x: f64) -> bool {
        self.low.is_none_or(|l| l <= x) && self.high.is_none_or(|h| x <= h)
    }
}

/// How far a figure may move before the answer changes its make-up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ranges {
    /// For each column the costs between which the amounts stay as they are.
    pub cost: Vec<Span>,
    /// For each row that binds (its price is not nought) the limits between which that price holds.
    pub limit: Vec<Option<Span>>,
}

/// What is answered. The lists are empty unless the status is optimal or stopped early.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Solution {
    /// How it ended.
    pub status: Status,
    /// The objective.
    pub objective: f64,
    /// The amounts, by column.
    pub x: Vec<f64>,
    /// By column: what one unit more of it than `x` would add to the objective. For a column at nought in a least-cost
    /// problem, its cost would have to fall by this much for it to come in.
    pub reduced_cost: Vec<f64>,
    /// By row: what moving its limit up by one unit adds to the objective, whether least or most is wanted. A rate at the
    /// edge: for a finite move, solve again. Where a problem has whole columns, these stand for them held as they are.
    pub dual: Vec<f64>,
    /// How far figures may move; only when asked for, and where rows hold columns together at all.
    pub ranges: Option<Ranges>,
    /// When stopped early, by how much the objective could still be better, as a share of it.
    pub gap: f64,
}

impl Solution {
    pub(crate) fn none(status: Status) -> Self {
        Self {
            status,
            objective: f64::NAN,
            x: Vec::new(),
            reduced_cost: Vec::new(),
            dual: Vec::new(),
            ranges: None,
            gap: 0.0,
        }
    }

    /// Whether there are amounts to use.
    pub fn found(&self) -> bool {
        matches!(self.status, Status::Optimal | Status::StoppedEarly)
    }

    /// The amount of a column.
    ///
    /// # Panics
    /// When nothing was [`found`](Self::found).
    pub fn amount(&self, c: Col) -> f64 {
        self.x[c.0]
    }

    /// The price of a row.
    ///
    /// # Panics
    /// When nothing was [`found`](Self::found).
    pub fn price(&self, r: Row) -> f64 {
        self.dual[r.0]
    }
}
