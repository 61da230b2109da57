//! Straw: how much there is, what it carries off, chop or bale, and whether it is spread to the full cut.

use serde::Serialize;
use stook_measure::Reference;

/// Coefficients `harvest.straw.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StrawParams {
    /// Straw and chaff left by the combine for each weight of grain.
    pub standing_per_grain: f64,
    /// Straw that a baler picks up for each weight of grain.
    pub baled_per_grain: f64,
    /// A bale, kg.
    pub bale_kg: f64,
    /// Nutrients in a tonne of straw, kg: N, P2O5, K2O.
    pub nutrients_kg_t: [f64; 3],
    /// Price of each, money/kg.
    pub nutrient_price_kg: [f64; 3],
    /// Share of the nitrogen that is counted: straw takes up as much as it gives in the first year.
    pub n_counts: f64,
    /// Share of potash that much rain washes back into the ground before baling.
    pub k_washed_most: f64,
    /// Rain that washes half as much, mm.
    pub k_half_rain_mm: f64,
    /// Baling, twine and stacking a bale, money.
    pub baling: f64,
    /// A bale sold from the yard, money.
    pub bale_price: f64,
    /// A bale bought in for bedding, money.
    pub bale_bought: f64,
    /// Chopping and spreading instead of dropping, money/ha.
    pub chop_per_ha: f64,
    /// Bedding for a finished pig in a straw barn, kg.
    pub bedding_pig_kg: f64,
    /// Bedding for a goat housed, kg a day.
    pub bedding_goat_kg_d: f64,
}

impl StrawParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.straw.{what}"));
        Self {
            standing_per_grain: get("standing_per_grain"),
            baled_per_grain: get("baled_per_grain"),
            bale_kg: get("bale_kg"),
            nutrients_kg_t: [get("n_kg_t"), get("p2o5_kg_t"), get("k2o_kg_t")],
            nutrient_price_kg: [get("n_price_kg"), get("p2o5_price_kg"), get("k2o_price_kg")],
            n_counts: get("n_counts"),
            k_washed_most: get("k_washed_most"),
            k_half_rain_mm: get("k_half_rain_mm"),
            baling: get("baling"),
            bale_price: get("bale_price"),
            bale_bought: get("bale_bought"),
            chop_per_ha: get("chop_per_ha"),
            bedding_pig_kg: get("bedding_pig_kg"),
            bedding_goat_kg_d: get("bedding_goat_kg_d"),
        }
    }
}

/// Straw of a hectare.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Straw {
    /// On the ground, kg/ha.
    pub on_ground_kg_ha: f64,
    /// That a baler picks up, kg/ha.
    pub baled_kg_ha: f64,
    /// Bales a hectare.
    pub bales_ha: f64,
}

/// Straw from a grain yield.
pub fn straw(yield_kg_ha: f64, p: &StrawParams) -> Straw {
    let baled = yield_kg_ha * p.baled_per_grain;
    Straw {
        on_ground_kg_ha: yield_kg_ha * p.standing_per_grain,
        baled_kg_ha: baled,
        bales_ha: baled / p.bale_kg,
    }
}

/// Share of potash still in straw after rain since it was cut: falls toward what much rain leaves.
pub fn potash_left(rain_mm: f64, p: &StrawParams) -> f64 {
    1.0 - p.k_washed_most * (1.0 - 0.5f64.powf(rain_mm.max(0.0) / p.k_half_rain_mm))
}

/// Nutrients a tonne of baled straw carries off, kg and money: N, P2O5, K2O.
pub fn carried_off(rain_mm: f64, p: &StrawParams) -> ([f64; 3], f64) {
    let [n, ph, k] = p.nutrients_kg_t;
    let kg = [n, ph, k * potash_left(rain_mm, p)];
    let money = kg[0] * p.n_counts * p.nutrient_price_kg[0]
        + kg[1] * p.nutrient_price_kg[1]
        + kg[2] * p.nutrient_price_kg[2];
    (kg, money)
}

