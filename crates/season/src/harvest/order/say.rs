//! The order in words and figures: each stop, the room in the bins, the reckoning, the headline.

use stook_harvest::search::{self, Cell, Found, Played, Policy, Rule, Weather, Work};
use stook_measure::{Op, Range, Spread, Working, figure};

use super::{Gain, RoomSaid, Stop, clock, is_clear};
use crate::carry::Carried;
use crate::dates::date_range;
use crate::harvest::room::Room;
use crate::harvest::tonight::Tonight;
use crate::money::{Part, Purse};
use crate::words;

/// The room in words, with what its lack costs.
pub(super) fn room_said(c: &Carried, work: &Work, played: &[Played], room: Room) -> RoomSaid {
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

#[allow(clippy::too_many_arguments)]
pub(super) fn stop(
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

pub(super) fn working(
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
        .note("A field counts at its worth on the day it is cut: shatter and grade while it stands (soakings and sprouting move it down the grades; falling number goes with sprouting, and since no published rate of its fall was found the grade steps stand for both), drying when it is damp, and less when no bin has room for it.")
        .source("ratio rule of Smith 1956 as one of the starts; on 100 made-up farms of six fields the looking finds the best of all 720 orders in at least 95 (tested)")
        .would_change("rain in the forecast; a moisture reading; the drier's rate; your buyer's spread between grades")
}

pub(super) fn in_words(
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
