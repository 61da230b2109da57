//! Puts the day's answer together.

use stook_book::payload::Answer;
use stook_crop::windows::Window;
use stook_measure::figure;

use crate::SeasonError;
use crate::answer::{Advice, Decision, Job, OrderOfWork, Plan, Stop, Today, TodayLook, Waiting};
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::harvest::{self, OrderAnswer};
use crate::run::{FieldOutcome, Policy};
use crate::{decide, growing, late, moved, order, outlook, words};

/// What is worth doing today.
///
/// # Errors
/// When the farm has no place yet.
pub fn today(q: &Question<'_>) -> Result<Today, SeasonError> {
    let c = carry(q)?;
    let (seasons, tracks) = c.seasons_tracked(&Policy::default());
    let (mut open, opened) = decisions(&c, &seasons);
    if let Ok(day_before) = q.as_of.yesterday()
        && !c.model.fields.is_empty()
        && let farm = q.before.map_or(q.farm, |b| &b.farm)
        && let Ok(y) = carry(&Question { as_of: day_before, farm, before: None, ..*q })
        && y.model.fields.len() == c.model.fields.len()
    {
        let seasons = y.seasons(&Policy::default(), None);
        let (before, _) = decisions(&y, &seasons);
        moved::note(&c, &y, q.before, &mut open, &before);
    }
    for d in &mut open {
        d.answered = answered(q, d);
    }
    take_turns(&c, &mut open);
    let harvest = by_the_farms_order(&c, q, &mut open);
    let order = harvest.as_ref().and_then(|a| as_order(a, q.as_of)).or_else(|| busiest(&c, &open));
    let fields = (0..c.model.fields.len()).map(|f| outlook::outlook(&c, f, &seasons, &tracks)).collect();
    let coming =
        (0..c.model.fields.len()).filter_map(|f| decide::coming(&c, f, opened[f], &seasons)).collect();
    let looks = looks(&c, q);
    let mut today = Today {
        farm: c.model.farm.clone(),
        as_of: q.as_of,
        headline: String::new(),
        open,
        coming,
        looks,
        fields,
        order,
        weather: c.sky.basis.clone(),
        assumed: c.model.assumed.clone(),
        warnings: c.model.warnings.iter().cloned().chain(missed_windows(&c)).collect(),
    };
    today.headline = headline(&today);
    Ok(today)
}

/// What to look at and the choices of a late spring, from the growing crop.
fn looks(c: &Carried, q: &Question<'_>) -> Vec<TodayLook> {
    let look = |field: &str, about: &str, what: String, why: String| TodayLook {
        field: field.into(),
        about: about.into(),
        what,
        why,
    };
    growing::looks_for_today(c, q)
        .into_iter()
        .map(|(f, l)| look(c.model.fields[f].id.as_str(), &l.about, l.what, l.why))
        .chain(late::of(c).into_iter().map(|l| look(&l.field, "late", l.what, l.why)))
        .collect()
}

/// Today with the order of work for every machine and what a lost day of each costs.
///
/// # Errors
/// As [`today`].
pub fn plan(q: &Question<'_>) -> Result<Plan, SeasonError> {
    let today = today(q)?;
    let c = carry(q)?;
    let mut orders = Vec::new();
    let mut machine_day = Vec::new();
    for job in [Job::Seed, Job::Herbicide, Job::Cut] {
        let waiting = waiting_fields(&c, &today.open, job);
        if !waiting.is_empty() {
            machine_day.extend(order::machine_day(&c, job));
        }
        // One order of the combine: that of the harvest page, where it speaks.
        if let Some(o) = today.order.as_ref().filter(|o| o.job == job) {
            orders.push(o.clone());
        } else if job != Job::Herbicide {
            orders.extend(order::order(&c, job, &waiting));
        }
    }
    Ok(Plan { today, orders, machine_day })
}

/// The open decisions, dearest to leave first, and the open job by field.
fn decisions(c: &Carried, seasons: &[Vec<FieldOutcome>]) -> (Vec<Decision>, Vec<Option<Job>>) {
    let jobs: Vec<Option<Job>> = (0..c.model.fields.len()).map(|f| decide::open_job(c, f, seasons)).collect();
    let mut open: Vec<Decision> = jobs
        .iter()
        .enumerate()
        .filter_map(|(f, job)| Some(decide::decision(c, f, (*job)?, seasons)))
        .collect();
    open.sort_by(|a, b| rank(b).total_cmp(&rank(a)).then_with(|| a.place.cmp(&b.place)));
    (open, jobs)
}

