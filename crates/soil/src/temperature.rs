//! Soil temperature from air temperature.

use serde::{Deserialize, Serialize};

use crate::params::SoilParams;

/// Days kept.
const KEPT: usize = 11;

/// Which depth is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum At {
    /// 5 cm, where seed lies.
    Seed,
    /// 10 cm.
    Ten,
}

/// Mean of daily temperatures, newest first, weighted from their count down to 1.
///
/// Source: open ecosystem model after Zheng, Hunt and Running (1993) Clim. Res. 2:183, with 11 days (weights sum to
/// 66).
pub fn weighted_mean(newest_first: impl ExactSizeIterator<Item = f64>) -> f64 {
    let n = newest_first.len();
    let (mut sum, mut weights) = (0.0, 0.0);
    for (i, t) in newest_first.enumerate() {
        let w = (n - i) as f64;
        sum += w * t;
        weights += w;
    }
    sum / weights
}

/// The running mean moved toward the annual mean of the air, which the deep soil holds.
pub fn shifted(mean_c: f64, annual_mean_c: f64, shift: f64) -> f64 {
    mean_c + shift * (annual_mean_c - mean_c)
}

/// Running soil temperature of a field.
///
/// Errors to expect: a national model fitted to stations still missed by 1.2-1.9 C (Horton and Corkrey 2011). Set
/// the shift to a soil sensor of the farm first.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SoilTemp {
    air_c: [f64; KEPT],
    newest: usize,
    window: usize,
    shift_bare: f64,
    shift_snow: f64,
    now_c: f64,
    days_above_zero: u16,
}

impl SoilTemp {
    /// Starts as if the last days all had been `tmean_c`.
    pub fn new(params: &SoilParams, at: At, tmean_c: f64) -> Self {
        let window = match at {
            At::Seed => params.temp_seed_window_days,
            At::Ten => params.temp_window_days,
        };
        Self {
            air_c: [tmean_c; KEPT],
            newest: 0,
            window: window.clamp(1, KEPT),
            shift_bare: params.temp_shift_bare,
            shift_snow: params.temp_shift_snow,
            now_c: tmean_c,
            days_above_zero: 0,
        }
    }

    /// Takes in a day and returns the soil temperature, C.
    pub fn step(&mut self, tmean_c: f64, snow_on_ground: bool, annual_mean_c: f64) -> f64 {
        self.newest = if self.newest == 0 { KEPT - 1 } else { self.newest - 1 };
        self.air_c[self.newest] = tmean_c;
        let (head, tail) = self.air_c.split_at(self.newest);
        // Newest first, around the ring.
        let (mut sum, mut w) = (0.0, self.window as f64);
        for t in tail.iter().chain(head).take(self.window) {
            sum += w * t;
            w -= 1.0;
        }
        let mean = sum / (0.5 * self.window as f64 * (self.window as f64 + 1.0));
        let shift = if snow_on_ground { self.shift_snow } else { self.shift_bare };
        self.now_c = shifted(mean, annual_mean_c, shift);
        self.days_above_zero = if self.now_c > 0.0 { self.days_above_zero.saturating_add(1) } else { 0 };
        self.now_c
    }

    /// The last temperature, C.
    pub fn now_c(&self) -> f64 {
        self.now_c
    }

    /// Days in a row above 0 C, up to and with the last.
    pub fn days_above_zero(&self) -> u16 {
        self.days_above_zero
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stook_measure::Reference;

    #[test]
    fn ring_and_list_agree() {
        let params = SoilParams::from_reference(&Reference::shipped());
        let mut soil = SoilTemp::new(&params, At::Ten, 0.0);
        let air: Vec<f64> = (0..30).map(|i| f64::from(i * 7 % 13) - 3.0).collect();
        for (i, t) in air.iter().enumerate() {
            let now = soil.step(*t, false, 3.0);
            if i >= 10 {
                let mean = weighted_mean(air[i - 10..=i].iter().rev().copied());
                assert!((now - shifted(mean, 3.0, params.temp_shift_bare)).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn steady_air_is_steady_soil_and_snow_holds_it_near_the_annual_mean() {
        let params = SoilParams::from_reference(&Reference::shipped());
        let mut soil = SoilTemp::new(&params, At::Seed, 10.0);
        assert!((soil.step(10.0, false, 10.0) - 10.0).abs() < 1e-12);
        let mut winter = SoilTemp::new(&params, At::Seed, -20.0);
        let (bare, snow) = (winter.step(-20.0, false, 3.0), winter.step(-20.0, true, 3.0));
        assert!(bare < snow && snow < 0.0);
    }
}
