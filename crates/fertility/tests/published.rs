//! The published checks, and that every calculator has one and adds up.

use stook_measure::check;

const CHECKS: &str = include_str!("../../../reference/checks/fertility.jsonl");

#[test]
fn published_values_are_met_and_workings_add_up() {
    let wrong = check::audit("fertility", CHECKS, &stook_fertility::calculators());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_calculator_is_checked() {
    assert_eq!(check::unreached("fertility", CHECKS, &stook_fertility::calculators()), Vec::<&str>::new());
}
