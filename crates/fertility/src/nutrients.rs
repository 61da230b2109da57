//! Amounts of the four nutrients that are bought and balanced.

use std::ops::{Add, AddAssign, Index, IndexMut, Sub};

use serde::{Deserialize, Serialize};

/// One of the four.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Nutrient {
    /// Nitrogen.
    N,
    /// Phosphate.
    P2O5,
    /// Potash.
    K2O,
    /// Sulphur.
    S,
}

impl Nutrient {
    /// All four in the order of a grade.
    pub const ALL: [Self; 4] = [Self::N, Self::P2O5, Self::K2O, Self::S];

    /// As written.
    pub fn name(self) -> &'static str {
        match self {
            Self::N => "N",
            Self::P2O5 => "P2O5",
            Self::K2O => "K2O",
            Self::S => "S",
        }
    }
}

/// Nitrogen, phosphate, potash and sulphur, all in one unit that the name of the variable tells
/// (`need_kg_ha`, `grade_pct`). Phosphorus and potassium always as oxides, as they are sold.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Nutrients {
    /// Nitrogen.
    pub n: f64,
    /// Phosphate, P2O5.
    pub p2o5: f64,
    /// Potash, K2O.
    pub k2o: f64,
    /// Sulphur.
    pub s: f64,
}

impl Nutrients {
    /// None of anything.
    pub const NONE: Self = Self::new(0.0, 0.0, 0.0, 0.0);

    /// In the order of a grade.
    pub const fn new(n: f64, p2o5: f64, k2o: f64, s: f64) -> Self {
        Self { n, p2o5, k2o, s }
    }

    /// Each of the four with its like.
    #[must_use]
    pub fn map_with(self, other: Self, f: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            n: f(self.n, other.n),
            p2o5: f(self.p2o5, other.p2o5),
            k2o: f(self.k2o, other.k2o),
            s: f(self.s, other.s),
        }
    }

    /// All four times a number.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        self.map(|x| x * factor)
    }

    /// All four through a function.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        Self::new(f(self.n), f(self.p2o5), f(self.k2o), f(self.s))
    }

    /// What is missing of `need`, never negative.
    #[must_use]
    pub fn short_of(self, need: Self) -> Self {
        (need - self).map(|x| x.max(0.0))
    }

    /// What is more than `need`, never negative.
    #[must_use]
    pub fn over(self, need: Self) -> Self {
        (self - need).map(|x| x.max(0.0))
    }

    /// Worth at prices per unit of each.
    pub fn worth(self, price: Self) -> f64 {
        self.n * price.n + self.p2o5 * price.p2o5 + self.k2o * price.k2o + self.s * price.s
    }
}

impl Add for Nutrients {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.n + o.n, self.p2o5 + o.p2o5, self.k2o + o.k2o, self.s + o.s)
    }
}

impl AddAssign for Nutrients {
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}

impl Sub for Nutrients {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.n - o.n, self.p2o5 - o.p2o5, self.k2o - o.k2o, self.s - o.s)
    }
}

impl Index<Nutrient> for Nutrients {
    type Output = f64;
    fn index(&self, which: Nutrient) -> &f64 {
        match which {
            Nutrient::N => &self.n,
            Nutrient::P2O5 => &self.p2o5,
            Nutrient::K2O => &self.k2o,
            Nutrient::S => &self.s,
        }
    }
}

impl IndexMut<Nutrient> for Nutrients {
    fn index_mut(&mut self, which: Nutrient) -> &mut f64 {
        match which {
            Nutrient::N => &mut self.n,
            Nutrient::P2O5 => &mut self.p2o5,
            Nutrient::K2O => &mut self.k2o,
            Nutrient::S => &mut self.s,
        }
    }
}
