//! The harvest models as calculators.

// Every calculator has the same signature, whether or not its inputs can be at odds with each other.
#![allow(clippy::unnecessary_wraps)]

mod combine;
mod costs;
mod drying;
mod hauling;
mod hauling_day;
mod machines;
mod measures;
mod straw;
mod waiting;

use stook_measure::{CalcError, Calculator, Outcome, Output};

/// All calculators of this crate.
pub fn calculators() -> Vec<Calculator> {
    [
        machines::calculators(),
        measures::calculators(),
        drying::calculators(),
        waiting::calculators(),
        costs::calculators(),
        combine::calculators(),
        hauling::calculators(),
        hauling_day::calculators(),
        straw::calculators(),
    ]
    .concat()
}

/// What every calculator's function gives.
type Answer = Result<Outcome, CalcError>;

fn out(key: &'static str, unit: &'static str, about: &'static str) -> Output {
    Output { key, unit, about }
}
