//! Late spring: past the best days and the farm's own deadlines, which crop still, or none. And the evening before
//! rain: how many acres are left in how many hours.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use stook_measure::{Op, Range, Working, figure};

use crate::SeasonError;
use crate::alone::{self, Alone};
use crate::answer::Job;
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::words;

/// What can still be done with an unseeded field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Late {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// What comes out ahead, in a sentence.
    pub what: String,
    /// Why.
    pub why: String,
    /// Ways, best first.
    pub ways: Vec<LateWay>,
    /// The farm's last day for the crop planned.
    pub last_day: Date,
}

/// One way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LateWay {
    /// Key: `as_planned`, `earlier`, `barley`, `oats`, `greenfeed`, `leave`.
    pub key: String,
    /// In words.
    pub words: String,
    /// Money a hectare over costs, over the weathers.
    pub per_ha: Range,
    /// Mean, money/ha.
    pub mean: f64,
    /// Share of the weathers in which it is not ripe before a killing frost or the end.
    pub fails_in: f64,
    /// When it would be fit to cut, middle.
    pub ready: Option<Date>,
    /// The last day on which it still beats leaving the field, seeded by the middle weather; `None` when it does not now.
    pub last_sensible: Option<Date>,
    /// Whether the farm's own deadline has passed for it.
    pub past_deadline: bool,
    /// How.
    pub working: Working,
}

/// A crop that could go in.
struct Option_ {
    key: &'static str,
    words: &'static str,
    /// Days later it ripens than a middle wheat.
    days_late: f64,
    /// Yield over that of wheat.
    yield_share: f64,
    /// Price, money/kg.
    price_per_kg: f64,
    /// Seed, pass, spray and cutting to come, money/ha.
    cost: f64,
    /// Whether frost matters: forage is cut green.
    to_ripe: bool,
}

fn options(c: &Carried, f: usize) -> Vec<Option_> {
    let get = |name: &str| c.model.reference.get(&format!("season.late.{name}"));
    let s = &c.model.season;
    let to_come = c.model.reference.get("season.reseed.pass_per_ha") + s.herbicide_per_ha + s.cut_per_ha;
    let seed = c.model.reference.get("season.reseed.seed_per_ha");
    let wheat = s.wheat_per_t / 1000.0;
    let own = c.model.fields[f].days_late;
    let mut out = vec![Option_ {
        key: "as_planned",
        words: "wheat as planned",
        days_late: own,
        yield_share: 1.0,
        price_per_kg: wheat,
        cost: to_come + seed,
        to_ripe: true,
    }];
    if own > -3.0 {
        out.push(Option_ {
            key: "earlier",
            words: "an earlier wheat cultivar",
            days_late: -3.0,
            yield_share: get("earlier_yield_share"),
            price_per_kg: wheat,
            cost: to_come + seed,
            to_ripe: true,
        });
    }
    for (key, words) in [("barley", "barley"), ("oats", "oats")] {
        out.push(Option_ {
            key,
            words,
            days_late: get(&format!("{key}_days")),
            yield_share: get(&format!("{key}_yield_share")),
            price_per_kg: get(&format!("{key}_per_t")) / 1000.0,
            cost: to_come + seed,
            to_ripe: true,
        });
    }
    out.push(Option_ {
        key: "greenfeed",
        words: "greenfeed",
        days_late: get("barley_days"),
        yield_share: get("greenfeed_share"),
        price_per_kg: get("greenfeed_per_t") / 1000.0,
        cost: c.model.reference.get("season.reseed.pass_per_ha") + seed + get("greenfeed_cutting_per_ha"),
        to_ripe: false,
    });
    out
}

