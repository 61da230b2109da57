//! Coefficients as data: name, value, unit, source and how sure we are.
//!
//! The files in `reference/` are read once into a [`Reference`]. A farm can put its own number in place of any of
//! them ([`Reference::with_local`]); pages say when one is used.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// How sure we are of a coefficient.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sure {
    /// Printed in a source that was read.
    Published,
    /// Fitted to published data.
    Fitted,
    /// Habit of the trade without a source.
    CommonPractice,
    /// Remembered from a source that was not read again.
    FromMemory,
    /// A choice made for this project, bounded by the sources named.
    Judgement,
    /// The farm's own number.
    Local,
}

impl Sure {
    fn parse(text: &str) -> Option<Self> {
        Some(match text {
            "published" => Self::Published,
            "fitted" => Self::Fitted,
            "common practice" => Self::CommonPractice,
            "from memory" => Self::FromMemory,
            "judgement" => Self::Judgement,
            _ => return None,
        })
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Fitted => "fitted",
            Self::CommonPractice => "common practice",
            Self::FromMemory => "from memory",
            Self::Judgement => "our judgement",
            Self::Local => "your own number",
        }
    }
}

/// One coefficient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Coefficient {
    /// Dotted name, such as `crop.emergence.base_cd`.
    pub name: String,
    /// The value used.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// The lowest value that makes sense, if stated.
    pub low: Option<f64>,
    /// The highest value that makes sense, if stated.
    pub high: Option<f64>,
    /// How sure we are.
    pub sure: Sure,
    /// Where it comes from.
    pub source: String,
    /// What it is, in a line.
    pub note: String,
}

/// What can be wrong with a coefficient.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReferenceError {
    /// Not in the files.
    #[error("there is no coefficient named \"{0}\"; `stook reference` lists them")]
    Unknown(String),
    /// Outside its stated range.
    #[error("{name} must be between {low} and {high} {unit}; {value} was given")]
    OutOfRange {
        /// Which.
        name: String,
        /// What was given.
        value: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// Unit of all three.
        unit: String,
    },
    /// A line of a file that cannot be read.
    #[error("reference file {file}, line {line}: {why}")]
    File {
        /// File name.
        file: String,
        /// Line number from 1.
        line: usize,
        /// What is wrong.
        why: String,
    },
}

/// All coefficients by name.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    by_name: BTreeMap<String, Coefficient>,
}

const FILES: &[(&str, &str)] = &[
    ("weather.csv", include_str!("../../../reference/weather.csv")),
    ("soil.csv", include_str!("../../../reference/soil.csv")),
    ("crop.csv", include_str!("../../../reference/crop.csv")),
    ("harvest.csv", include_str!("../../../reference/harvest.csv")),
    ("grain.csv", include_str!("../../../reference/grain.csv")),
    ("barn.csv", include_str!("../../../reference/barn.csv")),
    ("feed.csv", include_str!("../../../reference/feed.csv")),
    ("fertility.csv", include_str!("../../../reference/fertility.csv")),
    ("spray.csv", include_str!("../../../reference/spray.csv")),
    ("season.csv", include_str!("../../../reference/season.csv")),
    ("inputs.csv", include_str!("../../../reference/inputs.csv")),
    ("order.csv", include_str!("../../../reference/order.csv")),
    ("keep.csv", include_str!("../../../reference/keep.csv")),
    ("money.csv", include_str!("../../../reference/money.csv")),
    ("yard.csv", include_str!("../../../reference/yard.csv")),
    ("taskdata.csv", include_str!("../../../reference/taskdata.csv")),
];

impl Reference {
    /// The coefficients shipped in `reference/`.
    ///
    /// # Panics
    /// When a shipped file is malformed; a test reads them all.
    pub fn shipped() -> Self {
        let mut by_name = BTreeMap::new();
        for (file, text) in FILES.iter().copied() {
            for c in parse(file, text).expect("shipped reference files are well formed") {
                let old = by_name.insert(c.name.clone(), c);
                assert!(old.is_none(), "coefficient named twice: {}", old.unwrap().name);
            }
        }
        Self { by_name }
    }

    /// The value of `name`.
    ///
    /// # Panics
    /// When there is none: names in code are fixed, and a test of each model reads all of its own.
    pub fn get(&self, name: &str) -> f64 {
        self.coefficient(name).unwrap_or_else(|| panic!("no coefficient named {name} in reference/")).value
    }

    /// The whole coefficient, if there is one.
    pub fn coefficient(&self, name: &str) -> Option<&Coefficient> {
        self.by_name.get(name)
    }

