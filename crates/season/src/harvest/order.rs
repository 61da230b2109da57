//! "Which field, what hour, at what moisture?": orders of work for the combine over every weather, moves and drier
//! counted, against ripest first and nearest first.

mod say;
mod work;

use serde::Serialize;
use stook_book::farm::Farm;
use stook_harvest::search::{self, Found, Played, Policy, Rule, Weather, Work};
use stook_measure::{Range, Spread, Working};

use self::say::{in_words, room_said, stop, working};
use self::work::{weathers, work};
use super::room::{Room, room};
use super::tonight::{Tonight, tonight};
use crate::SeasonError;
use crate::answer::{DateRange, Job};
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::words;

/// Days ahead that are played.
const DAYS: usize = 75;
/// Orders played at the most.
const MOST: usize = 3_000;

/// The page of the order.
#[derive(Debug, Clone, Serialize)]
pub struct OrderAnswer {
    /// What to do, in a sentence.
    pub headline: String,
    /// Why and how sure.
    pub why: String,
    /// The field to cut first, when one is fit today.
    pub first: Option<String>,
    /// Fields in order.
    pub stops: Vec<Stop>,
    /// Cut from this moisture down, % wet basis.
    pub start_pct: f64,
    /// Gains over plainer ways.
    pub gains: Vec<Gain>,
    /// Keep going tonight?
    pub tonight: Option<Tonight>,
    /// Room in the bins, when bins are in the book.
    pub room: Option<RoomSaid>,
    /// The reckoning.
    pub working: Option<Working>,
    /// What was taken for facts the book lacks.
    pub assumed: Vec<String>,
}

/// One field of the order.
#[derive(Debug, Clone, Serialize)]
pub struct Stop {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Standing, ha.
    pub left_ha: f64,
    /// Combine hours.
    pub hours: f64,
    /// Moisture this afternoon, over the weathers, % wet basis.
    pub moisture: Range,
    /// Hours of today it is fit.
    pub fit_today: Range,
    /// Money lost by waiting from one fit day to the next.
    pub waiting: Spread,
    /// What that is made of, in words.
    pub parts: String,
    /// Drying a tonne if it is cut on its first fit day, money.
    pub drying_per_t: f64,
    /// When it is off.
    pub expected: Option<DateRange>,
    /// Hours to move in from the one before.
    pub move_h: f64,
}

/// Room in the bins against what stands.
#[derive(Debug, Clone, Serialize)]
pub struct RoomSaid {
    /// In a sentence.
    pub words: String,
    /// Whether the bins run short in the middle of the weathers.
    pub short: bool,
    /// Grain that finds no bin, over the weathers, t.
    pub no_room_t: Range,
    /// What that costs, over the weathers, money.
    pub costs: Range,
    /// By crop and bin.
    pub room: Room,
    /// The reckoning.
    pub working: Working,
}

/// What the order gains over a plainer one.
#[derive(Debug, Clone, Serialize)]
pub struct Gain {
    /// Over what.
    pub against: String,
    /// Money over the weathers not used in the looking.
    pub money: Spread,
    /// Share of those weathers in which it is better by more than a dollar.
    pub better: f64,
    /// In words.
    pub words: String,
}

/// Answers.
///
/// # Errors
/// When the farm has no place.
pub fn order(q: &Question<'_>) -> Result<OrderAnswer, SeasonError> {
    Ok(of(&carry(q)?, q.farm))
}

