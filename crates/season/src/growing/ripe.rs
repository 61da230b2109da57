//! Ripeness: full weight, the first day for a herbicide before harvest, hours below a moisture, and what waiting
//! through the rain to come risks.

use jiff::civil::Date;
use stook_crop::Phase;
use stook_crop::ripening::dry_matter_pct;
use stook_crop::waiting::SproutRisk;
use stook_measure::{Range, figure};

use super::{CutHours, Ripe, WaitLine};
use crate::carry::Carried;
use crate::dates::date_range;
use crate::outlook::middle_state;
use crate::run::{FieldOutcome, Track};
use crate::words;

/// Days of hours shown.
const AHEAD: usize = 8;
/// Days of standing ripe that are compared.
const STANDS: [u16; 3] = [3, 7, 14];

pub(super) fn ripe(
    c: &Carried,
    f: usize,
    seasons: &[Vec<FieldOutcome>],
    tracks: &[Vec<Track>],
) -> Option<Ripe> {
    let field = &c.model.fields[f];
    let p = &field.params;
    let s = middle_state(c, f);
    let w = s.wheat?;
    if s.phase < Phase::Flowering {
        return None;
    }
    let above = c.model.reference.get("crop.window.greenest_above_pct");
    let limit = p.window.preharvest_max_moisture_pct;
    // Tracks hold the afternoon's moisture by day; the least ripe part lies above it until all is dry.
    let green_ok: Vec<Option<u16>> = tracks
        .iter()
        .map(|m| {
            m[f].moisture.iter().position(|x| !x.is_nan() && f64::from(*x) + above < limit).map(|d| d as u16)
        })
        .collect();
    let preharvest = date_range(c, &green_ok);
    let full: Vec<Option<u16>> = seasons.iter().map(|m| m[f].ripe).collect();
    let ready: Vec<Option<u16>> =
        seasons.iter().map(|m| m[f].first_fit[crate::answer::Job::Cut as usize]).collect();
    let moisture = s.moisture();
    let greenest = if moisture > 90.0 { 90.0 } else { (moisture + above).min(90.0) };
    let below_pct = c.model.season.cut_moisture_start;
    let preharvest_words =
        preharvest_words(c, greenest, limit, preharvest.map(|r| r.middle), p.window.preharvest_interval_d);
    let wait_lines = wait_lines(c, f);
    let waiting = waiting_words(c, f, &wait_lines);
    Some(Ripe {
        dry_matter_pct: dry_matter_pct(w.fill_share(p), &p.ripening),
        moisture_pct: moisture,
        greenest_pct: greenest,
        full: if s.is_ripe(field) { None } else { date_range(c, &full) },
        preharvest,
        preharvest_words,
        ready: date_range(c, &ready),
        below_pct,
        hours: hours(c, f, below_pct),
        waiting,
        wait_lines,
    })
}

fn preharvest_words(c: &Carried, greenest: f64, limit: f64, day: Option<Date>, interval: f64) -> String {
    let rule = "Buyers refuse some products: ask first; the label rules.";
    if greenest <= c.model.season.cut_moisture_max + 2.0 {
        return format!(
            "The least ripe part is reckoned at {} %: too dry for a herbicide before harvest to gain anything.",
            figure(greenest, 0)
        );
    }
    if greenest < limit {
        let cut = c.as_of.saturating_add(jiff::Span::new().days(interval as i64));
        return format!(
            "The least ripe part is reckoned at {} %, under {} %: a herbicide before harvest may go on once a thumb test there agrees. Sprayed today, not cut before {} at the usual {} days. It gains a couple of days at most. {rule}",
            figure(greenest, 0),
            figure(limit, 0),
            words::day(cut),
            figure(interval, 0)
        );
    }
    match day {
        Some(d) => format!(
            "No herbicide before harvest yet: the least ripe part is reckoned at {} %, and it must be under {} %. About {}. {rule}",
            figure(greenest, 0),
            figure(limit, 0),
            words::day(d)
        ),
        None => format!(
            "No herbicide before harvest yet: the least ripe part must be under {} %. {rule}",
            figure(limit, 0)
        ),
    }
}

