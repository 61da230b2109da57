//! Own grain: what a lot holds, from its protein, moisture, test weight and sprouting.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::FeedParams;
use crate::ingredient::{self, Ingredient};
use crate::nutrient::{Composition, Nutrient};
use crate::table;

/// Nitrogen to protein as feed tables and labels have it, over the 5.83 of the wheat amino acid table.
pub const FEED_OVER_WHEAT_FACTOR: f64 = 6.25 / 5.83;

/// Protein at which the shipped hard red wheat stands, % (N x 6.25).
const TABLE_WHEAT_PROTEIN: f64 = 14.46;
/// Tryptophan and cystine of that wheat, % in all; they scale with protein.
const TABLE_WHEAT_TRP: f64 = 0.17;
const TABLE_WHEAT_CYS: f64 = 0.33;
/// The line's limits, % protein (N x 6.25).
pub const WHEAT_PROTEIN_RANGE: (f64, f64) = (9.5, 17.2);
/// Digestibility of cystine in wheat, %.
const WHEAT_CYS_DIGESTIBLE: f64 = 89.0;

/// One amino acid of wheat as a line on protein.
#[derive(Debug, Clone, Deserialize)]
struct Line {
    amino_acid: String,
    a: f64,
    b: f64,
}

fn lines() -> &'static [Line] {
    static LINES: LazyLock<Vec<Line>> = LazyLock::new(|| {
        table::shipped(
            "feed-wheat-amino-acids",
            include_str!("../../../reference/feed-wheat-amino-acids.csv"),
        )
    });
    &LINES
}

/// An amino acid of wheat in all, % as-fed, at `protein_pct` (N x 6.25, as-fed). Held to the protein of the data, 9.5 to 17.2.
///
/// Least squares on a printed table at three protein levels (Ravindran et al. 1998, 2005): `a + b x protein`.
pub fn wheat_amino_acid_pct(n: Nutrient, protein_pct: f64) -> Option<f64> {
    let p = protein_pct.clamp(WHEAT_PROTEIN_RANGE.0, WHEAT_PROTEIN_RANGE.1);
    match n {
        Nutrient::Trp => Some(TABLE_WHEAT_TRP / TABLE_WHEAT_PROTEIN * p),
        Nutrient::LysTotal => wheat_amino_acid_pct(Nutrient::Lys, p),
        _ => lines().iter().find(|l| l.amino_acid == n.key()).map(|l| l.a + l.b * p),
    }
}

/// What is known of a lot of own grain.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Tested {
    /// Protein, % as-fed (N x 6.25, at the lot's own moisture).
    pub protein_pct: Option<f64>,
    /// Moisture, % of wet weight.
    pub moisture_pct: Option<f64>,
    /// Test weight, kg/m3.
    pub test_weight_kg_m3: Option<f64>,
    /// Sprouted kernels, %.
    pub sprouted_pct: Option<f64>,
}

/// Energy kept by grain of this test weight and sprouting, 0 to 1.
pub fn energy_kept(p: &FeedParams, t: &Tested) -> f64 {
    let light = if t.test_weight_kg_m3.is_some_and(|w| w < p.low_test_weight_kg_m3) {
        1.0 - p.low_test_weight_energy_loss
    } else {
        1.0
    };
    let sprouted = match t.sprouted_pct.unwrap_or(0.0) {
        s if s > 40.0 => 1.0 - p.sprouted_energy_loss_above_40,
        s => 1.0 - p.sprouted_energy_loss_at_40 * s / 40.0,
    };
    light * sprouted
}

