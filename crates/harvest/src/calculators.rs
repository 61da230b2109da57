//! The harvest models as calculators.

use stook_measure::Calculator;

/// All calculators of this crate.
pub fn calculators() -> Vec<Calculator> {
    Vec::new()
}
