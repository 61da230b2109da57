//! Questions to the person, and the answers.

use std::collections::BTreeMap;

/// Something the file does not say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Key of the answer: `c3.unit` for a column, `date_order`, `depth_unit`, `field.<text>`, `unit.<element>`.
    pub key: String,
    /// In a sentence.
    pub sentence: String,
    /// What can be answered; empty when it is typed.
    pub choices: Vec<(String, String)>,
}

impl Question {
    /// One with choices.
    pub fn choose(key: impl Into<String>, sentence: impl Into<String>, choices: &[(&str, &str)]) -> Self {
        Self {
            key: key.into(),
            sentence: sentence.into(),
            choices: choices.iter().map(|(k, w)| ((*k).into(), (*w).into())).collect(),
        }
    }

    /// Whether it is about a column of the file, which is asked in the table of columns.
    pub fn of_column(&self) -> Option<usize> {
        self.key.strip_prefix('c')?.split_once('.')?.0.parse().ok()
    }
}

/// Answers by key.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Answers(pub BTreeMap<String, String>);

impl Answers {
    /// An answer, if it was given.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.0.get(key).map(|s| s.trim()).filter(|s| !s.is_empty())
    }

    /// With one more.
    #[must_use]
    pub fn with(mut self, key: &str, value: &str) -> Self {
        self.0.insert(key.into(), value.into());
        self
    }

    /// These over older ones.
    #[must_use]
    pub fn over(&self, older: Option<&BTreeMap<String, String>>) -> Self {
        let mut all = older.cloned().unwrap_or_default();
        all.extend(self.0.iter().map(|(k, v)| (k.clone(), v.clone())));
        Self(all)
    }
}