/// What a lot holds, as-fed, and the sentences that say how that was come by.
///
/// Moisture scales everything; wheat amino acids follow protein by the published line and the table's digestibility;
/// other grains' amino acids scale with half of the change in protein, since lysine rises more slowly than protein.
pub fn holds(p: &FeedParams, like: &Ingredient, t: &Tested) -> (Composition, Vec<String>) {
    let mut said = Vec::new();
    let mut c = like.holds;
    let table_dm = c.get(Nutrient::DryMatter).unwrap_or(88.0);
    if let Some(m) = t.moisture_pct {
        c = c.times((100.0 - m) / table_dm);
        c.set(Nutrient::DryMatter, 100.0 - m);
        said.push(format!("moisture {m:.1} %: everything by {:.3}", (100.0 - m) / table_dm));
    }
    let kept = energy_kept(p, t);
    if kept < 1.0 {
        c.set(Nutrient::Ne, c.of(Nutrient::Ne) * kept);
        c.set(Nutrient::Me, c.of(Nutrient::Me) * kept);
        said.push(format!("light or sprouted: energy by {kept:.3}"));
    }
    if let Some(protein) = t.protein_pct {
        let before = c.of(Nutrient::Protein);
        c.set(Nutrient::Protein, protein);
        if like.key.starts_with("wheat_hrs") {
            let digest = |n: Nutrient| like.digestible_pct.get(&n).copied().unwrap_or(100.0) / 100.0;
            let (low, high) = WHEAT_PROTEIN_RANGE;
            for n in [
                Nutrient::Lys,
                Nutrient::Met,
                Nutrient::Thr,
                Nutrient::Trp,
                Nutrient::Val,
                Nutrient::Ile,
                Nutrient::Leu,
                Nutrient::His,
            ] {
                if let Some(total) = wheat_amino_acid_pct(n, protein) {
                    c.set(n, total * digest(n));
                }
            }
            let held = protein.clamp(low, high);
            c.set(Nutrient::LysTotal, wheat_amino_acid_pct(Nutrient::Lys, protein).unwrap_or(0.0));
            let cys = TABLE_WHEAT_CYS / TABLE_WHEAT_PROTEIN * held * WHEAT_CYS_DIGESTIBLE / 100.0;
            c.set(Nutrient::MetCys, c.of(Nutrient::Met) + cys);
            said.push(format!("protein {protein:.1} %: amino acids by the line on protein"));
            if held != protein {
                said.push(format!("the line is known from {low} to {high} % protein only and is held there"));
            }
        } else if before > 0.0 {
            let k = 1.0 + 0.5 * (protein / before - 1.0);
            for n in [
                Nutrient::LysTotal,
                Nutrient::Lys,
                Nutrient::Met,
                Nutrient::MetCys,
                Nutrient::Thr,
                Nutrient::Trp,
                Nutrient::Val,
                Nutrient::Ile,
                Nutrient::Leu,
                Nutrient::His,
            ] {
                c.set(n, c.of(n) * k);
            }
            said.push(format!("protein {protein:.1} %: amino acids by half of the difference to the table"));
        }
    } else {
        said.push("no protein test: amino acids of the table".into());
    }
    (c, said)
}

/// A crop's row in the ingredient table.
pub fn like_crop(crop: &str) -> Option<&'static Ingredient> {
    let key = match crop {
        "spring_wheat" | "wheat" | "hard_wheat" | "soft_wheat" | "durum" => "wheat_hrs",
        "barley" => "barley",
        "oats" => "oats",
        "peas" => "field_pea",
        "corn" => "corn",
        _ => return None,
    };
    ingredient::find(key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn protein_rises_faster_than_lysine() {
        let p = FeedParams::shipped();
        let wheat = ingredient::find("wheat_hrs").unwrap();
        let at =
            |protein: f64| holds(p, wheat, &Tested { protein_pct: Some(protein), ..Tested::default() }).0;
        let (low, high) = (at(12.0), at(15.0));
        assert!(high.of(Nutrient::Lys) > low.of(Nutrient::Lys));
        assert!(high.of(Nutrient::Lys) / 15.0 < low.of(Nutrient::Lys) / 12.0);
        assert_eq!(high.of(Nutrient::Ne), low.of(Nutrient::Ne));
    }

    proptest! {
        #[test]
        fn wetter_and_worse_grain_holds_less(m in 8.0..20.0_f64, more in 0.1..5.0_f64, s in 0.0..60.0_f64) {
            let p = FeedParams::shipped();
            for key in ["wheat_hrs", "barley"] {
                let like = ingredient::find(key).unwrap();
                let at = |m: f64, s: f64| holds(p, like, &Tested { moisture_pct: Some(m), sprouted_pct: Some(s), ..Tested::default() }).0;
                prop_assert!(at(m + more, s).of(Nutrient::Ne) < at(m, s).of(Nutrient::Ne));
                prop_assert!(at(m, s + 1.0).of(Nutrient::Ne) <= at(m, s).of(Nutrient::Ne) + 1e-9);
                prop_assert!((at(m, s).of(Nutrient::DryMatter) - (100.0 - m)).abs() < 1e-9);
            }
        }
    }
}
