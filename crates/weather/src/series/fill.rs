//! Filling a station's days after stated rules, each marked.
//!
//! Rules of FAO-56 ch. 3 (p. 58 to 64) for radiation, humidity and wind. Temperature cannot be estimated from the
//! rest: short gaps are bridged, longer ones are reported and rest on the same days of other years.

use jiff::civil::Date;

use super::{Filled, Gap, Marks, Record, Rule};
use crate::climate::{Climate, leap_day};
use crate::day::{Day, Site};
use crate::params::WeatherParams;
use crate::{humidity, quality, solar};

/// Fewer days than this behind a mean and the general climate stands in.
const LEAST_FOR_MEAN: usize = 3;

/// A series without holes from the first to the last date of `records`, in any order. Of two records of one date the
/// first value of each kind is kept. Values no weather can have count as missing. Empty when there are no records.
pub fn fill(records: &[Record], site: &Site, params: &WeatherParams) -> Filled {
    let mut sorted: Vec<&Record> = records.iter().collect();
    sorted.sort_by_key(|r| r.date);
    let (Some(first), Some(last)) = (sorted.first(), sorted.last()) else {
        return Filled { start: Date::default(), days: Vec::new(), marks: Vec::new(), gaps: Vec::new() };
    };
    let start = first.date;
    let count = (last.date - start).get_days() as usize + 1;
    let mut slots: Vec<Record> = Vec::with_capacity(count);
    let mut date = start;
    for _ in 0..count {
        slots.push(Record::on(date));
        date = date.tomorrow().unwrap_or(date);
    }
    for r in sorted {
        let at = (r.date - start).get_days() as usize;
        slots[at] = merged(&slots[at], &quality::usable(r, site));
    }

    let usual = Usual::of(&slots, site, params);
    let mut gaps = Vec::new();
    let short = params.short_gap_days as usize;
    let tmax = bridge(&slots, |r| r.tmax_c, &usual.tmax, "highest temperature", short, &mut gaps);
    let tmin = bridge(&slots, |r| r.tmin_c, &usual.tmin, "lowest temperature", short, &mut gaps);
    let precip = rain(&slots, &usual.precip, short, &mut gaps);
    gaps.sort_by_key(|g| g.from);

    let mut days = Vec::with_capacity(count);
    let mut marks = Vec::with_capacity(count);
    for (i, r) in slots.iter().enumerate() {
        let (mut high, high_rule) = tmax[i];
        let (mut low, low_rule) = tmin[i];
        if low > high {
            // Only a bridged or borrowed end can cross a measured one; the measured one stands.
            if low_rule == Rule::Measured { high = low } else { low = high }
        }
        let measured_range = high_rule == Rule::Measured && low_rule == Rule::Measured;
        let (rs, rs_rule) = radiation(r, high, low, measured_range, site, params, &usual);
        let (ea, ea_rule) = vapour(r, high, low, measured_range, params, &usual);
        let (wind, wind_rule) = match r.wind_2m_ms {
            Some(w) => (w, Rule::Measured),
            None => match usual.wind[leap_day(r.date)] {
                Some(w) => (w, Rule::OtherYears),
                None => (params.wind_unknown_ms, Rule::UsualWind),
            },
        };
        days.push(Day {
            tmax_c: high,
            tmin_c: low,
            precip_mm: precip[i].0,
            rs_mj_m2: rs,
            ea_kpa: ea,
            wind_2m_ms: wind,
        });
        marks.push(Marks {
            tmax: high_rule,
            tmin: low_rule,
            precip: precip[i].1,
            radiation: rs_rule,
            humidity: ea_rule,
            wind: wind_rule,
        });
    }
    Filled { start, days, marks, gaps }
}