    /// All of them by name.
    pub fn all(&self) -> impl Iterator<Item = &Coefficient> {
        self.by_name.values()
    }

    /// The same reference with the farm's own number for `name`.
    ///
    /// # Errors
    /// When there is no such coefficient or the value is outside its stated range.
    pub fn with_local(mut self, name: &str, value: f64, why: &str) -> Result<Self, ReferenceError> {
        self.check_local(name, value)?;
        let c = self.by_name.get_mut(name).expect("checked just above");
        c.value = value;
        c.sure = Sure::Local;
        c.source = if why.is_empty() { "the farm's own number".into() } else { format!("the farm: {why}") };
        Ok(self)
    }

    /// Whether `value` may stand for `name`.
    ///
    /// # Errors
    /// As [`Reference::with_local`].
    pub fn check_local(&self, name: &str, value: f64) -> Result<(), ReferenceError> {
        let c = self.coefficient(name).ok_or_else(|| ReferenceError::Unknown(name.into()))?;
        let (low, high) = (c.low.unwrap_or(f64::NEG_INFINITY), c.high.unwrap_or(f64::INFINITY));
        if !value.is_finite() || value < low || value > high {
            return Err(ReferenceError::OutOfRange {
                name: name.into(),
                value,
                low,
                high,
                unit: c.unit.clone(),
            });
        }
        Ok(())
    }
}

/// Reads one file: a header, then `name,value,unit,low,high,sure,source,note`; quotes as in CSV.
fn parse(file: &str, text: &str) -> Result<Vec<Coefficient>, ReferenceError> {
    let mut out = Vec::new();
    for (i, line) in text.lines().enumerate().skip(1) {
        if line.trim().is_empty() {
            continue;
        }
        let wrong = |why: &str| ReferenceError::File { file: file.into(), line: i + 1, why: why.into() };
        let cells = split_csv(line);
        let [name, value, unit, low, high, sure, source, note] = cells.as_slice() else {
            return Err(wrong("expected 8 cells"));
        };
        let number = |t: &str| t.parse::<f64>().map_err(|_| wrong(&format!("\"{t}\" is not a number")));
        let optional = |t: &str| if t.is_empty() { Ok(None) } else { number(t).map(Some) };
        out.push(Coefficient {
            name: name.clone(),
            value: number(value)?,
            unit: unit.clone(),
            low: optional(low)?,
            high: optional(high)?,
            sure: Sure::parse(sure).ok_or_else(|| wrong(&format!("\"{sure}\" is no degree of sureness")))?,
            source: source.clone(),
            note: note.clone(),
        });
    }
    Ok(out)
}

fn split_csv(line: &str) -> Vec<String> {
    let (mut cells, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => cell.push(chars.next().unwrap_or('"')),
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    cells.push(cell);
    cells
}

impl Reference {
    /// Coefficients under `prefix` that make no difference to what `read` makes of them: a farm would set its own
    /// number there to no effect. Those with a single possible value cannot be tried. For the tests of parameters.
    ///
    /// # Panics
    /// When a coefficient refuses a value within its own range.
    pub fn unread<P: PartialEq>(&self, prefix: &str, read: impl Fn(&Self) -> P) -> Vec<String> {
        let base = read(self);
        let made_no_difference = |c: &&Coefficient| {
            let other = [c.low, c.high].into_iter().flatten().find(|x| (x - c.value).abs() > 1e-9);
            other.is_some_and(|x| {
                let changed = self.clone().with_local(&c.name, x, "").expect("a value in its own range");
                read(&changed) == base
            })
        };
        let of_prefix = self.all().filter(|c| c.name.starts_with(prefix));
        of_prefix.filter(made_no_difference).map(|c| c.name.clone()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shipped_files_are_sound() {
        for c in Reference::shipped().all() {
            assert!(!c.source.is_empty(), "{} has no source", c.name);
            assert!(!c.unit.is_empty(), "{} has no unit (write 1 for a ratio)", c.name);
            assert!(c.low.is_none_or(|l| l <= c.value) && c.high.is_none_or(|h| c.value <= h), "{}", c.name);
        }
    }

    #[test]
    fn a_bad_line_is_named() {
        let e = parse("x.csv", "head\na,1,mm,,,guess,s,n").unwrap_err();
        assert_eq!(e.to_string(), "reference file x.csv, line 2: \"guess\" is no degree of sureness");
        let ok = parse("x.csv", "head\na,1,mm,0,2,judgement,\"one, \"\"two\"\"\",n").unwrap();
        assert_eq!(ok[0].source, "one, \"two\"");
    }
}
