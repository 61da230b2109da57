//! The ways to run the fan and what the chosen one comes to.

use stook_measure::Spread;
use stook_season::words;

use crate::answer::{Frame, PlanSays, WaitSays};
use crate::money;
use crate::plan::Plan;
use crate::work::Work;

/// What the chosen plan comes to.
pub(super) fn plan_words(w: &Work, p: &PlanSays) -> Vec<String> {
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
    out.extend(front_words(w, p));
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

/// When the cool front is out of the top.
fn front_words(w: &Work, p: &PlanSays) -> Option<String> {
    let u = &w.about.units;
    if w.now.stack.bed.warmest_c() <= p.cool_to_c {
        return None;
    }
    let to = words::temperature(u, p.cool_to_c);
    let date = |d: f64| words::day(w.evening.date().saturating_add(jiff::Span::new().days(d.ceil() as i64)));
    match p.cool_days {
        Some(r) if p.cool_share > 0.5 => {
            let (early, late) = (date(r.p10), date(r.p90));
            let span = match late {
                _ if p.cool_share < 0.9 => format!(" ({early} to later than can be seen)"),
                same if same == early => String::new(),
                late => format!(" ({early} to {late})"),
            };
            Some(format!(
                "The cool front is out of the top, all of it below {to}, about {}{span}.",
                date(r.p50)
            ))
        }
        _ => Some(format!(
            "It is not all below {to} within {} days, save in {}.",
            w.p.horizon_days,
            words::in_ten(p.cool_share)
        )),
    }
}

pub(super) fn plans(w: &Work, chosen: usize) -> Vec<PlanSays> {
    let never = w.p.horizon_days as f64;
    w.tried
        .iter()
        .enumerate()
        .filter_map(|(i, t)| {
            let (dry, dry_share) = t.days(never, |r| r.dry_h);
            let (_, out_share) = t.days(never, |r| r.out_h);
            let (cool_days, cool_share) = t.days(never, |r| r.cool_h);
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
                cool_to_c: w.p.cool_to_c(w.now.stack.bed.warmest_c()),
                cool_days,
                cool_share,
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

/// A picture of today and then of every second day.
pub(super) fn frames(w: &Work) -> Vec<Frame> {
    const EVERY: usize = 2;
    const MOST: usize = 21;
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

pub(super) fn waiting(w: &Work) -> Option<WaitSays> {
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
