//! Everything the daily step needs of a field's soil, worked out once.

use serde::{Deserialize, Serialize};

use crate::params::SoilParams;
use crate::profile::{Profile, Solved};
use crate::texture::TextureClass;
use crate::{dual, runoff};

/// Depth of the surface layer that evaporates and that light machines feel, m (FAO-56: 0.10-0.15).
pub const SURFACE_M: f64 = 0.10;
/// Spacing of the depth table, m.
const STEP_M: f64 = 0.05;
/// Entries of the depth table: one past the deepest profile.
const NODES: usize = 42;

/// How a field sheds water downward.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drainage {
    /// Well drained.
    #[default]
    Well,
    /// Moderately well drained.
    Moderate,
    /// Imperfectly drained.
    Imperfect,
    /// Poorly drained.
    Poor,
}

/// Water a span of soil holds, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capacity {
    /// At wilting point.
    pub wp_mm: f64,
    /// At field capacity.
    pub fc_mm: f64,
    /// At saturation.
    pub sat_mm: f64,
}

impl Capacity {
    /// What lies below a shallower span.
    #[must_use]
    pub fn less(self, upper: Self) -> Self {
        Self {
            wp_mm: self.wp_mm - upper.wp_mm,
            fc_mm: self.fc_mm - upper.fc_mm,
            sat_mm: self.sat_mm - upper.sat_mm,
        }
    }

