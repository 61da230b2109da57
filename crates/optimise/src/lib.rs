//! Linear programs, some columns whole numbers if need be, in the words of the one who asks.
//!
//! A [`Problem`] has named columns (how much of each thing) and named rows (what must hold). [`Problem::solve`] answers
//! with a [`Solution`]: the amounts, what the whole costs, what one more of each limit is worth ([`Solution::dual`]) and
//! how far a column left out is from coming in ([`Solution::reduced_cost`]). When nothing meets all limits,
//! [`Problem::explain_infeasible`] names a smallest set of limits that cannot stand together and what giving way on each
//! would take.
//!
//! The solver underneath is HiGHS. It is used here only, so that no other crate needs a C++ compiler of its own.
//! A solve makes its own model, so problems may be solved on as many threads as one likes.
//!
//! ```
//! use stook_optimise::{Problem, Status};
//!
//! // The cheapest 90 lb of N and 30 lb of phosphate to the acre.
//! let mut p = Problem::minimise();
//! let urea = p.column("urea", 0.36, 0.0, f64::INFINITY);
//! let map = p.column("MAP", 0.44, 0.0, f64::INFINITY);
//! let n = p.at_least("nitrogen", 90.0, &[(urea, 0.46), (map, 0.11)]);
//! p.at_least("phosphate", 30.0, &[(map, 0.52)]);
//! let s = p.solve().unwrap();
//! assert_eq!(s.status, Status::Optimal);
//! assert!((s.x[urea.index()] - 181.86).abs() < 0.01);
//! // A pound of N more costs what urea asks for it.
//! assert!((s.dual[n.index()] - 0.36 / 0.46).abs() < 1e-9);
//! ```

pub mod explain;
pub mod problem;
mod ranging;
pub mod solution;
mod solve;

pub use explain::{Conflict, Limit, Side};
pub use problem::{Col, Column, Problem, Row, RowLimits, Sense, SolveError};
pub use solution::{Ranges, Solution, Span, Status};
pub use solve::Options;
