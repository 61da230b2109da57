//! How far a sample can be trusted: cores, age, warmth, depth.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::{acre_to_ha, ha_to_acre};

/// Coefficients `fertility.soil.*` of sampling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct QualityParams {
    /// Fewest cores.
    pub cores_min: f64,
    /// Fewest cores where fertilizer was banded.
    pub cores_min_banded: f64,
    /// Largest level land in one composite, ha.
    pub level_max_ha: f64,
    /// Largest rolling land in one composite, ha.
    pub rolling_max_ha: f64,
    /// A phosphorus or potassium test is old after, days.
    pub old_days: f64,
    /// A nitrate test is old after, days.
    pub old_nitrate_days: f64,
    /// Soil warmer than this goes on forming nitrate, C.
    pub warm_c: f64,
}

impl QualityParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("fertility.soil.{what}"));
        Self {
            cores_min: get("cores_min"),
            cores_min_banded: get("cores_min_banded"),
            level_max_ha: acre_to_ha(get("acres_max_level")),
            rolling_max_ha: acre_to_ha(get("acres_max_rolling")),
            old_days: get("old_days"),
            old_nitrate_days: get("old_nitrate_days"),
            warm_c: get("warm_c"),
        }
    }
}

/// How a field was sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Strategy {
    /// One bag for the field.
    Composite,
    /// One bag a zone.
    Zone,
    /// One spot, visited again each year.
    Benchmark,
    /// A grid of points.
    Grid,
}

/// When a field was sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Season {
    /// After harvest.
    Fall,
    /// Before seeding.
    Spring,
}

/// What is known of a sample. `None` is not known, and is not held against it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Sample {
    /// How.
    pub strategy: Strategy,
    /// Cores in the bag.
    pub cores: Option<u32>,
    /// Fertilizer was banded before.
    pub banded: bool,
    /// Land in the bag, ha.
    pub area_ha: Option<f64>,
    /// The land rolls.
    pub rolling: bool,
    /// Days since it was taken.
    pub age_days: f64,
    /// A crop was taken since.
    pub crop_since: bool,
    /// When it was taken.
    pub season: Season,
    /// Soil at 10 cm when it was taken, C.
    pub soil_c: Option<f64>,
    /// Deepest limit of the nitrate layers, cm.
    pub nitrate_to_cm: Option<f64>,
}

/// What is not well with a sample.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum Warning {
    /// Too few cores.
    FewCores {
        /// In the bag.
        cores: u32,
        /// Wanted.
        wanted: f64,
    },
    /// Too much land in one bag.
    TooMuchLand {
        /// Land, ha.
        area_ha: f64,
        /// Most, ha.
        most_ha: f64,
    },
    /// Old for phosphorus and potassium.
    Old {
        /// Age, days.
        days: f64,
    },
    /// Old for nitrate.
    NitrateOld {
        /// Age, days.
        days: f64,
    },
    /// Taken from warm soil in fall.
    Warm {
        /// Soil, C.
        soil_c: f64,
    },
    /// Nitrate not sampled to two feet.
    Shallow {
        /// To, cm.
        to_cm: f64,
    },
    /// Dated after today.
    FromTheFuture,
}

impl Warning {
    /// In a sentence.
    pub fn sentence(self) -> String {
        match self {
            Self::FewCores { cores, wanted } => format!(
                "Only {cores} cores in the bag; under {wanted:.0} one odd core moves the figure. Take more next time."
            ),
            Self::TooMuchLand { area_ha, most_ha } => format!(
                "One bag stands for {:.0} acres; {:.0} is the most that is advised. Sample zones apart.",
                ha_to_acre(area_ha),
                ha_to_acre(most_ha)
            ),
            Self::Old { days } => {
                format!(
                    "The test is {:.1} years old; phosphorus and potassium want one within three.",
                    days / 365.25
                )
            }
            Self::NitrateOld { days } => format!(
                "The nitrate is {days:.0} days old or a crop was taken since; it says little of what is there now."
            ),
            Self::Warm { soil_c } => format!(
                "The soil was at {soil_c:.0} C; nitrate goes on forming, so spring may hold more than the sheet says."
            ),
            Self::Shallow { to_cm } => format!(
                "Nitrate was sampled to {to_cm:.0} cm and not to 60; the rest of the profile is not known and not guessed."
            ),
            Self::FromTheFuture => "The sample is dated after today; check the date on the sheet.".into(),
        }
    }
}

/// All that is not well.
pub fn warnings(s: &Sample, p: &QualityParams) -> Vec<Warning> {
    let mut found = vec![];
    if s.age_days < 0.0 {
        found.push(Warning::FromTheFuture);
    }
    let wanted = if s.banded { p.cores_min_banded } else { p.cores_min };
    if let Some(cores) = s.cores.filter(|c| f64::from(*c) < wanted && s.strategy != Strategy::Grid) {
        found.push(Warning::FewCores { cores, wanted });
    }
    let most_ha = if s.rolling { p.rolling_max_ha } else { p.level_max_ha };
    if let Some(area_ha) = s.area_ha.filter(|a| *a > most_ha && s.strategy == Strategy::Composite) {
        found.push(Warning::TooMuchLand { area_ha, most_ha });
    }
    if s.age_days > p.old_days {
        found.push(Warning::Old { days: s.age_days });
    }
    if s.crop_since || s.age_days > p.old_nitrate_days {
        found.push(Warning::NitrateOld { days: s.age_days });
    }
    if let Some(soil_c) = s.soil_c.filter(|t| *t > p.warm_c && s.season == Season::Fall) {
        found.push(Warning::Warm { soil_c });
    }
    if let Some(to_cm) = s.nitrate_to_cm.filter(|d| *d < 58.5) {
        found.push(Warning::Shallow { to_cm });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: Sample = Sample {
        strategy: Strategy::Zone,
        cores: Some(20),
        banded: false,
        area_ha: Some(30.0),
        rolling: false,
        age_days: 150.0,
        crop_since: false,
        season: Season::Fall,
        soil_c: Some(5.0),
        nitrate_to_cm: Some(60.0),
    };

    #[test]
    fn each_fault_is_found_alone() {
        let p = crate::FertilityParams::shipped().quality;
        assert!(warnings(&GOOD, &p).is_empty());
        let only = |s: Sample| {
            let w = warnings(&s, &p);
            assert_eq!(w.len(), 1, "{w:?}");
            w[0]
        };
        let few = only(Sample { cores: Some(14), ..GOOD });
        assert_eq!(few, Warning::FewCores { cores: 14, wanted: 15.0 });
        assert!(matches!(only(Sample { banded: true, ..GOOD }), Warning::FewCores { .. }));
        let land = only(Sample { strategy: Strategy::Composite, ..GOOD });
        assert!(land.sentence().contains("74 acres"), "{}", land.sentence());
        assert!(matches!(only(Sample { crop_since: true, ..GOOD }), Warning::NitrateOld { .. }));
        assert!(matches!(only(Sample { soil_c: Some(14.0), ..GOOD }), Warning::Warm { .. }));
        assert!(matches!(only(Sample { nitrate_to_cm: Some(30.0), ..GOOD }), Warning::Shallow { .. }));
        assert_eq!(only(Sample { age_days: -3.0, ..GOOD }), Warning::FromTheFuture);
        assert_eq!(warnings(&Sample { age_days: 1200.0, ..GOOD }, &p).len(), 2);
        assert!(warnings(&Sample { soil_c: Some(14.0), season: Season::Spring, ..GOOD }, &p).is_empty());
    }
}
