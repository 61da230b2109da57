//! What was done and seen at Alder Bend: it follows from the weather and the standing plan.

use jiff::civil::{Date, DateTime, date};
use stook_book::payload::{
    CropStage, Cut, EmergenceSeen, GoNoGo, Harrowed, KernelMoisture, MoistureMethod, Operation, Rain,
    Seeding, StageSeen, ThumbResult, ThumbTest,
};
use stook_book::{Entry, Farm, FieldId};
use stook_season::answer::Job;
use stook_season::hindcast;

use super::YEAR;
use super::farm::{SITE, entry};
use super::sky::Truth;
use super::spraying;

/// The owner goes on somewhat wetter ground than the published limit.
const OWN_LIMIT: f64 = 1.0;

/// Entries of the season and of the gates of the last springs.
pub fn entries(set_up: &[Entry], truth: &Truth) -> anyhow::Result<Vec<Entry>> {
    let farm = Farm::fold(set_up);
    let products = spraying::products();
    // One sprayer: the second field of a day waits for the first.
    let mut sprayed_on: std::collections::BTreeMap<Date, i64> = std::collections::BTreeMap::new();
    let table = stook_weather::forcing::SiteTable::with_offset(&SITE, super::farm::STANDARD_H);
    let mut out = Vec::new();
    let mut n = 1_000;
    let mut add = |at: DateTime, payload: stook_book::Payload| {
        n += 1;
        out.push(entry(at, n, payload));
    };
    for spring in [YEAR - 2, YEAR - 1] {
        gates(&farm, truth, spring, &mut add)?;
    }
    gauge(truth, &mut add);
    let from = date(YEAR - 1, 11, 1);
    let known = hindcast::known(&farm, SITE, truth.start, &truth.days, from, date(YEAR, 10, 31))?;
    let mut wheat: Vec<(FieldId, Date, f64)> = Vec::new();
    for field in &known {
        let id = FieldId::from(field.id.as_str());
        let at = |d: Date, h: i8, m: i8| d.at(h, m, 0, 0);
        if let Some(d) = field.done(Job::Seed) {
            add(
                at(d, 6, 10),
                GoNoGo { field: id.clone(), operation: Operation::Seed, go: true, reason: None }.into(),
            );
            add(
                at(d, 9, 0),
                Seeding {
                    field: id.clone(),
                    lot: None,
                    finished: Some(at(d, 20, 30)),
                    rate_kg_ha: Some(123.0),
                    depth_mm: Some(45.0),
                    area_ha: None,
                    done: true,
                }
                .into(),
            );
        }
        if let Some(d) = field.harrowed {
            add(at(d, 10, 15), Harrowed { field: id.clone(), area_ha: None }.into());
        }
        if let Some(d) = field.emerged {
            // Seen a day after the model has it, on every second field.
            if field.id.len() % 2 == 0 {
                let seen = d.tomorrow()?;
                add(
                    at(seen, 8, 5),
                    EmergenceSeen { field: id.clone(), plants_per_m2: Some(262.0), bare_pct: None }.into(),
                );
            }
        }
        if let Some(d) = field.done(Job::Herbicide) {
            let scouted = d.yesterday()?;
            add(at(scouted, 19, 0), StageSeen { field: id.clone(), stage: CropStage::Leaves(3.0) }.into());
            let turn = sprayed_on.entry(d).or_default();
            let (began, pass) = spraying::pass(&id, spraying::WEEDS, &products, truth, &table, d, *turn);
            *turn += 1;
            add(began, pass.into());
        }
        if let Some(d) = field.done(Job::Fungicide) {
            let turn = sprayed_on.entry(d).or_default();
            let (began, pass) = spraying::pass(&id, spraying::HEADS, &products, truth, &table, d, *turn);
            *turn += 1;
            add(began, pass.into());
        }
        for (d, pct) in field.moistures(&[date(YEAR, 8, 14), date(YEAR, 8, 18), date(YEAR, 8, 19)]) {
            if pct < 22.0 {
                add(
                    at(d, 15, 40),
                    KernelMoisture {
                        field: id.clone(),
                        moisture_wb_pct: (pct * 2.0).round() / 2.0,
                        method: MoistureMethod::Meter,
                    }
                    .into(),
                );
            } else if pct < 34.0 {
                add(at(d, 16, 10), ThumbTest { field: id.clone(), result: ThumbResult::HardDough }.into());
            }
        }
        if let Some(d) = field.done(Job::Cut) {
            let area = farm.fields.get(&id).map_or(0.0, |r| r.field().area_ha);
            wheat.push((id.clone(), d, field.yield_kg_ha * area));
            add(
                at(d, 13, 0),
                Cut {
                    field: id.clone(),
                    finished: Some(at(d, 21, 0)),
                    area_ha: None,
                    yield_kg_ha: Some(field.yield_kg_ha.round()),
                    moisture_wb_pct: None,
                    inside_interval_why: None,
                    done: true,
                }
                .into(),
            );
        }
    }
    wheat.sort_by_key(|w| w.1);
    super::barn::entries(&mut add);
    super::yard::bins(&mut add);
    super::yard::moved(&wheat, &mut add);
    super::keep::entries(&mut add);
    Ok(out)
}

/// Go or no at the gate every few days of a spring, by the owner's own limit.
fn gates(
    farm: &Farm,
    truth: &Truth,
    year: i16,
    add: &mut impl FnMut(DateTime, stook_book::Payload),
) -> anyhow::Result<()> {
    let days: Vec<Date> =
        (0..16).map(|k| date(year, 4, 20).saturating_add(jiff::Span::new().days(2 * k))).collect();
    for (f, id) in ["slough-quarter", "long-90", "tower"].iter().enumerate() {
        let id = FieldId::from(*id);
        let wet = hindcast::surface(farm, SITE, truth.start, &truth.days, &id, &days)?;
        for (k, (day, x)) in wet.into_iter().enumerate() {
            // Not every field is looked at on every day, and ground far from the limit teaches nothing.
            if (k + f) % 3 == 0 && (0.8..1.3).contains(&x) {
                let go = x < OWN_LIMIT;
                let reason = (!go).then(|| "sticks to the boot".to_string());
                add(
                    day.at(6, 20, 0, 0),
                    GoNoGo { field: id.clone(), operation: Operation::Seed, go, reason }.into(),
                );
            }
        }
    }
    Ok(())
}

/// The yard gauge, emptied at seven each morning after rain.
fn gauge(truth: &Truth, add: &mut impl FnMut(DateTime, stook_book::Payload)) {
    let mut day = date(YEAR, 4, 10);
    while day < date(YEAR, 9, 15) {
        if let Some(w) = truth.day(day).filter(|w| w.precip_mm >= 1.0 && w.tmin_c > 0.5) {
            // The gauge and the station never quite agree.
            let mm = (w.precip_mm * if day.day() % 2 == 0 { 1.1 } else { 0.9 }).round().max(1.0);
            let next = day.tomorrow().expect("inside the calendar");
            add(next.at(7, 0, 0, 0), Rain { rain_mm: mm, field: None }.into());
        }
        day = day.tomorrow().expect("inside the calendar");
    }
}
