//! What was read of late in a bin, for alarms.

use jiff::civil::DateTime;
use stook_book::farm::BinRecord;
use stook_book::payload::Smell;

use super::AirFacts;
use super::weathers::Wide;
use crate::params::KeepParams;
use crate::sensors;
use crate::signs::Looked;

/// What was read of late, for alarms; sensors that went wrong are named.
pub(super) fn looked(
    p: &KeepParams,
    record: &BinRecord,
    air: &AirFacts,
    wide: &Wide,
    evening: DateTime,
    faults: &mut Vec<String>,
) -> Looked {
    let mut out = Looked { outside: wide.daily.clone(), ..Looked::default() };
    let mut temperatures: Vec<(DateTime, f64)> = Vec::new();
    for r in record.readings.iter().filter(|r| r.on() <= evening.date()) {
        let temps: Vec<f64> = r.is.points.iter().filter_map(|x| x.temperature_c).collect();
        if !temps.is_empty() {
            temperatures.push((r.happened, temps.iter().sum::<f64>() / temps.len() as f64));
        }
        if let Some(c) = r.is.co2_ppm {
            out.co2.push((r.happened, c));
        }
        match r.is.smell {
            Some(s @ (Smell::Musty | Smell::Sour)) => out.smell = Some((r.happened, s.words().into())),
            Some(Smell::None) => out.smell = None,
            None => {}
        }
        if let Some(words) = &r.is.seen {
            out.seen = Some((r.happened, words.clone()));
        }
    }
    let id = &record.bin().id;
    for (at, seen) in sensors::daily(p, &air.sensors, id, evening) {
        if !seen.temperatures.is_empty() {
            temperatures.push((
                at,
                seen.temperatures.iter().map(|x| x.value).sum::<f64>() / seen.temperatures.len() as f64,
            ));
        }
    }
    out.co2.extend(
        air.sensors
            .iter()
            .filter(|s| s.bin == *id && s.at <= evening)
            .filter_map(|s| Some((s.at, s.co2_ppm?))),
    );
    out.co2.sort_by_key(|c| c.0);
    temperatures.sort_by_key(|t| t.0);
    // Two readings of a few hours apart say little: one a day is enough to see heating by.
    let mut before: Option<DateTime> = None;
    for (at, t) in temperatures {
        let ran = before.is_some_and(|b| ran_between(record, b, at));
        out.temperatures.push((at, t, ran));
        before = Some(at);
    }
    faults.extend(sensors::faults(p, &air.sensors, id, evening));
    out
}

/// Whether the fan was on at some time between two moments.
fn ran_between(record: &BinRecord, from: DateTime, to: DateTime) -> bool {
    let mut on = false;
    for f in &record.fan_runs {
        if f.happened >= to {
            break;
        }
        if f.happened <= from {
            on = f.is.on;
        } else if f.is.on {
            return true;
        }
    }
    on
}
