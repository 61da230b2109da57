//! Units, moisture bases, money, ranges, and the two things every model shares: the [`Working`] that explains a
//! number, and the [`calc::Calculator`] that offers a model function to the command line, the pages and `stook prove`.
//!
//! Models are pure and work in SI with the unit in each name (`rain_mm`, `n_kg_ha`). Acres, bushels, pounds and
//! Fahrenheit exist only at the edges; every conversion is in [`units`].

pub mod calc;
pub mod check;
pub mod number;
pub mod range;
pub mod reference;
pub mod units;
pub mod working;

pub use calc::{Args, CalcError, Calculator, Input, Outcome, Output, Value};
pub use number::{Decimals, figure, money};
pub use range::{Range, Spread, normal_quantile};
pub use reference::{Coefficient, Reference, ReferenceError, Sure};
pub use working::{Op, Term, Working};
