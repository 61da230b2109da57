//! The nutrients reckoned with, and what a feed holds of each.

use serde::{Deserialize, Serialize};

macro_rules! nutrients {
    ($($(#[$about:meta])* $variant:ident = $key:literal, $words:literal, $unit:literal;)+) => {
        /// A nutrient, as-fed. Amino acids are standardized ileal digestible unless said otherwise.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Nutrient { $($(#[$about])* $variant,)+ }

        impl Nutrient {
            /// Every one, in order.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// As written in files.
            pub const fn key(self) -> &'static str {
                match self { $(Self::$variant => $key,)+ }
            }

            /// As a person reads it.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$variant => $words,)+ }
            }

            /// Its unit.
            pub const fn unit(self) -> &'static str {
                match self { $(Self::$variant => $unit,)+ }
            }
        }
    };
}

nutrients! {
    /// Dry matter.
    DryMatter = "dm", "dry matter", "%";
    /// Net energy.
    Ne = "ne", "net energy", "kcal/kg";
    /// Metabolizable energy.
    Me = "me", "metabolizable energy", "kcal/kg";
    /// Crude protein, nitrogen x 6.25.
    Protein = "cp", "protein", "%";
    /// Crude fibre.
    Fibre = "cf", "crude fibre", "%";
    /// Calcium.
    Ca = "ca", "calcium", "%";
    /// Phosphorus in all.
    P = "p", "phosphorus", "%";
    /// Phosphorus, standardized total tract digestible.
    SttdP = "sttd_p", "digestible phosphorus", "%";
    /// Sodium.
    Na = "na", "sodium", "%";
    /// Lysine in all.
    LysTotal = "lys_total", "lysine in all", "%";
    /// Lysine.
    Lys = "lys", "lysine", "%";
    /// Methionine.
    Met = "met", "methionine", "%";
    /// Methionine and cystine.
    MetCys = "metcys", "methionine and cystine", "%";
    /// Threonine.
    Thr = "thr", "threonine", "%";
    /// Tryptophan.
    Trp = "trp", "tryptophan", "%";
    /// Valine.
    Val = "val", "valine", "%";
    /// Isoleucine.
    Ile = "ile", "isoleucine", "%";
    /// Leucine.
    Leu = "leu", "leucine", "%";
    /// Histidine.
    His = "his", "histidine", "%";
}

const N: usize = Nutrient::ALL.len();

/// What a feed holds, as-fed; nothing where it is not known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Composition([Option<f64>; N]);

impl Composition {
    /// Known value.
    pub fn get(&self, n: Nutrient) -> Option<f64> {
        self.0[n as usize]
    }

    /// The value, or none of it when not known: a nutrient not known is not counted on.
    pub fn of(&self, n: Nutrient) -> f64 {
        self.get(n).unwrap_or(0.0)
    }

    /// Sets one.
    pub fn set(&mut self, n: Nutrient, value: f64) {
        self.0[n as usize] = Some(value);
    }

    /// The same with one set.
    #[must_use]
    pub fn with(mut self, n: Nutrient, value: f64) -> Self {
        self.set(n, value);
        self
    }

    /// Everything times `k`: more or less water in it. Dry matter is kept at 100 at most.
    #[must_use]
    pub fn times(mut self, k: f64) -> Self {
        for x in self.0.iter_mut().flatten() {
            *x *= k;
        }
        self
    }

    /// The mix of feeds by share of the whole.
    pub fn mix<'a>(parts: impl IntoIterator<Item = (f64, &'a Self)>) -> Self {
        let mut sum = Self([Some(0.0); N]);
        for (share, c) in parts {
            for n in Nutrient::ALL {
                let old = sum.of(*n);
                sum.set(*n, old + share * c.of(*n));
            }
        }
        sum
    }
}

impl Nutrient {
    /// The nutrient of a key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|n| n.key() == key)
    }

    /// The amino acids held in proportion to lysine.
    pub const RATIOED: [Self; 6] = [Self::Met, Self::MetCys, Self::Thr, Self::Trp, Self::Val, Self::Ile];
}
