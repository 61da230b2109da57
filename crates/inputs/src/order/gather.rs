//! From the book: fields with a plan, products with a price, the drill and the seed row.

use std::collections::BTreeMap;

use jiff::civil::Date;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::{Crop, FertilizerPlacement, FertilizerPlan};
use stook_book::{Farm, FieldId};
use stook_fertility::product::Product;
use stook_fertility::seed_row::PhosphateRow;
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::{Reference, units};

use crate::blend::{Job, Land, Offer, RowLimits, Settings};
use crate::manure::gather::credit;
use crate::prices::{money_per_kg, nutrient_prices};
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
}

/// Reads it.
pub fn gather(farm: &Farm, reference: &Reference, on: Date, year: i16, what_if: &WhatIf) -> Gathered {
    let mut notes = Vec::new();
    let mut lands = Vec::new();
    let mut fields = Vec::new();
    let (mut unplanned, mut done) = (Vec::new(), Vec::new());
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
        let land = land(farm, record, plan, reference, (on, year), &mut notes);
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
    let all_with_seed = lands.iter().any(|l| !l.band);
    let (offers, assumed) = offers(farm, reference, on, what_if, all_with_seed, &mut notes);
    let settings = settings(reference, what_if);
    Gathered { job: Job { lands, offers, settings }, fields, assumed, notes }
}

fn settings(r: &Reference, what_if: &WhatIf) -> Settings {
    let get = |what: &str| r.get(&format!("order.blend.{what}"));
    Settings {
        most_blends: what_if.blends.unwrap_or(get("most").round().max(1.0) as usize),
        rate_step_kg_ha: units::lb_ac_to_kg_ha(get("rate_step_lb_ac")),
        part_step_kg_t: get("part_step_kg_t"),
        rate_max_kg_ha: units::lb_ac_to_kg_ha(get("rate_max_lb_ac")),
        short_kg_ha: units::lb_ac_to_kg_ha(get("short_lb_ac")),
        n_over_kg_ha: units::lb_ac_to_kg_ha(get("n_over_lb_ac")),
        blend_least_kg: 1000.0 * get("least_t"),
    }
}

fn land(
    farm: &Farm,
    record: &FieldRecord,
    plan: &Fact<FertilizerPlan>,
    reference: &Reference,
    (day, year): (Date, i16),
    notes: &mut Vec<String>,
) -> Land {
    let field = record.field();
    let planned = Nutrients::new(plan.is.n_kg_ha, plan.is.p2o5_kg_ha, plan.is.k2o_kg_ha, plan.is.s_kg_ha);
    let params = FertilityParams::from_reference(reference);
    let on = balance::applied(record, year).unwrap_or(Nutrients::NONE);
    // What was hauled before the plan was accepted is taken to be in it.
    let manure = credit(farm, record, plan.on(), day, &params);
    if manure != Nutrients::NONE {
        notes.push(format!("{}: the manure hauled since its plan is taken off.", field.name));
    }
    let need_kg_ha = (on + manure).short_of(planned);
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

/// The products most farms are offered; where one has no price, that of its nutrients stands in.
const USUAL: [&str; 4] = ["urea", "map", "potash", "ams"];

fn offers(
    farm: &Farm,
    reference: &Reference,
    on: Date,
    what_if: &WhatIf,
    all_with_seed: bool,
    notes: &mut Vec<String>,
) -> (Vec<Offer>, Vec<String>) {
    let ours = nutrient_prices(farm, reference, on).per_kg;
    let mut assumed = Vec::new();
    let mut liquids = Vec::new();
    let mut out = Vec::new();
    for p in Product::shipped() {
        let own = what_if.per_t.get(&p.key).map(|per_t| per_t / 1000.0);
        let price = own.or_else(|| farm.price(&p.key, on).and_then(money_per_kg));
        let per_kg = match price {
            Some(x) => x,
            None if USUAL.contains(&p.key.as_str()) => {
                assumed.push(p.key.clone());
                p.in_mass(1.0).worth(ours)
            }
            None => continue,
        };
        if !matches!(p.form.as_str(), "granular" | "prill") {
            liquids.push(p.name.clone());
            continue;
        }
        if p.key == "elemental_s" {
            notes.push(
                "Elemental sulphur acts the year after at the earliest, so it is not counted for this crop."
                    .into(),
            );
            continue;
        }
        // Beside a band only the phosphate that is known as mild lies with the seed.
        let near_seed =
            p.key == "map" || (all_with_seed && !matches!(p.key.as_str(), "dap" | "ammonium_nitrate"));
        out.push(Offer {
            key: p.key.clone(),
            name: p.name.clone(),
            grade_pct: p.grade_pct(),
            per_kg,
            near_seed,
            least_kg: 0.0,
        });
    }
    if !liquids.is_empty() {
        notes.push(format!(
            "Priced but not put in a blend, as liquids and gas go on by themselves: {}.",
            stook_season::model::list(&liquids)
        ));
    }
    (out, assumed)
}
