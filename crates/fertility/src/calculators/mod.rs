//! The fertility models as calculators, by topic.
use stook_measure::Calculator;
/// All calculators of this crate.
pub fn calculators() -> Vec<Calculator> {
    vec![]
}
