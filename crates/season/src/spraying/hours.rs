//! The hours of the next days judged in every weather, and put together by the farm's clock.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use stook_book::readings::{ForecastHour, HourReading};
use stook_weather::forcing::SiteTable;
use stook_weather::humidity;
use stook_weather::spray::{self, Factor, Grade, HourAir, SprayLimits};

use super::air::{sun_hour, wall};
use super::answer::{SprayDay, SprayHour};
use crate::sky::Sky;

/// An hour is called fit when it is in this share of the weathers.
pub const MOST: f64 = 0.5;

/// Everything the members say of one hour.
#[derive(Default)]
struct Heap {
    n: usize,
    fit: f64,
    care: f64,
    factors: Vec<(Factor, f64)>,
    temp: Vec<f64>,
    rh: Vec<f64>,
    delta_t: Vec<f64>,
    wind: Vec<f64>,
    dark: bool,
}

impl Heap {
    fn blame(&mut self, factor: Factor, weight: f64) {
        match self.factors.iter_mut().find(|(f, _)| *f == factor) {
            Some((_, w)) => *w += weight,
            None => self.factors.push((factor, weight)),
        }
    }

    fn hour(mut self, hour: u8) -> SprayHour {
        let n = self.n as f64;
        let (fit, care) = (self.fit / n, self.care / n);
        let grade = if self.dark {
            Grade::No
        } else if fit >= MOST {
            Grade::Fit
        } else if fit + care >= MOST {
            Grade::Caution
        } else {
            Grade::No
        };
        let factor = if grade == Grade::Fit {
            None
        } else {
            self.factors.iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(f, _)| *f)
        };
        SprayHour {
            hour,
            grade,
            because: if self.dark { Some("dark") } else { factor.map(Factor::words) },
            share_fit: if self.dark { 0.0 } else { fit },
            temp_c: middle(&mut self.temp),
            rh_pct: middle(&mut self.rh),
            delta_t_c: middle(&mut self.delta_t),
            wind_ms: middle(&mut self.wind),
            dark: self.dark,
            factor,
        }
    }
}

