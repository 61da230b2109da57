//! From the book: fields with a plan, products with a price, the drill and the seed row.

use std::collections::BTreeMap;

use jiff::civil::Date;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::{Crop, DrillSetUp, FertilizerPlacement, FertilizerPlan};
use stook_book::{Farm, FieldId};
use stook_fertility::product::Product;
use stook_fertility::seed_row::PhosphateRow;
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::{Reference, units};

use super::offers::offers;
use crate::blend::{Job, Land, Meter, RowLimits, Settings};
use crate::manure::credit::{credit, evening, wanted};
use crate::{balance, propose};

/// What is asked differently from what the book says.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WhatIf {
    /// Another crop year.
    pub crop_year: Option<i16>,
    /// Other blends at most.
    pub blends: Option<usize>,
    /// Other prices by product, money/t.
    pub per_t: BTreeMap<String, f64>,
}

/// What was found.
#[derive(Debug, Clone)]
pub struct Gathered {
    /// The job for the solver.
    pub job: Job,
    /// Fields of the job in its order.
    pub fields: Vec<FieldId>,
    /// Products whose price is ours.
    pub assumed: Vec<String>,
    /// Sentences on what is left out or taken for granted.
    pub notes: Vec<String>,
    /// What manure takes off the needs.
    pub manure: Vec<ManureSpares>,
}

/// Fertilizer that manure spares a field.
#[derive(Debug, Clone, PartialEq)]
pub struct ManureSpares {
    /// Name.
    pub field: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Spared, kg/ha.
    pub spared_kg_ha: Nutrients,
}

/// Reads it.
pub fn gather(farm: &Farm, reference: &Reference, on: Date, year: i16, what_if: &WhatIf) -> Gathered {
    let mut notes = Vec::new();
    let mut lands = Vec::new();
    let mut fields = Vec::new();
    let (mut unplanned, mut done, mut manure) = (Vec::new(), Vec::new(), Vec::new());
    for (id, record) in &farm.fields {
        let Some(plan) = record.fertilizer_plans.get(&year).filter(|p| p.on() <= on) else {
            if record.plan(year).is_some_and(|p| !matches!(p.crop, Crop::Fallow)) {
                unplanned.push(record.field().name.clone());
            }
            continue;
        };
        // Scales are never out by nothing: a whole field that is on is on, though a few pounds are missing.
        if record.fertilizer.iter().any(|f| f.is.crop_year == year && f.is.area_ha.is_none()) {
            done.push(record.field().name.clone());
            continue;
        }
        let land = land(farm, record, plan, reference, (on, year), &mut notes, &mut manure);
        if crate::blend::is_nothing(land.need_kg_ha) {
            notes.push(format!("{} needs nothing more.", land.name));
        } else {
            lands.push(land);
            fields.push(id.clone());
        }
    }
    if !done.is_empty() {
        notes.push(format!("On already and left out: {}.", stook_season::model::list(&done)));
    }
    if !unplanned.is_empty() {
        notes.push(format!(
            "Not in this order, since no fertilizer plan is accepted for {year}: {}.",
            stook_season::model::list(&unplanned)
        ));
    }
    if propose::drill(farm).is_none() && lands.iter().any(|l| !crate::blend::is_nothing(l.wanted_with_seed()))
    {
        notes.push("The drill's rows are not in the book: 10 in rows with a 1 in spread are taken for what the seed bears.".into());
    }
    let drill = propose::drill(farm);
    one_fertilizer_tank(drill, &mut lands, &mut notes);
    let all_with_seed = lands.iter().any(|l| !l.band);
    let (offers, assumed) = offers(farm, reference, on, what_if, all_with_seed, &mut notes);
    let settings = settings(reference, what_if, drill);
    Gathered { job: Job { lands, offers, settings }, fields, assumed, notes, manure }
}

/// A drill with one tank for fertilizer lays all of it in one place.
fn one_fertilizer_tank(drill: Option<&DrillSetUp>, lands: &mut [Land], notes: &mut Vec<String>) {
    match drill.map(|d| d.tanks.len()) {
        Some(1) => notes.push(
            "The drill in the book has no tank for fertilizer: this goes on in a pass of its own.".into(),
        ),
        Some(2) => {
            let mut moved = false;
            for l in lands.iter_mut().filter(|l| l.band && !crate::blend::is_nothing(l.with_seed_kg_ha)) {
                l.with_seed_kg_ha = Nutrients::NONE;
                moved = true;
            }
            if moved {
                notes.push(
                    "The drill has one tank for fertilizer, so what the plans have with the seed goes in the band with the rest."
                        .into(),
                );
            }
        }
        _ => {}
    }
}

