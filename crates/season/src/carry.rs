//! The farm over all its weathers: where every field stands on the day asked for, and every season from there.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rayon::prelude::*;
use stook_book::farm::Farm;
use stook_crop::disease::leaf::Wetness;
use stook_measure::Reference;
use stook_soil::refit;
use stook_weather::spray::SprayLimits;

use crate::SeasonError;
use crate::facts::Question;
use crate::field::{Air, FieldState};
use crate::model::Model;
use crate::past::{self, Event, Replay};
use crate::run::{self, Directive, FieldOutcome, Policy, Track};
use crate::sky::{self, Ground, Sky};
use crate::words;

/// Everything reckoned once for a day: the model, the weathers, and each field's state in each weather.
#[derive(Debug)]
pub struct Carried {
    /// The farm as numbers.
    pub model: Model,
    /// The day asked for.
    pub as_of: Date,
    /// The weathers.
    pub sky: Sky,
    /// Events by field.
    pub events: Vec<Vec<Event>>,
    /// What was observed, by field: one track on the field's first soil.
    pub past: Vec<Replay>,
    /// States on the evening before `as_of`, by member and field.
    pub starts: Vec<Vec<FieldState>>,
    /// Days from `as_of` on, by member.
    pub air: Vec<Vec<Air>>,
    /// How wet the canopy was on the days the station has hours of.
    pub wet: BTreeMap<Date, Wetness>,
    /// Tracks of days between the record's end and `as_of`, by member and field; empty when there are none.
    pub lead_tracks: Vec<Vec<Track>>,
}

/// A reading that the weather does not explain: it is taken, but a person should look again.
fn far_reading(field: &str, day: Date, read: f64, reckoned: f64) -> String {
    format!(
        "{field}: kernels were found at {read:.1} % on {}, where the weather had made {reckoned:.1} %. The reading is taken; if the sample or the meter could be off, read again.",
        words::day(day)
    )
}

/// Reads the book and carries every wheat field to the evening before `as_of`.
///
/// # Errors
/// When the farm has no place yet.
pub fn carry(q: &Question<'_>) -> Result<Carried, SeasonError> {
    let mut model = Model::new(q.farm, &Reference::shipped(), q.as_of)?;
    let until = Date::new(model.year, 1, 1)
        .and_then(|d| d.checked_add(jiff::Span::new().days(i64::from(model.season.cut_last_doy) - 1)))
        .map_err(|e| SeasonError::Date(e.to_string()))?;
    // After the season nothing is left to carry; a few days still show where the fields stand.
    let until = until.max(q.as_of.saturating_add(jiff::Span::new().days(10)));
    let sky =
        sky::make(q.weather, model.site, &model.table, &model.weather, q.as_of, until, q.members, q.seed)?;
    model.warnings.extend(sky.warnings.iter().cloned());
    if model.variants == 1 && sky.past.len() < 90 {
        model.variants = 3;
        model.assumed.push(
            "No weather of last fall is on file: the water in the soil is guessed, from drier to wetter."
                .into(),
        );
    }

    crate::growing::learn(&mut model, q);

    let mut events = Vec::new();
    for f in &model.fields {
        let record = &q.farm.fields[&f.id];
        let (list, odd) = past::events(record, q.as_of);
        model.warnings.extend(odd);
        events.push(list);
    }

    let limits = SprayLimits::from_reference(&model.reference);
    let wet = crate::facts::measured_wetness(q.weather, q.as_of, &model.crop.disease);
    let (ground, station) = observed_air(&model, &sky, &limits, &wet);
    let mut past_tracks = Vec::new();
    let mut evening: Vec<Vec<FieldState>> = vec![Vec::new(); model.fields.len()];
    for f in 0..model.fields.len() {
        let air = field_air(&model, &sky, q.farm, f, &station, &limits, &wet);
        let play = |model: &Model, variant: u8, share: f64, found: Option<&mut Replay>| {
            let field = &model.fields[f];
            let mut state = FieldState::bare(field, variant, share);
            past::replay(model, field, &mut state, &air, sky.past_start, &events[f], found);
            state
        };
        // First pass: where the owner went and did not, to learn the limit; the limit does not move the water.
        let mut first = Replay::default();
        play(&model, 0, model.season.start_share, Some(&mut first));
        // Only the reading the crop stands on now: an earlier one has been overtaken, a cut field is past it.
        let read_last =
            events[f].iter().rev().find(|e| matches!(e.what, past::What::Moisture(..))).map(|e| e.date);
        let record = &q.farm.fields[&model.fields[f].id];
        if let Some((day, read, reckoned)) = first.far.last()
            && day.year() == model.year
            && read_last == Some(*day)
            && record.cut_on(model.year).is_none()
        {
            model.warnings.push(far_reading(&model.fields[f].name, *day, *read, *reckoned));
        }
        if !first.gate.is_empty() {
            let l = model.fields[f].limits.of(stook_soil::Operation::Seed);
            let learned =
                refit(&first.gate, l.limit, l.width, model.soil.learn_prior_weight, model.soil.learn_bounds);
            model.learn(f, learned);
        }
        for v in 0..model.variants {
            evening[f].push(play(&model, v as u8, start_share(&model, v), None));
        }
        past_tracks.push(first);
    }

    let lead = sky.lead;
    let carried: Vec<(Vec<FieldState>, Vec<Air>, Vec<Track>)> = sky
        .members
        .par_iter()
        .enumerate()
        .map(|(m, days)| {
            let mut g = ground;
            let mut doy_date = sky.start;
            let air: Vec<Air> = days
                .iter()
                .map(|forcing| {
                    let doy = doy_date.day_of_year() as u16;
                    doy_date = doy_date.tomorrow().expect("inside the calendar");
                    g.air(forcing, doy, &model.table, &model.weather, &model.crop, &limits, sky.annual_mean_c)
                })
                .collect();
            let mut states: Vec<FieldState> =
                evening.iter().map(|variants| variants[m % variants.len()]).collect();
            let mut tracks = Vec::new();
            for (f, state) in states.iter_mut().enumerate() {
                let mut found = Replay::default();
                past::replay(
                    &model,
                    &model.fields[f],
                    state,
                    &air[..lead],
                    sky.start,
                    &events[f],
                    Some(&mut found),
                );
                // Work already done on the day itself.
                for e in events[f].iter().filter(|e| e.date == q.as_of) {
                    past::take(&model, &model.fields[f], state, q.as_of.day_of_year() as u16, e);
                }
                tracks.push(found.track);
            }
            (states, air[lead..].to_vec(), tracks)
        })
        .collect();
    let mut starts = Vec::with_capacity(carried.len());
    let mut air = Vec::with_capacity(carried.len());
    let mut lead_tracks = Vec::with_capacity(carried.len());
    for (s, a, t) in carried {
        starts.push(s);
        air.push(a);
        lead_tracks.push(t);
    }
    Ok(Carried { model, as_of: q.as_of, sky, events, past: past_tracks, starts, air, wet, lead_tracks })
}

