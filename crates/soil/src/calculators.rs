//! The soil models offered as calculators.

use stook_measure::Calculator;

/// All of them.
pub fn calculators() -> Vec<Calculator> {
    Vec::new()
}
