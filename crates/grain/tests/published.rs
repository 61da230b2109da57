//! The published checks of measures, blends, grades, settlement and price.

use stook_measure::check;

const CHECKS: &str = include_str!("../../../reference/checks/grain.jsonl");

#[test]
fn published_values_are_met_and_workings_add_up() {
    let wrong = check::audit("grain", CHECKS, &stook_grain::calculators::calculators());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