/// `a` with its holes filled from `b`.
fn merged(a: &Record, b: &Record) -> Record {
    Record {
        date: a.date,
        tmax_c: a.tmax_c.or(b.tmax_c),
        tmin_c: a.tmin_c.or(b.tmin_c),
        precip_mm: a.precip_mm.or(b.precip_mm),
        rs_mj_m2: a.rs_mj_m2.or(b.rs_mj_m2),
        sunshine_h: a.sunshine_h.or(b.sunshine_h),
        ea_kpa: a.ea_kpa.or(b.ea_kpa),
        tdew_c: a.tdew_c.or(b.tdew_c),
        rh_mean_pct: a.rh_mean_pct.or(b.rh_mean_pct),
        rh_max_pct: a.rh_max_pct.or(b.rh_max_pct),
        rh_min_pct: a.rh_min_pct.or(b.rh_min_pct),
        wind_2m_ms: a.wind_2m_ms.or(b.wind_2m_ms),
        snow_depth_cm: a.snow_depth_cm.or(b.snow_depth_cm),
    }
}

/// What is usual on each day of a leap year: from the record where it can tell, else from the general climate.
struct Usual {
    tmax: Vec<(f64, Rule)>,
    tmin: Vec<(f64, Rule)>,
    precip: Vec<(f64, Rule)>,
    /// Share of clear-sky radiation.
    clearness: Vec<(f64, Rule)>,
    wind: Vec<Option<f64>>,
}

impl Usual {
    fn of(slots: &[Record], site: &Site, params: &WeatherParams) -> Self {
        let window = params.climate_window_days as usize;
        let means = |of: &dyn Fn(&Record) -> Option<f64>| window_means(slots, of, window);
        let general = Climate::plains(site);
        let or_general = |own: Vec<Option<f64>>, general: Vec<f64>| -> Vec<(f64, Rule)> {
            own.into_iter()
                .zip(general)
                .map(|(own, general)| own.map_or((general, Rule::GeneralClimate), |x| (x, Rule::OtherYears)))
                .collect()
        };
        let rso = |date: Date| clear_sky(date, site);
        let general_clear: Vec<f64> = general
            .by_day(|m| m.overall(&m.rs_mj_m2))
            .iter()
            .enumerate()
            .map(|(d, rs)| {
                let ra = solar::extraterrestrial_daily(site.lat_deg, d as u16 + 1);
                (rs / solar::clear_sky(ra, site.elev_m).max(1e-6)).clamp(0.1, 1.0)
            })
            .collect();
        Self {
            tmax: or_general(means(&|r| r.tmax_c), general.by_day(|m| m.overall(&m.tmax_c))),
            tmin: or_general(means(&|r| r.tmin_c), general.by_day(|m| m.overall(&m.tmin_c))),
            precip: or_general(means(&|r| r.precip_mm), general.by_day(|m| m.wet_fraction() * m.wet_mean_mm)),
            clearness: or_general(
                means(&|r| r.rs_mj_m2.map(|rs| (rs / rso(r.date).max(1e-6)).min(1.0))),
                general_clear,
            ),
            wind: means(&|r| r.wind_2m_ms),
        }
    }
}