/// The ways left for a field, seeded `in_days` from now; `None` when it is seeded already.
fn ways(c: &Carried, f: usize) -> Vec<LateWay> {
    let field = &c.model.fields[f];
    let s = middle_state(c, f);
    if s.left_ha(Job::Seed) < field.area_ha - 1e-6 {
        return Vec::new();
    }
    let uncut = c.model.season.uncut_share;
    let leave = c.model.reference.get("season.late.leave_per_ha");
    // The drill's next chance in the middle weather, not before today.
    let runs = c.seasons(&crate::run::Policy::default(), None);
    let first: Vec<f64> =
        runs.iter().filter_map(|m| m[f].first_fit[Job::Seed as usize]).map(f64::from).collect();
    let soon = Range::of(&first).map_or(5, |r| r.p50.round() as u16).min(40);
    let last_day = date_of(c, field.last_doy);
    let value = |o: &Option_, all: &[Alone]| -> Vec<f64> {
        all.iter()
            .map(|a| {
                let kg = a.yield_kg_ha * o.yield_share;
                let kept = if o.to_ripe && a.fails() { uncut } else { 1.0 };
                kg * kept * o.price_per_kg - o.cost
            })
            .collect()
    };
    let mut out = Vec::new();
    for o in options(c, f) {
        let mut as_if = field.clone();
        as_if.params = c.model.crop.for_cultivar(o.days_late);
        as_if.last_doy = u16::MAX;
        let at = |day: u16| alone::seeded(c, f, &as_if, day);
        let all = at(soon);
        let money = value(&o, &all);
        let Some(per_ha) = Range::of(&money) else { continue };
        let n = money.len() as f64;
        let mean = money.iter().sum::<f64>() / n;
        let fails = all.iter().filter(|a| o.to_ripe && a.fails()).count() as f64 / n;
        let ready: Vec<Option<u16>> = all.iter().map(|a| a.ready).collect();
        // Later by a week at a time, until leaving the field is better.
        let mut last_sensible = None;
        for extra in (0..50).step_by(7) {
            let v = value(&o, &at(soon + extra));
            if v.iter().sum::<f64>() / n < leave {
                break;
            }
            last_sensible = Some(c.date(i64::from(soon + extra)));
        }
        let kg = all.iter().map(|a| a.yield_kg_ha).sum::<f64>() / n;
        let kept =
            all.iter().map(|a| if o.to_ripe && a.fails() { uncut } else { 1.0 } * a.yield_kg_ha).sum::<f64>()
                / (n * kg.max(1.0));
        let working = Working::new(format!("{}: {}, a hectare", field.name, o.words))
            .line(Op::Note, "Seeded on", f64::from(soon), "days from now", 0)
            .line(Op::Start, "Wheat's yield at that date, with frost on the way, mean", kg, "kg", 0)
            .line(Op::Times, "This crop's yield over wheat's", o.yield_share, "", 2)
            .line(Op::Times, "Share of its worth left by frost before ripe", kept, "", 3)
            .line(Op::Times, "Price", o.price_per_kg, "a kg", 3)
            .line(Op::Minus, "Seed, pass, spray, cutting still to pay", o.cost, "", 0)
            .sum("Left over", mean, "", 0)
            .note(format!("Not ripe before {} C or the end of October counts {} of its worth.", alone::KILLING_C, figure(uncut, 1)))
            .note("Insurance cover by seeding date is not in it: ask the insurer which crops are still covered, and on what day it ends.")
            .source("1 % a day for late seeding; mid-June 1997 gave 92 % of the mean (Manitoba Agriculture)")
            .source("days to maturity: wheat 83-98, barley 70-85, oats 82-98 (Prairie Grains 2006); shares and prices are assumptions: enter your own numbers season.late.*");
        out.push(LateWay {
            key: o.key.into(),
            words: o.words.into(),
            per_ha,
            mean,
            fails_in: fails,
            ready: date_range_middle(c, &ready),
            last_sensible,
            past_deadline: o.to_ripe && c.date(i64::from(soon)) > last_day,
            working,
        });
    }
    out.push(LateWay {
        key: "leave".into(),
        words: "leave it this year".into(),
        per_ha: Range { p10: leave, p50: leave, p90: leave },
        mean: leave,
        fails_in: 0.0,
        ready: None,
        last_sensible: None,
        past_deadline: false,
        working: Working::new(format!("{}: leave it, a hectare", field.name))
            .sum("Paid for unseeded land, less a spray to keep it clean", leave, "", 0)
            .note("The insurer's payment for unseeded land is yours to enter: season.late.leave_per_ha."),
    });
    out.sort_by(|a, b| b.mean.total_cmp(&a.mean));
    out
}

fn date_range_middle(c: &Carried, days: &[Option<u16>]) -> Option<Date> {
    crate::dates::date_range(c, days).map(|r| r.middle)
}

fn date_of(c: &Carried, doy: u16) -> Date {
    Date::new(c.model.year, 1, 1)
        .map(|d| d.saturating_add(jiff::Span::new().days(i64::from(doy) - 1)))
        .unwrap_or(c.as_of)
}

