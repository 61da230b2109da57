//! Leaf disease weather: which of the last days were wet and warm enough, and how many to come.

use stook_crop::disease::leaf::{LeafDisease, infects, wetness};
use stook_measure::{Range, figure};

use super::LeafLine;
use crate::carry::Carried;
use crate::words;

/// Where the wet hours of the last ten days come from.
pub(super) fn basis(c: &Carried) -> String {
    match c.measured_days(10) {
        0 => "Wet hours of the last ten days are reckoned from each day's extremes and humidity: no hours of your station are on file for them.".into(),
        10 => "Wet hours of the last ten days are your station's own, hour by hour.".into(),
        n => format!("Wet hours of {n} of the last ten days are your station's own, hour by hour; the others are reckoned from the day."),
    }
}

pub(super) fn lines(c: &Carried, f: usize) -> Vec<LeafLine> {
    let p = &c.model.fields[f].params;
    let table = &c.model.table;
    let units = &c.model.units;
    let past: Vec<_> = (1..=10)
        .filter_map(|back| {
            let date = c.as_of.saturating_sub(jiff::Span::new().days(back));
            let i = usize::try_from((date - c.sky.past_start).get_days()).ok()?;
            let day = c.sky.past.get(i)?;
            let doy = date.day_of_year() as u16;
            let made = || wetness(&table.force(doy, day, &c.model.weather), doy, table, &p.disease);
            Some((date, c.wet.get(&date).copied().unwrap_or_else(made)))
        })
        .collect();
    LeafDisease::ALL
        .into_iter()
        .map(|d| {
            let demand = &p.leaf.demands[d as usize];
            let wet: Vec<_> =
                past.iter().filter(|(_, w)| infects(demand, w)).map(|(date, _)| *date).collect();
            let next: Vec<f64> = c
                .air
                .iter()
                .map(|air| {
                    air.iter()
                        .take(7)
                        .filter(|a| infects(demand, &wetness(&a.forcing, a.doy, table, &p.disease)))
                        .count() as f64
                })
                .collect();
            LeafLine {
                disease: d.words().into(),
                last_10_days: u8::try_from(wet.len()).unwrap_or(u8::MAX),
                last: wet.iter().max().copied(),
                next_7_days: Range::of(&next).unwrap_or(Range { p10: 0.0, p50: 0.0, p90: 0.0 }),
                asks: format!(
                    "wet {} h at {}, longer when colder or hotter",
                    figure(demand.wmin_h, 0),
                    words::temperature(units, demand.topt_c)
                ),
            }
        })
        .collect()
}
