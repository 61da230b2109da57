//! What a field's soil is: its layers, checked.

use serde::{Deserialize, Serialize};

use crate::texture::{TextureClass, saxton_rawls};

/// Deepest profile, m.
pub const DEEPEST_M: f64 = 2.0;

/// What can be wrong with a soil.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SoilError {
    /// Sand and clay do not fit together.
    #[error(
        "sand {sand_pct:.0} % and clay {clay_pct:.0} % make more than 100 % or less than nothing; check the lab sheet"
    )]
    TextureSum {
        /// Sand, % by weight.
        sand_pct: f64,
        /// Clay, % by weight.
        clay_pct: f64,
    },
    /// Outside the range the equations were fitted on.
    #[error(
        "the soil's {what} is {value:.2} {unit}; the equations hold from {low} to {high} {unit}; put the nearest of these and give the measured field capacity and wilting point"
    )]
    OutOfRange {
        /// Which.
        what: &'static str,
        /// Given.
        value: f64,
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
        /// Unit.
        unit: &'static str,
    },
    /// The equations leave no room between the limits.
    #[error(
        "sand {sand_pct:.0} %, clay {clay_pct:.0} %, organic matter {om_pct:.1} % at density factor {density_factor} leaves no pores between wilting point, field capacity and saturation; lower the density factor"
    )]
    NoPores {
        /// Sand, % by weight.
        sand_pct: f64,
        /// Clay, % by weight.
        clay_pct: f64,
        /// Organic matter, %.
        om_pct: f64,
        /// Density factor.
        density_factor: f64,
    },
    /// Measured limits out of order.
    #[error(
        "layer {layer}: wilting point {wp:.3}, field capacity {fc:.3} and saturation {sat:.3} m3/m3 must rise in that order, each by 0.005 at the least"
    )]
    LimitsOutOfOrder {
        /// Layer number from 1.
        layer: usize,
        /// Wilting point.
        wp: f64,
        /// Field capacity.
        fc: f64,
        /// Saturation.
        sat: f64,
    },
    /// Layers out of order or too shallow or deep.
    #[error(
        "layer {layer} ends at {to_depth_m} m; each layer must end below the one above, the last between 0.4 and 2 m"
    )]
    Depths {
        /// Layer number from 1.
        layer: usize,
        /// Its lower end.
        to_depth_m: f64,
    },
    /// No layer.
    #[error("the soil has no layer; give at least one with its texture and the depth it reaches")]
    Empty,
}

/// One layer of soil.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Layer {
    /// Lower end, m below the surface.
    pub to_depth_m: f64,
    /// Sand, % by weight of the fine earth.
    pub sand_pct: f64,
    /// Clay, % by weight of the fine earth.
    pub clay_pct: f64,
    /// Organic matter, % by weight.
    pub om_pct: f64,
    /// Stones, % by volume.
    pub gravel_pct: f64,
    /// Density over the usual one of the texture, 0.9-1.3.
    pub density_factor: f64,
    /// Measured field capacity of the fine earth, m3/m3, in place of the estimate.
    pub measured_fc: Option<f64>,
    /// Measured wilting point of the fine earth, m3/m3, in place of the estimate.
    pub measured_wp: Option<f64>,
}

impl Layer {
    /// A layer of a texture class, without stones, of usual density.
    pub fn of_class(class: TextureClass, to_depth_m: f64, om_pct: f64) -> Self {
        let (sand, clay) = class.centre();
        Self {
            to_depth_m,
            sand_pct: 100.0 * sand,
            clay_pct: 100.0 * clay,
            om_pct,
            gravel_pct: 0.0,
            density_factor: 1.0,
            measured_fc: None,
            measured_wp: None,
        }
    }
}

/// What a layer holds, m3/m3 of soil with its stones.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Solved {
    pub(crate) to_m: f64,
    pub(crate) sand_pct: f64,
    pub(crate) clay_pct: f64,
    pub(crate) wp: f64,
    pub(crate) fc: f64,
    pub(crate) sat: f64,
    pub(crate) ksat_mm_h: f64,
    pub(crate) bulk_density: f64,
}

