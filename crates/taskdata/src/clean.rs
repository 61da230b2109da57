//! Yield points made fit to draw: the monitor's delay undone, starts and ends of passes, standing still, ground already
//! cut, odd moisture and outliers left out, and each point brought to a reference moisture.
//!
//! The rules are those commonly published for yield-monitor data; the numbers stand in `reference/taskdata.csv` and are
//! the farm's to change.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use stook_measure::Reference;

use crate::ddi;
use crate::log::TimeLog;
use crate::place::{M_PER_DEG, metres};
use crate::units::{at_reference, mg_m2_to_kg_ha};

/// A yield point.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct YieldPoint {
    /// Seconds.
    pub t_s: f64,
    /// Longitude.
    pub lon: f64,
    /// Latitude.
    pub lat: f64,
    /// Yield at field moisture, kg/ha.
    pub kg_ha: f64,
    /// Moisture, % wet basis, when it was logged.
    pub moisture_pct: Option<f64>,
}

/// Rules.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rules {
    /// Seconds from the knife to the sensor.
    pub delay_s: f64,
    /// Seconds at the start of a pass that are left out.
    pub start_s: f64,
    /// Seconds at its end.
    pub end_s: f64,
    /// A gap longer than this starts a new pass, s.
    pub gap_s: f64,
    /// Slowest ground speed, km/h.
    pub slowest_kmh: f64,
    /// Driest and wettest moisture believed, %.
    pub moisture_pct: (f64, f64),
    /// Standard deviations from the mean that are an outlier.
    pub deviations: f64,
    /// Moisture that yields are brought to, %.
    pub reference_pct: f64,
}

impl Rules {
    /// Reads `taskdata.*` of the reference; `reference_pct` is the crop's market moisture.
    pub fn from_reference(r: &Reference, reference_pct: f64) -> Self {
        let get = |name: &str| r.get(&format!("taskdata.yield.{name}"));
        Self {
            delay_s: get("delay_s"),
            start_s: get("start_s"),
            end_s: get("end_s"),
            gap_s: get("gap_s"),
            slowest_kmh: get("slowest_kmh"),
            moisture_pct: (get("driest_pct"), get("wettest_pct")),
            deviations: get("deviations"),
            reference_pct,
        }
    }
}

/// Points that stay, and how many each rule left out.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Cleaned {
    /// Points at the reference moisture.
    pub points: Vec<YieldPoint>,
    /// Before or after their place in the delay.
    pub no_place: usize,
    /// At starts and ends of passes.
    pub ends: usize,
    /// Standing or too slow.
    pub slow: usize,
    /// On ground that was cut before.
    pub overlap: usize,
    /// Moisture not believed.
    pub moisture: usize,
    /// No yield, or too far from the mean.
    pub outliers: usize,
    /// Mean yield of what stays, kg/ha at the reference moisture.
    pub mean_kg_ha: f64,
}

impl Cleaned {
    /// What each rule left out, in words.
    pub fn left_out(&self) -> Vec<(usize, &'static str)> {
        let all = [
            (self.no_place, "before their place in the monitor's delay"),
            (self.ends, "at starts and ends of passes"),
            (self.slow, "standing or too slow"),
            (self.overlap, "on ground already cut"),
            (self.moisture, "with a moisture nobody believes"),
            (self.outliers, "without yield, or too far from the mean"),
        ];
        all.into_iter().filter(|(n, _)| *n > 0).collect()
    }
}

/// Yield points of a log: each value holds until the next.
pub fn points(log: &TimeLog) -> Vec<YieldPoint> {
    let (mut kg_ha, mut moisture_pct, mut working) = (None, None, true);
    log.records
        .iter()
        .filter_map(|r| {
            for (entry, value) in log.values(r) {
                match entry {
                    ddi::YIELD_PER_AREA => kg_ha = Some(mg_m2_to_kg_ha(f64::from(value))),
                    ddi::MOISTURE => moisture_pct = Some(f64::from(value) / 10_000.0),
                    ddi::WORK_STATE => working = value == 1,
                    _ => {}
                }
            }
            let (lon, lat) = r.position?;
            working.then_some(YieldPoint { t_s: r.seconds(), lon, lat, kg_ha: kg_ha?, moisture_pct })
        })
        .collect()
}

