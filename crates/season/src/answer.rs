//! What the season answers: the shapes the pages, the command line and the JSON output all share.
//!
//! Everything here is plain data in the farm's language with SI numbers beside it; nothing is computed here.
//! The JSON form is documented in `docs/json.md`.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use stook_measure::{Range, Spread, Working};

/// One day's answer: the list of what is worth doing, and the state of every field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Today {
    /// Name of the farm.
    pub farm: String,
    /// The day answered for; weather up to the evening before is taken as known.
    pub as_of: Date,
    /// The answer in one sentence, for the top of the page.
    pub headline: String,
    /// Decisions open now, dearest to leave first (cost of waiting per machine hour).
    pub open: Vec<Decision>,
    /// Decisions whose window has not opened: what comes next and when.
    pub coming: Vec<Coming>,
    /// What to go and look at today, and other choices of the growing crop.
    #[serde(default)]
    pub looks: Vec<TodayLook>,
    /// Every planned wheat field as it stands.
    pub fields: Vec<FieldOutlook>,
    /// The order of work for the busiest machine, against the plain order.
    pub order: Option<OrderOfWork>,
    /// How the weathers were made.
    pub weather: WeatherBasis,
    /// Facts the farm has not given and what was taken in their place, the widest first.
    pub assumed: Vec<String>,
    /// Things that are wrong or odd in the book or the weather and that a person should see.
    pub warnings: Vec<String>,
}

/// Something to look at or decide that is no job of a machine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TodayLook {
    /// Field id.
    pub field: String,
    /// What it is about: `frost`, `midge`, `insects`, `stand`, `late` and so on.
    pub about: String,
    /// What to do.
    pub what: String,
    /// Why.
    pub why: String,
}

/// The job a decision is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Job {
    /// Harrow to dry the seedbed.
    Harrow,
    /// Drill the field.
    Seed,
    /// Spray weeds.
    Herbicide,
    /// Spray for disease.
    Fungicide,
    /// Combine it.
    Cut,
}

impl Job {
    /// The trade's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Harrow => "harrow",
            Self::Seed => "seed",
            Self::Herbicide => "spray weeds",
            Self::Fungicide => "spray fungicide",
            Self::Cut => "cut",
        }
    }
    /// What the machine is called.
    pub fn machine(self) -> &'static str {
        match self {
            Self::Harrow => "harrow",
            Self::Seed => "drill",
            Self::Herbicide | Self::Fungicide => "sprayer",
            Self::Cut => "combine",
        }
    }
}

/// One open decision.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Decision {
    /// Stable key, `seed/slough-quarter`: answers in the book refer to it.
    pub key: String,
    /// Field id in the book.
    pub field: String,
    /// Field name, area in the farm's unit, crop: the small line above the headline.
    pub place: String,
    /// The job.
    pub job: Job,
    /// What to do, in one short sentence: the headline.
    pub what: String,
    /// Why, and how sure.
    pub why: String,
    /// What would change it.
    pub change: String,
    /// What moved since yesterday, if anything did.
    pub moved: Option<String>,
    /// Whether the job can be done today.
    pub fit: Fit,
    /// The money of waiting one workable day; `None` when it is not reckoned (the reason is in `why`).
    pub waiting: Option<Waiting>,
    /// For a fungicide: what spraying is worth over leaving it, and the disease weather behind it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spray: Option<SprayCase>,
    /// Hours the machine needs for the whole job.
    pub machine_hours: f64,
    /// The first day after today on which the job can be done, over the weathers (days from `as_of`).
    pub next_chance_days: Option<Range>,
    /// When the window closes, if it does.
    pub closes: Option<DateRange>,
    /// A hard stop that forbids it whatever it costs: law, label, life.
    pub blocked: Option<String>,
    /// The usual caution, where the work can hurt someone.
    pub caution: Option<String>,
    /// What is worth doing now, in one of three words.
    pub advice: Advice,
    /// An answer given in the book today ("no, the north end is soft").
    pub answered: Option<String>,
}

/// The three verdicts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Advice {
    /// Do it today.
    Now,
    /// Waiting pays, or it is not fit.
    Wait,
    /// No clear difference.
    Either,
}

/// Fitness of a field for a job today.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// Share of the weathers in which some of today can be worked, 0 to 1.
    pub chance: f64,
    /// Hours of today that can be worked, over the weathers.
    pub hours: Range,
    /// The figure it is judged on (water in the judged depth over field capacity, or kernel moisture %).
    pub figure: f64,
    /// The limit for that figure.
    pub limit: f64,
    /// Whether the limit is learned from the farm's own go and no.
    pub limit_is_own: bool,
}

/// Money lost (positive) or saved (negative) by doing the job one workable day later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Waiting {
    /// Over the weathers, the same ones on both sides.
    pub money: Spread,
    /// Mean money per machine hour of the job: the rank.
    pub per_hour: f64,
    /// False when the error of the mean is not well below the mean: "no clear difference".
    pub clear: bool,
    /// In words: "costs about 730 (0 to 1,300)".
    pub words: String,
    /// Mean money by what it is made of; the lines add up to the mean.
    pub working: Working,
}

