//! One season of the whole farm in one weather: the fields day by day, sharing the machines.

use stook_crop::Phase;

use crate::answer::Job;
use crate::field::{Air, FieldState};
use crate::model::{FieldModel, Model};
use crate::money::Purse;

/// Every job, in the order a day takes them.
pub const JOBS: [Job; 5] = [Job::Harrow, Job::Seed, Job::Herbicide, Job::Fungicide, Job::Cut];

/// Who is served first when a machine has more work than hours.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Policy {
    /// Fields in the order the drill takes them; empty means nearest first.
    pub seed_order: Vec<usize>,
    /// Fields in the order the combine takes them; empty means ripest first.
    pub cut_order: Vec<usize>,
    /// The job whose machine stands idle on the first day (what does a lost day cost?).
    pub idle_today: Option<Job>,
}

/// Sets one job on one field apart: done on its first workable day (`skip` 0) or the one after (`skip` 1), the
/// machine being there for it. The other fields keep their queue in both runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Directive {
    /// Index of the field.
    pub field: usize,
    /// The job.
    pub job: Job,
    /// Workable days let go by; [`NEVER`] leaves the job undone.
    pub skip: u8,
}

/// More workable days than a season has: the job is never done.
pub const NEVER: u8 = u8::MAX;

/// How one field fared in one weather. Days count from the first day of the run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FieldOutcome {
    /// Money by part.
    pub purse: Purse,
    /// Yield carried off, kg/ha at the moisture paid for.
    pub yield_kg_ha: f64,
    /// The second opinion: yield by the deficit function before losses, kg/ha.
    pub by_deficit_kg_ha: f64,
    /// Water the crop had by the yield line, mm.
    pub crop_water_mm: f64,
    /// Most hours of head blight weather in seven days, from heading to the end of flowering.
    pub blight_h: f32,
    /// Days of tan spot infection from the flag leaf to milk.
    pub leaf_days: f32,
    /// First workable day for each job.
    pub first_fit: [Option<u16>; 5],
    /// Second workable day for each job.
    pub second_fit: [Option<u16>; 5],
    /// Day each job was finished.
    pub done: [Option<u16>; 5],
    /// Whether it was finished before the run.
    pub done_before: [bool; 5],
    /// Fit hours of each job on the first day.
    pub hours_today: [f64; 5],
    /// First and last day of the herbicide window by leaf.
    pub herbicide_window: (Option<u16>, Option<u16>),
    /// First and last day of the fungicide window.
    pub fungicide_window: (Option<u16>, Option<u16>),
    /// Emergence.
    pub emerged: Option<u16>,
    /// Heads showing.
    pub heading: Option<u16>,
    /// Flowering.
    pub flowering: Option<u16>,
    /// Ripe (full kernel weight).
    pub ripe: Option<u16>,
}

/// Daily tracks of one field in one weather, for the fans.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Track {
    /// Available water, mm.
    pub water_mm: Vec<f32>,
    /// Zadoks; not a number before seeding.
    pub zadoks: Vec<f32>,
    /// Kernel moisture; not a number before there is one.
    pub moisture: Vec<f32>,
}

