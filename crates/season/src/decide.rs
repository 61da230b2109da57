//! Which decisions are open, and each one in words.

use stook_measure::{Range, figure};
use stook_soil::Operation;

use crate::answer::{Advice, Coming, DateRange, Decision, Fit, Job, Waiting};
use crate::carry::Carried;
use crate::dates::date_range;
use crate::field::{FieldState, seedbed_is_moist, soil};
use crate::outlook::middle_state;
use crate::run::FieldOutcome;
use crate::spray_case;
use crate::waiting::{two_runs, waiting};
use crate::words;

/// A window counts as open when this share of the weathers can use it within [`NEAR_DAYS`].
const NEAR_SHARE: f64 = 0.3;
/// Work counts as possible today in this share of the weathers.
pub const CAN_BE_DONE: f64 = 0.5;
/// Days ahead that make a decision one of today's.
const NEAR_DAYS: u16 = 4;

/// The job open on a field, if any.
pub fn open_job(c: &Carried, f: usize, seasons: &[Vec<FieldOutcome>]) -> Option<Job> {
    let s = middle_state(c, f);
    let share = |test: &dyn Fn(&FieldOutcome) -> bool| {
        seasons.iter().filter(|m| test(&m[f])).count() as f64 / seasons.len() as f64
    };
    let soon = |job: Job| share(&|o| o.first_fit[job as usize].is_some_and(|d| d <= NEAR_DAYS)) >= NEAR_SHARE;
    let left = |job| s.left_ha(job) > 0.0;
    if left(Job::Seed) {
        let field = &c.model.fields[f];
        let doy = c.as_of.day_of_year() as u16;
        if doy < c.model.season.sow_first_doy || doy > field.last_doy {
            return None;
        }
        if harrow_first(c, f, s) && soon(Job::Harrow) {
            return Some(Job::Harrow);
        }
        // In the season itself the drill is always a question, even when the answer is "not for days".
        return (soon(Job::Seed) || doy + 10 >= field.best_doy as u16).then_some(Job::Seed);
    }
    if left(Job::Herbicide) && share(&|o| o.herbicide_window.0.is_some_and(|d| d <= 1)) >= NEAR_SHARE {
        return Some(Job::Herbicide);
    }
    if left(Job::Fungicide) && share(&|o| o.fungicide_window.0.is_some_and(|d| d <= 1)) >= NEAR_SHARE {
        return Some(Job::Fungicide);
    }
    (left(Job::Cut) && soon(Job::Cut)).then_some(Job::Cut)
}

/// Too wet to drill but not to harrow, with a harrow on the farm.
fn harrow_first(c: &Carried, f: usize, s: &FieldState) -> bool {
    if c.model.machine(Job::Harrow).is_none() {
        return false;
    }
    let field = &c.model.fields[f];
    let limit = |op| field.limits.of(op).limit;
    let x = s.water.surface_relative_to_fc(soil(field, s.variant), field.limits.of(Operation::Seed).depth_m);
    x > limit(Operation::Seed) && x <= limit(Operation::Harrow) + 0.05
}

/// The decision on a field, with its cost of waiting.
pub fn decision(c: &Carried, f: usize, job: Job, seasons: &[Vec<FieldOutcome>]) -> Decision {
    let field = &c.model.fields[f];
    let units = &c.model.units;
    let s = middle_state(c, f);
    let fit = fit(c, f, job, s, seasons);
    let blocked = blocked(c, f, job);
    let runs = two_runs(c, f, job);
    let spray = (job == Job::Fungicide).then(|| spray_case::weigh(c, f, &runs)).flatten();
    let pays = spray.as_ref().is_none_or(|s| !s.clear || s.net.mean > 0.0);
    let cost = if blocked.is_none() && pays { waiting(c, f, job, &runs) } else { None };
    let after_today: Vec<f64> =
        runs.later.iter().filter_map(|m| next_chance(&m[f], job)).map(f64::from).collect();
    let next_chance_days = Range::of(&after_today);
    let closes = closes(c, f, job, seasons);
    let advice = match &spray {
        // What waiting costs is of no interest where the spray itself does not pay.
        Some(s) if !s.clear => Advice::Either,
        Some(s) if s.net.mean <= 0.0 => Advice::Wait,
        _ => advice(&fit, cost.as_ref(), blocked.is_some()),
    };
    let mut d = Decision {
        key: format!("{}/{}/{}", job_key(job), field.id, c.model.year),
        field: field.id.to_string(),
        place: format!("{}, {}, {}", field.name, words::area(units, field.area_ha), field.crop),
        job,
        what: String::new(),
        why: String::new(),
        change: String::new(),
        moved: None,
        fit,
        waiting: cost,
        spray,
        machine_hours: c.model.hours(job, s.left_ha(job)),
        next_chance_days,
        closes,
        blocked,
        caution: caution(job).map(Into::into),
        advice,
        answered: None,
    };
    // A caution on work that cannot be done today is noise.
    if d.fit.chance < CAN_BE_DONE {
        d.caution = None;
    }
    d.what = what(c, f, &d, s);
    d.why = why(c, f, &d, s);
    d.change = change(c, f, &d, &runs.later);
    d
}

