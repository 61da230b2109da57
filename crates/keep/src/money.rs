//! What a bin is worth as it stands, and what keeping it costs, in the parts a working lists.

use stook_measure::{Op, Spread, Working};

use crate::bin_case::Case;
use crate::params::KeepParams;
use crate::stack::Stack;

/// Prices, all a tonne unless said.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Prices {
    /// Sound and dry.
    pub sound_t: f64,
    /// Out of condition: as feed.
    pub spoiled_t: f64,
    /// Drying a tonne by a point with heat: fuel and power.
    pub drying_t_point: f64,
    /// A kWh.
    pub kwh: f64,
    /// A buyer's discount a tonne for each point over straight grade.
    pub tough_t_point: f64,
    /// The buyer's own figure for a tonne of tough grain, in place of that.
    pub tough_t: Option<f64>,
    /// And of damp.
    pub damp_t: Option<f64>,
}

/// Money of one run, losses positive.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Cost {
    /// Chance of spoiling, times what it takes off.
    pub spoiling: f64,
    /// Weight sold too dry, or drying still to be paid for.
    pub water: f64,
    /// Electricity.
    pub energy: f64,
}

impl Cost {
    /// All of it.
    pub fn total(&self) -> f64 {
        self.spoiling + self.water + self.energy
    }
    /// The parts in order.
    pub fn parts(&self) -> [f64; 3] {
        [self.spoiling, self.water, self.energy]
    }
}

/// The parts in words.
pub const PARTS: [&str; 3] = [
    "Chance of spoiling, times what it takes off",
    "Weight sold too dry, or drying still to be paid",
    "Electricity",
];

/// What the grain costs its owner as it stands, against the same dry matter sound and at the market's moisture.
///
/// Layer by layer, since a wet top runs out first and is not paid for by the dry grain under it: what is wetter than
/// straight grade is dried with heat first, or taken with the discount, whichever is less: never both. Each layer may be out of condition by the share of its life that is spent.
pub fn standing(p: &KeepParams, case: &Case, prices: &Prices, stack: &Stack) -> Cost {
    let market_dd = case.market_pct / (100.0 - case.market_pct);
    let water: f64 = stack
        .bed
        .layers
        .iter()
        .map(|l| {
            let dry_t = l.dry_kg_m2 * case.area_m2 / 1000.0;
            let m = l.m_wb_pct();
            let wet_t = dry_t / (1.0 - m / 100.0);
            if m > case.market_pct {
                wet_t * (m - case.market_pct) * prices.drying_t_point.min(prices.tough_t_point)
            } else {
                (dry_t * (1.0 + market_dd) - wet_t) * prices.sound_t
            }
        })
        .sum();
    let takes_off = (prices.sound_t - prices.spoiled_t).max(0.0);
    let spoiling = stack
        .bed
        .layers
        .iter()
        .zip(&stack.spent)
        .map(|(l, s)| l.dry_kg_m2 * (1.0 + market_dd) * p.chance_spoiled(s.likely))
        .sum::<f64>()
        * case.area_m2
        / 1000.0
        * takes_off;
    Cost { spoiling, water, energy: 0.0 }
}

/// The difference of two sets of runs over the same weathers, with its working: `later` less `now`.
pub fn difference(title: &str, now: &[Cost], later: &[Cost]) -> Option<(Spread, Working)> {
    let gaps: Vec<f64> = now.iter().zip(later).map(|(a, b)| b.total() - a.total()).collect();
    let spread = Spread::of(&gaps)?;
    let n = gaps.len() as f64;
    let mut working = Working::new(title);
    let mut rounded = 0.0;
    for (i, words) in PARTS.iter().enumerate() {
        let mean = now.iter().zip(later).map(|(a, b)| b.parts()[i] - a.parts()[i]).sum::<f64>() / n;
        if mean.abs() >= 0.5 {
            working = working.line(if mean < 0.0 { Op::Minus } else { Op::Plus }, *words, mean.abs(), "", 0);
            rounded += mean.round();
        }
    }
    let rest = spread.mean.round() - rounded;
    if rest != 0.0 {
        let op = if rest < 0.0 { Op::Minus } else { Op::Plus };
        working = working.line(op, "Small change and rounding", rest.abs(), "", 0);
    }
    let working = working
        .sum(format!("Waiting, mean of {} weathers", gaps.len()), spread.mean.round(), "", 0)
        .note("Both runs see the same weathers and follow the same plan; one starts a day later.")
        .source("layer model: Thompson 1968; storage life: Hellevang, NDSU, and Fraser and Muir 1981, the shorter")
        .would_change("a reading of the top: temperature and moisture");
    Some((spread, working))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bin_case::tests::{case, params};
    use stook_grain::Spent;

    fn prices() -> Prices {
        Prices {
            sound_t: 276.0,
            spoiled_t: 230.0,
            drying_t_point: 1.6,
            kwh: 0.12,
            tough_t_point: 3.7,
            tough_t: None,
            damp_t: None,
        }
    }

    fn stack(pct: f64, spent: f64) -> Stack {
        let c = case(None);
        let mut s = Stack::empty(c.bed_grain, 30, 3000.0);
        s.put(3000.0, pct / (100.0 - pct), 15.0);
        s.spent = vec![Spent { least: spent, likely: spent, most: spent }; s.spent.len()];
        s
    }

    #[test]
    fn at_the_market_moisture_and_sound_it_costs_nothing() {
        let cost = standing(&params(), &case(None), &prices(), &stack(14.5, 0.0));
        assert!(cost.total().abs() < 1e-6, "{cost:?}");
    }

    #[test]
    fn a_point_too_dry_costs_about_one_and_a_fifth_percent() {
        let c = case(None);
        let cost = standing(&params(), &c, &prices(), &stack(13.5, 0.0));
        let worth = 3000.0 * c.area_m2 / 1000.0 / (1.0 - 0.145) * 276.0;
        assert!((cost.water / worth - 0.0116).abs() < 0.0003, "{}", cost.water / worth);
        let wet = standing(&params(), &c, &prices(), &stack(16.5, 0.0));
        assert!(wet.water > 0.0 && wet.water < cost.water * 1.5);
    }

    #[test]
    fn spent_life_costs_and_parts_add_up() {
        let (p, c) = (params(), case(None));
        let one = standing(&p, &c, &prices(), &stack(14.5, 0.4)).spoiling;
        let two = standing(&p, &c, &prices(), &stack(14.5, 0.8)).spoiling;
        assert!(two > one && one > 0.0);
        let now = vec![Cost { spoiling: 100.4, water: 20.0, energy: 8.0 }; 3];
        let later = vec![Cost { spoiling: 230.9, water: 11.6, energy: 8.2 }; 3];
        let (spread, w) = difference("One day later", &now, &later).unwrap();
        assert!((spread.mean - 122.3).abs() < 1e-9 && w.adds_up(0.5), "{w:?}");
    }
}
