//! How far costs and limits may move: the one call into the solver's C interface, since the binding has none for it.

use std::ptr::null_mut;

use highs::SolvedModel;
use highs_sys::{Highs_getRanging, STATUS_ERROR};

use crate::problem::{Problem, SolveError};
use crate::solution::{Ranges, Span};

/// Reads the ranges of a linear program that has just been solved to the end.
#[allow(unsafe_code)]
pub fn ranges(p: &Problem, model: &mut SolvedModel, duals: &[f64]) -> Result<Ranges, SolveError> {
    let (columns, rows) = (p.columns.len(), p.rows.len());
    let mut cost_up = vec![0.0; columns];
    let mut cost_down = vec![0.0; columns];
    let mut limit_up = vec![0.0; rows];
    let mut limit_down = vec![0.0; rows];
    let (f, i) = (null_mut::<f64>(), null_mut());
    // SAFETY: the pointer is that of a live model we hold alone; the four lists are as long as the model has columns
    // and rows, which is what the call writes; it skips null pointers.
    let status = unsafe {
        Highs_getRanging(
            model.as_mut_ptr(),
            cost_up.as_mut_ptr(),
            f,
            i,
            i,
            cost_down.as_mut_ptr(),
            f,
            i,
            i,
            f,
            f,
            i,
            i,
            f,
            f,
            i,
            i,
            limit_up.as_mut_ptr(),
            f,
            i,
            i,
            limit_down.as_mut_ptr(),
            f,
            i,
            i,
        )
    };
    if status == STATUS_ERROR {
        return Err(SolveError::NoAnswer("no ranges".into()));
    }
    let turned = p.turn() < 0.0;
    let cost = cost_down
        .into_iter()
        .zip(cost_up)
        .map(|(low, high)| if turned { Span::of(-high, -low) } else { Span::of(low, high) })
        .collect();
    let limit = limit_down
        .into_iter()
        .zip(limit_up)
        .zip(duals)
        .map(|((low, high), dual)| (dual.abs() > 1e-9).then(|| Span::of(low, high)))
        .collect();
    Ok(Ranges { cost, limit })
}
