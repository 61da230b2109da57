//! Which blends, how many tonnes: the least-cost products for every field of the farm, held to a few different blends.
//!
//! Pure numbers in, pure numbers out; [`crate::order`] reads them from the book. The way:
//! 1. [`own`]: each field by itself, any mix at any rate: a linear program. What it costs is a floor under every plan,
//!    and its prices say what a kilogram of a nutrient is worth on that field.
//! 2. [`pool`]: mixes worth making, each in whole steps of the blender, from those answers and from the best common
//!    recipe of fields that stand near each other.
//! 3. [`choose`]: which few of them, and which field gets which: a whole-number program over [`ways`], at rates that the
//!    drill's meters can be set to and that pass every limit of the seed row. So nothing is rounded afterwards.
//!
//! A liquid or ammonia goes alone from a tank of its own: with a field's dry blends, or in place of one.

pub mod choose;
pub mod own;
pub mod pool;
mod ways;

use serde::{Deserialize, Serialize};
use stook_fertility::{Nutrient, Nutrients};

pub use choose::{Blend, FieldMix, Plan, PlanError, plan, plan_again, plan_from, plans};
pub use own::{Own, OwnError};

/// How a product is carried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Carrier {
    /// In a dry tank, alone or in a blend.
    #[default]
    Dry,
    /// In the liquid tank, alone.
    Liquid,
    /// Under pressure, in a nurse tank, alone.
    Gas,
}

/// A product on offer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Offer {
    /// Key in the table of products.
    pub key: String,
    /// Name with its grade.
    pub name: String,
    /// Analysis, %.
    pub grade_pct: Nutrients,
    /// Money a kg.
    pub per_kg: f64,
    /// Whether it may lie with the seed at all.
    pub near_seed: bool,
    /// The least the dealer sells, kg; nought for any.
    #[serde(default)]
    pub least_kg: f64,
    /// The least rate at which it can be metered and spread evenly, alone or in a blend, kg/ha; nought for any.
    #[serde(default)]
    pub least_kg_ha: f64,
    /// How it is carried.
    #[serde(default)]
    pub carrier: Carrier,
}

impl Offer {
    /// Nutrients in a kg.
    pub fn of_kg(&self) -> Nutrients {
        self.grade_pct.times(0.01)
    }
}

/// The most that may lie with the seed, kg/ha.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RowLimits {
    /// Nitrogen of urea.
    pub urea_n_kg_ha: f64,
    /// Phosphate; none where no table gives a limit, and then none may go there.
    pub p2o5_kg_ha: Option<f64>,
    /// Nitrogen and potash together wherever there is potash; and nitrogen that is not of urea, for which no table of
    /// its own was read.
    pub n_k_kg_ha: f64,
}

/// A field and what it is to get.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Land {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// What it is to get in all, kg/ha.
    pub need_kg_ha: Nutrients,
    /// The part of it wanted in the seed row, kg/ha.
    pub with_seed_kg_ha: Nutrients,
    /// Limits of the seed row.
    pub limits: RowLimits,
    /// Whether the rest can go in a band apart from the seed, or all must go with it.
    pub band: bool,
    /// Whether that band is no place for ammonia gas, as on the surface.
    #[serde(default)]
    pub no_gas: bool,
}

impl Land {
    /// What is wanted in the seed row: all of it where there is no band.
    pub fn wanted_with_seed(&self) -> Nutrients {
        if self.band { self.with_seed_kg_ha } else { self.need_kg_ha }
    }
}

/// What a tank's meter can be set to.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Meter {
    /// Lowest rate it holds, kg/ha; nought for any.
    #[serde(default)]
    pub least_kg_ha: f64,
    /// Highest rate it passes, kg/ha; none for the highest of any tank.
    #[serde(default)]
    pub most_kg_ha: Option<f64>,
}

/// The dealer's and the drill's steps, and how many blends are too many.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Different blends at most.
    pub most_blends: usize,
    /// Step of the drill's rate, kg/ha.
    pub rate_step_kg_ha: f64,
    /// Step of a part of a blend, kg in a tonne.
    pub part_step_kg_t: f64,
    /// Highest rate of one tank, kg/ha.
    pub rate_max_kg_ha: f64,
    /// So little missing after the seed row is borne, kg/ha.
    pub short_kg_ha: f64,
    /// Nitrogen beyond the need that is borne, kg/ha.
    pub n_over_kg_ha: f64,
    /// The least the dealer makes of a blend, kg; nought for any.
    pub blend_least_kg: f64,
    /// Meter of the tank for the seed row.
    #[serde(default)]
    pub seed_meter: Meter,
    /// Meter of the tank for the band.
    #[serde(default)]
    pub band_meter: Meter,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Job {
    /// Fields.
    pub lands: Vec<Land>,
    /// Products.
    pub offers: Vec<Offer>,
    /// Settings.
    pub settings: Settings,
}

/// A mix: products and their shares, which add up to one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Mix {
    /// Place in [`Job::offers`] and share.
    pub parts: Vec<(usize, f64)>,
}

impl Mix {
    /// One product alone.
    pub fn straight(offer: usize) -> Self {
        Self { parts: vec![(offer, 1.0)] }
    }

    /// Money a kg.
    pub fn per_kg(&self, offers: &[Offer]) -> f64 {
        self.parts.iter().map(|(i, share)| offers[*i].per_kg * share).sum()
    }

    /// Nutrients in a kg.
    pub fn of_kg(&self, offers: &[Offer]) -> Nutrients {
        self.parts.iter().fold(Nutrients::NONE, |sum, (i, share)| sum + offers[*i].of_kg().times(*share))
    }

    /// Urea nitrogen in a kg.
    pub fn urea_n_of_kg(&self, offers: &[Offer]) -> f64 {
        self.parts
            .iter()
            .filter(|(i, _)| offers[*i].key == "urea")
            .map(|(i, share)| offers[*i].of_kg().n * share)
            .sum()
    }

    /// How it is carried: a mix of more than one product is always dry.
    pub fn carrier(&self, offers: &[Offer]) -> Carrier {
        self.parts.first().map_or(Carrier::Dry, |(i, _)| offers[*i].carrier)
    }

    /// The least rate at which every product of it is at its least or more, kg/ha.
    pub fn least_kg_ha(&self, offers: &[Offer]) -> f64 {
        self.parts.iter().map(|(i, share)| offers[*i].least_kg_ha / share).fold(0.0, f64::max)
    }

    /// Share of a product.
    pub fn share(&self, offer: usize) -> f64 {
        self.parts.iter().find(|(i, _)| *i == offer).map_or(0.0, |(_, s)| *s)
    }
}

/// Below this a need is none, kg/ha.
pub(crate) const NOTHING: f64 = 1e-6;

/// Whether nothing is needed.
pub(crate) fn is_nothing(need: Nutrients) -> bool {
    Nutrient::ALL.iter().all(|n| need[*n] < NOTHING)
}
