//! Frost on a growing crop.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

use crate::phase::Phase;

/// One stage's response: 5 % of the most at `from_c`, half of it `half_below_c` lower.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FrostStage {
    /// Loss begins, C.
    pub from_c: f64,
    /// Half of the most is lost this much lower, C.
    pub half_below_c: f64,
    /// The most that can be lost.
    pub most: f64,
}

/// Coefficients `crop.frost.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FrostParams {
    /// Up to jointing.
    pub seedling: FrostStage,
    /// Jointing and flag leaf.
    pub jointing: FrostStage,
    /// Boot.
    pub boot: FrostStage,
    /// Heading and flowering.
    pub heading: FrostStage,
    /// Kernels set to milk.
    pub milk: FrostStage,
    /// Dough.
    pub dough: FrostStage,
}

impl FrostParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let stage = |name: &str| FrostStage {
            from_c: r.get(&format!("crop.frost.{name}_from_c")),
            half_below_c: r.get(&format!("crop.frost.{name}_half_below_c")),
            most: r.get(&format!("crop.frost.{name}_most")),
        };
        Self {
            seedling: stage("seedling"),
            jointing: stage("jointing"),
            boot: stage("boot"),
            heading: stage("heading"),
            milk: stage("milk"),
            dough: stage("dough"),
        }
    }

    fn at(&self, phase: Phase) -> Option<&FrostStage> {
        Some(match phase {
            Phase::Seedling | Phase::Tillering => &self.seedling,
            Phase::Jointing | Phase::FlagLeaf => &self.jointing,
            Phase::Boot => &self.boot,
            Phase::Heading | Phase::Flowering => &self.heading,
            Phase::Set | Phase::Milk => &self.milk,
            Phase::SoftDough => &self.dough,
            Phase::Seeded | Phase::HardDough | Phase::Ripe => return None,
        })
    }
}

/// How bad, in the words of the chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Harm {
    /// Not cold enough for this stage.
    None,
    /// Slight to moderate.
    SlightToModerate,
    /// Moderate to severe.
    ModerateToSevere,
    /// Severe.
    Severe,
}

impl Harm {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "none expected",
            Self::SlightToModerate => "slight to moderate",
            Self::ModerateToSevere => "moderate to severe",
            Self::Severe => "severe",
        }
    }
}

/// What the freeze chart says of a night with `tmin_c` (air at crop height for about two hours).
///
/// Kansas State Univ. C-646, winter wheat, with -6 C for spring wheat seedlings (Manitoba).
pub fn harm(phase: Phase, tmin_c: f64, p: &FrostParams) -> Harm {
    match p.at(phase) {
        Some(s) if tmin_c <= s.from_c => match phase {
            Phase::Seedling | Phase::Tillering | Phase::SoftDough => Harm::SlightToModerate,
            Phase::Heading | Phase::Flowering => Harm::Severe,
            _ => Harm::ModerateToSevere,
        },
        _ => Harm::None,
    }
}

/// Share of yield lost to one night with `tmin_c`: a logistic in temperature, 0 at and above freezing.
///
/// The shape is that of a first-node trial (Ohio State Univ. ANR-93: 5 % at 20.1 F, 50 % at 11.9 F after 15 minutes);
/// place, steepness and ceiling by stage follow the chart and are partly judgement. Damage is seen 7 to 10 days later:
/// look before acting.
#[inline]
pub fn loss(phase: Phase, tmin_c: f64, p: &FrostParams) -> f64 {
    // ln(19): a logistic is at 5 % this many slopes from its middle.
    const LN_19: f64 = 2.944_438_979_166_440_3;
    if tmin_c >= 0.0 {
        return 0.0;
    }
    let Some(s) = p.at(phase) else { return 0.0 };
    let centre = s.from_c - s.half_below_c;
    s.most / (1.0 + (LN_19 / s.half_below_c * (tmin_c - centre)).exp())
}

/// The published first-node curve itself: share of yield lost after 15 minutes at `t_f`, degrees F.
///
/// Logistic through the two printed points (Ohio State Univ. ANR-93); slope 0.359 per F.
pub fn first_node_loss_15_min(t_f: f64) -> f64 {
    1.0 / (1.0 + (0.359 * (t_f - 11.9)).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> FrostParams {
        crate::CropParams::shipped().frost
    }

    #[test]
    fn heads_are_tenderest() {
        assert_eq!(harm(Phase::Flowering, -1.5, &p()), Harm::Severe);
        assert_eq!(harm(Phase::Tillering, -5.0, &p()), Harm::None);
        assert!(loss(Phase::Heading, -3.0, &p()) > 0.5);
        assert!(loss(Phase::Seedling, -3.0, &p()) < 0.03);
        assert_eq!(loss(Phase::Seeded, -20.0, &p()), 0.0);
    }

    proptest! {
        #[test]
        fn colder_is_worse(t in -25.0..3.0f64, drop in 0.0..5.0f64) {
            for phase in Phase::ALL {
                let (a, b) = (loss(phase, t, &p()), loss(phase, t - drop, &p()));
                prop_assert!((0.0..=1.0).contains(&a) && b >= a - 1e-12);
            }
        }
    }
}
