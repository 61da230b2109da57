//! What is said of a field's money: its costs, where each is from, what is left.

use serde::Serialize;
use stook_book::FieldId;
use stook_book::payload::{CostKind, Crop};
use stook_measure::{Range, Working, units};

use crate::uses::Part as UsePart;

/// What a cost belongs to, in the order shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Seed.
    Seed,
    /// Fertilizer.
    Fertilizer,
    /// Sprays with their passes.
    Spray,
    /// Machines.
    Machines,
    /// Work hired.
    Custom,
    /// Drying.
    Drying,
    /// Storage so far.
    Storage,
    /// Land.
    Land,
    /// Crop insurance.
    Insurance,
    /// The farm's own.
    Overhead,
}

impl Part {
    /// All, in order.
    pub const ALL: [Self; 10] = [
        Self::Seed,
        Self::Fertilizer,
        Self::Spray,
        Self::Machines,
        Self::Custom,
        Self::Drying,
        Self::Storage,
        Self::Land,
        Self::Insurance,
        Self::Overhead,
    ];

    /// In a word.
    pub fn words(self) -> &'static str {
        match self {
            Self::Seed => "seed",
            Self::Fertilizer => "fertilizer",
            Self::Spray => "sprays",
            Self::Machines => "machines",
            Self::Custom => "work hired",
            Self::Drying => "drying",
            Self::Storage => "storage",
            Self::Land => "land",
            Self::Insurance => "crop insurance",
            Self::Overhead => "the farm's own",
        }
    }

    pub(crate) fn bill(self) -> CostKind {
        match self {
            Self::Seed => CostKind::Seed,
            Self::Fertilizer => CostKind::Fertilizer,
            Self::Spray => CostKind::Spray,
            Self::Machines => CostKind::Machines,
            Self::Custom => CostKind::Custom,
            Self::Drying => CostKind::Drying,
            Self::Storage => CostKind::Storage,
            Self::Land => CostKind::Land,
            Self::Insurance => CostKind::Insurance,
            Self::Overhead => CostKind::Overhead,
        }
    }
}

/// Where a cost is from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// A bill in the book.
    Bill,
    /// What was done, at the farm's price.
    YourPrice,
    /// Published factors with the farm's own figures.
    Reckoned,
    /// As it was on this crop the year before, by the farm's own figures: which year.
    AsIn(i16),
    /// A price of ours stands in: which.
    OurPrice(String),
}

impl How {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::Bill => "your bill".into(),
            Self::YourPrice => "your price".into(),
            Self::Reckoned => "published factors, your figures".into(),
            Self::AsIn(year) => format!("as it was in {year}"),
            Self::OurPrice(what) => format!("our price of {what} stands in"),
        }
    }
}

/// A cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What it belongs to.
    pub part: Part,
    /// In words.
    pub words: String,
    /// Money/ha.
    pub per_ha: f64,
    /// Where it is from.
    pub how: How,
    /// How reckoned, where there is more to it.
    pub working: Option<Working>,
}

impl Line {
    pub(crate) fn new(part: Part, words: impl Into<String>, per_ha: f64, how: How) -> Self {
        Self { part, words: words.into(), per_ha, how, working: None }
    }
}

/// Whether a crop is made or looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Made {
    /// Loads came off.
    Made,
    /// Still to come.
    Expected,
}

/// A field's money.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldMoney {
    /// Field.
    pub field: FieldId,
    /// Name.
    pub name: String,
    /// Crop.
    pub crop: Crop,
    /// Area, ha.
    pub area_ha: f64,
    /// Made or looked for.
    pub made: Made,
    /// Yield, kg/ha, with its range when it is looked for; none when nothing says.
    pub yield_kg_ha: Option<Range>,
    /// Where the yield is from.
    pub yield_by: String,
    /// The farm's own mean of other years, kg/ha, beside an outlook.
    pub usual_kg_ha: Option<f64>,
    /// Pounds in its bushel.
    pub lb_per_bu: f64,
    /// Costs.
    pub lines: Vec<Line>,
    /// What is not known and not in it: words and the form that mends it.
    pub asked: Vec<(String, String)>,
    /// Costs known, money/ha.
    pub cost_ha: f64,
    /// The same a tonne: the price that breaks even.
    pub break_even_t: Option<f64>,
    /// What a tonne is worth: mean of its uses, or the price looked for.
    pub price_t: Option<f64>,
    /// Whose price.
    pub price_by: String,
    /// Value, money/ha.
    pub value_ha: Option<f64>,
    /// Value less costs known, money/ha.
    pub margin_ha: Option<f64>,
    /// Yield that breaks even at that price, kg/ha.
    pub break_even_kg_ha: Option<f64>,
    /// What became of it.
    pub uses: Vec<UsePart>,
    /// How reckoned.
    pub working: Working,
}

impl FieldMoney {
    /// A price a tonne as one a bushel.
    pub fn a_bushel(&self, per_t: f64) -> f64 {
        per_t / units::bushels_per_tonne(self.lb_per_bu)
    }
}
