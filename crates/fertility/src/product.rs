//! Products: their grades, a rate for a nutrient, the price of a nutrient, and the size of a heap.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};
use stook_measure::units::{KG_PER_LB, L_PER_US_GALLON, M_PER_FT};

use crate::nutrients::{Nutrient, Nutrients};
use crate::table;

const ROWS: &str = include_str!("../../../reference/fertility-products.csv");

/// A product.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Product {
    /// Key.
    pub key: String,
    /// Name with its grade.
    pub name: String,
    /// granular, prill, liquid or gas.
    pub form: String,
    /// Nitrogen, %.
    pub n_pct: f64,
    /// Phosphate, %.
    pub p2o5_pct: f64,
    /// Potash, %.
    pub k2o_pct: f64,
    /// Sulphur, %.
    pub s_pct: f64,
    /// Chloride, %.
    pub cl_pct: f64,
    /// Least density as printed.
    pub density_low: Option<f64>,
    /// Most.
    pub density_high: Option<f64>,
    /// lb/ft3 or lb/US gal.
    pub density_unit: Option<String>,
    /// Relative humidity at 30 C above which it draws water, %.
    pub critical_rh_pct: Option<f64>,
    /// How sure.
    pub sure: String,
    /// Source.
    pub source: String,
    /// What to mind.
    pub note: String,
}

/// Kilograms a cubic metre for a pound a cubic foot.
pub fn lb_ft3_to_kg_m3(lb_ft3: f64) -> f64 {
    lb_ft3 * KG_PER_LB / M_PER_FT.powi(3)
}

/// Kilograms a litre for a pound a US gallon.
pub fn lb_us_gal_to_kg_l(lb_gal: f64) -> f64 {
    lb_gal * KG_PER_LB / L_PER_US_GALLON
}

impl Product {
    /// All shipped.
    pub fn shipped() -> &'static [Self] {
        static ALL: LazyLock<Vec<Product>> = LazyLock::new(|| table::shipped("fertility-products.csv", ROWS));
        &ALL
    }

    /// One by its key.
    pub fn of(key: &str) -> Option<&'static Self> {
        Self::shipped().iter().find(|p| p.key == key)
    }

    /// Its analysis, %.
    pub fn grade_pct(&self) -> Nutrients {
        Nutrients::new(self.n_pct, self.p2o5_pct, self.k2o_pct, self.s_pct)
    }

    /// Nutrients in a mass of it.
    pub fn in_mass(&self, mass: f64) -> Nutrients {
        self.grade_pct().times(mass / 100.0)
    }

    /// Density of the heap or the liquid, kg/m3, least and most.
    pub fn density_kg_m3(&self) -> Option<(f64, f64)> {
        let to_si = |x: f64| match self.density_unit.as_deref() {
            Some("lb/ft3") => Some(lb_ft3_to_kg_m3(x)),
            Some("lb/US gal") => Some(1000.0 * lb_us_gal_to_kg_l(x)),
            _ => None,
        };
        Some((to_si(self.density_low?)?, to_si(self.density_high?)?))
    }
}

/// Why a product gives no rate or price.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProductError {
    /// No such nutrient in it.
    #[error("{product} holds no {nutrient}; choose a product that does")]
    Without {
        /// Product.
        product: String,
        /// Nutrient.
        nutrient: &'static str,
    },
    /// Density of particles.
    #[error(
        "{given:.0} lb/ft3 is above {most:.0}: that is the density of the particles and not of the heap; weigh a full pail"
    )]
    ParticleDensity {
        /// Given, lb/ft3.
        given: f64,
        /// Most, lb/ft3.
        most: f64,
    },
}

/// Product that holds an amount of a nutrient, in the unit of the amount.
///
/// # Errors
/// When it holds none.
///
/// ```
/// use stook_fertility::product::{Product, rate};
/// use stook_fertility::Nutrient;
/// let urea = Product::of("urea").unwrap();
/// assert_eq!(rate(urea, Nutrient::N, 80.0).unwrap().round(), 174.0);
/// ```
pub fn rate(product: &Product, nutrient: Nutrient, amount: f64) -> Result<f64, ProductError> {
    let pct = product.grade_pct()[nutrient];
    if pct > 0.0 {
        Ok(amount * 100.0 / pct)
    } else {
        Err(ProductError::Without { product: product.name.clone(), nutrient: nutrient.name() })
    }
}

/// Price of a kg of a nutrient, from the price of a tonne of product, the worth of its other nutrients taken off first
/// at `others_per_kg` (the entry of the nutrient itself is not used).
///
/// # Errors
/// When it holds none.
pub fn nutrient_price(
    product: &Product,
    nutrient: Nutrient,
    price_per_t: f64,
    others_per_kg: Nutrients,
) -> Result<f64, ProductError> {
    let per_t = product.in_mass(1000.0);
    let mut others = others_per_kg;
    others[nutrient] = 0.0;
    let kg = rate(product, nutrient, 1.0).map(|mass| 1000.0 / mass)?;
    Ok((price_per_t - per_t.worth(others)) / kg)
}

/// Checks that a heap density is one, for urea.
///
/// # Errors
/// When it is the density of particles.
pub fn check_heap_density(lb_ft3: f64, most_lb_ft3: f64) -> Result<(), ProductError> {
    if lb_ft3 > most_lb_ft3 {
        return Err(ProductError::ParticleDensity { given: lb_ft3, most: most_lb_ft3 });
    }
    Ok(())
}

/// Whether two products may lie in one blend (from memory): the reason against, or `None`.
pub fn conflict(one: &str, other: &str) -> Option<&'static str> {
    let pair = |a: &str, b: &str| (one == a && other == b) || (one == b && other == a);
    if pair("urea", "ammonium_nitrate") {
        Some("urea and ammonium nitrate melt together; never in one bin or tank")
    } else if one == "anhydrous" || other == "anhydrous" {
        Some("anhydrous ammonia is a gas under pressure and goes on alone")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_products_are_sound() {
        for p in Product::shipped() {
            let g = p.grade_pct();
            assert!(g.n + g.p2o5 + g.k2o + g.s <= 100.0 && g.n + g.p2o5 + g.k2o + g.s > 0.0, "{}", p.key);
            assert_eq!(p.density_low.is_some(), p.density_kg_m3().is_some(), "{}", p.key);
            assert!(
                p.density_kg_m3().is_none_or(|(a, b)| (500.0..=1500.0).contains(&a) && a <= b),
                "{}",
                p.key
            );
            assert!(!p.source.is_empty());
        }
    }

    #[test]
    fn what_is_refused() {
        let potash = Product::of("potash").unwrap();
        let e = rate(potash, Nutrient::N, 80.0).unwrap_err();
        assert_eq!(e.to_string(), "potassium chloride 0-0-60 holds no N; choose a product that does");
        assert!(check_heap_density(79.0, 75.0).is_err() && check_heap_density(48.0, 75.0).is_ok());
        assert!(conflict("ammonium_nitrate", "urea").is_some() && conflict("urea", "map").is_none());
    }

    #[test]
    fn a_tonne_is_worth_its_parts() {
        let map = Product::of("map").unwrap();
        let n = 0.8;
        let p2o5 = nutrient_price(map, Nutrient::P2O5, 700.0, Nutrients::new(n, 9.0, 0.0, 0.0)).unwrap();
        assert!((110.0 * n + 520.0 * p2o5 - 700.0).abs() < 1e-9);
    }
}
