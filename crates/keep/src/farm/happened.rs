//! What happened to a bin, by the hour.

use std::collections::BTreeMap;

use jiff::civil::DateTime;
use stook_book::farm::{BinRecord, Farm};
use stook_book::payload::{BinPart, SampledAt};
use stook_yard::{BinState, Happened};
use uuid::Uuid;

use super::AirFacts;
use super::weathers::Wide;
use crate::carry::{Event, What};
use crate::params::KeepParams;
use crate::reading::{Height, Point as At, Seen};
use crate::sensors;
use crate::sky;
use crate::stack::Flow;

/// What happened to the bin, by the hour.
#[allow(clippy::too_many_arguments)]
pub(super) fn events(
    farm: &Farm,
    p: &KeepParams,
    record: &BinRecord,
    state: &BinState,
    wide: &Wide,
    air: &AirFacts,
    evening: DateTime,
    assumed: &mut Vec<String>,
) -> Vec<Event> {
    let temps: BTreeMap<Uuid, (Option<f64>, bool)> =
        farm.loads.iter().map(|l| (l.entry, (l.is.temperature_c, l.is.moisture_wb_pct.is_some()))).collect();
    let mut out: Vec<Event> = Vec::new();
    let (mut no_temp, mut no_moisture) = (0, 0);
    let mut put = |at: DateTime, what: What| out.push(Event { hour: sky::index(wide.first, at), what });
    for e in &state.history {
        match &e.what {
            Happened::In { lot, .. } => {
                let (t, m) = temps.get(&e.entry).copied().unwrap_or((None, false));
                no_temp += usize::from(t.is_none());
                no_moisture += usize::from(!m);
                // Grain off the combine is about as warm as the air; the field warms it on a sunny day.
                let t_c = t.or_else(|| wide.temp_c(e.at)).unwrap_or(15.0);
                put(e.at, What::In { kg: lot.mass_kg(), m_wb_pct: lot.moisture_pct().unwrap_or(14.0), t_c });
            }
            Happened::Out { lot, .. } => {
                let flow = match state.flow {
                    stook_yard::heap::Flow::Mass => Flow::Mass,
                    stook_yard::heap::Flow::Funnel { .. } => Flow::Funnel,
                };
                put(e.at, What::Out { kg: lot.mass_kg(), flow });
            }
            Happened::Sample { .. } => {
                if let Some(s) = record.samples.iter().find(|s| s.entry == e.entry) {
                    let height = match s.is.taken {
                        SampledAt::Whole => Height::Whole,
                        SampledAt::Top => Height::Share(0.95),
                        SampledAt::Core => Height::Share(0.5),
                        SampledAt::Bottom => Height::Share(0.05),
                        SampledAt::Loads => continue,
                    };
                    let at = |value| At { height, value };
                    put(
                        e.at,
                        What::Seen(Seen {
                            temperatures: s.is.temperature_c.map(at).into_iter().collect(),
                            moistures: s.is.moisture_wb_pct.map(at).into_iter().collect(),
                        }),
                    );
                }
            }
            Happened::Measured { .. } => put(
                e.at,
                What::Level {
                    kg: e.after_kg,
                    m_wb_pct: state.facts.market_wb_pct.unwrap_or(14.0),
                    t_c: wide.temp_c(e.at).unwrap_or(10.0),
                },
            ),
            Happened::Emptied { .. } => put(e.at, What::Empty),
        }
    }
    for f in &record.fan_runs {
        put(f.happened, What::Fan(f.is.on));
    }
    for r in &record.readings {
        put(r.happened, What::Seen(seen_of(&r.is)));
    }
    for (at, seen) in sensors::daily(p, &air.sensors, &state.bin.id, evening) {
        put(at, What::Seen(seen));
    }
    out.retain(|e| e.hour <= sky::index(wide.first, evening));
    // Within an hour grain comes before what is seen in it.
    let order = |w: &What| u8::from(matches!(w, What::Fan(_))) + 2 * u8::from(matches!(w, What::Seen(_)));
    out.sort_by_key(|e| (e.hour, order(&e.what)));
    if no_temp > 0 {
        assumed.push(format!("{no_temp} loads have no temperature: the air of that hour is taken."));
    }
    if no_moisture > 0 {
        assumed.push(format!("{no_moisture} loads have no moisture: the usual one of the crop is taken."));
    }
    out
}

/// A reading in the book as the layers take it.
fn seen_of(r: &stook_book::payload::BinReading) -> Seen {
    let mut seen = Seen::default();
    for x in &r.points {
        let height = match (x.height_m, x.part) {
            (Some(h), _) => Height::Metres(h),
            (None, Some(BinPart::Top)) => Height::Share(0.95),
            (None, Some(BinPart::Middle)) => Height::Share(0.5),
            (None, Some(BinPart::Bottom)) => Height::Share(0.08),
            (None, Some(BinPart::Whole) | None) => Height::Whole,
        };
        seen.temperatures.extend(x.temperature_c.map(|value| At { height, value }));
        seen.moistures.extend(x.moisture_wb_pct.map(|value| At { height, value }));
    }
    seen
}
