//! How often the ensemble's ranges hold what came: each year left out in turn, forecast from its own spring and
//! summer, and compared with the run on its real weather.
//!
//! The model is the same on both sides, so this tests the weathers and nothing else: whether the other years and the
//! made-up ones spread as the left-out year does.

use jiff::civil::Date;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use stook_book::farm::Farm;
use stook_crop::Phase;
use stook_measure::{Range, Reference};
use stook_weather::climate::{BetweenYears, Climate, between_years};
use stook_weather::ensemble::{self, EnsembleSpec};
use stook_weather::params::WeatherParams;
use stook_weather::spray::SprayLimits;
use stook_weather::{Day, series};

use crate::SeasonError;
use crate::facts::WeatherFacts;
use crate::field::{Air, FieldState};
use crate::model::{FieldModel, Model};
use crate::sky::Ground;

/// What to try.
#[derive(Debug, Clone)]
pub struct Asked<'a> {
    /// A farm with a wheat field planned in every year.
    pub farm: &'a Farm,
    /// Its weather.
    pub weather: &'a WeatherFacts,
    /// Years to leave out in turn.
    pub years: Vec<i16>,
    /// Day of seeding, month and day: before the first day asked from.
    pub seeded: (i8, i8),
    /// Days to forecast from, month and day.
    pub from: Vec<(i8, i8)>,
    /// Weathers.
    pub members: usize,
    /// Seed of chance.
    pub seed: u64,
}

/// One forecast against what came.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trial {
    /// Year left out.
    pub year: i16,
    /// Day forecast from.
    pub from: Date,
    /// `heading`, `ripe` (day of the year, with its part) or `yield` (kg/ha by the water line).
    pub what: String,
    /// The range.
    pub range: Range,
    /// What came.
    pub truth: f64,
    /// Where it fell: share of the weathers below it, 0 to 1.
    pub rank: f64,
    /// Whether it lies within the 10-90 range.
    pub inside: bool,
}

/// How a quantity came out over the trials.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Score {
    /// What.
    pub what: String,
    /// Forecast from, month and day; `all` for the three together.
    pub from: String,
    /// Trials.
    pub trials: usize,
    /// Share inside the 10-90 range, %.
    pub inside_pct: f64,
    /// Share below it, %.
    pub below_pct: f64,
    /// Share above it, %.
    pub above_pct: f64,
    /// Mean width of the range, days or kg/ha.
    pub mean_width: f64,
}

#[derive(Debug, Clone, Copy, Default)]
struct Came {
    heading: Option<f64>,
    ripe: Option<f64>,
    yield_kg_ha: f64,
}

/// Runs every trial.
///
/// # Errors
/// When the farm has no place, or a date is outside the calendar.
pub fn trials(a: &Asked<'_>) -> Result<Vec<Trial>, SeasonError> {
    let bad = |e: jiff::Error| SeasonError::Date(e.to_string());
    let reference = Reference::shipped();
    let mut out = Vec::new();
    for &year in &a.years {
        let model = Model::new(a.farm, &reference, Date::new(year, 6, 1).map_err(bad)?)?;
        let Some(field) = model.fields.first() else { continue };
        let filled = series::fill(&a.weather.observed, &model.site, &model.weather);
        let dated: Vec<(Date, Day)> = filled
            .days
            .iter()
            .enumerate()
            .map(|(i, d)| (filled.start.saturating_add(jiff::Span::new().days(i as i64)), *d))
            .collect();
        let (first, last) = (
            Date::new(year - 2, 11, 1).map_err(bad)?.max(filled.start),
            Date::new(year, 10, 31).map_err(bad)?,
        );
        let sown = Date::new(year, a.seeded.0, a.seeded.1).map_err(bad)?;
        let mean_c =
            dated.iter().map(|(_, d)| 0.5 * (d.tmax_c + d.tmin_c)).sum::<f64>() / dated.len().max(1) as f64;
        let truth_days: Vec<(Date, Day)> =
            dated.iter().filter(|(d, _)| *d >= first && *d <= last).copied().collect();
        let limits = SprayLimits::from_reference(&model.reference);
        let step = |ground: &mut Ground, date: Date, day: &Day| -> Air {
            let doy = date.day_of_year() as u16;
            let f = model.table.force(doy, day, &model.weather);
            ground.air(&f, doy, &model.table, &model.weather, &model.crop, &limits, mean_c)
        };
        for &(month, day) in &a.from {
            let as_of = Date::new(year, month, day).map_err(bad)?;
            let mut ground = Ground::new(&model.soil, mean_c);
            let mut state = FieldState::bare(field, 0, model.season.start_share);
            let mut came = Came::default();
            let mut truth = None;
            let mut start = None;
            for (date, d) in &truth_days {
                if *date == as_of {
                    start = Some((ground, state));
                }
                if date.month() == 11 && date.day() == 1 {
                    state.new_year(field);
                }
                let air = step(&mut ground, *date, d);
                advance(&model, field, &mut state, &air, *date == sown, &mut came);
            }
            // A year whose record stops before the crop is ripe cannot judge that.
            let whole = truth_days.last().is_some_and(|(d, _)| d.month() > 7 || d.year() > year);
            if whole {
                came.yield_kg_ha = line(field, &state);
                truth = Some(came);
            }
            let (Some(truth), Some((ground, state))) = (truth, start) else { continue };
            let kept: Vec<(Date, Day)> =
                dated.iter().filter(|(d, _)| *d < as_of || d.year() > year).copied().collect();
            let Ok(climate) = Climate::fit(&kept, &model.site) else { continue };
            let spec = EnsembleSpec {
                site: model.site,
                as_of,
                until: last,
                past: &kept,
                forecast: &[],
                climate: &climate,
                members: a.members,
                seed: a.seed ^ (year as u64),
            };
            let members = ensemble::build(&spec, &model.table, &model.weather).members;
            let outcomes: Vec<Came> = members
                .par_iter()
                .map(|m| {
                    let (mut ground, mut state) = (ground, state);
                    let mut came = Came::default();
                    let mut date = as_of;
                    for f in &m.days {
                        let doy = date.day_of_year() as u16;
                        let air =
                            ground.air(f, doy, &model.table, &model.weather, &model.crop, &limits, mean_c);
                        advance(&model, field, &mut state, &air, date == sown, &mut came);
                        date = date.tomorrow().expect("inside the calendar");
                    }
                    came.yield_kg_ha = line(field, &state);
                    came
                })
                .collect();
            let doy0 = f64::from(as_of.day_of_year());
            let mut add = |what: &str, truth: Option<f64>, of: &dyn Fn(&Came) -> Option<f64>| {
                let Some(truth) = truth else { return };
                let values: Vec<f64> = outcomes.iter().filter_map(of).collect();
                if values.len() * 2 < outcomes.len() {
                    return;
                }
                let Some(range) = Range::of(&values) else { return };
                let rank = values.iter().filter(|v| **v < truth).count() as f64 / values.len() as f64;
                out.push(Trial {
                    year,
                    from: as_of,
                    what: what.into(),
                    range,
                    truth,
                    rank,
                    inside: truth >= range.p10 && truth <= range.p90,
                });
            };
            // What has come already is no forecast.
            add("heading", truth.heading.filter(|h| *h >= doy0), &|c| c.heading);
            add("ripe", truth.ripe.filter(|h| *h >= doy0), &|c| c.ripe);
            add("yield", Some(truth.yield_kg_ha), &|c| Some(c.yield_kg_ha));
        }
    }
    Ok(out)
}

