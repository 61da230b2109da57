//! What a file leaves open, and the answers.

use std::collections::BTreeMap;

use super::unit::{Dimension, Unit};

/// Something the file does not say.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Question {
    /// Key to answer under.
    pub key: String,
    /// The question.
    pub sentence: String,
    /// The answers to choose from.
    pub choices: Vec<Choice>,
}

/// One answer to choose.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Choice {
    /// What to answer.
    pub key: String,
    /// In words.
    pub words: String,
}

/// Answers by the question's key.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Answers(pub BTreeMap<String, String>);

impl Answers {
    /// Adds an answer.
    #[must_use]
    pub fn with(mut self, key: &str, answer: &str) -> Self {
        self.0.insert(key.into(), answer.into());
        self
    }

    pub(super) fn get(&self, key: &str) -> Option<&str> {
        self.0.get(key).map(|s| s.trim())
    }

    pub(super) fn unit(&self, dimension: Dimension) -> Option<Unit> {
        let answer = self.get(dimension.key())?;
        dimension.units().iter().copied().find(|u| u.key().eq_ignore_ascii_case(answer))
    }
}

impl Question {
    pub(super) fn new(key: &str, sentence: impl Into<String>, choices: &[(&str, &str)]) -> Self {
        let choices = choices.iter().map(|(k, w)| Choice { key: (*k).into(), words: (*w).into() }).collect();
        Self { key: key.into(), sentence: sentence.into(), choices }
    }

    /// "In what unit is ...?" for the columns of one kind.
    pub(super) fn unit(dimension: Dimension, headings: &[&str]) -> Self {
        let keys: Vec<(&str, &str)> = dimension.units().iter().map(|u| (u.key(), u.key())).collect();
        let (is, columns) = if headings.len() == 1 { ("is", "column") } else { ("are", "columns") };
        Self::new(dimension.key(), format!("In what unit {is} the {columns} {}?", headings.join(", ")), &keys)
    }
}
