//! Fertilizer entries in a sentence, in the farm's units.

use stook_book::payload::{Grade, NutrientRates, RateUnit, UnitChoice};
use stook_book::{FieldId, Payload};
use stook_measure::{figure, units};
use stook_season::words;

use super::long_day;

/// A rate in the farm's unit, without it.
pub fn rate(u: &UnitChoice, kg_ha: f64) -> f64 {
    if u.rate == RateUnit::LbAc { units::kg_ha_to_lb_ac(kg_ha) } else { kg_ha }
}

/// `78-30-0-10 lb/ac`.
pub fn four(u: &UnitChoice, r: &NutrientRates) -> String {
    let all = [r.n_kg_ha, r.p2o5_kg_ha, r.k2o_kg_ha, r.s_kg_ha].map(|x| figure(rate(u, x), 0));
    format!("{} {}", all.join("-"), u.rate.words())
}

fn grade(g: &Grade) -> String {
    [g.n_pct, g.p2o5_pct, g.k2o_pct, g.s_pct].map(|x| figure(x, 0)).join("-")
}

/// What it says, part by part.
pub fn parts(p: &Payload, u: &UnitChoice, name: &dyn Fn(&FieldId) -> String) -> Vec<Option<String>> {
    match p {
        Payload::FertilizerPlan(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} for {}", four(u, &plan_rates(x)), x.crop_year)),
            x.seed_row.map(|r| format!("{} of it with the seed", four(u, &r))),
            Some(x.placement.words().into()),
            x.why.clone(),
        ],
        Payload::FertilizerApplied(x) => {
            let mut out = vec![Some(name(&x.field))];
            out.extend(x.products.iter().map(|p| {
                let what = p
                    .grade
                    .as_ref()
                    .map_or_else(|| p.product.clone(), |g| format!("{} {}", p.product, grade(g)));
                Some(format!("{} kg of {what}", figure(p.kg, 0)))
            }));
            out.push(x.area_ha.map(|a| words::area(u, a)));
            out
        }
        Payload::DrillSetUp(x) => vec![
            Some(x.machine.to_string()),
            Some(format!("rows {} cm, spread {} cm", figure(x.row_spacing_cm, 1), figure(x.spread_cm, 1))),
            Some(format!("{} tanks", x.tanks.len())),
        ],
        Payload::DrillCatch(x) => vec![
            Some(x.what.clone()),
            Some(format!("{} catches at setting {}", x.caught_kg.len(), x.setting)),
        ],
        Payload::TankLeft(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} left of {} kg in {}", figure(x.left_kg, 0), figure(x.filled_kg, 0), x.tank)),
            x.area_ha.map(|a| words::area(u, a)),
        ],
        Payload::ProductLeast(x) => vec![
            Some(x.product.replace('_', " ")),
            x.least_kg_ha.map(|r| format!("no less than {} {}", figure(rate(u, r), 0), u.rate.words())),
            x.least_kg.map(|k| format!("{} t at least from the dealer", figure(k / 1000.0, 1))),
        ],
        Payload::StrawBaled(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} bales of {} kg", figure(x.bales, 0), figure(x.bale_kg, 0))),
        ],
        Payload::LabLayout(x) => vec![Some(x.name.clone())],
        Payload::RateTable(x) => vec![Some(x.name.clone()), Some(x.source.clone())],
        Payload::PlantBack(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} of {}", x.product, long_day(x.applied))),
            Some(format!("{} after {} months", x.crop.words(), figure(x.months, 0))),
            x.june_to_august_mm.map(|mm| format!("and {} from June to August", words::rain(u, mm))),
        ],
        Payload::ProteinPremium(x) => vec![
            Some(x.buyer.clone()),
            Some(format!(
                "{}{} a tonne a point over {} %",
                u.money,
                figure(x.up_per_t_point, 1),
                figure(x.base_pct, 1)
            )),
        ],
        _ => Vec::new(),
    }
}

/// The four nutrients of a plan.
pub fn plan_rates(x: &stook_book::payload::FertilizerPlan) -> NutrientRates {
    NutrientRates { n_kg_ha: x.n_kg_ha, p2o5_kg_ha: x.p2o5_kg_ha, k2o_kg_ha: x.k2o_kg_ha, s_kg_ha: x.s_kg_ha }
}
