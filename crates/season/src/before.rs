//! The book as it stood the evening before, so that "what moved" can tell news from hindsight.

use jiff::civil::Date;
use stook_book::{Body, Entry, Farm, FieldId};

/// What was known the evening before, and what has been written since.
#[derive(Debug, Clone, PartialEq)]
pub struct Before {
    /// The fold of the entries written by then.
    pub farm: Farm,
    /// Written since: the field each is about, if one, and its kind in words.
    pub written: Vec<(Option<FieldId>, &'static str)>,
}

impl Before {
    /// The evening before `as_of` by the farm's clock.
    pub fn evening(entries: &[Entry], farm: &Farm, as_of: Date) -> Self {
        let midnight = farm.time_zone().to_timestamp(as_of.at(0, 0, 0, 0)).unwrap_or_default();
        let written = entries
            .iter()
            .filter(|e| e.written >= midnight && e.on() <= as_of)
            .filter_map(|e| match &e.body {
                Body::Known(payload) => Some((payload.field().cloned(), payload.title())),
                Body::Unknown { .. } => None,
            })
            .collect();
        Self { farm: Farm::fold(entries.iter().filter(|e| e.written < midnight)), written }
    }

    /// Kinds of entry about a field, or about the whole farm, written since; each named once.
    pub fn written_about(&self, field: &str) -> Vec<&'static str> {
        let mut kinds: Vec<&'static str> = Vec::new();
        for (about, kind) in &self.written {
            let counts = about.as_ref().is_none_or(|f| f.as_str() == field);
            if counts && !kinds.contains(kind) {
                kinds.push(kind);
            }
        }
        kinds
    }
}