/// Hours of the days to come with grain below a moisture.
///
/// The afternoon's moisture is reckoned; toward dawn grain is a few points wetter, by how far the air has cooled, and
/// a dewy night adds to it until noon.
fn hours(c: &Carried, f: usize, below_pct: f64) -> Vec<CutHours> {
    let field = &c.model.fields[f];
    let p = &field.params;
    let swing = c.model.harvest.hours.day_swing_pct;
    let mut states: Vec<_> = c.starts.iter().map(|m| m[f]).collect();
    let mut out = Vec::new();
    for d in 0..AHEAD {
        let (mut from, mut to, mut driest) = (Vec::new(), Vec::new(), Vec::new());
        for (s, air) in states.iter_mut().zip(&c.air) {
            let Some(a) = air.get(d) else { continue };
            s.step(&c.model, field, a);
            let afternoon = s.moisture();
            driest.push(afternoon);
            if afternoon > below_pct || !s.is_ripe(field) {
                continue;
            }
            let shape = &c.model.table.sun(a.doy).shape.temp;
            let dew = if a.forcing.rh_max_pct >= p.ripening.dew_rh_pct { p.ripening.dew_points } else { 0.0 };
            let fit = |h: usize| {
                let dewy = if h < 12 { dew * (12 - h) as f64 / 12.0 } else { 0.0 };
                afternoon + swing * (1.0 - shape[h]) + dewy <= below_pct
            };
            if let (Some(a), Some(b)) = ((8..24).find(|h| fit(*h)), (8..24).rev().find(|h| fit(*h))) {
                from.push(a as f64);
                to.push(b as f64 + 1.0);
            }
        }
        let Some(driest_pct) = Range::of(&driest) else { continue };
        let middle = |x: &[f64]| Range::of(x).map_or(0.0, |r| r.p50);
        out.push(CutHours {
            date: c.date(d as i64),
            chance: from.len() as f64 / driest.len() as f64,
            from_h: middle(&from),
            to_h: middle(&to),
            driest_pct,
        });
    }
    out
}

/// Standing on after the first day ripe enough: sprouting risk, and grade and shatter in money.
fn wait_lines(c: &Carried, f: usize) -> Vec<WaitLine> {
    let field = &c.model.fields[f];
    let mut by_days: Vec<(Vec<f64>, usize, usize)> = vec![(Vec::new(), 0, 0); STANDS.len()];
    for (start, air) in c.starts.iter().zip(&c.air) {
        let mut s = start[f];
        let mut first: Option<(usize, f64)> = None;
        for (d, a) in air.iter().enumerate() {
            s.step(&c.model, field, a);
            if first.is_none() && s.is_ripe(field) && s.moisture() <= c.model.season.cut_moisture_max {
                first = Some((d, s.standing_loss_per_ha(&c.model, field)));
            }
            let Some((from, at_first)) = first else { continue };
            for (i, days) in STANDS.iter().enumerate() {
                if d == from + usize::from(*days) {
                    by_days[i].0.push(s.standing_loss_per_ha(&c.model, field) - at_first);
                    let risk = s.sprout_risk(field);
                    by_days[i].1 += usize::from(risk >= SproutRisk::Moderate);
                    by_days[i].2 += usize::from(risk >= SproutRisk::High);
                }
            }
            if d > from + usize::from(STANDS[2]) {
                break;
            }
        }
    }
    STANDS
        .iter()
        .zip(by_days)
        .filter_map(|(days, (lost, moderate, high))| {
            let n = lost.len();
            // Few of the weathers reach so far: nothing is said.
            if n * 2 < c.members() {
                return None;
            }
            Some(WaitLine {
                days: *days,
                sprout_moderate: moderate as f64 / n as f64,
                sprout_high: high as f64 / n as f64,
                lost_per_ha: Range::of(&lost)?,
            })
        })
        .collect()
}

fn waiting_words(c: &Carried, f: usize, lines: &[WaitLine]) -> String {
    let u = &c.model.units;
    let Some(week) = lines.iter().find(|l| l.days == 7) else {
        return "It is not ripe within the weathers looked at.".into();
    };
    let field = &c.model.fields[f];
    let rain: Vec<f64> = c.air.iter().map(|a| a.iter().take(7).map(|x| x.forcing.rain_mm).sum()).collect();
    let rain = Range::of(&rain).map_or(0.0, |r| r.p50);
    let money = |x: f64| words::cash(u, x * field.area_ha);
    format!(
        "Left a week after it is first fit to cut: grade and shatter cost {} on the field in the middle weather ({} to {}); sprouting risk is moderate or worse in {}. The next seven days bring {} of rain in the middle weather.",
        money(week.lost_per_ha.p50),
        money(week.lost_per_ha.p10),
        money(week.lost_per_ha.p90),
        words::in_ten(week.sprout_moderate),
        words::rain(u, rain.round())
    )
}