/// The same from fields carried already.
pub fn of(c: &Carried, farm: &Farm) -> OrderAnswer {
    let standing: Vec<usize> = (0..c.model.fields.len())
        .filter(|&f| {
            let s = middle_state(c, f);
            s.wheat.is_some() && s.left_ha(Job::Cut) > 0.0
        })
        .collect();
    let mut assumed = Vec::new();
    let (weathers, parts) = weathers(c, &standing);
    let days = weathers.iter().map(Vec::len).max().unwrap_or(0);
    let ever_fit = weathers.iter().any(|w| w.iter().any(|d| d.iter().any(|x| x.hours > 0.0)));
    if standing.is_empty() || days == 0 || !ever_fit {
        return OrderAnswer {
            headline: "No wheat is near ripe.".into(),
            why: "The order of fields is reckoned once kernels fill and dry.".into(),
            first: None,
            stops: vec![],
            start_pct: c.model.season.cut_moisture_start,
            gains: vec![],
            tonight: None,
            room: None,
            working: None,
            assumed,
        };
    }
    let bins = room(c, farm, &standing);
    let work = work(c, farm, &standing, bins.as_ref(), &mut assumed);
    // Looked for on half of the weathers, judged on the others: else the best of many orders flatters itself.
    let (look, judge): (Vec<Weather>, Vec<Weather>) = if weathers.len() < 8 {
        (weathers.clone(), weathers.clone())
    } else {
        let half = |k: usize| weathers.iter().skip(k).step_by(2).cloned().collect();
        (half(0), half(1))
    };
    let usual = c.model.season.cut_moisture_start;
    let (found, start_pct) = look_for(&work, &look, c, usual);
    let ours = Policy { rule: Rule::Order(found.order.clone()), start_pct };
    let plain = |rule: Rule| Policy { rule, start_pct: usual };
    let gains: Vec<Gain> = [
        ("ripest first", plain(Rule::Ripest)),
        ("nearest first", plain(Rule::Nearest)),
        ("the same order, from the usual moisture", Policy { start_pct: usual, ..ours.clone() }),
    ]
    .into_iter()
    .filter(|(name, _)| standing.len() > 1 || !name.contains("first"))
    .filter(|(name, _)| !name.starts_with("the same") || (start_pct - usual).abs() > 1e-9)
    .map(|(name, p)| gain(c, &work, &judge, &ours, &p, name))
    .collect();
    // When the plain way does as well, it is the one to follow: it needs no page.
    let ripest_does = gains.iter().any(|g| g.against == "ripest first" && !is_clear(&g.money));
    let policy = if ripest_does { Policy { rule: Rule::Ripest, start_pct } } else { ours };
    let played: Vec<Played> = weathers.iter().map(|w| search::play(&work, w, &policy)).collect();
    let mut order: Vec<usize> = (0..standing.len()).collect();
    let done_day = |k: usize| {
        let mut d: Vec<usize> = played.iter().map(|p| p.done[k].unwrap_or(usize::MAX)).collect();
        d.sort_unstable();
        d[d.len() / 2]
    };
    match &policy.rule {
        Rule::Order(o) => order.clone_from(o),
        _ => order.sort_by_key(|&k| (done_day(k), k)),
    }
    let mut stops = Vec::new();
    let mut at = standing.len();
    for &k in &order {
        stops.push(stop(c, &work, &weathers, &parts, &played, start_pct, standing[k], k, at));
        at = k;
    }
    let fit_today = |k: usize| {
        let fit = weathers
            .iter()
            .filter(|w| w[0][k].hours >= c.model.season.least_hours && w[0][k].moisture <= start_pct)
            .count();
        2 * fit >= weathers.len()
    };
    // Grain with nowhere to go cannot be first while another field's has a bin.
    let housed = |k: usize| work.room_t[work.store[k]] > 1.0;
    let first = order
        .iter()
        .copied()
        .find(|&k| fit_today(k) && housed(k))
        .or_else(|| order.iter().copied().find(|&k| fit_today(k)));
    let room_said = bins.map(|b| room_said(c, &work, &played, b));
    // Shown as they will come off: a green field may come first by right and still be cut last.
    stops.sort_by_key(|s| s.expected.map_or(jiff::civil::Date::MAX, |e| e.middle));
    let tonight = first.and_then(|k| tonight(c, standing[k], evening_limit(c, standing[k], start_pct)));
    let working = working(c, &work, &judge, &policy, &found, usual);
    let (mut headline, mut why) =
        in_words(c, &stops, first.map(|k| standing[k]), tonight.as_ref(), &gains, start_pct, usual);
    if let Some(k) = first
        && !housed(k)
    {
        headline = format!("{} is fit to cut and no bin has room for it.", c.model.fields[standing[k]].name);
        why = format!("Empty a bin, sell off the combine, or lay a pile on dry ground first. {why}");
    }
    if let Some(r) = room_said.as_ref().filter(|r| r.short) {
        why = format!("{why} {}", r.words);
    }
    OrderAnswer {
        headline,
        why,
        first: first.map(|k| c.model.fields[standing[k]].id.to_string()),
        stops,
        start_pct,
        gains,
        tonight,
        room: room_said,
        working: Some(working),
        assumed,
    }
}

