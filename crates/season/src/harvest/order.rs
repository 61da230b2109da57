//! "Which field, what hour, at what moisture?": orders of work for the combine over every weather, moves and drier
//! counted, against ripest first and nearest first.

use serde::Serialize;
use stook_book::farm::Farm;
use stook_book::payload::{FieldId, Machine, MachineKind};
use stook_harvest::search::{self, Cell, Found, Played, Policy, Rule, Weather, Work};
use stook_measure::{Op, Range, Spread, Working, figure};

use super::room::{Room, room};
use super::tonight::{Tonight, tonight};
use crate::SeasonError;
use crate::answer::{DateRange, Job};
use crate::carry::{Carried, carry};
use crate::dates::date_range;
use crate::facts::Question;
use crate::money::{Part, Purse};
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

/// Every standing field on every day of every weather, and the parts of its worth.
fn weathers(c: &Carried, standing: &[usize]) -> (Vec<Weather>, Vec<Vec<Vec<Purse>>>) {
    let mut all = Vec::with_capacity(c.members());
    let mut purses = Vec::with_capacity(c.members());
    for (start, air) in c.starts.iter().zip(&c.air) {
        let mut states: Vec<_> = standing.iter().map(|&f| start[f]).collect();
        let mut days = Vec::new();
        let mut parts = Vec::new();
        for a in air.iter().take(DAYS) {
            let mut row = Vec::with_capacity(states.len());
            let mut of_day = Vec::with_capacity(states.len());
            for (s, &f) in states.iter_mut().zip(standing) {
                let field = &c.model.fields[f];
                s.step(&c.model, field, a);
                let fit = s.wants(&c.model, field, Job::Cut, true);
                let (purse, kg) = s.if_cut(&c.model, field);
                row.push(Cell {
                    hours: if fit { s.fit_hours(&c.model, field, a, Job::Cut, true) } else { 0.0 },
                    moisture: s.moisture(),
                    worth: purse.total(),
                    t_ha: kg / 1000.0,
                });
                of_day.push(purse);
            }
            days.push(row);
            parts.push(of_day);
        }
        all.push(days);
        purses.push(parts);
    }
    (all, purses)
}

/// The means: area, combine, moves, drier.
fn work(
    c: &Carried,
    farm: &Farm,
    standing: &[usize],
    bins: Option<&Room>,
    assumed: &mut Vec<String>,
) -> Work {
    let machine = c.model.machine(Job::Cut).expect("a usual combine stands in when none is set up");
    let setup_h = c.model.reference.get("harvest.move.setup_h");
    let road_kmh = c.model.reference.get("harvest.move.road_kmh");
    let place = |id: &FieldId| {
        farm.fields.get(id).and_then(|r| stook_book::boundary::middle(r.field().boundary.as_ref()?))
    };
    let from_yard = |id: &FieldId| farm.fields.get(id).and_then(|r| r.field().distance_km).unwrap_or(5.0);
    let apart = |a: &FieldId, b: &FieldId| match (place(a), place(b)) {
        // Roads run square: a fifth longer than the crow flies.
        (Some(x), Some(y)) => 1.2 * km(x, y),
        _ => from_yard(a) + from_yard(b),
    };
    let ids: Vec<FieldId> = standing.iter().map(|&f| c.model.fields[f].id.clone()).collect();
    let hours = |km: f64| setup_h + km / road_kmh;
    // The combine stands where it last cut, else in the yard.
    let last = farm
        .fields
        .values()
        .flat_map(|r| r.cuts.iter().map(move |x| (x.happened, &r.field().id)))
        .filter(|(at, _)| at.date() <= c.as_of && at.year() == c.model.year)
        .max_by_key(|(at, _)| *at)
        .map(|(_, id)| id.clone());
    let mut move_h: Vec<Vec<f64>> = ids
        .iter()
        .map(|a| ids.iter().map(|b| if a == b { 0.0 } else { hours(apart(a, b)) }).collect())
        .collect();
    move_h.push(
        ids.iter()
            .map(|b| match &last {
                Some(a) if a == b => 0.0,
                Some(a) => hours(apart(a, b)),
                None => hours(from_yard(b)),
            })
            .collect(),
    );
    let drier: f64 = farm
        .machines_of(MachineKind::Drier)
        .filter_map(|m| Some(m.moves_kg_h? / 1000.0 * Machine::PER_POINTS * m.hours_per_day))
        .sum();
    if drier <= 0.0 {
        assumed.push(
            "No drier is set up: damp grain is taken to be dried, aired or sold as fast as it comes, at the price of drying.".into(),
        );
    }
    Work {
        area_ha: standing.iter().map(|&f| middle_state(c, f).left_ha(Job::Cut)).collect(),
        ha_per_h: machine.ha_per_h,
        day_h: machine.hours_per_day,
        move_h,
        drier_t_points: if drier > 0.0 { drier } else { f64::INFINITY },
        dry_pct: c.model.season.cut_moisture_dry,
        store: bins.map_or_else(|| vec![0; standing.len()], |b| b.store.clone()),
        room_t: bins.map_or_else(|| vec![f64::INFINITY], |b| b.crops.iter().map(|k| k.room_t).collect()),
        no_room_per_t: c.model.season.no_room_share * c.model.season.wheat_per_t,
        uncut_share: c.model.season.uncut_share,
    }
}