/// One machine is in one place: fields that come after a full day's work on the same machine say so.
fn take_turns(c: &Carried, open: &mut [Decision]) {
    let mut hours = std::collections::BTreeMap::new();
    for d in open.iter_mut().filter(|d| d.advice == Advice::Now) {
        let Some(machine) = c.model.machine(d.job) else { continue };
        let before: &mut f64 = hours.entry(d.job.machine()).or_default();
        if *before >= machine.hours_per_day.min(d.fit.hours.p50.max(1.0)) {
            d.why = format!(
                "Dearer work of {} h stands before it for the one {}. {}",
                figure(*before, 0),
                d.job.machine(),
                d.why
            );
            d.what = format!(
                "{} is next in line: {} it when the {} is free.",
                c.model.fields.iter().find(|f| f.id.as_str() == d.field).map_or("", |f| f.name.as_str()),
                d.job.word(),
                d.job.machine()
            );
        }
        *before += d.machine_hours;
    }
}

/// Each field alone may gain by drying while the combine would stand idle and the fields behind it wait. So when
/// several wheat fields can be cut, the farm's order speaks, as on the harvest page: its fields in its order, the first
/// with its answer.
fn by_the_farms_order(c: &Carried, q: &Question<'_>, open: &mut Vec<Decision>) -> Option<OrderAnswer> {
    let can = |d: &Decision| d.job == Job::Cut && d.blocked.is_none();
    if open.iter().filter(|d| can(d)).count() < 2 {
        return None;
    }
    let answer = harvest::order::of(c, q.farm);
    let first = answer.first.clone()?;
    let place = |d: &Decision| answer.stops.iter().position(|s| s.field == d.field).unwrap_or(usize::MAX);
    let mut cuts: Vec<Decision> = open.extract_if(.., |d| can(d)).collect();
    // The first of the order leads; the others follow as they come off.
    cuts.sort_by_key(|d| (d.field != first, place(d)));
    if let Some(d) = cuts.first_mut().filter(|d| d.field == first) {
        if d.advice == Advice::Wait {
            d.advice = Advice::Now;
        }
        d.what.clone_from(&answer.headline);
        d.why = format!("{} {}", answer.why, d.why);
    }
    for d in cuts.iter_mut().skip(1) {
        if let Some(s) = answer.stops.iter().find(|s| s.field == d.field)
            && let Some(e) = s.expected
        {
            d.what = format!("{} after it, off about {}.", s.name, words::day_from(c.as_of, e.middle));
            d.why = format!("By itself: {}", d.why);
        }
    }
    let at = open.iter().position(|d| d.advice != Advice::Now || d.blocked.is_some()).unwrap_or(open.len());
    open.splice(at..at, cuts);
    Some(answer)
}

/// The farm's order in the shape Today shows it.
fn as_order(a: &OrderAnswer, day: jiff::civil::Date) -> Option<OrderOfWork> {
    let gain = a.gains.first()?;
    let stops = a.stops.iter().map(|s| Stop {
        field: s.field.clone(),
        name: s.name.clone(),
        hours: s.hours,
        per_hour: s.waiting.mean / s.hours.max(1e-9),
        expected: s.expected.unwrap_or_else(|| crate::dates::all(day)),
    });
    let stops: Vec<Stop> = stops.collect();
    Some(OrderOfWork {
        machine: Job::Cut.machine().into(),
        job: Job::Cut,
        stops,
        against: gain.against.clone(),
        gain: gain.money,
        words: format!("{}.", gain.words),
        working: a.working.clone()?,
    })
}

/// Growing fields whose weed window closed with no spray on record: perhaps it was done and not written down.
fn missed_windows(c: &Carried) -> Vec<String> {
    (0..c.model.fields.len())
        .filter_map(|f| {
            let (field, s) = (&c.model.fields[f], outlook::middle_state(c, f));
            let growing = s.wheat.is_some() && s.left_ha(Job::Cut) > 0.0;
            let missed = growing && s.left_ha(Job::Herbicide) > 0.0 && s.herbicide_window(field) == Window::Closed;
            missed.then(|| {
                format!(
                    "{}: the window for weeds has passed and no spray is in the book. If it was sprayed, write it down; the weed loss is reckoned as never sprayed.",
                    field.name
                )
            })
        })
        .collect()
}

