//! How a season went, or would have gone, on weather that is known.

use jiff::civil::Date;
use stook_book::farm::Farm;
use stook_book::payload::FieldId;
use stook_measure::Reference;
use stook_soil::Operation;
use stook_weather::series;
use stook_weather::spray::SprayLimits;
use stook_weather::{Day, Site};

use crate::SeasonError;
use crate::answer::Job;
use crate::facts::WeatherFacts;
use crate::field::{Air, FieldState, soil};
use crate::model::Model;
use crate::past::{self, Event, Replay};
use crate::run::{self, FieldOutcome, Policy, Track};
use crate::sky::Ground;

/// How one field went.
#[derive(Debug, Clone)]
pub struct KnownField {
    /// Key.
    pub id: String,
    /// First day of the run.
    from: Date,
    /// What the run says.
    outcome: FieldOutcome,
    track: Track,
    /// Day it came up.
    pub emerged: Option<Date>,
    /// Day of the first harrow pass.
    pub harrowed: Option<Date>,
    /// Day flowering began.
    pub flowering: Option<Date>,
    /// Day the kernels had their full weight.
    pub ripe: Option<Date>,
    /// Yield, kg/ha.
    pub yield_kg_ha: f64,
}

impl KnownField {
    /// The day a job was finished.
    pub fn done(&self, job: Job) -> Option<Date> {
        self.outcome.done[job as usize].map(|d| after(self.from, d))
    }

    /// Kernel moisture on some days, where there is one.
    pub fn moistures(&self, days: &[Date]) -> Vec<(Date, f64)> {
        days.iter()
            .filter_map(|d| {
                let i = usize::try_from((*d - self.from).get_days()).ok()?;
                let pct = f64::from(*self.track.moisture.get(i)?);
                (!pct.is_nan()).then_some((*d, pct))
            })
            .collect()
    }
}

fn after(from: Date, days: u16) -> Date {
    from.saturating_add(jiff::Span::new().days(i64::from(days)))
}

/// Carries the farm's wheat from `from` to `to` over known weather by the standing plan. The fields are played
/// through the weather before `from` first, for their water.
///
/// # Errors
/// When the farm has no place.
pub fn known(
    farm: &Farm,
    site: Site,
    start: Date,
    days: &[Day],
    from: Date,
    to: Date,
) -> Result<Vec<KnownField>, SeasonError> {
    let model = Model::new(farm, &Reference::shipped(), to)?;
    let air = known_air(&model, site, start, days);
    let at = |d: Date| ((d - start).get_days().max(0) as usize).min(air.len());
    let look_back = at(from).saturating_sub(430);
    let first = start.saturating_add(jiff::Span::new().days(look_back as i64));
    let states: Vec<FieldState> = model
        .fields
        .iter()
        .map(|field| {
            let mut s = FieldState::bare(field, 0, model.season.start_share);
            past::replay(&model, field, &mut s, &air[look_back..at(from)], first, &[], None);
            s.new_year(field);
            s
        })
        .collect();
    let mut tracks = vec![Track::default(); states.len()];
    let end = (at(to) + 1).min(air.len());
    let outcomes =
        run::season(&model, &states, &air[at(from)..end], &Policy::default(), None, Some(&mut tracks));
    Ok(model
        .fields
        .iter()
        .zip(outcomes)
        .zip(tracks)
        .map(|((field, outcome), track)| KnownField {
            id: field.id.to_string(),
            from,
            emerged: outcome.emerged.map(|d| after(from, d)),
            harrowed: outcome.done[Job::Harrow as usize].map(|d| after(from, d)),
            flowering: outcome.flowering.map(|d| after(from, d)),
            ripe: outcome.ripe.map(|d| after(from, d)),
            yield_kg_ha: outcome.yield_kg_ha,
            outcome,
            track,
        })
        .collect())
}

/// Water over field capacity at the depth that seeding is judged on, on the evening of some days, without work.
///
/// # Errors
/// As [`known`].
pub fn surface(
    farm: &Farm,
    site: Site,
    start: Date,
    days: &[Day],
    id: &FieldId,
    when: &[Date],
) -> Result<Vec<(Date, f64)>, SeasonError> {
    // Any wheat year of the field will do: the soil is the same.
    let year = farm.fields.get(id).and_then(|r| r.plans.keys().last().copied());
    let day = Date::new(year.unwrap_or(start.year()), 6, 1).map_err(|e| SeasonError::Date(e.to_string()))?;
    let model = Model::new(farm, &Reference::shipped(), day)?;
    let Some(f) = model.field_index(id.as_str()) else { return Ok(Vec::new()) };
    let field = &model.fields[f];
    let air = known_air(&model, site, start, days);
    let mut state = FieldState::bare(field, 0, model.season.start_share);
    let depth = field.limits.of(Operation::Seed).depth_m;
    let mut found = Vec::new();
    let mut date = start;
    for a in &air {
        past::replay(&model, field, &mut state, std::slice::from_ref(a), date, &[], None::<&mut Replay>);
        if when.contains(&date) {
            found.push((date, state.water.surface_relative_to_fc(soil(field, 0), depth)));
        }
        date = date.tomorrow().expect("inside the calendar");
    }
    Ok(found)
}

