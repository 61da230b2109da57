//! What the page, the command and the JSON show.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::{Farm, FieldId};
use stook_fertility::{Nutrient, Nutrients};
use stook_measure::Working;

use super::gather::Gathered;
use super::parts::{blends, litres, names, parts, products};
use super::words;
use crate::blend::{Carrier, Job, Plan, PlanError, own};

/// A product's part of a blend.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// Product.
    pub product: String,
    /// Of it in a tonne, kg.
    pub kg_per_t: f64,
    /// Of it in all, kg.
    pub kg: f64,
}

/// A blend to order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderBlend {
    /// A letter, or the product's name when it is one alone.
    pub name: String,
    /// Parts, the largest first.
    pub parts: Vec<Part>,
    /// Analysis, %.
    pub grade_pct: Nutrients,
    /// Tonnes.
    pub tonnes: f64,
    /// Money.
    pub money: f64,
    /// Fields that get it, with where.
    pub for_fields: Vec<String>,
}

/// What changes when one product's price does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PriceChange {
    /// By this share.
    pub share: f64,
    /// The same order costs so much more (less when negative).
    pub same_order: f64,
    /// The order made anew costs so much more.
    pub new_order: f64,
    /// Of each product in the new order, kg.
    pub kg: Vec<f64>,
}

/// A product of the order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderProduct {
    /// Key.
    pub key: String,
    /// Name with its grade.
    pub name: String,
    /// Tonnes.
    pub tonnes: f64,
    /// The same by volume, m3, for a liquid or ammonia.
    pub m3: Option<f64>,
    /// Money a tonne.
    pub per_t: f64,
    /// Whether that price is ours, as the farm entered none.
    pub assumed: bool,
    /// Money.
    pub money: f64,
    /// Price from which each field by itself would want another mix, money/t.
    pub stays_from_per_t: Option<f64>,
    /// Price up to which it would not.
    pub stays_to_per_t: Option<f64>,
    /// Dearer and cheaper.
    pub changes: Vec<PriceChange>,
    /// What a change alters, in a sentence.
    pub words: String,
}

/// A product on a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldPart {
    /// Key.
    pub product: String,
    /// Rate, kg/ha.
    pub kg_ha: f64,
    /// With the seed.
    pub with_seed: bool,
}

/// A field of the order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderField {
    /// Key.
    pub field: FieldId,
    /// Name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// What the plan asks and is not on yet, kg/ha.
    pub need_kg_ha: Nutrients,
    /// What it gets.
    pub supplied_kg_ha: Nutrients,
    /// Blend in the seed row and its rate, kg/ha.
    pub with_seed: Option<(String, f64)>,
    /// Blend in the band and its rate, kg/ha.
    pub band: Option<(String, f64)>,
    /// Liquid or ammonia in a band of its own and its rate, kg/ha.
    pub fluid: Option<(String, f64)>,
    /// The same by volume, litres a ha; none for what is dry.
    pub fluid_l_ha: Option<f64>,
    /// What it gets product by product.
    pub parts: Vec<FieldPart>,
    /// Nutrient that sets the rate of the band.
    pub sets: Option<Nutrient>,
    /// Money a ha.
    pub per_ha: f64,
    /// Money a ha if the field had blends of its own.
    pub own_per_ha: f64,
    /// What a kg more of each nutrient would cost here with a blend of its own, money.
    pub worth_per_kg: Nutrients,
    /// Sentences.
    pub notes: Vec<String>,
}

/// The cost with so many blends.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// Blends.
    pub blends: usize,
    /// Money; none when so few cannot serve all fields.
    pub money: Option<f64>,
}

/// The order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Order {
    /// Farm.
    pub farm: String,
    /// Day.
    pub as_of: Date,
    /// Year of the harvest.
    pub crop_year: i16,
    /// What to do, in a sentence.
    pub headline: String,
    /// Why and how sure.
    pub why: String,
    /// What would change it.
    pub change: String,
    /// Blends at most, as used.
    pub most_blends: usize,
    /// Blends.
    pub blends: Vec<OrderBlend>,
    /// Products.
    pub products: Vec<OrderProduct>,
    /// Fields.
    pub fields: Vec<OrderField>,
    /// Money.
    pub money: f64,
    /// Money if every field had blends of its own: no order costs less.
    pub floor: f64,
    /// Tonnes.
    pub tonnes: f64,
    /// With fewer and more blends.
    pub choices: Vec<Choice>,
    /// What is left out or taken for granted.
    pub notes: Vec<String>,
    /// What manure spares the order, field by field, and in all, money.
    pub manure_spares: f64,
    /// What can hurt, where the order has it.
    pub caution: Option<&'static str>,
    /// How reckoned.
    pub working: Option<Working>,
}

