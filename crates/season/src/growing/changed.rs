//! The outlook as it read in the last weeks, and what moved it since the last one.

use jiff::civil::Date;
use stook_book::payload::CropPlan;
use stook_measure::{Range, figure};

use crate::answer::{Fan, Job};
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::past;
use crate::run::{FieldOutcome, Policy};
use crate::words;

/// Weeks looked back.
const WEEKS: i64 = 4;
/// Weathers are enough for a look back.
const MEMBERS: usize = 100;

/// One morning's outlook by field.
pub(super) struct Week {
    as_of: Date,
    yields: Vec<Option<Range>>,
    ripe: Vec<Option<Date>>,
    water_mm: Vec<f64>,
    expected_rain_mm: f64,
    expected_mean_c: f64,
    standing: Vec<bool>,
}

pub(super) fn weeks(q: &Question<'_>, c: &Carried, seasons: &[Vec<FieldOutcome>]) -> Vec<Week> {
    let mut out = Vec::new();
    // Nothing grows: nothing to look back on.
    let any = (0..c.model.fields.len()).any(|f| middle_state(c, f).wheat.is_some());
    if any {
        for back in (1..=WEEKS).rev() {
            let as_of = q.as_of.saturating_sub(jiff::Span::new().days(7 * back));
            let then = Question { as_of, members: q.members.min(MEMBERS), ..*q };
            if let Ok(y) = carry(&then)
                && y.model.fields.len() == c.model.fields.len()
                && y.model.year == c.model.year
            {
                let s = y.seasons(&Policy::default(), None);
                out.push(week(&y, &s));
            }
        }
    }
    out.push(week(c, seasons));
    out
}

fn week(c: &Carried, seasons: &[Vec<FieldOutcome>]) -> Week {
    let n = c.model.fields.len();
    let mean = |what: &dyn Fn(&crate::field::Air) -> f64| {
        let all: Vec<f64> = c.air.iter().flat_map(|a| a.iter().take(7)).map(what).collect();
        all.iter().sum::<f64>() / all.len().max(1) as f64
    };
    Week {
        as_of: c.as_of,
        yields: (0..n)
            .map(|f| Range::of(&seasons.iter().map(|m| m[f].yield_kg_ha).collect::<Vec<_>>()))
            .collect(),
        ripe: (0..n)
            .map(|f| {
                let days: Vec<Option<u16>> = seasons.iter().map(|m| m[f].ripe).collect();
                crate::dates::date_range(c, &days).map(|r| r.middle)
            })
            .collect(),
        water_mm: (0..n)
            .map(|f| {
                let s = middle_state(c, f);
                s.water.available_mm(
                    crate::field::soil(&c.model.fields[f], s.variant),
                    crate::field::CROP_DEPTH_M,
                )
            })
            .collect(),
        expected_rain_mm: 7.0 * mean(&|a| a.forcing.day.precip_mm),
        expected_mean_c: mean(&|a| a.forcing.tmean_c),
        standing: (0..n)
            .map(|f| {
                let s = middle_state(c, f);
                s.wheat.is_some() && s.left_ha(Job::Cut) > 0.0
            })
            .collect(),
    }
}

/// The outlook by day: the weeks' mornings, the days between in a straight line.
pub(super) fn fan(weeks: &[Week], f: usize) -> Fan {
    let points: Vec<(Date, Range)> =
        weeks.iter().filter(|w| w.standing[f]).filter_map(|w| Some((w.as_of, w.yields[f]?))).collect();
    let Some((first, _)) = points.first() else { return Fan::default() };
    let (start, mut days) = (*first, Vec::new());
    for pair in points.windows(2) {
        let ((from, a), (to, b)) = (pair[0], pair[1]);
        let n = (to - from).get_days().max(1);
        for i in 0..n {
            let x = f64::from(i) / f64::from(n);
            let at = |a: f64, b: f64| a + x * (b - a);
            days.push(Some(Range { p10: at(a.p10, b.p10), p50: at(a.p50, b.p50), p90: at(a.p90, b.p90) }));
        }
    }
    days.push(points.last().map(|(_, r)| *r));
    Fan { unit: "kg/ha".into(), start: Some(start), days, past_days: 0 }
}

