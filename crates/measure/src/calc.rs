//! The register of model functions offered as calculators.
//!
//! A [`Calculator`] is a model function with its inputs, outputs, units, valid ranges and source written down once.
//! The same entry serves `stook calc`, the calculators page, the checks of `stook prove` and other programs that
//! send JSON.

use serde::Serialize;
use serde_json::{Map, Value as Json};

use crate::working::Working;

/// A value going in or out of a calculator.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A number in the unit stated by the [`Input`] or [`Output`].
    Number(f64),
    /// A word.
    Text(String),
    /// Numbers in order, such as one a day.
    List(Vec<f64>),
}

impl From<f64> for Value {
    fn from(x: f64) -> Self {
        Self::Number(x)
    }
}
impl From<&str> for Value {
    fn from(x: &str) -> Self {
        Self::Text(x.into())
    }
}
impl From<String> for Value {
    fn from(x: String) -> Self {
        Self::Text(x)
    }
}
impl From<Vec<f64>> for Value {
    fn from(x: Vec<f64>) -> Self {
        Self::List(x)
    }
}

/// What an input may be.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "type")]
pub enum Kind {
    /// A number between two limits.
    Number {
        /// Unit.
        unit: &'static str,
        /// Lowest accepted.
        low: f64,
        /// Highest accepted.
        high: f64,
    },
    /// One of a few words.
    Choice {
        /// The words.
        of: &'static [&'static str],
    },
    /// A list of numbers between two limits.
    List {
        /// Unit of each.
        unit: &'static str,
        /// Lowest accepted.
        low: f64,
        /// Highest accepted.
        high: f64,
    },
}

/// One input.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Input {
    /// Key, with the unit in the name: `tmax_c`.
    pub key: &'static str,
    /// What it is.
    pub about: &'static str,
    /// What it may be.
    #[serde(flatten)]
    pub kind: Kind,
    /// Used when nothing is given. With no default the input must be given unless `optional`.
    pub default: Option<Value>,
    /// May be left out although it has no default (the model then does something stated in `about`).
    pub optional: bool,
}

impl Input {
    /// A number that must be given.
    pub fn number(key: &'static str, unit: &'static str, low: f64, high: f64, about: &'static str) -> Self {
        Self { key, about, kind: Kind::Number { unit, low, high }, default: None, optional: false }
    }

    /// A list that must be given.
    pub fn list(key: &'static str, unit: &'static str, low: f64, high: f64, about: &'static str) -> Self {
        Self { key, about, kind: Kind::List { unit, low, high }, default: None, optional: false }
    }

    /// A choice that must be given.
    pub fn choice(key: &'static str, of: &'static [&'static str], about: &'static str) -> Self {
        Self { key, about, kind: Kind::Choice { of }, default: None, optional: false }
    }

    /// The same with a default.
    #[must_use]
    pub fn or(mut self, default: impl Into<Value>) -> Self {
        self.default = Some(default.into());
        self
    }

    /// The same, but it may be left out.
    #[must_use]
    pub fn optional(mut self) -> Self {
        self.optional = true;
        self
    }

    /// Unit, or empty for a choice.
    pub fn unit(&self) -> &'static str {
        match self.kind {
            Kind::Number { unit, .. } | Kind::List { unit, .. } => unit,
            Kind::Choice { .. } => "",
        }
    }

    fn read(&self, json: &Json) -> Result<Value, CalcError> {
        let in_range = |x: f64, unit: &str, low: f64, high: f64| {
            if (low..=high).contains(&x) {
                Ok(x)
            } else {
                Err(CalcError::OutOfRange { key: self.key, value: x, low, high, unit: unit.into() })
            }
        };
        let number = |v: &Json| {
            v.as_f64().or_else(|| v.as_str().and_then(|s| s.trim().parse().ok())).ok_or_else(|| {
                CalcError::NotANumber {
                    key: self.key,
                    given: v.as_str().map_or_else(|| v.to_string(), Into::into),
                }
            })
        };
        match &self.kind {
            Kind::Number { unit, low, high } => Ok(in_range(number(json)?, unit, *low, *high)?.into()),
            Kind::Choice { of } => {
                let word = json.as_str().map_or_else(|| json.to_string(), |s| s.trim().to_string());
                if of.contains(&word.as_str()) {
                    Ok(Value::Text(word))
                } else {
                    Err(CalcError::NotAChoice { key: self.key, given: word, of: of.join(", ") })
                }
            }
            Kind::List { unit, low, high } => {
                let items: Vec<Json> = match json {
                    Json::Array(a) => a.clone(),
                    Json::String(s) => s.split(',').map(|p| Json::String(p.into())).collect(),
                    other => vec![other.clone()],
                };
                let list: Result<Vec<f64>, _> =
                    items.iter().map(|v| in_range(number(v)?, unit, *low, *high)).collect();
                Ok(Value::List(list?))
            }
        }
    }
}

