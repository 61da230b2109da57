//! Setting the drill: a catch, the correction, and a setting that never passes a limit.

use serde::Serialize;
use stook_measure::Reference;

use crate::product::lb_ft3_to_kg_m3;

/// Coefficients `fertility.drill.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DrillParams {
    /// Share of a tank that is filled.
    pub fill_fraction: f64,
    /// Heap density of urea above which it is a mistake, kg/m3.
    pub urea_density_max_kg_m3: f64,
    /// Difference of catches that calls for another, %.
    pub catch_spread_pct: f64,
}

impl DrillParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("fertility.drill.{what}"));
        Self {
            fill_fraction: get("fill_fraction"),
            urea_density_max_kg_m3: lb_ft3_to_kg_m3(get("urea_density_max_lb_ft3")),
            catch_spread_pct: get("catch_spread_pct"),
        }
    }
}

/// Why a catch gives no correction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CatchError {
    /// Nothing caught.
    #[error("nothing was caught; open the gate, turn the meter full and catch again")]
    Empty,
    /// No area.
    #[error("the width and the distance of the catch must both be above zero")]
    NoArea,
    /// No setting.
    #[error("the wanted rate and the setting in use must both be above zero")]
    NoSetting,
}

/// A catch worked out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Catch {
    /// Mean rate of the catches, kg/ha.
    pub rate_kg_ha: f64,
    /// Error of the drill, % of the wanted rate; above zero sows too much.
    pub error_pct: f64,
    /// What the setting is multiplied by.
    pub correction: f64,
    /// The new setting, for a meter whose rate is in proportion to it.
    pub setting: f64,
    /// Largest less smallest catch, % of their mean.
    pub spread_pct: f64,
    /// The catches differ too much to be trusted.
    pub catch_again: bool,
}

/// Area, ha, of a strip.
pub fn strip_ha(width_m: f64, distance_m: f64) -> f64 {
    width_m * distance_m / 1e4
}

/// Width, m, that some of the openers stand for.
pub fn width_of_openers_m(openers: f64, spacing_m: f64) -> f64 {
    openers * spacing_m
}

/// Distance, m, that turns of the drive stand for, from the distance of one turn.
pub fn distance_of_turns_m(turns: f64, m_per_turn: f64) -> f64 {
    turns * m_per_turn
}

/// Works out catches, kg each, of one strip and setting, against the rate wanted, kg/ha.
///
/// # Errors
/// When nothing was caught, or the strip, the rate or the setting is none.
pub fn calibrate(
    catches_kg: &[f64],
    strip_ha: f64,
    wanted_kg_ha: f64,
    setting: f64,
    p: &DrillParams,
) -> Result<Catch, CatchError> {
    let positive = |x: f64| x.is_finite() && x > 0.0;
    if !positive(strip_ha) {
        return Err(CatchError::NoArea);
    }
    if !(positive(wanted_kg_ha) && positive(setting)) {
        return Err(CatchError::NoSetting);
    }
    if catches_kg.is_empty() || !catches_kg.iter().all(|c| positive(*c)) {
        return Err(CatchError::Empty);
    }
    let mean = catches_kg.iter().sum::<f64>() / catches_kg.len() as f64;
    let (low, high) = catches_kg.iter().fold((f64::INFINITY, 0.0f64), |(l, h), c| (l.min(*c), h.max(*c)));
    let rate = mean / strip_ha;
    let spread_pct = 100.0 * (high - low) / mean;
    Ok(Catch {
        rate_kg_ha: rate,
        error_pct: 100.0 * (rate / wanted_kg_ha - 1.0),
        correction: wanted_kg_ha / rate,
        setting: setting * wanted_kg_ha / rate,
        spread_pct,
        catch_again: spread_pct > p.catch_spread_pct,
    })
}

/// The nearest step of the drill to a rate (or setting) that does not pass `limit`. In the unit of its arguments.
///
/// ```
/// use stook_fertility::drill::to_step;
/// assert_eq!(to_step(19.6, 2.0, None), 20.0);
/// assert_eq!(to_step(19.6, 2.0, Some(19.9)), 18.0);
/// ```
pub fn to_step(wanted: f64, step: f64, limit: Option<f64>) -> f64 {
    if step <= 0.0 {
        return limit.map_or(wanted, |l| wanted.min(l)).max(0.0);
    }
    let nearest = (wanted / step).round();
    let most = limit.map_or(f64::INFINITY, |l| {
        let k = (l / step).floor();
        // the product may round up past the limit by a last bit
        if k * step > l { k - 1.0 } else { k }
    });
    (nearest.min(most).max(0.0)) * step
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> DrillParams {
        crate::FertilityParams::shipped().drill
    }

    #[test]
    fn what_is_no_catch() {
        assert_eq!(calibrate(&[], 0.1, 100.0, 50.0, &p()), Err(CatchError::Empty));
        assert_eq!(calibrate(&[0.0], 0.1, 100.0, 50.0, &p()), Err(CatchError::Empty));
        assert_eq!(calibrate(&[1.0], 0.0, 100.0, 50.0, &p()), Err(CatchError::NoArea));
        assert_eq!(calibrate(&[1.0], 0.1, 100.0, 0.0, &p()), Err(CatchError::NoSetting));
        assert!(calibrate(&[9.0, 10.0], 0.1, 100.0, 50.0, &p()).unwrap().catch_again);
        assert!(!calibrate(&[9.8, 10.0], 0.1, 100.0, 50.0, &p()).unwrap().catch_again);
        assert_eq!(to_step(-3.0, 1.0, None), 0.0);
        assert_eq!(to_step(3.3, 0.0, Some(2.0)), 2.0);
    }

    proptest! {
        #[test]
        fn the_corrected_setting_sows_what_is_wanted(caught in 1.0..50.0f64, wanted in 20.0..300.0f64, setting in 1.0..100.0f64) {
            let c = calibrate(&[caught], 0.1, wanted, setting, &p()).unwrap();
            // a meter in proportion: kg at the new setting
            let again = calibrate(&[caught * c.setting / setting], 0.1, wanted, c.setting, &p()).unwrap();
            prop_assert!((again.rate_kg_ha - wanted).abs() < 1e-9 * wanted && (again.correction - 1.0).abs() < 1e-9);
        }

        #[test]
        fn rounding_never_passes_a_limit(wanted in 0.0..300.0f64, step in 0.01..5.0f64, limit in 0.0..300.0f64) {
            let set = to_step(wanted, step, Some(limit));
            prop_assert!(set <= limit && set >= 0.0);
            prop_assert!(((set / step) - (set / step).round()).abs() < 1e-6);
            if wanted <= limit - step {
                prop_assert!((set - wanted).abs() <= 0.5 * step + 1e-9);
            }
        }
    }
}