fn settings(r: &Reference, what_if: &WhatIf, drill: Option<&DrillSetUp>) -> Settings {
    // The first tank is for seed; the second for what goes with it, the rest for the band.
    let meter = |i: usize| {
        let tank = drill.and_then(|d| if i < d.tanks.len() { d.tanks.get(i) } else { d.tanks.get(1) });
        tank.map_or_else(Meter::default, |t| Meter {
            least_kg_ha: t.least_kg_ha.unwrap_or(0.0),
            most_kg_ha: t.most_kg_ha,
        })
    };
    let get = |what: &str| r.get(&format!("order.blend.{what}"));
    Settings {
        most_blends: what_if.blends.unwrap_or(get("most").round().max(1.0) as usize),
        rate_step_kg_ha: units::lb_ac_to_kg_ha(get("rate_step_lb_ac")),
        part_step_kg_t: get("part_step_kg_t"),
        rate_max_kg_ha: units::lb_ac_to_kg_ha(get("rate_max_lb_ac")),
        short_kg_ha: units::lb_ac_to_kg_ha(get("short_lb_ac")),
        n_over_kg_ha: units::lb_ac_to_kg_ha(get("n_over_lb_ac")),
        blend_least_kg: 1000.0 * get("least_t"),
        seed_meter: meter(1),
        band_meter: meter(2),
    }
}

fn land(
    farm: &Farm,
    record: &FieldRecord,
    plan: &Fact<FertilizerPlan>,
    reference: &Reference,
    (day, year): (Date, i16),
    notes: &mut Vec<String>,
    manure: &mut Vec<ManureSpares>,
) -> Land {
    let field = record.field();
    let params = FertilityParams::from_reference(reference);
    let on = balance::applied(record, year).unwrap_or(Nutrients::NONE);
    let gives = credit(farm, record, year, evening(day), &params).gives_kg_ha;
    let wanted = wanted(farm, record, plan, &params);
    let need_kg_ha = (on + gives).short_of(wanted);
    let spared = gives.map_with(wanted, f64::min);
    if spared != Nutrients::NONE {
        manure.push(ManureSpares { field: field.name.clone(), area_ha: field.area_ha, spared_kg_ha: spared });
    }
    if on != Nutrients::NONE {
        notes.push(format!("{}: what is on already is taken off.", field.name));
    }
    let seed = plan
        .is
        .seed_row
        .map_or(Nutrients::NONE, |r| Nutrients::new(r.n_kg_ha, r.p2o5_kg_ha, r.k2o_kg_ha, r.s_kg_ha));
    // Phosphate is what the seed row is for; nitrogen comes with it as the product brings it.
    let with_seed_kg_ha = Nutrients::new(0.0, seed.p2o5.min(need_kg_ha.p2o5), 0.0, 0.0);
    let crop = record.plan(year).map_or(Crop::SpringWheat, |p| p.crop.clone());
    let limits = row_limits(farm, record, &crop, reference);
    let bears = limits.p2o5_kg_ha.unwrap_or(0.0);
    let with_seed_kg_ha = if bears > 0.0 { with_seed_kg_ha } else { Nutrients::NONE };
    Land {
        key: field.id.to_string(),
        name: field.name.clone(),
        area_ha: field.area_ha,
        need_kg_ha,
        with_seed_kg_ha,
        limits,
        band: plan.is.placement != FertilizerPlacement::SeedRow,
        no_gas: plan.is.placement == FertilizerPlacement::Broadcast,
    }
}

/// The most a field's seed row bears of each, kg/ha.
fn row_limits(farm: &Farm, record: &FieldRecord, crop: &Crop, reference: &Reference) -> RowLimits {
    let row = propose::row(farm, record);
    let found = propose::bare_limits(&row, &FertilityParams::from_reference(reference));
    let kg = units::lb_ac_to_kg_ha;
    let table = match crop {
        Crop::SpringWheat | Crop::Durum | Crop::Barley | Crop::Oats => {
            return RowLimits {
                urea_n_kg_ha: kg(found.urea_n_lb_ac),
                p2o5_kg_ha: found.p2o5_lb_ac.map(kg),
                n_k_kg_ha: kg(found.n_k_lb_ac),
            };
        }
        Crop::Canola => "canola",
        Crop::Peas => "pea",
        Crop::Flax => "flax",
        _ => "",
    };
    // The urea table is for cereals. Of another crop only the phosphate limit is known, with the nitrogen that comes in it.
    let p2o5 = PhosphateRow::limit(table, row.province);
    let n_with_it = Product::of("map").map_or(0.0, |m| m.n_pct / m.p2o5_pct);
    RowLimits { urea_n_kg_ha: 0.0, p2o5_kg_ha: p2o5.map(kg), n_k_kg_ha: kg(p2o5.unwrap_or(0.0)) * n_with_it }
}
