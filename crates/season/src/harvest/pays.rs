//! "Would a wider drill, a faster combine, a drier or a second truck pay?": the whole season run again with the change, over
//! the same weathers, and the price that pays for it.

use rayon::prelude::*;
use serde::Serialize;
use stook_book::payload::MachineKind;
use stook_harvest::costs;
use stook_measure::{Op, Spread, Working, figure};

use crate::SeasonError;
use crate::answer::Job;
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::field::{Air, FieldState};
use crate::hindcast;
use crate::model::Model;
use crate::money::Purse;
use crate::run::{self, Policy};
use crate::words;

/// How much wider or faster is asked about.
const MORE: f64 = 1.25;
/// Hours a second driver adds to a day.
const HOURS: f64 = 2.0;
/// The farm's own last seasons run again.
const OWN_YEARS: usize = 5;

/// The page of what would pay.
#[derive(Debug, Clone, Serialize)]
pub struct PaysAnswer {
    /// What pays most, in a sentence.
    pub headline: String,
    /// Why and how sure.
    pub why: String,
    /// Changes, most gained first.
    pub changes: Vec<Paying>,
    /// Days of the season still to come in the run.
    pub days: usize,
}

/// One change.
#[derive(Debug, Clone, Serialize)]
pub struct Paying {
    /// What, in words.
    pub what: String,
    /// Whether it is bought once, rather than paid for each year.
    pub bought: bool,
    /// Money a year over the weathers.
    pub gain: Spread,
    /// What it would have gained in each of the farm's own last seasons, by year; empty where no such weather is on file.
    pub own_years: Vec<(i16, f64)>,
    /// The price that pays, by the mean; for what is not bought, the most to pay a year.
    pub pays_up_to: f64,
    /// In words.
    pub words: String,
    /// The reckoning.
    pub working: Working,
}

/// Answers for the season that `as_of` stands in: in winter the whole of it.
///
/// # Errors
/// When the farm has no place.
pub fn pays(q: &Question<'_>) -> Result<PaysAnswer, SeasonError> {
    let c = carry(q)?;
    let mut changes = Vec::new();
    let base = totals(&c, &c.model);
    let past = hindcast::seasons(&c.model, q.weather, q.as_of, OWN_YEARS);
    let own_base: Vec<f64> = past.iter().map(|s| total(&c.model, &s.1, &s.2)).collect();
    for (what, bought, model) in variants(&c, q.farm.machines_of(MachineKind::Drier).next().is_some()) {
        let other = totals(&c, &model);
        let gain: Vec<f64> = other.iter().zip(&base).map(|(a, b)| a - b).collect();
        let own: Vec<(i16, f64)> =
            past.par_iter().zip(&own_base).map(|(s, base)| (s.0, total(&model, &s.1, &s.2) - base)).collect();
        if let Some(gain) = Spread::of(&gain) {
            changes.push(Paying { own_years: own, ..paying(&c, what, bought, gain) });
        }
    }
    let truck = super::haul(q, None)?;
    if let Some(f) = &truck.field {
        for b in f.changes.iter().filter(|b| b.what == "One more truck" || b.what.starts_with("An auger")) {
            let half = b.change.hours_sooner.half / b.change.hours_sooner.mean.abs().max(1e-9);
            let money = b.year_money;
            let spread = Spread {
                range: stook_measure::Range {
                    p10: money * (1.0 - half),
                    p50: money,
                    p90: money * (1.0 + half),
                },
                mean: money,
                standard_error: money.abs() * half / 1.96,
                count: f.summary.days,
            };
            changes.push(paying(
                &c,
                format!("{} (hauling from {} as the measure)", b.what, f.name),
                true,
                spread,
            ));
        }
    }
    changes.sort_by(|a, b| b.gain.mean.total_cmp(&a.gain.mean));
    let days = c.air.first().map_or(0, Vec::len);
    let best = changes.iter().find(|p| is_clear(&p.gain) && p.gain.mean > 0.0);
    let headline = best.map_or_else(
        || "No change of machine clearly pays.".to_string(),
        |b| format!("{}: {}.", b.what, b.words),
    );
    let part = if c.as_of.month() <= 4 || c.as_of.month() >= 11 {
        "The whole coming season is run".to_string()
    } else {
        "Only the rest of this season is run: ask in winter for a whole one. What is left of it is run".into()
    };
    let why = format!(
        "{part} with and without the change over the same {} weathers, machines shared by the wheat fields. Orders close in February; a price is set against a gain that is sure to come only on average.",
        c.members()
    );
    let why = match past.len() {
        0 => format!(
            "{why} No whole season of your own weather is on file to run again: load your station's file."
        ),
        n => format!(
            "{why} Beside it, your last {n} seasons run again with the present fields and machines, and with the change."
        ),
    };
    Ok(PaysAnswer { headline, why, changes, days })
}