/// A head spray weighed against leaving the field unsprayed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SprayCase {
    /// Money on the field from spraying on the first fit day, over not spraying, same weathers on both sides.
    pub net: Spread,
    /// False when the error of the mean is not well below the mean.
    pub clear: bool,
    /// Hours of head blight weather in the seven days to last evening; `None` before heads show.
    pub hours_now: Option<f64>,
    /// The most such hours in seven days by the end of flowering, over the weathers.
    pub hours: Range,
    /// Risk class of the middle weather: `low`, `moderate` or `high`. An index, not a probability.
    pub class: String,
    /// Diseased spikelets to expect unsprayed, %, over the weathers.
    pub index_pct: Range,
    /// Diseased spikelets at which the spray pays, %; `None` when it does at none.
    pub pays_from_index_pct: Option<f64>,
    /// Hours in seven days at which it pays; `None` when a week has not that many.
    pub pays_from_h: Option<f64>,
    /// Share of the weathers in which it pays.
    pub pays_in: f64,
    /// Days of tan spot infection from the flag leaf to milk, over the weathers.
    pub leaf_days: Range,
    /// True when the farm's own saving stands in for the reckoned one.
    pub own_saving: bool,
    /// In words.
    pub words: String,
    /// Mean money by what it is made of.
    pub working: Working,
}

/// A window that has not opened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Coming {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// The job.
    pub job: Job,
    /// When it is expected to open.
    pub opens: DateRange,
    /// When it is expected to close, if it does.
    pub closes: Option<DateRange>,
    /// In a sentence.
    pub words: String,
}

/// Three dates: one weather in ten is earlier than the first, half before the second, one in ten after the third.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct DateRange {
    /// 10 %.
    pub early: Date,
    /// 50 %.
    pub middle: Date,
    /// 90 %.
    pub late: Date,
}

/// A field as it stands and as it may go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FieldOutlook {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Crop this year.
    pub crop: String,
    /// Where it is now, in words: "3 leaves, 1 tiller (Zadoks 13)".
    pub stage: String,
    /// Zadoks number now, middle of the weathers; `None` before seeding.
    pub zadoks: Option<f64>,
    /// Available water to 1.2 m today, mm.
    pub water_mm: f64,
    /// What the soil could hold, mm.
    pub water_capacity_mm: f64,
    /// Water in the top 0.1 m over field capacity, today.
    pub surface: f64,
    /// Soil temperature at seed depth today, C.
    pub soil_temp_c: f64,
    /// Yield if things go as the policy says, kg/ha.
    pub yield_kg_ha: Option<Range>,
    /// What has happened, in order.
    pub happened: Vec<Happened>,
    /// Windows still to come or open, in order.
    pub windows: Vec<Window>,
    /// Available water by day over the weathers: the past as one line, the future as a fan.
    pub water_fan: Fan,
    /// Development (Zadoks) by day.
    pub stage_fan: Fan,
    /// Kernel moisture by day, % wet basis, once kernels are there.
    pub moisture_fan: Fan,
    /// How the water and yield figures came about.
    pub working: Vec<Working>,
}

/// Something done or seen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Happened {
    /// When.
    pub date: Date,
    /// "seeded", "sprayed weeds", "harrowed", "cut", "emergence seen".
    pub what: String,
    /// Id of the entry in the book.
    pub entry: String,
}

/// A window of a field's year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Window {
    /// The job.
    pub job: Job,
    /// Opens.
    pub opens: DateRange,
    /// Closes, or is expected to be done by.
    pub closes: DateRange,
}

/// Quantiles by day.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Fan {
    /// Unit.
    pub unit: String,
    /// First day, `None` when empty.
    pub start: Option<Date>,
    /// One range a day; days where no member has a value hold `None`.
    pub days: Vec<Option<Range>>,
    /// How many of the first days are the past (a single line).
    pub past_days: usize,
}

/// The order of work for one machine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OrderOfWork {
    /// Which machine.
    pub machine: String,
    /// The job.
    pub job: Job,
    /// Stops in order.
    pub stops: Vec<Stop>,
    /// What the order is compared with: "nearest first" or "ripest first".
    pub against: String,
    /// Money gained by this order over the plain one, over the weathers.
    pub gain: Spread,
    /// In words.
    pub words: String,
    /// How.
    pub working: Working,
}

/// One field in an order of work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Stop {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Machine hours left on it.
    pub hours: f64,
    /// Cost of waiting per machine hour.
    pub per_hour: f64,
    /// Expected day.
    pub expected: DateRange,
}

/// How the weathers were made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WeatherBasis {
    /// Last day with observed weather.
    pub observed_to: Option<Date>,
    /// Days of forecast used.
    pub forecast_days: usize,
    /// Past years whose remainder was used.
    pub past_years: usize,
    /// Generated members.
    pub generated: usize,
    /// In a sentence, with what is weak about it.
    pub words: String,
}

/// The whole plan: the day's answer and the order for each machine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Today.
    pub today: Today,
    /// One order a machine with work within reach.
    pub orders: Vec<OrderOfWork>,
    /// What a day lost by each machine would cost the whole farm, all fields queued as planned.
    pub machine_day: Vec<MachineDay>,
}

/// What one idle day of a machine costs the whole farm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MachineDay {
    /// Machine.
    pub machine: String,
    /// The job it is on.
    pub job: Job,
    /// Money over the weathers.
    pub money: Spread,
    /// In words.
    pub words: String,
}
