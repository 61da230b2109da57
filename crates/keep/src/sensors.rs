//! Readings that devices send, brought to one a day for each bin, with sensors that went wrong left out and named.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};
use stook_book::BinId;
use stook_book::sensor::SensorReading;
use stook_measure::figure;

use crate::params::KeepParams;
use crate::reading::{Height, Point, Seen, Series, stuck, wild};

fn of<'a>(
    all: &'a [SensorReading],
    bin: &'a BinId,
    until: DateTime,
) -> impl Iterator<Item = &'a SensorReading> {
    all.iter().filter(move |s| s.bin == *bin && s.at <= until)
}

/// Sensors of a bin that stick.
fn sticking(p: &KeepParams, all: &[SensorReading], bin: &BinId, until: DateTime) -> Vec<String> {
    let mut series: BTreeMap<&str, Series> = BTreeMap::new();
    let Some(start) = of(all, bin, until).next().map(|s| s.at) else { return Vec::new() };
    for s in of(all, bin, until) {
        if let Some(t) = s.temperature_c {
            let h = s.at.duration_since(start).as_secs_f64() / 3600.0;
            series.entry(s.sensor.as_str()).or_default().push((h, t));
        }
    }
    // How much the others moved over the last readings.
    let moved = |own: &str| {
        series
            .iter()
            .filter(|(name, _)| **name != own)
            .map(|(_, s)| {
                let last: Vec<f64> = s.iter().rev().take(4 * p.still_readings).map(|r| r.1).collect();
                last.iter().copied().fold(f64::MIN, f64::max) - last.iter().copied().fold(f64::MAX, f64::min)
            })
            .fold(0.0, f64::max)
    };
    series.iter().filter(|(name, s)| stuck(p, s, moved(name))).map(|(name, _)| (*name).to_string()).collect()
}

/// One reading a day: of each sensor its last of the day, without those that stick or read wild.
pub(crate) fn daily(
    p: &KeepParams,
    all: &[SensorReading],
    bin: &BinId,
    until: DateTime,
) -> Vec<(DateTime, Seen)> {
    let bad = sticking(p, all, bin, until);
    let mut days: BTreeMap<Date, BTreeMap<&str, &SensorReading>> = BTreeMap::new();
    for s in of(all, bin, until).filter(|s| !bad.contains(&s.sensor)) {
        days.entry(s.at.date()).or_default().insert(s.sensor.as_str(), s);
    }
    days.into_values()
        .filter_map(|sensors| {
            let with_t: Vec<&&SensorReading> =
                sensors.values().filter(|s| s.temperature_c.is_some()).collect();
            let wrong = wild(p, &with_t.iter().filter_map(|s| s.temperature_c).collect::<Vec<_>>());
            let height = |s: &SensorReading| s.height_m.map_or(Height::Whole, Height::Metres);
            let temperatures: Vec<Point> = with_t
                .iter()
                .zip(wrong)
                .filter(|(_, w)| !w)
                .filter_map(|(s, _)| Some(Point { height: height(s), value: s.temperature_c? }))
                .collect();
            let moistures: Vec<Point> = sensors
                .values()
                .filter_map(|s| Some(Point { height: height(s), value: s.moisture_wb_pct? }))
                .collect();
            let at = sensors.values().map(|s| s.at).max()?;
            (!temperatures.is_empty() || !moistures.is_empty())
                .then_some((at, Seen { temperatures, moistures }))
        })
        .collect()
}

/// What is wrong with a bin's sensors, in sentences.
pub(crate) fn faults(p: &KeepParams, all: &[SensorReading], bin: &BinId, until: DateTime) -> Vec<String> {
    let mut out: Vec<String> = sticking(p, all, bin, until)
        .into_iter()
        .map(|name| format!("Sensor {name} has read exactly the same for days while others moved: it sticks, and is not used."))
        .collect();
    let Some(last) = of(all, bin, until).map(|s| s.at).max() else { return out };
    let latest: Vec<&SensorReading> =
        of(all, bin, until).filter(|s| s.at == last && s.temperature_c.is_some()).collect();
    let wrong = wild(p, &latest.iter().filter_map(|s| s.temperature_c).collect::<Vec<_>>());
    for (s, w) in latest.iter().zip(wrong) {
        if w {
            out.push(format!("Sensor {} read {} C, far from the rest: a broken wire or a hot spot. It is not used; read that place by hand, from outside.", s.sensor, figure(s.temperature_c.unwrap_or(0.0), 0)));
        }
    }
    let hours = until.duration_since(last).as_hours();
    if hours >= 48 {
        out.push(format!("Nothing has come from its sensors for {} days.", hours / 24));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bin_case::tests::params;
    use jiff::civil::date;

    fn at(day: i8, hour: i8, sensor: &str, height_m: f64, t: f64) -> SensorReading {
        SensorReading {
            bin: BinId::from("bin-9"),
            at: date(2026, 9, day).at(hour, 0, 0, 0),
            sensor: sensor.into(),
            height_m: Some(height_m),
            temperature_c: Some(t),
            moisture_wb_pct: None,
            co2_ppm: None,
        }
    }

    #[test]
    fn a_stuck_cable_and_a_broken_wire_are_named_and_left_out() {
        let p = params();
        let mut all = Vec::new();
        for d in 1..=10 {
            all.push(at(d, 6, "low", 0.5, 18.0 - f64::from(d) * 0.3));
            all.push(at(d, 6, "middle", 2.5, 21.0 - f64::from(d) * 0.2));
            all.push(at(d, 6, "stuck", 3.5, 21.5));
            all.push(at(d, 6, "top", 4.5, if d == 10 { 71.0 } else { 24.0 - f64::from(d) * 0.1 }));
        }
        let bin = BinId::from("bin-9");
        let until = date(2026, 9, 10).at(18, 0, 0, 0);
        let days = daily(&p, &all, &bin, until);
        assert_eq!(days.len(), 10);
        assert_eq!(days[0].1.temperatures.len(), 3);
        assert_eq!(days[9].1.temperatures.len(), 2, "the wild one is left out too");
        let faults = faults(&p, &all, &bin, until);
        assert!(faults.iter().any(|f| f.contains("Sensor stuck") && f.contains("not used")), "{faults:?}");
        assert!(
            faults.iter().any(|f| f.contains("Sensor top read 71 C") && f.contains("from outside")),
            "{faults:?}"
        );
        assert!(
            super::faults(&p, &all, &bin, date(2026, 9, 14).at(18, 0, 0, 0))
                .iter()
                .any(|f| f.contains("for 4 days"))
        );
        assert!(daily(&p, &all, &BinId::from("bin-1"), until).is_empty());
    }
}
