//! A reckoning put in words.

use jiff::civil::DateTime;
use stook_book::payload::{LengthUnit, UnitChoice};
use stook_grain::bed::Air;
use stook_grain::life::{cereal_table, fraser_muir};
use stook_grain::{Grain, moist};
use stook_measure::{Range, Spread, figure, units};
use stook_season::words;

use crate::answer::{BinAir, Block, Frame, HourSays, LayerSays, LifeSays, PlanSays, ReadingsSay, WaitSays};
use crate::choices::{WetPart, choices};
use crate::compare::{Tried, blocks};
use crate::fan_says::fan_says;
use crate::money;
use crate::plan::Plan;
use crate::signs;
use crate::spring;
use crate::work::Work;

/// Hours of tonight.
const NIGHT_H: usize = 24;

impl Work {
    /// The answer as far as it is reckoned.
    pub fn answer(&self) -> BinAir {
        let u = &self.about.units;
        let chosen = self
            .last
            .as_ref()
            .map_or_else(|| self.choose().min(self.tried.len().saturating_sub(1)), |l| l.chosen);
        let tried = self.tried.get(chosen);
        let shares = tried.map(Tried::first_hours).unwrap_or_default();
        let life = life(self);
        let hours = hours(self, &shares);
        let runs = blocks(&shares);
        let hold = spring::hold(self);
        let on: Vec<Block> = if hold.is_some() { Vec::new() } else { as_blocks(self.evening, &runs) };
        let alarms = self.about.looked.alarms(&self.p);
        let plans = plans(self, chosen);
        let mut next = Vec::new();
        if let Some(p) = plans.get(chosen)
            && self.is_wet()
            && hold.is_none()
            && (self.push.is_err() || p.in_time < self.p.sure_share)
        {
            next = next_words(self, p);
        }
        let what = match hold.clone() {
            Some(held) => held,
            None if self.tried.is_empty() && !alarms.iter().any(|a| a.urgent) => {
                format!("{}: being reckoned.", self.about.name)
            }
            None => what(self, &on, &runs, &alarms),
        };
        let mut why = Vec::new();
        if let Some(l) = &life {
            why.push(life_words(u, l));
        }
        why.extend(air_words(self, &hours, &on));
        if let Some(p) = plans.get(chosen) {
            why.extend(plan_words(self, p));
        }
        BinAir {
            bin: self.about.bin.clone(),
            name: self.about.name.clone(),
            holds: self.about.holds.clone(),
            as_of: self.evening.date(),
            what,
            why,
            change: change(self),
            next,
            alarms,
            fan: fan_says(self),
            on,
            hours: hours.into_iter().take(NIGHT_H).collect(),
            layers: layers(self),
            workings: workings(self, life.as_ref()),
            life,
            plans,
            frames: frames(self),
            waiting: waiting(self),
            at_stake: self.about.mass_kg / 1000.0 * (self.prices.sound_t - self.prices.spoiled_t).max(0.0),
            readings: readings(self),
            assumed: self.about.assumed.clone(),
            faults: self.about.faults.clone(),
            done: self.done(),
            of: self.steps(),
            weathers: self.weathers.len(),
        }
    }
}

/// `22:00`.
fn clock(t: DateTime) -> String {
    format!("{}:{:02}", t.hour(), t.minute())
}

/// A height in the farm's unit.
pub(crate) fn height(u: &UnitChoice, m: f64) -> String {
    match u.length {
        LengthUnit::Feet => format!("{} ft", figure(units::m_to_ft(m), 0)),
        LengthUnit::Metres => format!("{} m", figure(m, 1)),
    }
}

fn as_blocks(evening: DateTime, runs: &[(usize, usize)]) -> Vec<Block> {
    let at = |h: usize| evening.saturating_add(jiff::Span::new().hours(h as i64));
    runs.iter().filter(|r| r.0 < NIGHT_H).map(|r| Block { from: at(r.0), to: at(r.1) }).collect()
}