/// One output.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Output {
    /// Key, with the unit in the name.
    pub key: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// What it is.
    pub about: &'static str,
}

/// What can be wrong with what was asked of a calculator.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CalcError {
    /// No such calculator.
    #[error("there is no calculator named \"{0}\"; `stook calc --list` shows them all")]
    NoSuchCalculator(String),
    /// A key it does not know.
    #[error("\"{key}\" is not an input of this calculator; it takes {known}")]
    UnknownKey {
        /// What was given.
        key: String,
        /// What it takes.
        known: String,
    },
    /// A needed input is missing.
    #[error("{key} is missing: {about}{unit}")]
    Missing {
        /// Which.
        key: &'static str,
        /// What it is.
        about: &'static str,
        /// Unit in brackets.
        unit: String,
    },
    /// Not a number.
    #[error("{key} should be a number; \"{given}\" is not one")]
    NotANumber {
        /// Which.
        key: &'static str,
        /// What was given.
        given: String,
    },
    /// Not one of the words.
    #[error("{key} should be one of {of}; \"{given}\" is not")]
    NotAChoice {
        /// Which.
        key: &'static str,
        /// What was given.
        given: String,
        /// What it may be.
        of: String,
    },
    /// Outside the valid range.
    #[error("{key} should be between {low} and {high} {unit}; {value} was given")]
    OutOfRange {
        /// Which.
        key: &'static str,
        /// What was given.
        value: f64,
        /// Lowest accepted.
        low: f64,
        /// Highest accepted.
        high: f64,
        /// Unit.
        unit: String,
    },
    /// Inputs that do not go together, in a sentence.
    #[error("{0}")]
    Together(String),
}

