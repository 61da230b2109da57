//! Counts of insects against published thresholds, and the evenings of wheat midge.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::M2_PER_ACRE;

use crate::phase::Phase;

/// A published threshold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Threshold {
    /// Which insect, by its key.
    pub insect: String,
    /// From this stage, in words.
    pub from_stage: String,
    /// To this stage, in words.
    pub to_stage: String,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Of what: `per_m2`, `per_stem`, `per_head`.
    pub unit: String,
    /// What is protected.
    #[serde(rename = "for")]
    pub what_for: String,
    /// How sure.
    pub sure: String,
    /// Where from.
    pub source: String,
    /// More.
    pub note: String,
}

/// Where a count stands against one threshold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// Not at this stage.
    NotNow,
    /// Below.
    Below,
    /// Between the low and the high end.
    At,
    /// Above.
    Above,
}

impl Against {
    /// In words.
    pub fn words(self) -> &'static str {
        ["not at this stage", "below", "at the threshold", "above"][self as usize]
    }
}

/// All thresholds, in the order of the table.
pub fn thresholds() -> &'static [Threshold] {
    static TABLE: LazyLock<Vec<Threshold>> = LazyLock::new(|| {
        csv::Reader::from_reader(include_str!("../../../reference/crop-insect-thresholds.csv").as_bytes())
            .deserialize()
            .collect::<Result<_, _>>()
            .expect("the shipped table is well formed")
    });
    &TABLE
}

impl Threshold {
    fn stage(word: &str) -> Phase {
        match word {
            "seedling" => Phase::Seedling,
            "jointing" => Phase::Jointing,
            "flag leaf" => Phase::FlagLeaf,
            "heading" => Phase::Heading,
            "flowering" => Phase::Flowering,
            "soft dough" => Phase::SoftDough,
            _ => Phase::HardDough,
        }
    }

    /// Whether it applies at a stage.
    pub fn is_now(&self, phase: Phase) -> bool {
        (Self::stage(&self.from_stage)..=Self::stage(&self.to_stage)).contains(&phase)
    }

    /// Where a count in the threshold's unit stands at a stage.
    pub fn against(&self, count: f64, phase: Phase) -> Against {
        match count {
            _ if !self.is_now(phase) => Against::NotNow,
            x if x < self.low => Against::Below,
            x if x <= self.high => Against::At,
            _ => Against::Above,
        }
    }
}

/// The thresholds to hold a count against: the insect's own, and for cutworms those of every kind, since sources
/// write of different ones.
pub fn for_insect(key: &str) -> Vec<&'static Threshold> {
    let cutworm = key.contains("cutworm");
    let mut all: Vec<_> = thresholds()
        .iter()
        .filter(|t| t.insect == key || (cutworm && t.insect.contains("cutworm")))
        .collect();
    all.sort_by_key(|t| t.insect != key);
    all
}

/// A count in the table's unit: from a square foot to a square metre; others as they are.
pub fn in_table_unit(count: f64, per_ft2: bool) -> f64 {
    const FT2_PER_ACRE: f64 = 43_560.0;
    if per_ft2 { count * FT2_PER_ACRE / M2_PER_ACRE } else { count }
}

/// Coefficients `crop.midge.*` and `crop.heat.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ScoutParams {
    /// Base of midge degree-days, C.
    pub midge_base_c: f64,
    /// Degree-days at which a tenth, half and nine tenths of the females are out, C d.
    pub midge_out_cd: [f64; 3],
    /// First day of the year they are summed from.
    pub midge_from_doy: f64,
    /// Coolest evening midges fly, C.
    pub midge_evening_c: f64,
    /// Windiest evening, m/s at 2 m.
    pub midge_wind_ms: f64,
    /// Share of yield at stake.
    pub midge_loss: f64,
    /// Daily high from which heat hurts at flowering and in early fill, C.
    pub heat_from_c: f64,
    /// Share of yield lost on each such day.
    pub heat_loss_per_day: f64,
}

impl ScoutParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            midge_base_c: r.get("crop.midge.base_c"),
            midge_out_cd: ["10", "50", "90"].map(|s| r.get(&format!("crop.midge.out_{s}_cd"))),
            midge_from_doy: r.get("crop.midge.from_day"),
            midge_evening_c: r.get("crop.midge.evening_c"),
            midge_wind_ms: r.get("crop.midge.evening_wind_kmh") / 3.6,
            midge_loss: r.get("crop.midge.loss_share"),
            heat_from_c: r.get("crop.heat.from_c"),
            heat_loss_per_day: r.get("crop.heat.loss_per_day"),
        }
    }

    /// Midge degree-days of a day, C d: the mean over the base.
    pub fn midge_day_cd(&self, tmax_c: f64, tmin_c: f64) -> f64 {
        (0.5 * (tmax_c + tmin_c) - self.midge_base_c).max(0.0)
    }

    /// Share of the females out at a sum of degree-days: straight lines between the published points, from a tenth
    /// the same slope down to none and up to all.
    pub fn midge_out(&self, sum_cd: f64) -> f64 {
        let [a, b, c] = self.midge_out_cd;
        let along = |x0: f64, y0: f64, x1: f64, y1: f64| y0 + (sum_cd - x0) / (x1 - x0) * (y1 - y0);
        if sum_cd < b { along(a, 0.1, b, 0.5) } else { along(b, 0.5, c, 0.9) }.clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn both_sources_are_shown_for_cutworms() {
        let rows = for_insect("pale_western_cutworm");
        assert_eq!(rows.len(), 3);
        assert_eq!((rows[0].low, rows[0].high), (3.0, 4.0));
        // Five a square metre: above one source's, far below the other's.
        assert_eq!(rows[0].against(5.0, Phase::Seedling), Against::Above);
        assert!(
            rows.iter()
                .any(|r| r.insect == "army_cutworm" && r.against(5.0, Phase::Seedling) == Against::Below)
        );
        assert!((in_table_unit(4.0, true) - 43.06).abs() < 0.01);
        assert_eq!(rows[0].against(9.0, Phase::Flowering), Against::NotNow);
    }

    #[test]
    fn midge_by_head_has_two_thresholds() {
        let rows = for_insect("midge");
        let at = |x: f64| rows.iter().map(|r| r.against(x, Phase::Heading)).collect::<Vec<_>>();
        assert_eq!(at(0.15), [Against::Below, Against::Above]);
        assert_eq!(at(0.3), [Against::Above, Against::Above]);
    }

    #[test]
    fn midge_days_by_hand() {
        let p = crate::CropParams::shipped().scout;
        // 1300 F-days over 40 F are 722.2 C-days over 4.44 C.
        assert!((p.midge_out(722.2) - 0.1).abs() < 1e-3 && (p.midge_out(819.4) - 0.5).abs() < 1e-3);
        assert!((p.midge_out(888.9) - 0.9).abs() < 1e-3);
        assert!((p.midge_day_cd(25.0, 11.0) - (18.0 - 4.4444)).abs() < 1e-3);
    }

    proptest! {
        #[test]
        fn more_heat_never_fewer_out(sum in 0.0..1500.0f64, more in 0.0..200.0f64) {
            let p = crate::CropParams::shipped().scout;
            let (a, b) = (p.midge_out(sum), p.midge_out(sum + more));
            prop_assert!((0.0..=1.0).contains(&a) && b >= a);
        }
    }
}
