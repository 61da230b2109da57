//! What is said of a bin: the shapes that the pages, the command line and the JSON share. Nothing is reckoned here.

use jiff::civil::{Date, DateTime};
use serde::Serialize;
use stook_measure::{Range, Spread, Working};

use crate::bin_case::Push;
use crate::plan::Plan;

/// One bin's answer for a day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BinAir {
    /// Key of the bin.
    pub bin: String,
    /// Its name.
    pub name: String,
    /// What is in it, in words.
    pub holds: String,
    /// The day answered for.
    pub as_of: Date,
    /// What to do, in a sentence.
    pub what: String,
    /// Why, and how sure.
    pub why: Vec<String>,
    /// What would change it.
    pub change: String,
    /// What to do about it besides the fan, with what it costs, when air alone is not enough.
    pub next: Vec<String>,
    /// Alarms, the worst first.
    pub alarms: Vec<Alarm>,
    /// The fan.
    pub fan: FanSays,
    /// Hours of tonight in which it should run: from and to.
    pub on: Vec<Block>,
    /// The hours from this evening on.
    pub hours: Vec<HourSays>,
    /// The layers as they are now, lowest first.
    pub layers: Vec<LayerSays>,
    /// Storage life of the part that has least of it left.
    pub life: Option<LifeSays>,
    /// Plans tried, the first is the fan off.
    pub plans: Vec<PlanSays>,
    /// Layers through the days to come, fan off against the chosen plan.
    pub frames: Vec<Frame>,
    /// One day's wait with the chosen plan.
    pub waiting: Option<WaitSays>,
    /// Money at stake: what spoiling of all of it would take off.
    pub at_stake: f64,
    /// What was read, and when to read again.
    pub readings: ReadingsSay,
    /// What was taken in place of facts.
    pub assumed: Vec<String>,
    /// What is wrong in what was given.
    pub faults: Vec<String>,
    /// How figures came about.
    pub workings: Vec<Working>,
    /// Plans reckoned of all to be reckoned.
    pub done: usize,
    /// All.
    pub of: usize,
    /// Weathers each is run through.
    pub weathers: usize,
}

impl BinAir {
    /// Whether it asks for something: an alarm, a fan to be switched on, or grain that will not keep.
    pub fn presses(&self) -> bool {
        !self.alarms.is_empty()
            || self.life.as_ref().is_some_and(|l| l.days[1] < 60.0)
            || !self.next.is_empty()
            || self.waiting.as_ref().is_some_and(|w| w.clear && w.money.mean >= 5.0)
    }
}

/// An alarm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Alarm {
    /// What the reading says.
    pub sign: String,
    /// What to do. Never to go in.
    pub act: String,
    /// Whether it cannot wait.
    pub urgent: bool,
}

/// The fan on its bed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FanSays {
    /// Whether the book says it is on.
    pub on_now: bool,
    /// What it does, when it does something.
    pub push: Option<Push>,
    /// In a sentence: air, pressure, and how that is known; or why there is none.
    pub words: String,
    /// Depth of grain, m.
    pub depth_m: f64,
    /// What stands against drying with air in this bin.
    pub objections: Vec<String>,
    /// What one more foot of grain costs: airflow left, cfm/bu, and days of cooling.
    pub one_more_foot: Option<(f64, f64)>,
    /// Fan hours of a whole cooling front.
    pub front_h: Option<f64>,
    /// Money an hour.
    pub money_h: f64,
}

/// A run of the fan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Block {
    /// On.
    pub from: DateTime,
    /// Off.
    pub to: DateTime,
}

/// An hour of the evening and night.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HourSays {
    /// When it begins.
    pub at: DateTime,
    /// Outdoors, C.
    pub t_c: f64,
    /// Outdoors, %.
    pub rh_pct: f64,
    /// After the fan, C.
    pub fan_t_c: f64,
    /// After the fan, %.
    pub fan_rh_pct: f64,
    /// Moisture that air would bring grain to, % wet basis.
    pub emc_pct: f64,
    /// Where it would bring the temperature of the top, C.
    pub landing_c: f64,
    /// Share of the weathers in which the chosen plan runs.
    pub on_share: f64,
}

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LayerSays {
    /// Its lower edge above the floor, m.
    pub from_m: f64,
    /// Its upper edge.
    pub to_m: f64,
    /// Moisture, % wet basis.
    pub m_pct: f64,
    /// Temperature, C.
    pub t_c: f64,
    /// Life spent, likely.
    pub spent: f64,
    /// Days left as it is, likely; none where no life is known.
    pub days_left: Option<f64>,
}

/// The part of the bin with least life left.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LifeSays {
    /// Which part, in words: "top 4 ft".
    pub part: String,
    /// Its moisture, % wet basis.
    pub m_pct: f64,
    /// Its temperature, C.
    pub t_c: f64,
    /// Life spent, 0 to 1.
    pub spent: f64,
    /// Days left as it lies: shortest, likely, longest.
    pub days: [f64; 3],
    /// Share of its life that a day spends.
    pub a_day: f64,
    /// Whether the sources stop counting: at least so long.
    pub at_least: bool,
}

/// A plan over the weathers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanSays {
    /// The plan.
    pub plan: Plan,
    /// In words.
    pub words: String,
    /// Whether it is the one to follow.
    pub chosen: bool,
    /// Money lost over the days looked ahead.
    pub cost: Range,
    /// Mean of it.
    pub mean: f64,
    /// Money saved against the fan off; none for the fan off itself.
    pub saved: Option<Spread>,
    /// Hours of fan.
    pub fan_h: Range,
    /// Energy, kWh.
    pub kwh: Range,
    /// Days until all of it is dry enough to keep.
    pub dry_days: Option<Range>,
    /// Temperature to bring all of it down to next, C.
    pub cool_to_c: f64,
    /// Days until all of it is there: the front is out of the top.
    pub cool_days: Option<Range>,
    /// Share of the weathers in which that happens in the days looked ahead.
    pub cool_share: f64,
    /// Share of the weathers in which it is dry in the days looked ahead.
    pub dry_share: f64,
    /// Share of the weathers in which it is dry before its life is out.
    pub in_time: f64,
    /// Share in which the worst layer's life runs out in the days looked ahead.
    pub out_share: f64,
    /// Average moisture at the end.
    pub end_pct: Range,
    /// Top moisture at the end.
    pub top_pct: Range,
    /// Warmest layer at the end, C.
    pub warmest_c: Range,
}

/// One moment of the moving picture.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Frame {
    /// Day.
    pub day: Date,
    /// Layers with the fan off: moisture and temperature.
    pub off: Vec<(f64, f64)>,
    /// Layers under the chosen plan.
    pub plan: Vec<(f64, f64)>,
}

/// Money of a day's wait.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WaitSays {
    /// Over the weathers.
    pub money: Spread,
    /// False: no clear difference.
    pub clear: bool,
    /// In words.
    pub words: String,
    /// Line by line.
    pub working: Working,
}

/// What was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingsSay {
    /// The last time anything was read.
    pub last: Option<DateTime>,
    /// In words: what it said and how the reckoning was off.
    pub words: String,
    /// Read again by.
    pub due: Option<Date>,
    /// Whether that day has come.
    pub overdue: bool,
}
