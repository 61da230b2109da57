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
        assert!(shipped.all().filter(|c| c.name.starts_with("spray.")).count() == 9);
        assert_eq!(shipped.unread("spray.", SprayParams::from_reference), Vec::<String>::new());
    }
}