/// The first workable day after today, in a run that lets the first one go.
fn next_chance(o: &FieldOutcome, job: Job) -> Option<u16> {
    let i = job as usize;
    if o.first_fit[i] == Some(0) { o.second_fit[i] } else { o.first_fit[i] }
}

/// The key of a job in addresses and in the book.
pub fn job_key(job: Job) -> &'static str {
    match job {
        Job::Harrow => "harrow",
        Job::Seed => "seed",
        Job::Herbicide => "herbicide",
        Job::Fungicide => "fungicide",
        Job::Cut => "cut",
    }
}

fn fit(c: &Carried, f: usize, job: Job, s: &FieldState, seasons: &[Vec<FieldOutcome>]) -> Fit {
    let field = &c.model.fields[f];
    let i = job as usize;
    let n = seasons.len() as f64;
    let least = c.model.season.least_hours;
    let hours: Vec<f64> = seasons.iter().map(|m| m[f].hours_today[i]).collect();
    let chance = hours.iter().filter(|h| **h >= least).count() as f64 / n;
    let op = match job {
        Job::Harrow => Operation::Harrow,
        Job::Seed => Operation::Seed,
        Job::Herbicide | Job::Fungicide => Operation::Spray,
        Job::Cut => Operation::Combine,
    };
    let (figure, limit) = if job == Job::Cut {
        (s.moisture(), c.model.season.cut_moisture_max)
    } else {
        let l = field.limits.of(op);
        (s.water.surface_relative_to_fc(soil(field, s.variant), l.depth_m), l.limit)
    };
    Fit {
        chance,
        hours: Range::of(&hours).unwrap_or(Range { p10: 0.0, p50: 0.0, p90: 0.0 }),
        figure,
        limit,
        limit_is_own: field.learned.is_some() && matches!(job, Job::Harrow | Job::Seed),
    }
}

fn blocked(c: &Carried, f: usize, job: Job) -> Option<String> {
    let field = &c.model.fields[f];
    if job != Job::Cut || (c.as_of.day_of_year() as u16) >= field.earliest_cut_doy {
        return None;
    }
    let day = jiff::civil::Date::new(c.model.year, 1, 1)
        .ok()?
        .saturating_add(jiff::Span::new().days(i64::from(field.earliest_cut_doy) - 1));
    Some(format!(
        "Inside the pre-harvest interval of a spray on record until {}: do not cut.",
        words::day(day)
    ))
}

fn closes(c: &Carried, f: usize, job: Job, seasons: &[Vec<FieldOutcome>]) -> Option<DateRange> {
    let end = |what: &dyn Fn(&FieldOutcome) -> Option<u16>| {
        let days: Vec<Option<u16>> = seasons.iter().map(|m| what(&m[f])).collect();
        date_range(c, &days)
    };
    match job {
        Job::Herbicide => end(&|o| o.herbicide_window.1),
        Job::Fungicide => end(&|o| o.fungicide_window.1),
        Job::Harrow | Job::Seed => {
            let day = i64::from(c.model.fields[f].last_doy) - 1;
            let date = jiff::civil::Date::new(c.model.year, 1, 1).ok()?;
            Some(crate::dates::all(date.saturating_add(jiff::Span::new().days(day))))
        }
        Job::Cut => None,
    }
}

fn advice(fit: &Fit, cost: Option<&Waiting>, blocked: bool) -> Advice {
    if blocked || fit.chance < CAN_BE_DONE {
        return Advice::Wait;
    }
    match cost {
        None => Advice::Either,
        Some(w) if !w.clear => Advice::Either,
        Some(w) if w.money.mean > 0.0 => Advice::Now,
        Some(_) => Advice::Wait,
    }
}

