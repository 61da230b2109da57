//! "Who is waiting for whom?": a day's hauling from the field that is cut next, and what one more of each would buy.

mod changes;

use serde::Serialize;
use stook_book::farm::Farm;
use stook_book::payload::{FieldId, Machine, MachineKind};
use stook_harvest::combine::tank_feet;
use stook_harvest::haul::{self, Cart, Change, Drier, HaulError, Setup, Summary, Truck, Unloading};
use stook_harvest::queue;
use stook_measure::units::{bushels_per_tonne, kg_ha_to_bu_ac, m_to_ft};
use stook_measure::{Op, Working, figure};

use self::changes::{bought, variants};
use super::combine::hour_worth;
use super::room::room;
use crate::SeasonError;
use crate::answer::Job;
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::model::list;
use crate::outlook::middle_state;

/// Days played.
const DAYS: usize = 120;

/// The hauling page.
#[derive(Debug, Clone, Serialize)]
pub struct HaulAnswer {
    /// What to do, in a sentence.
    pub headline: String,
    /// Why and how sure.
    pub why: String,
    /// The field hauled from, when there is one left to cut.
    pub field: Option<HaulField>,
    /// Fields to choose from: key and name.
    pub fields: Vec<(String, String)>,
    /// What was taken for facts the book lacks.
    pub assumed: Vec<String>,
}