fn what(w: &Work, on: &[Block], runs: &[(usize, usize)], alarms: &[crate::answer::Alarm]) -> String {
    let name = &w.about.name;
    if alarms.iter().any(|a| a.urgent) {
        return match w.push {
            Ok(_) => format!("{name}: fan ON now, and look into it from outside."),
            Err(_) => format!("{name}: start moving it out; look into it from outside."),
        };
    }
    if w.push.is_err() {
        let wet = WetPart::of(&w.p, &w.case, &w.now.stack);
        return match (wet, &w.case.fan) {
            (Some(p), None) if p.days < 60.0 => format!(
                "{name} has no fan: move the wet {} out within {}.",
                tonnes(p.wet_t),
                days(0.5 * p.days)
            ),
            (Some(p), Some(_)) if p.days < 60.0 => format!(
                "{name}: its fan cannot help; move the wet {} out within {}.",
                tonnes(p.wet_t),
                days(0.5 * p.days)
            ),
            _ => format!("{name}: nothing to do tonight."),
        };
    }
    let Some(first) = on.first() else {
        return if w.now.fan_on {
            format!("{name}: switch the fan OFF tonight.")
        } else {
            format!("{name}: leave the fan off tonight.")
        };
    };
    let start = if first.from <= w.evening { "now".to_string() } else { format!("at {}", clock(first.from)) };
    let long = runs.first().is_some_and(|r| r.1 >= 40);
    if long {
        return if w.now.fan_on {
            format!("{name}: leave the fan ON, day and night.")
        } else {
            format!("{name}: fan ON {start}, and leave it on day and night.")
        };
    }
    let day = if first.to.date() > first.from.date() && first.to.hour() >= 12 { " tomorrow" } else { "" };
    let rest = match on.get(1) {
        Some(b) => format!(", and again {} to {}", clock(b.from), clock(b.to)),
        None => String::new(),
    };
    format!("{name}: fan ON {start}, off at {}{day}{rest}.", clock(first.to))
}

fn tonnes(t: f64) -> String {
    format!("{} t", figure(t, 0))
}

fn days(d: f64) -> String {
    match d {
        d if d < 1.5 => "a day".into(),
        d => format!("{} days", figure(d.floor(), 0)),
    }
}

/// The part with least life left, with all its neighbours of about its moisture.
fn life(w: &Work) -> Option<LifeSays> {
    let (p, g, s) = (&w.p, w.case.grain, &w.now.stack);
    let (at, left) = s.shortest(&p.life, g)?;
    let l = &s.bed.layers[at];
    let (m, t) = (l.m_wb_pct(), l.t_c);
    let like =
        |i: usize| (s.bed.layers[i].m_wb_pct() - m).abs() < 1.0 && (s.bed.layers[i].t_c - t).abs() < 4.0;
    let (mut from, mut to) = (at, at);
    while from > 0 && like(from - 1) {
        from -= 1;
    }
    while to + 1 < s.bed.layers.len() && like(to + 1) {
        to += 1;
    }
    let heights = s.heights_m(w.case.dry_kg_m3(s.bed.mean_wb_pct()));
    let (low, high) = (heights[from], heights[to + 1]);
    let u = &w.about.units;
    let part = match (from == 0, to + 1 == s.bed.layers.len()) {
        (true, true) => "All of it".to_string(),
        (_, true) => format!("Top {}", height(u, high - low)),
        (true, _) => format!("Bottom {}", height(u, high - low)),
        _ => format!("{} to {} up", height(u, low), height(u, high)),
    };
    let verdict = p.life.verdict(g, m, t)?;
    // The long end: the other model, where there is one.
    let spent = s.spent[at];
    let long = if g.is_wheat() { cereal_table(m, t).days.max(fraser_muir(m, t).days) } else { verdict.days };
    Some(LifeSays {
        part,
        m_pct: m,
        t_c: t,
        spent: spent.likely,
        days: [left[0], left[1], left[2].max((1.0 - spent.least).max(0.0) * long)],
        a_day: 1.0 / verdict.days,
        at_least: verdict.at_least,
    })
}

fn life_words(u: &UnitChoice, l: &LifeSays) -> String {
    let place = format!("{} at {} % and {}", l.part, figure(l.m_pct, 1), words::temperature(u, l.t_c));
    if l.days[1] <= 0.0 {
        return format!(
            "{place}: its storage life is likely spent. Sell or feed it first, and have it tested."
        );
    }
    if l.at_least && l.days[1] > 200.0 {
        return format!("{place}: it keeps, at least {} days.", figure(l.days[1], 0));
    }
    let spends = match l.a_day {
        a if a > 0.04 => format!("; each day as it lies spends {} of it", one_in(a)),
        _ => String::new(),
    };
    let range = match l.days {
        [short, likely, long] if likely < 90.0 && long > short + 1.0 => {
            format!(" ({} to {})", figure(short, 0), figure(long, 0))
        }
        _ => String::new(),
    };
    format!("{place}: {} days of life left{range}{spends}.", figure(l.days[1], 0))
}