fn what(c: &Carried, f: usize, d: &Decision, s: &FieldState) -> String {
    let name = &c.model.fields[f].name;
    let next = d.next_chance_days.map(|r| words::day_from(c.as_of, c.date(r.p50.round() as i64)));
    let likely = next.as_ref().map_or(String::new(), |n| format!(" Likely {n}."));
    if d.blocked.is_some() {
        return format!("Do not cut {name} yet.");
    }
    let moisture = figure(s.moisture(), 1);
    match (d.job, d.advice) {
        (Job::Harrow, Advice::Wait) if d.fit.chance < CAN_BE_DONE => {
            format!("Too wet even to harrow {name}.{likely}")
        }
        (Job::Harrow, Advice::Wait) => format!("Leave {name}: it dries by itself."),
        (Job::Harrow, Advice::Now) => format!("Harrow {name} today, drill as soon as it is fit."),
        (Job::Harrow, Advice::Either) => format!("Harrow {name} or leave it: no clear difference."),
        (Job::Seed, Advice::Wait) if d.fit.chance < CAN_BE_DONE => {
            format!("{name} {} to drill today.{likely}", not_fit(d))
        }
        (Job::Seed, Advice::Now) => format!("Drill {name} today."),
        (Job::Seed, Advice::Wait) => format!("Wait with {name}: it pays.{likely}"),
        (Job::Seed, Advice::Either) => format!("{name} can be drilled today or left: no clear difference."),
        (Job::Herbicide, Advice::Wait) if d.fit.chance < CAN_BE_DONE => {
            format!("{} to spray weeds on {name} today.{likely}", no_hours(d))
        }
        (Job::Herbicide, Advice::Now) => format!("Spray weeds on {name} today."),
        (Job::Herbicide, Advice::Wait) => format!("Wait with the weeds on {name}.{likely}"),
        (Job::Herbicide, Advice::Either) => {
            format!("Weeds on {name}: today or the next day, no clear difference.")
        }
        (Job::Fungicide, Advice::Wait)
            if d.fit.chance < CAN_BE_DONE && d.spray.as_ref().is_none_or(|s| s.net.mean > 0.0) =>
        {
            format!("Fungicide window open on {name}. {} to spray today.{likely}", no_hours(d))
        }
        (Job::Fungicide, Advice::Now) => format!("Spray {name} for head blight today."),
        (Job::Fungicide, Advice::Wait) if d.spray.as_ref().is_some_and(|s| s.net.mean <= 0.0) => {
            format!("Leave {name} unsprayed: a fungicide is not expected to pay.")
        }
        (Job::Fungicide, Advice::Wait) => format!("Wait with the fungicide on {name}.{likely}"),
        (Job::Fungicide, Advice::Either) if d.spray.as_ref().is_some_and(|s| s.clear) => {
            format!("A head spray pays on {name}: today or the next day, no clear difference.")
        }
        (Job::Fungicide, Advice::Either) => {
            format!("Fungicide on {name}: no clear difference. Decide by what you see in the field.")
        }
        (Job::Cut, Advice::Wait) if d.fit.chance < CAN_BE_DONE => {
            format!("{} to cut {name} today.{likely}", no_hours(d))
        }
        (Job::Cut, Advice::Now) => format!("Cut {name} today at about {moisture} %."),
        (Job::Cut, Advice::Wait) => {
            format!("Leave {name} standing at {moisture} %: drying in the field pays.")
        }
        (Job::Cut, Advice::Either) => {
            format!("Cut {name} at {moisture} % or leave it a day: no clear difference.")
        }
    }
}

/// Below this share of the weathers it is said flatly; above it, as unlikely.
const FLATLY_NOT: f64 = 0.1;

fn not_fit(d: &Decision) -> &'static str {
    if d.fit.chance < FLATLY_NOT { "is not fit" } else { "is unlikely to be fit" }
}

fn no_hours(d: &Decision) -> &'static str {
    if d.fit.chance < FLATLY_NOT { "No hours" } else { "Few hours, if any," }
}

