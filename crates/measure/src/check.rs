//! Published checks: what a source prints, run through our calculators.
//!
//! Cases are data, one JSON object a line in `reference/checks/*.jsonl`:
//!
//! ```json
//! {"id":"fao56_ex8","model":"weather.extraterrestrial_daily","in":{"lat_deg":-20,"day_of_year":246},
//!  "out":{"ra_mj_m2":32.2},"tol":0.06,"src":"FAO56 Ex.8","kind":"read"}
//! ```
//!
//! `tol` is absolute, or `{"rel":0.001}`, or an object by output key with `"*"` for the rest. `kind` is `read`,
//! `secondary`, `memory` or `computed`. A case that does not match stays as it is and gets `"differs":"why"`.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value as Json};

use crate::calc::{Calculator, Value};

/// How the expected value was obtained.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Obtained {
    /// Read in the source.
    Read,
    /// Read in a secondary reproduction of the source.
    Secondary,
    /// Remembered from the source.
    Memory,
    /// Computed from the published equation: a check of code, not of nature.
    Computed,
}

/// One published check.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Name, unique in its file.
    pub id: String,
    /// Calculator to run.
    pub model: String,
    /// Its inputs.
    #[serde(rename = "in")]
    pub given: Map<String, Json>,
    /// Outputs expected.
    pub out: Map<String, Json>,
    /// Tolerance.
    pub tol: Json,
    /// Source.
    pub src: String,
    /// How obtained.
    pub kind: Obtained,
    /// Why our value differs, when it does.
    #[serde(default)]
    pub differs: Option<String>,
}

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Within tolerance.
    Pass,
    /// Outside, for a stated reason.
    Differs,
    /// Outside, or the calculator refused.
    Fail,
}

/// One output of one check.
#[derive(Debug, Clone, Serialize)]
pub struct Finding {
    /// Check.
    pub id: String,
    /// Calculator.
    pub model: String,
    /// Output key.
    pub key: String,
    /// What the source prints.
    pub published: String,
    /// What we get.
    pub ours: String,
    /// Ours less published, where both are numbers.
    pub difference: Option<f64>,
    /// Allowed.
    pub tolerance: f64,
    /// Source.
    pub source: String,
    /// How obtained.
    pub kind: Obtained,
    /// How it came out.
    pub verdict: Verdict,
    /// Why it differs, or what went wrong.
    pub reason: Option<String>,
}

/// Reads a file of checks.
///
/// # Errors
/// A sentence naming the line that cannot be read.
pub fn read(file: &str, text: &str) -> Result<Vec<Check>, String> {
    text.lines()
        .enumerate()
        .filter(|(_, l)| !l.trim().is_empty())
        .map(|(i, l)| serde_json::from_str(l).map_err(|e| format!("{file}, line {}: {e}", i + 1)))
        .collect()
}