/// The room in words, with what its lack costs.
fn room_said(c: &Carried, work: &Work, played: &[Played], room: Room) -> RoomSaid {
    let u = &c.model.units;
    let lacking: Vec<f64> = played.iter().map(|p| p.no_room_t).collect();
    let costs: Vec<f64> = lacking.iter().map(|t| t * work.no_room_per_t).collect();
    let of = |x: &[f64]| Range::of(x).expect("there are weathers");
    let (no_room_t, costs) = (of(&lacking), of(&costs));
    let short = no_room_t.p50 > 1.0;
    let t = |x: f64| figure(x, 0);
    let each: Vec<String> = room
        .crops
        .iter()
        .map(|k| {
            format!("{} t of room for the {} t of {} that stand", t(k.room_t), t(k.stands_t), k.crop.words())
        })
        .collect();
    let words = if short {
        format!(
            "Bins: {}; {} t ({} to {}) find none, which costs about {} ({} to {}).",
            each.join(", "),
            t(no_room_t.p50),
            t(no_room_t.p10),
            t(no_room_t.p90),
            words::cash(u, costs.p50),
            words::cash(u, costs.p10),
            words::cash(u, costs.p90)
        )
    } else if no_room_t.p90 > 1.0 {
        format!("Bins: {}; in one weather of ten {} t find none.", each.join(", "), t(no_room_t.p90))
    } else {
        format!("Bins: {}.", each.join(", "))
    };
    let mut working = Working::new("Room in the bins");
    for k in &room.crops {
        for (name, x) in &k.bins {
            working = working.line(Op::Note, format!("{name}, for {}", k.crop.words()), *x, "t", 0);
        }
        working = working.line(Op::Note, format!("Room for {}", k.crop.words()), k.room_t, "t", 0).line(
            Op::Note,
            format!("{} that stands, middle of the outlook", k.crop.words()),
            k.stands_t,
            "t",
            0,
        );
    }
    let working = working
        .line(Op::Start, "Grain that finds no bin, middle of the weathers", no_room_t.p50, "t", 1)
        .line(Op::Times, "Lost on a tonne without a bin", work.no_room_per_t, "", 2)
        .sum("Cost", costs.p50, "", 0)
        .note("A bin takes a crop when it is empty or holds this harvest's of the same crop; wet and seed bins are left free; other crops not yet off are given their bins first. Loads hauled away meanwhile are not foreseen.")
        .source("bins as in the book; the loss on a tonne is season.no_room.loss_share of the price, a judgement")
        .would_change("a bin emptied or sold from; your own number for season.no_room.loss_share");
    RoomSaid { words, short, no_room_t, costs, room, working }
}

