//! Chemical forms: an element, its oxide or its ion, and the mass of one in the other.
//!
//! Factors are ratios of atomic masses, exact to the masses; sources round them (2.29 or 2.3, 1.2).

use serde::{Deserialize, Serialize};

const H: f64 = 1.008;
const N: f64 = 14.007;
const O: f64 = 15.999;
const P: f64 = 30.974;
const S: f64 = 32.06;
const K: f64 = 39.098;

/// The form a figure is quoted in. Two forms convert only when they hold the same element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Nitrogen, or nitrate-nitrogen, or ammonium-nitrogen.
    N,
    /// The nitrate ion.
    No3,
    /// The ammonium ion.
    Nh4,
    /// Ammonia.
    Nh3,
    /// Phosphorus.
    P,
    /// Phosphate.
    P2o5,
    /// Potassium.
    K,
    /// Potash.
    K2o,
    /// Sulphur, or sulphate-sulphur.
    S,
    /// The sulphate ion.
    So4,
}

impl Form {
    /// All, in the order of the choices of a form.
    pub const ALL: [(&'static str, Self); 10] = [
        ("N", Self::N),
        ("NO3", Self::No3),
        ("NH4", Self::Nh4),
        ("NH3", Self::Nh3),
        ("P", Self::P),
        ("P2O5", Self::P2o5),
        ("K", Self::K),
        ("K2O", Self::K2o),
        ("S", Self::S),
        ("SO4", Self::So4),
    ];

    /// As written.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, f)| *f == self).map_or("", |(n, _)| n)
    }

    /// The element it holds.
    #[must_use]
    pub fn element(self) -> Self {
        match self {
            Self::N | Self::No3 | Self::Nh4 | Self::Nh3 => Self::N,
            Self::P | Self::P2o5 => Self::P,
            Self::K | Self::K2o => Self::K,
            Self::S | Self::So4 => Self::S,
        }
    }

    /// Mass of the element in one mass of the form.
    pub fn element_share(self) -> f64 {
        match self {
            Self::N | Self::P | Self::K | Self::S => 1.0,
            Self::No3 => N / (N + 3.0 * O),
            Self::Nh4 => N / (N + 4.0 * H),
            Self::Nh3 => N / (N + 3.0 * H),
            Self::P2o5 => 2.0 * P / (2.0 * P + 5.0 * O),
            Self::K2o => 2.0 * K / (2.0 * K + O),
            Self::So4 => S / (S + 4.0 * O),
        }
    }

    /// An amount in this form as an amount in `to`; `None` when they hold different elements.
    ///
    /// ```
    /// use stook_fertility::soil_test::Form;
    /// assert!((Form::P.convert(1.0, Form::P2o5).unwrap() - 2.2913).abs() < 1e-4);
    /// assert_eq!(Form::P.convert(1.0, Form::K2o), None);
    /// ```
    pub fn convert(self, amount: f64, to: Self) -> Option<f64> {
        (self.element() == to.element()).then(|| amount * self.element_share() / to.element_share())
    }
}

/// P2O5 in a mass of phosphorus.
pub fn p_to_p2o5(p: f64) -> f64 {
    p / Form::P2o5.element_share()
}

/// Phosphorus in a mass of P2O5.
pub fn p2o5_to_p(p2o5: f64) -> f64 {
    p2o5 * Form::P2o5.element_share()
}

/// K2O in a mass of potassium.
pub fn k_to_k2o(k: f64) -> f64 {
    k / Form::K2o.element_share()
}

/// Potassium in a mass of K2O.
pub fn k2o_to_k(k2o: f64) -> f64 {
    k2o * Form::K2o.element_share()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_and_never_across_elements() {
        for (_, a) in Form::ALL {
            for (_, b) in Form::ALL {
                match a.convert(7.3, b) {
                    Some(x) => assert!((b.convert(x, a).unwrap() - 7.3).abs() < 1e-12),
                    None => assert_ne!(a.element(), b.element()),
                }
            }
            // an element is never more than the whole
            assert!(a.element_share() <= 1.0 && a.element_share() > 0.2);
        }
        assert!((p2o5_to_p(p_to_p2o5(3.0)) - 3.0).abs() < 1e-12);
        assert!((k2o_to_k(k_to_k2o(3.0)) - 3.0).abs() < 1e-12);
    }
}