/// Means over all years of the days within `window` of each day of a leap year.
fn window_means(slots: &[Record], of: &dyn Fn(&Record) -> Option<f64>, window: usize) -> Vec<Option<f64>> {
    let mut sums = vec![(0usize, 0.0); 366];
    for r in slots {
        if let Some(x) = of(r) {
            let s = &mut sums[leap_day(r.date)];
            s.0 += 1;
            s.1 += x;
        }
    }
    (0..366)
        .map(|d| {
            let (n, sum) = (0..=2 * window)
                .map(|k| sums[(d + 366 + k - window) % 366])
                .fold((0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
            (n >= LEAST_FOR_MEAN).then(|| sum / n as f64)
        })
        .collect()
}

fn clear_sky(date: Date, site: &Site) -> f64 {
    let ra = solar::extraterrestrial_daily(site.lat_deg, date.day_of_year().unsigned_abs());
    solar::clear_sky(ra, site.elev_m)
}

/// Runs of days where `of` is missing: index ranges.
fn holes(slots: &[Record], of: fn(&Record) -> Option<f64>) -> Vec<std::ops::Range<usize>> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < slots.len() {
        if of(&slots[i]).is_some() {
            i += 1;
            continue;
        }
        let from = i;
        while i < slots.len() && of(&slots[i]).is_none() {
            i += 1;
        }
        out.push(from..i);
    }
    out
}

/// A temperature without holes: short inner gaps in a straight line, the rest from `usual` and reported.
fn bridge(
    slots: &[Record],
    of: fn(&Record) -> Option<f64>,
    usual: &[(f64, Rule)],
    what: &'static str,
    short: usize,
    gaps: &mut Vec<Gap>,
) -> Vec<(f64, Rule)> {
    let mut out: Vec<(f64, Rule)> =
        slots.iter().map(|r| of(r).map_or(usual[leap_day(r.date)], |x| (x, Rule::Measured))).collect();
    for hole in holes(slots, of) {
        let inner = hole.start > 0 && hole.end < slots.len();
        if inner && hole.len() <= short {
            let (a, b) = (out[hole.start - 1].0, out[hole.end].0);
            let steps = hole.len() as f64 + 1.0;
            for (k, i) in hole.enumerate() {
                out[i] = (a + (b - a) * (k as f64 + 1.0) / steps, Rule::Bridged);
            }
        } else {
            gaps.push(gap(slots, &hole, what));
        }
    }
    out
}

/// Precipitation without holes: none in short gaps, the usual of the day in longer ones, which are reported.
fn rain(slots: &[Record], usual: &[(f64, Rule)], short: usize, gaps: &mut Vec<Gap>) -> Vec<(f64, Rule)> {
    let mut out: Vec<(f64, Rule)> =
        slots.iter().map(|r| (r.precip_mm.unwrap_or(0.0), Rule::Measured)).collect();
    for hole in holes(slots, |r| r.precip_mm) {
        let long = hole.len() > short;
        if long {
            gaps.push(gap(slots, &hole, "precipitation"));
        }
        for i in hole {
            out[i] = if long { usual[leap_day(slots[i].date)] } else { (0.0, Rule::AssumedDry) };
        }
    }
    out
}

fn gap(slots: &[Record], hole: &std::ops::Range<usize>, what: &'static str) -> Gap {
    Gap { from: slots[hole.start].date, to: slots[hole.end - 1].date, days: hole.len(), what }
}

fn radiation(
    r: &Record,
    high: f64,
    low: f64,
    measured_range: bool,
    site: &Site,
    params: &WeatherParams,
    usual: &Usual,
) -> (f64, Rule) {
    if let Some(rs) = r.rs_mj_m2 {
        return (rs, Rule::Measured);
    }
    let day = r.date.day_of_year().unsigned_abs();
    let ra = solar::extraterrestrial_daily(site.lat_deg, day);
    let rso = solar::clear_sky(ra, site.elev_m);
    if let Some(n) = r.sunshine_h {
        let daylight = solar::daylight_h(site.lat_deg, day);
        let rs = solar::from_sunshine(ra, n, daylight, params.angstrom_a, params.angstrom_b);
        return (rs.min(rso), Rule::FromSunshine);
    }
    if measured_range {
        return (solar::from_temperature(ra, high, low, params.krs).min(rso), Rule::FromTempRange);
    }
    let (share, rule) = usual.clearness[leap_day(r.date)];
    (share * rso, rule)
}

fn vapour(
    r: &Record,
    high: f64,
    low: f64,
    measured_range: bool,
    params: &WeatherParams,
    usual: &Usual,
) -> (f64, Rule) {
    // Air cannot hold more than saturation at the day's highest temperature.
    let held = |ea: f64| ea.min(humidity::e0(high)).max(1e-4);
    if let Some(ea) = r.ea_kpa {
        return (held(ea), Rule::Measured);
    }
    if let Some(td) = r.tdew_c {
        return (held(humidity::e0(td)), Rule::FromDewPoint);
    }
    let rule = if measured_range { Rule::FromTmin } else { usual.tmin[leap_day(r.date)].1 };
    match (r.rh_max_pct, r.rh_min_pct, r.rh_mean_pct) {
        (Some(x), Some(n), _) => (held(humidity::ea_from_rh_range(high, low, x, n)), Rule::FromRhRange),
        (Some(x), None, _) => (held(humidity::ea_from_rh_max(low, x)), Rule::FromRhMax),
        (None, _, Some(m)) => (held(humidity::ea_from_rh_mean(high, low, m)), Rule::FromRhMean),
        _ => (held(humidity::e0(low - params.dew_below_tmin_c)), rule),
    }
}
