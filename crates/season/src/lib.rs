//! The farm carried over the ensemble: windows, cost of waiting, order of work.

pub mod answer;