/// Every unseeded field once the days of full yield are past.
///
/// # Errors
/// When the farm has no place yet.
pub fn late(q: &Question<'_>) -> Result<Vec<Late>, SeasonError> {
    Ok(of(&carry(q)?))
}

pub(crate) fn of(c: &Carried) -> Vec<Late> {
    let doy = f64::from(c.as_of.day_of_year());
    let after = c.model.reference.get("season.late.after_best_days");
    (0..c.model.fields.len())
        .filter(|f| {
            let field = &c.model.fields[*f];
            doy >= field.best_doy + after && doy < 220.0
        })
        .filter_map(|f| {
            let field = &c.model.fields[f];
            let ways = ways(c, f);
            let best = ways.first()?;
            let u = &c.model.units;
            let per = |x: f64| words::cash(u, x * field.area_ha);
            let planned = ways.iter().find(|w| w.key == "as_planned")?;
            let last_day = date_of(c, field.last_doy);
            let second = ways.get(1);
            let what = match best.key.as_str() {
                "as_planned" => format!("{}: wheat as planned still comes out ahead.", field.name),
                "leave" => format!("{}: leaving it comes out ahead of every crop.", field.name),
                _ => format!("{}: {} comes out ahead of wheat as planned.", field.name, best.words),
            };
            let mut why = format!(
                "{} leaves about {} on the field; wheat as planned {}, and in {} it is not ripe before frost.",
                capital(&best.words),
                per(best.mean),
                per(planned.mean),
                words::in_ten(planned.fails_in)
            );
            if let Some(s) = second.filter(|s| s.key != "as_planned") {
                why.push_str(&format!(" Next: {}, {}.", s.words, per(s.mean)));
            }
            if planned.past_deadline {
                why.push_str(&format!(" Your last day for it is {}.", words::day(last_day)));
            } else if let Some(d) = planned.last_sensible {
                why.push_str(&format!(" Wheat beats leaving the field if seeded by about {}.", words::day(d)));
            }
            Some(Late { field: field.id.to_string(), name: field.name.clone(), what, why, ways, last_day })
        })
        .collect()
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// The evening before rain: what the drill gets done by each hour.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BeforeRain {
    /// What to do, in a sentence.
    pub what: String,
    /// Why.
    pub why: String,
    /// By hour.
    pub hours: Vec<RainHour>,
    /// How.
    pub working: Working,
}

/// One hour.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RainHour {
    /// Hour of the day it ends, 24 for midnight.
    pub by_h: f64,
    /// Area left if the drill runs until then, ha.
    pub left_ha: f64,
    /// Chance that rain has begun.
    pub rain: f64,
}

/// Asked at an hour with an area left. `rain_at_h` is the hour the radar gives, when known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainAsked {
    /// Hour of the day now.
    pub now_h: f64,
    /// Area left, ha.
    pub left_ha: f64,
    /// When rain is expected, hour of the day; past midnight counts on.
    pub rain_at_h: Option<f64>,
    /// Chance that it comes, 0 to 1; from the forecast where not given.
    pub chance: Option<f64>,
    /// Hours to empty and close up the drill.
    pub close_h: f64,
}

/// Chance of rain in each hour of the forecast on file, by hours from the midnight the day began.
fn rain_by_hour(q: &Question<'_>) -> Vec<(f64, f64)> {
    const WET_MM: f64 = 0.2;
    q.weather
        .forecast_hours
        .iter()
        .filter_map(|x| {
            let days = f64::from((x.hour.at.date() - q.as_of).get_days());
            let wet = x.hour.precip_mm.map(|mm| if mm >= WET_MM { 0.7 } else { 0.0 });
            let chance = x.rain_chance_pct.map(|p| p / 100.0).or(wet)?;
            (0.0..2.0).contains(&days).then(|| (24.0 * days + f64::from(x.hour.at.hour()), chance))
        })
        .collect()
}

