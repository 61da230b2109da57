//! What a kilogram of each nutrient costs: from the farm's product prices, else its nutrient prices, else ours.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::Farm;
use stook_book::payload::Price;
use stook_fertility::product::{Product, nutrient_price};
use stook_fertility::{Nutrient, Nutrients};
use stook_measure::units::{KG_PER_LB, L_PER_IMPERIAL_GALLON, L_PER_US_GALLON};
use stook_measure::{Op, Reference, Working};

/// Keys of the prices read here, with what they are and per what, for forms. A product's key is that of the table of
/// products.
pub const KEYS: [(&str, &str, &str); 22] = [
    ("urea", "urea", "t"),
    ("map", "monoammonium phosphate", "t"),
    ("potash", "potash", "t"),
    ("ams", "ammonium sulphate", "t"),
    ("dap", "diammonium phosphate", "t"),
    ("ammonium_nitrate", "ammonium nitrate", "t"),
    ("uan28", "28-0-0 solution", "t"),
    ("uan32", "32-0-0 solution", "t"),
    ("app10_34", "10-34-0 solution", "t"),
    ("ats", "thiosulphate 12-0-0-26", "t"),
    ("anhydrous", "anhydrous ammonia", "t"),
    ("n", "nitrogen, a pound of it", "lb"),
    ("p2o5", "phosphate, a pound of it", "lb"),
    ("k2o", "potash, a pound of it", "lb"),
    ("s", "sulphur, a pound of it", "lb"),
    ("durum", "durum", "bu"),
    ("barley", "barley", "bu"),
    ("oats", "oats", "bu"),
    ("canola", "canola", "bu"),
    ("peas", "peas", "bu"),
    ("flax", "flax", "bu"),
    ("seed", "wheat seed", "bu"),
];

/// Money a kg of N, P2O5, K2O and S, and where each is from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NutrientPrices {
    /// Money a kg.
    pub per_kg: Nutrients,
    /// Nutrients whose price the farm has not entered: ours stands in.
    pub assumed: Vec<&'static str>,
    /// How reckoned.
    pub working: Working,
}

/// A price as money a kg, for a price by the tonne, kg or pound.
pub fn money_per_kg(p: &Price) -> Option<f64> {
    match p.unit.as_str() {
        "t" => Some(p.value / 1000.0),
        "kg" => Some(p.value),
        "lb" => Some(p.value / KG_PER_LB),
        _ => None,
    }
}

/// The same for a product, which may also be sold by the litre or the gallon: its table has the density.
pub fn money_per_kg_of(p: &Price, product: &Product) -> Option<f64> {
    let litres = match p.unit.as_str() {
        "l" => 1.0,
        "us_gal" => L_PER_US_GALLON,
        "imp_gal" => L_PER_IMPERIAL_GALLON,
        _ => return money_per_kg(p),
    };
    if matches!(product.form.as_str(), "granular" | "prill") {
        return None;
    }
    let (low, high) = product.density_kg_m3()?;
    Some(p.value / (litres * 0.5 * (low + high) / 1000.0))
}

/// The product each nutrient is usually bought in, in the order in which the price of one needs that of another.
const BOUGHT_AS: [(Nutrient, &str, &str, &str); 4] = [
    (Nutrient::N, "urea", "n", "inputs.price.n_per_lb"),
    (Nutrient::P2O5, "map", "p2o5", "inputs.price.p2o5_per_lb"),
    (Nutrient::K2O, "potash", "k2o", "inputs.price.k2o_per_lb"),
    (Nutrient::S, "ams", "s", "inputs.price.s_per_lb"),
];

/// Prices of the nutrients on a day.
pub fn nutrient_prices(farm: &Farm, reference: &Reference, on: Date) -> NutrientPrices {
    let mut per_kg = Nutrients::NONE;
    let mut assumed = Vec::new();
    let mut working = Working::new("Price of the nutrients");
    for (nutrient, product_key, own_key, coefficient) in BOUGHT_AS {
        let own = farm.price(own_key, on).and_then(money_per_kg);
        let of_product = || {
            let per_t = 1000.0 * farm.price(product_key, on).and_then(money_per_kg)?;
            nutrient_price(Product::of(product_key)?, nutrient, per_t, per_kg).ok().filter(|x| *x > 0.0)
        };
        let (value, from) = match (own, of_product()) {
            (Some(x), _) => (x, "your price of the nutrient".to_string()),
            (None, Some(x)) => (x, format!("your price of {product_key}, its other nutrients taken off")),
            (None, None) => {
                assumed.push(nutrient.name());
                (reference.get(coefficient) / KG_PER_LB, "ours, until you enter one".to_string())
            }
        };
        per_kg[nutrient] = value;
        working =
            working.line(Op::Note, format!("{}: {from}", nutrient.name()), value * KG_PER_LB, "a lb", 2);
    }
    NutrientPrices {
        per_kg,
        assumed,
        working: working
            .source("Product grades: reference/fertility-products.csv")
            .would_change("a dealer's quote"),
    }
}

/// The sentence that says which prices are ours.
pub fn assumed_sentence(p: &NutrientPrices) -> Option<String> {
    let names: Vec<String> = p.assumed.iter().map(|s| (*s).to_string()).collect();
    (!names.is_empty())
        .then(|| format!("No price entered for {}: ours stand in.", stook_season::model::list(&names)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn without_prices_ours_stand_in_and_say_so() {
        let p = nutrient_prices(&Farm::default(), &Reference::shipped(), date(2026, 1, 15));
        assert_eq!(p.assumed, ["N", "P2O5", "K2O", "S"]);
        assert!((p.per_kg.n * KG_PER_LB - 0.65).abs() < 1e-9);
        assert!(assumed_sentence(&p).unwrap().contains("N, P2O5, K2O and S"));
    }

    #[test]
    fn a_price_by_the_tonne_or_pound() {
        let price = |value, unit: &str| Price { what: "urea".into(), value, unit: unit.into() };
        assert_eq!(money_per_kg(&price(600.0, "t")), Some(0.6));
        assert!((money_per_kg(&price(0.65, "lb")).unwrap() - 1.433).abs() < 1e-3);
        assert_eq!(money_per_kg(&price(1.0, "ha")), None);
        // 28-0-0 weighs 10.67 lb a US gallon and 12.81 an imperial one
        let uan = Product::of("uan28").unwrap();
        let by_gallon = money_per_kg_of(&price(3.2, "us_gal"), uan).unwrap();
        assert!((by_gallon - 3.2 / (10.67 * KG_PER_LB)).abs() < 1e-6);
        let imperial = money_per_kg_of(&price(3.2, "imp_gal"), uan).unwrap();
        assert!((imperial - 3.2 / (12.81 * KG_PER_LB)).abs() < 2e-4, "{imperial}");
        assert_eq!(money_per_kg_of(&price(500.0, "t"), uan), Some(0.5));
        assert_eq!(money_per_kg_of(&price(3.2, "l"), Product::of("urea").unwrap()), None);
    }
}
