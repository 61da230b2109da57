//! Every calculator and every published check, in one list.

use stook_measure::Calculator;
use stook_measure::check::{self, Check, Finding};

/// The calculators of all model crates, by name.
pub fn calculators() -> Vec<Calculator> {
    let mut all = Vec::new();
    all.extend(stook_weather::calculators::calculators());
    all.extend(stook_soil::calculators::calculators());
    all.extend(stook_crop::calculators::calculators());
    all.extend(stook_harvest::calculators::calculators());
    all.extend(stook_grain::calculators::calculators());
    all.extend(stook_fertility::calculators());
    all.extend(stook_feed::calculators());
    all.extend(stook_spray::calculators::calculators());
    all.extend(stook_taskdata::calculators());
    all.sort_by_key(|c| c.name);
    all
}

const CHECK_FILES: &[(&str, &str)] = &[
    ("weather.jsonl", include_str!("../../../reference/checks/weather.jsonl")),
    ("soil.jsonl", include_str!("../../../reference/checks/soil.jsonl")),
    ("crop.jsonl", include_str!("../../../reference/checks/crop.jsonl")),
    ("harvest-loss.jsonl", include_str!("../../../reference/checks/harvest-loss.jsonl")),
    ("harvest.jsonl", include_str!("../../../reference/checks/harvest.jsonl")),
    ("fertility.jsonl", include_str!("../../../reference/checks/fertility.jsonl")),
    ("feed.jsonl", include_str!("../../../reference/checks/feed.jsonl")),
    ("spray.jsonl", include_str!("../../../reference/checks/spray.jsonl")),
    ("grain.jsonl", include_str!("../../../reference/checks/grain.jsonl")),
    ("store.jsonl", include_str!("../../../reference/checks/store.jsonl")),
    ("taskdata.jsonl", include_str!("../../../reference/checks/taskdata.jsonl")),
];

/// All published checks shipped in `reference/checks/`.
///
/// # Panics
/// When a shipped file cannot be read; a test reads them all.
pub fn checks() -> Vec<Check> {
    CHECK_FILES
        .iter()
        .flat_map(|(file, text)| check::read(file, text).unwrap_or_else(|e| panic!("{e}")))
        .collect()
}

/// Runs every published check.
pub fn prove() -> Vec<Finding> {
    let calculators = calculators();
    checks().iter().flat_map(|c| check::run(c, &calculators)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn names_are_unique_and_documented() {
        let all = calculators();
        let names: BTreeSet<_> = all.iter().map(|c| c.name).collect();
        assert_eq!(names.len(), all.len(), "two calculators share a name");
        for c in &all {
            assert!(!c.source.is_empty() && !c.title.is_empty(), "{} lacks a title or a source", c.name);
            assert!(!c.outputs.is_empty(), "{} declares no output", c.name);
        }
    }

    #[test]
    fn every_check_passes_or_says_why_it_differs() {
        let bad: Vec<_> =
            prove().into_iter().filter(|f| f.verdict == stook_measure::check::Verdict::Fail).collect();
        assert!(bad.is_empty(), "{bad:#?}");
    }
}
