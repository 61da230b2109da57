//! What drying costs, and what water takes from the weight.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::{L_PER_US_GALLON, bushels_per_tonne};

/// Coefficients `harvest.drying.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DryingParams {
    /// Propane per bushel of corn per point to 15.5 %, US gal.
    pub propane_corn_gal_bu_point: f64,
    /// Electricity per bushel per point, kWh.
    pub fan_kwh_bu_point: f64,
    /// Price of propane, money/L.
    pub propane_price_l: f64,
    /// Price of electricity, money/kWh.
    pub power_price_kwh: f64,
    /// Weight lost in handling, % of the wet weight.
    pub handling_shrink_pct: f64,
    /// Most points in one pass.
    pub max_points_per_pass: f64,
    /// Hottest air by [`Use`], C.
    pub max_air_c: [f64; 3],
}

impl DryingParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.drying.{what}"));
        Self {
            propane_corn_gal_bu_point: get("propane_corn_gal_bu_point"),
            fan_kwh_bu_point: get("fan_kwh_bu_point"),
            propane_price_l: get("propane_price_l"),
            power_price_kwh: get("power_price_kwh"),
            handling_shrink_pct: get("handling_shrink_pct"),
            max_points_per_pass: get("max_points_per_pass"),
            max_air_c: [get("max_air_seed_c"), get("max_air_milling_c"), get("max_air_feed_c")],
        }
    }
}

/// What the wheat is for, which sets the hottest air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Use {
    /// Seed or malting.
    Seed,
    /// Milling and other commercial.
    Milling,
    /// Feed.
    Feed,
}

/// Hottest drying air, C, measured before the grain (Canadian Grain Commission).
pub fn max_air_c(purpose: Use, p: &DryingParams) -> f64 {
    p.max_air_c[purpose as usize]
}

/// Weight lost as water, %, exact: `100 (M1 - M2) / (100 - M2)`. Negative when the grain takes water up.
#[inline]
pub fn water_shrink_pct(from_pct: f64, to_pct: f64) -> f64 {
    100.0 * (from_pct - to_pct) / (100.0 - to_pct)
}

/// Weight lost as water for each point removed, %: `100 / (100 - M2)`.
#[inline]
pub fn shrink_per_point_pct(to_pct: f64) -> f64 {
    100.0 / (100.0 - to_pct)
}

/// Weight after drying and handling; the handling loss is a share of the wet weight.
#[inline]
pub fn dried_weight(wet: f64, from_pct: f64, to_pct: f64, handling_pct: f64) -> f64 {
    wet * (1.0 - (water_shrink_pct(from_pct, to_pct) + handling_pct) / 100.0)
}

/// Value lost, %, by selling drier than the market asks: water that was not sold.
#[inline]
pub fn overdry_loss_pct(actual_pct: f64, market_pct: f64) -> f64 {
    (100.0 * (market_pct - actual_pct) / (100.0 - actual_pct)).max(0.0)
}

/// Propane, US gal, per 60 lb bushel of wheat per point removed down to `to_pct`.
///
/// The corn figure scaled by the water in a point: `60/(100-M2)` against `56/(100-15.5)`, about 1.05 at 13.5 %.
#[inline]
pub fn propane_wheat_gal_bu_point(to_pct: f64, p: &DryingParams) -> f64 {
    p.propane_corn_gal_bu_point * (60.0 / (100.0 - to_pct)) / (56.0 / (100.0 - 15.5))
}

/// Fuel, power and money to dry wheat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DryingCost {
    /// Propane, L.
    pub propane_l: f64,
    /// Electricity, kWh.
    pub power_kwh: f64,
    /// Money for both.
    pub money: f64,
    /// Passes through the drier.
    pub passes: u32,
}

/// Cost of drying `wet_t` tonnes (as cut) from one moisture to another; nothing when it is dry enough.
///
/// Weight lost as water is not in it: it is not a cost where grain is paid on dry weight. See [`water_shrink_pct`].
#[inline]
pub fn drying_cost(wet_t: f64, from_pct: f64, to_pct: f64, p: &DryingParams) -> DryingCost {
    let points = (from_pct - to_pct).max(0.0);
    let bushel_points = points * wet_t * bushels_per_tonne(60.0);
    let propane_l = bushel_points * propane_wheat_gal_bu_point(to_pct, p) * L_PER_US_GALLON;
    let power_kwh = bushel_points * p.fan_kwh_bu_point;
    DryingCost {
        propane_l,
        power_kwh,
        money: propane_l * p.propane_price_l + power_kwh * p.power_price_kwh,
        passes: passes(from_pct, to_pct, p),
    }
}

/// Passes needed when no pass takes more than the most points allowed.
#[inline]
pub fn passes(from_pct: f64, to_pct: f64, p: &DryingParams) -> u32 {
    // The small step keeps six points exactly at one pass.
    (((from_pct - to_pct) / p.max_points_per_pass - 1e-9).ceil()).max(0.0) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> DryingParams {
        crate::HarvestParams::shipped().drying
    }

    #[test]
    fn wheat_takes_about_five_percent_more_than_corn() {
        let ratio = propane_wheat_gal_bu_point(13.5, &p()) / p().propane_corn_gal_bu_point;
        assert!((ratio - 1.05).abs() < 0.005, "{ratio}");
    }

    #[test]
    fn passes_are_whole() {
        assert_eq!(passes(14.0, 14.5, &p()), 0);
        assert_eq!(passes(20.5, 14.5, &p()), 1);
        assert_eq!(passes(20.6, 14.5, &p()), 2);
    }

    proptest! {
        #[test]
        fn dry_matter_is_kept(wet in 1.0..5000.0f64, from in 14.6..30.0f64, to in 10.0..14.5f64) {
            let after = dried_weight(wet, from, to, 0.0);
            prop_assert!((wet * (100.0 - from) - after * (100.0 - to)).abs() < 1e-9 * wet * 100.0);
        }

        #[test]
        fn wetter_costs_more(wet in 1.0..500.0f64, from in 10.0..25.0f64, more in 0.0..5.0f64) {
            let (a, b) = (drying_cost(wet, from, 14.5, &p()), drying_cost(wet, from + more, 14.5, &p()));
            prop_assert!(a.money >= 0.0 && b.money >= a.money && b.passes >= a.passes);
        }
    }
}