/// Reckons it for a field.
///
/// # Errors
/// When the farm has no place yet.
pub fn before_rain(q: &Question<'_>, id: &str, asked: &RainAsked) -> Result<Option<BeforeRain>, SeasonError> {
    let c = carry(q)?;
    let Some(f) = c.model.field_index(id) else { return Ok(None) };
    let Some(drill) = c.model.machine(Job::Seed) else { return Ok(None) };
    let n = c.members().max(1) as f64;
    let wet =
        c.air.iter().filter(|a| a.first().is_some_and(|x| x.forcing.day.precip_mm >= 2.0)).count() as f64 / n;
    // Rain seen on the radar is all but certain to come.
    const SEEN: f64 = 0.9;
    let seen = asked.rain_at_h.map(|_| wet.max(SEEN));
    let chance = asked.chance.or(seen).unwrap_or(wet).clamp(0.0, 1.0);
    let rate = drill.ha_per_h;
    let hours_needed = asked.left_ha / rate;
    let finish = asked.now_h + hours_needed;
    // With an hour from the radar the rain comes about then, an hour and a half either way; without one it may come
    // at any hour until morning.
    let by_hour = rain_by_hour(q);
    let begun = |h: f64| match asked.rain_at_h {
        Some(at) => chance * ((h - (at - 1.5)) / 3.0).clamp(0.0, 1.0),
        None if !by_hour.is_empty() => by_hour
            .iter()
            .filter(|(at, _)| *at >= asked.now_h - 1.0 && *at < h)
            .map(|(_, p)| *p)
            .fold(0.0, f64::max),
        None => chance * ((h - asked.now_h) / (30.0 - asked.now_h).max(1.0)).clamp(0.0, 1.0),
    };
    let stop = asked.rain_at_h.map(|at| at - asked.close_h);
    let mut hours = Vec::new();
    let mut h = asked.now_h.ceil();
    while h <= (finish + 1.0).min(asked.now_h + 12.0) {
        hours.push(RainHour {
            by_h: h,
            left_ha: (asked.left_ha - rate * (h - asked.now_h)).max(0.0),
            rain: begun(h),
        });
        h += 1.0;
    }
    let u = &c.model.units;
    let by_stop = stop.map_or(asked.left_ha, |s| (rate * (s - asked.now_h).max(0.0)).min(asked.left_ha));
    let left = asked.left_ha - by_stop;
    let runs = crate::waiting::two_runs(&c, f, Job::Seed);
    let cost = crate::waiting::waiting(&c, f, Job::Seed, &runs);
    let per_ha = cost.as_ref().map_or(0.0, |w| w.money.mean / c.model.fields[f].area_ha);
    let clock =
        |h: f64| format!("{}:{:02}", (h.floor() as i64) % 24, ((h.fract() * 60.0).round() as i64).min(59));
    let what = match stop {
        Some(s) if s >= finish => format!("Finish it: done by about {}, before the rain.", clock(finish)),
        Some(s) if s <= asked.now_h => "Stop now: close the drill and get the seed covered.".into(),
        Some(s) => {
            format!("Stop by {}: {} more, {} left.", clock(s), words::area(u, by_stop), words::area(u, left))
        }
        None => format!("{} takes until about {}.", words::area(u, asked.left_ha), clock(finish)),
    };
    let mut why = format!("The drill does {} an hour. ", words::area(u, rate));
    why.push_str(&match (asked.chance, asked.rain_at_h) {
        (None, Some(_)) => "You have the rain on the radar.".to_string(),
        (Some(p), _) => format!("You take rain as coming in {}.", words::in_ten(p)),
        (None, None) => format!("Rain of 2 mm or more in {}.", words::in_ten(chance)),
    });
    if left > 0.05 {
        why.push_str(&format!(
            " What is left waits for the next fit day: about {} for it all.",
            words::cash(u, per_ha * left)
        ));
    }
    let working = Working::new("Seeding before rain")
        .line(Op::Start, "Area left", asked.left_ha, "ha", 1)
        .line(Op::Over, "The drill's rate", rate, "ha/h", 2)
        .sum("Hours it takes", hours_needed, "h", 1)
        .line(Op::Note, "Hours to close up the drill", asked.close_h, "h", 1)
        .line(Op::Note, "Waiting a workable day, for a hectare", per_ha, "", 2)
        .note(if by_hour.is_empty() {
            "A daily forecast does not say the hour: without the radar's hour the chance is spread evenly to six in the morning."
        } else {
            "By hour from the hourly forecast on file: the highest chance of any hour so far. The radar's hour, typed in, overrides it."
        })
        .note("Left open in the rain: caked fertilizer, a night of digging out. A tank not opened keeps. Mistakes after midnight cost more than acres.")
        .source("rates from your drill; the rest common practice")
        .would_change("the hour on the radar");
    Ok(Some(BeforeRain { what, why, hours, working }))
}
