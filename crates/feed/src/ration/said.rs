//! What a ration is asked with and what it answers.

use serde::Serialize;
use stook_optimise::{Conflict, Span};

use crate::diet::Standing;
use crate::need::Phase;
use crate::nutrient::Composition;

/// An ingredient or a lot on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// Its key: an ingredient's, or a bin's.
    pub key: String,
    /// As a person reads it.
    pub name: String,
    /// The ingredient it is one of, for limits that hold over several lots together.
    pub class: String,
    /// Money a tonne at the mill.
    pub price_t: f64,
    /// What it holds.
    pub holds: Composition,
    /// DON, its upper bound, ppm.
    pub don_ppm: f64,
    /// Most of it in the diet, as a share.
    pub max: f64,
    /// Least of it.
    pub min: f64,
    /// One standard deviation of its lysine, % of the diet's unit (as-fed %).
    pub lys_sd: f64,
}

impl Offer {
    /// As the shipped table has it, with the usual limits of the phase.
    pub fn of_table(i: &crate::Ingredient, phase: Phase, price_t: f64) -> Self {
        let limit = crate::limits::inclusion(&i.key, phase);
        Self {
            key: i.key.clone(),
            name: i.name.clone(),
            class: i.key.clone(),
            price_t,
            holds: i.holds,
            don_ppm: 0.0,
            max: limit.as_ref().map_or(1.0, |l| l.max),
            min: limit.as_ref().map_or(0.0, |l| l.min),
            lys_sd: 0.0,
        }
    }
}

/// How much safety is asked of the diet's lysine against the ingredients' scatter.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Safety {
    /// Standard deviations kept: 0 as the means, 0.842 for four batches in five, 1.645 for 19 in 20.
    pub z: f64,
}

/// Something in the ration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// Key of the offer.
    pub key: String,
    /// Name.
    pub name: String,
    /// Share of the diet.
    pub share: f64,
    /// Money a tonne of it.
    pub price_t: f64,
    /// Prices between which the ration stays as it is.
    pub stays: Option<Span>,
}

/// Something left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Money a tonne now.
    pub price_t: f64,
    /// The price at which it would come in; none when no price would bring it in (its limit is none of it).
    pub comes_in_at: Option<f64>,
}

/// A limit that holds the ration back, and what a little less of it would save.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Binding {
    /// What.
    pub what: String,
    /// One step of it, in words: `0.01 % of the diet`.
    pub step_words: String,
    /// Money a tonne for one step more of it asked (or, of a most, one step more allowed: negative).
    pub per_step: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ration {
    /// Phase.
    pub phase: Phase,
    /// Money a tonne.
    pub cost_t: f64,
    /// What is in it, largest first.
    pub parts: Vec<Part>,
    /// What is not.
    pub left_out: Vec<LeftOut>,
    /// What binds, dearest first.
    pub binding: Vec<Binding>,
    /// How it stands to every limit.
    #[serde(skip)]
    pub standing: Vec<Standing>,
    /// What it holds.
    #[serde(skip)]
    pub holds: Composition,
    /// DON, ppm.
    pub don_ppm: f64,
    /// Rounds of cuts the safety took.
    pub rounds: usize,
}

/// What came of asking.
#[derive(Debug, Clone, PartialEq)]
pub enum Formulated {
    /// A ration.
    Found(Box<Ration>),
    /// None meets all limits: which few do not go together.
    Impossible(Option<Conflict>),
}
