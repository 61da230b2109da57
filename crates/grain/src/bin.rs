//! Bins: volumes by geometry, how full, room left, packing, coring and piles.

use std::f64::consts::PI;

use stook_measure::Reference;

use crate::grain::Grain;

/// Cubic metres in a cubic foot. Exact.
pub const M3_PER_FT3: f64 = 0.028_316_846_592;

/// The bottom of a bin.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Floor {
    /// Flat.
    Flat,
    /// A hopper below the wall.
    Hopper {
        /// Height from outlet to wall, m.
        height_m: f64,
        /// Diameter of the outlet, m.
        outlet_m: f64,
    },
}

/// A round bin.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Bin {
    /// Inside diameter, m.
    pub diameter_m: f64,
    /// Height of the wall from floor (or top of hopper) to eave, m.
    pub wall_m: f64,
    /// Bottom.
    pub floor: Floor,
}

/// What can be wrong with a bin or what is asked of it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BinError {
    /// Fuller than it can be.
    #[error(
        "{asked_m3:.0} m3 does not fit: the bin holds {holds_m3:.0} m3 heaped; check the size of the bin or the loads"
    )]
    OverFull {
        /// Asked.
        asked_m3: f64,
        /// Capacity.
        holds_m3: f64,
    },
}

/// Volume of a cylinder, m3.
pub fn cylinder_m3(diameter_m: f64, height_m: f64) -> f64 {
    PI * diameter_m * diameter_m / 4.0 * height_m
}

/// Volume of the heap on a round floor, m3: pi D^3 tan(a) / 24.
pub fn peak_m3(diameter_m: f64, angle_deg: f64) -> f64 {
    PI * diameter_m.powi(3) * angle_deg.to_radians().tan() / 24.0
}

/// Volume of a hopper, m3: pi h / 12 (D^2 + D d + d^2).
pub fn hopper_m3(height_m: f64, diameter_m: f64, outlet_m: f64) -> f64 {
    PI * height_m / 12.0 * (diameter_m * diameter_m + diameter_m * outlet_m + outlet_m * outlet_m)
}

/// Diameter, m, of a round pile of `volume_m3` at an angle: V = pi D^3 tan(a) / 24.
pub fn pile_diameter_m(volume_m3: f64, angle_deg: f64) -> f64 {
    (24.0 * volume_m3 / (PI * angle_deg.to_radians().tan())).cbrt()
}

impl Bin {
    /// Volume below the wall, m3.
    pub fn hopper_m3(&self) -> f64 {
        match self.floor {
            Floor::Flat => 0.0,
            Floor::Hopper { height_m, outlet_m } => hopper_m3(height_m, self.diameter_m, outlet_m),
        }
    }

    /// Volume filled to the eave, surface level, m3.
    pub fn level_m3(&self) -> f64 {
        self.hopper_m3() + cylinder_m3(self.diameter_m, self.wall_m)
    }

    /// Volume filled to the eave with a heap on top, m3.
    pub fn heaped_m3(&self, angle_deg: f64) -> f64 {
        self.level_m3() + peak_m3(self.diameter_m, angle_deg)
    }

    /// Volume with grain at `wall_depth_m` up the wall and a heap of `heap` (1 full, 0 level, -1 a full inverted
    /// cone left by coring), m3.
    pub fn filled_m3(&self, wall_depth_m: f64, heap: f64, angle_deg: f64) -> f64 {
        self.hopper_m3()
            + cylinder_m3(self.diameter_m, wall_depth_m)
            + heap * peak_m3(self.diameter_m, angle_deg)
    }

    /// Depth of the levelled surface above the floor (or outlet), m, for a volume.
    ///
    /// Above the eave the depth is that of a level column of the same volume: what matters for air and drawing.
    ///
    /// # Errors
    /// When the volume does not fit even heaped.
    pub fn level_depth_m(&self, volume_m3: f64, angle_deg: f64) -> Result<f64, BinError> {
        let holds_m3 = self.heaped_m3(angle_deg);
        if volume_m3 > holds_m3 * (1.0 + 1e-9) {
            return Err(BinError::OverFull { asked_m3: volume_m3, holds_m3 });
        }
        let area = cylinder_m3(self.diameter_m, 1.0);
        match self.floor {
            Floor::Hopper { height_m, outlet_m } if volume_m3 < self.hopper_m3() => {
                // Volume of the frustum up to height h grows as (d + s h)^3.
                let s = (self.diameter_m - outlet_m) / height_m;
                Ok(((outlet_m.powi(3) + 12.0 * s * volume_m3 / PI).cbrt() - outlet_m) / s)
            }
            Floor::Hopper { height_m, .. } => Ok(height_m + (volume_m3 - self.hopper_m3()) / area),
            Floor::Flat => Ok(volume_m3 / area),
        }
    }

