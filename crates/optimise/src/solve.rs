//! Puts a problem to the solver and reads its answer.

use highs::{HighsModelStatus, Model, RowProblem, Sense as HighsSense, SolvedModel};

use crate::problem::{Problem, Sense, SolveError};
use crate::ranging;
use crate::solution::{Solution, Status};

/// Above this many columns the solver's own simplifying pays; below, it costs more than it saves (measured).
const SMALL: usize = 400;

/// How to solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Seconds after which the best so far is taken.
    pub time_limit_s: f64,
    /// With whole columns: stop when no better answer than this share can remain.
    pub gap: f64,
    /// Whether to work out [`Solution::ranges`].
    pub ranges: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self { time_limit_s: 20.0, gap: 0.0, ranges: false }
    }
}

impl Problem {
    /// Solves it to the end.
    ///
    /// # Errors
    /// When a figure is no number or the solver gives up; that nothing meets the limits is an answer, not an error.
    pub fn solve(&self) -> Result<Solution, SolveError> {
        self.solve_with(Options::default())
    }

    /// Solves it and says how far figures may move.
    ///
    /// # Errors
    /// As [`Problem::solve`].
    pub fn solve_ranged(&self) -> Result<Solution, SolveError> {
        self.solve_with(Options { ranges: true, ..Options::default() })
    }

    /// Solves it.
    ///
    /// # Errors
    /// As [`Problem::solve`].
    pub fn solve_with(&self, options: Options) -> Result<Solution, SolveError> {
        self.check()?;
        if self.crossed() {
            return Ok(Solution::none(Status::Infeasible));
        }
        if self.columns.is_empty() {
            return Ok(self.nothing_to_choose());
        }
        if !self.has_whole() {
            return self.linear(options);
        }
        let found = run(self, options, Tight::Yes)?;
        let (status, gap) = match found.0 {
            Status::Optimal | Status::StoppedEarly => (found.0, found.1.mip_gap()),
            other => return Ok(Solution::none(other)),
        };
        // The whole columns come back a hair off; with them held at the nearest whole number the rest is exact
        // and has prices.
        let x = found.1.get_solution().columns().to_vec();
        let mut held = self.with_whole_held(&x).linear(options)?;
        if !held.found() {
            return Err(SolveError::NoAnswer("a whole number that does not hold when rounded".into()));
        }
        held.status = status;
        held.gap = if status == Status::StoppedEarly { gap } else { 0.0 };
        Ok(held)
    }

    fn linear(&self, options: Options) -> Result<Solution, SolveError> {
        let (status, mut model) = run(self, options, Tight::Yes)?;
        if !matches!(status, Status::Optimal) {
            return match status {
                Status::StoppedEarly => Err(SolveError::NoAnswer("out of time".into())),
                other => Ok(Solution::none(other)),
            };
        }
        let found = model.get_solution();
        let x = found.columns().to_vec();
        let bound = self.rows.iter().any(|r| r.terms.iter().any(|(_, k)| *k != 0.0));
        let ranges = (options.ranges && bound)
            .then(|| ranging::ranges(self, &mut model, found.dual_rows()))
            .transpose()?;
        let turn = self.turn();
        Ok(Solution {
            status,
            objective: self.objective(&x),
            reduced_cost: found.dual_columns().iter().map(|d| turn * d).collect(),
            dual: found.dual_rows().iter().map(|d| turn * d).collect(),
            x,
            ranges,
            gap: 0.0,
        })
    }

    /// The solver is always asked for the least; for the most, costs and prices are turned about.
    pub(crate) fn turn(&self) -> f64 {
        match self.sense {
            Sense::Minimise => 1.0,
            Sense::Maximise => -1.0,
        }
    }

    fn crossed(&self) -> bool {
        let crossed =
            |low: Option<f64>, high: Option<f64>| matches!((low, high), (Some(l), Some(h)) if l > h);
        self.columns.iter().any(|c| crossed(c.low, c.high))
            || self.rows.iter().any(|r| crossed(r.low, r.high))
    }