/// What the model would have said each field made in some past years, kg/ha: its days played with what the book says was
/// done and seen, to the evening before the cut. Each case is a field, a year and the day of its cut; `None` where the
/// weather on file does not reach or no crop stood there.
pub fn reckoned(
    model: &Model,
    weather: &WeatherFacts,
    events: &[Vec<Event>],
    cases: &[(usize, i16, Date)],
) -> Vec<Option<f64>> {
    // From the fall two years back, so that the start has worn off.
    let fall = |year: i16| Date::new(year, 11, 1).ok();
    let first = cases.iter().filter_map(|c| fall(c.1 - 2)).min();
    let last = cases.iter().map(|c| c.2).max();
    let (Some(first), Some(last)) = (first, last) else { return Vec::new() };
    let seen: Vec<_> =
        weather.observed.iter().filter(|r| r.date >= first && r.date <= last).cloned().collect();
    if seen.is_empty() {
        return vec![None; cases.len()];
    }
    let filled = series::fill(&seen, &model.site, &model.weather);
    let air = known_air(model, model.site, filled.start, &filled.days);
    let place = |d: Date| (d - filled.start).get_days();
    cases
        .iter()
        .map(|&(f, year, cut)| {
            let field = &model.fields[f];
            let from = fall(year - 2)?.max(filled.start);
            if place(fall(year - 1)?) < 0 || place(cut) > air.len() as i32 || cut <= from {
                return None;
            }
            let mut s = FieldState::bare(field, 0, model.season.start_share);
            let days = &air[place(from) as usize..place(cut) as usize];
            let before: Vec<Event> = events[f].iter().filter(|e| e.date < cut).cloned().collect();
            past::replay(model, field, &mut s, days, from, &before, None);
            s.wheat.is_some().then(|| s.if_cut(model, field).1)
        })
        .collect()
}

/// A past season ready to run: its year, the fields on the evening before the first of November, and its days to the end
/// of October.
pub(crate) type PastSeason = (i16, Vec<FieldState>, Vec<Air>);

/// The last `most` seasons whose weather is on file from the fall before to the end of October, the present fields as if
/// they stood in them.
pub(crate) fn seasons(model: &Model, weather: &WeatherFacts, before: Date, most: usize) -> Vec<PastSeason> {
    if weather.observed.is_empty() {
        return Vec::new();
    }
    let filled = series::fill(&weather.observed, &model.site, &model.weather);
    let air = known_air(model, model.site, filled.start, &filled.days);
    let place = |d: Date| (d - filled.start).get_days();
    let mut out: Vec<PastSeason> = Vec::new();
    let mut year = before.year();
    while out.len() < most && i32::from(before.year() - year) < 40 {
        let year_now = year;
        year -= 1;
        let (Ok(fall), Ok(first), Ok(last)) =
            (Date::new(year_now - 2, 11, 1), Date::new(year_now - 1, 11, 1), Date::new(year_now, 10, 31))
        else {
            break;
        };
        if last >= before || place(last) >= air.len() as i32 {
            continue;
        }
        if place(first) < 0 {
            break;
        }
        // From the fall two years back where it is there, so that the guess of the start has worn off.
        let from = fall.max(filled.start);
        let states = model
            .fields
            .iter()
            .map(|field| {
                let mut s = FieldState::bare(field, 0, model.season.start_share);
                past::replay(
                    model,
                    field,
                    &mut s,
                    &air[place(from) as usize..place(first) as usize],
                    from,
                    &[],
                    None,
                );
                s.new_year(field);
                s
            })
            .collect();
        out.push((year_now, states, air[place(first) as usize..=place(last) as usize].to_vec()));
    }
    out.reverse();
    out
}

fn known_air(model: &Model, site: Site, start: Date, days: &[Day]) -> Vec<Air> {
    let limits = SprayLimits::from_reference(&model.reference);
    let table = stook_weather::forcing::SiteTable::new(&site);
    let mean = days.iter().map(|d| 0.5 * (d.tmax_c + d.tmin_c)).sum::<f64>() / days.len().max(1) as f64;
    let mut ground = Ground::new(&model.soil, mean);
    let mut date = start;
    days.iter()
        .map(|day| {
            let doy = date.day_of_year() as u16;
            date = date.tomorrow().expect("inside the calendar");
            let forcing = table.force(doy, day, &model.weather);
            ground.air(&forcing, doy, &table, &model.weather, &model.crop, &limits, mean)
        })
        .collect()
}
