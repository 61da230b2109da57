//! Keep going tonight? Grain and straw take up water as the air cools; when is the limit passed?
//!
//! No field rate was found in print. Grain is stepped hourly toward the moisture the air would bring it to, at a rate
//! that gives the two to four points grain is known to move within a day; dew adds to it. Two readings in one evening
//! put the farm's own rate in its place.

use serde::Serialize;
use stook_measure::Reference;

/// Coefficients `harvest.night.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NightParams {
    /// Share of the distance to balance covered in an hour.
    pub k_per_h: f64,
    /// Points an hour that dew adds.
    pub dew_points_h: f64,
    /// Humidity at which dew falls, %.
    pub dew_rh_pct: f64,
    /// Humidity at which straw turns tough in the evening, %.
    pub tough_rh_pct: f64,
}

impl NightParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.night.{what}"));
        Self {
            k_per_h: get("k_per_h"),
            dew_points_h: get("dew_points_h"),
            dew_rh_pct: get("dew_rh_pct"),
            tough_rh_pct: get("tough_rh_pct"),
        }
    }
}

/// Grain at the end of each hour, % wet basis, from `start_pct`. `air` gives for each hour the moisture of balance and
/// the humidity.
pub fn course(start_pct: f64, air: &[(f64, f64)], p: &NightParams) -> Vec<f64> {
    let mut m = start_pct;
    air.iter()
        .map(|&(balance, rh)| {
            m += (balance - m) * (1.0 - (-p.k_per_h).exp());
            if rh >= p.dew_rh_pct {
                m += p.dew_points_h;
            }
            m
        })
        .collect()
}

/// Hours from the start until a course passes `limit`, within the hour by a straight line; `None` when it stays below.
pub fn passes_after_h(start: f64, course: &[f64], limit: f64) -> Option<f64> {
    if start > limit {
        return Some(0.0);
    }
    let mut before = start;
    for (h, &now) in course.iter().enumerate() {
        if now > limit {
            return Some(h as f64 + ((limit - before) / (now - before)).clamp(0.0, 1.0));
        }
        before = now;
    }
    None
}

/// The hourly rate from two readings an evening apart at a steady balance.
pub fn fit_k_per_h(from_pct: f64, to_pct: f64, hours: f64, balance_pct: f64) -> Option<f64> {
    let ratio = (from_pct - balance_pct) / (to_pct - balance_pct);
    (hours > 0.0 && ratio > 1.0).then(|| ratio.ln() / hours)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> NightParams {
        crate::HarvestParams::shipped().night
    }

    #[test]
    fn a_dewy_night_brings_two_to_four_points() {
        // From 17 h: balance rises from 12 to 22 % by midnight, dew from then to six.
        let air: Vec<(f64, f64)> = (0..13)
            .map(|h| {
                (12.0 + (f64::from(h) * 1.4).min(10.0), if h >= 8 { 97.0 } else { 60.0 + 4.0 * f64::from(h) })
            })
            .collect();
        let rise = course(14.5, &air, &p()).last().unwrap() - 14.5;
        assert!((2.0..=5.0).contains(&rise), "{rise}");
    }

    #[test]
    fn two_readings_give_the_rate_back() {
        let k = 0.06;
        let to = 20.0 + (15.0 - 20.0) * f64::exp(-k * 4.0);
        assert!((fit_k_per_h(15.0, to, 4.0, 20.0).unwrap() - k).abs() < 1e-9);
        assert_eq!(fit_k_per_h(15.0, 15.0, 4.0, 20.0), None);
    }

    proptest! {
        #[test]
        fn damper_air_passes_sooner(start in 12.0..16.0f64, limit in 16.0..20.0f64, more in 0.0..3.0f64, balance in proptest::collection::vec(12.0..26.0f64, 14)) {
            let air = |more: f64| balance.iter().map(|b| (b + more, 80.0)).collect::<Vec<_>>();
            let at = |more: f64| passes_after_h(start, &course(start, &air(more), &p()), limit).unwrap_or(99.0);
            prop_assert!(at(more) <= at(0.0) + 1e-9);
        }
    }
}