/// What baling a hectare brings over chopping it, money/ha: the bales' worth less baling and the nutrients they carry
/// off, and the chopping saved.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Baling {
    /// Bales a hectare.
    pub bales_ha: f64,
    /// Their worth.
    pub worth: f64,
    /// Baling, twine, stacking.
    pub cost: f64,
    /// Nutrients carried off.
    pub nutrients: f64,
    /// Chopping saved.
    pub chopping: f64,
}

impl Baling {
    /// Money over chopping.
    pub fn gain(&self) -> f64 {
        self.worth - self.cost - self.nutrients + self.chopping
    }
}

/// Chop or bale, at a worth of each bale.
pub fn bale(yield_kg_ha: f64, bale_worth: f64, rain_mm: f64, p: &StrawParams) -> Baling {
    let s = straw(yield_kg_ha, p);
    Baling {
        bales_ha: s.bales_ha,
        worth: s.bales_ha * bale_worth,
        cost: s.bales_ha * p.baling,
        nutrients: s.baled_kg_ha / 1000.0 * carried_off(rain_mm, p).1,
        chopping: p.chop_per_ha,
    }
}

/// Bales of bedding: pigs finished a year in straw barns, goats housed for so many days.
pub fn bedding_bales(pigs: f64, goats: f64, goat_days: f64, p: &StrawParams) -> f64 {
    (pigs * p.bedding_pig_kg + goats * goat_days * p.bedding_goat_kg_d) / p.bale_kg
}

/// Coefficients `harvest.spread.*`: when straw lies even, and when a harrow spreads it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpreadParams {
    /// Share of the cut from which the spread counts as full.
    pub even_share: f64,
    /// Share under which a harrow pays its pass.
    pub harrow_share: f64,
    /// Rain of two days up to which straw is dry, mm.
    pub dry_rain_mm: f64,
    /// Afternoon humidity up to which straw breaks, %.
    pub dry_rh_pct: f64,
    /// Afternoon warmth from which straw breaks, C.
    pub warm_c: f64,
}

impl SpreadParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.spread.{what}"));
        Self {
            even_share: get("even_share"),
            harrow_share: get("harrow_share"),
            dry_rain_mm: get("dry_rain_mm"),
            dry_rh_pct: get("dry_rh_pct"),
            warm_c: get("warm_c"),
        }
    }

    /// Whether straw breaks and spreads under a harrow that afternoon.
    pub fn harrows(&self, rain_two_days_mm: f64, rh_min_pct: f64, tmax_c: f64) -> bool {
        rain_two_days_mm <= self.dry_rain_mm && rh_min_pct <= self.dry_rh_pct && tmax_c >= self.warm_c
    }
}

/// How thick straw lies where it falls, against spread over the whole cut: cut width over spread width.
pub fn thickness(cut_m: f64, spread_m: f64) -> f64 {
    cut_m / spread_m.min(cut_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> StrawParams {
        crate::HarvestParams::shipped().straw
    }

    proptest! {
        #[test]
        fn rain_leaves_less_to_carry_off(rain in 0.0..200.0f64, more in 0.0..50.0f64) {
            let p = p();
            prop_assert!((0.2 - 1e-9..=1.0).contains(&potash_left(rain, &p)));
            prop_assert!(carried_off(rain + more, &p).1 <= carried_off(rain, &p).1 + 1e-12);
        }

        #[test]
        fn the_gain_is_its_parts(y in 500.0..6000.0f64, worth in 0.0..80.0f64, rain in 0.0..60.0f64) {
            let b = bale(y, worth, rain, &p());
            prop_assert!((b.gain() - (b.worth - b.cost - b.nutrients + b.chopping)).abs() < 1e-9);
            // A dearer bale never makes baling worse.
            prop_assert!(bale(y, worth + 1.0, rain, &p()).gain() >= b.gain());
        }
    }
}
