//! What is odd in a weather record, in sentences.
//!
//! Limits are design choices around what weather can do (the reference page's section 19), plus the traps found in
//! real files: sentinels such as -9999 read as numbers, typical-year files whose precipitation adds up to metres,
//! sensors stuck on one value, albedo or sunshine written as zero for missing.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use crate::day::Site;
use crate::series::Record;
use crate::solar;

/// Air temperature no station of the plains has passed either way, C.
const TEMP_LIMIT_C: f64 = 60.0;
/// Most precipitation believed of a day, mm.
const PRECIP_LIMIT_MM: f64 = 400.0;
/// Most precipitation believed of a plains year, mm.
const YEAR_LIMIT_MM: f64 = 1500.0;
/// Most relative humidity believed, %: sensors read a little over 100 in fog.
const RH_LIMIT_PCT: f64 = 105.0;
/// Most wind believed as a day's mean, m/s.
const WIND_LIMIT_MS: f64 = 30.0;
/// Radiation over the clear sky by more than this share points at the sensor.
const CLEAR_LIMIT: f64 = 1.10;
/// The same value on this many days running points at a stuck sensor.
const STUCK_DAYS: usize = 5;

/// What kind of thing is odd.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum What {
    /// A value no weather has.
    OutOfRange,
    /// Lowest above highest temperature.
    Crossed,
    /// One value for days on end.
    Stuck,
    /// A date twice.
    Duplicate,
    /// Dates that are not there.
    MissingDays,
    /// More sun than a clear sky gives.
    TooMuchSun,
    /// Dew point or vapour pressure above saturation: often humidity over ice mixed with humidity over water.
    Humidity,
    /// A code for "missing" read as a number.
    Sentinel,
    /// A year's precipitation that cannot be.
    AbsurdTotal,
}

/// One odd thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QualityNote {
    /// First day it concerns.
    pub date: Date,
    /// Kind.
    pub what: What,
    /// In a sentence.
    pub sentence: String,
}

/// The record with values no weather can have taken out. Radiation above what reaches the top of the air goes, and
/// both temperatures where they cross.
pub fn usable(r: &Record, site: &Site) -> Record {
    let within =
        |x: Option<f64>, low: f64, high: f64| x.filter(|v| v.is_finite() && (low..=high).contains(v));
    let day = r.date.day_of_year().unsigned_abs();
    let ra = solar::extraterrestrial_daily(site.lat_deg, day);
    let mut out = Record {
        date: r.date,
        tmax_c: within(r.tmax_c, -TEMP_LIMIT_C, TEMP_LIMIT_C),
        tmin_c: within(r.tmin_c, -TEMP_LIMIT_C, TEMP_LIMIT_C),
        precip_mm: within(r.precip_mm, 0.0, PRECIP_LIMIT_MM),
        rs_mj_m2: within(r.rs_mj_m2, 0.0, ra),
        sunshine_h: within(r.sunshine_h, 0.0, 24.0),
        ea_kpa: within(r.ea_kpa, 1e-4, 8.0),
        tdew_c: within(r.tdew_c, -TEMP_LIMIT_C, 40.0),
        rh_mean_pct: within(r.rh_mean_pct, 1.0, RH_LIMIT_PCT).map(|x| x.min(100.0)),
        rh_max_pct: within(r.rh_max_pct, 1.0, RH_LIMIT_PCT).map(|x| x.min(100.0)),
        rh_min_pct: within(r.rh_min_pct, 1.0, RH_LIMIT_PCT).map(|x| x.min(100.0)),
        wind_2m_ms: within(r.wind_2m_ms, 0.0, WIND_LIMIT_MS),
        snow_depth_cm: within(r.snow_depth_cm, 0.0, 1000.0),
    };
    if let (Some(high), Some(low)) = (out.tmax_c, out.tmin_c)
        && low > high
    {
        (out.tmax_c, out.tmin_c) = (None, None);
    }
    out
}

/// Everything odd in `records`, in order of date.
pub fn check(records: &[Record], site: &Site) -> Vec<QualityNote> {
    let mut sorted: Vec<&Record> = records.iter().collect();
    sorted.sort_by_key(|r| r.date);
    let mut notes = Vec::new();
    for r in &sorted {
        ranges(r, site, &mut notes);
        vapour(r, &mut notes);
    }
    dates(&sorted, &mut notes);
    for (name, of) in WATCHED {
        stuck(&sorted, name, of, &mut notes);
    }
    totals(&sorted, &mut notes);
    notes.sort_by_key(|n| (n.date, n.what));
    notes
}

