//! Moisture classes of the trade (Canada): straight, tough, damp, moist, wet. Not limits of safe storage.

use serde::Deserialize;

const CLASSES: &str = include_str!("../../../reference/grain-moisture-classes.csv");

/// A moisture class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MoistureClass {
    /// No word added to the grade.
    Straight,
    /// Tough.
    Tough,
    /// Damp.
    Damp,
    /// Moist.
    Moist,
    /// Wet.
    Wet,
}

impl MoistureClass {
    /// The word added to the grade name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Straight => "straight",
            Self::Tough => "tough",
            Self::Damp => "damp",
            Self::Moist => "moist",
            Self::Wet => "wet",
        }
    }
}

/// The limits of one grain.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct ClassLimits {
    /// Grain key: `CWRS`, `barley_malting`.
    pub grain: String,
    from: String,
    until: String,
    /// Straight up to, % wet basis.
    pub straight_to: f64,
    /// Tough up to.
    pub tough_to: f64,
    /// Damp up to; no end where empty.
    pub damp_to: Option<f64>,
    /// Moist up to.
    pub moist_to: Option<f64>,
    /// Source.
    pub source: String,
}

/// Keys of the grains with classes.
pub const CLASS_KEYS: [&str; 14] = [
    "CWRS",
    "CWAD",
    "wheat_CW",
    "barley_general_purpose",
    "barley_malting",
    "oats_CW",
    "rye_CW",
    "triticale_CW",
    "canola",
    "flax_CW",
    "peas",
    "faba",
    "soybean",
    "corn_CW",
];

impl ClassLimits {
    /// The shipped limits, all grains and dates.
    ///
    /// # Panics
    /// When the shipped file is malformed; a test reads it.
    pub fn shipped() -> Vec<Self> {
        csv::Reader::from_reader(CLASSES.as_bytes())
            .deserialize()
            .collect::<Result<_, _>>()
            .expect("the shipped moisture classes are well formed")
    }

    /// The limits of a grain on a date: the latest in force, or the earliest known for an older date.
    pub fn on<'a>(all: &'a [Self], grain: &str, date: &str) -> Option<&'a Self> {
        let of = || all.iter().filter(|c| c.grain == grain);
        of().filter(|c| c.from.as_str() <= date && (c.until.is_empty() || date < c.until.as_str()))
            .max_by(|a, b| a.from.cmp(&b.from))
            .or_else(|| of().min_by(|a, b| a.from.cmp(&b.from)))
    }

    /// Class of a moisture, reported to 0.1 first.
    pub fn class(&self, moisture_pct: f64) -> MoistureClass {
        let m = (moisture_pct * 10.0).round() / 10.0;
        if m <= self.straight_to {
            MoistureClass::Straight
        } else if m <= self.tough_to {
            MoistureClass::Tough
        } else if self.damp_to.is_none_or(|to| m <= to) {
            MoistureClass::Damp
        } else if self.moist_to.is_none_or(|to| m <= to) {
            MoistureClass::Moist
        } else {
            MoistureClass::Wet
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_has_limits_in_order() {
        let all = ClassLimits::shipped();
        for key in CLASS_KEYS {
            let c = ClassLimits::on(&all, key, "2026-08-20").unwrap();
            let mut last = MoistureClass::Straight;
            for tenth in 80..300 {
                let now = c.class(f64::from(tenth) / 10.0);
                assert!(now >= last, "{key}");
                last = now;
            }
        }
        assert_eq!(all.len(), CLASS_KEYS.len());
    }
}