/// `a ninth`.
fn one_in(share: f64) -> String {
    let n = (1.0 / share).round() as usize;
    let names = [
        "all",
        "all",
        "half",
        "a third",
        "a quarter",
        "a fifth",
        "a sixth",
        "a seventh",
        "an eighth",
        "a ninth",
        "a tenth",
    ];
    names.get(n).map_or_else(|| format!("{} %", figure(100.0 * share, 0)), |s| (*s).to_string())
}

/// The hours from this evening on: the mean of the weathers, and what the air does past the fan.
fn hours(w: &Work, shares: &[f64]) -> Vec<HourSays> {
    let n = w.weathers.iter().map(Vec::len).min().unwrap_or(0).min(48);
    let rise = w.push.as_ref().map_or(0.0, |p| p.rise_k);
    let Some(top) = w.now.stack.bed.layers.last() else { return Vec::new() };
    (0..n)
        .filter_map(|h| {
            let known: Vec<_> =
                w.weathers.iter().map(|m| m[h]).filter(stook_grain::control::Hour::is_known).collect();
            let first = known.first()?;
            let mean = |of: &dyn Fn(&stook_grain::control::Hour) -> f64| {
                known.iter().map(of).sum::<f64>() / known.len() as f64
            };
            let t_c = mean(&|x| x.t_c);
            let ratio = mean(&|x| moist::humidity_ratio(x.t_c, x.rh, x.pressure_pa));
            let outside = Air { t_c, w: ratio };
            let after = outside.warmed(rise);
            let pa = first.pressure_pa;
            Some(HourSays {
                at: w.evening.saturating_add(jiff::Span::new().hours(h as i64)),
                t_c,
                rh_pct: 100.0 * outside.rh(pa).min(1.0),
                fan_t_c: after.t_c,
                fan_rh_pct: 100.0 * after.rh(pa).min(1.0),
                emc_pct: w.case.emc.emc(after.t_c, after.rh(pa)).m_wb_pct,
                landing_c: w.case.bed_grain.landing(top.m_dd, after, pa).t_c,
                on_share: shares.get(h).copied().unwrap_or(0.0),
            })
        })
        .collect()
}

/// Tonight's air in words, over the hours the fan runs, else over the night.
fn air_words(w: &Work, hours: &[HourSays], on: &[Block]) -> Option<String> {
    let u = &w.about.units;
    w.push.as_ref().ok()?;
    let night: Vec<&HourSays> = hours
        .iter()
        .take(NIGHT_H)
        .filter(|h| {
            if on.is_empty() {
                !(8..20).contains(&h.at.hour())
            } else {
                on.iter().any(|b| (b.from..b.to).contains(&h.at))
            }
        })
        .collect();
    let n = night.len() as f64;
    if night.is_empty() {
        return None;
    }
    let mean = |of: &dyn Fn(&HourSays) -> f64| night.iter().map(|h| of(h)).sum::<f64>() / n;
    let emc = mean(&|h| h.emc_pct);
    let top_m = w.now.stack.bed.top().m_wb_pct();
    // The dry grain at the floor meets the air first.
    let driest = w.now.stack.bed.layers.iter().map(stook_grain::bed::Layer::m_wb_pct).fold(top_m, f64::min);
    let wets = match emc {
        e if e <= driest + 0.5 => "so it will not wet it",
        e if e < top_m - 0.5 => "which dries the top and wets the dry grain below it a little",
        _ => "which would wet it",
    };
    let part = if on.is_empty() { "Tonight's air" } else { "The air while it runs" };
    let land = mean(&|h| h.landing_c);
    let keeps =
        w.p.life
            .verdict(w.case.grain, top_m, land)
            .filter(|l| l.days < 200.0 && land < w.now.stack.bed.top().t_c - 2.0)
            .map_or(String::new(), |l| format!(", where it keeps about {} days", figure(l.days, 0)));
    Some(format!(
        "{part}: about {} and {} %; past the fan {} and {} %. That makes {} % grain, {wets}. The top lands near {}{keeps}.",
        words::temperature(u, mean(&|h| h.t_c)),
        figure(mean(&|h| h.rh_pct), 0),
        words::temperature(u, mean(&|h| h.fan_t_c)),
        figure(mean(&|h| h.fan_rh_pct), 0),
        figure(emc, 1),
        words::temperature(u, land),
    ))
}