/// Kilometres between two points (longitude, latitude), on a sphere.
fn km(a: (f64, f64), b: (f64, f64)) -> f64 {
    let (la, lb) = (a.1.to_radians(), b.1.to_radians());
    let h = ((lb - la) / 2.0).sin().powi(2)
        + la.cos() * lb.cos() * ((b.0 - a.0).to_radians() / 2.0).sin().powi(2);
    2.0 * 6371.0 * h.sqrt().asin()
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

#[allow(clippy::too_many_arguments)]
fn stop(
    c: &Carried,
    work: &Work,
    weathers: &[Weather],
    purses: &[Vec<Vec<Purse>>],
    played: &[Played],
    start_pct: f64,
    f: usize,
    k: usize,
    at: usize,
) -> Stop {
    let left = work.area_ha[k];
    let mut lost = Vec::new();
    let mut parts = Purse::default();
    let mut drying = Vec::new();
    for (w, p) in weathers.iter().zip(purses) {
        let mut fit = (0..w.len())
            .filter(|&d| w[d][k].hours >= c.model.season.least_hours && w[d][k].moisture <= start_pct);
        let (first, second) = (fit.next(), fit.next());
        if let Some(a) = first {
            let t = w[a][k].t_ha.max(1e-9);
            drying.push(-p[a][k].0[Part::Drying as usize] / t);
        }
        if let (Some(a), Some(b)) = (first, second) {
            lost.push(left * (w[a][k].worth - w[b][k].worth));
            let d = p[a][k] - p[b][k];
            for (sum, x) in parts.0.iter_mut().zip(d.0) {
                *sum += left * x;
            }
        } else {
            lost.push(0.0);
        }
    }
    let n = lost.len().max(1) as f64;
    let u = &c.model.units;
    let named: Vec<String> = [(Part::Standing, "shatter"), (Part::Grade, "grade"), (Part::Drying, "drying")]
        .into_iter()
        .map(|(part, word)| (parts.0[part as usize] / n, word))
        .filter(|(x, _)| x.abs() >= 1.0)
        .map(|(x, word)| {
            if x > 0.0 {
                format!("{word} {}", words::cash(u, x))
            } else {
                format!("{word} saves {}", words::cash(u, -x))
            }
        })
        .collect();
    let today = |g: &dyn Fn(&Cell) -> f64| {
        Range::of(&weathers.iter().map(|w| g(&w[0][k])).collect::<Vec<_>>()).expect("there are weathers")
    };
    let done: Vec<Option<u16>> = played.iter().map(|p| p.done[k].map(|d| d as u16)).collect();
    Stop {
        field: c.model.fields[f].id.to_string(),
        name: c.model.fields[f].name.clone(),
        left_ha: left,
        hours: left / work.ha_per_h,
        moisture: today(&|x| x.moisture),
        fit_today: today(&|x| if x.moisture <= start_pct { x.hours } else { 0.0 }),
        waiting: Spread::of(&lost).expect("there are weathers"),
        parts: named.join(", "),
        drying_per_t: if drying.is_empty() { 0.0 } else { drying.iter().sum::<f64>() / drying.len() as f64 },
        expected: date_range(c, &done),
        move_h: if at == k { 0.0 } else { work.move_h[at.min(work.move_h.len() - 1)][k] },
    }
}

fn working(
    c: &Carried,
    work: &Work,
    judge: &[Weather],
    policy: &Policy,
    found: &Found,
    usual: f64,
) -> Working {
    let mean = |p: &Policy| search::mean(work, judge, p).round();
    let ours = mean(policy);
    let plain = mean(&Policy { rule: Rule::Ripest, start_pct: usual });
    let moving: f64 =
        judge.iter().map(|w| search::play(work, w, policy).moving_h).sum::<f64>() / judge.len() as f64;
    let drier = if work.drier_t_points.is_finite() {
        format!("{} tonne-points a day through the drier", figure(work.drier_t_points, 0))
    } else {
        "no limit on the drier".into()
    };
    let _ = c;
    Working::new("Order of fields")
        .line(Op::Start, "Money of what stands, in the order shown", ours, "", 0)
        .line(Op::Minus, format!("Ripest first from {} %", figure(usual, 1)), plain, "", 0)
        .sum("Gain, mean", ours - plain, "", 0)
        .note(format!(
            "{} orders were played through half of the weathers, by swapping and re-inserting fields from four plain orders; the gain is judged on the other {} weathers. Moves take {} h in all, {drier}.",
            found.tried,
            judge.len(),
            figure(moving, 1)
        ))
        .note("A field counts at its worth on the day it is cut: shatter and grade while it stands (soakings and sprouting move it down the grades), drying when it is damp, and less when no bin has room for it.")
        .source("ratio rule of Smith 1956 as one of the starts; on 100 made-up farms of six fields the looking finds the best of all 720 orders in at least 95 (tested)")
        .would_change("rain in the forecast; a moisture reading; the drier's rate; your buyer's spread between grades")
}

fn in_words(
    c: &Carried,
    stops: &[Stop],
    first: Option<usize>,
    tonight: Option<&Tonight>,
    gains: &[Gain],
    start_pct: f64,
    usual: f64,
) -> (String, String) {
    let u = &c.model.units;
    let headline = match (first, tonight) {
        (Some(f), Some(t)) => {
            let s = stops.iter().find(|s| s.field == c.model.fields[f].id.as_str());
            let pct = s.map_or(0.0, |s| s.moisture.p50);
            let from = t.opens.map_or_else(String::new, |h| format!(" from about {}", clock(h)));
            let until = t.stop.map_or_else(String::new, |r| format!(" until about {}", clock(r.p50)));
            format!("Cut {}{from}{until}, near {} %.", c.model.fields[f].name, figure(pct, 0))
        }
        (Some(f), None) => format!("Cut {}.", c.model.fields[f].name),
        (None, _) => {
            let next =
                stops.iter().filter_map(|s| Some((s.expected?.middle, s))).min_by_key(|(d, _)| *d).map(
                    |(_, s)| {
                        format!(" {} comes first, at {} % this afternoon.", s.name, figure(s.moisture.p50, 0))
                    },
                );
            format!("Nothing is fit to cut today.{}", next.unwrap_or_default())
        }
    };
    let mut why = Vec::new();
    if let Some(g) = gains.first() {
        let verb = if g.words.starts_with("no clear") { "makes" } else { "is" };
        why.push(format!("This order {verb} {}.", g.words));
    }
    if (start_pct - usual).abs() > 1e-9 {
        let dir = if start_pct > usual { "Do not wait for dry" } else { "Let it dry" };
        why.push(format!("{dir}: it pays to cut from {} % down.", figure(start_pct, 1)));
    }
    if let Some(s) = stops.iter().find(|s| first.is_some_and(|f| s.field == c.model.fields[f].id.as_str())) {
        let w = &s.waiting;
        if is_clear(w) {
            why.push(if w.mean > 0.0 {
                format!("Left a fit day, {} loses {} ({}).", s.name, words::cash(u, w.mean), s.parts)
            } else {
                format!(
                    "By itself {} would gain {} from one more fit day ({}), but the fields behind it would wait too.",
                    s.name,
                    words::cash(u, -w.mean),
                    s.parts
                )
            });
        }
    }
    (headline, why.join(" "))
}

/// `21:40` from hours after midnight.
pub fn clock(h: f64) -> String {
    let minutes = (h * 6.0).round() as i64 * 10;
    format!("{}:{:02}", (minutes / 60).rem_euclid(24), minutes % 60)
}
