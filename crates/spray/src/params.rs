//! Coefficients of `reference/spray.csv`.

use std::sync::LazyLock;

use stook_measure::Reference;

/// Coefficients of this crate and of the spraying pages.
#[derive(Debug, Clone, PartialEq)]
pub struct SprayParams {
    /// Pressure a nozzle is sized at, kPa.
    pub rated_kpa: f64,
    /// Off the mean of the boom, %, at which a nozzle is out.
    pub uneven_pct: f64,
    /// Over a new nozzle, %, at which the set is worn.
    pub worn_pct: f64,
    /// Regrowth a thistle needs before a fall spray, cm.
    pub regrowth_cm: f64,
    /// Night that ends good leaf, C.
    pub kill_c: f64,
    /// Night from which leaf is to be looked at, C.
    pub good_leaf_c: f64,
    /// Days volunteers must be dead before wheat.
    pub volunteers_days: f64,
    /// Days before seeding from which a burn-off is looked at.
    pub burnoff_days: f64,
    /// Share of yield kept by burning off early in place of late.
    pub burnoff_gain_share: f64,
    /// Days over which it is lost.
    pub burnoff_over_days: f64,
    /// Burning off, money/ha.
    pub burnoff_per_ha: f64,
    /// Spraying stubble, money/ha.
    pub stubble_per_ha: f64,
    /// Water that green on stubble takes, mm/d.
    pub stubble_water_mm_d: f64,
    /// The most of it, mm.
    pub stubble_water_most_mm: f64,
    /// Share of it still there for the next crop.
    pub stubble_water_kept: f64,
    /// Share of yield lost inside a thistle patch.
    pub patch_loss: f64,
    /// Share of shoots a spray takes out of next year.
    pub patch_control: f64,
    /// Days from a head spray to the earliest cut when no product says so.
    pub pre_harvest_days: f64,
}

impl SprayParams {
    /// Reads `spray.*` of the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |name: &str| r.get(&format!("spray.{name}"));
        Self {
            rated_kpa: get("nozzle.rated_kpa"),
            uneven_pct: get("nozzle.uneven_pct"),
            worn_pct: get("nozzle.worn_pct"),
            regrowth_cm: get("stubble.regrowth_cm"),
            kill_c: get("stubble.kill_c"),
            good_leaf_c: get("stubble.good_leaf_c"),
            volunteers_days: get("stubble.volunteers_days"),
            burnoff_days: get("burnoff.days_before"),
            burnoff_gain_share: get("burnoff.gain_share"),
            burnoff_over_days: get("burnoff.over_days"),
            burnoff_per_ha: get("burnoff.cost_per_ha"),
            stubble_per_ha: get("stubble.cost_per_ha"),
            stubble_water_mm_d: get("stubble.water_mm_d"),
            stubble_water_most_mm: get("stubble.water_most_mm"),
            stubble_water_kept: get("stubble.water_kept"),
            patch_loss: get("stubble.patch_loss"),
            patch_control: get("stubble.patch_control"),
            pre_harvest_days: get("pre_harvest.days"),
        }
    }

    /// The shipped coefficients, read once: what the calculators use.
    pub fn shipped() -> &'static Self {
        static SHIPPED: LazyLock<SprayParams> =
            LazyLock::new(|| SprayParams::from_reference(&Reference::shipped()));
        &SHIPPED
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A coefficient that no model reads would let a farm set its own number to no effect.
    #[test]
    fn every_coefficient_is_read() {
        let shipped = Reference::shipped();
        assert!(shipped.all().filter(|c| c.name.starts_with("spray.")).count() == 18);
        assert_eq!(shipped.unread("spray.", SprayParams::from_reference), Vec::<String>::new());
    }
}