/// Hauling from one field.
#[derive(Debug, Clone, Serialize)]
pub struct HaulField {
    /// Field id.
    pub field: String,
    /// Field name.
    pub name: String,
    /// The set-up played.
    pub setup: Setup,
    /// Each stage alone, bu/h of wheat.
    pub stages: Vec<(&'static str, f64)>,
    /// What many days came to.
    pub summary: Summary,
    /// Bushels an hour off the field.
    pub bu_h: f64,
    /// The stage that holds the rest up.
    pub bottleneck: &'static str,
    /// What each change would buy, most first.
    pub changes: Vec<Bought>,
    /// Feet driven while a tank fills: where to park.
    pub tank_feet: f64,
    /// Minutes to a full tank.
    pub tank_min: f64,
    /// Trucks by plain arithmetic, no waiting.
    pub trucks_plain: f64,
    /// The reckoning.
    pub working: Working,
}

/// What a change of set-up would buy.
#[derive(Debug, Clone, Serialize)]
pub struct Bought {
    /// The change, in words.
    pub what: String,
    /// On this field.
    pub change: Change,
    /// Hours sooner over all wheat of the year, at this field's rate.
    pub year_hours: f64,
    /// Money a year: those hours at what an hour of the combine is worth.
    pub year_money: f64,
    /// The price that pays, at the usual years and interest.
    pub pays_up_to: f64,
    /// In words.
    pub words: String,
}

/// Answers for a field, or the wettest hurry of them when none is named.
///
/// # Errors
/// When the farm has no place.
pub fn haul(q: &Question<'_>, field: Option<&str>) -> Result<HaulAnswer, SeasonError> {
    Ok(of(&carry(q)?, q.farm, field))
}

fn of(c: &Carried, farm: &Farm, asked: Option<&str>) -> HaulAnswer {
    let standing: Vec<usize> =
        (0..c.model.fields.len()).filter(|&f| middle_state(c, f).left_ha(Job::Cut) > 0.0).collect();
    let mut fields: Vec<(String, String)> = standing
        .iter()
        .map(|&f| (c.model.fields[f].id.to_string(), c.model.fields[f].name.clone()))
        .collect();
    fields.sort_by(|a, b| a.1.cmp(&b.1));
    let driest = || {
        standing
            .iter()
            .copied()
            .min_by(|&a, &b| middle_state(c, a).moisture().total_cmp(&middle_state(c, b).moisture()))
    };
    let f = asked
        .and_then(|id| standing.iter().copied().find(|&f| c.model.fields[f].id.as_str() == id))
        .or_else(driest);
    let Some(f) = f else {
        return HaulAnswer {
            headline: "No wheat stands to be hauled.".into(),
            why: "Hauling is reckoned for a wheat field that is not yet cut, at its outlook.".into(),
            field: None,
            fields,
            assumed: Vec::new(),
        };
    };
    let mut assumed = Vec::new();
    let setup = setup(c, farm, f, &mut assumed);
    let bins = room(c, farm, &[f]).map(|r| r.crops[0].room_t);
    let width_m = farm.machine(MachineKind::Combine).map_or(12.0, |m| m.width_m);
    match play(c, f, &setup, width_m) {
        Ok(played) => {
            let (mut headline, mut why) = in_words(&played);
            if let Some(said) = bins.and_then(|t| full_bins(&setup, &played, t)) {
                if said.1 {
                    headline = format!("No bin has room for {}.", played.name);
                }
                why = format!("{} {why}", said.0);
            }
            HaulAnswer { headline, why, field: Some(played), fields, assumed }
        }
        Err(e) => HaulAnswer {
            headline: "This hauling cannot be played.".into(),
            why: format!("{}: mend the machines in set-up.", capital(&e.to_string())),
            field: None,
            fields,
            assumed,
        },
    }
}

/// Yield of a field as it stands; before any water is counted for the crop, the most it makes.
fn yield_of(c: &Carried, f: usize) -> f64 {
    const LEAST: f64 = 500.0;
    let field = &c.model.fields[f];
    let by_water = middle_state(c, f).by_water_kg_ha(field);
    if by_water < LEAST { field.cap_kg_ha } else { by_water }
}

/// The farm's hauling from a field.
fn setup(c: &Carried, farm: &Farm, f: usize, assumed: &mut Vec<String>) -> Setup {
    let p = &c.model.harvest.haul;
    let (field, s) = (&c.model.fields[f], middle_state(c, f));
    let yield_kg_ha = yield_of(c, f);
    if yield_kg_ha != s.by_water_kg_ha(field) {
        assumed.push(format!(
            "Too early for an outlook on {}: the most it makes stands in for its yield.",
            field.name
        ));
    }
    let left_ha = s.left_ha(Job::Cut);
    let combines: Vec<&Machine> = farm.machines_of(MachineKind::Combine).collect();
    let combine = combines.first().copied();
    let machine = c.model.machine(Job::Cut);
    let ha_h = machine.map_or(6.0, |m| m.ha_per_h);
    let mut silent = Vec::new();
    let mut get = |x: Option<f64>, stand_in: f64, what: &str| {
        x.unwrap_or_else(|| {
            silent.push(what.to_string());
            stand_in
        })
    };
    let tank_kg = get(combine.and_then(|m| m.holds_kg), p.tank_kg, "the combine's tank");
    let unloads_kg_h = get(combine.and_then(|m| m.moves_kg_h), p.unload_kg_h, "its unloading");
    let going = combine.and_then(|m| m.unloads_going).unwrap_or(true);
    let carts: Vec<Cart> = farm
        .machines_of(MachineKind::Cart)
        .map(|m| Cart {
            holds_t: m.holds_kg.unwrap_or(p.truck_kg) / 1000.0,
            pours_t_min: m.moves_kg_h.unwrap_or(p.cart_kg_h) / 60_000.0,
        })
        .collect();
    let km = farm.fields.get(&FieldId::from(field.id.as_str())).and_then(|r| r.field().distance_km);
    let km = get(km, 5.0, "the road from the yard");
    let road = |kmh: f64| 60.0 * km / kmh + p.road_stop_min;
    let mut trucks: Vec<Truck> = farm
        .machines_of(MachineKind::Truck)
        .map(|m| {
            let kmh = if m.speed_kmh > 0.0 { m.speed_kmh } else { p.road_kmh };
            Truck {
                holds_t: m.holds_kg.unwrap_or(p.truck_kg) / 1000.0,
                out_min: road(kmh),
                back_min: road(kmh),
            }
        })
        .collect();
    if trucks.is_empty() {
        assumed.push("No truck is set up: one of a usual size stands in.".into());
        trucks.push(Truck {
            holds_t: p.truck_kg / 1000.0,
            out_min: road(p.road_kmh),
            back_min: road(p.road_kmh),
        });
    }
    if carts.is_empty() {
        assumed.push("No grain cart is set up: the combine drives to the truck at the field's edge.".into());
    }
    let augers: Vec<&Machine> = farm.machines_of(MachineKind::Auger).collect();
    let auger_kg_h = get(augers.first().and_then(|m| m.moves_kg_h), p.auger_kg_h, "the auger in the yard");
    // Before there are kernels the usual moisture to start at stands in.
    let moisture = Some(s.moisture())
        .filter(|m| *m <= c.model.season.cut_moisture_max)
        .unwrap_or(c.model.season.cut_moisture_start);
    let points = moisture - c.model.season.cut_moisture_dry;
    let drier = farm.machines_of(MachineKind::Drier).next().filter(|_| points > 0.25).and_then(|m| {
        // A drier's rate is stated for five points; fewer take less time, but not less than the cooling.
        let rate = m.moves_kg_h? * (Machine::PER_POINTS / points.max(1.5));
        Some(Drier { t_min: rate / 60_000.0, wet_bin_t: m.holds_kg.unwrap_or(p.truck_kg) / 1000.0 })
    });
    if !silent.is_empty() {
        assumed.push(format!("Not in the book: {}. Usual sizes stand in.", list(&silent)));
    }
    Setup {
        combines: combines.len().max(1) as u32,
        cuts_t_min: ha_h * yield_kg_ha / 60_000.0,
        tank_t: tank_kg / 1000.0,
        unloads_t_min: unloads_kg_h / 60_000.0,
        unloading: if carts.is_empty() {
            Unloading::Edge
        } else if going {
            Unloading::Going
        } else {
            Unloading::Stopped
        },
        edge_min: p.edge_min,
        carts,
        cart_trip_min: p.cart_trip_min,
        trucks,
        pits: augers.len().max(1) as u32,
        pit_t_min: auger_kg_h / 60_000.0,
        pit_setup_min: p.pit_setup_min,
        drier,
        room_t: f64::INFINITY,
        field_t: (left_ha * yield_kg_ha / 1000.0).max(1.0),
        // Played to the end of the field: what is compared is when it is off.
        day_min: 60.0 * 24.0 * 20.0,
        warm_up_min: 0.0,
        varies: p.varies,
    }
}

fn play(c: &Carried, f: usize, setup: &Setup, width_m: f64) -> Result<HaulField, HaulError> {
    const SEED: u64 = 20;
    let field = &c.model.fields[f];
    let bu = bushels_per_tonne(60.0);
    let summary = haul::replicate(setup, SEED, DAYS)?;
    let worth = hour_worth(c);
    let wheat_ha: f64 = c.model.fields.iter().map(|x| x.area_ha).sum();
    let mut changes = Vec::new();
    for (what, other) in variants(setup) {
        let change = haul::compare(setup, &other, SEED, DAYS)?;
        changes.push(bought(c, what, change, middle_state(c, f).left_ha(Job::Cut), wheat_ha, &worth));
    }
    changes.sort_by(|a, b| b.year_money.total_cmp(&a.year_money));
    let stages: Vec<(&'static str, f64)> =
        setup.stages().into_iter().map(|(n, t)| (n, 60.0 * t * bu)).collect();
    let bottleneck = bottleneck(setup, &summary);
    let yield_bu = kg_ha_to_bu_ac(yield_of(c, f), 60.0);
    let tank_bu = setup.tank_t * bu;
    let combine_bu_h = stages[0].1;
    let truck = &setup.trucks[0];
    let round = queue::trucks_needed(
        combine_bu_h,
        truck.holds_t * bu,
        truck.holds_t / setup.carts.first().map_or(setup.unloads_t_min, |k| k.pours_t_min),
        truck.out_min,
        setup.pit_setup_min + truck.holds_t / setup.pit_t_min,
        truck.back_min,
    );
    let mut working = Working::new(format!("Hauling from {}", field.name));
    for (n, rate) in &stages {
        working = working.line(Op::Note, format!("The {n} alone could do"), *rate, "bu/h", 0);
    }
    let working = working
        .line(Op::Note, "Combine waiting full, share of its time", 100.0 * summary.combine_waits.mean, "%", 1)
        .line(Op::Note, "Combine stopped to unload", 100.0 * summary.combine_unloads.mean, "%", 1)
        .line(Op::Note, "Auger pouring or held", 100.0 * summary.pit_works.mean, "%", 0)
        .line(Op::Note, "Load waiting in line", summary.load_wait_min.mean, "min", 1)
        .sum("Off the field with all the waiting", summary.cut_t_h.mean * bu, "bu/h", 0)
        .note(format!(
            "{} days played event by event; the mean is known to {} bu/h. Every change is played on the same days. A truck leaves when less than a tenth of it is empty; a drier holds the auger when its wet bin is full.",
            summary.days,
            figure(summary.cut_t_h.half * bu, 0)
        ))
        .source("discrete-event simulation, checked against M/M/1, M/D/1 and the machine-repair line (stook prove harvest.hauling) and against another simulator")
        .would_change("your own minutes of road, auger and trips; how much they vary");
    Ok(HaulField {
        field: field.id.to_string(),
        name: field.name.clone(),
        bu_h: summary.cut_t_h.mean * bu,
        bottleneck,
        changes,
        tank_feet: tank_feet(tank_bu, m_to_ft(width_m), yield_bu),
        tank_min: setup.tank_t / setup.cuts_t_min,
        trucks_plain: round.trucks,
        stages,
        summary,
        working,
        setup: setup.clone(),
    })
}

/// The stage that is busy most of the time; the combine when nothing holds it up.
fn bottleneck(s: &Setup, m: &Summary) -> &'static str {
    let held = m.combine_waits.mean;
    if held < 0.03 {
        return "combine";
    }
    let road = 1.0 - m.truck_waits_field.mean - m.truck_waits_yard.mean;
    let mut busy = vec![("trucks", road), ("auger", m.pit_works.mean - m.pit_held.mean)];
    if !s.to_the_edge() {
        busy.push(("cart", m.cart_works.mean));
    }
    if s.drier.is_some() {
        // A full wet bin holds the auger, and the line behind it: that is the drier's doing.
        busy.push(("drier", m.drier_runs.mean));
    }
    busy.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map_or("trucks", |b| b.0)
}

/// When the bins take less than the field: what happens, and whether it happens at once.
fn full_bins(s: &Setup, h: &HaulField, room_t: f64) -> Option<(String, bool)> {
    if room_t >= s.field_t {
        return None;
    }
    let bu = bushels_per_tonne(60.0);
    let left = s.field_t - room_t;
    let truck = s.trucks.first().map_or(1.0, |t| t.holds_t);
    if room_t < truck {
        let words =
            "The bins are full: the auger stops at the first load. What follows is as if room were found.";
        return Some((words.into(), true));
    }
    let hours = h.summary.hours.mean * room_t / s.field_t;
    Some((
        format!(
            "The bins take {} bu of it: after about {} h the auger stops and the trucks stand full with {} bu, {} loads, still in the field.",
            figure(room_t * bu, 0),
            figure(hours, 0),
            figure(left * bu, 0),
            figure((left / truck).ceil(), 0)
        ),
        false,
    ))
}

fn in_words(h: &HaulField) -> (String, String) {
    let m = &h.summary;
    let waits = m.combine_waits.mean;
    let verb = if h.bottleneck == "trucks" { "hold" } else { "holds" };
    let headline = if h.bottleneck == "combine" {
        format!("Nobody holds the combine up in {}.", h.name)
    } else {
        format!("The {} {verb} the combine up in {}.", h.bottleneck, h.name)
    };
    let best = h.changes.first().filter(|b| b.year_money > 0.0 && b.change.hours_sooner.is_clear());
    let bought = best.map_or_else(
        || " No change here buys a clear gain.".to_string(),
        |b| format!(" {}: {}.", b.what, b.words),
    );
    let rate = format!(
        "{} bu an hour come off, the combine waits full {} % of its time, and the field takes {} h.",
        figure(h.bu_h, 0),
        figure(100.0 * waits, 0),
        figure(m.hours.mean, 1)
    );
    (headline, format!("{rate}{bought}"))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |f| f.to_uppercase().chain(letters).collect())
}
