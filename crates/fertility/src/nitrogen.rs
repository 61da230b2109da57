//! Nitrogen by budget: what the crop needs less what the land and the barn give.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::{bu_ac_to_kg_ha, lb_ac_to_kg_ha};

use crate::table;

const NEEDS: &str = include_str!("../../../reference/fertility-n-need.csv");
const CREDITS: &str = include_str!("../../../reference/fertility-n-credits.csv");

/// Pounds in a bushel of wheat: needs are printed a bushel.
const LB_PER_BU: f64 = 60.0;

/// Coefficients `fertility.nitrogen.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NitrogenParams {
    /// Yield below which a need per bushel is outside its range, kg/ha.
    pub warn_low_kg_ha: f64,
    /// Yield above which it is, kg/ha.
    pub warn_high_kg_ha: f64,
    /// Yield above which no budget is made, kg/ha.
    pub refuse_kg_ha: f64,
    /// After many years without tillage, kg/ha.
    pub no_till_long_kg_ha: f64,
    /// In the first years without tillage, kg/ha.
    pub no_till_short_kg_ha: f64,
    /// Years that make no-till long-term.
    pub no_till_long_years: f64,
    /// Organic matter from which nitrogen is taken off, %.
    pub om_from_pct: f64,
    /// Full points above this count, %.
    pub om_base_pct: f64,
    /// Taken off for each full point, kg/ha.
    pub om_per_point_kg_ha: f64,
    /// How well a rate is known either way, kg/ha.
    pub good_to_kg_ha: f64,
    /// Worth of nitrogen by [`Placement`], spring broadcast = 100.
    pub placement_value: [f64; 4],
}

impl NitrogenParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("fertility.nitrogen.{what}"));
        let yield_ = |what: &str| bu_ac_to_kg_ha(get(what), LB_PER_BU);
        let amount = |what: &str| lb_ac_to_kg_ha(get(what));
        Self {
            warn_low_kg_ha: yield_("warn_low_bu_ac"),
            warn_high_kg_ha: yield_("warn_high_bu_ac"),
            refuse_kg_ha: yield_("refuse_bu_ac"),
            no_till_long_kg_ha: amount("no_till_long_lb_ac"),
            no_till_short_kg_ha: amount("no_till_short_lb_ac"),
            no_till_long_years: get("no_till_long_years"),
            om_from_pct: get("om_from_pct"),
            om_base_pct: get("om_base_pct"),
            om_per_point_kg_ha: amount("om_per_point_lb_ac"),
            good_to_kg_ha: amount("good_to_lb_ac"),
            placement_value: [
                100.0,
                get("spring_band_value"),
                get("fall_band_value"),
                get("fall_broadcast_value"),
            ],
        }
    }
}

/// A published need of nitrogen a bushel, soil nitrate and fertilizer together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Need {
    /// Key.
    pub key: String,
    /// Where it was found.
    pub name: String,
    /// Used, lb N/bu.
    pub lb_n_per_bu: f64,
    /// Least printed.
    pub low: f64,
    /// Most printed.
    pub high: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

impl Need {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ROWS: LazyLock<Vec<Need>> = LazyLock::new(|| table::shipped("fertility-n-need.csv", NEEDS));
        &ROWS
    }

    /// One by its key.
    pub fn of(key: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|n| n.key == key)
    }

    /// Nitrogen for a mass of grain, kg/kg.
    pub fn kg_per_kg(&self) -> f64 {
        self.lb_n_per_bu / LB_PER_BU
    }
}

/// A published credit for the crop before.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Credit {
    /// Key.
    pub key: String,
    /// Crop and region.
    pub name: String,
    /// Flat, lb/ac.
    pub lb_n_ac: f64,
    /// By yield, lb N for 1,000 lb of it.
    pub lb_n_per_1000_lb: f64,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

impl Credit {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ROWS: LazyLock<Vec<Credit>> =
            LazyLock::new(|| table::shipped("fertility-n-credits.csv", CREDITS));
        &ROWS
    }

    /// One by its key.
    pub fn of(key: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|c| c.key == key)
    }

    /// Credit, kg/ha, after `yield_kg_ha` of that crop.
    pub fn kg_ha(&self, yield_kg_ha: f64) -> f64 {
        lb_ac_to_kg_ha(self.lb_n_ac) + yield_kg_ha * self.lb_n_per_1000_lb / 1000.0
    }
}