/// What the chosen plan comes to.
fn plan_words(w: &Work, p: &PlanSays) -> Vec<String> {
    let u = &w.about.units;
    let mut out = Vec::new();
    if p.plan == Plan::Off {
        return out;
    }
    if w.is_wet() {
        let date =
            |d: f64| words::day(w.evening.date().saturating_add(jiff::Span::new().days(d.round() as i64)));
        match p.dry_days {
            Some(r) if p.dry_share > 0.5 => out.push(format!(
                "Run {}: all of it dry about {} ({} to {}), before its life is out in {}.",
                p.plan.words(),
                date(r.p50),
                date(r.p10),
                if p.dry_share < 0.9 { "later than can be seen".into() } else { date(r.p90) },
                words::in_ten(p.in_time),
            )),
            _ if p.plan == Plan::CoolByFronts => out.push(format!(
                "This cools it and wins time; it does not dry it. Its life lasts {} days in {}. The wet part has to be dried, sold or fed before spring warms it.",
                w.p.horizon_days,
                words::in_ten(1.0 - p.out_share)
            )),
            _ => out.push(format!(
                "Run {}, it is dry within {} days in {}.",
                p.plan.words(),
                w.p.horizon_days,
                words::in_ten(p.dry_share)
            )),
        }
    } else {
        out.push(format!(
            "After {} days its warmest part is at {} ({} to {}).",
            w.p.horizon_days,
            words::temperature(u, p.warmest_c.p50),
            words::temperature(u, p.warmest_c.p10),
            words::temperature(u, p.warmest_c.p90)
        ));
    }
    if let Some(s) = &p.saved {
        let power = p.kwh.p50 * w.prices.kwh;
        let span = format!("({} to {})", words::cash(u, s.range.p10), words::cash(u, s.range.p90));
        out.push(if s.is_clear() && s.mean > 1.0 {
            format!("Against the fan off it saves about {} {span} over {} days, with about {} of power paid.", words::cash(u, s.mean), w.p.horizon_days, words::cash(u, power))
        } else if s.is_clear() && s.mean < -1.0 {
            format!("Over {} days it costs about {} {span} more than the fan off; it is the price of cold grain, in which insects and mould stand still.", w.p.horizon_days, words::cash(u, -s.mean))
        } else {
            format!("In money there is no clear difference to the fan off {span}.")
        });
    }
    out
}

fn change(w: &Work) -> String {
    if w.push.is_err() {
        return "A reading of its temperature and moisture.".into();
    }
    if w.is_wet() {
        "A probe of the top: its moisture and temperature. Rain or fog drawn in: switch it off while it lasts. Once begun, the cool front must come out of the top.".into()
    } else {
        "A reading of its temperature. Rain, fog or snow drawn in: switch it off while it lasts.".into()
    }
}

/// What to do besides, with what it costs.
fn next_words(w: &Work, p: &PlanSays) -> Vec<String> {
    let u = &w.about.units;
    let Some(wet) = WetPart::of(&w.p, &w.case, &w.now.stack) else { return Vec::new() };
    let mut out = vec![if w.push.is_err() {
        format!("There is no air for it; what can be done with the wet {}:", tonnes(wet.wet_t))
    } else {
        format!(
            "Air alone dries it in time in {}; what else can be done with the wet {}:",
            words::in_ten(p.in_time),
            tonnes(wet.wet_t)
        )
    }];
    for c in choices(&w.p, &w.case, &w.prices, &wet) {
        let money = if c.money < -0.5 {
            format!("gains about {}", words::cash(u, -c.money))
        } else {
            format!("costs about {}", words::cash(u, c.money))
        };
        out.push(format!("{} It {money}.", c.words));
    }
    if w.push.is_ok() {
        out.push(format!(
            "With air alone it costs about {}, the chance of spoiling in it.",
            words::cash(u, p.mean)
        ));
    }
    out
}

