//! What a load is worth against bought fertilizer, and how far it bears hauling.

use serde::{Deserialize, Serialize};

use crate::nutrients::Nutrients;

/// Cost of hauling and spreading a load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Haul {
    /// A load, m3 or t.
    pub load: f64,
    /// Loading, unloading and spreading a load, money.
    pub fixed: f64,
    /// Each km of the way out, with the way back in it, money.
    pub per_km: f64,
}

/// A load's account.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Worth {
    /// Worth of what the crop would otherwise be bought, money a load.
    pub nutrients: f64,
    /// Hauling and spreading, money a load.
    pub hauling: f64,
    /// What is left, money a load; negative where the load costs more than it brings.
    pub net: f64,
    /// Distance at which nothing is left, km; `None` when no distance costs anything.
    pub break_even_km: Option<f64>,
}

/// Worth of a load at `km`. `counted` is what the field would be bought otherwise, of one m3 or tonne, kg: leave out a
/// nutrient the field has enough of. Prices are money a kg.
pub fn load_worth(counted: Nutrients, price_per_kg: Nutrients, haul: &Haul, km: f64) -> Worth {
    let nutrients = counted.worth(price_per_kg) * haul.load;
    let hauling = haul.fixed + haul.per_km * km;
    Worth {
        nutrients,
        hauling,
        net: nutrients - hauling,
        break_even_km: (haul.per_km > 0.0).then(|| ((nutrients - haul.fixed) / haul.per_km).max(0.0)),
    }
}

/// Loads for a volume or mass: whole ones.
pub fn loads(amount: f64, load: f64) -> f64 {
    // the grace keeps an exact multiple from costing one more
    (amount / load - 1e-9).ceil().max(0.0)
}

/// Area, ha, that a load covers at a rate.
pub fn ha_per_load(load: f64, rate_per_ha: f64) -> f64 {
    load / rate_per_ha
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn at_the_break_even_distance_nothing_is_left(
            n in 0.5..4.0f64, p in 0.1..3.0f64, price in 0.5..3.0f64, load in 10.0..40.0f64, per_km in 0.5..5.0f64,
        ) {
            let counted = Nutrients::new(n, p, 1.0, 0.0);
            let prices = Nutrients::new(price, price, 0.8, 0.0);
            let haul = Haul { load, fixed: 4.0, per_km };
            let km = load_worth(counted, prices, &haul, 0.0).break_even_km.unwrap();
            prop_assert!(km > 0.0 && load_worth(counted, prices, &haul, km).net.abs() < 1e-9);
            prop_assert!(load_worth(counted, prices, &haul, km + 1.0).net < 0.0);
        }
    }

    #[test]
    fn loads_are_whole() {
        assert_eq!((loads(100.0, 25.0), loads(101.0, 25.0), loads(0.0, 25.0)), (4.0, 5.0, 0.0));
    }
}