    fn nothing_to_choose(&self) -> Solution {
        if self.worst_miss(&[]) > 0.0 {
            return Solution::none(Status::Infeasible);
        }
        Solution { objective: 0.0, dual: vec![0.0; self.rows.len()], ..Solution::none(Status::Optimal) }
    }

    fn to_model(&self, with_costs: bool) -> Result<Model, SolveError> {
        let mut p = RowProblem::default();
        let columns: Vec<_> = self
            .columns
            .iter()
            .map(|c| {
                let cost = if with_costs { self.turn() * c.cost } else { 0.0 };
                let bounds = c.low.unwrap_or(f64::NEG_INFINITY)..=c.high.unwrap_or(f64::INFINITY);
                p.add_column_with_integrality(cost, bounds, c.whole)
            })
            .collect();
        for r in &self.rows {
            let bounds = r.low.unwrap_or(f64::NEG_INFINITY)..=r.high.unwrap_or(f64::INFINITY);
            // The solver refuses a column twice in a row; a caller may well add one up in parts.
            let mut sums: Vec<(usize, f64)> = Vec::with_capacity(r.terms.len());
            for (c, k) in &r.terms {
                match sums.iter_mut().find(|(have, _)| have == c) {
                    Some((_, sum)) => *sum += k,
                    None => sums.push((*c, *k)),
                }
            }
            p.add_row(bounds, sums.into_iter().filter(|(_, k)| *k != 0.0).map(|(c, k)| (columns[c], k)));
        }
        p.try_optimise(HighsSense::Minimise).map_err(|e| SolveError::NoAnswer(format!("{e:?}")))
    }
}

/// Tighter tolerances than the solver's own come first; should it stumble over them, its own are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tight {
    Yes,
    No,
}

fn prepare(p: &Problem, options: Options, tight: Tight, with_costs: bool) -> Result<Model, SolveError> {
    let mut model = p.to_model(with_costs)?;
    model.make_quiet();
    // One thread: the same answer every time, and callers have their own threads.
    model.set_option("threads", 1);
    model.set_option("time_limit", options.time_limit_s);
    if p.has_whole() {
        model.set_option("mip_rel_gap", options.gap);
        model.set_option("mip_abs_gap", 1e-9);
    } else if p.columns.len() < SMALL || options.ranges {
        // Ranges are read from the simplex tableau, which simplifying can leave empty.
        model.set_option("presolve", "off");
    }
    if tight == Tight::Yes {
        for name in
            ["primal_feasibility_tolerance", "dual_feasibility_tolerance", "mip_feasibility_tolerance"]
        {
            model.set_option(name, 1e-9);
        }
    }
    Ok(model)
}

fn run(p: &Problem, options: Options, tight: Tight) -> Result<(Status, SolvedModel), SolveError> {
    let solved = prepare(p, options, tight, true)?.try_solve();
    let status = solved.as_ref().map(SolvedModel::status).map_err(|e| format!("{e:?}"));
    let status = match status {
        Ok(HighsModelStatus::Optimal) => Status::Optimal,
        Ok(HighsModelStatus::Infeasible) => Status::Infeasible,
        Ok(HighsModelStatus::Unbounded) => Status::Unbounded,
        Ok(HighsModelStatus::UnboundedOrInfeasible) => {
            // Without costs nothing can be without end, so what is left is whether anything meets the limits.
            let bare = prepare(p, options, tight, false)?.try_solve();
            match bare.map(|m| m.status()) {
                Ok(HighsModelStatus::Optimal) => Status::Unbounded,
                _ => Status::Infeasible,
            }
        }
        Ok(HighsModelStatus::ReachedTimeLimit) => {
            let some = solved
                .as_ref()
                .is_ok_and(|m| matches!(m.primal_solution_status(), highs::HighsSolutionStatus::Feasible));
            if !some {
                return Err(SolveError::NoAnswer("out of time".into()));
            }
            Status::StoppedEarly
        }
        _ if tight == Tight::Yes => return run(p, options, Tight::No),
        other => return Err(SolveError::NoAnswer(format!("{other:?}"))),
    };
    match solved {
        Ok(model) => Ok((status, model)),
        Err(e) => Err(SolveError::NoAnswer(format!("{e:?}"))),
    }
}
