//! The fertility models as calculators, by topic.

// Every calculator has the same signature, whether or not its inputs can be at odds with each other.
#![allow(clippy::unnecessary_wraps)]

mod balance;
mod barn;
mod drill;
mod manure;
mod nitrogen;
mod nutrients;
mod product;
mod response;
mod seed_row;
mod soil_test;
mod trials;

use stook_measure::{Args, CalcError, Calculator, Outcome, Output};

use crate::FertilityParams;

/// All calculators of this crate.
pub fn calculators() -> Vec<Calculator> {
    [
        soil_test::calculators(),
        nitrogen::calculators(),
        trials::calculators(),
        response::calculators(),
        nutrients::calculators(),
        balance::calculators(),
        barn::calculators(),
        manure::calculators(),
        product::calculators(),
        seed_row::calculators(),
        drill::calculators(),
    ]
    .concat()
}

/// What every calculator's function looks like.
type Answer = Result<Outcome, CalcError>;

fn out(key: &'static str, unit: &'static str, about: &'static str) -> Output {
    Output { key, unit, about }
}

fn p() -> &'static FertilityParams {
    FertilityParams::shipped()
}

/// A model's refusal as the calculator's.
fn refused(e: impl std::fmt::Display) -> CalcError {
    CalcError::Together(e.to_string())
}

/// Two lists that go together.
fn paired<'a>(
    a: &'a Args,
    one: &'static str,
    other: &'static str,
) -> Result<(&'a [f64], &'a [f64]), CalcError> {
    let (x, y) = (a.list(one), a.list(other));
    if x.len() == y.len() && !x.is_empty() {
        Ok((x, y))
    } else {
        Err(CalcError::Together(format!(
            "{one} has {} values and {other} {}; give one of each, in the same order",
            x.len(),
            y.len()
        )))
    }
}

/// The entry of a list of named things that the calculator's choice allows.
fn named<T: Copy>(list: &[(&str, T)], name: &str) -> T {
    list.iter().find(|(n, _)| *n == name).map(|(_, t)| *t).expect("the choice lists only these names")
}
