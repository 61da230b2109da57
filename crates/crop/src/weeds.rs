//! What weeds cost by the leaf stage at which they are taken out. The sources disagree, so both are carried.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

/// Coefficients `crop.weeds.*`. The published losses are for heavy stands of wild oat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WeedParams {
    /// North Dakota, out at 3 leaves: low, high.
    pub nd_3_leaf: [f64; 2],
    /// North Dakota, out at 5 leaves: low, high.
    pub nd_5_leaf: [f64; 2],
    /// Saskatchewan: leaf stage up to which there was no loss.
    pub sk_free_leaf: f64,
    /// Saskatchewan, never out: low, high.
    pub sk_never: [f64; 2],
    /// Share of the loss with light weeds.
    pub pressure_light: f64,
    /// Share of the loss with moderate weeds.
    pub pressure_moderate: f64,
}

impl WeedParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.weeds.{what}"));
        Self {
            nd_3_leaf: [get("nd_3_leaf_low"), get("nd_3_leaf_high")],
            nd_5_leaf: [get("nd_5_leaf_low"), get("nd_5_leaf_high")],
            sk_free_leaf: get("sk_free_leaf"),
            sk_never: [get("sk_never_low"), get("sk_never_high")],
            pressure_light: get("pressure_light"),
            pressure_moderate: get("pressure_moderate"),
        }
    }
}

/// How many weeds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pressure {
    /// None to speak of.
    None,
    /// A few.
    Light,
    /// Many.
    Moderate,
    /// As thick as in the trials.
    Heavy,
}

/// A loss as the two sources bound it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Loss {
    /// Low: the Saskatchewan trial, low end.
    pub low: f64,
    /// Used: half way between the middles of the two sources.
    pub middle: f64,
    /// High: North Dakota, high end.
    pub high: f64,
}

/// Leaf stage by which competition is over and a weed never removed has done its harm.
const LEAVES_AT_END: f64 = 10.0;
/// Leaf stage before which no loss is reckoned by the North Dakota figures.
const LEAVES_AT_START: f64 = 1.0;

/// Share of yield lost to weeds that come out when the crop has `leaf_stage` leaves; `None`: never.
///
/// North Dakota: 8-15 % when wild oat is out at 3 leaves, 25-35 % at 5 leaves. A Saskatchewan trial: none until 6-7
/// leaves, 28-39 % if never. Straight lines between the points; the middle is our judgement, the ends are theirs.
pub fn loss(leaf_stage: Option<f64>, pressure: Pressure, p: &WeedParams) -> Loss {
    let share = match pressure {
        Pressure::None => 0.0,
        Pressure::Light => p.pressure_light,
        Pressure::Moderate => p.pressure_moderate,
        Pressure::Heavy => 1.0,
    };
    let leaf = leaf_stage.unwrap_or(LEAVES_AT_END);
    let nd = |end: usize| {
        let never = p.sk_never[end].max(p.nd_5_leaf[end]);
        between(
            leaf,
            &[
                (LEAVES_AT_START, 0.0),
                (3.0, p.nd_3_leaf[end]),
                (5.0, p.nd_5_leaf[end]),
                (LEAVES_AT_END, never),
            ],
        )
    };
    let sk = |end: usize| between(leaf, &[(p.sk_free_leaf, 0.0), (LEAVES_AT_END, p.sk_never[end])]);
    let middle = 0.25 * (nd(0) + nd(1) + sk(0) + sk(1));
    Loss { low: share * sk(0), middle: share * middle, high: share * nd(1) }
}

fn between(x: f64, points: &[(f64, f64)]) -> f64 {
    let (first, last) = (points[0], points[points.len() - 1]);
    if x <= first.0 {
        return first.1;
    }
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        if x <= x1 {
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
        }
    }
    last.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> WeedParams {
        crate::CropParams::shipped().weeds
    }

    #[test]
    fn carries_both_published_sets() {
        let at = |leaf| loss(leaf, Pressure::Heavy, &p());
        assert_eq!((at(Some(3.0)).low, at(Some(3.0)).high), (0.0, 0.15));
        assert_eq!((at(Some(5.0)).low, at(Some(5.0)).high), (0.0, 0.35));
        assert_eq!((at(None).low, at(None).high), (0.28, 0.39));
    }

    proptest! {
        #[test]
        fn later_and_more_never_cost_less(leaf in 0.0..12.0f64, more in 0.0..3.0f64) {
            let (a, b) = (loss(Some(leaf), Pressure::Heavy, &p()), loss(Some(leaf + more), Pressure::Heavy, &p()));
            prop_assert!(a.low <= a.middle + 1e-12 && a.middle <= a.high + 1e-12);
            prop_assert!(b.low >= a.low - 1e-12 && b.middle >= a.middle - 1e-12 && b.high >= a.high - 1e-12);
            prop_assert!(loss(Some(leaf), Pressure::Light, &p()).middle <= a.middle);
        }
    }
}
