//! Which field next, when the combine must also move, the drier is finite and every field ripens and spoils on its own
//! days: any order (and any moisture to start at) is played through known weathers, and better ones are looked for by
//! swapping and re-inserting fields, from several plain orders.

use serde::{Deserialize, Serialize};

/// A field on a day of one weather.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cell {
    /// Hours of the day it is fit to cut by air, straw and ground; 0 when it is not ripe.
    pub hours: f64,
    /// Grain moisture, % wet basis.
    pub moisture: f64,
    /// Worth of a hectare cut that day, drying and spoiling taken off, money.
    pub worth: f64,
    /// Grain, t/ha.
    pub t_ha: f64,
}

/// One weather: by day, by field.
pub type Weather = Vec<Vec<Cell>>;

/// The work and the means.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// Standing, ha, by field.
    pub area_ha: Vec<f64>,
    /// The combine, ha/h.
    pub ha_per_h: f64,
    /// Its longest day, h.
    pub day_h: f64,
    /// Hours to move from field to field; the last row is where the combine stands now.
    pub move_h: Vec<Vec<f64>>,
    /// What the drier takes out in a day, tonnes times points; infinite when nothing limits it.
    pub drier_t_points: f64,
    /// Dry, % wet basis.
    pub dry_pct: f64,
    /// Which store each field's grain goes to, by place in `room_t`.
    pub store: Vec<usize>,
    /// Room of each store, t; infinite when nothing limits it.
    pub room_t: Vec<f64>,
    /// Lost on a tonne that finds no room, money.
    pub no_room_per_t: f64,
    /// Worth of a hectare still standing at the end, as a share of its worth on the last day.
    pub uncut_share: f64,
}

/// How the next field is chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// In this order, the first that is fit.
    Order(Vec<usize>),
    /// The driest that is fit.
    Ripest,
    /// The nearest that is fit, the one being cut first of all.
    Nearest,
}

/// A rule, and the wettest grain it starts on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Policy {
    /// The rule.
    pub rule: Rule,
    /// Cut from this moisture down, % wet basis.
    pub start_pct: f64,
}

/// What one weather came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Played {
    /// Money.
    pub money: f64,
    /// Day each field was finished.
    pub done: Vec<Option<usize>>,
    /// Hours spent moving.
    pub moving_h: f64,
    /// Grain that found no room, t.
    pub no_room_t: f64,
}

/// Plays a policy through one weather.
///
/// A day's hours run from its opening: a field fit for eight of them cannot be begun in the ninth. Grain wetter than
/// dry is cut only as far as the drier keeps up that day. A field whose grain has a bin goes before one whose grain has
/// none; that is cut all the same when nothing else is fit, at the loss of grain without a bin.
pub fn play(w: &Work, weather: &Weather, p: &Policy) -> Played {
    let n = w.area_ha.len();
    let mut left = w.area_ha.clone();
    let mut at = w.move_h.len() - 1;
    let mut out = Played { money: 0.0, done: vec![None; n], moving_h: 0.0, no_room_t: 0.0 };
    let mut room = w.room_t.clone();
    for (d, cells) in weather.iter().enumerate() {
        if left.iter().all(|l| *l <= 0.0) {
            break;
        }
        let (mut clock, mut drier) = (0.0, w.drier_t_points);
        // A field the drier has no room for today, or that is no longer fit, is passed over.
        let mut passed = vec![false; n];
        while let Some(f) = next(w, cells, p, &left, &passed, at, clock, &room) {
            let c = &cells[f];
            let travel = if f == at { 0.0 } else { w.move_h[at][f] };
            let hours = c.hours.min(w.day_h) - clock - travel;
            let wet = (c.moisture - w.dry_pct).max(0.0) * c.t_ha;
            let by_drier = if wet > 0.0 { drier / wet } else { f64::INFINITY };
            let ha = left[f].min(hours * w.ha_per_h).min(by_drier);
            if ha <= 1e-9 {
                passed[f] = true;
                continue;
            }
            clock += travel + ha / w.ha_per_h;
            out.moving_h += travel;
            at = f;
            left[f] -= ha;
            drier -= ha * wet;
            out.money += ha * c.worth;
            let free = &mut room[w.store[f]];
            let over = (ha * c.t_ha - *free).max(0.0);
            *free = (*free - ha * c.t_ha).max(0.0);
            out.no_room_t += over;
            out.money -= over * w.no_room_per_t;
            if left[f] <= 1e-9 {
                left[f] = 0.0;
                out.done[f] = Some(d);
            } else {
                passed[f] = true;
            }
        }
    }
    if let Some(last) = weather.last() {
        for (l, c) in left.iter().zip(last) {
            out.money += w.uncut_share * l * c.worth.max(0.0);
        }
    }
    out
}