/// A checked soil profile.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    layers: Vec<Solved>,
}

impl Profile {
    /// Checks the layers, top first, and works out what each holds.
    ///
    /// # Errors
    /// The first thing wrong, in a sentence.
    pub fn new(layers: &[Layer]) -> Result<Self, SoilError> {
        let mut solved = Vec::with_capacity(layers.len());
        let mut top = 0.0;
        for (i, l) in layers.iter().enumerate() {
            let layer = i + 1;
            let last = layer == layers.len();
            if !(l.to_depth_m > top && l.to_depth_m <= DEEPEST_M) || (last && l.to_depth_m < 0.4) {
                return Err(SoilError::Depths { layer, to_depth_m: l.to_depth_m });
            }
            if !(0.0..=90.0).contains(&l.gravel_pct) {
                return Err(SoilError::OutOfRange {
                    what: "share of stones",
                    value: l.gravel_pct,
                    low: 0.0,
                    high: 90.0,
                    unit: "%",
                });
            }
            let w = saxton_rawls(l.sand_pct / 100.0, l.clay_pct / 100.0, l.om_pct, l.density_factor)?;
            let fc = l.measured_fc.unwrap_or(w.theta_fc);
            let wp = l.measured_wp.unwrap_or(w.theta_wp);
            let sat = w.theta_sat;
            if !(wp > 0.0 && fc >= wp + 0.005 && sat >= fc + 0.005) {
                return Err(SoilError::LimitsOutOfOrder { layer, wp, fc, sat });
            }
            let fine = 1.0 - l.gravel_pct / 100.0;
            solved.push(Solved {
                to_m: l.to_depth_m,
                sand_pct: l.sand_pct,
                clay_pct: l.clay_pct,
                wp: wp * fine,
                fc: fc * fine,
                sat: sat * fine,
                ksat_mm_h: w.ksat_mm_h,
                bulk_density: w.bulk_density,
            });
            top = l.to_depth_m;
        }
        if solved.is_empty() { Err(SoilError::Empty) } else { Ok(Self { layers: solved }) }
    }

    /// One texture all the way down; organic matter counts in the top 0.2 m and falls to a quarter below.
    ///
    /// # Errors
    /// When the depth or organic matter is out of range.
    pub fn uniform(class: TextureClass, depth_m: f64, om_pct: f64) -> Result<Self, SoilError> {
        Self::new(&[Layer::of_class(class, 0.2, om_pct), Layer::of_class(class, depth_m, om_pct / 4.0)])
    }

    /// Depth of the last layer, m.
    pub fn depth_m(&self) -> f64 {
        self.layers.last().map_or(0.0, |l| l.to_m)
    }

    /// Mean of something over a span of depth, weighted by thickness.
    pub(crate) fn mean(&self, from_m: f64, to_m: f64, what: impl Fn(&Solved) -> f64) -> f64 {
        let (mut top, mut sum) = (0.0, 0.0);
        for l in &self.layers {
            sum += (l.to_m.min(to_m) - from_m.max(top)).max(0.0) * what(l);
            top = l.to_m;
        }
        sum / (to_m - from_m).max(1e-9)
    }

    /// Conductivity of the slowest layer from `from_m` down, mm/h.
    pub(crate) fn slowest(&self, from_m: f64) -> f64 {
        self.layers.iter().filter(|l| l.to_m > from_m).map(|l| l.ksat_mm_h).fold(f64::INFINITY, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refuses_layers_out_of_order() {
        let l = |to| Layer::of_class(TextureClass::Loam, to, 2.0);
        assert!(matches!(Profile::new(&[l(0.5), l(0.4)]), Err(SoilError::Depths { layer: 2, .. })));
        assert!(matches!(Profile::new(&[l(0.2)]), Err(SoilError::Depths { layer: 1, .. })));
        assert_eq!(Profile::new(&[]), Err(SoilError::Empty));
        let mut odd = l(1.0);
        odd.measured_fc = Some(0.6);
        assert!(matches!(Profile::new(&[odd]), Err(SoilError::LimitsOutOfOrder { layer: 1, .. })));
    }
}
