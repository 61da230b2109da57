//! The least-cost ration: a linear program over the ingredients on offer, its answer and what it says.
//!
//! Amounts are shares of the diet, so the objective is money for a tonne. Every row is in figures near one: energy in Mcal,
//! amino acids in g/kg. Ratios are written as sums that must not be below nought.

mod batch;
mod rows;
mod said;
mod words;

pub use batch::{Batch, BatchItem, Scale, round_batch};
pub use said::{Binding, Formulated, LeftOut, Offer, Part, Ration, Safety};
pub use words::{conflict_words, price_words};

use stook_optimise::{Col, Options, Problem, SolveError, Status};

use crate::diet;
use crate::need::Need;
use crate::nutrient::{Composition, Nutrient};
pub(crate) use rows::rows;
use rows::{Built, build};

/// The spread of the diet's lysine, % of the diet: ingredients scatter apart from each other.
pub fn lysine_sd(offers: &[Offer], shares: &[f64]) -> f64 {
    offers.iter().zip(shares).map(|(o, x)| (o.lys_sd * x).powi(2)).sum::<f64>().sqrt()
}

/// The cheapest diet that meets the need, or why there is none.
///
/// With safety, the square root of the summed variances is replaced by its tangent where the last answer stands, again and
/// again: it is convex, so the tangents close in on it from below. Few rounds are needed.
///
/// # Errors
/// When a figure is not a number.
pub fn formulate(need: &Need, offers: &[Offer], safety: Safety) -> Result<Formulated, SolveError> {
    let Built { mut problem, columns, rows } = build(need, offers);
    let options = Options { ranges: true, ..Options::default() };
    let mut rounds = 0;
    let solution = loop {
        let s = problem.solve_with(options)?;
        if s.status != Status::Optimal {
            return Ok(Formulated::Impossible(problem.explain_infeasible()?));
        }
        let sd = lysine_sd(offers, &s.x);
        if safety.z <= 0.0 || sd < 1e-12 || rounds >= 25 {
            break s;
        }
        // Lysine over need at this answer, % of the diet.
        let over: f64 = offers
            .iter()
            .zip(&s.x)
            .map(|(o, x)| x * (o.holds.of(Nutrient::Lys) - need.lys_g_mcal * o.holds.of(Nutrient::Ne) / 1e4))
            .sum();
        if over >= safety.z * sd - 1e-7 {
            break s;
        }
        let terms: Vec<(Col, f64)> = columns
            .iter()
            .zip(offers)
            .zip(&s.x)
            .map(|((c, o), x)| {
                let plain =
                    10.0 * o.holds.of(Nutrient::Lys) - need.lys_g_mcal * o.holds.of(Nutrient::Ne) / 1000.0;
                (*c, plain - 10.0 * safety.z * o.lys_sd * o.lys_sd * x / sd)
            })
            .collect();
        problem.at_least("lysine with safety", 0.0, &terms);
        rounds += 1;
    };
    let shares = &solution.x;
    let stays = solution.ranges.as_ref();
    let mut parts = Vec::new();
    let mut left_out = Vec::new();
    for (i, o) in offers.iter().enumerate() {
        if shares[i] > 1e-7 {
            parts.push(Part {
                key: o.key.clone(),
                name: o.name.clone(),
                share: shares[i],
                price_t: o.price_t,
                stays: stays.map(|r| r.cost[i]),
            });
        } else {
            let comes_in_at = (o.max > 0.0).then(|| o.price_t - solution.reduced_cost[i]);
            left_out.push(LeftOut {
                key: o.key.clone(),
                name: o.name.clone(),
                price_t: o.price_t,
                comes_in_at,
            });
        }
    }
    parts.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut binding: Vec<Binding> = rows
        .iter()
        .filter(|r| r.step > 0.0)
        .map(|r| Binding {
            what: r.what.clone(),
            step_words: r.step_words.clone(),
            per_step: solution.price(r.row) * r.step,
        })
        .chain(
            offers
                .iter()
                .enumerate()
                .filter(|(i, o)| {
                    o.class != "premix" && o.max > 0.0 && shares[*i] > o.max - 1e-7
                        || o.class != "premix" && o.min > 0.0 && shares[*i] < o.min + 1e-7
                })
                .map(|(i, o)| Binding {
                    what: format!("the limit on {}", o.name),
                    step_words: "1 % of the diet".into(),
                    per_step: 0.01 * solution.reduced_cost[i],
                }),
        )
        .filter(|b| b.per_step.abs() > 5e-4)
        .collect();
    binding.sort_by(|a, b| b.per_step.abs().total_cmp(&a.per_step.abs()));
    let holds = Composition::mix(shares.iter().copied().zip(offers.iter().map(|o| &o.holds)));
    let don_ppm = offers.iter().zip(shares).map(|(o, x)| o.don_ppm * x).sum();
    Ok(Formulated::Found(Box::new(Ration {
        phase: need.phase,
        cost_t: solution.objective,
        parts,
        left_out,
        binding,
        standing: diet::stand(need, &holds, don_ppm),
        holds,
        don_ppm,
        rounds,
    })))
}

/// Cost of a diet alone, for many solves: no ranges, no explanation.
///
/// # Errors
/// As [`formulate`].
pub fn cost_t(need: &Need, offers: &[Offer]) -> Result<Option<f64>, SolveError> {
    let s = build(need, offers).problem.solve()?;
    Ok((s.status == Status::Optimal).then_some(s.objective))
}

/// A ration as a problem of its own: for the checks against other solvers.
pub fn problem(need: &Need, offers: &[Offer]) -> Problem {
    build(need, offers).problem
}

#[cfg(test)]
mod tests;
