//! A blend by hand, as it is done on paper: sulphur first, then phosphate, then potash, and urea for the nitrogen left.
//!
//! It meets the needs with the products named and is not the cheapest: that is a plan over the whole farm.

use serde::Serialize;

use crate::nutrients::{Nutrient, Nutrients};
use crate::product::{Product, ProductError, rate};

/// The product taken for each nutrient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice<'a> {
    /// For sulphur.
    pub s: &'a Product,
    /// For phosphate.
    pub p2o5: &'a Product,
    /// For potash.
    pub k2o: &'a Product,
    /// For nitrogen.
    pub n: &'a Product,
}

/// A blend, in the unit of the needs (kg/ha or lb/ac).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Blend {
    /// Of the product for sulphur.
    pub s_product: f64,
    /// Of the product for phosphate.
    pub p2o5_product: f64,
    /// Of the product for potash.
    pub k2o_product: f64,
    /// Of the product for nitrogen.
    pub n_product: f64,
    /// All of it.
    pub total: f64,
    /// Nutrients in it.
    pub supplied: Nutrients,
    /// Nutrients beyond the need, such as nitrogen that comes with phosphate. Never made good by a negative product.
    pub surplus: Nutrients,
    /// Analysis, %; zero for an empty blend.
    pub grade_pct: Nutrients,
}

/// The blend that meets `need`.
///
/// # Errors
/// When a product does not hold what it was chosen for.
///
/// ```
/// use stook_fertility::{Nutrients, blend};
/// let b = blend::by_hand(Nutrients::new(90.0, 30.0, 15.0, 10.0), &blend::usual()).unwrap();
/// assert!((b.total - 287.2).abs() < 0.1);
/// ```
pub fn by_hand(need: Nutrients, with: &Choice<'_>) -> Result<Blend, ProductError> {
    let mut supplied = Nutrients::NONE;
    let mut add = |product: &Product, nutrient: Nutrient| {
        let missing = (need[nutrient] - supplied[nutrient]).max(0.0);
        let mass = if missing > 0.0 { rate(product, nutrient, missing)? } else { 0.0 };
        supplied += product.in_mass(mass);
        Ok::<f64, ProductError>(mass)
    };
    let s_product = add(with.s, Nutrient::S)?;
    let p2o5_product = add(with.p2o5, Nutrient::P2O5)?;
    let k2o_product = add(with.k2o, Nutrient::K2O)?;
    let n_product = add(with.n, Nutrient::N)?;
    let total = s_product + p2o5_product + k2o_product + n_product;
    Ok(Blend {
        s_product,
        p2o5_product,
        k2o_product,
        n_product,
        total,
        supplied,
        surplus: supplied.over(need),
        grade_pct: if total > 0.0 { supplied.times(100.0 / total) } else { Nutrients::NONE },
    })
}

/// The usual four: ammonium sulphate, monoammonium phosphate, potassium chloride, urea.
///
/// # Panics
/// When the shipped table lacks one of them; a test reads it.
pub fn usual() -> Choice<'static> {
    let get = |key| Product::of(key).expect("a usual product is in the table");
    Choice { s: get("ams"), p2o5: get("map"), k2o: get("potash"), n: get("urea") }
}

/// A blend of 100 to a wanted grade: the products and the filler that makes up the rest.
///
/// `None` for the filler when the products alone are more than 100, so the grade cannot be made from them.
///
/// # Errors
/// As [`by_hand`].
pub fn to_grade(grade_pct: Nutrients, with: &Choice<'_>) -> Result<(Blend, Option<f64>), ProductError> {
    let b = by_hand(grade_pct, with)?;
    let filler = 100.0 - b.total;
    Ok((b, (filler >= -1e-9).then_some(filler.max(0.0))))
}

/// Cost of a blend in money per unit area, for prices per unit mass of the four products in the order of the blend.
pub fn cost(b: &Blend, s: f64, p2o5: f64, k2o: f64, n: f64) -> f64 {
    b.s_product * s + b.p2o5_product * p2o5 + b.k2o_product * k2o + b.n_product * n
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nitrogen_that_comes_along_is_a_surplus() {
        let b = by_hand(Nutrients::new(5.0, 60.0, 0.0, 10.0), &usual()).unwrap();
        assert_eq!(b.n_product, 0.0);
        assert!((b.surplus.n - (60.0 * 11.0 / 52.0 + 10.0 * 21.0 / 24.0 - 5.0)).abs() < 1e-9);
        assert_eq!(by_hand(Nutrients::NONE, &usual()).unwrap().grade_pct, Nutrients::NONE);
        let wrong = Choice { s: Product::of("urea").unwrap(), ..usual() };
        assert!(by_hand(Nutrients::new(0.0, 0.0, 0.0, 5.0), &wrong).is_err());
        let rich = to_grade(Nutrients::new(40.0, 40.0, 40.0, 0.0), &usual()).unwrap();
        assert!(rich.1.is_none());
    }

    proptest! {
        #[test]
        fn nutrient_mass_closes_and_no_product_is_negative(
            n in 0.0..160.0f64, p in 0.0..80.0f64, k in 0.0..80.0f64, s in 0.0..30.0f64, dap in any::<bool>(),
        ) {
            let need = Nutrients::new(n, p, k, s);
            let choice = if dap { Choice { p2o5: Product::of("dap").unwrap(), ..usual() } } else { usual() };
            let b = by_hand(need, &choice).unwrap();
            let parts = [(choice.s, b.s_product), (choice.p2o5, b.p2o5_product), (choice.k2o, b.k2o_product), (choice.n, b.n_product)];
            let mut sum = Nutrients::NONE;
            for (product, mass) in parts {
                prop_assert!(mass >= 0.0);
                sum += product.in_mass(mass);
            }
            for x in Nutrient::ALL {
                prop_assert!((sum[x] - b.supplied[x]).abs() < 1e-9);
                prop_assert!((b.supplied[x] - b.surplus[x] - need[x]).abs() < 1e-9);
                prop_assert!(b.surplus[x] >= 0.0);
                prop_assert!((b.grade_pct[x] * b.total / 100.0 - b.supplied[x]).abs() < 1e-9);
            }
        }
    }
}
