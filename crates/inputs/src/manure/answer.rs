//! What the page, the command and the JSON show of the pits.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::payload::{ManureMethod, UnitChoice};
use stook_book::{Farm, FieldId};
use stook_fertility::manure::rules::CHECK_LOCAL_LAW;
use stook_fertility::safety::MANURE_GAS;
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::units::{HA_PER_ACRE, L_PER_IMPERIAL_GALLON};
use stook_measure::{Reference, figure};
use stook_season::words::day;

use super::gather::{self, Content, Law};
use super::haul::{Haul, haul};
use super::plan::{Ground, Job, PlanError, Store, plan};
use super::room::{self, Room};
use super::say::{room_words, say};
use super::ways::{self, Air, Way};
use crate::prices::{NutrientPrices, assumed_sentence, nutrient_prices};
use crate::report::year_decided_on;

/// A pit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pit {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Room; none until a level is written down.
    pub room: Option<Room>,
    /// Must leave before winter so that it lasts, m3.
    pub must_m3: f64,
    /// Last open day before the closed days.
    pub last_open: Option<Date>,
    /// First open day after.
    pub opens: Option<Date>,
    /// Left after the plan, m3.
    pub left_m3: f64,
    /// What one m3 more would be worth after its haul, money.
    pub worth_per_m3: f64,
    /// All in a m3 as fertilizer is counted, kg.
    pub whole_kg_m3: Nutrients,
    /// Of use to the crop in a m3, kg.
    pub available_kg_m3: Nutrients,
    /// Where the analysis is from.
    pub analysis_from: String,
    /// In words.
    pub words: String,
}

/// A field's manure plan in the book.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Planned {
    /// Key of the field.
    pub field: FieldId,
    /// Name.
    pub name: String,
    /// Key of the pit.
    pub store: String,
    /// Planned, m3.
    pub m3: f64,
    /// Hauled of it since the last harvest, m3.
    pub hauled_m3: f64,
    /// How.
    pub method: ManureMethod,
}