    /// The water in a part of this span when the span holds `water_mm`, each part filled alike: in proportion
    /// to wilting point below it, to available water above it, to the large pores above field capacity.
    pub fn share(self, water_mm: f64, part: Self) -> f64 {
        if water_mm <= self.wp_mm {
            part.wp_mm * water_mm / self.wp_mm.max(1e-12)
        } else if water_mm <= self.fc_mm {
            part.wp_mm
                + (part.fc_mm - part.wp_mm) * (water_mm - self.wp_mm) / (self.fc_mm - self.wp_mm).max(1e-12)
        } else {
            part.fc_mm
                + (part.sat_mm - part.fc_mm) * (water_mm - self.fc_mm) / (self.sat_mm - self.fc_mm).max(1e-12)
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Node {
    /// From the surface to this depth.
    to_here: Capacity,
    /// Share of the excess that drains in a day from the span below the surface layer down to here.
    drain_upper: f64,
    /// The same from here to the bottom.
    drain_below: f64,
}

/// A field's soil ready for the daily step.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldSoil {
    nodes: [Node; NODES],
    /// Bottom of the profile, m.
    pub depth_m: f64,
    /// The surface layer.
    pub surface: Capacity,
    /// Driest the surface layer gets, mm: half the wilting point.
    pub surface_dry_mm: f64,
    /// Total evaporable water of the surface layer, mm.
    pub tew_mm: f64,
    /// Readily evaporable water of the surface layer, mm.
    pub rew_mm: f64,
    /// 1 / (TEW - REW), 1/mm.
    pub(crate) per_falling_mm: f64,
    /// Share of the surface layer's excess that drains in a day.
    pub surface_drain: f64,
    /// Curve number of average wetness.
    pub curve_number: f64,
    pub(crate) cn_wet: f64,
    /// Change of curve number per mm of surface depletion, and the depletions between which it changes.
    pub(crate) cn_per_mm: f64,
    pub(crate) cn_from_mm: f64,
    pub(crate) cn_to_mm: f64,
    /// Whole profile.
    pub whole: Capacity,
    /// Bulk density of the surface layer, Mg/m3.
    pub surface_bulk_density: f64,
}

impl FieldSoil {
    /// Works out what the daily step needs.
    pub fn new(profile: &Profile, drainage: Drainage, params: &SoilParams) -> Self {
        let depth_m = profile.depth_m();
        let class_factor = params.drain_class[drainage as usize];
        let capacity = |to_m: f64| {
            let mm = |what: fn(&Solved) -> f64| 1000.0 * to_m * profile.mean(0.0, to_m, what);
            Capacity { wp_mm: mm(|l| l.wp), fc_mm: mm(|l| l.fc), sat_mm: mm(|l| l.sat) }
        };
        let drain = |from_m: f64, to_m: f64| {
            if to_m <= from_m {
                return 0.0;
            }
            // Travel time through the large pores at the rate of the slowest layer on the way down.
            let pores_mm = 1000.0 * (to_m - from_m) * profile.mean(from_m, to_m, |l| l.sat - l.fc);
            let travel_h = pores_mm / profile.slowest(from_m);
            let by_travel = 1.0 - (-24.0 / travel_h).exp();
            let by_texture = drain_by_texture(profile.mean(from_m, to_m, |l| l.clay_pct), params);
            by_travel.min(by_texture) * class_factor
        };
        let nodes = std::array::from_fn(|i| {
            let at = (i as f64 * STEP_M).min(depth_m);
            Node {
                to_here: capacity(at.max(1e-9)),
                drain_upper: drain(SURFACE_M, at),
                drain_below: drain(at, depth_m),
            }
        });
        let surface = capacity(SURFACE_M);
        let sand = profile.mean(0.0, SURFACE_M, |l| l.sand_pct);
        let clay = profile.mean(0.0, SURFACE_M, |l| l.clay_pct);
        let tew_mm = surface.fc_mm - 0.5 * surface.wp_mm;
        // FAO-56 keeps REW below TEW; a stony or sandy layer needs the cap.
        let rew_mm = dual::readily_evaporable_mm(sand, clay).min(0.9 * tew_mm);
        let curve_number = params.curve_number[runoff::group(TextureClass::of(sand / 100.0, clay / 100.0))];
        let (cn_from_mm, cn_to_mm) = (0.5 * rew_mm, 0.7 * rew_mm + 0.3 * tew_mm);
        Self {
            nodes,
            depth_m,
            surface,
            surface_dry_mm: 0.5 * surface.wp_mm,
            tew_mm,
            rew_mm,
            per_falling_mm: 1.0 / (tew_mm - rew_mm),
            surface_drain: drain(0.0, SURFACE_M),
            curve_number,
            cn_wet: runoff::wet(curve_number),
            cn_per_mm: (runoff::dry(curve_number) - runoff::wet(curve_number)) / (cn_to_mm - cn_from_mm),
            cn_from_mm,
            cn_to_mm,
            whole: capacity(depth_m),
            surface_bulk_density: profile.mean(0.0, SURFACE_M, |l| l.bulk_density),
        }
    }

    fn place(&self, depth_m: f64) -> (usize, f64) {
        let place = depth_m.clamp(0.0, self.depth_m) * (1.0 / STEP_M);
        let i = place as usize;
        (i, place - i as f64)
    }

    /// What the soil holds from the surface to a depth, mm.
    pub fn capacity_to(&self, depth_m: f64) -> Capacity {
        if depth_m >= self.depth_m {
            return self.whole;
        }
        let (i, f) = self.place(depth_m);
        let (a, b) = (self.nodes[i].to_here, self.nodes[i + 1].to_here);
        Capacity {
            wp_mm: a.wp_mm + f * (b.wp_mm - a.wp_mm),
            fc_mm: a.fc_mm + f * (b.fc_mm - a.fc_mm),
            sat_mm: a.sat_mm + f * (b.sat_mm - a.sat_mm),
        }
    }

    /// Shares of the excess that drain in a day above and below a depth.
    pub(crate) fn drains_at(&self, depth_m: f64) -> (f64, f64) {
        let n = &self.nodes[self.place(depth_m).0];
        (n.drain_upper, n.drain_below)
    }

    /// Whether roots can go no deeper, m: a little above the bottom, so that the store below never vanishes.
    pub fn deepest_roots_m(&self) -> f64 {
        self.depth_m - STEP_M
    }
}

/// Share of the excess that drains in a day by clay content, straight lines through the three coefficients.
fn drain_by_texture(clay_pct: f64, params: &SoilParams) -> f64 {
    let [sand, loam, clay] = params.drain_fraction;
    if clay_pct <= 20.0 {
        sand + (loam - sand) * ((clay_pct - 5.0) / 15.0).clamp(0.0, 1.0)
    } else {
        loam + (clay - loam) * ((clay_pct - 20.0) / 30.0).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Layer;
    use crate::texture::saxton_rawls;
    use stook_measure::Reference;

    #[test]
    fn capacities_add_up_over_layers() {
        let params = SoilParams::from_reference(&Reference::shipped());
        let mut stony = Layer::of_class(TextureClass::Sand, 0.9, 0.5);
        stony.gravel_pct = 20.0;
        let profile = Profile::new(&[Layer::of_class(TextureClass::Clay, 0.4, 3.0), stony]).unwrap();
        let soil = FieldSoil::new(&profile, Drainage::Well, &params);
        let clay = saxton_rawls(0.25, 0.50, 3.0, 1.0).unwrap();
        let sand = saxton_rawls(0.88, 0.05, 0.5, 1.0).unwrap();
        let by_hand = 400.0 * clay.theta_fc + 500.0 * 0.8 * sand.theta_fc;
        assert!((soil.whole.fc_mm - by_hand).abs() < 1e-9);
        assert!((soil.capacity_to(0.2).fc_mm - 200.0 * clay.theta_fc).abs() < 1e-9);
        assert!((soil.tew_mm - 100.0 * (clay.theta_fc - 0.5 * clay.theta_wp)).abs() < 1e-9);
    }

    #[test]
    fn poor_drainage_and_clay_hold_water_longer() {
        let params = SoilParams::from_reference(&Reference::shipped());
        let drain =
            |class, d| FieldSoil::new(&Profile::uniform(class, 1.2, 3.0).unwrap(), d, &params).surface_drain;
        assert!(drain(TextureClass::Sand, Drainage::Well) > drain(TextureClass::Loam, Drainage::Well));
        assert!(drain(TextureClass::Loam, Drainage::Well) > drain(TextureClass::Clay, Drainage::Well));
        assert!(drain(TextureClass::Clay, Drainage::Poor) < drain(TextureClass::Clay, Drainage::Moderate));
    }
}
