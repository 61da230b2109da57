//! Accepting a field's plan: the seed row is checked first, and what it would not bear is refused with a way out.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use stook_book::payload::{FertilizerPlacement, FertilizerPlan, NutrientRates};
use stook_book::{Entry, Farm, validate};
use stook_fertility::FertilityParams;
use stook_inputs::propose;
use stook_measure::Reference;

use super::{field_soil, to_kg_ha};
use crate::forms::Values;
use crate::pages::enter::latest;
use crate::pages::{Frame, Reply, send};
use crate::server::beside;
use crate::state::Desk;

/// Why a plan's seed row is refused, with the way out and a second opinion; empty when the seed bears it.
pub fn refusals(farm: &Farm, plan: &FertilizerPlan, dry: bool) -> Vec<String> {
    let Some(record) = farm.fields.get(&plan.field) else { return Vec::new() };
    let (reference, _) = farm.reference(&Reference::shipped());
    let row = propose::row(farm, record);
    let checked = propose::safe(&row, plan, dry, &FertilityParams::from_reference(&reference));
    let mut why: Vec<String> = checked.refusals.iter().map(|x| x.sentence()).collect();
    if !why.is_empty() {
        let with_seed = if plan.placement == FertilizerPlacement::SeedRow {
            crate::pages::told_inputs::plan_rates(plan)
        } else {
            plan.seed_row.unwrap_or_default()
        };
        why.extend(propose::stand_loss_words(&row, &with_seed, dry));
    }
    why
}

/// `POST /field/{id}/soil`
pub async fn save(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<String>,
    Posted(typed): Posted<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let year = Values::from([("year".to_string(), typed.get("year").cloned().unwrap_or_default())]);
        let r = field_soil::report(&known, &frame, &id, &year)?;
        let refuse = |why: Vec<String>| {
            let page = send(field_soil::view(&frame, &known.farm, &r, &typed, &why));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        };
        let mut wrong = Vec::new();
        let mut number = |key: &str, word: &str| match typed.get(key).map_or("", |t| t.trim()) {
            "" => 0.0,
            t => match t.replace(',', ".").parse::<f64>() {
                Ok(x) if x.is_finite() && x >= 0.0 => to_kg_ha(&frame.units, x),
                _ => {
                    wrong.push(format!("{word}: \"{t}\" is not a rate; write it in figures, such as 78."));
                    0.0
                }
            },
        };
        let all = NutrientRates {
            n_kg_ha: number("n", "Nitrogen"),
            p2o5_kg_ha: number("p2o5", "Phosphate"),
            k2o_kg_ha: number("k2o", "Potash"),
            s_kg_ha: number("s", "Sulphur"),
        };
        let seed = NutrientRates {
            n_kg_ha: number("seed_n", "Nitrogen with the seed"),
            p2o5_kg_ha: number("seed_p2o5", "Phosphate with the seed"),
            k2o_kg_ha: number("seed_k2o", "Potash with the seed"),
            s_kg_ha: number("seed_s", "Sulphur with the seed"),
        };
        if !wrong.is_empty() {
            return refuse(wrong);
        }
        let placement = typed
            .get("placement")
            .and_then(|k| FertilizerPlacement::from_key(k))
            .unwrap_or(FertilizerPlacement::SideBand);
        let plan = FertilizerPlan {
            field: r.field.as_str().into(),
            crop_year: r.crop_year,
            n_kg_ha: all.n_kg_ha,
            p2o5_kg_ha: all.p2o5_kg_ha,
            k2o_kg_ha: all.k2o_kg_ha,
            s_kg_ha: all.s_kg_ha,
            seed_row: (seed != NutrientRates::default()).then_some(seed),
            placement,
            products: Vec::new(),
            target_yield_kg_ha: r.target_kg_ha,
            manure: (!r.manure.is_none()).then_some(NutrientRates {
                n_kg_ha: r.manure_counted_kg_ha.n,
                p2o5_kg_ha: r.manure_counted_kg_ha.p2o5,
                k2o_kg_ha: r.manure_counted_kg_ha.k2o,
                s_kg_ha: r.manure_counted_kg_ha.s,
            }),
            why: typed.get("why").map(|w| w.trim().to_string()).filter(|w| !w.is_empty()),
        };
        let why = refusals(&known.farm, &plan, typed.contains_key("dry"));
        if !why.is_empty() {
            return refuse(why);
        }
        let who = known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone());
        let entry = Entry::new(frame.minute(), who, plan);
        if let Err(problems) = validate(&entry, &known.farm, &Reference::shipped(), latest(&known, &frame)) {
            return refuse(problems.into_iter().map(|p| p.sentence).collect());
        }
        let id = entry.id;
        desk.store()?.append(&entry)?;
        Ok(Redirect::to(&format!("/saved/{id}")).into_response())
    })
    .await?
}