fn planned(farm: &Farm, year: i16, on: Date) -> Vec<Planned> {
    let of = |(id, r): (&FieldId, &stook_book::farm::FieldRecord)| {
        let plan = r.manure_plans.iter().rfind(|p| p.is.crop_year == year && p.on() <= on)?;
        let hauled = r.manure.iter().filter(|h| h.on() <= on && year_decided_on(h.on()) == year);
        (plan.is.volume_m3 > 0.0).then(|| Planned {
            field: id.clone(),
            name: r.field().name.clone(),
            store: plan.is.store.to_string(),
            m3: plan.is.volume_m3,
            hauled_m3: hauled.map(|h| h.is.volume_m3).sum(),
            method: plan.is.method,
        })
    };
    farm.fields.iter().filter_map(of).collect()
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Manure {
    /// Farm.
    pub farm: String,
    /// Day.
    pub as_of: Date,
    /// Year of the harvest the manure feeds.
    pub crop_year: i16,
    /// What to do.
    pub headline: String,
    /// Why and how sure.
    pub why: String,
    /// What would change it.
    pub change: String,
    /// Pits.
    pub pits: Vec<Pit>,
    /// Fields, the most worth by the load first.
    pub hauls: Vec<Haul>,
    /// Way taken.
    pub method: ManureMethod,
    /// Ways compared.
    pub ways: Vec<Way>,
    /// Air that the second opinion on the ways takes.
    pub air: Air,
    /// Days until it is worked in, where they were said.
    pub days: Option<f64>,
    /// Manure plans in the book for this crop year.
    pub planned: Vec<Planned>,
    /// Fields that get none and why.
    pub none_for: Vec<String>,
    /// Whose rule, and where it was read.
    pub law: String,
    /// Distances to keep and the rest.
    pub law_lines: Vec<String>,
    /// Whether the rule is the shipped example.
    pub law_is_example: bool,
    /// The sentence on local law.
    pub check_law: &'static str,
    /// What can kill.
    pub caution: &'static str,
    /// Fertilizer saved less haul, money.
    pub net: f64,
    /// A load, m3.
    pub load_m3: f64,
    /// Sentences.
    pub notes: Vec<String>,
}

/// Volume in the farm's words.
pub fn volume(u: &UnitChoice, m3: f64) -> String {
    if u.area == stook_book::payload::AreaUnit::Acres {
        let gallons = m3 * 1000.0 / L_PER_IMPERIAL_GALLON;
        let step = 10f64.powf((gallons.abs().max(1.0).log10().floor() - 2.0).max(0.0));
        format!("{} gal", figure((gallons / step).round() * step, 0))
    } else {
        format!("{} m3", figure(m3, 0))
    }
}

/// A rate in the farm's words.
pub fn rate(u: &UnitChoice, m3_ha: f64) -> String {
    if u.area == stook_book::payload::AreaUnit::Acres {
        let gallons = m3_ha * 1000.0 / L_PER_IMPERIAL_GALLON * HA_PER_ACRE;
        format!("{} gal/ac", figure((gallons / 50.0).round() * 50.0, 0))
    } else {
        format!("{} m3/ha", figure(m3_ha, 0))
    }
}

/// The answer on a day.
pub fn manure(
    farm: &Farm,
    reference: &Reference,
    on: Date,
    way: Option<(ManureMethod, Option<f64>)>,
    air: Option<Air>,
) -> Manure {
    let u = farm.units();
    let p = FertilityParams::from_reference(reference);
    let law = gather::law(farm);
    let year = year_decided_on(on);
    let prices = nutrient_prices(farm, reference, on);
    let (how, days) = way.unwrap_or_else(|| gather::usual_method(farm, on));
    let mut out = Manure {
        farm: farm.set_up.as_ref().map_or_else(|| "Farm".into(), |f| f.is.name.clone()),
        as_of: on,
        crop_year: year,
        headline: String::new(),
        why: String::new(),
        change: "A stirred sample of the pit, a soil test, a fertilizer price, or your own cost of a load."
            .into(),
        pits: Vec::new(),
        hauls: Vec::new(),
        method: how,
        ways: Vec::new(),
        air: air.unwrap_or_default(),
        days,
        planned: planned(farm, year, on),
        none_for: Vec::new(),
        law: format!("{} ({})", law.name, law.source),
        law_lines: law.lines.clone(),
        law_is_example: law.example,
        check_law: CHECK_LOCAL_LAW,
        caution: MANURE_GAS,
        net: 0.0,
        load_m3: reference.get("order.manure.load_m3"),
        notes: assumed_sentence(&prices).into_iter().collect(),
    };
    let mut stores = Vec::new();
    for s in farm.manure_stores.values() {
        let content = gather::content(s, on, &p.manure);
        let room = gather::room_of(s, on);
        let (pit, store) = pit(
            &u,
            s.set_up.is.name.clone(),
            s.set_up.is.id.to_string(),
            room,
            content.as_ref(),
            &law,
            on,
            gather::method(how, days),
            &p,
        );
        out.pits.push(pit);
        if let (Some(store), Some(c)) = (store, content) {
            stores.push((store, c));
        }
    }
    if out.pits.is_empty() {
        out.headline = "No pit is in the book.".into();
        out.why = "Write the pit down in Set-up, then the head over it and how full it is.".into();
        return out;
    }
    if stores.is_empty() {
        out.headline = "How full is the pit?".into();
        out.why =
            "Write down its level and the head over it, or a test; the room and the fields follow.".into();
        return out;
    }
    let (job, found) = job(farm, reference, on, year, &law, &stores, &prices, &mut out);
    if job.grounds.is_empty() {
        out.headline = format!("No field may or need get manure for {year}.");
        out.why = room_words(&u, &out.pits, on);
        return out;
    }
    match plan(&job) {
        Ok(planned) => {
            let (m3, ha) = planned
                .spreads
                .iter()
                .fold((0.0, 0.0), |(m3, ha), s| (m3 + s.m3.iter().sum::<f64>(), ha + s.area_ha));
            let rate_m3_ha = if ha > 0.0 { m3 / ha } else { 40.0 };
            out.ways = ways::ways(&job, &stores, rate_m3_ha, out.air, &p);
            for (pit, (left, worth)) in out
                .pits
                .iter_mut()
                .filter(|p| p.room.is_some())
                .zip(planned.left_m3.iter().zip(&planned.worth_per_m3))
            {
                pit.left_m3 = *left;
                pit.worth_per_m3 = *worth;
            }
            out.net = planned.net;
            out.hauls =
                planned.spreads.iter().map(|s| haul(&u, reference, &job, &found, s, &prices)).collect();
            say(&u, &mut out, &law, on);
        }
        Err(PlanError::NoRoom(c)) => {
            out.headline = "What must leave the pit has nowhere to go.".into();
            out.why = format!("{}.", crate::order::capital(&PlanError::NoRoom(c).to_string()));
        }
        Err(PlanError::Solver(e)) => {
            out.headline = "No plan was found.".into();
            out.why = format!("{e}.");
        }
    }
    out
}

#[allow(clippy::too_many_arguments)]
fn pit(
    u: &UnitChoice,
    name: String,
    key: String,
    room: Option<Room>,
    content: Option<&Content>,
    law: &Law,
    on: Date,
    method: (stook_fertility::manure::nitrogen::Method, f64),
    p: &FertilityParams,
) -> (Pit, Option<Store>) {
    let window = law.closed.as_ref().map(|c| room::window(c, on));
    let open_now = law.closed.as_ref().is_none_or(|c| !c.holds(on.month() as u8, on.day() as u8));
    let must_m3 = match (&room, window) {
        // What must leave before winter is a matter of the fall; in spring and summer there is time.
        (Some(r), Some((last, opens))) if open_now && room::days_between(on, last) <= 100 => {
            room::must_leave_m3(r, on, opens)
        }
        _ => 0.0,
    };
    let available =
        content.and_then(|c| gather::of_use(&c.analysis, method, &p.manure).ok()).unwrap_or(Nutrients::NONE);
    let whole = content.map_or(Nutrients::NONE, |c| c.analysis.whole());
    let store = room.zip(content).map(|(r, _)| Store {
        key: key.clone(),
        name: name.clone(),
        held_m3: r.held_m3,
        must_m3,
        available_kg_m3: available,
        whole_kg_m3: whole,
    });
    let words = room.map_or_else(
        || "Its level is not written down yet.".to_string(),
        |r| {
            let full = match (r.days, r.full_on) {
                (Some(d), _) if d < 1.0 => "It is full.".to_string(),
                (Some(d), Some(on)) => format!("Room for {} days, to {}.", figure(d.floor(), 0), day(on)),
                _ => "Nothing flows in: write down the head over it.".into(),
            };
            format!("About {} of {} is in it. {full}", volume(u, r.held_m3), volume(u, r.capacity_m3))
        },
    );
    let pit = Pit {
        key,
        name,
        room,
        must_m3,
        last_open: window.map(|w| w.0),
        opens: window.map(|w| w.1),
        left_m3: room.map_or(0.0, |r| r.held_m3),
        worth_per_m3: 0.0,
        whole_kg_m3: whole,
        available_kg_m3: available,
        analysis_from: content.map_or_else(|| "no test and no head over it".into(), |c| c.from.clone()),
        words,
    };
    (pit, store)
}

#[allow(clippy::too_many_arguments)]
fn job(
    farm: &Farm,
    reference: &Reference,
    on: Date,
    year: i16,
    law: &Law,
    stores: &[(Store, Content)],
    prices: &NutrientPrices,
    out: &mut Manure,
) -> (Job, Vec<(FieldId, gather::Found, f64)>) {
    let get = |what: &str| reference.get(&format!("order.manure.{what}"));
    let load = get("load_m3");
    let mut found = Vec::new();
    for (id, record) in &farm.fields {
        match gather::found(farm, record, year, on, law, reference) {
            Ok(mut f) => {
                let km = record.field().distance_km.unwrap_or_else(|| {
                    f.taken.push("road distance not written down; 3 km taken".into());
                    3.0
                });
                let per_m3 = (get("load_fixed") + get("load_per_km") * km) / load;
                f.ground.haul_per_m3 = vec![per_m3; stores.len()];
                found.push((id.clone(), f, km));
            }
            Err(why) => out.none_for.push(why),
        }
    }
    let grounds: Vec<Ground> = found.iter().map(|f| f.1.ground.clone()).collect();
    let job = Job {
        stores: stores.iter().map(|s| s.0.clone()).collect(),
        grounds,
        per_kg: prices.per_kg,
        least_m3_ha: get("rate_least_m3_ha"),
        most_m3_ha: get("rate_most_m3_ha"),
    };
    if stores.iter().any(|s| s.1.ammonium_guessed) {
        out.notes
            .push("The ammonium is a guess, two thirds of the nitrogen: ask the laboratory for it.".into());
    }
    (job, found)
}