/// The width the log gives for the machine, m: the largest it worked at.
pub fn width_m(log: &TimeLog) -> Option<f64> {
    let widths = log.records.iter().flat_map(|r| log.values(r)).filter(|(d, _)| *d == ddi::ACTUAL_WIDTH);
    widths.map(|(_, mm)| f64::from(mm) / 1000.0).filter(|w| (1.0..60.0).contains(w)).reduce(f64::max)
}

/// Cleans points in order of time; `width_m` of the header finds ground that was cut before, none leaves that rule out.
pub fn clean(raw: &[YieldPoint], rules: &Rules, width_m: Option<f64>) -> Cleaned {
    let mut out = Cleaned::default();
    let mut kept: Vec<YieldPoint> = Vec::new();
    let mut been = Been { width_m, first: HashMap::new() };
    for pass in raw.chunk_by(|a, b| b.t_s - a.t_s <= rules.gap_s && b.t_s >= a.t_s) {
        let (Some(first), Some(last)) = (pass.first(), pass.last()) else { continue };
        for p in pass {
            // The grain at the sensor now was cut so many seconds ago: it belongs to where the knife was then.
            let then = p.t_s - rules.delay_s;
            if then < first.t_s {
                out.no_place += 1;
                continue;
            }
            let j = pass.partition_point(|q| q.t_s <= then).saturating_sub(1);
            let place = pass[j];
            let cut_before = been.before(&place, then, rules.gap_s);
            if then - first.t_s < rules.start_s || last.t_s - p.t_s < rules.end_s {
                out.ends += 1;
                continue;
            }
            let next = pass.get(j + 1).or_else(|| pass.get(j.wrapping_sub(1)));
            if next.map_or(0.0, |q| kmh(&place, q)) < rules.slowest_kmh {
                out.slow += 1;
                continue;
            }
            if cut_before {
                out.overlap += 1;
                continue;
            }
            if let Some(m) = p.moisture_pct
                && !(rules.moisture_pct.0..=rules.moisture_pct.1).contains(&m)
            {
                out.moisture += 1;
                continue;
            }
            let kg_ha = p.moisture_pct.map_or(p.kg_ha, |m| at_reference(p.kg_ha, m, rules.reference_pct));
            kept.push(YieldPoint {
                t_s: then,
                lon: place.lon,
                lat: place.lat,
                kg_ha,
                moisture_pct: p.moisture_pct,
            });
        }
    }
    let positive: Vec<f64> = kept.iter().map(|p| p.kg_ha).filter(|y| *y > 0.0).collect();
    let n = positive.len().max(1) as f64;
    let mean = positive.iter().sum::<f64>() / n;
    let sd = (positive.iter().map(|y| (y - mean).powi(2)).sum::<f64>() / n).sqrt();
    let before = kept.len();
    kept.retain(|p| p.kg_ha > 0.0 && (p.kg_ha - mean).abs() <= rules.deviations * sd + 1e-9);
    out.outliers = before - kept.len();
    out.mean_kg_ha = kept.iter().map(|p| p.kg_ha).sum::<f64>() / kept.len().max(1) as f64;
    out.points = kept;
    out
}

/// Where the header has been, in squares of half its width: two passes a full width apart never share one.
struct Been {
    width_m: Option<f64>,
    first: HashMap<(i64, i64), f64>,
}

impl Been {
    /// Whether this ground was cut more than `gap_s` before `t_s`.
    fn before(&mut self, p: &YieldPoint, t_s: f64, gap_s: f64) -> bool {
        let Some(w) = self.width_m else { return false };
        let side = 0.5 * w;
        // The cosine of a whole degree, so that squares of neighbouring points are the same squares.
        let east = p.lon * M_PER_DEG * p.lat.round().to_radians().cos();
        let key = ((east / side).floor() as i64, (p.lat * M_PER_DEG / side).floor() as i64);
        t_s - *self.first.entry(key).or_insert(t_s) > gap_s
    }
}