    /// Room left above `volume_m3`, m3, filled heaped; never below nothing.
    pub fn room_m3(&self, volume_m3: f64, angle_deg: f64) -> f64 {
        (self.heaped_m3(angle_deg) - volume_m3).max(0.0)
    }

    /// Volume to draw right after filling, m3, to pull the fines out of the core: half the peak each time.
    pub fn coring_m3(&self, angle_deg: f64) -> f64 {
        peak_m3(self.diameter_m, angle_deg) / 2.0
    }
}

/// Angles and packing of a grain in a bin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heap {
    /// Filling angle, degrees.
    pub filling_deg: f64,
    /// Weight in a bin over volume x test weight.
    pub pack: f64,
    /// Uncertainty of `pack`, as a share.
    pub pack_uncertainty: f64,
    /// Hopper slope that empties dry grain, degrees.
    pub hopper_dry_deg: f64,
    /// Hopper slope that empties wet grain, degrees.
    pub hopper_wet_deg: f64,
}

impl Heap {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference, grain: Grain) -> Self {
        Self {
            filling_deg: r.get(&format!("grain.bin.{}.filling_angle", grain.family())),
            pack: r.get("grain.bin.pack"),
            pack_uncertainty: r.get("grain.bin.pack_uncertainty"),
            hopper_dry_deg: r.get("grain.bin.hopper_dry"),
            hopper_wet_deg: r.get("grain.bin.hopper_wet"),
        }
    }

    /// Mass in a bin, kg, from volume and test weight (kg/hL), packing included.
    pub fn mass_kg(&self, volume_m3: f64, test_weight_kg_hl: f64) -> f64 {
        volume_m3 * test_weight_kg_hl * 10.0 * self.pack
    }

    /// Volume in a bin, m3, of a mass at a test weight.
    pub fn volume_m3(&self, mass_kg: f64, test_weight_kg_hl: f64) -> f64 {
        mass_kg / (test_weight_kg_hl * 10.0 * self.pack)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn over_full_is_said() {
        let bin = Bin { diameter_m: 9.0, wall_m: 5.5, floor: Floor::Flat };
        let e = bin.level_depth_m(2000.0, 25.0).unwrap_err().to_string();
        assert!(e.contains("does not fit"), "{e}");
        assert_eq!(bin.room_m3(2000.0, 25.0), 0.0);
    }

    proptest! {
        #[test]
        fn depth_and_volume_agree(
            share in 0.0..1.0f64, d in 3.0..15.0f64, wall in 2.0..10.0f64, outlet in 0.2..1.0f64, h in 1.0..4.0f64,
        ) {
            for floor in [Floor::Flat, Floor::Hopper { height_m: h, outlet_m: outlet }] {
                let bin = Bin { diameter_m: d, wall_m: wall, floor };
                let v = share * bin.heaped_m3(25.0);
                let depth = bin.level_depth_m(v, 25.0).unwrap();
                let back = match floor {
                    Floor::Hopper { height_m, outlet_m } if depth < height_m => {
                        let across = outlet_m + (d - outlet_m) / height_m * depth;
                        hopper_m3(depth, across, outlet_m)
                    }
                    Floor::Hopper { height_m, .. } => bin.filled_m3(depth - height_m, 0.0, 25.0),
                    Floor::Flat => bin.filled_m3(depth, 0.0, 25.0),
                };
                prop_assert!((back - v).abs() < 1e-9 * v.max(1.0));
                prop_assert!((bin.room_m3(v, 25.0) + v - bin.heaped_m3(25.0)).abs() < 1e-9 * v.max(1.0));
            }
        }
    }
}