fn middle(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

/// An hour read or forecast: its start by the farm's clock, its air without rain, and whether it is dark. `None` without
/// temperature, humidity and wind.
fn read_hour(
    hour: &HourReading,
    next_temp_c: Option<f64>,
    table: &SiteTable,
    limits: &SprayLimits,
    zone: &TimeZone,
) -> Option<(DateTime, HourAir, bool)> {
    let record = hour.record();
    let rh = record.rh_pct.or_else(|| Some(humidity::rh_pct(record.temp_c?, humidity::e0(record.tdew_c?))));
    let (temp_c, rh_pct, wind_ms) = (record.temp_c?, rh?, record.wind_2m_ms?);
    let at = wall(hour.at, zone);
    let (day, h) = sun_hour(at, table, zone);
    let sun = table.sun(day.day_of_year() as u16);
    let from_noon = h as f64 + 0.5 - sun.noon_h;
    let half_day = 0.5 * sun.daylight_h;
    // Without radiation the sky is taken as clear: the careful way round.
    let clear =
        record.rs_w_m2.is_none_or(|w| w * 0.0036 > limits.clear_sky * sun.rso_mj_m2 * sun.shape.sun[h]);
    let air = HourAir {
        temp_c,
        rh_pct,
        wind_ms,
        rain_mm: 0.0,
        near_night: spray::in_inversion_window(from_noon, sun.daylight_h, limits),
        cooling_fast: clear
            && from_noon > half_day - 2.0
            && next_temp_c.is_some_and(|n| temp_c - n > limits.inversion_cooling_c_h),
    };
    Some((at, air, limits.day_only && from_noon.abs() > half_day))
}

/// A measured hour is of use for so long.
const FRESH_H: i64 = 3;

/// The last hour the station measured before `now`, judged by the limits; none when it is old.
pub fn last_measured(
    hours: &[HourReading],
    table: &SiteTable,
    limits: &SprayLimits,
    zone: &TimeZone,
    now: DateTime,
) -> Option<SprayHour> {
    let oldest = now.saturating_sub(jiff::Span::new().hours(FRESH_H));
    let (hour, (at, mut air, dark)) = hours.iter().rev().find_map(|h| {
        let read = read_hour(h, None, table, limits, zone)?;
        (read.0 <= now && read.0 >= oldest).then_some((h, read))
    })?;
    air.rain_mm = hour.precip_mm.unwrap_or(0.0);
    let v = spray::classify(&air, limits, table.pressure_kpa());
    let mut heap = Heap { n: 1, dark, ..Heap::default() };
    match v.grade {
        Grade::Fit => heap.fit = 1.0,
        Grade::Caution => heap.care = 1.0,
        Grade::No => {}
    }
    if let Some(x) = v.factor {
        heap.blame(x, 1.0);
    }
    heap.temp.push(air.temp_c);
    heap.rh.push(air.rh_pct);
    heap.delta_t.push(v.delta_t_c);
    heap.wind.push(air.wind_ms);
    Some(heap.hour(at.hour().unsigned_abs()))
}

/// Hours of a forecast by the hour, judged each by itself. They go before what is reckoned from days.
fn forecast_hours(
    forecast: &[ForecastHour],
    table: &SiteTable,
    limits: &SprayLimits,
    zone: &TimeZone,
) -> BTreeMap<DateTime, Heap> {
    let mut out = BTreeMap::new();
    for (i, f) in forecast.iter().enumerate() {
        let next = forecast.get(i + 1).and_then(|n| n.hour.temp_c);
        let Some((at, air, dark)) = read_hour(&f.hour, next, table, limits, zone) else { continue };
        let v = spray::classify(&air, limits, table.pressure_kpa());
        let dry = 1.0 - wet(&forecast[i..], limits);
        let mut heap = Heap { n: 1, dark, ..Heap::default() };
        match (v.grade, v.factor) {
            (Grade::Fit, _) => heap.fit = dry,
            (Grade::Caution, Some(x)) => {
                heap.care = dry;
                heap.blame(x, dry);
            }
            (_, x) => heap.blame(x.unwrap_or(Factor::Rain), dry),
        }
        heap.blame(Factor::Rain, 1.0 - dry);
        heap.temp.push(air.temp_c);
        heap.rh.push(air.rh_pct);
        heap.delta_t.push(v.delta_t_c);
        heap.wind.push(air.wind_ms);
        out.insert(at, heap);
    }
    out
}

/// Chance of rain from the first hour through the rain-free span after it: that of the likeliest hour.
fn wet(ahead: &[ForecastHour], limits: &SprayLimits) -> f64 {
    let Some(first) = ahead.first() else { return 0.0 };
    let until =
        first.hour.at.saturating_add(jiff::Span::new().minutes((limits.rain_free_h * 60.0) as i64 + 59));
    ahead
        .iter()
        .take_while(|f| f.hour.at <= until)
        .map(|f| {
            let said = f.hour.precip_mm.is_some_and(|mm| mm >= limits.rain_mm);
            f.rain_chance_pct.map_or(if said { 1.0 } else { 0.0 }, |p| p / 100.0)
        })
        .fold(0.0, f64::max)
}

/// Judges `count` days from `as_of`. `from` leaves out what is over; `work_hours` is as long as the sprayer is crewed.
pub fn days(
    sky: &Sky,
    table: &SiteTable,
    limits: &SprayLimits,
    zone: &TimeZone,
    as_of: Date,
    from: Option<DateTime>,
    count: usize,
    ha_per_h: f64,
    work_hours: f64,
    forecast: &[ForecastHour],
) -> Vec<SprayDay> {
    let mut heaps: BTreeMap<(Date, u8), Heap> = BTreeMap::new();
    let mut rain: BTreeMap<Date, f64> = BTreeMap::new();
    // The evening before too: its last hours by the sun's clock may be today's first by the farm's.
    let first = sky.lead.saturating_sub(1);
    for i in first..sky.lead + count {
        let date = sky.start.saturating_add(jiff::Span::new().days(i as i64));
        let doy = date.day_of_year() as u16;
        let sun = table.sun(doy);
        for member in &sky.members {
            let Some(f) = member.get(i) else { continue };
            let dry = spray::dry_share(f, limits);
            if f.day.precip_mm >= limits.rain_mm {
                *rain.entry(date).or_default() += 1.0;
            }
            for h in 0..24 {
                let at = clock(date, h, table, zone);
                if at.date() < as_of || from.is_some_and(|t| at < t) {
                    continue;
                }
                let air = spray::hour_air(f, doy, table, limits, h);
                let v = spray::classify(&air, limits, table.pressure_kpa());
                let heap = heaps.entry((at.date(), at.hour().unsigned_abs())).or_default();
                heap.n += 1;
                match (v.grade, v.factor) {
                    (Grade::Fit, _) => heap.fit += dry,
                    (Grade::Caution, Some(x)) => {
                        heap.care += dry;
                        heap.blame(x, dry);
                    }
                    (_, x) => heap.blame(x.unwrap_or(Factor::Rain), dry),
                }
                if dry < 1.0 {
                    heap.blame(Factor::Rain, 1.0 - dry);
                }
                heap.temp.push(air.temp_c);
                heap.rh.push(air.rh_pct);
                heap.delta_t.push(v.delta_t_c);
                heap.wind.push(air.wind_ms);
                let from_noon = h as f64 + 0.5 - sun.noon_h;
                heap.dark = limits.day_only && from_noon.abs() > 0.5 * sun.daylight_h;
            }
        }
    }
    for (at, heap) in forecast_hours(forecast, table, limits, zone) {
        if at.date() >= as_of && from.is_none_or(|t| at >= t) {
            heaps.insert((at.date(), at.hour().unsigned_abs()), heap);
        }
    }
    let n = sky.members.len().max(1) as f64;
    let mut out: Vec<SprayDay> = Vec::new();
    for ((date, hour), heap) in heaps {
        if (date - as_of).get_days() as usize >= count {
            break;
        }
        if out.last().is_none_or(|d| d.date != date) {
            out.push(SprayDay {
                date,
                hours: Vec::with_capacity(24),
                fit: Vec::new(),
                area_ha: 0.0,
                rain_chance: rain.get(&date).copied().unwrap_or(0.0) / n,
                words: String::new(),
            });
        }
        if let Some(day) = out.last_mut() {
            day.hours.push(heap.hour(hour));
        }
    }
    for day in &mut out {
        day.fit = stretches(&day.hours);
        let hours: f64 = day.fit.iter().map(|(a, b)| f64::from(b - a)).sum();
        day.area_ha = hours.min(work_hours) * ha_per_h;
    }
    out
}

/// The farm's clock at the start of hour `h` of the sun's standard time.
fn clock(date: Date, h: usize, table: &SiteTable, zone: &TimeZone) -> DateTime {
    let noon = date.at(12, 0, 0, 0).to_zoned_datetime(zone.clone());
    let ahead = noon.map_or(table.utc_offset_h(), |z| f64::from(z.offset().seconds()) / 3600.0);
    let shift = (ahead - table.utc_offset_h()).round() as i64;
    date.at(0, 0, 0, 0).saturating_add(jiff::Span::new().hours(h as i64 + shift))
}

/// Hours in a row that are fit, each as its start and the end of its last.
pub fn stretches(hours: &[SprayHour]) -> Vec<(u8, u8)> {
    let mut out: Vec<(u8, u8)> = Vec::new();
    for h in hours.iter().filter(|h| h.grade == Grade::Fit) {
        match out.last_mut() {
            Some((_, end)) if *end == h.hour => *end += 1,
            _ => out.push((h.hour, h.hour + 1)),
        }
    }
    out
}
