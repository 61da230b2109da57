//! The many ways the weather may go on: one member per past year, then generated ones.
//!
//! Conditional climatology (extended streamflow prediction: Day 1985): each past year's days from the date asked for
//! to the end, order kept and the variables of a day kept together. The current season's own year is left out, and so
//! is any year whose days reach into the season asked about, so a look back is honest. A public forecast replaces the
//! first days of every member, each with its own error that grows with lead time and its own toss for rain, so the
//! range stays. Member `k` is the same whatever the number asked for.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use serde::{Deserialize, Serialize};

use crate::climate::Climate;
use crate::day::{Day, Forcing, Site};
use crate::forcing::SiteTable;
use crate::generator::Generator;
use crate::humidity;
use crate::params::WeatherParams;
use crate::random::{Normal, gamma, uniform};

/// Streams of the seed: forecast errors by past year and by generated member must not meet the generator's own.
const STREAM_FORECAST_YEAR: u64 = 1 << 40;
const STREAM_FORECAST_GENERATED: u64 = 1 << 41;
/// Shape of the amount on a day that turns wet with no amount forecast.
const SURPRISE_SHAPE: f64 = 0.7;

/// One day of a public forecast.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ForecastDay {
    /// Date.
    pub date: Date,
    /// The day as forecast; `precip_mm` is the amount if it rains.
    pub day: Day,
    /// Chance of rain, 0 to 1; without it the forecast's own wet or dry is taken.
    pub rain_chance: Option<f64>,
}

/// What to build.
#[derive(Debug, Clone, Copy)]
pub struct EnsembleSpec<'a> {
    /// Where.
    pub site: Site,
    /// First day of every member.
    pub as_of: Date,
    /// Last day of every member.
    pub until: Date,
    /// Complete observed days of any years.
    pub past: &'a [(Date, Day)],
    /// Forecast days; those outside the span are ignored.
    pub forecast: &'a [ForecastDay],
    /// For the generated members.
    pub climate: &'a Climate,
    /// How many members.
    pub members: usize,
    /// Seed of all chance.
    pub seed: u64,
}

/// One way the weather may go on.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// "1998" for a past year, "generated 12" for a made-up one.
    pub label: String,
    /// Days from the ensemble's start.
    pub days: Vec<Forcing>,
}

/// The members.
#[derive(Debug, Clone, PartialEq)]
pub struct Ensemble {
    /// First day.
    pub start: Date,
    /// Days in each member.
    pub days: usize,
    /// Past years, latest first, then generated.
    pub members: Vec<Member>,
}

/// Builds the ensemble. Empty when `until` is before `as_of`.
pub fn build(spec: &EnsembleSpec, table: &SiteTable, params: &WeatherParams) -> Ensemble {
    let dates = span(spec.as_of, spec.until);
    let mut out =
        Ensemble { start: spec.as_of, days: dates.len(), members: Vec::with_capacity(spec.members) };
    if dates.is_empty() {
        return out;
    }
    let mut finish = |label: String, mut days: Vec<Day>, stream: u64| {
        let mut rng = ChaCha12Rng::seed_from_u64(spec.seed);
        rng.set_stream(stream);
        blend(&mut days, &dates, spec, table, params, &mut rng);
        let days = days
            .iter()
            .zip(&dates)
            .map(|(day, date)| table.force(date.day_of_year().unsigned_abs(), day, params))
            .collect();
        out.members.push(Member { label, days });
    };
    let mut left = spec.members;
    for (year, days) in past_remainders(spec.past, &dates) {
        if left == 0 {
            break;
        }
        left -= 1;
        finish(year.to_string(), days, STREAM_FORECAST_YEAR + u64::from(year.unsigned_abs()));
    }
    if left > 0 {
        let generator = Generator::new(spec.climate, &spec.site);
        for k in 1..=left {
            let mut rng = ChaCha12Rng::seed_from_u64(spec.seed);
            rng.set_stream(k as u64);
            let days = generator.generate(spec.as_of, dates.len(), &mut rng);
            finish(format!("generated {k}"), days, STREAM_FORECAST_GENERATED + k as u64);
        }
    }
    out
}

fn span(from: Date, to: Date) -> Vec<Date> {
    let mut dates = Vec::new();
    let mut date = from;
    while date <= to {
        dates.push(date);
        match date.tomorrow() {
            Ok(next) => date = next,
            Err(_) => break,
        }
    }
    dates
}