/// How much spring and summer differ between the years on file and between years made up after them.
///
/// # Errors
/// When the farm has no place.
pub fn years_apart(a: &Asked<'_>) -> Result<Vec<BetweenYears>, SeasonError> {
    let site = a.farm.site().ok_or(SeasonError::NoPlace)?;
    let params = WeatherParams::from_reference(&Reference::shipped());
    let filled = series::fill(&a.weather.observed, &site, &params);
    let dated: Vec<(Date, Day)> = filled
        .days
        .iter()
        .enumerate()
        .map(|(i, d)| (filled.start.saturating_add(jiff::Span::new().days(i as i64)), *d))
        .collect();
    let Ok(climate) = Climate::fit(&dated, &site) else { return Ok(Vec::new()) };
    Ok([(5, 7), (6, 8)].iter().flat_map(|(m, n)| between_years(&dated, &climate, &site, *m, *n)).collect())
}

fn line(field: &FieldModel, s: &FieldState) -> f64 {
    field.params.yield_.line.at(s.crop_water_mm())
}

/// One day on, with the part of the day at which a stage was reached.
fn advance(model: &Model, field: &FieldModel, s: &mut FieldState, air: &Air, sow: bool, came: &mut Came) {
    let before = s.development();
    s.step(model, field, air);
    if sow {
        s.seed_all(field, f64::from(air.doy));
    }
    let after = s.development();
    let stage = &field.params.stage;
    let crossed = |limit: f64| {
        let share = if after > before { (limit - before) / (after - before) } else { 0.0 };
        f64::from(air.doy) + share.clamp(0.0, 1.0)
    };
    if s.phase >= Phase::Heading {
        came.heading.get_or_insert_with(|| crossed(stage.heading_cd));
    }
    if s.phase >= Phase::HardDough {
        came.ripe.get_or_insert_with(|| crossed(stage.hard_dough_cd));
    }
}

/// The trials by quantity and day.
pub fn scores(trials: &[Trial]) -> Vec<Score> {
    let mut out = Vec::new();
    let mut days: Vec<(i8, i8)> = trials.iter().map(|t| (t.from.month(), t.from.day())).collect();
    days.sort_unstable();
    days.dedup();
    for what in ["heading", "ripe", "yield"] {
        let of = |day: Option<(i8, i8)>| -> Option<Score> {
            let some: Vec<&Trial> = trials
                .iter()
                .filter(|t| t.what == what && day.is_none_or(|d| d == (t.from.month(), t.from.day())))
                .collect();
            let n = some.len() as f64;
            if some.is_empty() {
                return None;
            }
            let pct =
                |test: &dyn Fn(&&&Trial) -> bool| 100.0 * some.iter().filter(|t| test(t)).count() as f64 / n;
            Some(Score {
                what: what.into(),
                from: day.map_or_else(|| "all".into(), |(m, d)| format!("{m:02}-{d:02}")),
                trials: some.len(),
                inside_pct: pct(&|t| t.inside),
                below_pct: pct(&|t| t.truth < t.range.p10),
                above_pct: pct(&|t| t.truth > t.range.p90),
                mean_width: some.iter().map(|t| t.range.p90 - t.range.p10).sum::<f64>() / n,
            })
        };
        out.extend(days.iter().filter_map(|d| of(Some(*d))));
        out.extend(of(None));
    }
    out
}
