//! The combine: what goes through it, what limits its speed, how soon its tank is full.

use serde::Serialize;
use stook_measure::Reference;
use stook_measure::units::{KG_PER_LB, L_PER_IMPERIAL_BUSHEL};

/// Coefficients `harvest.combine.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CombineParams {
    /// Straw and chaff for each weight of grain.
    pub mog_to_grain: f64,
    /// Straw and chaff the separator takes at the loss its owner accepts, t/h.
    pub mog_capacity_t_h: f64,
    /// Power threshing empty, kW.
    pub power_empty_kw: f64,
    /// Power for each t/h of straw and chaff, kW.
    pub power_kw_per_mog: f64,
    /// Machine loss aimed at, % of the crop.
    pub target_loss_pct: f64,
    /// Fastest speed the header cuts well at, km/h.
    pub header_speed_kmh: f64,
    /// Width the straw and chaff fall on with chopper and spreader off, m.
    pub discharge_m: f64,
    /// Kernels on a square foot for a bushel an acre, wheat of unknown kernel weight.
    pub kernels_wheat: f64,
    /// Exponent of loss against feed rate with fewer than two pan tests.
    pub loss_exponent: f64,
}

impl CombineParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.combine.{what}"));
        Self {
            mog_to_grain: get("mog_to_grain"),
            mog_capacity_t_h: get("mog_capacity_t_h"),
            power_empty_kw: get("power_empty_kw"),
            power_kw_per_mog: get("power_kw_per_mog"),
            target_loss_pct: get("target_loss_pct"),
            header_speed_kmh: get("header_speed_kmh"),
            discharge_m: get("discharge_m"),
            kernels_wheat: get("kernels_wheat"),
            loss_exponent: get("loss_exponent"),
        }
    }
}

/// Tonnes an hour from pounds a minute.
pub fn lb_min_to_t_h(lb_per_min: f64) -> f64 {
    lb_per_min * KG_PER_LB * 60.0 / 1000.0
}

/// Cubic metres of a volume in imperial bushels (8 gallons).
pub fn imperial_bushels_to_m3(bushels: f64) -> f64 {
    bushels * L_PER_IMPERIAL_BUSHEL / 1000.0
}

/// Straw and chaff, t/h, at a ground speed (full width, no turns).
pub fn mog_t_h(speed_kmh: f64, width_m: f64, yield_t_ha: f64, mog_to_grain: f64) -> f64 {
    speed_kmh * width_m * yield_t_ha / 10.0 * mog_to_grain
}

/// Ground speed, km/h, that feeds so much straw and chaff (Srivastava et al. 2006, eq. 15.2 rearranged).
pub fn speed_for_mog_kmh(mog_t_h: f64, width_m: f64, yield_t_ha: f64, mog_to_grain: f64) -> f64 {
    10.0 * mog_t_h / (width_m * yield_t_ha * mog_to_grain)
}

/// Ground speed, mph, that brings in so many bushels an hour (full width, no turns).
pub fn speed_for_bushels_mph(bu_h: f64, width_ft: f64, yield_bu_ac: f64) -> f64 {
    bu_h * 8.25 / (width_ft * yield_bu_ac)
}

/// Power for threshing and separating small grain, kW (ASAE D497, from memory, +/- 50 %). Driving, chopper and
/// unloading come on top.
pub fn power_kw(mog_t_h: f64, p: &CombineParams) -> f64 {
    p.power_empty_kw + p.power_kw_per_mog * mog_t_h
}

/// Straw and chaff, t/h, that the power left for threshing takes.
pub fn mog_for_power_t_h(power_kw: f64, p: &CombineParams) -> f64 {
    ((power_kw - p.power_empty_kw) / p.power_kw_per_mog).max(0.0)
}

/// Minutes until the tank is full; bushels, feet, mph, bu/ac.
pub fn tank_minutes(tank_bu: f64, width_ft: f64, speed_mph: f64, yield_bu_ac: f64) -> f64 {
    60.0 * tank_bu / (width_ft * speed_mph / 8.25 * yield_bu_ac)
}