/// The days of each past year that has all of them, latest year first. 29 February takes the year's 28 February where
/// the past year had none.
fn past_remainders(past: &[(Date, Day)], dates: &[Date]) -> Vec<(i16, Vec<Day>)> {
    let (first, last) = (dates[0], dates[dates.len() - 1]);
    let by_date: BTreeMap<Date, Day> = past.iter().copied().collect();
    let Some((&earliest, _)) = by_date.first_key_value() else { return Vec::new() };
    let mut out = Vec::new();
    // A year later than this one can only be asked for in a look back; its days are as good as any.
    let newest = by_date.last_key_value().map_or(earliest, |(d, _)| *d).year();
    for year in (earliest.year()..=newest).rev() {
        let shift = year - first.year();
        let moved = |date: Date| {
            Date::new(date.year() + shift, date.month(), date.day())
                .or_else(|_| Date::new(date.year() + shift, 2, 28))
                .ok()
        };
        let (Some(from), Some(to)) = (moved(first), moved(last)) else { continue };
        // The season's own year, and any remainder that runs into the season asked about.
        if shift == 0 || (from <= last && to >= first) {
            continue;
        }
        let days: Option<Vec<Day>> =
            dates.iter().map(|d| moved(*d).and_then(|m| by_date.get(&m).copied())).collect();
        if let Some(days) = days {
            out.push((year, days));
        }
    }
    out
}

