//! The working of a result: how a number came about, line by line, as one would reckon it by hand.

use serde::{Deserialize, Serialize};

use crate::number::{Decimals, figure};

/// What a line does to the running figure above it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Op {
    /// Stated, not part of the reckoning: an input or an intermediate shown for information.
    Note,
    /// Starts a new running figure.
    Start,
    /// Added to the running figure.
    Plus,
    /// Taken from it.
    Minus,
    /// Multiplies it.
    Times,
    /// Divides it.
    Over,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Term {
    /// What it is, in words.
    pub label: String,
    /// What it does.
    pub op: Op,
    /// Its value.
    pub value: f64,
    /// Unit, empty for a ratio or for money.
    pub unit: String,
    /// Places shown.
    pub decimals: Decimals,
}

impl Term {
    /// The figure as shown, with its sign of operation and unit.
    pub fn shown(&self) -> String {
        let sign = match self.op {
            Op::Note | Op::Start => "",
            Op::Plus => "+ ",
            Op::Minus => "- ",
            Op::Times => "x ",
            Op::Over => "/ ",
        };
        let space = if self.unit.is_empty() { "" } else { " " };
        format!("{sign}{}{space}{}", figure(self.value, self.decimals), self.unit)
    }

    /// The value as a person copying the line would type it.
    fn rounded(&self) -> f64 {
        let scale = 10f64.powi(i32::from(self.decimals));
        (self.value * scale).round() / scale
    }
}

/// The working of one result.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Working {
    /// What is reckoned.
    pub title: String,
    /// The lines.
    pub terms: Vec<Term>,
    /// The line under the double rule.
    pub sum: Option<Term>,
    /// How it was done: the policy, what is counted and what is not.
    pub notes: Vec<String>,
    /// Where the figures come from and how sure they are.
    pub sources: Vec<String>,
    /// What would change the result.
    pub would_change: Vec<String>,
}

impl Working {
    /// An empty working.
    pub fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), ..Self::default() }
    }

    /// Adds a line.
    #[must_use]
    pub fn line(
        mut self,
        op: Op,
        label: impl Into<String>,
        value: f64,
        unit: impl Into<String>,
        decimals: Decimals,
    ) -> Self {
        self.terms.push(Term { label: label.into(), op, value, unit: unit.into(), decimals });
        self
    }

    /// Sets the sum.
    #[must_use]
    pub fn sum(
        mut self,
        label: impl Into<String>,
        value: f64,
        unit: impl Into<String>,
        decimals: Decimals,
    ) -> Self {
        self.sum = Some(Term { label: label.into(), op: Op::Start, value, unit: unit.into(), decimals });
        self
    }

    /// Adds a note.
    #[must_use]
    pub fn note(mut self, text: impl Into<String>) -> Self {
        self.notes.push(text.into());
        self
    }

    /// Adds a source.
    #[must_use]
    pub fn source(mut self, text: impl Into<String>) -> Self {
        self.sources.push(text.into());
        self
    }

    /// Adds something that would change the result.
    #[must_use]
    pub fn would_change(mut self, text: impl Into<String>) -> Self {
        self.would_change.push(text.into());
        self
    }

    /// What a person gets by working the lines as printed; `None` when no line starts a figure.
    pub fn by_hand(&self) -> Option<f64> {
        let mut figure = None;
        for t in &self.terms {
            figure = match (t.op, figure) {
                (Op::Note, f) => f,
                (Op::Start, _) => Some(t.rounded()),
                (Op::Plus, f) => Some(f.unwrap_or(0.0) + t.rounded()),
                (Op::Minus, f) => Some(f.unwrap_or(0.0) - t.rounded()),
                (Op::Times, f) => f.map(|f| f * t.rounded()),
                (Op::Over, f) => f.map(|f| f / t.rounded()),
            };
        }
        figure
    }

    /// Whether the printed lines give the printed sum within `tolerance` (in units of the sum).
    /// A working without a running figure or without a sum is trivially true.
    pub fn adds_up(&self, tolerance: f64) -> bool {
        match (self.by_hand(), &self.sum) {
            (Some(by_hand), Some(sum)) => (by_hand - sum.rounded()).abs() <= tolerance,
            _ => true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pencil_gets_the_same_figure() {
        let w = Working::new("Seed needed")
            .line(Op::Note, "Field", 160.0, "ac", 0)
            .line(Op::Start, "Rate", 110.0, "lb/ac", 0)
            .line(Op::Times, "Area", 160.0, "ac", 0)
            .line(Op::Minus, "Left in the tank", 600.0, "lb", 0)
            .sum("Seed", 17_000.0, "lb", 0);
        assert_eq!(w.by_hand(), Some(17_000.0));
        assert!(w.adds_up(0.5));
        assert_eq!(w.terms[2].shown(), "x 160 ac");
        assert!(!w.sum("Seed", 17_100.0, "lb", 0).adds_up(0.5));
    }
}