/// What goes into a budget, all kg/ha but the need.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Budget {
    /// Yield aimed at.
    pub yield_kg_ha: f64,
    /// Nitrogen a mass of grain, kg/kg.
    pub need_kg_per_kg: f64,
    /// Nitrate-N in 0-60 cm. Zero when the laboratory has taken it off already.
    pub soil_nitrate_kg_ha: f64,
    /// Credit for the crop before. Zero when the fall nitrate or the laboratory holds it already.
    pub previous_crop_kg_ha: f64,
    /// From manure, this year's and the carry-over.
    pub manure_kg_ha: f64,
    /// Anything else, with its sign: positive lowers the rate.
    pub other_kg_ha: f64,
    /// Most nitrogen in all the owner will see on the land, soil and fertilizer; the need is cut to it.
    pub supply_cap_kg_ha: Option<f64>,
}

/// A budget worked out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rate {
    /// Need of the crop after the owner's cap.
    pub need_kg_ha: f64,
    /// All that is there already.
    pub supply_kg_ha: f64,
    /// To buy, never negative.
    pub fertilizer_kg_ha: f64,
    /// There beyond the need: then no fertilizer is due.
    pub surplus_kg_ha: f64,
    /// The owner's cap is what held.
    pub capped: bool,
    /// The yield is outside what the need was calibrated on.
    pub outside_range: bool,
}

/// Why there is no budget.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BudgetError {
    /// Yield too high.
    #[error(
        "{yield_bu_ac:.0} bu/ac is above {most_bu_ac:.0}, where no data stand behind a need per bushel; lower the yield or use a response curve"
    )]
    YieldTooHigh {
        /// Asked, bu/ac.
        yield_bu_ac: f64,
        /// Most, bu/ac.
        most_bu_ac: f64,
    },
    /// A negative or missing number.
    #[error("the {0} is negative or not a number; check it")]
    Bad(&'static str),
}

/// Nitrogen to buy: need x yield less what is there, never below zero.
///
/// Form of the Univ. of Minnesota Extension (Fertilizing wheat); good to about 30 lb/ac either way.
///
/// # Errors
/// When the yield is beyond what stands behind a need per bushel, or an amount is negative.
///
/// ```
/// use stook_fertility::{FertilityParams, nitrogen};
/// use stook_measure::units::{bu_ac_to_kg_ha, kg_ha_to_lb_ac, lb_ac_to_kg_ha};
/// let b = nitrogen::Budget {
///     yield_kg_ha: bu_ac_to_kg_ha(60.0, 60.0),
///     need_kg_per_kg: nitrogen::Need::of("minnesota").unwrap().kg_per_kg(),
///     soil_nitrate_kg_ha: lb_ac_to_kg_ha(45.0),
///     previous_crop_kg_ha: lb_ac_to_kg_ha(10.0),
///     ..Default::default()
/// };
/// let rate = nitrogen::budget(&b, &FertilityParams::shipped().nitrogen).unwrap();
/// assert!((kg_ha_to_lb_ac(rate.fertilizer_kg_ha) - 95.0).abs() < 1e-9);
/// ```
pub fn budget(b: &Budget, p: &NitrogenParams) -> Result<Rate, BudgetError> {
    let parts = [
        ("yield", b.yield_kg_ha),
        ("need", b.need_kg_per_kg),
        ("soil nitrate", b.soil_nitrate_kg_ha),
        ("credit for the crop before", b.previous_crop_kg_ha),
        ("nitrogen from manure", b.manure_kg_ha),
        ("cap", b.supply_cap_kg_ha.unwrap_or(0.0)),
    ];
    if let Some((name, _)) = parts.iter().find(|(_, x)| !(x.is_finite() && *x >= 0.0)) {
        return Err(BudgetError::Bad(name));
    }
    if !b.other_kg_ha.is_finite() {
        return Err(BudgetError::Bad("other nitrogen"));
    }
    if b.yield_kg_ha > p.refuse_kg_ha {
        let bu = |kg: f64| kg / bu_ac_to_kg_ha(1.0, LB_PER_BU);
        return Err(BudgetError::YieldTooHigh {
            yield_bu_ac: bu(b.yield_kg_ha),
            most_bu_ac: bu(p.refuse_kg_ha),
        });
    }
    let full = b.need_kg_per_kg * b.yield_kg_ha;
    let need = b.supply_cap_kg_ha.map_or(full, |cap| full.min(cap));
    let supply = b.soil_nitrate_kg_ha + b.previous_crop_kg_ha + b.manure_kg_ha + b.other_kg_ha;
    Ok(Rate {
        need_kg_ha: need,
        supply_kg_ha: supply,
        fertilizer_kg_ha: (need - supply).max(0.0),
        surplus_kg_ha: (supply - need).max(0.0),
        capped: need < full,
        outside_range: !(p.warn_low_kg_ha..=p.warn_high_kg_ha).contains(&b.yield_kg_ha),
    })
}