fn is_clear(s: &Spread) -> bool {
    s.is_clear() && s.mean.abs() >= 1.0
}

/// Money of the season by weather.
fn totals(c: &Carried, model: &Model) -> Vec<f64> {
    c.starts.par_iter().zip(&c.air).map(|(start, air)| total(model, start, air)).collect()
}

/// Money of one season.
fn total(model: &Model, start: &[FieldState], air: &[Air]) -> f64 {
    let mut sum = Purse::default();
    for o in run::season(model, start, air, &Policy::default(), None, None) {
        sum += o.purse;
    }
    sum.total()
}

fn variants(c: &Carried, has_drier: bool) -> Vec<(String, bool, Model)> {
    let left = |job: Job| c.starts.first().is_some_and(|s| s.iter().any(|f| f.left_ha(job) > 0.0));
    let m = &c.model;
    let mut out = Vec::new();
    if left(Job::Seed) {
        out.push(("A drill a quarter wider".to_string(), true, m.with_machine(Job::Seed, MORE, 0.0)));
        out.push((
            "A second driver for the drill, two hours a day".into(),
            false,
            m.with_machine(Job::Seed, 1.0, HOURS),
        ));
    }
    if left(Job::Herbicide) {
        out.push((
            "A sprayer a quarter wider".into(),
            true,
            m.with_machine(Job::Herbicide, MORE, 0.0).with_machine(Job::Fungicide, MORE, 0.0),
        ));
    }
    if left(Job::Cut) {
        out.push(("A combine a quarter faster".into(), true, m.with_machine(Job::Cut, MORE, 0.0)));
        out.push((
            "A second driver for the combine, two hours a day".into(),
            false,
            m.with_machine(Job::Cut, 1.0, HOURS),
        ));
        let mut wet = m.clone();
        wet.season.cut_moisture_start = wet.season.cut_moisture_max;
        out.push((
            format!(
                "{}, cutting from {} % instead of {} %",
                if has_drier { "Using the drier" } else { "A drier" },
                figure(wet.season.cut_moisture_start, 0),
                figure(m.season.cut_moisture_start, 0)
            ),
            !has_drier,
            wet,
        ));
    }
    out
}

fn paying(c: &Carried, what: String, bought: bool, gain: Spread) -> Paying {
    let u = &c.model.units;
    let p = &c.model.harvest.costs;
    let factor = costs::capital_recovery_factor(p.interest_pct, p.life_years);
    let yearly = factor + p.housing_pct / 100.0;
    let pays_up_to = (gain.mean / if bought { yearly } else { 1.0 }).max(0.0);
    let span = format!("{} to {}", words::cash(u, gain.range.p10), words::cash(u, gain.range.p90));
    let words = if !is_clear(&gain) {
        format!("no clear gain ({span} a year)")
    } else if gain.mean > 0.0 && !bought {
        format!("gains about {} a year ({span}): pay no more than that for it", words::cash(u, gain.mean))
    } else if gain.mean > 0.0 {
        format!(
            "gains about {} a year ({span}): pays up to a price of {}",
            words::cash(u, gain.mean),
            words::cash(u, pays_up_to)
        )
    } else {
        format!("loses about {} a year ({span})", words::cash(u, -gain.mean))
    };
    let ends = Working::new(what.clone())
        .line(Op::Note, "One year in ten gains less than", gain.range.p10, "", 0)
        .line(Op::Note, "One year in ten gains more than", gain.range.p90, "", 0);
    let working = if bought {
        ends.line(Op::Start, "Gained a year, mean", gain.mean.max(0.0), "", 2)
            .line(Op::Over, "Share of the price that a year costs", yearly, "", 8)
            .sum("Price that pays", pays_up_to, "", 0)
            .note(format!(
                "A year costs {} of the price: {} years at {} % after inflation, nothing left at the end, and {} % for housing and insurance. Fuel and hands of a wider machine are taken as before; repairs of a newer one too.",
                figure(yearly, 4),
                figure(p.life_years, 0),
                figure(p.interest_pct, 1),
                figure(p.housing_pct, 1)
            ))
    } else {
        ends.sum("Gained a year, mean", gain.mean, "", 0).note(
            "Nothing is bought: the most to pay a year is what it gains, wages and fuel for it included.",
        )
    };
    let working = working
        .source("capital recovery; Lazarus, Univ. of Minnesota 2012: real interest 4 %, twelve years")
        .would_change("other crops on the same machines, which are not run; what the old machine brings in");
    Paying { what, bought, gain, own_years: Vec::new(), pays_up_to, words, working }
}
