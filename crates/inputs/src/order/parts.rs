//! The order's blends, products and what each field gets, from the plan.

use stook_fertility::product::Product;

use super::answer::{FieldPart, OrderBlend, OrderProduct, Part, PriceChange};
use super::gather::Gathered;
use super::words;
use crate::blend::{Carrier, Job, Plan, own};

/// The volume of a mass of a liquid or gas, litres.
pub(super) fn litres(job: &Job, mix: &crate::blend::Mix, kg: f64) -> Option<f64> {
    let [(only, _)] = mix.parts.as_slice() else { return None };
    litres_of(&job.offers[*only], kg)
}

pub(super) fn litres_of(o: &crate::blend::Offer, kg: f64) -> Option<f64> {
    if o.carrier == Carrier::Dry {
        return None;
    }
    let (low, high) = Product::of(&o.key)?.density_kg_m3()?;
    Some(1000.0 * kg / (0.5 * (low + high)))
}

/// A field's products, what goes with the seed first.
pub(super) fn parts(job: &Job, plan: &Plan, f: &crate::blend::FieldMix) -> Vec<FieldPart> {
    let mut out: Vec<FieldPart> = Vec::new();
    for (stream, with_seed) in [(f.with_seed, true), (f.band, false), (f.fluid, false)] {
        let Some((b, rate)) = stream else { continue };
        for (offer, share) in &plan.blends[b].mix.parts {
            out.push(FieldPart { product: job.offers[*offer].key.clone(), kg_ha: rate * share, with_seed });
        }
    }
    out
}

/// A letter for a mix, the key for a product alone.
pub(super) fn names(job: &Job, plan: &Plan) -> Vec<String> {
    let mut letters = ('A'..='Z').map(|c| format!("blend {c}"));
    plan.blends
        .iter()
        .map(|b| match b.mix.parts.as_slice() {
            [(only, _)] => format!("straight {}", words::short(&job.offers[*only])),
            _ => letters.next().unwrap_or_else(|| "blend".into()),
        })
        .collect()
}

pub(super) fn blends(job: &Job, plan: &Plan, names: &[String]) -> Vec<OrderBlend> {
    plan.blends
        .iter()
        .enumerate()
        .map(|(i, b)| {
            let mut parts: Vec<Part> = b
                .mix
                .parts
                .iter()
                .map(|(o, share)| Part {
                    product: job.offers[*o].name.clone(),
                    kg_per_t: 1000.0 * share,
                    kg: b.kg * share,
                })
                .collect();
            parts.sort_by(|a, b| b.kg_per_t.total_cmp(&a.kg_per_t));
            let with = |mix: &Option<(usize, f64)>| mix.is_some_and(|(b, _)| b == i);
            let for_fields = plan
                .fields
                .iter()
                .filter_map(|f| {
                    let name = &job.lands[f.land].name;
                    match (with(&f.with_seed), with(&f.band) || with(&f.fluid)) {
                        (true, true) => Some(format!("{name} (seed row and band)")),
                        (true, false) => Some(format!("{name} (with the seed)")),
                        (false, true) => Some(name.clone()),
                        _ => None,
                    }
                })
                .collect();
            OrderBlend {
                name: names[i].clone(),
                parts,
                grade_pct: b.grade_pct,
                tonnes: b.kg / 1000.0,
                money: b.money,
                for_fields,
            }
        })
        .collect()
}

pub(super) fn products(
    g: &Gathered,
    job: &Job,
    plan: &Plan,
    owns: &[Option<own::Own>],
    changes: Vec<[PriceChange; 2]>,
    units: &stook_book::payload::UnitChoice,
) -> Vec<OrderProduct> {
    job.offers
        .iter()
        .zip(changes)
        .enumerate()
        .map(|(i, (o, changes))| {
            let spans: Vec<_> = owns.iter().flatten().map(|own| own.price_stays[i]).collect();
            let from = spans.iter().filter_map(|s| s.low).fold(f64::NEG_INFINITY, f64::max);
            let to = spans.iter().filter_map(|s| s.high).fold(f64::INFINITY, f64::min);
            let per_t = |x: f64| x.is_finite().then_some(1000.0 * x).filter(|x| *x > 0.0);
            let kg = plan.product_kg[i];
            OrderProduct {
                key: o.key.clone(),
                name: o.name.clone(),
                tonnes: kg / 1000.0,
                m3: litres_of(o, kg).map(|l| l / 1000.0),
                per_t: 1000.0 * o.per_kg,
                assumed: g.assumed.contains(&o.key),
                money: kg * o.per_kg,
                stays_from_per_t: per_t(from),
                stays_to_per_t: per_t(to),
                words: words::price_change(units, job, plan, i, &changes),
                changes: changes.to_vec(),
            }
        })
        .collect()
}