fn kmh(a: &YieldPoint, b: &YieldPoint) -> f64 {
    let seconds = (b.t_s - a.t_s).abs();
    if seconds <= 0.0 { 0.0 } else { metres((a.lon, a.lat), (b.lon, b.lat)) / seconds * 3.6 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rules() -> Rules {
        Rules::from_reference(&Reference::shipped(), 14.5)
    }

    /// A pass due north at 2 m/s, a point a second.
    fn pass(n: usize, yield_at: impl Fn(usize) -> f64) -> Vec<YieldPoint> {
        (0..n)
            .map(|i| YieldPoint {
                t_s: i as f64,
                lon: -101.3,
                lat: 50.1 + 2.0 * i as f64 / 111_195.0,
                kg_ha: yield_at(i),
                moisture_pct: Some(14.5),
            })
            .collect()
    }

    #[test]
    fn the_delay_is_undone() {
        // Yield steps up at the sensor at second 60: the crop did at second 48.
        let c = clean(&pass(120, |i| if i < 60 { 2000.0 } else { 3000.0 }), &rules(), None);
        let step = c.points.iter().find(|p| p.kg_ha > 2500.0).unwrap();
        assert!((step.t_s - 48.0).abs() < 1.0, "{}", step.t_s);
        assert_eq!(c.no_place, 12);
    }

    #[test]
    fn each_rule_leaves_out_its_own() {
        let mut raw = pass(100, |i| if i == 50 { 90_000.0 } else { 3000.0 + (i % 5) as f64 });
        raw[60].moisture_pct = Some(55.0);
        let c = clean(&raw, &rules(), None);
        assert_eq!((c.moisture, c.outliers), (1, 1));
        assert!((c.mean_kg_ha - 3002.0).abs() < 1.0);
        let still: Vec<_> = raw.iter().map(|p| YieldPoint { lat: 50.1, ..*p }).collect();
        assert!(clean(&still, &rules(), None).points.is_empty());
        assert!(clean(&[], &rules(), None).points.is_empty());
    }

    #[test]
    fn ground_cut_before_is_left_out_and_the_next_pass_is_not() {
        let beside = |m: f64, t: f64| -> Vec<YieldPoint> {
            let east = m / (M_PER_DEG * 50_f64.to_radians().cos());
            pass(100, |_| 3000.0)
                .iter()
                .map(|p| YieldPoint { lon: p.lon + east, t_s: p.t_s + t, ..*p })
                .collect()
        };
        let two = |m: f64| [beside(0.0, 0.0), beside(m, 500.0)].concat();
        let over = |m: f64| clean(&two(m), &rules(), Some(10.0)).overlap;
        // A full width away nothing is left out; on the same ground the whole second pass but its ends.
        assert_eq!(over(10.0), 0);
        assert_eq!(over(0.0), 100 - 12 - 6 - 4);
        assert_eq!(clean(&two(0.0), &rules(), None).overlap, 0);
    }

    #[test]
    fn every_rule_is_read() {
        assert_eq!(
            Reference::shipped().unread("taskdata.yield", |r| Rules::from_reference(r, 14.5)),
            Vec::<String>::new()
        );
    }

    proptest! {
        #[test]
        fn every_point_is_accounted_for(n in 0..200usize, low in 500.0..3000.0f64, wet in 5.0..40.0f64) {
            let mut raw = pass(n, |i| low + (i * 37 % 100) as f64);
            for p in &mut raw { p.moisture_pct = Some(wet); }
            let c = clean(&raw, &rules(), None);
            prop_assert_eq!(c.points.len() + c.no_place + c.ends + c.slow + c.overlap + c.moisture + c.outliers, n);
        }
    }
}
