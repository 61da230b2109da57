//! What an hour of a machine costs its owner: wear, interest, shelter, repairs.

use serde::Serialize;
use stook_measure::Reference;

use crate::costs::{CostParams, Owned, accumulated_repair_pct, remaining_value_pct};

/// Kinds of machine with repair factors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Grain drill.
    Drill,
    /// Boom sprayer.
    Sprayer,
    /// Self-propelled combine.
    Combine,
    /// Spring-tooth or heavy harrow.
    Harrow,
    /// Grain cart.
    Cart,
    /// Four-wheel-drive tractor.
    Tractor,
}

impl Kind {
    /// All, in the order of [`OwningParams::repair`].
    pub const ALL: [Self; 6] =
        [Self::Drill, Self::Sprayer, Self::Combine, Self::Harrow, Self::Cart, Self::Tractor];

    fn key(self) -> &'static str {
        match self {
            Self::Drill => "drill",
            Self::Sprayer => "sprayer",
            Self::Combine => "combine",
            Self::Harrow => "harrow",
            Self::Cart => "cart",
            Self::Tractor => "tractor",
        }
    }

    /// The curve of remaining value, where one is read.
    fn curve(self) -> Option<Owned> {
        match self {
            Self::Combine => Some(Owned::Combine),
            Self::Tractor => Some(Owned::TractorLarge),
            _ => None,
        }
    }
}

/// Coefficients `harvest.cost.*` of owning.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OwningParams {
    /// Curves, interest, housing, life.
    pub costs: CostParams,
    /// RF1, RF2 and life in hours by [`Kind`].
    pub repair: [[f64; 3]; 6],
    /// Worth at the end of its life where no curve is read, share of a like new one.
    pub salvage_share: f64,
    /// Hours of labour for each hour of a tractor.
    pub labour_per_tractor_h: f64,
}

impl OwningParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: String| r.get(&format!("harvest.cost.{what}"));
        Self {
            costs: CostParams::from_reference(r),
            repair: Kind::ALL.map(|k| ["rf1", "rf2", "life_h"].map(|c| get(format!("{}_{c}", k.key())))),
            salvage_share: get("salvage_share".into()),
            labour_per_tractor_h: get("labour_per_tractor_h".into()),
        }
    }
}

/// A machine's worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Kind.
    pub kind: Kind,
    /// Price of a like new one today.
    pub new_price: f64,
    /// Age, a.
    pub years: f64,
    /// Hours a year.
    pub hours_a_year: f64,
    /// Repairs a year by own bills; none for the published factors.
    pub repairs_a_year: Option<f64>,
}

/// What an hour costs, money.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct HourCost {
    /// Worth lost this year.
    pub wear: f64,
    /// Interest on what it is worth.
    pub interest: f64,
    /// Taxes, housing, insurance.
    pub housing: f64,
    /// Repairs.
    pub repairs: f64,
}

impl HourCost {
    /// All of it.
    pub fn total(&self) -> f64 {
        self.wear + self.interest + self.housing + self.repairs
    }
}

/// Share of a like new one that it is worth at an age.
fn worth_share(kind: Kind, years: f64, hours_a_year: f64, p: &OwningParams) -> f64 {
    match kind.curve() {
        Some(c) => remaining_value_pct(c, years, hours_a_year, &p.costs) / 100.0,
        // Straight down to what is left at the end of its life.
        None => 1.0 - (1.0 - p.salvage_share) * (years / p.costs.life_years).clamp(0.0, 1.0),
    }
}

/// An hour of the coming year. Wear is the worth lost from this age to the next; repairs are the difference of two
/// accumulated totals (ASAE D497), with the hours so far held to its life.
pub fn hour_cost(w: &Worth, p: &OwningParams) -> HourCost {
    let h = w.hours_a_year.max(1.0);
    // The curves are not for less than a year: a new one is taken at a year.
    let years = w.years.max(1.0);
    let (now, next) = (worth_share(w.kind, years, h, p), worth_share(w.kind, years + 1.0, h, p));
    let [rf1, rf2, life_h] = p.repair[w.kind as usize];
    let so_far = (w.years * h).min(life_h);
    let by_factors = w.new_price
        * (accumulated_repair_pct(rf1, rf2, so_far + h) - accumulated_repair_pct(rf1, rf2, so_far))
        / 100.0;
    HourCost {
        wear: w.new_price * (now - next).max(0.0) / h,
        interest: w.new_price * f64::midpoint(now, next) * p.costs.interest_pct / 100.0 / h,
        housing: w.new_price * p.costs.housing_pct / 100.0 / h,
        repairs: w.repairs_a_year.unwrap_or(by_factors) / h,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> OwningParams {
        OwningParams::from_reference(&Reference::shipped())
    }

    #[test]
    fn a_combine_of_five_years() {
        // 800,000 new, 200 h a year: worth by the curve (1.1318 - 0.1654 root n - 0.0079 root 200)^2.
        let share = |n: f64| (1.1318 - 0.1654 * n.sqrt() - 0.0079 * 200f64.sqrt()).powi(2);
        let w = Worth {
            kind: Kind::Combine,
            new_price: 800_000.0,
            years: 5.0,
            hours_a_year: 200.0,
            repairs_a_year: None,
        };
        let c = hour_cost(&w, &p());
        assert!((c.wear - 800_000.0 * (share(5.0) - share(6.0)) / 200.0).abs() < 1e-6);
        assert!((c.housing - 40.0).abs() < 1e-9);
        let repair = |h: f64| 0.04 * (h / 1000.0).powf(2.1);
        assert!((c.repairs - 800_000.0 * (repair(1200.0) - repair(1000.0)) / 200.0).abs() < 1e-6);
    }

    proptest! {
        #[test]
        fn no_part_is_less_than_nothing_and_own_bills_rule(k in 0usize..6, years in 0.0..30.0f64, h in 5.0..900.0f64, price in 1e3..2e6f64) {
            let mut w = Worth { kind: Kind::ALL[k], new_price: price, years, hours_a_year: h, repairs_a_year: None };
            let c = hour_cost(&w, &p());
            prop_assert!(c.wear >= 0.0 && c.interest >= 0.0 && c.housing > 0.0 && c.repairs >= 0.0);
            w.repairs_a_year = Some(1000.0);
            prop_assert!((hour_cost(&w, &p()).repairs - 1000.0 / h).abs() < 1e-9);
        }

        #[test]
        fn over_the_years_a_machine_wears_down_to_what_is_left(price in 1e3..2e6f64, h in 50.0..500.0f64) {
            // Straight-line kinds: all the wear of a life is the price less what is left.
            let w = |years| Worth { kind: Kind::Drill, new_price: price, years, hours_a_year: h, repairs_a_year: None };
            let first = price * (1.0 - p().salvage_share) / p().costs.life_years;
            let worn: f64 = first + (1..12).map(|n| hour_cost(&w(f64::from(n)), &p()).wear * h).sum::<f64>();
            prop_assert!((worn - price * (1.0 - p().salvage_share)).abs() < 1e-6 * price);
        }
    }
}
