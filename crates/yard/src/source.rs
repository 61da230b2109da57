//! Where grain came from, as the key that lots carry.

use jiff::civil::Date;
use stook_book::FieldId;

/// Origin of grain.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// A field's crop of a harvest year.
    Field {
        /// Field.
        field: FieldId,
        /// Year of the harvest.
        year: i16,
    },
    /// Bought.
    Bought {
        /// From whom.
        from: String,
        /// Day it came.
        on: Date,
    },
    /// Grain the book has no entry for: there before the book began, or a load that was not written.
    NotWritten,
}

impl Source {
    /// As lots carry it.
    pub fn key(&self) -> String {
        match self {
            Self::Field { field, year } => format!("field:{year}:{field}"),
            Self::Bought { from, on } => format!("bought:{on}:{from}"),
            Self::NotWritten => "not-written".into(),
        }
    }

    /// From a key a lot carries.
    pub fn from_key(key: &str) -> Self {
        let mut parts = key.splitn(3, ':');
        match (parts.next(), parts.next(), parts.next()) {
            (Some("field"), Some(year), Some(field)) => match year.parse() {
                Ok(year) => Self::Field { field: FieldId::from(field), year },
                Err(_) => Self::NotWritten,
            },
            (Some("bought"), Some(on), Some(from)) => match on.parse() {
                Ok(on) => Self::Bought { from: from.into(), on },
                Err(_) => Self::NotWritten,
            },
            _ => Self::NotWritten,
        }
    }
}

/// Sources of a lot with their kilograms as they came in, the largest first.
pub fn sources(lot: &stook_grain::lot::Lot) -> Vec<(Source, f64)> {
    let mut all: Vec<(Source, f64)> =
        lot.sources().iter().filter(|s| s.1 > 1e-6).map(|(k, kg)| (Source::from_key(k), *kg)).collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_come_back() {
        for s in [
            Source::Field { field: "long-90".into(), year: 2025 },
            Source::Bought { from: "the neighbour: east".into(), on: jiff::civil::date(2026, 3, 1) },
            Source::NotWritten,
        ] {
            assert_eq!(Source::from_key(&s.key()), s);
        }
        assert_eq!(Source::from_key("field:x:y"), Source::NotWritten);
    }
}