/// The checked inputs of one call.
#[derive(Debug, Clone, PartialEq)]
pub struct Args(Vec<(&'static str, Value)>);

impl Args {
    fn find(&self, key: &str) -> Option<&Value> {
        self.0.iter().find(|(k, _)| *k == key).map(|(_, v)| v)
    }

    /// A number that the calculator declares as needed or defaulted.
    ///
    /// # Panics
    /// When the calculator does not declare it so: a fault of the calculator, found by any call in a test.
    pub fn number(&self, key: &str) -> f64 {
        self.maybe_number(key).unwrap_or_else(|| panic!("calculator reads undeclared number {key}"))
    }

    /// A number that may be left out.
    pub fn maybe_number(&self, key: &str) -> Option<f64> {
        match self.find(key) {
            Some(Value::Number(x)) => Some(*x),
            _ => None,
        }
    }

    /// A word.
    ///
    /// # Panics
    /// As [`Args::number`].
    pub fn text(&self, key: &str) -> &str {
        match self.find(key) {
            Some(Value::Text(t)) => t,
            _ => panic!("calculator reads undeclared word {key}"),
        }
    }

    /// A list.
    ///
    /// # Panics
    /// As [`Args::number`].
    pub fn list(&self, key: &str) -> &[f64] {
        match self.find(key) {
            Some(Value::List(l)) => l,
            _ => panic!("calculator reads undeclared list {key}"),
        }
    }

    /// All inputs as used, defaults included.
    pub fn used(&self) -> &[(&'static str, Value)] {
        &self.0
    }
}

/// What a calculator answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Outputs by key, in the order declared.
    pub out: Vec<(&'static str, Value)>,
    /// The steps.
    pub working: Working,
}

impl Outcome {
    /// An answer with its working.
    pub fn new(working: Working) -> Self {
        Self { out: Vec::new(), working }
    }

    /// Adds an output.
    #[must_use]
    pub fn with(mut self, key: &'static str, value: impl Into<Value>) -> Self {
        self.out.push((key, value.into()));
        self
    }

    /// An output.
    pub fn get(&self, key: &str) -> Option<&Value> {
        self.out.iter().find(|(k, _)| *k == key).map(|(_, v)| v)
    }
}

/// A model function offered as a calculator.
#[derive(Debug, Clone)]
pub struct Calculator {
    /// `topic.what`: `weather.et0_daily`.
    pub name: &'static str,
    /// In a few plain words.
    pub title: &'static str,
    /// What it answers, validity, caveats.
    pub about: &'static str,
    /// Inputs in order.
    pub inputs: Vec<Input>,
    /// Outputs in order.
    pub outputs: Vec<Output>,
    /// Where the equation comes from and how sure we are.
    pub source: &'static str,
    /// The function.
    pub run: fn(&Args) -> Result<Outcome, CalcError>,
}

impl Calculator {
    /// Checks `given` against the inputs and fills defaults.
    ///
    /// # Errors
    /// The first thing wrong, in a sentence.
    pub fn check(&self, given: &Map<String, Json>) -> Result<Args, CalcError> {
        if let Some(key) = given.keys().find(|k| !self.inputs.iter().any(|i| i.key == k.as_str())) {
            let known = self.inputs.iter().map(|i| i.key).collect::<Vec<_>>().join(", ");
            return Err(CalcError::UnknownKey { key: key.clone(), known });
        }
        let mut args = Vec::new();
        for input in &self.inputs {
            match given.get(input.key) {
                Some(json) if !json.is_null() => args.push((input.key, input.read(json)?)),
                _ => match &input.default {
                    Some(value) => args.push((input.key, value.clone())),
                    None if input.optional => {}
                    None => {
                        let unit = match input.unit() {
                            "" => String::new(),
                            u => format!(" [{u}]"),
                        };
                        return Err(CalcError::Missing { key: input.key, about: input.about, unit });
                    }
                },
            }
        }
        Ok(Args(args))
    }

    /// Checks and runs.
    ///
    /// # Errors
    /// As [`Calculator::check`], or what the function itself finds wrong.
    pub fn call(&self, given: &Map<String, Json>) -> Result<Outcome, CalcError> {
        let mut outcome = (self.run)(&self.check(given)?)?;
        // A working that names no source of its own rests on the calculator's.
        if outcome.working.sources.is_empty() {
            outcome.working.sources.push(self.source.into());
        }
        Ok(outcome)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn double() -> Calculator {
        Calculator {
            name: "test.double",
            title: "Double",
            about: "Twice a number.",
            inputs: vec![
                Input::number("x_mm", "mm", 0.0, 10.0, "a depth"),
                Input::choice("how", &["plain", "fancy"], "manner").or("plain"),
                Input::list("more", "mm", 0.0, 1.0, "more depths").optional(),
            ],
            outputs: vec![Output { key: "y_mm", unit: "mm", about: "twice it" }],
            source: "arithmetic",
            run: |a| Ok(Outcome::new(Working::new("Double")).with("y_mm", 2.0 * a.number("x_mm"))),
        }
    }

    fn call(given: Json) -> Result<Outcome, String> {
        double().call(given.as_object().unwrap()).map_err(|e| e.to_string())
    }

    #[test]
    fn says_what_is_wrong() {
        assert_eq!(call(json!({"x_mm": 3})).unwrap().get("y_mm"), Some(&Value::Number(6.0)));
        assert_eq!(call(json!({"x_mm": "3.5"})).unwrap().get("y_mm"), Some(&Value::Number(7.0)));
        assert_eq!(call(json!({})).unwrap_err(), "x_mm is missing: a depth [mm]");
        assert_eq!(
            call(json!({"x_mm": 11})).unwrap_err(),
            "x_mm should be between 0 and 10 mm; 11 was given"
        );
        assert_eq!(call(json!({"x_mm": "wet"})).unwrap_err(), "x_mm should be a number; \"wet\" is not one");
        assert_eq!(
            call(json!({"x": 1})).unwrap_err(),
            "\"x\" is not an input of this calculator; it takes x_mm, how, more"
        );
        assert_eq!(
            call(json!({"x_mm": 1, "how": "odd"})).unwrap_err(),
            "how should be one of plain, fancy; \"odd\" is not"
        );
        assert_eq!(
            call(json!({"x_mm": 1, "more": "0.2,7"})).unwrap_err(),
            "more should be between 0 and 1 mm; 7 was given"
        );
    }
}
