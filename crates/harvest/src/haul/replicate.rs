//! Many days of one set-up, with how well their mean is known, and two set-ups on the same days.

use serde::Serialize;
use stook_measure::Spread;

use super::{Counts, HaulError, Setup, simulate};

/// A mean with its 95 % confidence interval over replications.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mean {
    /// Mean.
    pub mean: f64,
    /// Half the width of the interval.
    pub half: f64,
}

impl Mean {
    /// Of independent outcomes.
    pub fn of(xs: &[f64]) -> Self {
        let s = Spread::of(xs).expect("replications give numbers");
        Self { mean: s.mean, half: student_975(s.count) * s.standard_error }
    }

    /// Whether the interval holds a value.
    pub fn holds(&self, x: f64) -> bool {
        (x - self.mean).abs() <= self.half
    }

    /// Whether it can be told from nothing.
    pub fn is_clear(&self) -> bool {
        self.mean.abs() > self.half
    }

    /// The same in another unit.
    #[must_use]
    pub fn times(self, k: f64) -> Self {
        Self { mean: self.mean * k, half: self.half * k.abs() }
    }
}

/// Student's t at 97.5 % for `n` outcomes (n - 1 degrees of freedom): the expansion about the normal, good to 0.2 % from
/// five degrees on.
pub fn student_975(n: usize) -> f64 {
    const Z: f64 = 1.959_963_985;
    let v = n.saturating_sub(1).max(1) as f64;
    let z3 = Z.powi(3);
    let z5 = Z.powi(5);
    let z7 = Z.powi(7);
    Z + (z3 + Z) / (4.0 * v)
        + (5.0 * z5 + 16.0 * z3 + 3.0 * Z) / (96.0 * v * v)
        + (3.0 * z7 + 19.0 * z5 + 17.0 * z3 - 15.0 * Z) / (384.0 * v * v * v)
}

/// What many days come to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Days run.
    pub days: usize,
    /// Grain off the field, t/h.
    pub cut_t_h: Mean,
    /// Hours until the field is cut, or the day's hours.
    pub hours: Mean,
    /// Share of days on which the field was finished.
    pub finished: f64,
    /// Share of combine time waiting with a full tank.
    pub combine_waits: Mean,
    /// Share of combine time stopped to unload.
    pub combine_unloads: Mean,
    /// Share of cart time at work.
    pub cart_works: Mean,
    /// Share of cart time waiting for a truck.
    pub cart_waits: Mean,
    /// Share of truck time waiting in the field.
    pub truck_waits_field: Mean,
    /// Share of truck time in line in the yard.
    pub truck_waits_yard: Mean,
    /// Share of auger time pouring or held.
    pub pit_works: Mean,
    /// Share of auger time held by a full wet bin.
    pub pit_held: Mean,
    /// Share of time the drier runs.
    pub drier_runs: Mean,
    /// Minutes a load waits in line.
    pub load_wait_min: Mean,
    /// Share of days on which the bins ran full.
    pub bins_full: f64,
}

/// Runs `days` days.
///
/// # Errors
/// When the set-up cannot be.
pub fn replicate(s: &Setup, seed: u64, days: usize) -> Result<Summary, HaulError> {
    Ok(summarise(s, &run(s, seed, days)?))
}

fn run(s: &Setup, seed: u64, days: usize) -> Result<Vec<Counts>, HaulError> {
    (0..days.max(2) as u64).map(|d| simulate(s, seed, d)).collect()
}

fn summarise(s: &Setup, all: &[Counts]) -> Summary {
    let mean = |f: &dyn Fn(&Counts) -> f64| Mean::of(&all.iter().map(f).collect::<Vec<_>>());
    let share = |f: fn(&Counts) -> f64, machines: usize| {
        let n = machines.max(1) as f64;
        mean(&move |c| f(c) / (c.minutes.max(1e-9) * n))
    };
    // A combine's time ends when the field is cut, not when the last truck is home.
    let combine = |f: fn(&Counts) -> f64| {
        let n = f64::from(s.combines);
        mean(&move |c| f(c) / ((c.cut_by_min - s.warm_up_min).max(1e-9) * n))
    };
    let days = all.len() as f64;
    Summary {
        days: all.len(),
        cut_t_h: mean(&|c| 60.0 * c.cut_t / (c.cut_by_min - s.warm_up_min).max(1e-9)),
        hours: mean(&|c| c.cut_by_min / 60.0),
        finished: all.iter().filter(|c| c.finished).count() as f64 / days,
        combine_waits: combine(|c| c.combine_waits),
        combine_unloads: combine(|c| c.combine_unloads),
        cart_works: share(|c| c.cart_works, s.carts.len()),
        cart_waits: share(|c| c.cart_waits, s.carts.len()),
        truck_waits_field: share(|c| c.truck_waits_field, s.trucks.len()),
        truck_waits_yard: share(|c| c.truck_waits_yard, s.trucks.len()),
        pit_works: share(|c| c.pit_works, s.pits as usize),
        pit_held: share(|c| c.pit_held, s.pits as usize),
        drier_runs: share(|c| c.drier_runs, 1),
        load_wait_min: mean(&|c| c.load_wait_min / c.loads.max(1.0)),
        bins_full: all.iter().filter(|c| c.bins_full).count() as f64 / days,
    }
}

/// What a change of set-up does, on the same days.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Change {
    /// Grain off the field, t/h more.
    pub cut_t_h: Mean,
    /// Hours sooner.
    pub hours_sooner: Mean,
}

/// Compares `other` with `base`.
///
/// # Errors
/// When either cannot be.
pub fn compare(base: &Setup, other: &Setup, seed: u64, days: usize) -> Result<Change, HaulError> {
    let (a, b) = (run(base, seed, days)?, run(other, seed, days)?);
    let rate = |s: &Setup, c: &Counts| 60.0 * c.cut_t / (c.cut_by_min - s.warm_up_min).max(1e-9);
    let pairs = || a.iter().zip(&b);
    Ok(Change {
        cut_t_h: Mean::of(&pairs().map(|(x, y)| rate(other, y) - rate(base, x)).collect::<Vec<_>>()),
        hours_sooner: Mean::of(
            &pairs().map(|(x, y)| (x.cut_by_min - y.cut_by_min) / 60.0).collect::<Vec<_>>(),
        ),
    })
}
