//! The models of this crate offered as calculators, by subject.

mod bed;
mod bin;
mod drier;
mod drying;
mod emc;
mod fan;
mod grade;
mod keeping;
mod life;
mod loss;
mod lot;
mod measures;
mod price;
mod settle;

use std::sync::LazyLock;

use stook_measure::{Args, CalcError, Calculator, Input, Output, Reference};

use crate::bed::BedGrain;
use crate::emc::{EmcSet, EmcTable};
use crate::grain::{GRAIN_KEYS, Grain, Properties};

/// All calculators of the crate.
pub fn calculators() -> Vec<Calculator> {
    [
        emc::calculators(),
        fan::calculators(),
        bin::calculators(),
        life::calculators(),
        bed::calculators(),
        drier::calculators(),
        drying::calculators(),
        keeping::calculators(),
        measures::calculators(),
        lot::calculators(),
        grade::calculators(),
        settle::calculators(),
        price::calculators(),
        loss::calculators(),
    ]
    .concat()
}

/// The shipped coefficients, read once.
fn shipped() -> &'static Reference {
    static SHIPPED: LazyLock<Reference> = LazyLock::new(Reference::shipped);
    &SHIPPED
}

fn emc_table() -> &'static EmcTable {
    static TABLE: LazyLock<EmcTable> = LazyLock::new(|| EmcTable::from_reference(shipped()));
    &TABLE
}

const fn output(key: &'static str, unit: &'static str, about: &'static str) -> Output {
    Output { key, unit, about }
}

fn grain_input() -> Input {
    Input::choice("grain", &GRAIN_KEYS, "grain").or("hard_wheat")
}

fn grain_of(a: &Args) -> Grain {
    Grain::from_key(a.text("grain")).unwrap_or(Grain::HardWheat)
}

fn pressure_input() -> Input {
    Input::number("pressure_pa", "Pa", 60_000.0, 108_000.0, "air pressure; about 94,300 at 600 m")
        .or(101_325.0)
}

fn rh_input() -> Input {
    Input::number("rh", "1", 0.01, 1.0, "relative humidity of the air, 0 to 1")
}

fn moisture_input() -> Input {
    Input::number("m_wb_pct", "% wb", 4.0, 45.0, "moisture of the grain, percent of wet weight")
}

/// An error of a model as one of a calculator.
#[allow(clippy::needless_pass_by_value)] // so that it can be given to map_err
fn refuse(e: impl ToString) -> CalcError {
    CalcError::Together(e.to_string())
}

/// The recommended constants of the grain asked for, and the grain as beds see it.
fn bed_grain(a: &Args) -> Result<(&'static EmcSet, BedGrain), CalcError> {
    let grain = grain_of(a);
    let set = emc_table().best(grain).map_err(refuse)?;
    Ok((set, BedGrain::new(set, &Properties::from_reference(shipped(), grain))))
}

fn yes_no(b: bool) -> &'static str {
    if b { "yes" } else { "no" }
}