fn layers(w: &Work) -> Vec<LayerSays> {
    let s = &w.now.stack;
    let heights = s.heights_m(w.case.dry_kg_m3(s.bed.mean_wb_pct()));
    s.bed
        .layers
        .iter()
        .zip(&s.spent)
        .zip(heights.windows(2))
        .map(|((l, x), h)| LayerSays {
            from_m: h[0],
            to_m: h[1],
            m_pct: l.m_wb_pct(),
            t_c: l.t_c,
            spent: x.likely,
            days_left: x.left(&w.p.life, w.case.grain, l.m_wb_pct(), l.t_c).map(|d| d[1]),
        })
        .collect()
}

fn plans(w: &Work, chosen: usize) -> Vec<PlanSays> {
    let never = w.p.horizon_days as f64;
    w.tried
        .iter()
        .enumerate()
        .filter_map(|(i, t)| {
            let (dry, dry_share) = t.days(never, |r| r.dry_h);
            let (_, out_share) = t.days(never, |r| r.out_h);
            let saved: Vec<f64> = w.tried[0]
                .played
                .iter()
                .zip(&t.played)
                .map(|(a, b)| a.cost.total() - b.cost.total())
                .collect();
            Some(PlanSays {
                plan: t.plan,
                words: t.plan.words().into(),
                chosen: i == chosen,
                cost: t.range(|r| r.cost.total())?,
                mean: t.mean(),
                saved: if i == 0 { None } else { Spread::of(&saved) },
                fan_h: t.range(|r| r.fan_h)?,
                kwh: t.range(|r| r.kwh)?,
                dry_days: if w.is_wet() { dry } else { None },
                dry_share: if w.is_wet() { dry_share } else { 1.0 },
                in_time: if w.is_wet() { t.dry_in_time() } else { 1.0 },
                out_share,
                end_pct: t.range(|r| r.end.bed.mean_wb_pct())?,
                top_pct: t.range(|r| r.end.bed.top().m_wb_pct())?,
                warmest_c: t.range(|r| r.end.bed.warmest_c())?,
            })
        })
        .collect()
}

/// A picture of today and then of every fourth day.
fn frames(w: &Work) -> Vec<Frame> {
    const EVERY: usize = 4;
    const MOST: usize = 9;
    let Some(last) = &w.last else { return Vec::new() };
    let of = |s: &crate::stack::Stack| s.bed.layers.iter().map(|l| (l.m_wb_pct(), l.t_c)).collect::<Vec<_>>();
    let today = w.evening.date();
    let mut out = vec![Frame { day: today, off: of(&w.now.stack), plan: of(&w.now.stack) }];
    for i in (EVERY - 1..last.off.pictures.len().min(last.plan.pictures.len())).step_by(EVERY).take(MOST - 1)
    {
        out.push(Frame {
            day: today.saturating_add(jiff::Span::new().days(i as i64 + 1)),
            off: of(&last.off.pictures[i]),
            plan: of(&last.plan.pictures[i]),
        });
    }
    out
}

fn waiting(w: &Work) -> Option<WaitSays> {
    let u = &w.about.units;
    let last = w.last.as_ref()?;
    let delayed = last.delayed.as_ref()?;
    let title = format!("{}: the plan begun a day later", w.about.name);
    let (money, working) = money::difference(&title, &w.tried[last.chosen].costs(), &delayed.costs())?;
    let clear = money.is_clear() && money.mean.abs() >= 1.0;
    let span = format!("({} to {})", words::cash(u, money.range.p10), words::cash(u, money.range.p90));
    let words = if money.range.p10.abs() < 0.5 && money.range.p90.abs() < 0.5 {
        "costs nothing yet".into()
    } else if !clear {
        format!("makes no clear difference {span}")
    } else if money.mean < 0.0 {
        format!("saves about {} {span}", words::cash(u, -money.mean))
    } else {
        format!("costs about {} {span}", words::cash(u, money.mean))
    };
    Some(WaitSays { money, clear, words, working })
}