/// Runs one weather.
///
/// `start` holds one state a field; `tracks`, when given, one track a field.
pub fn season(
    model: &Model,
    start: &[FieldState],
    air: &[Air],
    policy: &Policy,
    directive: Option<Directive>,
    mut tracks: Option<&mut [Track]>,
) -> Vec<FieldOutcome> {
    let mut states = start.to_vec();
    let mut out = vec![FieldOutcome::default(); states.len()];
    let mut let_go = 0_u8;
    let (mut begun, mut finished) = (false, false);
    let nearest: Vec<usize> = (0..states.len()).collect();
    let seed_order = if policy.seed_order.is_empty() { &nearest } else { &policy.seed_order };
    let mut queue: Vec<usize> = nearest.clone();
    for job in JOBS {
        for (f, s) in start.iter().enumerate() {
            // What the book already has counts as done on the day before.
            if s.left_ha(job) <= 0.0 {
                out[f].done_before[job as usize] = true;
            }
        }
    }

    for (d, air) in air.iter().enumerate() {
        let day = d as u16;
        for (f, state) in states.iter_mut().enumerate() {
            let field = &model.fields[f];
            state.step(model, field, air);
            watch(model, field, state, air, day, &mut out[f]);
            if let Some(t) = tracks.as_deref_mut() {
                state.record(field, &mut t[f]);
            }
        }
        let mut left_h = [0.0; 5];
        for job in JOBS {
            if let Some(dir) = directive.filter(|x| apart_for(x.job, job)) {
                let (field, state) = (&model.fields[dir.field], &mut states[dir.field]);
                let pressed = job == dir.job;
                let hours = state.fit_hours(model, field, air, job, pressed);
                let wanted = hours > 0.0 && !(pressed && finished) && state.wants(model, field, job, pressed);
                if pressed && wanted && !begun && hours >= model.season.least_hours {
                    if let_go < dir.skip { let_go += 1 } else { begun = true }
                }
                // The machine is there for it: its hours are its own. A seeding apart with its harrowing just goes
                // when it is fit.
                if wanted && (begun || !pressed) {
                    state.work(model, field, air, job, hours);
                    finished |= pressed && state.finished_today(job);
                }
            }
            let apart = directive.filter(|x| apart_for(x.job, job)).map(|x| x.field);
            let Some(machine) = model.machine(job) else { continue };
            // Both sprays share one sprayer.
            let place = if job == Job::Fungicide { Job::Herbicide } else { job } as usize;
            let left = &mut left_h[place];
            if job != Job::Fungicide {
                *left = if day == 0 && policy.idle_today == Some(job) { 0.0 } else { machine.hours_per_day };
            }
            if *left <= 0.0 {
                continue;
            }
            order(job, &states, seed_order, &policy.cut_order, &mut queue);
            for &f in &queue {
                if Some(f) == apart || *left <= 0.0 {
                    continue;
                }
                let field = &model.fields[f];
                if !states[f].wants(model, field, job, false) {
                    continue;
                }
                let hours = states[f].fit_hours(model, field, air, job, false).min(*left);
                if hours > 0.0 {
                    *left -= states[f].work(model, field, air, job, hours);
                }
            }
        }
        for (f, state) in states.iter().enumerate() {
            note_done(state, day, &mut out[f]);
        }
    }
    for (f, state) in states.iter().enumerate() {
        state.settle(model, &model.fields[f], &mut out[f]);
    }
    out
}

/// Which jobs a directive sets apart: its own, and with a harrow pass the seeding it is made for.
fn apart_for(directive: Job, job: Job) -> bool {
    directive == job || (directive == Job::Harrow && job == Job::Seed)
}

/// Sorts the queue for a job.
fn order(job: Job, states: &[FieldState], seed: &[usize], cut: &[usize], queue: &mut Vec<usize>) {
    match job {
        Job::Harrow | Job::Seed => queue.clone_from_slice(seed),
        Job::Cut if !cut.is_empty() => queue.clone_from_slice(cut),
        // Nearest the end of its window first; equal ones nearest the yard first.
        Job::Herbicide | Job::Fungicide => {
            queue.sort_by(|&a, &b| {
                states[b].development().total_cmp(&states[a].development()).then(a.cmp(&b))
            });
        }
        Job::Cut => {
            queue.sort_by(|&a, &b| states[a].moisture().total_cmp(&states[b].moisture()).then(a.cmp(&b)));
        }
    }
}

/// Notes when windows open and days become workable, whatever the policy then does.
fn watch(model: &Model, field: &FieldModel, s: &FieldState, air: &Air, day: u16, out: &mut FieldOutcome) {
    for job in JOBS {
        let i = job as usize;
        if out.second_fit[i].is_some() || !s.wants(model, field, job, true) {
            continue;
        }
        let hours = s.fit_hours(model, field, air, job, true);
        if day == 0 {
            out.hours_today[i] = hours;
        }
        if hours >= model.season.least_hours {
            match out.first_fit[i] {
                None => out.first_fit[i] = Some(day),
                Some(_) => out.second_fit[i] = Some(day),
            }
        }
    }
    let Some(wheat) = &s.wheat else { return };
    if s.phase >= Phase::Heading {
        out.heading.get_or_insert(day);
    }
    if s.phase >= Phase::Flowering {
        out.flowering.get_or_insert(day);
        if s.is_ripe(field) {
            out.ripe.get_or_insert(day);
        }
    }
    if wheat.emerged {
        out.emerged.get_or_insert(day);
        span(s.herbicide_window(field).is_open(), day, &mut out.herbicide_window);
        span(s.fungicide_window(field).is_open(), day, &mut out.fungicide_window);
    }
}

fn span(open: bool, day: u16, window: &mut (Option<u16>, Option<u16>)) {
    if open {
        window.0.get_or_insert(day);
        window.1 = Some(day);
    }
}

fn note_done(s: &FieldState, day: u16, out: &mut FieldOutcome) {
    for job in JOBS {
        let i = job as usize;
        if out.done[i].is_none() && s.finished_today(job) {
            out.done[i] = Some(day);
        }
    }
}
