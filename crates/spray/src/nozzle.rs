//! What a nozzle gives, how fast to drive for a rate, and what rate was worked.

use serde::Serialize;

/// Litres in a US gallon.
pub const L_PER_US_GAL: f64 = 3.785_411_784;
/// Litres in an imperial gallon.
pub const L_PER_IMP_GAL: f64 = 4.546_09;

/// Rate of a boom, L/ha, from one nozzle's output, its spacing and the speed: area covered in a minute by one nozzle is
/// speed times spacing.
pub fn rate_l_ha(output_l_min: f64, speed_kmh: f64, spacing_m: f64) -> f64 {
    600.0 * output_l_min / (speed_kmh * spacing_m)
}

/// Output one nozzle must have for a rate, L/min.
pub fn output_for_rate(rate_l_ha: f64, speed_kmh: f64, spacing_m: f64) -> f64 {
    rate_l_ha * speed_kmh * spacing_m / 600.0
}

/// Speed at which an output gives a rate, km/h.
pub fn speed_for_rate(rate_l_ha: f64, output_l_min: f64, spacing_m: f64) -> f64 {
    600.0 * output_l_min / (rate_l_ha * spacing_m)
}

/// Output at another pressure: flow goes with the square root of it.
pub fn output_at(output_l_min: f64, at_kpa: f64, other_kpa: f64) -> f64 {
    output_l_min * (other_kpa / at_kpa).sqrt()
}

/// Pressure at which a nozzle gives an output, kPa.
pub fn pressure_for(output_l_min: f64, at_kpa: f64, wanted_l_min: f64) -> f64 {
    at_kpa * (wanted_l_min / output_l_min).powi(2)
}

/// Output of a nozzle by its size (tenths of a US gallon a minute at the rated pressure), L/min.
pub fn output_of_size(size: f64) -> f64 {
    size * 0.1 * L_PER_US_GAL
}

/// Speed over a measured course, km/h.
pub fn speed_kmh(course_m: f64, seconds: f64) -> f64 {
    3.6 * course_m / seconds
}

/// A catch of every nozzle, or of some.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Catch {
    /// Mean output, L/min.
    pub mean_l_min: f64,
    /// Each nozzle against the mean, %.
    pub off_pct: Vec<f64>,
    /// Places, from 1, of nozzles further off than allowed.
    pub out: Vec<usize>,
    /// Mean over a new nozzle, %; none when that is not known.
    pub worn_pct: Option<f64>,
}

/// Judges a catch. `new_l_min` is a new nozzle's output at this pressure.
pub fn judge_catch(caught_l: &[f64], seconds: f64, new_l_min: Option<f64>, uneven_pct: f64) -> Option<Catch> {
    if caught_l.is_empty() || !(seconds > 0.0) {
        return None;
    }
    let each: Vec<f64> = caught_l.iter().map(|l| l * 60.0 / seconds).collect();
    let mean = each.iter().sum::<f64>() / each.len() as f64;
    if !(mean > 0.0) {
        return None;
    }
    let off_pct: Vec<f64> = each.iter().map(|x| 100.0 * (x / mean - 1.0)).collect();
    let out = off_pct.iter().enumerate().filter(|(_, x)| x.abs() > uneven_pct).map(|(i, _)| i + 1).collect();
    let worn_pct = new_l_min.filter(|n| *n > 0.0).map(|n| 100.0 * (mean / n - 1.0));
    Some(Catch { mean_l_min: mean, off_pct, out, worn_pct })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_blocked_nozzle_is_found() {
        let c =
            judge_catch(&[0.75, 0.75, 0.60, 0.75, 0.75, 0.75, 0.75, 0.75], 60.0, Some(0.75), 5.0).unwrap();
        assert_eq!(c.out, [3]);
        assert!(c.worn_pct.unwrap() < 0.0);
        assert!(
            judge_catch(&[], 60.0, None, 5.0).is_none() && judge_catch(&[0.0], 60.0, None, 5.0).is_none()
        );
    }

    proptest! {
        #[test]
        fn there_and_back(rate in 30.0..400.0f64, speed in 4.0..30.0f64, spacing in 0.25..1.0f64, kpa in 100.0..600.0f64) {
            let q = output_for_rate(rate, speed, spacing);
            prop_assert!((rate_l_ha(q, speed, spacing) - rate).abs() < 1e-9 * rate);
            prop_assert!((speed_for_rate(rate, q, spacing) - speed).abs() < 1e-9 * speed);
            let other = output_at(q, 276.0, kpa);
            prop_assert!((pressure_for(q, 276.0, other) - kpa).abs() < 1e-6 * kpa);
            // Twice the flow takes four times the pressure.
            prop_assert!((pressure_for(q, kpa, 2.0 * q) / kpa - 4.0).abs() < 1e-9);
        }
    }
}
