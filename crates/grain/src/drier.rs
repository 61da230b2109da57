//! Heated-air drying: thin-layer laws, water and fuel, throughput, passes, and how hot the air may be.

use stook_measure::Reference;

use crate::grain::Grain;

/// Water taken from each kg of wet grain, kg: (M1 - M2) / (100 - M2), percent wet basis.
pub fn water_per_wet_kg(from_pct: f64, to_pct: f64) -> f64 {
    (from_pct - to_pct) / (100.0 - to_pct)
}

/// Rate constant of wheat in the Lewis law MR = exp(-k t), 1/h (O'Callaghan et al. 1971, from memory). An upper bound:
/// near outdoor temperatures half of it has been measured.
pub fn lewis_wheat_per_h(t_c: f64) -> f64 {
    3600.0 * 2000.0 * (-5094.0 / (t_c + 273.15)).exp()
}

/// Rate constant of barley, 1/h (Boyce 1966, from memory). An upper bound.
pub fn lewis_barley_per_h(t_c: f64) -> f64 {
    3600.0 * 139.3 * (-4426.0 / (t_c + 273.15)).exp()
}

/// Page law MR = exp(-k t^n) for corn, t in hours: (k, n) (Misra and Brooker 1980, listed in ASAE S448, from memory).
///
/// `speed_m_s` of the air, `rh_pct` its humidity, `m0_db_pct` the moisture at the start, dry basis.
pub fn page_corn(t_c: f64, rh_pct: f64, speed_m_s: f64, m0_db_pct: f64) -> (f64, f64) {
    let k = (-7.1735 + 1.2793 * (1.8 * t_c + 32.0).ln() + 0.1378 * speed_m_s).exp();
    (k, 0.0811 * rh_pct.ln() + 0.0078 * m0_db_pct)
}

/// Hours for a thin layer of corn to come to a moisture ratio in air of 140 to 300 F (Thompson 1968, from memory).
pub fn thompson_corn_hours(t_f: f64, moisture_ratio: f64) -> f64 {
    let a = -1.86178 + 0.00488 * t_f;
    let b = 427.374 * (-0.03301 * t_f).exp();
    let ln = moisture_ratio.ln();
    a * ln + b * ln * ln
}

/// Air temperature at which the milling quality of hard red spring wheat begins to suffer, C (NDSU 2007): 160 F at
/// 16 %, 120 F at 24 %, straight between, for 100 to 150 cfm/ft2; 10 F less at 50 cfm/ft2.
pub fn milling_damage_c(m_wb_pct: f64, slow_air: bool) -> f64 {
    let f = 160.0 - (m_wb_pct.clamp(16.0, 24.0) - 16.0) * 5.0 - if slow_air { 10.0 } else { 0.0 };
    (f - 32.0) / 1.8
}

/// What grain is dried for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// Seed or malting.
    Seed,
    /// Milling or crushing.
    Commercial,
    /// Feed.
    Feed,
}

/// Keys of the uses, for choices.
pub const USE_KEYS: [&str; 3] = ["seed", "commercial", "feed"];

impl Use {
    /// The use with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        [Self::Seed, Self::Commercial, Self::Feed]
            .into_iter()
            .zip(USE_KEYS)
            .find(|(_, k)| *k == key)
            .map(|p| p.0)
    }
}

/// Hottest air before the grain, C; `None` where no limit is published (flax; feed canola and soybean).
pub fn max_air_c(r: &Reference, grain: Grain, for_use: Use) -> Option<f64> {
    let name = format!("grain.drier.{}.max_{}_c", grain.family(), USE_KEYS[for_use as usize]);
    r.coefficient(&name).map(|c| c.value)
}

/// Numbers behind heated-air drying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrierParams {
    /// Heat of a litre of propane, MJ.
    pub propane_mj_l: f64,
    /// Heat of a cubic metre of natural gas, MJ.
    pub gas_mj_m3: f64,
    /// Fuel heat for each kg of water, MJ.
    pub mj_per_kg_water: f64,
    /// Most points in one pass.
    pub max_points_per_pass: f64,
    /// Weight lost in handling, percent of the wet weight.
    pub handling_pct: f64,
}

impl DrierParams {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            propane_mj_l: r.get("grain.drier.propane_mj_l"),
            gas_mj_m3: r.get("grain.drier.gas_mj_m3"),
            mj_per_kg_water: r.get("grain.drier.mj_per_kg_water"),
            max_points_per_pass: r.get("grain.drier.max_points_per_pass"),
            handling_pct: r.get("grain.drier.handling_pct"),
        }
    }

    /// Passes needed to take off the points between two moistures.
    pub fn passes(&self, from_pct: f64, to_pct: f64) -> u32 {
        ((from_pct - to_pct).max(0.0) / self.max_points_per_pass - 1e-9).ceil().max(0.0) as u32
    }

    /// Fuel heat, MJ, to dry `wet_kg`.
    pub fn heat_mj(&self, wet_kg: f64, from_pct: f64, to_pct: f64) -> f64 {
        wet_kg * water_per_wet_kg(from_pct, to_pct) * self.mj_per_kg_water
    }
}

/// Weight left after drying, kg: water by dry matter, handling as a percent of the wet weight.
pub fn dried_kg(wet_kg: f64, from_pct: f64, to_pct: f64, handling_pct: f64) -> f64 {
    wet_kg * (1.0 - water_per_wet_kg(from_pct, to_pct) - handling_pct / 100.0)
}

/// Wet grain through a drier, kg/h, from what it does at its rated points: throughput goes as one over water taken
/// from each kg, the burner and fan giving the same water an hour.
pub fn throughput_kg_h(rated_kg_h: f64, rated: (f64, f64), wanted: (f64, f64)) -> f64 {
    rated_kg_h * water_per_wet_kg(rated.0, rated.1) / water_per_wet_kg(wanted.0, wanted.1)
}

/// Wet grain through a drier, kg/h, from dry air (kg/h) and the water each kg of it takes along.
pub fn throughput_by_air_kg_h(air_kg_h: f64, carries: f64, from_pct: f64, to_pct: f64) -> f64 {
    air_kg_h * carries / water_per_wet_kg(from_pct, to_pct)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn limits_that_are_not_published_are_not_given() {
        let r = Reference::shipped();
        assert_eq!(max_air_c(&r, Grain::Canola, Use::Feed), None);
        assert_eq!(max_air_c(&r, Grain::Flax, Use::Seed), None);
        assert_eq!(max_air_c(&r, Grain::Durum, Use::Commercial), Some(65.0));
    }

    proptest! {
        #[test]
        fn drying_keeps_dry_matter(m1 in 14.0..30.0f64, m2 in 8.0..14.0f64) {
            let dry = dried_kg(1000.0, m1, m2, 0.0);
            prop_assert!((dry * (100.0 - m2) - 1000.0 * (100.0 - m1)).abs() < 1e-6);
            // In two passes as in one.
            let mid = f64::midpoint(m1, m2);
            prop_assert!((dried_kg(dried_kg(1000.0, m1, mid, 0.0), mid, m2, 0.0) - dry).abs() < 1e-9);
        }

        #[test]
        fn more_points_slower(m in 14.0..25.0f64) {
            let rate = |from| throughput_kg_h(20_000.0, (20.0, 15.0), (from, 13.5));
            prop_assert!(rate(m + 1.0) < rate(m));
        }
    }
}
