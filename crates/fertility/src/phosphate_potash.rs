//! Phosphate and potash by four ways of thinking, side by side.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::{bu_ac_to_kg_ha, lb_ac_to_kg_ha};

/// Coefficients of one of the two, in SI.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OneParams {
    /// Oxide a mass of grain with nothing in the soil, kg/kg.
    pub intercept_kg_per_kg: f64,
    /// Less for each ppm, kg/kg.
    pub slope_kg_per_kg: f64,
    /// Oxide over removal that raises the test by one ppm, kg/ha.
    pub build_kg_ha_per_ppm: f64,
    /// Test to build up to, ppm.
    pub build_to_ppm: f64,
    /// Test above which nothing is put back, ppm.
    pub maintain_to_ppm: f64,
}

/// Coefficients `fertility.phosphate.*` and `fertility.potash.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PhosphatePotashParams {
    /// Phosphate, by the Olsen test.
    pub phosphate: OneParams,
    /// Potash, by ammonium acetate.
    pub potash: OneParams,
    /// Years a build-up is spread over.
    pub build_years: f64,
    /// Phosphate of the starter-only way, kg/ha.
    pub starter_p2o5_kg_ha: f64,
    /// Broadcast potash against placed.
    pub potash_broadcast_factor: f64,
}

impl PhosphatePotashParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let one = |what: &str| {
            let get = |key: &str| r.get(&format!("fertility.{what}.{key}"));
            OneParams {
                intercept_kg_per_kg: get("equation_intercept") / 60.0,
                slope_kg_per_kg: get("equation_slope") / 60.0,
                build_kg_ha_per_ppm: lb_ac_to_kg_ha(get("build_lb_per_ppm")),
                build_to_ppm: get("build_to_ppm"),
                maintain_to_ppm: get("maintain_to_ppm"),
            }
        };
        Self {
            phosphate: one("phosphate"),
            potash: one("potash"),
            build_years: r.get("fertility.build_years"),
            starter_p2o5_kg_ha: lb_ac_to_kg_ha(r.get("fertility.starter_p2o5_lb_ac")),
            potash_broadcast_factor: r.get("fertility.potash.broadcast_factor"),
        }
    }
}

/// How phosphate and potash are thought of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Strategy {
    /// Feed the crop: what this year's crop will pay for.
    Sufficiency,
    /// Put back what the crop takes.
    Replacement,
    /// Feed the soil: raise the test over some years, then put back.
    BuildAndMaintain,
    /// A little beside the seed and no more.
    Starter,
}

/// The rates of all ways for one nutrient, kg/ha of oxide.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SideBySide {
    /// By sufficiency. From an equation of the Univ. of Minnesota and South Dakota State Univ. that is from memory.
    pub sufficiency_kg_ha: f64,
    /// By replacement.
    pub replacement_kg_ha: f64,
    /// By build and maintain.
    pub build_kg_ha: f64,
    /// The part of it that raises the test.
    pub of_which_build_kg_ha: f64,
}

impl SideBySide {
    /// The rate of one way, kg/ha; `starter_kg_ha` is the starter's, zero for a nutrient that has none.
    pub fn by(&self, strategy: Strategy, starter_kg_ha: f64) -> f64 {
        match strategy {
            Strategy::Sufficiency => self.sufficiency_kg_ha,
            Strategy::Replacement => self.replacement_kg_ha,
            Strategy::BuildAndMaintain => self.build_kg_ha,
            Strategy::Starter => starter_kg_ha,
        }
    }
}

/// Potash to broadcast, kg/ha, in place of a rate meant for beside the seed or a band. Work it in.
pub fn broadcast_potash_kg_ha(placed_kg_ha: f64, p: &PhosphatePotashParams) -> f64 {
    placed_kg_ha * p.potash_broadcast_factor
}

/// The rates of the ways, kg/ha, for a yield in kg/ha, a test in ppm (element) and the removal by the crop, kg/ha.
pub fn side_by_side(
    test_ppm: f64,
    yield_kg_ha: f64,
    removal_kg_ha: f64,
    years: f64,
    p: &OneParams,
) -> SideBySide {
    let per_kg = (p.intercept_kg_per_kg - p.slope_kg_per_kg * test_ppm).max(0.0);
    let build = (p.build_to_ppm - test_ppm).max(0.0) * p.build_kg_ha_per_ppm / years.max(1.0);
    let maintain = if test_ppm <= p.maintain_to_ppm { removal_kg_ha } else { 0.0 };
    SideBySide {
        sufficiency_kg_ha: per_kg * yield_kg_ha,
        replacement_kg_ha: removal_kg_ha,
        build_kg_ha: build + maintain,
        of_which_build_kg_ha: build,
    }
}

/// Test, ppm, at which the sufficiency equation comes to zero.
pub fn enough_ppm(p: &OneParams) -> f64 {
    p.intercept_kg_per_kg / p.slope_kg_per_kg
}

/// A yield in bushels of 60 lb, for the printed form of the equations.
pub fn wheat_kg_ha(bu_ac: f64) -> f64 {
    bu_ac_to_kg_ha(bu_ac, 60.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn zero_points_of_the_equations() {
        let p = crate::FertilityParams::shipped().phosphate_potash;
        assert!((enough_ppm(&p.phosphate) - 16.0).abs() < 0.05);
        assert!((enough_ppm(&p.potash) - 160.0).abs() < 1.0);
    }

    proptest! {
        #[test]
        fn a_richer_soil_never_wants_more(
            test in 0.0..400.0f64, more in 0.0..50.0f64, yield_ in 500.0..7000.0f64, removal in 0.0..60.0f64,
        ) {
            let p = crate::FertilityParams::shipped().phosphate_potash;
            for one in [&p.phosphate, &p.potash] {
                let a = side_by_side(test, yield_, removal, p.build_years, one);
                let b = side_by_side(test + more, yield_, removal, p.build_years, one);
                prop_assert!(b.sufficiency_kg_ha <= a.sufficiency_kg_ha && b.build_kg_ha <= a.build_kg_ha);
                prop_assert!(a.sufficiency_kg_ha >= 0.0 && a.build_kg_ha >= 0.0);
                prop_assert!(a.of_which_build_kg_ha <= a.build_kg_ha);
                let bigger = side_by_side(test, yield_ * 1.1, removal, p.build_years, one);
                prop_assert!(bigger.sufficiency_kg_ha >= a.sufficiency_kg_ha);
            }
        }

        #[test]
        fn the_build_reaches_its_level(test in 0.0..16.0f64) {
            let p = crate::FertilityParams::shipped().phosphate_potash;
            let one = side_by_side(test, 3000.0, 25.0, p.build_years, &p.phosphate);
            let raised = one.of_which_build_kg_ha * p.build_years / p.phosphate.build_kg_ha_per_ppm;
            prop_assert!((test + raised - p.phosphate.build_to_ppm).abs() < 1e-9);
        }
    }
}