/// Starting water of a variant: the middle first, then drier, then wetter.
fn start_share(model: &Model, variant: usize) -> f64 {
    let s = &model.season;
    match variant % 3 {
        0 => s.start_share,
        1 => s.start_share - s.start_spread,
        _ => s.start_share + s.start_spread,
    }
    .clamp(0.0, 1.0)
}

/// The station's days with snow and soil temperature, and the ground as they leave it.
fn observed_air(
    model: &Model,
    sky: &Sky,
    limits: &SprayLimits,
    wet: &BTreeMap<Date, Wetness>,
) -> (Ground, Vec<Air>) {
    let first = sky.past.first().map_or(sky.annual_mean_c, |d| 0.5 * (d.tmax_c + d.tmin_c));
    let mut ground = Ground::new(&model.soil, first);
    let mut date = sky.past_start;
    let air = sky
        .past
        .iter()
        .map(|day| {
            let doy = date.day_of_year() as u16;
            let wet = wet.get(&date);
            date = date.tomorrow().expect("inside the calendar");
            let forcing = model.table.force(doy, day, &model.weather);
            let (table, mean_c) = (&model.table, sky.annual_mean_c);
            ground.air_seen(&forcing, doy, table, &model.weather, &model.crop, limits, mean_c, wet)
        })
        .collect();
    (ground, air)
}

/// The same with the gauges' rain in place of the station's, on days above freezing.
fn field_air(
    model: &Model,
    sky: &Sky,
    farm: &Farm,
    field: usize,
    station: &[Air],
    limits: &SprayLimits,
    wet: &BTreeMap<Date, Wetness>,
) -> Vec<Air> {
    let record = &farm.fields[&model.fields[field].id];
    let gauge = past::gauge(farm, record);
    let in_span = gauge.range(sky.past_start..sky.start).next().is_some();
    if !in_span {
        return station.to_vec();
    }
    let first = sky.past.first().map_or(sky.annual_mean_c, |d| 0.5 * (d.tmax_c + d.tmin_c));
    let mut ground = Ground::new(&model.soil, first);
    let mut date = sky.past_start;
    sky.past
        .iter()
        .map(|day| {
            let doy = date.day_of_year() as u16;
            let mut day = *day;
            if let Some(mm) = gauge.get(&date).filter(|_| day.tmin_c > 0.0) {
                day.precip_mm = *mm;
            }
            let wet = wet.get(&date);
            date = date.tomorrow().expect("inside the calendar");
            let forcing = model.table.force(doy, &day, &model.weather);
            let (table, mean_c) = (&model.table, sky.annual_mean_c);
            ground.air_seen(&forcing, doy, table, &model.weather, &model.crop, limits, mean_c, wet)
        })
        .collect()
}

impl Carried {
    /// Every season from `as_of`, by member and field. The same whatever the number of threads.
    pub fn seasons(&self, policy: &Policy, directive: Option<Directive>) -> Vec<Vec<FieldOutcome>> {
        self.starts
            .par_iter()
            .zip(&self.air)
            .map(|(start, air)| run::season(&self.model, start, air, policy, directive, None))
            .collect()
    }

    /// The same with daily tracks.
    pub fn seasons_tracked(&self, policy: &Policy) -> (Vec<Vec<FieldOutcome>>, Vec<Vec<Track>>) {
        self.starts
            .par_iter()
            .zip(&self.air)
            .map(|(start, air)| {
                let mut tracks = vec![Track::default(); start.len()];
                let out = run::season(&self.model, start, air, policy, None, Some(&mut tracks));
                (out, tracks)
            })
            .unzip()
    }

    /// The date `days` after `as_of`.
    pub fn date(&self, days: i64) -> Date {
        self.as_of.saturating_add(jiff::Span::new().days(days))
    }

    /// Days of the last `back` with the canopy's wetness by the station's own hours.
    pub fn measured_days(&self, back: i64) -> usize {
        self.wet.range(self.date(-back)..self.as_of).count()
    }

    /// How many weathers.
    pub fn members(&self) -> usize {
        self.starts.len()
    }
}
