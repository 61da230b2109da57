//! The work and its means: every standing field on every day of every weather, moves, drier, bins.

use stook_book::farm::Farm;
use stook_book::payload::{FieldId, Machine, MachineKind};
use stook_harvest::search::{Cell, Weather, Work};

use super::DAYS;
use crate::answer::Job;
use crate::carry::Carried;
use crate::harvest::room::Room;
use crate::money::Purse;
use crate::outlook::middle_state;

/// Every standing field on every day of every weather, and the parts of its worth.
pub(super) fn weathers(c: &Carried, standing: &[usize]) -> (Vec<Weather>, Vec<Vec<Vec<Purse>>>) {
    let mut all = Vec::with_capacity(c.members());
    let mut purses = Vec::with_capacity(c.members());
    for (start, air) in c.starts.iter().zip(&c.air) {
        let mut states: Vec<_> = standing.iter().map(|&f| start[f]).collect();
        let mut days = Vec::new();
        let mut parts = Vec::new();
        for a in air.iter().take(DAYS) {
            let mut row = Vec::with_capacity(states.len());
            let mut of_day = Vec::with_capacity(states.len());
            for (s, &f) in states.iter_mut().zip(standing) {
                let field = &c.model.fields[f];
                s.step(&c.model, field, a);
                let fit = s.wants(&c.model, field, Job::Cut, true);
                let (purse, kg) = s.if_cut(&c.model, field);
                row.push(Cell {
                    hours: if fit { s.fit_hours(&c.model, field, a, Job::Cut, true) } else { 0.0 },
                    moisture: s.moisture(),
                    worth: purse.total(),
                    t_ha: kg / 1000.0,
                });
                of_day.push(purse);
            }
            days.push(row);
            parts.push(of_day);
        }
        all.push(days);
        purses.push(parts);
    }
    (all, purses)
}

/// The means: area, combine, moves, drier.
pub(super) fn work(
    c: &Carried,
    farm: &Farm,
    standing: &[usize],
    bins: Option<&Room>,
    assumed: &mut Vec<String>,
) -> Work {
    let machine = c.model.machine(Job::Cut).expect("a usual combine stands in when none is set up");
    let setup_h = c.model.reference.get("harvest.move.setup_h");
    let road_kmh = c.model.reference.get("harvest.move.road_kmh");
    let place = |id: &FieldId| {
        farm.fields.get(id).and_then(|r| stook_book::boundary::middle(r.field().boundary.as_ref()?))
    };
    let from_yard = |id: &FieldId| farm.fields.get(id).and_then(|r| r.field().distance_km).unwrap_or(5.0);
    let apart = |a: &FieldId, b: &FieldId| match (place(a), place(b)) {
        // Roads run square: a fifth longer than the crow flies.
        (Some(x), Some(y)) => 1.2 * km(x, y),
        _ => from_yard(a) + from_yard(b),
    };
    let ids: Vec<FieldId> = standing.iter().map(|&f| c.model.fields[f].id.clone()).collect();
    let hours = |km: f64| setup_h + km / road_kmh;
    // The combine stands where it last cut, else in the yard.
    let last = farm
        .fields
        .values()
        .flat_map(|r| r.cuts.iter().map(move |x| (x.happened, &r.field().id)))
        .filter(|(at, _)| at.date() <= c.as_of && at.year() == c.model.year)
        .max_by_key(|(at, _)| *at)
        .map(|(_, id)| id.clone());
    let mut move_h: Vec<Vec<f64>> = ids
        .iter()
        .map(|a| ids.iter().map(|b| if a == b { 0.0 } else { hours(apart(a, b)) }).collect())
        .collect();
    move_h.push(
        ids.iter()
            .map(|b| match &last {
                Some(a) if a == b => 0.0,
                Some(a) => hours(apart(a, b)),
                None => hours(from_yard(b)),
            })
            .collect(),
    );
    let drier: f64 = farm
        .machines_of(MachineKind::Drier)
        .filter_map(|m| Some(m.moves_kg_h? / 1000.0 * Machine::PER_POINTS * m.hours_per_day))
        .sum();
    if drier <= 0.0 {
        assumed.push(
            "No drier is set up: damp grain is taken to be dried, aired or sold as fast as it comes, at the price of drying.".into(),
        );
    }
    Work {
        area_ha: standing.iter().map(|&f| middle_state(c, f).left_ha(Job::Cut)).collect(),
        ha_per_h: machine.ha_per_h,
        day_h: machine.hours_per_day,
        move_h,
        drier_t_points: if drier > 0.0 { drier } else { f64::INFINITY },
        dry_pct: c.model.season.cut_moisture_dry,
        store: bins.map_or_else(|| vec![0; standing.len()], |b| b.store.clone()),
        room_t: bins.map_or_else(|| vec![f64::INFINITY], |b| b.crops.iter().map(|k| k.room_t).collect()),
        no_room_per_t: c.model.season.no_room_share * c.model.season.wheat_per_t,
        uncut_share: c.model.season.uncut_share,
    }
}

/// Kilometres between two points (longitude, latitude), on a sphere.
fn km(a: (f64, f64), b: (f64, f64)) -> f64 {
    let (la, lb) = (a.1.to_radians(), b.1.to_radians());
    let h = ((lb - la) / 2.0).sin().powi(2)
        + la.cos() * lb.cos() * ((b.0 - a.0).to_radians() / 2.0).sin().powi(2);
    2.0 * 6371.0 * h.sqrt().asin()
}
