//! The order: which blends, how many tonnes, what money, and what a price change would alter.

mod answer;
mod gather;
mod offers;
mod parts;
mod words;

use jiff::civil::Date;
use stook_book::Farm;
use stook_book::payload::{FertilizerPlan, NutrientRates, ProductRate};
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::Reference;

pub use answer::{Choice, FieldPart, Order, OrderBlend, OrderField, OrderProduct, Part, PriceChange};
pub use gather::WhatIf;
pub use offers::carrier;
pub use words::capital;

use crate::balance;
use crate::blend::{self, Job, Mix, Plan, PlanError};
use crate::manure::credit::{credit, evening, wanted};
use crate::report::year_decided_on;

/// The order on a day, for the crop year the day's work is for.
pub fn order(farm: &Farm, reference: &Reference, on: Date, what_if: &WhatIf) -> Order {
    let year = what_if.crop_year.unwrap_or_else(|| year_decided_on(on));
    let gathered = gather::gather(farm, reference, on, year, what_if);
    let job = &gathered.job;
    if job.lands.is_empty() {
        return answer::empty(farm, on, year, gathered);
    }
    match best_for(job) {
        Ok(found) => {
            let change = reference.get("order.price_change_pct") / 100.0;
            let changes = (0..job.offers.len()).map(|i| price_change(&found, i, change)).collect();
            let per_kg = crate::prices::nutrient_prices(farm, reference, on).per_kg;
            answer::full(farm, on, year, &gathered, &found.job, &found.plan, found.choices, changes, per_kg)
        }
        Err(e) => answer::none(farm, on, year, gathered, &e),
    }
}

/// The order as plans of its fields, each with its products; a field that has some on already is left out.
pub fn as_plans(farm: &Farm, reference: &Reference, on: Date, order: &Order) -> Vec<FertilizerPlan> {
    let p = FertilityParams::from_reference(reference);
    let rates =
        |n: Nutrients| NutrientRates { n_kg_ha: n.n, p2o5_kg_ha: n.p2o5, k2o_kg_ha: n.k2o, s_kg_ha: n.s };
    order
        .fields
        .iter()
        .filter_map(|f| {
            let record = farm.fields.get(&f.field)?;
            let plan = record.fertilizer_plans.get(&order.crop_year)?;
            if balance::applied(record, order.crop_year).is_some() {
                return None;
            }
            let gives = credit(farm, record, order.crop_year, evening(on), &p).gives_kg_ha;
            let spared = gives.map_with(wanted(farm, record, plan, &p), f64::min);
            let with_seed = f.parts.iter().filter(|x| x.with_seed).fold(Nutrients::NONE, |sum, x| {
                sum + balance::nutrients_of(&x.product, None, x.kg_ha).unwrap_or(Nutrients::NONE)
            });
            let seed = with_seed.map_with(f.need_kg_ha, f64::min);
            let need = rates(f.need_kg_ha);
            Some(FertilizerPlan {
                n_kg_ha: need.n_kg_ha,
                p2o5_kg_ha: need.p2o5_kg_ha,
                k2o_kg_ha: need.k2o_kg_ha,
                s_kg_ha: need.s_kg_ha,
                seed_row: (seed != Nutrients::NONE).then(|| rates(seed)),
                manure: (spared != Nutrients::NONE).then(|| rates(spared)),
                products: f
                    .parts
                    .iter()
                    .map(|x| ProductRate {
                        product: x.product.clone(),
                        kg_ha: x.kg_ha,
                        with_seed: x.with_seed,
                        grade: None,
                    })
                    .collect(),
                ..plan.is.clone()
            })
        })
        .collect()
}

/// The plan with what was found on the way.
struct Found {
    job: Job,
    plan: Plan,
    choices: Vec<Choice>,
    mixes: Vec<Mix>,
}

/// The plan; with more blends than asked when so few cannot serve all.
fn best_for(job: &Job) -> Result<Found, PlanError> {
    let asked = job.settings.most_blends;
    let mut most = asked + 1;
    loop {
        let (plans, mixes) = blend::plans(job, most)?;
        let serves = plans.iter().enumerate().position(|(i, p)| i + 1 >= asked && p.is_some());
        if let Some((i, plan)) = serves.and_then(|i| Some((i, plans[i].clone()?))) {
            let mut job = job.clone();
            job.settings.most_blends = i + 1;
            let choice =
                |(i, p): (usize, &Option<Plan>)| Choice { blends: i + 1, money: p.as_ref().map(|p| p.money) };
            let choices = plans.iter().enumerate().map(choice).collect();
            return Ok(Found { job, plan, choices, mixes });
        }
        // A blend for every field's band and another for its seed row is as many as can be of use.
        if most > 2 * job.lands.len() {
            return Err(PlanError::TooFew { blends: most, fields: job.lands.len(), why: String::new() });
        }
        most += 2;
    }
}

/// One product dearer and cheaper: what it costs to order the same, and what a new order would be.
fn price_change(found: &Found, offer: usize, share: f64) -> [PriceChange; 2] {
    let Found { job, plan, mixes, .. } = found;
    [share, -share].map(|share| {
        let mut other = job.clone();
        other.offers[offer].per_kg *= 1.0 + share;
        let same_order = plan.product_kg[offer] * job.offers[offer].per_kg * share;
        // The mixes of this order are among those of the new one, so it costs no more than to order the same.
        let (new_order, kg) = match blend::plan_again(&other, mixes) {
            Ok(p) => (p.money - plan.money, p.product_kg),
            Err(_) => (same_order, plan.product_kg.clone()),
        };
        PriceChange { share, same_order, new_order, kg }
    })
}
