//! The growing crop of one field, closer than Today has it: stage with its range, water against need, stress so far,
//! three yields side by side, what changed since last week, what to look at, ripeness.

mod changed;
mod leaf;
mod look;
mod memory;
mod own;
mod ripe;
mod stage;
mod stand;
mod water;
mod yields;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use stook_measure::{Range, Working};

use crate::SeasonError;
use crate::answer::{DateRange, Fan};
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::run::Policy;

pub use memory::Correction;
pub use own::{OwnYields, PastYear};

/// Puts what the farm's own sightings and yields have taught into the model.
pub(crate) fn learn(model: &mut crate::model::Model, q: &Question<'_>) {
    memory::learn(model, q);
    own::learn(model, q);
}

/// A field's crop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Growing {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Whether a crop stands there now.
    pub standing: bool,
    /// Where it is.
    pub stage: Option<StageNow>,
    /// Root-zone water against need.
    pub water: WaterNow,
    /// What has held it back so far: label, figure in words.
    pub stress: Vec<Line>,
    /// Three yields side by side.
    pub yields: Option<Yields>,
    /// The outlook as it read on the last mornings of a week, up to today.
    pub yield_fan: Fan,
    /// What changed since last week, and why; empty when nothing did.
    pub changed: Vec<String>,
    /// The correction remembered for this field and cultivar class.
    pub correction: Option<Correction>,
    /// Leaf disease weather: the last days and what is to come.
    pub leaf: Vec<LeafLine>,
    /// Where the wet hours of the last days come from.
    pub leaf_basis: String,
    /// What to look at in the field, most pressing first.
    pub looks: Vec<Look>,
    /// Ripeness, from flowering on.
    pub ripe: Option<Ripe>,
}

/// A label and its figure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What.
    pub label: String,
    /// How much, in words.
    pub figure: String,
}

/// Stage with its range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StageNow {
    /// In words.
    pub words: String,
    /// Zadoks, middle.
    pub zadoks: u8,
    /// Earliest it is likely to be.
    pub zadoks_low: u8,
    /// Latest.
    pub zadoks_high: u8,
    /// The model's own error in words, and whether a scouted stage narrows it.
    pub range: String,
    /// Stages to come with dates, model error added.
    pub next: Vec<StageDate>,
}

/// A stage to come.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StageDate {
    /// Stage in words.
    pub stage: String,
    /// When.
    pub when: DateRange,
}

/// Water in the root zone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WaterNow {
    /// Depth of the roots, m.
    pub root_m: f64,
    /// Water the crop can take there, mm.
    pub have_mm: f64,
    /// What that depth can hold, mm.
    pub hold_mm: f64,
    /// Need of the next seven days with plenty of water, mm.
    pub need_7d_mm: Range,
    /// Rain of the next seven days, mm.
    pub rain_7d_mm: Range,
    /// Share of the weathers in which the crop is short of water within seven days.
    pub short_in: f64,
}

/// Three yields, before harvest losses, kg/ha.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Yields {
    /// Water and rain through the water line.
    pub by_line: Range,
    /// The line corrected by the farm's own past yields; `None` without them.
    pub corrected: Option<Range>,
    /// By the water the crop could not get.
    pub by_deficit: Range,
    /// From heads and kernels counted.
    pub by_count: Option<f64>,
    /// The day counted.
    pub counted_on: Option<Date>,
    /// How they come about.
    pub working: Vec<Working>,
}

/// One leaf disease.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LeafLine {
    /// Which.
    pub disease: String,
    /// Days of the last ten that were wet and warm enough.
    pub last_10_days: u8,
    /// The last such day.
    pub last: Option<Date>,
    /// Days of the next seven, over the weathers.
    pub next_7_days: Range,
    /// What it asks, in words.
    pub asks: String,
}

/// Something to look at in the field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Look {
    /// `frost`, `heat`, `hail`, `midge`, `insects`, `stand`, `late`: what it is about.
    pub about: String,
    /// What to do, in a sentence.
    pub what: String,
    /// Why, and how sure.
    pub why: String,
    /// What to look at.
    pub at: String,
    /// Whether it belongs on Today.
    pub today: bool,
    /// The working, where there is one.
    pub working: Option<Working>,
}

