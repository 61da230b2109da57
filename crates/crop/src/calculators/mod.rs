//! The crop models as calculators, by topic.

// Every calculator has the same signature, whether or not its inputs can be at odds with each other.
#![allow(clippy::unnecessary_wraps)]

mod disease;
mod ripening;
mod scouting;
mod season_yield;
mod seeding;
mod spray;
mod stage;

use stook_measure::{Args, CalcError, Calculator, Outcome, Output};

/// All calculators of this crate.
pub fn calculators() -> Vec<Calculator> {
    [
        seeding::calculators(),
        stage::calculators(),
        season_yield::calculators(),
        spray::calculators(),
        disease::calculators(),
        ripening::calculators(),
        scouting::calculators(),
    ]
    .concat()
}

/// What every calculator's function looks like.
type Answer = Result<Outcome, CalcError>;

fn out(key: &'static str, unit: &'static str, about: &'static str) -> Output {
    Output { key, unit, about }
}

/// Two lists that go together day by day.
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
            "{one} has {} values and {other} {}; give one of each for every day",
            x.len(),
            y.len()
        )))
    }
}
