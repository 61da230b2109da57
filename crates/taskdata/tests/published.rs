//! The published checks, and that every calculator has one and adds up.

use stook_measure::check;

const CHECKS: &str = include_str!("../../../reference/checks/taskdata.jsonl");

#[test]
fn published_values_are_met_and_workings_add_up() {
    let wrong = check::audit("taskdata", CHECKS, &stook_taskdata::calculators());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_calculator_is_checked() {
    assert_eq!(check::unreached("taskdata", CHECKS, &stook_taskdata::calculators()), Vec::<&str>::new());
}
