//! "Keep going tonight?": the hour the grain climbs above the limit, the hour straw turns tough, and tomorrow's rain.

use serde::Serialize;
use stook_crop::emc::equilibrium_pct;
use stook_harvest::night::{course, passes_after_h};
use stook_measure::{Op, Range, Working, figure};
use stook_weather::hourly;

use crate::carry::Carried;
use crate::words;

/// The evening begins: grain is at its driest.
const FROM_H: usize = 17;
/// Nobody is asked to go on after this, hours past midnight.
const LAST_H: usize = 4;

/// Tonight, for one field.
#[derive(Debug, Clone, Serialize)]
pub struct Tonight {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// Moisture not to pass, % wet basis.
    pub limit_pct: f64,
    /// Clock hour at which the straw is dry enough in the morning, middle of the weathers.
    pub opens: Option<f64>,
    /// Clock hour at which grain passes the limit, where it does; above 24 is after midnight.
    pub stop: Option<Range>,
    /// Share of the weathers in which it stays below all night.
    pub stays_below: f64,
    /// Clock hour at which straw turns tough.
    pub tough: Option<Range>,
    /// Chance of rain tomorrow that stops the combine.
    pub rain_tomorrow: f64,
    /// In words.
    pub words: String,
    /// The reckoning, on the middle weather.
    pub working: Working,
}

/// For a field, up to a moisture.
pub fn tonight(c: &Carried, f: usize, limit_pct: f64) -> Option<Tonight> {
    let (field, h) = (&c.model.fields[f], &c.model.harvest);
    let p = &h.night;
    let (mut stops, mut toughs, mut opens, mut stays, mut rain) = (vec![], vec![], vec![], 0.0, 0.0);
    let mut shown: Option<(f64, Vec<f64>)> = None;
    let mut n = 0.0;
    for (start, air) in c.starts.iter().zip(&c.air) {
        let (today, tomorrow) = (air.first()?, air.get(1)?);
        n += 1.0;
        let mut s = start[f];
        s.step(&c.model, field, today);
        let day = hourly::course(&today.forcing.day, today.doy, &c.model.table);
        let next = hourly::course(&tomorrow.forcing.day, tomorrow.doy, &c.model.table);
        let hours: Vec<(f64, f64)> = (FROM_H..24)
            .map(|k| (day.temp_c[k], day.rh_pct[k]))
            .chain((0..LAST_H).map(|k| (next.temp_c[k], next.rh_pct[k])))
            .collect();
        let air_of: Vec<(f64, f64)> =
            hours.iter().map(|&(t, rh)| (equilibrium_pct(t, rh, &field.params.emc), rh)).collect();
        let m = course(s.moisture(), &air_of, p);
        match passes_after_h(s.moisture(), &m, limit_pct) {
            Some(x) => stops.push(FROM_H as f64 + x),
            None => stays += 1.0,
        }
        if let Some(k) = hours.iter().position(|&(_, rh)| rh >= p.tough_rh_pct) {
            toughs.push((FROM_H + k) as f64);
        }
        let dew = if today.forcing.rh_max_pct >= h.hours.dew_rh_pct { h.hours.dew_delay_h } else { 0.0 };
        if let Some(k) = (6..FROM_H).find(|&k| day.rh_pct[k] <= h.hours.straw_rh_pct) {
            opens.push(k as f64 + dew);
        }
        if tomorrow.forcing.rain_mm >= h.hours.rain_stops_mm {
            rain += 1.0;
        }
        shown.get_or_insert((s.moisture(), m));
    }
    let stays_below = stays / n;
    let rain_tomorrow = rain / n;
    let stop = if stays_below > 0.5 { None } else { Range::of(&stops) };
    let tough = if toughs.len() as f64 > 0.5 * n { Range::of(&toughs) } else { None };
    let opens = Range::of(&opens).filter(|_| opens.len() as f64 > 0.5 * n).map(|r| r.p50);
    let words = say(stop, tough, stays_below, rain_tomorrow, limit_pct);
    let (start, m) = shown?;
    let mut working = Working::new(format!("Tonight in {}", field.name)).line(
        Op::Note,
        format!("At {FROM_H}:00, in the first of the weathers"),
        start,
        "%",
        1,
    );
    for (k, x) in m.iter().enumerate().step_by(2) {
        working = working.line(Op::Note, format!("At {}:00", (FROM_H + k + 1) % 24), *x, "%", 1);
    }
    let working = working
        .note(format!(
            "Each hour grain goes {} % of the way to the moisture it would have in that air; dew adds {} points an hour above {} % humidity. The rates are a judgement.",
            figure(100.0 * (1.0 - (-p.k_per_h).exp()), 0),
            figure(p.dew_points_h, 2),
            figure(p.dew_rh_pct, 0)
        ))
        .source("grain moves 2 to 4 points within a day below 20 % (common practice); balance: modified Henderson, ASAE D245")
        .would_change("two meter readings this evening; wind, which keeps dew off; cloud");
    Some(Tonight {
        field: field.id.to_string(),
        name: field.name.clone(),
        limit_pct,
        opens,
        stop,
        stays_below,
        tough,
        rain_tomorrow,
        words,
        working,
    })
}

fn say(stop: Option<Range>, tough: Option<Range>, stays_below: f64, rain: f64, limit: f64) -> String {
    let clock = super::order::clock;
    let mut out = match stop {
        Some(r) => format!(
            "Stop about {} ({} to {}), when grain climbs past {} %.",
            clock(r.p50),
            clock(r.p10),
            clock(r.p90),
            figure(limit, 1)
        ),
        None => format!(
            "Grain stays below {} % past 3:00 in {}; stop for the crew.",
            figure(limit, 1),
            words::in_ten(stays_below)
        ),
    };
    if let Some(t) = tough {
        out.push_str(&format!(
            " Straw turns tough about {}: slow down and look for loss then.",
            clock(t.p50)
        ));
    }
    if rain >= 0.05 {
        out.push_str(&format!(" Rain stops the combine tomorrow in {}.", words::in_ten(rain)));
    }
    out
}
