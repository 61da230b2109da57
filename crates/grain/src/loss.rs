//! Grain left in the field: by the drop pan and by counting kernels, with the loss of each source kept apart.

use stook_measure::units::{HA_PER_ACRE, KG_PER_LB};

/// Square feet in an acre. Exact.
const FT2_PER_ACRE: f64 = 43_560.0;

/// Grams on a square foot that make a bushel on an acre.
pub fn grams_per_ft2(lb_per_bu: f64) -> f64 {
    lb_per_bu * KG_PER_LB * 1000.0 / FT2_PER_ACRE
}

/// Kernels on a square foot that make a bushel on an acre, for a thousand-kernel weight in g.
pub fn kernels_per_ft2(lb_per_bu: f64, thousand_g: f64) -> f64 {
    grams_per_ft2(lb_per_bu) * 1000.0 / thousand_g
}

/// How much a machine concentrates what goes through it: cut width over discharge width.
pub fn concentration(cut_width: f64, discharge_width: f64) -> f64 {
    cut_width / discharge_width
}

/// Machine loss, bu/ac, from grams in a pan under the discharge, chopper and spreader off.
pub fn pan_bu_ac(grams: f64, pan_ft2: f64, concentration: f64, lb_per_bu: f64) -> f64 {
    grams / pan_ft2 / concentration / grams_per_ft2(lb_per_bu)
}

/// Loss as a percent of all the crop that stood: loss / (harvested + loss).
pub fn percent(loss: f64, harvested: f64) -> f64 {
    if loss + harvested > 0.0 { 100.0 * loss / (loss + harvested) } else { 0.0 }
}

/// Losses by counting, bu/ac.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Counted {
    /// Through the machine.
    pub machine_bu_ac: f64,
    /// Shatter and header.
    pub shatter_header_bu_ac: f64,
    /// Both.
    pub total_bu_ac: f64,
    /// Percent of all the crop.
    pub total_pct: f64,
}

/// From kernels on a square foot behind the machine and on cut ground its discharge has not reached (Hofman, steps 1
/// to 8). Only what came through the machine is concentrated.
pub fn count(
    behind_ft2: f64,
    field_ft2: f64,
    concentration: f64,
    kernels_per_bu_ac: f64,
    harvested_bu_ac: f64,
) -> Counted {
    let machine_bu_ac = (behind_ft2 - field_ft2).max(0.0) / concentration / kernels_per_bu_ac;
    let shatter_header_bu_ac = field_ft2 / kernels_per_bu_ac;
    let total_bu_ac = machine_bu_ac + shatter_header_bu_ac;
    Counted {
        machine_bu_ac,
        shatter_header_bu_ac,
        total_bu_ac,
        total_pct: percent(total_bu_ac, harvested_bu_ac),
    }
}

/// Header loss apart from shatter, bu/ac: kernels on cut ground less kernels in the standing crop.
pub fn header_bu_ac(field_ft2: f64, standing_ft2: f64, kernels_per_bu_ac: f64) -> f64 {
    (field_ft2 - standing_ft2).max(0.0) / kernels_per_bu_ac
}

/// Grain as it lies, bu/ac of ground: in the standing crop, on cut ground, and under the discharge, where what came
/// through the machine lies concentrated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lying {
    /// In the standing crop.
    pub standing: f64,
    /// On cut ground that the discharge has not reached: standing and header.
    pub cut_ground: f64,
    /// Under the discharge: all of it.
    pub behind: f64,
    /// Of what came through the machine: the share from separator and shoe, when it was told apart.
    pub separator_and_shoe: Option<(f64, f64)>,
}

/// Losses by source, bu/ac of the field.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct BySource {
    /// Shattered before the machine came.
    pub standing: f64,
    /// At the header.
    pub header: f64,
    /// Through the machine: separator and shoe.
    pub machine: f64,
    /// From the rotor or walkers, when it was told apart.
    pub separator: Option<f64>,
    /// From the shoe, when it was told apart.
    pub shoe: Option<f64>,
}

impl BySource {
    /// All of it.
    pub fn total(&self) -> f64 {
        self.standing + self.header + self.machine
    }
}