/// Acres a tank comes from.
pub fn tank_acres(tank_bu: f64, yield_bu_ac: f64) -> f64 {
    tank_bu / yield_bu_ac
}

/// Feet driven while the tank fills: where to park the cart or the truck.
pub fn tank_feet(tank_bu: f64, width_ft: f64, yield_bu_ac: f64) -> f64 {
    tank_acres(tank_bu, yield_bu_ac) * 43_560.0 / width_ft
}

/// What can hold the speed down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// The separator at the loss accepted.
    Separator,
    /// Engine power.
    Power,
    /// The header.
    Header,
    /// Unloading and haul-off.
    Hauling,
}

impl Limit {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Separator => "the separator, at the loss you accept",
            Self::Power => "engine power",
            Self::Header => "the header",
            Self::Hauling => "hauling away from it",
        }
    }
}

/// Speeds allowed by each limit, km/h; infinite where a limit is not known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpeedLimits {
    /// By the separator.
    pub separator_kmh: f64,
    /// By power.
    pub power_kmh: f64,
    /// By the header.
    pub header_kmh: f64,
    /// By hauling.
    pub hauling_kmh: f64,
}

impl SpeedLimits {
    /// For a crop. `power_kw` is what is left for threshing; `haul_t_h` what the carts and trucks take away.
    pub fn of(
        width_m: f64,
        yield_t_ha: f64,
        mog_to_grain: f64,
        mog_capacity_t_h: f64,
        power_left_kw: Option<f64>,
        haul_t_h: Option<f64>,
        p: &CombineParams,
    ) -> Self {
        let by_mog = |mog: f64| speed_for_mog_kmh(mog, width_m, yield_t_ha, mog_to_grain);
        Self {
            separator_kmh: by_mog(mog_capacity_t_h),
            power_kmh: power_left_kw.map_or(f64::INFINITY, |kw| by_mog(mog_for_power_t_h(kw, p))),
            header_kmh: p.header_speed_kmh,
            hauling_kmh: haul_t_h.map_or(f64::INFINITY, |t| 10.0 * t / (width_m * yield_t_ha)),
        }
    }

    /// The least of them and what it is.
    pub fn least(&self) -> (f64, Limit) {
        [
            (self.separator_kmh, Limit::Separator),
            (self.power_kmh, Limit::Power),
            (self.header_kmh, Limit::Header),
            (self.hauling_kmh, Limit::Hauling),
        ]
        .into_iter()
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .expect("four limits")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn speed_and_feed_turn_about(v in 1.0..12.0f64, w in 3.0..18.0f64, y in 0.5..8.0f64, m in 0.5..2.0f64) {
            prop_assert!((speed_for_mog_kmh(mog_t_h(v, w, y, m), w, y, m) - v).abs() < 1e-9);
        }

        #[test]
        fn a_heavier_crop_is_cut_slower(w in 3.0..18.0f64, y in 0.5..7.0f64, more in 0.1..3.0f64) {
            let p = crate::HarvestParams::shipped().combine;
            let at = |y| SpeedLimits::of(w, y, 1.0, 20.0, Some(150.0), Some(40.0), &p).least().0;
            prop_assert!(at(y + more) <= at(y) + 1e-9);
        }

        #[test]
        fn a_tank_is_its_acres(tank in 50.0..600.0f64, w in 15.0..60.0f64, v in 1.0..7.0f64, y in 10.0..120.0f64) {
            let acres = w * v / 8.25 * tank_minutes(tank, w, v, y) / 60.0;
            prop_assert!((acres - tank_acres(tank, y)).abs() < 1e-9 * acres);
            prop_assert!((tank_feet(tank, w, y) * w / 43_560.0 - acres).abs() < 1e-9 * acres);
        }
    }
}