fn why(c: &Carried, f: usize, d: &Decision, s: &FieldState) -> String {
    let field = &c.model.fields[f];
    let units = &c.model.units;
    let mut said = Vec::new();
    let limit = || match &field.learned {
        Some(l) if d.fit.limit_is_own => {
            format!("your own limit is {} (from {} GO and {} NO)", figure(d.fit.limit, 2), l.n_go, l.n_no)
        }
        _ => format!("the limit is {}", figure(d.fit.limit, 2)),
    };
    let hours = || {
        if d.fit.chance < 0.02 {
            "No weather gives hours today".to_string()
        } else {
            format!(
                "Hours today in {}, {} in the middle",
                words::in_ten(d.fit.chance),
                hours_words(d.fit.hours.p50)
            )
        }
    };
    match d.job {
        Job::Harrow | Job::Seed => {
            said.push(format!(
                "Top 4 in last evening: {} of field capacity; {}",
                figure(d.fit.figure, 2),
                limit()
            ));
            said.push(hours());
            let soil_c = c.air[0].first().map_or(f64::NAN, |a| a.soil_c);
            let cold = soil_c < field.params.emergence.min_soil_c;
            said.push(format!(
                "Soil {} at seed depth{}",
                words::temperature(units, soil_c),
                if cold { ", cold: seed will sit" } else { "" }
            ));
            if !seedbed_is_moist(&s.water, soil(field, s.variant), c.model.season.sow_moist_share) {
                said.push("Dry where the seed lies and for some way below: it may wait for rain".into());
            }
        }
        Job::Herbicide => {
            let leaves = s.wheat.map_or(0.0, |w| w.leaves(&field.params));
            said.push(format!("The crop has {} leaves", figure(leaves, 1)));
            said.push(hours());
        }
        Job::Fungicide => {
            said.push(hours());
            if let Some(s) = &d.spray {
                said.push(s.words.clone());
            }
        }
        Job::Cut => {
            said.push(format!(
                "Kernels about {} % last evening; dry is {} %",
                figure(s.moisture(), 1),
                figure(c.model.season.cut_moisture_dry, 1)
            ));
            said.push(hours());
        }
    }
    if let Some(b) = &d.blocked {
        said.insert(0, b.trim_end_matches('.').to_string());
    }
    format!("{}.", said.join(". "))
}

/// `5 h`, or `under an hour`.
fn hours_words(h: f64) -> String {
    if h < 1.0 { "under an hour".into() } else { format!("{} h", figure(h, 0)) }
}

fn change(c: &Carried, f: usize, d: &Decision, later: &[Vec<FieldOutcome>]) -> String {
    // Rain in the next three days, and what it does to the next chance.
    let rain3 = |m: usize| c.air[m].iter().take(3).map(|a| a.forcing.day.precip_mm).sum::<f64>() >= 5.0;
    let wet = (0..c.members()).filter(|m| rain3(*m)).count() as f64 / c.members() as f64;
    let middle = |want: bool| {
        let mut days: Vec<u16> = (0..c.members())
            .filter(|m| rain3(*m) == want)
            .filter_map(|m| next_chance(&later[m][f], d.job))
            .collect();
        days.sort_unstable();
        (days.len() >= 5).then(|| days[days.len() / 2])
    };
    let rain = match (middle(true), middle(false)) {
        (Some(w), Some(dry)) if w > dry && (0.02..0.98).contains(&wet) => format!(
            "Rain of {} or more by {}, in {}, would put the next chance at {} instead of {}. ",
            words::rain(&c.model.units, 5.0),
            words::day_from(c.as_of, c.date(2)),
            words::in_ten(wet),
            words::day_from(c.as_of, c.date(i64::from(w))),
            words::day_from(c.as_of, c.date(i64::from(dry)))
        ),
        _ => String::new(),
    };
    let rest = match d.job {
        Job::Harrow | Job::Seed => "A GO or NO at the gate moves your limit.",
        Job::Herbicide => "A leaf count moves the window.",
        Job::Fungicide => "Flowering seen moves the window.",
        Job::Cut => "A moisture reading or thumb test moves it.",
    };
    format!("{rain}{rest}")
}

fn caution(job: Job) -> Option<&'static str> {
    match job {
        Job::Herbicide | Job::Fungicide => Some(
            "The label rules: stage, rate, wind, buffer, re-entry and days to harvest. Still air at dusk and dawn drifts far (Ontario and North Dakota extension).",
        ),
        Job::Cut => Some(
            "Nobody behind a running combine. Look up for power lines when augers and boxes go up. Stop and clean when it is fire weather.",
        ),
        Job::Seed => {
            Some("Treated seed never goes into feed. Block and key out before reaching into drill or auger.")
        }
        Job::Harrow => None,
    }
}

/// Windows still to come on a field that has nothing open.
pub fn coming(c: &Carried, f: usize, open: Option<Job>, seasons: &[Vec<FieldOutcome>]) -> Option<Coming> {
    let field = &c.model.fields[f];
    let next = crate::outlook::windows(c, f, seasons).into_iter().find(|w| Some(w.job) != open)?;
    if open.is_some() {
        return None;
    }
    let closes = matches!(next.job, Job::Herbicide | Job::Fungicide).then_some(next.closes);
    let words = format!(
        "{}: {} from about {} ({} to {})",
        field.name,
        next.job.word(),
        words::day(next.opens.middle),
        words::day(next.opens.early),
        words::day(next.opens.late)
    );
    Some(Coming {
        field: field.id.to_string(),
        name: field.name.clone(),
        job: next.job,
        opens: next.opens,
        closes,
        words,
    })
}