/// What can be done today before what cannot; then by money an hour.
fn rank(d: &Decision) -> f64 {
    let per_hour = d.waiting.as_ref().map_or(0.0, |w| w.per_hour);
    let can = if d.blocked.is_none() && d.fit.chance >= decide::CAN_BE_DONE { 1e9 } else { 0.0 };
    can + per_hour
}

fn waiting_fields(c: &Carried, open: &[Decision], job: Job) -> Vec<(usize, Waiting)> {
    open.iter()
        .filter(|d| d.job == job || (job == Job::Seed && d.job == Job::Harrow))
        .filter_map(|d| Some((c.model.field_index(&d.field)?, d.waiting.clone()?)))
        .collect()
}

/// The order for the machine with most hours waiting.
fn busiest(c: &Carried, open: &[Decision]) -> Option<OrderOfWork> {
    let hours = |job: Job| {
        waiting_fields(c, open, job)
            .iter()
            .map(|(f, _)| c.model.hours(job, c.model.fields[*f].area_ha))
            .sum::<f64>()
    };
    let job = [Job::Seed, Job::Cut].into_iter().max_by(|a, b| hours(*a).total_cmp(&hours(*b)))?;
    order::order(c, job, &waiting_fields(c, open, job))
}

/// The answer given in the book today.
fn answered(q: &Question<'_>, d: &Decision) -> Option<String> {
    let a = q.farm.answers.iter().rev().find(|a| a.is.decision == d.key && a.on() == q.as_of)?;
    Some(match (a.is.answer, &a.is.reason) {
        (Answer::Accepted, _) => "yes".into(),
        (Answer::No, None) => "no".into(),
        (Answer::No, Some(why)) => format!("no, {why}"),
    })
}

fn headline(t: &Today) -> String {
    if let Some(first) = t.open.iter().find(|d| d.advice == Advice::Now) {
        return first.what.clone();
    }
    if let Some(first) = t.open.first() {
        return alike(t).unwrap_or_else(|| first.what.clone());
    }
    if t.fields.is_empty() {
        return "No wheat field is planned for this year: add one in set-up.".into();
    }
    match t.coming.iter().min_by_key(|c| c.opens.middle) {
        Some(next) => format!(
            "Nothing to do in the wheat today. Next: {} {} from about {}.",
            next.job.word(),
            next.name,
            words::day(next.opens.middle)
        ),
        None => "Nothing to do in the wheat today; none of this year's fields waits.".into(),
    }
}

/// Several fields to drill of which the same is to be said, either way or not fit: once for all of them.
fn alike(t: &Today) -> Option<String> {
    let first = t.open.first().filter(|d| d.job == Job::Seed && d.blocked.is_none())?;
    let not_fit = |d: &Decision| d.advice == Advice::Wait && d.fit.chance < decide::CAN_BE_DONE;
    let either = first.advice == Advice::Either;
    if !either && !not_fit(first) {
        return None;
    }
    let same = |d: &&Decision| {
        d.job == first.job && d.blocked.is_none() && d.advice == first.advice && not_fit(d) == not_fit(first)
    };
    let alike: Vec<&Decision> = t.open.iter().take_while(same).collect();
    let names: Vec<&str> = alike.iter().map(|d| d.place.split(',').next().unwrap_or(&d.place)).collect();
    let [most @ .., last] = names.as_slice() else { return None };
    if most.is_empty() {
        return None;
    }
    Some(if either {
        format!("Today or a day later, no clear difference: drill {} or {last}.", most.join(", "))
    } else {
        let days = alike.iter().filter_map(|d| d.next_chance_days).map(|r| r.p50).min_by(f64::total_cmp);
        let next = days.map_or(String::new(), |n| {
            let day = t.as_of.saturating_add(jiff::Span::new().days(n.round() as i64));
            format!(" The first likely {}.", words::day_from(t.as_of, day))
        });
        format!("Not today: drill {} or {last}.{next}", most.join(", "))
    })
}