/// Change of a North Dakota wheat rate, kg/ha, for years without tillage and for organic matter.
///
/// Source: summary of the December 2009 release of North Dakota State Univ. Zero years means tilled.
pub fn tillage_and_organic_matter_kg_ha(no_till_years: f64, om_pct: f64, p: &NitrogenParams) -> f64 {
    let tillage = if no_till_years >= p.no_till_long_years {
        p.no_till_long_kg_ha
    } else if no_till_years >= 1.0 {
        p.no_till_short_kg_ha
    } else {
        0.0
    };
    let points = if om_pct >= p.om_from_pct { (om_pct - p.om_base_pct).floor() } else { 0.0 };
    tillage - points * p.om_per_point_kg_ha
}

/// How and when nitrogen is put on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Placement {
    /// Spread in spring.
    SpringBroadcast,
    /// Banded in spring.
    SpringBand,
    /// Banded in fall.
    FallBand,
    /// Spread in fall.
    FallBroadcast,
}

/// What a rate made for spring broadcast is multiplied by for another placement (Manitoba form; the values are from
/// memory, so leave it off until the local table is confirmed).
pub fn placement_factor(how: Placement, p: &NitrogenParams) -> f64 {
    p.placement_value[Placement::SpringBroadcast as usize] / p.placement_value[how as usize]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> NitrogenParams {
        crate::FertilityParams::shipped().nitrogen
    }

    fn wheat(yield_bu: f64, nitrate_lb: f64) -> Budget {
        Budget {
            yield_kg_ha: bu_ac_to_kg_ha(yield_bu, 60.0),
            need_kg_per_kg: 2.5 / 60.0,
            soil_nitrate_kg_ha: lb_ac_to_kg_ha(nitrate_lb),
            ..Budget::default()
        }
    }

    #[test]
    fn limits_of_the_budget() {
        let over = budget(&wheat(40.0, 130.0), &p()).unwrap();
        assert!(over.fertilizer_kg_ha == 0.0 && (over.surplus_kg_ha - lb_ac_to_kg_ha(30.0)).abs() < 1e-9);
        assert!(budget(&wheat(110.0, 0.0), &p()).unwrap().outside_range);
        let e = budget(&wheat(111.0, 0.0), &p()).unwrap_err();
        assert!(e.to_string().starts_with("111 bu/ac is above 110"), "{e}");
        assert!(!budget(&wheat(70.0 - 1e-9, 0.0), &p()).unwrap().outside_range);
        assert_eq!(budget(&wheat(40.0, -1.0), &p()), Err(BudgetError::Bad("soil nitrate")));
        let capped = budget(&Budget { supply_cap_kg_ha: Some(100.0), ..wheat(60.0, 0.0) }, &p()).unwrap();
        assert!(capped.capped && capped.fertilizer_kg_ha == 100.0);
    }

    #[test]
    fn tables_are_sound() {
        for n in Need::shipped() {
            assert!(n.low <= n.lb_n_per_bu && n.lb_n_per_bu <= n.high && !n.source.is_empty(), "{}", n.key);
        }
        let pea = Credit::of("pea_by_yield").unwrap();
        assert!((pea.kg_ha(lb_ac_to_kg_ha(2400.0)) - lb_ac_to_kg_ha(12.0)).abs() < 1e-9);
        assert!(Credit::shipped().iter().all(|c| c.lb_n_ac >= 0.0 && !c.source.is_empty()));
    }

    proptest! {
        #[test]
        fn the_budget_closes(
            bu in 0.0..110.0f64, need in 1.5..4.0f64, soil in 0.0..200.0f64, credit in 0.0..60.0f64,
            manure in 0.0..150.0f64, other in -30.0..30.0f64,
        ) {
            let b = Budget {
                yield_kg_ha: bu_ac_to_kg_ha(bu, 60.0),
                need_kg_per_kg: need / 60.0,
                soil_nitrate_kg_ha: soil,
                previous_crop_kg_ha: credit,
                manure_kg_ha: manure,
                other_kg_ha: other,
                supply_cap_kg_ha: None,
            };
            let r = budget(&b, &p()).unwrap();
            prop_assert!(r.fertilizer_kg_ha >= 0.0 && r.surplus_kg_ha >= 0.0);
            prop_assert!(r.fertilizer_kg_ha == 0.0 || r.surplus_kg_ha == 0.0);
            prop_assert!((r.supply_kg_ha + r.fertilizer_kg_ha - r.surplus_kg_ha - r.need_kg_ha).abs() < 1e-9);
            let more = budget(&Budget { soil_nitrate_kg_ha: soil + 10.0, ..b }, &p()).unwrap();
            prop_assert!(more.fertilizer_kg_ha <= r.fertilizer_kg_ha);
        }
    }
}