/// Runs one check.
pub fn run(check: &Check, calculators: &[Calculator]) -> Vec<Finding> {
    let finding = |key: &str, published: String, ours: String, difference, tolerance, good: bool, why| {
        let verdict = match (good, &check.differs) {
            (true, _) => Verdict::Pass,
            (false, Some(_)) => Verdict::Differs,
            (false, None) => Verdict::Fail,
        };
        Finding {
            id: check.id.clone(),
            model: check.model.clone(),
            key: key.into(),
            published,
            ours,
            difference,
            tolerance,
            source: check.src.clone(),
            kind: check.kind,
            verdict,
            reason: if good { None } else { check.differs.clone().or(why) },
        }
    };
    let outcome = calculators
        .iter()
        .find(|c| c.name == check.model)
        .ok_or_else(|| crate::CalcError::NoSuchCalculator(check.model.clone()))
        .and_then(|c| c.call(&check.given));
    let outcome = match outcome {
        Ok(o) => o,
        Err(e) => {
            let published = Json::Object(check.out.clone()).to_string();
            return vec![finding("*", published, "refused".into(), None, 0.0, false, Some(e.to_string()))];
        }
    };
    let mut findings = Vec::new();
    for (key, expected) in &check.out {
        match (outcome.get(key), expected) {
            (None, _) => {
                let why = Some(format!("{} gives no {key}", check.model));
                findings.push(finding(key, expected.to_string(), "nothing".into(), None, 0.0, false, why));
            }
            (Some(Value::Text(t)), e) => {
                let good = e.as_str() == Some(t);
                findings.push(finding(key, e.to_string(), format!("\"{t}\""), None, 0.0, good, None));
            }
            (Some(Value::Number(x)), e) => {
                let e = e.as_f64().unwrap_or(f64::NAN);
                let tol = tolerance(&check.tol, key, e);
                let good = (x - e).abs() <= tol;
                findings.push(finding(key, e.to_string(), short(*x), Some(x - e), tol, good, None));
            }
            (Some(Value::List(l)), e) => {
                let wanted = e.as_array().cloned().unwrap_or_default();
                let len = l.len() == wanted.len();
                if !len {
                    let why = Some(format!("{} values expected, {} given", wanted.len(), l.len()));
                    findings.push(finding(key, e.to_string(), "a list".into(), None, 0.0, false, why));
                }
                for (i, (x, e)) in l.iter().zip(&wanted).enumerate().filter(|_| len) {
                    // null: the source's own row cannot be checked
                    let Some(e) = e.as_f64() else { continue };
                    let tol = tolerance(&check.tol, key, e);
                    let good = (x - e).abs() <= tol;
                    let key = format!("{key}[{i}]");
                    findings.push(finding(&key, e.to_string(), short(*x), Some(x - e), tol, good, None));
                }
            }
        }
    }
    findings
}

/// What is wrong with a topic's checks and calculators, in sentences; empty when all is well.
///
/// A check that fails; a reason to differ that is no longer needed; a name used twice or not of the topic; outputs that
/// are not the declared ones; a working without a source or whose printed lines do not give its sum.
pub fn audit(topic: &str, text: &str, calculators: &[Calculator]) -> Vec<String> {
    let checks = match read(topic, text) {
        Ok(checks) => checks,
        Err(e) => return vec![e],
    };
    let mut wrong = Vec::new();
    let mut ids = BTreeSet::new();
    for check in &checks {
        if !ids.insert(&check.id) {
            wrong.push(format!("check {} is there twice", check.id));
        }
        let findings = run(check, calculators);
        for f in findings.iter().filter(|f| f.verdict == Verdict::Fail) {
            wrong.push(format!(
                "{} {}: published {}, ours {}, allowed {} {:?}",
                f.id, f.key, f.published, f.ours, f.tolerance, f.reason
            ));
        }
        if check.differs.is_some() && findings.iter().all(|f| f.verdict != Verdict::Differs) {
            wrong.push(format!("{} does not differ", check.id));
        }
        let Some(c) = calculators.iter().find(|c| c.name == check.model) else { continue };
        let Ok(outcome) = c.call(&check.given) else { continue };
        let given: Vec<_> = outcome.out.iter().map(|(k, _)| *k).collect();
        if given != c.outputs.iter().map(|o| o.key).collect::<Vec<_>>() {
            wrong.push(format!("{} gives {given:?}, not what it declares", c.name));
        }
        let w = &outcome.working;
        if w.sources.is_empty() {
            wrong.push(format!("{} has no source in its working", c.name));
        }
        if let Some(sum) = &w.sum
            && !w.adds_up(0.005 * sum.value.abs() + 10f64.powi(-i32::from(sum.decimals)))
        {
            wrong.push(format!("{}: the lines give {:?}, not {}", check.id, w.by_hand(), sum.value));
        }
    }
    let mut names = BTreeSet::new();
    for c in calculators {
        if !names.insert(c.name) || !c.name.starts_with(&format!("{topic}.")) {
            wrong.push(format!("the name {} is used twice or not of {topic}", c.name));
        }
    }
    wrong
}

