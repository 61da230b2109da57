//! The published checks, and that every calculator has one and adds up.

use std::collections::BTreeSet;

use stook_fertility::calculators;
use stook_measure::check::{Verdict, read, run};

const FILE: &str = "fertility.jsonl";

fn text() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/checks/fertility.jsonl");
    std::fs::read_to_string(path).expect("the checks are in the repository")
}

#[test]
fn published_values_are_met() {
    let calculators = calculators();
    let checks = read(FILE, &text()).expect("the checks are well formed");
    let mut wrong = vec![];
    for check in &checks {
        let findings = run(check, &calculators);
        wrong.extend(findings.iter().filter(|f| f.verdict == Verdict::Fail).map(|f| format!("{f:?}")));
        // A reason to differ that is no longer needed is a lie of its own.
        if check.differs.is_some() {
            assert!(findings.iter().any(|f| f.verdict == Verdict::Differs), "{} does not differ", check.id);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let ids: BTreeSet<_> = checks.iter().map(|c| &c.id).collect();
    assert_eq!(ids.len(), checks.len(), "a check is named twice");
}

#[test]
fn every_calculator_is_checked_and_adds_up() {
    let calculators = calculators();
    let checks = read(FILE, &text()).expect("the checks are well formed");
    for calculator in &calculators {
        let mut tried = 0;
        for check in checks.iter().filter(|c| c.model == calculator.name) {
            let outcome = calculator.call(&check.given).unwrap_or_else(|e| panic!("{}: {e}", check.id));
            let given: Vec<_> = outcome.out.iter().map(|(k, _)| *k).collect();
            let declared: Vec<_> = calculator.outputs.iter().map(|o| o.key).collect();
            assert_eq!(given, declared, "{}", calculator.name);
            let w = &outcome.working;
            assert!(!w.sources.is_empty(), "{} has no source", calculator.name);
            if let Some(sum) = &w.sum {
                let tolerance = 0.005 * sum.value.abs() + 10f64.powi(-i32::from(sum.decimals));
                assert!(w.adds_up(tolerance), "{}: {:?} is not {}", check.id, w.by_hand(), sum.value);
            }
            tried += 1;
        }
        assert!(tried > 0, "{} has no check", calculator.name);
    }
}

#[test]
fn names_are_unique_and_of_this_topic() {
    let names: Vec<_> = calculators().iter().map(|c| c.name).collect();
    assert!(names.iter().all(|n| n.starts_with("fertility.")));
    assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len());
}