/// What changed since a week ago, and why.
pub(super) fn since_last_week(c: &Carried, weeks: &[Week], f: usize) -> Vec<String> {
    let [.., then, now] = weeks else { return Vec::new() };
    if !then.standing[f] {
        return Vec::new();
    }
    let units = &c.model.units;
    let mut said = Vec::new();
    if let (Some(a), Some(b)) = (then.yields[f], now.yields[f]) {
        let (was, is) = (words::wheat_yield(units, a.p50), words::wheat_yield(units, b.p50));
        let unit = units.grain_yield.words();
        let d = words::yield_decimals(units);
        let spread = |r: Range| words::wheat_yield(units, r.p90) - words::wheat_yield(units, r.p10);
        if (b.p50 - a.p50).abs() >= 0.02 * a.p50.max(1.0) {
            let way = if is > was { "up" } else { "down" };
            said.push(format!("Yield outlook {way} from {} to {} {unit}", figure(was, d), figure(is, d)));
        } else {
            said.push(format!("Yield outlook about the same, {} {unit}", figure(is, d)));
        }
        if spread(a) >= 2.0 && spread(b) < 0.85 * spread(a) {
            said.push(format!(
                "its range narrowed from {} to {} {unit}",
                figure(spread(a), d),
                figure(spread(b), d)
            ));
        }
    }
    if let (Some(a), Some(b)) = (then.ripe[f], now.ripe[f]) {
        let days = (b - a).get_days();
        if days != 0 {
            let way = if days > 0 { "later" } else { "sooner" };
            said.push(format!("ripe {} {} {way}, about {}", days.abs(), plural(days.abs()), words::day(b)));
        }
    }
    let water = now.water_mm[f] - then.water_mm[f];
    if water.abs() >= 5.0 {
        let way = if water > 0.0 { "rose" } else { "fell" };
        said.push(format!(
            "water in the soil {way} from {} to {}",
            words::water(units, then.water_mm[f]),
            words::water(units, now.water_mm[f])
        ));
    }
    if said.is_empty() {
        return said;
    }
    let mut lines = vec![format!("{}.", said.join("; "))];
    lines.extend(why(c, then, f));
    lines
}

fn plural(days: i32) -> &'static str {
    if days == 1 { "day" } else { "days" }
}

/// The week's weather against what was expected of it, and what was written down.
fn why(c: &Carried, then: &Week, f: usize) -> Vec<String> {
    let units = &c.model.units;
    let mut out = Vec::new();
    let days: Vec<_> = c.sky.past.iter().rev().take(7).collect();
    if c.sky.lead == 0 && days.len() == 7 {
        let rain: f64 = days.iter().map(|d| d.precip_mm).sum();
        let mean: f64 = days.iter().map(|d| 0.5 * (d.tmax_c + d.tmin_c)).sum::<f64>() / 7.0;
        let warm = mean - then.expected_mean_c;
        let heat = if warm.abs() < 0.7 {
            "about as warm as expected".to_string()
        } else {
            format!(
                "{} C {} than expected",
                figure(warm.abs(), 1),
                if warm > 0.0 { "warmer" } else { "cooler" }
            )
        };
        out.push(format!(
            "Why: the week brought {} of rain where {} was expected on average, and was {heat}.",
            words::rain(units, rain.round()),
            words::rain(units, then.expected_rain_mm.round())
        ));
    }
    let written: Vec<String> = past::happened(&c.events[f], c.model.year)
        .into_iter()
        .filter(|h| h.date >= then.as_of && CropPlan::year_on(h.date) == c.model.year)
        .map(|h| h.what)
        .collect();
    if !written.is_empty() {
        out.push(format!("Written down since: {}.", written.join(", ")));
    }
    out
}