/// What grain should not pass in the evening: the usual moisture to start at, unless it is wetter already.
fn evening_limit(c: &Carried, f: usize, start_pct: f64) -> f64 {
    let usual = c.model.season.cut_moisture_start.min(start_pct);
    if middle_state(c, f).moisture() < usual { usual } else { start_pct }
}

/// Tonight in a field up to a moisture of the person's own choosing.
///
/// # Errors
/// When the farm has no place.
pub fn evening(q: &Question<'_>, field: &str, limit_pct: f64) -> Result<Option<Tonight>, SeasonError> {
    let c = carry(q)?;
    Ok(c.model.field_index(field).and_then(|f| tonight(&c, f, limit_pct)))
}

/// The best order, then the best moisture to start at with it, then the best order for that.
fn look_for(work: &Work, look: &[Weather], c: &Carried, usual: f64) -> (Found, f64) {
    let found = search::search(work, look, usual, MOST);
    let dry = c.model.season.cut_moisture_dry;
    let score = |pct: f64| {
        search::mean(work, look, &Policy { rule: Rule::Order(found.order.clone()), start_pct: pct })
    };
    let mut best = (usual, score(usual));
    let mut pct = dry;
    while pct <= c.model.season.cut_moisture_max + 1e-9 {
        let money = score(pct);
        // A change of habit must earn at least a dollar.
        if money > best.1 + 1.0 {
            best = (pct, money);
        }
        pct += 0.5;
    }
    if (best.0 - usual).abs() < 1e-9 {
        return (found, usual);
    }
    (search::search(work, look, best.0, MOST), best.0)
}

fn is_clear(s: &Spread) -> bool {
    s.is_clear() && s.mean.abs() >= 1.0
}

fn gain(c: &Carried, work: &Work, judge: &[Weather], ours: &Policy, other: &Policy, against: &str) -> Gain {
    let d: Vec<f64> = judge
        .iter()
        .map(|w| search::play(work, w, ours).money - search::play(work, w, other).money)
        .collect();
    let money = Spread::of(&d).expect("there are weathers");
    let better = d.iter().filter(|x| **x > 1.0).count() as f64 / d.len() as f64;
    let u = &c.model.units;
    let span = format!("{} to {}", words::cash(u, money.range.p10), words::cash(u, money.range.p90));
    let words = if !is_clear(&money) {
        format!("no clear difference from {against} ({span})")
    } else if money.mean > 0.0 {
        format!(
            "about {} better than {against} ({span}), better in {}",
            words::cash(u, money.mean),
            words::in_ten(better)
        )
    } else {
        format!("about {} worse than {against} ({span})", words::cash(u, -money.mean))
    };
    Gain { against: against.into(), money, better, words }
}

/// `21:40` from hours after midnight.
pub fn clock(h: f64) -> String {
    let minutes = (h * 6.0).round() as i64 * 10;
    format!("{}:{:02}", (minutes / 60).rem_euclid(24), minutes % 60)
}