/// Calculators that no check of the topic reaches.
pub fn unreached<'a>(topic: &str, text: &str, calculators: &'a [Calculator]) -> Vec<&'a str> {
    let checks = read(topic, text).unwrap_or_default();
    calculators.iter().map(|c| c.name).filter(|n| !checks.iter().any(|k| k.model == *n)).collect()
}

fn tolerance(tol: &Json, key: &str, expected: f64) -> f64 {
    // A tolerance written to the printed digit must not fail on the last bit of a double.
    const GRACE: f64 = 1e-9;
    let relative = |o: &Map<String, Json>| o.get("rel").and_then(Json::as_f64);
    let one = |t: &Json| match t {
        Json::Object(o) => relative(o).map(|r| r * expected.abs()),
        t => t.as_f64(),
    };
    let found = match tol {
        Json::Object(o) if relative(o).is_none() => o.get(key).or_else(|| o.get("*")).and_then(one),
        t => one(t),
    };
    found.unwrap_or(0.0) + GRACE * expected.abs().max(1.0)
}

fn short(x: f64) -> String {
    if x == 0.0 || (1e-3..1e6).contains(&x.abs()) {
        let text = format!("{x:.5}");
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        format!("{x:.4e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Input, Outcome, Output, Working};

    fn square() -> Calculator {
        Calculator {
            name: "t.square",
            title: "Square",
            about: "",
            inputs: vec![Input::number("x", "1", -9.0, 9.0, "x")],
            outputs: vec![Output { key: "y", unit: "1", about: "square" }],
            source: "arithmetic",
            run: |a| {
                let x = a.number("x");
                Ok(Outcome::new(Working::new("Square")).with("y", x * x).with("all", vec![x, x * x]))
            },
        }
    }

    fn verdicts(line: &str) -> Vec<Verdict> {
        let checks = read("t", line).unwrap();
        run(&checks[0], &[square()]).into_iter().map(|f| f.verdict).collect()
    }

    #[test]
    fn an_audit_finds_what_is_wrong() {
        let line = |id: &str, y: &str, extra: &str| {
            format!(
                r#"{{"id":"{id}","model":"t.square","in":{{"x":3}},"out":{{"y":{y}}},"tol":0.1,"src":"s","kind":"computed"{extra}}}"#
            )
        };
        let found = |text: &str| audit("t", text, &[square()]).join("; ");
        assert!(found(&line("a", "8", "")).contains("published 8"));
        assert!(found(&line("a", "9", r#","differs":"why""#)).contains("does not differ"));
        assert!(found(&format!("{}\n{}", line("a", "9", ""), line("a", "9", ""))).contains("there twice"));
        assert!(found(&line("a", "9", "")).contains("not what it declares"));
        assert!(found("{}").contains("line 1"));
        assert!(audit("other", "", &[square()])[0].contains("not of other"));
        assert_eq!(unreached("t", "", &[square()]), ["t.square"]);
    }

    #[test]
    fn a_check_can_fail() {
        let case = |out: &str, extra: &str| {
            format!(
                r#"{{"id":"a","model":"t.square","in":{{"x":3}},"out":{out},"tol":0.1,"src":"s","kind":"computed"{extra}}}"#
            )
        };
        assert_eq!(verdicts(&case(r#"{"y":9.05}"#, "")), [Verdict::Pass]);
        assert_eq!(verdicts(&case(r#"{"y":9.2}"#, "")), [Verdict::Fail]);
        assert_eq!(verdicts(&case(r#"{"y":9.2}"#, r#","differs":"misprint""#)), [Verdict::Differs]);
        assert_eq!(verdicts(&case(r#"{"z":9}"#, "")), [Verdict::Fail]);
        assert_eq!(verdicts(&case(r#"{"all":[3,null]}"#, "")), [Verdict::Pass]);
        assert_eq!(verdicts(&case(r#"{"all":[3]}"#, "")), [Verdict::Fail]);
        assert_eq!(verdicts(&case(r#"{"y":9}"#, "").replace("\"x\":3", "\"x\":99")), [Verdict::Fail]);
    }
}
