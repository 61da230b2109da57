//! Nitrogen where protein is paid for.

use serde::{Deserialize, Serialize};

/// What protein adds to the price of grain.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Premium {
    /// Protein of the base price, %.
    pub base_pct: f64,
    /// Added for each point above, in the unit of the price.
    pub up_per_point: f64,
    /// Taken off for each point below.
    pub down_per_point: f64,
    /// Protein above which nothing more is added, %.
    pub cap_pct: f64,
    /// Width of a step of the schedule, %; zero pays for every fraction.
    pub step_pct: f64,
}

impl Premium {
    /// Added to the price at a protein. A step is earned when it is full.
    pub fn at(&self, protein_pct: f64) -> f64 {
        let over = protein_pct.min(self.cap_pct) - self.base_pct;
        // the grace keeps 13.5 from missing its own step by a rounding
        let used =
            if self.step_pct > 0.0 { (over / self.step_pct + 1e-9).floor() * self.step_pct } else { over };
        if used >= 0.0 { self.up_per_point * used } else { self.down_per_point * used }
    }
}

/// The rate of highest profit among `0, step, 2 step, ... , to`, and the profit there.
///
/// Premium schedules are steps, so every rate is tried and no slope is trusted. Of equal profits the lower rate wins.
pub fn best_on_grid(profit_at: impl Fn(f64) -> f64, to: f64, step: f64) -> (f64, f64) {
    let last = (to / step + 1e-9).floor() as usize;
    let mut best = (0.0, profit_at(0.0));
    for i in 1..=last {
        let n = i as f64 * step;
        let money = profit_at(n);
        if money > best.1 {
            best = (n, money);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::response::Curve;

    fn best(up: f64) -> f64 {
        let curve = Curve::Quadratic { b0: 3.622_26, b1: 0.038_094_8, b2: -8.197_90e-5 };
        let premium =
            Premium { base_pct: 13.0, up_per_point: up, down_per_point: up, cap_pct: 99.0, step_pct: 0.0 };
        best_on_grid(|n| (110.0 + premium.at(10.0 + 0.02 * n)) * curve.at(n) - 0.6 * n, 400.0, 0.1).0
    }

    #[test]
    fn the_rate_rises_with_the_premium_and_can_pass_the_fullest_yield() {
        // direction found by Baker, Young, Huggins and Pan 2004, Agronomy Journal 96:116
        let rates: Vec<f64> = [0.0, 1.0, 3.0, 5.0].into_iter().map(best).collect();
        assert!(rates.windows(2).all(|w| w[0] < w[1]), "{rates:?}");
        assert!(rates[0] < 232.3 && rates[3] > 232.3);
    }

    #[test]
    fn steps_are_earned_when_full() {
        let p =
            Premium { base_pct: 14.0, up_per_point: 0.5, down_per_point: 0.5, cap_pct: 15.0, step_pct: 0.5 };
        assert_eq!((p.at(14.0), p.at(14.4), p.at(14.5)), (0.0, 0.0, 0.25));
        assert_eq!((p.at(15.0), p.at(16.5)), (0.5, 0.5));
        assert_eq!((p.at(13.9), p.at(13.5)), (-0.25, -0.25));
    }
}