/// A value of a record by name.
type Named = (&'static str, fn(&Record) -> Option<f64>);

const VALUES: [Named; 11] = [
    ("highest temperature", |r| r.tmax_c),
    ("lowest temperature", |r| r.tmin_c),
    ("precipitation", |r| r.precip_mm),
    ("radiation", |r| r.rs_mj_m2),
    ("sunshine", |r| r.sunshine_h),
    ("vapour pressure", |r| r.ea_kpa),
    ("dew point", |r| r.tdew_c),
    ("relative humidity", |r| r.rh_mean_pct),
    ("wind", |r| r.wind_2m_ms),
    ("highest relative humidity", |r| r.rh_max_pct),
    ("lowest relative humidity", |r| r.rh_min_pct),
];

/// Values that change every day unless the sensor is stuck.
const WATCHED: [Named; 4] = [VALUES[0], VALUES[1], VALUES[3], VALUES[8]];

fn note(notes: &mut Vec<QualityNote>, date: Date, what: What, sentence: String) {
    notes.push(QualityNote { date, what, sentence });
}

fn ranges(r: &Record, site: &Site, notes: &mut Vec<QualityNote>) {
    let clean = usable(r, site);
    for (name, of) in VALUES {
        let Some(x) = of(r) else { continue };
        if is_sentinel(x) {
            note(
                notes,
                r.date,
                What::Sentinel,
                format!("{}: {name} {x} is a code for missing, not a reading; it is left out.", r.date),
            );
        } else if of(&clean).is_none() && !crossed(r) {
            note(
                notes,
                r.date,
                What::OutOfRange,
                format!("{}: {name} {x} cannot be; it is left out.", r.date),
            );
        }
    }
    if let (true, Some(high), Some(low)) = (crossed(r), r.tmax_c, r.tmin_c) {
        note(
            notes,
            r.date,
            What::Crossed,
            format!(
                "{}: the lowest temperature {low} is above the highest {high}; both are left out. Check the columns.",
                r.date
            ),
        );
    }
    if let Some(rs) = clean.rs_mj_m2 {
        let ra = solar::extraterrestrial_daily(site.lat_deg, r.date.day_of_year().unsigned_abs());
        let rso = solar::clear_sky(ra, site.elev_m);
        if rs > CLEAR_LIMIT * rso {
            note(
                notes,
                r.date,
                What::TooMuchSun,
                format!(
                    "{}: radiation {rs:.1} MJ/m2 is more than a clear sky gives ({rso:.1}); check the sensor or the unit.",
                    r.date
                ),
            );
        }
    }
}

fn crossed(r: &Record) -> bool {
    matches!((r.tmax_c, r.tmin_c), (Some(high), Some(low)) if low > high && !is_sentinel(high) && !is_sentinel(low))
}

fn is_sentinel(x: f64) -> bool {
    [-9999.0, -9990.0, -9900.0, -999.0, -999.9, -99.9, 9999.0].contains(&x) || x.is_nan()
}

fn vapour(r: &Record, notes: &mut Vec<QualityNote>) {
    let Some(high) = r.tmax_c.filter(|t| t.abs() <= TEMP_LIMIT_C) else { return };
    let most = crate::humidity::e0(high);
    let ea = r.ea_kpa.or_else(|| r.tdew_c.filter(|t| t.abs() <= TEMP_LIMIT_C).map(crate::humidity::e0));
    if let Some(ea) = ea.filter(|ea| *ea > 1.02 * most) {
        let why = if high < 0.0 {
            "; below freezing a station's relative humidity is over water, so check that it was not turned with the \
             curve over ice"
        } else {
            ""
        };
        note(
            notes,
            r.date,
            What::Humidity,
            format!(
                "{}: vapour pressure {ea:.2} kPa is more than air at the day's highest temperature can hold \
                 ({most:.2}){why}.",
                r.date
            ),
        );
    }
}

fn dates(sorted: &[&Record], notes: &mut Vec<QualityNote>) {
    for pair in sorted.windows(2) {
        let (a, b) = (pair[0].date, pair[1].date);
        let apart = (b - a).get_days();
        if apart == 0 {
            note(
                notes,
                a,
                What::Duplicate,
                format!("{a} is in the record twice; the first value of each kind is used."),
            );
        } else if apart > 1 {
            let days = if apart == 2 { "1 day is".to_string() } else { format!("{} days are", apart - 1) };
            note(notes, a, What::MissingDays, format!("{days} missing between {a} and {b}."));
        }
    }
}

fn stuck(sorted: &[&Record], name: &str, of: fn(&Record) -> Option<f64>, notes: &mut Vec<QualityNote>) {
    let mut i = 0;
    while i < sorted.len() {
        let value = of(sorted[i]);
        let mut j = i + 1;
        while j < sorted.len() && value.is_some() && of(sorted[j]) == value {
            j += 1;
        }
        if let Some(x) = value.filter(|x| j - i >= STUCK_DAYS && !is_sentinel(*x)) {
            note(
                notes,
                sorted[i].date,
                What::Stuck,
                format!(
                    "{name} is {x} on {} days running from {}; the sensor may be stuck.",
                    j - i,
                    sorted[i].date
                ),
            );
        }
        i = j;
    }
}

fn totals(sorted: &[&Record], notes: &mut Vec<QualityNote>) {
    let mut by_year: BTreeMap<i16, (Date, f64)> = BTreeMap::new();
    for r in sorted {
        if let Some(p) = r.precip_mm.filter(|p| *p > 0.0 && p.is_finite()) {
            by_year.entry(r.date.year()).or_insert((r.date, 0.0)).1 += p;
        }
    }
    for (year, (date, total)) in by_year {
        if total > YEAR_LIMIT_MM {
            note(
                notes,
                date,
                What::AbsurdTotal,
                format!(
                    "{year}: precipitation adds up to {total:.0} mm, more than any plains year; typical-year files \
                     carry no usable precipitation, so leave that column out."
                ),
            );
        }
    }
}
