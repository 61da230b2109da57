//! What a machine costs to own and mend, in percent of list price and in money a year.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;

/// Machines with a curve of remaining value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Owned {
    /// Tractor above 112 kW (150 hp).
    TractorLarge,
    /// Tractor of 60 to 112 kW.
    TractorMiddle,
    /// Combine.
    Combine,
}

impl Owned {
    /// All, in the order of [`CostParams::remaining`].
    pub const ALL: [Self; 3] = [Self::TractorLarge, Self::TractorMiddle, Self::Combine];
    /// Their keys in the reference and in calculators.
    pub const KEYS: [&'static str; 3] = ["tractor_large", "tractor_middle", "combine"];

    /// The machine with a key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::KEYS.iter().position(|k| *k == key).map(|i| Self::ALL[i])
    }
}

/// Coefficients `harvest.cost.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CostParams {
    /// C1, C2, C3 of remaining value by [`Owned`].
    pub remaining: [[f64; 3]; 3],
    /// Fuel, US gal/h for each PTO hp at the most.
    pub fuel_gal_h_hp: f64,
    /// Lubricants as a share of fuel.
    pub lubricant_share: f64,
    /// Hours of labour for each hour of a self-propelled machine.
    pub labour_per_machine_h: f64,
    /// Taxes, housing and insurance, % of the price a year.
    pub housing_pct: f64,
    /// Real interest, % a year.
    pub interest_pct: f64,
    /// Years a machine is kept.
    pub life_years: f64,
}

impl CostParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("harvest.cost.{what}"));
        Self {
            remaining: Owned::KEYS.map(|k| ["c1", "c2", "c3"].map(|c| get(&format!("remaining_{k}_{c}")))),
            fuel_gal_h_hp: get("fuel_gal_h_hp"),
            lubricant_share: get("lubricant_share"),
            labour_per_machine_h: get("labour_per_machine_h"),
            housing_pct: get("housing_pct"),
            interest_pct: get("interest_pct"),
            life_years: get("life_years"),
        }
    }
}

/// Remaining value, % of the list price of a like new machine: `100 (C1 - C2 sqrt(n) - C3 sqrt(h))^2`, held to 0 to 100.
/// Not for less than a year. Form and tractor row: Iowa State AgDM A3-29.
pub fn remaining_value_pct(machine: Owned, years: f64, hours_per_year: f64, p: &CostParams) -> f64 {
    let [c1, c2, c3] = p.remaining[machine as usize];
    let root = (c1 - c2 * years.sqrt() - c3 * hours_per_year.sqrt()).max(0.0);
    (100.0 * root * root).min(100.0)
}

/// Repairs so far, % of list price: `100 RF1 (h/1000)^RF2` (ASAE D497). The cost of a year is the difference of two.
pub fn accumulated_repair_pct(rf1: f64, rf2: f64, hours: f64) -> f64 {
    100.0 * rf1 * (hours / 1000.0).powf(rf2)
}

/// Annuity factor at `rate_pct` a year over `years`; one over the years when nothing is charged.
pub fn capital_recovery_factor(rate_pct: f64, years: f64) -> f64 {
    let i = rate_pct / 100.0;
    if i.abs() < 1e-12 {
        return 1.0 / years;
    }
    let grown = (1.0 + i).powf(years);
    i * grown / (grown - 1.0)
}

/// Depreciation and interest, money a year: `(P - S) CRF + S i`.
pub fn capital_recovery(purchase: f64, salvage: f64, rate_pct: f64, years: f64) -> f64 {
    (purchase - salvage) * capital_recovery_factor(rate_pct, years) + salvage * rate_pct / 100.0
}

/// Fuel and lubricant an hour: US gal of diesel, and money with lubricant on top.
pub fn fuel_per_h(pto_hp: f64, price_per_gal: f64, p: &CostParams) -> (f64, f64) {
    let gal = p.fuel_gal_h_hp * pto_hp;
    (gal, gal * price_per_gal * (1.0 + p.lubricant_share))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn older_and_harder_worked_is_worth_less(n in 1.0..25.0f64, h in 0.0..900.0f64, more in 0.0..5.0f64) {
            let p = crate::HarvestParams::shipped().costs;
            for m in Owned::ALL {
                let now = remaining_value_pct(m, n, h, &p);
                prop_assert!((0.0..=100.0).contains(&now));
                prop_assert!(remaining_value_pct(m, n + more, h, &p) <= now + 1e-9);
                prop_assert!(remaining_value_pct(m, n, h + 50.0 * more, &p) <= now + 1e-9);
            }
        }

        #[test]
        fn the_annuity_pays_the_loan_off(rate in 0.0..15.0f64, years in 1..30u8, loan in 1.0..1e6f64) {
            let pay = capital_recovery(loan, 0.0, rate, f64::from(years));
            let mut owed = loan;
            for _ in 0..years {
                owed = owed * (1.0 + rate / 100.0) - pay;
            }
            prop_assert!(owed.abs() < 1e-6 * loan);
        }
    }
}
