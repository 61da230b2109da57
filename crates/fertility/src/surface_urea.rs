//! Urea left on the surface: a class of risk, not a correction of the rate.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

/// Coefficients `fertility.surface_urea.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SurfaceUreaParams {
    /// Mean loss, %.
    pub loss_pct: f64,
    /// Mean loss with an inhibitor, %.
    pub loss_inhibited_pct: f64,
    /// Rain in one event that washes it in, mm.
    pub saving_rain_mm: f64,
    /// Rain below which a shower only feeds the loss, mm.
    pub shower_mm: f64,
}

impl SurfaceUreaParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("fertility.surface_urea.{what}"));
        Self {
            loss_pct: get("loss_pct"),
            loss_inhibited_pct: get("loss_inhibited_pct"),
            saving_rain_mm: get("saving_rain_mm"),
            shower_mm: get("shower_mm"),
        }
    }
}

/// Risk of losing urea to the air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Risk {
    /// Low.
    Low,
    /// Medium.
    Medium,
    /// High.
    High,
}

/// Risk for urea spread on a surface that is `damp` now, with the largest single rain expected soon, mm.
///
/// One rain that washes it in protects it. A damp surface that dries with showers is the worst, even near freezing.
/// An inhibitor takes a class off. The classes are a judgement on the order of 17 trials of Montana State Univ.
/// (Engel): 1 to 44 % lost, 8 to 15 % common.
pub fn risk(damp: bool, largest_rain_mm: f64, inhibitor: bool, p: &SurfaceUreaParams) -> Risk {
    if largest_rain_mm >= p.saving_rain_mm {
        return Risk::Low;
    }
    let bare = if damp && largest_rain_mm <= p.shower_mm {
        Risk::High
    } else if damp || largest_rain_mm > 0.0 {
        Risk::Medium
    } else {
        // dry urea on a dry surface waits for water
        Risk::Low
    };
    match (bare, inhibitor) {
        (Risk::High, true) => Risk::Medium,
        (_, true) => Risk::Low,
        (r, false) => r,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_soaking_saves_and_a_shower_does_not() {
        let p = crate::FertilityParams::shipped().surface_urea;
        assert_eq!(risk(true, 3.0, false, &p), Risk::High);
        assert_eq!(risk(true, 13.0, false, &p), Risk::Low);
        assert_eq!(risk(false, 0.0, false, &p), Risk::Low);
        assert_eq!(risk(true, 8.0, false, &p), Risk::Medium);
        for damp in [false, true] {
            for rain in [0.0, 3.0, 8.0, 20.0] {
                assert!(risk(damp, rain, true, &p) <= risk(damp, rain, false, &p));
                assert!(risk(false, rain, false, &p) <= risk(true, rain, false, &p));
            }
        }
    }
}
