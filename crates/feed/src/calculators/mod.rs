//! The feed models as calculators, by topic.

// Every calculator has the same signature, whether or not its inputs can be at odds with each other.
#![allow(clippy::unnecessary_wraps)]

mod animals;
mod feeds;
mod least_cost;
mod mill;

use stook_measure::{CalcError, Calculator, Outcome, Output};

use crate::FeedParams;

/// All calculators of this crate.
pub fn calculators() -> Vec<Calculator> {
    [feeds::calculators(), animals::calculators(), mill::calculators(), least_cost::calculators()].concat()
}

/// What every calculator's function looks like.
type Answer = Result<Outcome, CalcError>;

fn out(key: &'static str, unit: &'static str, about: &'static str) -> Output {
    Output { key, unit, about }
}

fn p() -> &'static FeedParams {
    FeedParams::shipped()
}

/// A model's refusal as the calculator's.
fn refused(e: impl std::fmt::Display) -> CalcError {
    CalcError::Together(e.to_string())
}
