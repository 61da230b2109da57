//! Mill or trough: one linear program over lots, uses and months.
//!
//! Every tonne of every lot is fed in some ration in some month, sold to some buyer in some month, or kept. Every ration is
//! met in every month from lots and bought ingredients. What it comes to: sales, less what is bought, less storage and
//! interest, plus what is left valued at the end. All money is discounted to the first month.

mod answer;
mod ask;
mod model;

pub use answer::{Fed, LotPlan, MonthCash, PlanAnswer, RationMonth, Sold};
pub use ask::{Average, Buyer, Contract, Keep, Lot, PlanAsk, Wanted};

use stook_optimise::{Conflict, Options, Problem, SolveError, Status};

pub(crate) use model::model;

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Planned {
    /// A plan.
    Found(Box<PlanAnswer>),
    /// Not all can be met.
    Impossible(Option<Conflict>),
}

/// The plan as a problem of its own, in whole tonnes or not: for the checks against other solvers.
pub fn problem(ask: &PlanAsk) -> Problem {
    model(ask).problem
}

/// Solves it. With whole trucks the linear answer is found first; then whole trucks are asked for on the sales it makes, a
/// neighbouring month at the most, within half a percent of the best such plan.
///
/// # Errors
/// When a figure is not a number or the solver gives up.
pub fn plan(ask: &PlanAsk) -> Result<Planned, SolveError> {
    let m = model(ask);
    let s = m.problem.solve()?;
    if s.status != Status::Optimal {
        return Ok(Planned::Impossible(m.problem.explain_infeasible()?));
    }
    let mut answer = answer::read(ask, &m, &s);
    if let Some(truck) = ask.truck_t {
        let mut whole = m.problem.clone();
        for lot in &m.sell {
            for by_month in lot {
                for (k, c) in by_month.iter().enumerate() {
                    let Some(c) = *c else { continue };
                    let near = (k.saturating_sub(1)..=(k + 1).min(ask.months - 1))
                        .any(|j| by_month[j].is_some_and(|c| s.amount(c) > 1e-6));
                    if near {
                        let trucks = whole.whole(
                            format!("trucks: {}", m.problem.columns[c.index()].name),
                            0.0,
                            0.0,
                            1e4,
                        );
                        whole.equal("whole trucks", 0.0, &[(c, 1.0), (trucks, -truck)]);
                    } else {
                        whole.columns[c.index()].high = Some(0.0);
                    }
                }
            }
        }
        let options = Options { time_limit_s: 5.0, gap: 0.005, ranges: false };
        let w = whole.solve_with(options)?;
        if w.found() {
            let worth = answer.lots.clone();
            answer = answer::read(ask, &m, &w);
            // Prices stand for the linear answer: a tonne, not a truck.
            for (lot, linear) in answer.lots.iter_mut().zip(worth) {
                (lot.worth_t, lot.trough_t, lot.mill_t) = (linear.worth_t, linear.trough_t, linear.mill_t);
            }
            answer.whole_trucks = true;
        }
    }
    Ok(Planned::Found(Box::new(answer)))
}

#[cfg(test)]
mod tests;