#[allow(clippy::too_many_arguments)] // a day's state, each its own
fn next(
    w: &Work,
    cells: &[Cell],
    p: &Policy,
    left: &[f64],
    passed: &[bool],
    at: usize,
    clock: f64,
    room: &[f64],
) -> Option<usize> {
    const ROOM_T: f64 = 1.0;
    let could = |f: usize| {
        let travel = if f == at { 0.0 } else { w.move_h[at][f] };
        left[f] > 0.0
            && !passed[f]
            && cells[f].moisture <= p.start_pct
            && cells[f].hours.min(w.day_h) - clock - travel > 1e-9
    };
    let housed = (0..left.len()).any(|f| could(f) && room[w.store[f]] > ROOM_T);
    let fit = |f: usize| could(f) && (!housed || room[w.store[f]] > ROOM_T);
    match &p.rule {
        Rule::Order(order) => order.iter().copied().find(|&f| fit(f)),
        Rule::Ripest => (0..left.len())
            .filter(|&f| fit(f))
            .min_by(|&a, &b| cells[a].moisture.total_cmp(&cells[b].moisture).then(a.cmp(&b))),
        Rule::Nearest => (0..left.len()).filter(|&f| fit(f)).min_by(|&a, &b| {
            let km = |f: usize| if f == at { -1.0 } else { w.move_h[at][f] };
            km(a).total_cmp(&km(b)).then(a.cmp(&b))
        }),
    }
}

/// Mean money over weathers.
pub fn mean(w: &Work, weathers: &[Weather], p: &Policy) -> f64 {
    weathers.iter().map(|x| play(w, x, p).money).sum::<f64>() / weathers.len().max(1) as f64
}

/// Fields by money lost for each hour of work when they wait from their first fit day to their next: the ratio rule.
pub fn by_loss_per_hour(w: &Work, weathers: &[Weather], start_pct: f64) -> Vec<usize> {
    let n = w.area_ha.len();
    let rate = |f: usize| {
        let (mut sum, mut count) = (0.0, 0.0);
        for x in weathers {
            let mut fit = x.iter().map(|d| d[f]).filter(|c| c.hours > 0.5 && c.moisture <= start_pct);
            if let (Some(a), Some(b)) = (fit.next(), fit.next()) {
                sum += a.worth - b.worth;
                count += 1.0;
            }
        }
        // Money a hectare and day; hours for each hectare are alike, so the move in counts against small fields.
        let hours = w.area_ha[f] / w.ha_per_h + w.move_h[w.move_h.len() - 1][f];
        if count > 0.0 { sum / count * w.area_ha[f] / hours.max(1e-9) } else { f64::NEG_INFINITY }
    };
    let rates: Vec<f64> = (0..n).map(rate).collect();
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| rates[b].total_cmp(&rates[a]));
    order
}

/// The best order found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The order.
    pub order: Vec<usize>,
    /// Its mean money.
    pub money: f64,
    /// Orders played.
    pub tried: usize,
}

/// Looks for the order of most mean money: from the ratio rule, ripest and nearest on the first fit days, and the reverse
/// of the first, each bettered by swaps and re-insertions until none helps or `most` orders have been played.
pub fn search(w: &Work, weathers: &[Weather], start_pct: f64, most: usize) -> Found {
    let n = w.area_ha.len();
    let score = |order: &[usize]| mean(w, weathers, &Policy { rule: Rule::Order(order.to_vec()), start_pct });
    let ratio = by_loss_per_hour(w, weathers, start_pct);
    let mut reverse = ratio.clone();
    reverse.reverse();
    let mut best: Option<Found> = None;
    let mut tried = 0;
    for start in [ratio, ripest(w, weathers), nearest(w), reverse] {
        let (mut order, mut money) = (start.clone(), score(&start));
        tried += 1;
        loop {
            // The best of all neighbours: swaps of any two, and any one put elsewhere.
            let mut step: Option<(Vec<usize>, f64)> = None;
            for i in 0..n {
                for j in 0..n {
                    if i == j || tried >= most {
                        continue;
                    }
                    for insert in [false, true] {
                        let mut other = order.clone();
                        if insert {
                            let f = other.remove(i);
                            other.insert(j, f);
                        } else if j > i {
                            other.swap(i, j);
                        } else {
                            continue;
                        }
                        let m = score(&other);
                        tried += 1;
                        if m > step.as_ref().map_or(money, |s| s.1) + 1e-9 {
                            step = Some((other, m));
                        }
                    }
                }
            }
            match step {
                Some((o, m)) => (order, money) = (o, m),
                None => break,
            }
        }
        if best.as_ref().is_none_or(|b| money > b.money + 1e-9) {
            best = Some(Found { order, money, tried });
        }
    }
    let mut best = best.expect("four starts");
    best.tried = tried;
    best
}

/// Driest on the first day first.
fn ripest(w: &Work, weathers: &[Weather]) -> Vec<usize> {
    let mean = |f: usize| {
        weathers.iter().filter_map(|x| x.first()).map(|d| d[f].moisture).sum::<f64>()
            / weathers.len().max(1) as f64
    };
    let m: Vec<f64> = (0..w.area_ha.len()).map(mean).collect();
    let mut order: Vec<usize> = (0..m.len()).collect();
    order.sort_by(|&a, &b| m[a].total_cmp(&m[b]));
    order
}

/// From where the combine stands, always the nearest next.
fn nearest(w: &Work) -> Vec<usize> {
    let n = w.area_ha.len();
    let (mut at, mut order): (usize, Vec<usize>) = (n, Vec::with_capacity(n));
    while order.len() < n {
        let f = (0..n)
            .filter(|f| !order.contains(f))
            .min_by(|&a, &b| w.move_h[at][a].total_cmp(&w.move_h[at][b]))
            .expect("one is left");
        order.push(f);
        at = f;
    }
    order
}

#[cfg(test)]
mod tests;
