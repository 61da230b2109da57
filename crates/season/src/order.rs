//! The order of work for one machine: by cost of waiting per hour, against the plain order.

use stook_measure::{Op, Spread, Working};

use crate::answer::{Job, MachineDay, OrderOfWork, Stop, Waiting};
use crate::carry::Carried;
use crate::dates::date_range;
use crate::money::Purse;
use crate::run::{FieldOutcome, Policy};
use crate::words;

/// The order for a job over the fields that wait for it, with each field's cost of waiting.
///
/// `None` when fewer than two fields wait: there is nothing to order.
pub fn order(c: &Carried, job: Job, fields: &[(usize, Waiting)]) -> Option<OrderOfWork> {
    if fields.len() < 2 {
        return None;
    }
    let mut ranked: Vec<&(usize, Waiting)> = fields.iter().collect();
    ranked.sort_by(|a, b| b.1.per_hour.total_cmp(&a.1.per_hour).then(a.0.cmp(&b.0)));
    let ours: Vec<usize> = ranked.iter().map(|(f, _)| *f).collect();
    let (policy, against) = match job {
        Job::Cut => (Policy { cut_order: with_rest(c, &ours), ..Policy::default() }, "ripest first"),
        _ => (Policy { seed_order: with_rest(c, &ours), ..Policy::default() }, "nearest first"),
    };
    let plain = c.seasons(&Policy::default(), None);
    let by_cost = c.seasons(&policy, None);
    let gain: Vec<f64> = by_cost.iter().zip(&plain).map(|(a, b)| total(a) - total(b)).collect();
    let gain = Spread::of(&gain)?;
    let units = &c.model.units;
    let clear = gain.is_clear() && gain.mean.abs() >= 1.0;
    let better = !clear || gain.mean > 0.0;
    // Without a clear difference the order is that of the list, so that the two never disagree.
    let (outcomes, order) =
        if better { (&by_cost, ours) } else { (&plain, plain_order(c, job, &ours, &plain)) };
    let words = if !clear {
        format!("No clear difference from {against}: go by what is nearest and easiest.")
    } else if better {
        format!(
            "Gains about {} over {against} ({} to {}).",
            words::cash(units, gain.mean),
            words::cash(units, gain.range.p10),
            words::cash(units, gain.range.p90)
        )
    } else {
        format!(
            "{} does better here, by about {}: it is the order shown, not that of the list by fields.",
            capital(against),
            words::cash(units, -gain.mean)
        )
    };
    let stops = order
        .iter()
        .map(|&f| {
            let m = &c.model.fields[f];
            let done: Vec<Option<u16>> = outcomes.iter().map(|o| o[f].done[job as usize]).collect();
            Stop {
                field: m.id.to_string(),
                name: m.name.clone(),
                hours: c.model.hours(job, c.starts[0][f].left_ha(job)),
                per_hour: fields.iter().find(|(g, _)| *g == f).map_or(0.0, |(_, w)| w.per_hour),
                expected: date_range(c, &done).unwrap_or_else(|| crate::dates::all(c.as_of)),
            }
        })
        .collect();
    let working = Working::new(format!("Order for the {}", job.machine()))
        .line(Op::Start, "Money of the season, this order by cost of waiting an hour", mean_total(&by_cost), "", 0)
        .line(Op::Minus, format!("The same, {against}"), mean_total(&plain), "", 0)
        .sum("Gain", mean_total(&by_cost).round() - mean_total(&plain).round(), "", 0)
        .note("Fields are ranked by the money lost by waiting a workable day over the hours the machine needs (the c-mu rule), and the whole farm is run in that order over the same weathers, machines shared.")
        .source("Smith 1956, Naval Research Logistics Quarterly 3:59 (ratio rule; from memory)");
    Some(OrderOfWork {
        machine: job.machine().into(),
        job,
        stops,
        against: against.into(),
        gain,
        words,
        working,
    })
}

/// What a lost day of a machine costs the whole farm.
pub fn machine_day(c: &Carried, job: Job) -> Option<MachineDay> {
    let work = c.seasons(&Policy::default(), None);
    let idle = c.seasons(&Policy { idle_today: Some(job), ..Policy::default() }, None);
    let lost: Vec<f64> = work.iter().zip(&idle).map(|(a, b)| total(a) - total(b)).collect();
    let money = Spread::of(&lost)?;
    let units = &c.model.units;
    let words = if money.is_clear() && money.mean.abs() >= 1.0 {
        format!(
            "If the {} stands today, the whole farm loses about {} ({} to {}).",
            job.machine(),
            words::cash(units, money.mean),
            words::cash(units, money.range.p10),
            words::cash(units, money.range.p90)
        )
    } else {
        format!("Whether the {} works today makes no clear difference to the whole farm.", job.machine())
    };
    Some(MachineDay { machine: job.machine().into(), job, money, words })
}

/// The order given, then the other fields in their usual order.
fn with_rest(c: &Carried, first: &[usize]) -> Vec<usize> {
    let rest = (0..c.model.fields.len()).filter(|f| !first.contains(f));
    first.iter().copied().chain(rest).collect()
}

/// The plain order of these fields: by the day each is done, middle of the weathers.
fn plain_order(c: &Carried, job: Job, fields: &[usize], plain: &[Vec<FieldOutcome>]) -> Vec<usize> {
    let mut order = fields.to_vec();
    let middle = |f: usize| {
        let mut days: Vec<u16> = plain.iter().map(|o| o[f].done[job as usize].unwrap_or(u16::MAX)).collect();
        days.sort_unstable();
        days[days.len() / 2]
    };
    if job == Job::Cut {
        order.sort_by_key(|&f| (middle(f), f));
    } else {
        order.sort_unstable();
    }
    let _ = c;
    order
}

fn total(fields: &[FieldOutcome]) -> f64 {
    let mut sum = Purse::default();
    for f in fields {
        sum += f.purse;
    }
    sum.total()
}

fn mean_total(all: &[Vec<FieldOutcome>]) -> f64 {
    all.iter().map(|m| total(m)).sum::<f64>() / all.len() as f64
}

fn capital(text: &str) -> String {
    let mut c = text.chars();
    c.next().map_or_else(String::new, |f| f.to_uppercase().chain(c).collect())
}
