//! The speed that makes most money: loss rises with speed, time is dear.

use serde::Serialize;

/// What the optimum is reckoned from. Money in any one currency; loss as a share of the crop at a speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stakes {
    /// Standing crop, money/ha.
    pub crop_per_ha: f64,
    /// What an hour of the combine costs: fuel, hands, wear, and the loss of the fields that wait, money/h.
    pub hour: f64,
    /// Working width, m.
    pub width_m: f64,
    /// Share of time at full width and speed.
    pub efficiency: f64,
}

/// Money a hectare at a speed: grain lost over the back, and time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtSpeed {
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Loss, % of the crop.
    pub loss_pct: f64,
    /// Grain lost, money/ha.
    pub loss_per_ha: f64,
    /// Time, money/ha.
    pub time_per_ha: f64,
}

impl AtSpeed {
    /// Both, money/ha.
    pub fn total(&self) -> f64 {
        self.loss_per_ha + self.time_per_ha
    }
}

/// At one speed.
pub fn at(speed_kmh: f64, s: &Stakes, loss_pct: impl Fn(f64) -> f64) -> AtSpeed {
    let loss = loss_pct(speed_kmh).clamp(0.0, 100.0);
    let ha_h = crate::capacity::hectares_per_hour(s.width_m, speed_kmh, s.efficiency);
    AtSpeed {
        speed_kmh,
        loss_pct: loss,
        loss_per_ha: loss / 100.0 * s.crop_per_ha,
        time_per_ha: s.hour / ha_h,
    }
}

/// The curve from `low` to `high` in `steps` steps.
pub fn curve(
    low: f64,
    high: f64,
    steps: usize,
    s: &Stakes,
    loss_pct: impl Fn(f64) -> f64 + Copy,
) -> Vec<AtSpeed> {
    (0..=steps).map(|i| at(low + (high - low) * i as f64 / steps as f64, s, loss_pct)).collect()
}

/// The cheapest speed between `low` and `high`, by golden section: the sum falls, then rises, when loss bends upward.
pub fn best(low: f64, high: f64, s: &Stakes, loss_pct: impl Fn(f64) -> f64 + Copy) -> AtSpeed {
    const PHI: f64 = 0.618_033_988_749_894_9;
    let f = |v: f64| at(v, s, loss_pct).total();
    let (mut a, mut b) = (low, high);
    for _ in 0..80 {
        let (x, y) = (b - PHI * (b - a), a + PHI * (b - a));
        if f(x) <= f(y) { b = y } else { a = x }
    }
    let middle = at(0.5 * (a + b), s, loss_pct);
    // The ends are candidates too, where the curve is not of the shape expected.
    [at(low, s, loss_pct), at(high, s, loss_pct), middle]
        .into_iter()
        .min_by(|p, q| p.total().total_cmp(&q.total()))
        .expect("three candidates")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// With loss = a v^b the optimum is known: v^(b+1) = 10 hour / (width eff crop a b / 100).
        #[test]
        fn the_power_law_has_a_closed_form(
            crop in 300.0..2000.0f64, hour in 20.0..2000.0f64, width in 6.0..15.0f64, a in 0.005..0.1f64, b in 0.8..3.0f64,
        ) {
            let s = Stakes { crop_per_ha: crop, hour, width_m: width, efficiency: 0.7 };
            let exact = (10.0 * hour * 100.0 / (width * 0.7 * crop * a * b)).powf(1.0 / (b + 1.0));
            let loss = |v: f64| a * v.powf(b);
            // Beyond the speed that throws all of it away there is nothing to weigh.
            let fastest = (100.0 / a).powf(1.0 / b).min(60.0);
            let found = best(0.05, fastest, &s, loss);
            if (0.1..fastest).contains(&exact) {
                prop_assert!((found.speed_kmh / exact - 1.0).abs() < 1e-3, "{} {exact}", found.speed_kmh);
            }
            for p in curve(0.5, fastest.min(20.0), 60, &s, loss) {
                prop_assert!(p.total() >= found.total() - 1e-9);
            }
        }

        #[test]
        fn dearer_time_goes_faster(hour in 20.0..500.0f64, more in 1.0..500.0f64) {
            let s = |hour| Stakes { crop_per_ha: 900.0, hour, width_m: 12.0, efficiency: 0.7 };
            let loss = |v: f64| 0.05 * v.powi(2);
            prop_assert!(best(1.0, 12.0, &s(hour + more), loss).speed_kmh >= best(1.0, 12.0, &s(hour), loss).speed_kmh - 1e-6);
        }
    }
}
