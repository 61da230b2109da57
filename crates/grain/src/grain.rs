//! The kinds of grain the models know, and their simple physical properties.

use stook_measure::Reference;

/// A kind of grain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Grain {
    /// Hard wheat, spring or winter.
    HardWheat,
    /// Soft wheat.
    SoftWheat,
    /// Durum.
    Durum,
    /// Barley.
    Barley,
    /// Oats.
    Oats,
    /// Corn, shelled.
    Corn,
    /// Soybean.
    Soybean,
    /// Canola or rapeseed.
    Canola,
    /// Flax.
    Flax,
    /// Field peas.
    Peas,
}

/// The keys of all grains, for choices.
pub const GRAIN_KEYS: [&str; 10] =
    ["hard_wheat", "soft_wheat", "durum", "barley", "oats", "corn", "soybean", "canola", "flax", "peas"];

impl Grain {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::HardWheat,
        Self::SoftWheat,
        Self::Durum,
        Self::Barley,
        Self::Oats,
        Self::Corn,
        Self::Soybean,
        Self::Canola,
        Self::Flax,
        Self::Peas,
    ];

    /// The key used in files and calls.
    pub fn key(self) -> &'static str {
        GRAIN_KEYS[self as usize]
    }

    /// The grain with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|g| g.key() == key)
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::HardWheat => "hard wheat",
            Self::SoftWheat => "soft wheat",
            other => other.key(),
        }
    }

    /// Whether it is any kind of wheat.
    pub fn is_wheat(self) -> bool {
        matches!(self, Self::HardWheat | Self::SoftWheat | Self::Durum)
    }

    /// The key under which properties shared by all wheats are kept.
    pub fn family(self) -> &'static str {
        if self.is_wheat() { "wheat" } else { self.key() }
    }
}

/// Heat and weight of a grain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Properties {
    /// Specific heat of wet grain at no moisture, kJ/kg K.
    pub heat_dry_kj_kg_k: f64,
    /// Its rise for each percent of wet-basis moisture, kJ/kg K.
    pub heat_per_pct: f64,
    /// Bulk density as delivered, kg/m3.
    pub density_kg_m3: f64,
    /// Share of the bulk that is air.
    pub porosity: f64,
    /// Pounds in a weight bushel.
    pub lb_per_bu: f64,
}

impl Properties {
    /// The shipped or local values.
    pub fn from_reference(r: &Reference, grain: Grain) -> Self {
        let get = |what: &str| r.get(&format!("grain.{}.{what}", grain.family()));
        Self {
            heat_dry_kj_kg_k: get("heat_dry"),
            heat_per_pct: get("heat_per_pct"),
            density_kg_m3: get("density"),
            porosity: get("porosity"),
            lb_per_bu: get("lb_per_bu"),
        }
    }

    /// Specific heat of wet grain, kJ/kg K, at `m_wb_pct` percent moisture.
    pub fn heat_kj_kg_k(&self, m_wb_pct: f64) -> f64 {
        self.heat_dry_kj_kg_k + self.heat_per_pct * m_wb_pct
    }

    /// Heat capacity of a kilogram of dry matter with its water, as `base + slope x moisture (decimal dry basis)`.
    ///
    /// Wet-grain specific heat linear in wet-basis moisture makes this exactly linear in dry-basis moisture.
    pub fn heat_per_dry_matter(&self) -> (f64, f64) {
        (self.heat_dry_kj_kg_k, self.heat_dry_kj_kg_k + 100.0 * self.heat_per_pct)
    }
}

/// Bulk density, kg/m3, at a moisture (% wet basis) where a curve is known: wheat and corn (Nelson 1980, D241, from
/// memory). Valid for 10 to 35 %, held to that.
pub fn nelson_density(grain: Grain, m_wb_pct: f64) -> Option<f64> {
    let m = m_wb_pct.clamp(10.0, 35.0);
    match grain {
        g if g.is_wheat() => {
            Some(1000.0 * (0.7744 + m * (-0.00703 + m * (0.001_851 + m * (-1.4896e-4 + m * 3.116e-6)))))
        }
        Grain::Corn => Some(1000.0 * (0.6829 + m * (0.01422 + m * (-9.843e-4 + m * 1.548e-5)))),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_grain_has_its_properties() {
        let r = Reference::shipped();
        for g in Grain::ALL {
            assert_eq!(Grain::from_key(g.key()), Some(g));
            let p = Properties::from_reference(&r, g);
            assert!((300.0..900.0).contains(&p.density_kg_m3), "{}", g.words());
            let (a, b) = p.heat_per_dry_matter();
            let m = 0.19_f64;
            let by_hand = (1.0 + m) * p.heat_kj_kg_k(100.0 * m / (1.0 + m));
            assert!((a + b * m - by_hand).abs() < 1e-12);
        }
    }
}