/// Nothing to order.
pub fn empty(farm: &Farm, on: Date, year: i16, g: Gathered) -> Order {
    let headline = format!("Nothing to order for {year} yet.");
    let why = format!("No field has a fertilizer plan for {year} that is not on already.");
    let change = "Accept a plan on a field's soil page, or write one down as a fertilizer plan.".to_string();
    bare(farm, on, year, g, headline, why, change)
}

/// No order can be made.
pub fn none(farm: &Farm, on: Date, year: i16, g: Gathered, e: &PlanError) -> Order {
    let headline = "No order can be made from these products.".to_string();
    let text = e.to_string();
    let why = format!("{}.", words::capital(text.trim_end_matches('.')));
    let change = "Another product's price, a lower need, or more room for the blend.".to_string();
    bare(farm, on, year, g, headline, why, change)
}

fn bare(
    farm: &Farm,
    on: Date,
    year: i16,
    g: Gathered,
    headline: String,
    why: String,
    change: String,
) -> Order {
    Order {
        farm: farm_name(farm),
        as_of: on,
        crop_year: year,
        headline,
        why,
        change,
        most_blends: g.job.settings.most_blends,
        blends: Vec::new(),
        products: Vec::new(),
        fields: Vec::new(),
        money: 0.0,
        floor: 0.0,
        tonnes: 0.0,
        choices: Vec::new(),
        notes: g.notes,
        manure_spares: 0.0,
        caution: None,
        working: None,
    }
}

fn farm_name(farm: &Farm) -> String {
    farm.set_up.as_ref().map_or_else(|| "Farm".into(), |f| f.is.name.clone())
}

/// The order in full.
#[allow(clippy::too_many_arguments)]
pub fn full(
    farm: &Farm,
    on: Date,
    year: i16,
    g: &Gathered,
    job: &Job,
    plan: &Plan,
    choices: Vec<Choice>,
    changes: Vec<[PriceChange; 2]>,
    per_kg: Nutrients,
) -> Order {
    let units = farm.units();
    let owns: Vec<Option<own::Own>> =
        job.lands.iter().map(|l| own::own(l, &job.offers, &job.settings).ok()).collect();
    let names = names(job, plan);
    let blends = blends(job, plan, &names);
    let products = products(g, job, plan, &owns, changes, &units);
    let fields: Vec<OrderField> = plan
        .fields
        .iter()
        .map(|f| {
            let land = &job.lands[f.land];
            let own = owns[f.land].as_ref();
            OrderField {
                field: g.fields[f.land].clone(),
                name: land.name.clone(),
                area_ha: land.area_ha,
                need_kg_ha: land.need_kg_ha,
                supplied_kg_ha: f.supplied_kg_ha,
                with_seed: f.with_seed.map(|(b, rate)| (names[b].clone(), rate)),
                band: f.band.map(|(b, rate)| (names[b].clone(), rate)),
                fluid: f.fluid.map(|(b, rate)| (names[b].clone(), rate)),
                fluid_l_ha: f.fluid.and_then(|(b, rate)| litres(job, &plan.blends[b].mix, rate)),
                parts: parts(job, plan, f),
                sets: f.sets,
                per_ha: f.per_ha,
                own_per_ha: own.map_or(f.per_ha, |o| o.per_ha),
                worth_per_kg: own.map_or(Nutrients::NONE, |o| o.worth_per_kg),
                notes: words::field_notes(&units, land, f),
            }
        })
        .collect();
    let tonnes = plan.blends.iter().map(|b| b.kg).sum::<f64>() / 1000.0;
    let mut order = Order {
        farm: farm_name(farm),
        as_of: on,
        crop_year: year,
        headline: String::new(),
        why: String::new(),
        change: String::new(),
        most_blends: job.settings.most_blends,
        blends,
        products,
        fields,
        money: plan.money,
        floor: plan.floor,
        tonnes,
        choices,
        notes: g.notes.clone(),
        manure_spares: g.manure.iter().map(|m| m.area_ha * m.spared_kg_ha.worth(per_kg)).sum(),
        caution: plan
            .blends
            .iter()
            .any(|b| b.mix.carrier(&job.offers) == Carrier::Gas)
            .then_some(stook_fertility::safety::ANHYDROUS),
        working: None,
    };
    if job.settings.most_blends > g.job.settings.most_blends {
        order.notes.insert(
            0,
            format!(
                "{} blends cannot serve all fields within the limits, so this order has {}.",
                g.job.settings.most_blends, job.settings.most_blends
            ),
        );
    }
    words::say(&mut order, g, plan, &units);
    order
}