/// Puts the forecast in the place of the member's days, with an error of its own.
fn blend(
    days: &mut [Day],
    dates: &[Date],
    spec: &EnsembleSpec,
    table: &SiteTable,
    params: &WeatherParams,
    rng: &mut ChaCha12Rng,
) {
    let mut normal = Normal::default();
    let mut warm = normal.next(rng);
    let fresh = (1.0 - params.forecast_carry * params.forecast_carry).sqrt();
    for (lead, (day, date)) in days.iter_mut().zip(dates).enumerate() {
        // The same number of draws whether or not the day is forecast would tie members to the forecast's length;
        // the forecast's days come first, so stopping early changes nothing before it.
        let Some(forecast) = spec.forecast.iter().find(|f| f.date == *date) else { continue };
        let ahead = lead as f64;
        let z: [f64; 4] = std::array::from_fn(|_| normal.next(rng));
        warm = params.forecast_carry * warm + fresh * z[0];
        let toss = uniform(rng);
        let temp_sd = (params.forecast_temp_sd_c + params.forecast_temp_growth_c * ahead)
            .min(params.forecast_temp_cap_c);
        let share_sd = params.forecast_share_sd + params.forecast_share_growth * ahead;
        let rain_sd = params.forecast_rain_sd + params.forecast_rain_growth * ahead;
        let f = &forecast.day;
        let said_wet = f.precip_mm >= params.wet_day_mm;
        let wet = forecast.rain_chance.map_or(said_wet, |chance| toss < chance);
        let precip_mm = match (wet, said_wet) {
            (false, _) => 0.0,
            (true, true) => f.precip_mm * (rain_sd * z[1] - 0.5 * rain_sd * rain_sd).exp(),
            (true, false) => {
                let month = &spec.climate.months[usize::from(date.month().unsigned_abs()) - 1];
                params.wet_day_mm
                    + (month.wet_mean_mm - params.wet_day_mm).max(0.1)
                        * gamma(SURPRISE_SHAPE, &mut normal, rng)
                        / SURPRISE_SHAPE
            }
        };
        let light = match (wet, said_wet) {
            (true, false) => params.forecast_wet_dims,
            (false, true) => 1.0 / params.forecast_wet_dims,
            _ => 1.0,
        };
        let sun = table.sun(date.day_of_year().unsigned_abs());
        let tmax_c = f.tmax_c + temp_sd * warm;
        let tmin_c = f.tmin_c + temp_sd * warm;
        // Dew point moves with the air mass, so relative humidity keeps about its forecast value.
        let dew_c = humidity::e0_inverse(f.ea_kpa) + temp_sd * warm;
        *day = Day {
            tmax_c,
            tmin_c,
            precip_mm,
            rs_mj_m2: (f.rs_mj_m2 * light * (1.0 + share_sd * z[2]))
                .clamp(0.05 * sun.ra_mj_m2, sun.rso_mj_m2.max(f.rs_mj_m2)),
            ea_kpa: humidity::e0(dew_c),
            wind_2m_ms: (f.wind_2m_ms * (1.0 + share_sd * z[3])).max(0.1 * f.wind_2m_ms),
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use stook_measure::Reference;

    fn site() -> Site {
        Site { lat_deg: 50.4, lon_deg: -104.6, elev_m: 577.0 }
    }

    /// A day that carries its date, so that its place can be read back.
    fn marked(date: Date) -> (Date, Day) {
        let day = Day {
            tmax_c: f64::from(date.day()),
            tmin_c: f64::from(date.day()) - 10.0,
            precip_mm: f64::from(date.year()) / 1000.0,
            rs_mj_m2: 10.0,
            ea_kpa: 0.5,
            wind_2m_ms: f64::from(date.month()),
        };
        (date, day)
    }

    fn past(from: Date, to: Date) -> Vec<(Date, Day)> {
        span(from, to).into_iter().map(marked).collect()
    }

    fn run(past: &[(Date, Day)], forecast: &[ForecastDay], from: Date, to: Date, members: usize) -> Ensemble {
        let climate = Climate::plains(&site());
        let spec = EnsembleSpec {
            site: site(),
            as_of: from,
            until: to,
            past,
            forecast,
            climate: &climate,
            members,
            seed: 42,
        };
        build(&spec, &SiteTable::new(&site()), &WeatherParams::from_reference(&Reference::shipped()))
    }

    #[test]
    fn past_years_come_first_in_their_own_order() {
        let past = past(date(1998, 1, 1), date(2024, 6, 9));
        let e = run(&past, &[], date(2024, 6, 10), date(2024, 9, 30), 40);
        assert_eq!(e.members.len(), 40);
        assert_eq!(e.members[0].label, "2023");
        assert_eq!(e.members[25].label, "1998");
        assert_eq!(e.members[26].label, "generated 1");
        assert!(e.members.iter().all(|m| m.days.len() == 113));
        let first = &e.members[25].days[0].day;
        assert_eq!((first.precip_mm, first.tmax_c, first.wind_2m_ms), (1.998, 10.0, 6.0));
    }

    #[test]
    fn a_look_back_never_sees_its_own_season() {
        let past = past(date(2010, 1, 1), date(2020, 12, 31));
        let e = run(&past, &[], date(2015, 10, 1), date(2016, 12, 31), 60);
        let years: Vec<_> =
            e.members.iter().filter(|m| !m.label.starts_with('g')).map(|m| m.label.as_str()).collect();
        assert_eq!(years, ["2019", "2018", "2017", "2013", "2012", "2011", "2010"].map(String::from));
    }

    #[test]
    fn leap_days_are_mended() {
        let past = past(date(2017, 1, 1), date(2023, 12, 31));
        let e = run(&past, &[], date(2024, 2, 27), date(2024, 3, 1), 3);
        let tmax: Vec<f64> = e.members[0].days.iter().map(|f| f.day.tmax_c).collect();
        assert_eq!(tmax, [27.0, 28.0, 28.0, 1.0]);
        let e = run(&past, &[], date(2025, 2, 27), date(2025, 3, 1), 6);
        assert_eq!(e.members[3].label, "2020");
        assert_eq!(e.members[3].days.iter().map(|f| f.day.tmax_c).collect::<Vec<_>>(), [27.0, 28.0, 1.0]);
    }

    #[test]
    fn a_member_does_not_depend_on_how_many() {
        let past = past(date(2015, 1, 1), date(2024, 6, 9));
        let forecast: Vec<ForecastDay> = span(date(2024, 6, 10), date(2024, 6, 16))
            .into_iter()
            .map(|d| ForecastDay { date: d, day: marked(d).1, rain_chance: Some(0.4) })
            .collect();
        let few = run(&past, &forecast, date(2024, 6, 10), date(2024, 8, 1), 15);
        let many = run(&past, &forecast, date(2024, 6, 10), date(2024, 8, 1), 40);
        assert_eq!(few.members[..], many.members[..15]);
        assert_ne!(many.members[20].days, many.members[21].days);
    }

    #[test]
    fn forecast_error_grows_and_rain_keeps_its_chance() {
        let forecast: Vec<ForecastDay> = span(date(2024, 6, 10), date(2024, 6, 19))
            .into_iter()
            .map(|d| {
                let day = Day {
                    tmax_c: 24.0,
                    tmin_c: 10.0,
                    precip_mm: 5.0,
                    rs_mj_m2: 20.0,
                    ea_kpa: 1.1,
                    wind_2m_ms: 3.0,
                };
                ForecastDay { date: d, day, rain_chance: Some(0.3) }
            })
            .collect();
        let e = run(&[], &forecast, date(2024, 6, 10), date(2024, 6, 30), 2000);
        let spread = |lead: usize| {
            let x: Vec<f64> = e.members.iter().map(|m| m.days[lead].day.tmax_c).collect();
            let mean = x.iter().sum::<f64>() / x.len() as f64;
            (mean, (x.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / x.len() as f64).sqrt())
        };
        let ((m0, s0), (m6, s6)) = (spread(0), spread(6));
        assert!((m0 - 24.0).abs() < 0.15 && (m6 - 24.0).abs() < 0.3, "{m0} {m6}");
        assert!((s0 - 1.5).abs() < 0.1 && (s6 - 3.9).abs() < 0.25, "{s0} {s6}");
        for lead in [0, 5, 9] {
            let wet = e.members.iter().filter(|m| m.days[lead].day.precip_mm > 0.0).count() as f64 / 2000.0;
            assert!((wet - 0.3).abs() < 0.035, "{lead}: {wet}");
            let rain: f64 = e.members.iter().map(|m| m.days[lead].day.precip_mm).sum::<f64>() / 2000.0;
            assert!((rain - 1.5).abs() < 0.3, "{lead}: {rain}");
        }
        assert!(
            e.members.iter().flat_map(|m| &m.days[..10]).all(|f| f.day.rs_mj_m2 > 0.0 && f.eto_mm >= 0.0)
        );
    }

    #[test]
    fn nothing_asked_nothing_given() {
        assert!(run(&[], &[], date(2024, 6, 10), date(2024, 6, 9), 10).members.is_empty());
        let one = run(&[], &[], date(2024, 6, 10), date(2024, 6, 10), 2);
        assert_eq!((one.days, one.members.len()), (1, 2));
    }
}