fn readings(w: &Work) -> ReadingsSay {
    let last = w.about.looked.last();
    let mean = w.now.stack.bed.mean_c();
    let today = w.evening.date();
    let due = signs::due(&w.p, w.case.grain, w.about.filled, last.map(DateTime::date), mean, today);
    let u = &w.about.units;
    let words = match last {
        None => "Nothing was read in this bin yet: its temperature is reckoned from the loads.".into(),
        Some(at) => {
            let off = Range::of(&w.now.misses_c.iter().map(|m| m.abs()).collect::<Vec<_>>());
            let miss = off.map_or(String::new(), |r| match u.temperature {
                stook_book::payload::TemperatureUnit::Celsius => {
                    format!(" The reckoning was off by about {} C.", figure(r.p50, 1))
                }
                stook_book::payload::TemperatureUnit::Fahrenheit => {
                    format!(" The reckoning was off by about {} F.", figure(1.8 * r.p50, 1))
                }
            });
            format!("Last read {}.{miss}", words::day(at.date()))
        }
    };
    ReadingsSay { last, words, due, overdue: due.is_some_and(|d| d <= today) }
}

fn workings(w: &Work, life: Option<&LifeSays>) -> Vec<stook_measure::Working> {
    use stook_measure::{Op, Working};
    let mut out = Vec::new();
    if let Some(l) = life {
        let table = if w.case.grain == Grain::Soybean { f64::NAN } else { cereal_table(l.m_pct, l.t_c).days };
        let mut life_w = Working::new(format!("Storage life, {}", l.part.to_lowercase()))
            .line(Op::Note, "Moisture", l.m_pct, "% wb", 1)
            .line(Op::Note, "Temperature", l.t_c, "C", 1);
        if table.is_finite() {
            life_w = life_w.line(Op::Note, "Whole life by the table", table, "d", 0);
        }
        if w.case.grain.is_wheat() {
            life_w = life_w.line(
                Op::Note,
                "Whole life by the wheat equation",
                fraser_muir(l.m_pct, l.t_c).days,
                "d",
                1,
            );
        }
        life_w = life_w
            .line(Op::Start, "Whole life, the shorter", 1.0 / l.a_day, "d", 1)
            .line(Op::Times, "Not yet spent", if l.a_day > 0.0 { l.days[1] * l.a_day } else { 1.0 }, "", 3)
            .sum("Days left", l.days[1], "d", 1)
            .note("Life is spent day by day at the moisture and temperature of that day, and does not come back.")
            .source("Hellevang, NDSU, slides 2019 and 2020")
            .source("Fraser and Muir 1981, from memory")
            .would_change("below a month every figure may be twice too long");
        out.push(life_w);
    }
    if let Ok(push) = &w.push {
        let bushels = push.flow_m3_s_m2 * w.case.area_m2 / stook_grain::air::M3_S_PER_CFM / push.cfm_bu;
        let cfm = push.flow_m3_s_m2 * w.case.area_m2 / stook_grain::air::M3_S_PER_CFM;
        out.push(
            Working::new("Air for each bushel")
                .line(Op::Note, "Static pressure", push.pa, "Pa", 0)
                .line(Op::Note, "Warming by the fan", push.rise_k, "K", 1)
                .line(Op::Note, "Power drawn", push.kw, "kW", 1)
                .line(Op::Start, "Air", cfm, "cfm", 0)
                .line(Op::Over, "Grain, volume bushels", bushels, "bu", 0)
                .sum("Air for each bushel", push.cfm_bu, "cfm/bu", 3)
                .source("form as in ASABE D272; constants from memory")
                .would_change("packing and fines: pressure may be a quarter less or more"),
        );
    }
    if let Some(wet) = WetPart::of(&w.p, &w.case, &w.now.stack) {
        out.extend(choices(&w.p, &w.case, &w.prices, &wet).into_iter().map(|c| c.working));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn shares_and_blocks_are_said_plainly() {
        assert_eq!(one_in(0.11), "a ninth");
        assert_eq!(one_in(0.031), "3 %");
        let evening = date(2026, 9, 3).at(18, 0, 0, 0);
        let b = as_blocks(evening, &[(4, 14), (30, 40)]);
        assert_eq!(b.len(), 1);
        assert_eq!((clock(b[0].from), clock(b[0].to)), ("22:00".into(), "8:00".into()));
        assert_eq!(days(0.7), "a day");
    }
}
