//! Rules of law as dated, editable data. Examples only: the local law and its current text decide, always.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::table;

const TIERS: &str = include_str!("../../../../reference/fertility-manure-phosphorus-tiers.csv");
const SETBACKS: &str = include_str!("../../../../reference/fertility-manure-setbacks.csv");
const CLOSED: &str = include_str!("../../../../reference/fertility-manure-closed-days.csv");

/// The sentence that goes with everything here.
pub const CHECK_LOCAL_LAW: &str =
    "This is an example of a rule as it was summarized; check the local law and its current text.";

/// How much phosphate a soil test allows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tier {
    /// Rule.
    pub rule: String,
    /// From this Olsen phosphorus on, ppm in the top 15 cm.
    pub from_ppm: f64,
    /// Below this; none for all above.
    pub below_ppm: Option<f64>,
    /// Times the crop's removal; none for no limit.
    pub times_removal: Option<f64>,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// In words.
    pub note: String,
}

impl Tier {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<Tier>> =
            LazyLock::new(|| table::shipped("fertility-manure-phosphorus-tiers.csv", TIERS));
        &ALL
    }

    /// The tier of a rule that holds a test.
    pub fn of<'a>(tiers: &'a [Self], rule: &str, olsen_ppm: f64) -> Option<&'a Self> {
        tiers
            .iter()
            .find(|t| t.rule == rule && t.from_ppm <= olsen_ppm && t.below_ppm.is_none_or(|b| olsen_ppm < b))
    }

    /// Most phosphate, kg/ha, for a removal of `removal_kg_ha`, with `years` of a rotation put on at once where the
    /// rule lets that (1 for the ordinary case). `None` for no limit.
    pub fn p2o5_max_kg_ha(&self, removal_kg_ha: f64, years: f64) -> Option<f64> {
        self.times_removal.map(|t| t * removal_kg_ha * years)
    }
}

/// A distance to keep.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Setback {
    /// Rule.
    pub rule: String,
    /// From what, and how spread.
    pub what: String,
    /// From this slope on, %.
    pub from_slope_pct: Option<f64>,
    /// Below this slope, %.
    pub below_slope_pct: Option<f64>,
    /// Distance, m; none means do not spread.
    pub setback_m: Option<f64>,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

impl Setback {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<Setback>> =
            LazyLock::new(|| table::shipped("fertility-manure-setbacks.csv", SETBACKS));
        &ALL
    }

    /// The rows of a rule that hold for a slope, %.
    pub fn for_slope<'a>(rows: &'a [Self], rule: &str, slope_pct: f64) -> Vec<&'a Self> {
        rows.iter()
            .filter(|s| s.rule == rule)
            .filter(|s| s.from_slope_pct.is_none_or(|f| f <= slope_pct))
            .filter(|s| s.below_slope_pct.is_none_or(|b| slope_pct < b))
            .collect()
    }
}

/// Days of the year when something is not allowed, first and last inclusive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClosedDays {
    /// Rule.
    pub rule: String,
    /// First month.
    pub from_month: u8,
    /// First day.
    pub from_day: u8,
    /// Last month.
    pub to_month: u8,
    /// Last day.
    pub to_day: u8,
    /// What is not allowed.
    pub what: String,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
}

impl ClosedDays {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<ClosedDays>> =
            LazyLock::new(|| table::shipped("fertility-manure-closed-days.csv", CLOSED));
        &ALL
    }

    /// Whether a day lies in it, across the turn of the year too.
    pub fn holds(&self, month: u8, day: u8) -> bool {
        let (d, from, to) = ((month, day), (self.from_month, self.from_day), (self.to_month, self.to_day));
        if from <= to { from <= d && d <= to } else { d >= from || d <= to }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiers_meet_without_gap_or_overlap() {
        for i in 0..400 {
            let ppm = f64::from(i) * 0.7;
            let n = Tier::shipped()
                .iter()
                .filter(|t| t.from_ppm <= ppm && t.below_ppm.is_none_or(|b| ppm < b))
                .count();
            assert_eq!(n, 1, "{ppm}");
        }
        let at = |ppm| Tier::of(Tier::shipped(), "manitoba_pigs", ppm).unwrap().p2o5_max_kg_ha(30.0, 1.0);
        assert_eq!([at(59.9), at(60.0), at(120.0), at(180.0)], [None, Some(60.0), Some(30.0), Some(0.0)]);
    }

    #[test]
    fn winter_is_closed_across_the_new_year() {
        let w = &ClosedDays::shipped()[0];
        for (m, d, closed) in [(11, 9, false), (11, 10, true), (1, 1, true), (4, 10, true), (4, 11, false)] {
            assert_eq!(w.holds(m, d), closed, "{m}-{d}");
        }
    }

    #[test]
    fn steep_land_is_not_spread() {
        let s = Setback::for_slope(Setback::shipped(), "alberta", 13.0);
        assert!(s.iter().any(|s| s.setback_m.is_none() && s.note == "do not spread"));
        let gentle = Setback::for_slope(Setback::shipped(), "alberta", 5.0);
        assert!(gentle.iter().all(|s| s.setback_m.is_some()));
        assert!(gentle.iter().any(|s| s.setback_m == Some(60.0)));
    }
}