/// Ripeness.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ripe {
    /// Dry matter of the kernels, % of final.
    pub dry_matter_pct: f64,
    /// Moisture last evening, %.
    pub moisture_pct: f64,
    /// Moisture of the least ripe part, %.
    pub greenest_pct: f64,
    /// When kernels have their full weight.
    pub full: Option<DateRange>,
    /// When the least ripe part is under the label's limit: the first day for a herbicide before harvest.
    pub preharvest: Option<DateRange>,
    /// What is said of it.
    pub preharvest_words: String,
    /// When it is first fit to cut at the moisture the farm starts at.
    pub ready: Option<DateRange>,
    /// The moisture the hours are asked for, %.
    pub below_pct: f64,
    /// Days to come: hours with grain below that moisture.
    pub hours: Vec<CutHours>,
    /// Cutting when first fit against a week later, in words.
    pub waiting: String,
    /// Sprouting risk and grade money by days of standing.
    pub wait_lines: Vec<WaitLine>,
}

/// Hours of a day below a moisture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CutHours {
    /// The day.
    pub date: Date,
    /// Share of the weathers with any such hour.
    pub chance: f64,
    /// First hour of the day, middle of those weathers.
    pub from_h: f64,
    /// Last.
    pub to_h: f64,
    /// Moisture at its driest, over the weathers, %.
    pub driest_pct: Range,
}

/// Standing ripe for some days.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WaitLine {
    /// Days from the first fit day.
    pub days: u16,
    /// Share of the weathers at moderate sprouting risk or worse.
    pub sprout_moderate: f64,
    /// At high or severe.
    pub sprout_high: f64,
    /// Grade and standing loss, money/ha.
    pub lost_per_ha: Range,
}

/// Every wheat field's crop.
///
/// # Errors
/// When the farm has no place yet.
pub fn growing(q: &Question<'_>) -> Result<Vec<Growing>, SeasonError> {
    let c = carry(q)?;
    let (seasons, tracks) = c.seasons_tracked(&Policy::default());
    let weeks = changed::weeks(q, &c, &seasons);
    Ok((0..c.model.fields.len())
        .map(|f| {
            let field = &c.model.fields[f];
            let s = crate::outlook::middle_state(&c, f);
            let standing = s.wheat.is_some() && s.left_ha(crate::answer::Job::Cut) > 0.0;
            let yields = standing.then(|| yields::yields(&c, q, f, &seasons)).flatten();
            Growing {
                field: field.id.to_string(),
                name: field.name.clone(),
                standing,
                stage: standing.then(|| stage::now(&c, f, &seasons)).flatten(),
                water: water::now(&c, f),
                stress: if standing { water::stress(&c, f) } else { Vec::new() },
                yield_fan: if standing { changed::fan(&weeks, f) } else { Fan::default() },
                changed: if standing { changed::since_last_week(&c, &weeks, f) } else { Vec::new() },
                correction: field.correction.clone(),
                leaf: if standing { leaf::lines(&c, f) } else { Vec::new() },
                leaf_basis: leaf::basis(&c),
                looks: look::looks(&c, q, f, standing),
                ripe: standing.then(|| ripe::ripe(&c, f, &seasons, &tracks)).flatten(),
                yields,
            }
        })
        .collect())
}

/// The looks that belong on Today, without the rest.
pub(crate) fn looks_for_today(c: &Carried, q: &Question<'_>) -> Vec<(usize, Look)> {
    (0..c.model.fields.len())
        .flat_map(|f| {
            let s = crate::outlook::middle_state(c, f);
            let standing = s.wheat.is_some() && s.left_ha(crate::answer::Job::Cut) > 0.0;
            look::looks(c, q, f, standing).into_iter().filter(|l| l.today).map(move |l| (f, l))
        })
        .collect()
}