/// Splits grain found into its sources. Only what came through the machine is thinned by the concentration.
pub fn by_source(l: &Lying, concentration: f64) -> BySource {
    let machine = (l.behind - l.cut_ground).max(0.0) / concentration;
    let split = l.separator_and_shoe.filter(|(a, b)| a + b > 0.0);
    BySource {
        standing: l.standing,
        header: (l.cut_ground - l.standing).max(0.0),
        machine,
        separator: split.map(|(a, b)| machine * a / (a + b)),
        shoe: split.map(|(a, b)| machine * b / (a + b)),
    }
}

/// Bushels an acre from grams on a square metre.
pub fn g_m2_to_bu_ac(g_m2: f64, lb_per_bu: f64) -> f64 {
    g_m2 * 10.0 * HA_PER_ACRE / (lb_per_bu * KG_PER_LB)
}

/// Loss at a feed rate: a F^b (Nyborg 1967), fitted to the farm's own pans. No default exponent is published.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct FeedLoss {
    /// Loss at a feed rate of one.
    pub a: f64,
    /// Exponent.
    pub b: f64,
}

impl FeedLoss {
    /// Fits (feed rate, loss) pairs by least squares on logarithms; two fix it. `None` with fewer than two different
    /// feed rates or anything not above nothing.
    pub fn fit(pans: &[(f64, f64)]) -> Option<Self> {
        if pans.iter().any(|p| p.0 <= 0.0 || p.1 <= 0.0) {
            return None;
        }
        let n = pans.len() as f64;
        let (mx, my) = pans.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0.ln() / n, s.1 + p.1.ln() / n));
        let sxx: f64 = pans.iter().map(|p| (p.0.ln() - mx).powi(2)).sum();
        let sxy: f64 = pans.iter().map(|p| (p.0.ln() - mx) * (p.1.ln() - my)).sum();
        if sxx < 1e-12 {
            return None;
        }
        let b = sxy / sxx;
        Some(Self { a: (my - b * mx).exp(), b })
    }

    /// Loss at a feed rate.
    pub fn at(&self, feed: f64) -> f64 {
        self.a * feed.powf(self.b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn one_pan_is_no_curve() {
        assert_eq!(FeedLoss::fit(&[(10.0, 0.5)]), None);
        assert_eq!(FeedLoss::fit(&[(10.0, 0.5), (10.0, 0.7)]), None);
        assert_eq!(FeedLoss::fit(&[(10.0, 0.0), (12.0, 0.7)]), None);
    }

    proptest! {
        #[test]
        fn sources_add_up(standing in 0.0..2.0f64, header in 0.0..3.0f64, machine in 0.0..4.0f64, c in 2.0..10.0f64, a in 0.01..5.0f64, b in 0.0..5.0f64) {
            let cut_ground = standing + header;
            let lying = Lying { standing, cut_ground, behind: cut_ground + machine * c, separator_and_shoe: Some((a, b)) };
            let s = by_source(&lying, c);
            prop_assert!((s.total() - standing - header - machine).abs() < 1e-9);
            prop_assert!((s.separator.unwrap() + s.shoe.unwrap() - s.machine).abs() < 1e-9);
            // The counting procedure is the same sum without the split.
            let counted = count(lying.behind * 20.0, cut_ground * 20.0, c, 20.0, 50.0);
            prop_assert!((counted.total_bu_ac - s.total()).abs() < 1e-9);
        }

        #[test]
        fn pans_on_a_power_law_give_it_back(a in 0.001..1.0f64, b in 0.5..3.0f64, f in 3.0..20.0f64) {
            let law = FeedLoss { a, b };
            let pans: Vec<_> = [1.0, 1.3, 1.9].iter().map(|k| (f * k, law.at(f * k))).collect();
            let back = FeedLoss::fit(&pans).unwrap();
            prop_assert!((back.b - b).abs() < 1e-6 && (back.a / a - 1.0).abs() < 1e-5);
        }

        #[test]
        fn pan_and_count_agree(g in 0.5..20.0f64, tkw in 25.0..45.0f64, c in 3.0..9.0f64) {
            let by_pan = pan_bu_ac(g, 1.0, c, 60.0);
            let kernels = g * 1000.0 / tkw;
            let by_count = count(kernels, 0.0, c, kernels_per_ft2(60.0, tkw), 50.0).machine_bu_ac;
            prop_assert!((by_pan - by_count).abs() < 1e-9);
        }
    }
}
