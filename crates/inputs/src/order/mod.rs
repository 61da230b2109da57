//! The order: which blends, how many tonnes, what money, and what a price change would alter.

mod answer;
mod gather;
mod words;

use jiff::civil::Date;
use stook_book::Farm;
use stook_book::payload::CropPlan;
use stook_measure::Reference;

pub use answer::{Choice, Order, OrderBlend, OrderField, OrderProduct, Part, PriceChange};
pub use gather::WhatIf;

use crate::blend::{self, Job, Plan, PlanError};

/// The order on a day, for the crop year the day's work is for.
pub fn order(farm: &Farm, reference: &Reference, on: Date, what_if: &WhatIf) -> Order {
    let year = what_if.crop_year.unwrap_or_else(|| CropPlan::year_on(on));
    let gathered = gather::gather(farm, reference, on, year, what_if);
    let job = &gathered.job;
    if job.lands.is_empty() {
        return answer::empty(farm, on, year, gathered);
    }
    match best_for(job) {
        Ok((job, plan)) => {
            let choices = choices(&job, &plan);
            let change = reference.get("order.price_change_pct") / 100.0;
            let changes = (0..job.offers.len()).map(|i| price_change(&job, &plan, i, change)).collect();
            answer::full(farm, on, year, &gathered, &job, &plan, choices, changes)
        }
        Err(e) => answer::none(farm, on, year, gathered, &e),
    }
}

/// The plan; with more blends than asked when so few cannot serve all.
fn best_for(job: &Job) -> Result<(Job, Plan), PlanError> {
    let mut job = job.clone();
    loop {
        match blend::plan(&job) {
            Err(PlanError::TooFew { .. }) if job.settings.most_blends < job.lands.len() + 2 => {
                job.settings.most_blends += 1;
            }
            Err(e) => return Err(e),
            Ok(plan) => return Ok((job, plan)),
        }
    }
}

/// What the order would cost with fewer and more blends.
fn choices(job: &Job, plan: &Plan) -> Vec<Choice> {
    let here = job.settings.most_blends;
    (1..=here + 1)
        .map(|blends| {
            let money = if blends == here {
                Some(plan.money)
            } else {
                let mut other = job.clone();
                other.settings.most_blends = blends;
                blend::plan(&other).ok().map(|p| p.money)
            };
            Choice { blends, money }
        })
        .collect()
}

/// One product dearer and cheaper: what it costs to order the same, and what a new order would be.
fn price_change(job: &Job, plan: &Plan, offer: usize, share: f64) -> [PriceChange; 2] {
    [share, -share].map(|share| {
        let mut other = job.clone();
        other.offers[offer].per_kg *= 1.0 + share;
        let same_order = plan.product_kg[offer] * job.offers[offer].per_kg * share;
        let (new_order, kg) = match blend::plan(&other) {
            Ok(p) => (p.money - plan.money, p.product_kg),
            Err(_) => (same_order, plan.product_kg.clone()),
        };
        // Its own mixes are chosen among anew, so keeping the old order is always open too.
        let (new_order, kg) =
            if new_order <= same_order { (new_order, kg) } else { (same_order, plan.product_kg.clone()) };
        PriceChange { share, same_order, new_order, kg }
    })
}
