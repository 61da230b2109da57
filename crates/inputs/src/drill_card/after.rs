//! What was caught, what went on against the plan, and the plants against the target.

use stook_book::Farm;
use stook_book::farm::FieldRecord;
use stook_book::payload::FertilizerPlan;
use stook_fertility::drill::{calibrate, strip_ha};
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::figure;
use stook_measure::units::{kg_ha_to_lb_ac, per_m2_to_per_ft2};

use super::{Applied, CatchLine, Seed};
use crate::balance::{self, nutrients_of};
use crate::words::sentence;

pub(super) fn catches(farm: &Farm, f: &FertilityParams) -> Vec<CatchLine> {
    let mut newest: std::collections::BTreeMap<String, CatchLine> = std::collections::BTreeMap::new();
    for c in &farm.catches {
        let is = calibrate(
            &c.is.caught_kg,
            strip_ha(c.is.width_m, c.is.distance_m),
            c.is.wanted_kg_ha,
            c.is.setting,
            &f.drill,
        )
        .map_err(|e| sentence(&e.to_string()));
        newest.insert(c.is.what.clone(), CatchLine { what: c.is.what.clone(), on: c.on(), is });
    }
    newest.into_values().collect()
}

pub(super) fn applied(record: &FieldRecord, year: i16, plan: Option<&FertilizerPlan>) -> Option<Applied> {
    let went_on = balance::applied(record, year)?;
    let planned =
        plan.map_or(Nutrients::NONE, |p| Nutrients::new(p.n_kg_ha, p.p2o5_kg_ha, p.k2o_kg_ha, p.s_kg_ha));
    let unknown: Vec<String> = record
        .fertilizer
        .iter()
        .filter(|x| x.is.crop_year == year)
        .flat_map(|x| &x.is.products)
        .filter(|p| nutrients_of(&p.product, p.grade.as_ref(), 1.0).is_none())
        .map(|p| format!("{} has no grade in the book: its nutrients are not counted.", p.product))
        .collect();
    let mut said = unknown;
    for n in stook_fertility::Nutrient::ALL {
        let (a, b) = (planned[n], went_on[n]);
        if plan.is_some() && (b - a).abs() > (0.1 * a).max(2.0) {
            let word = if b > a { "more" } else { "less" };
            said.push(format!(
                "{}: {} lb/ac {word} than planned ({} against {}).",
                n.name(),
                figure(kg_ha_to_lb_ac((b - a).abs()), 0),
                figure(kg_ha_to_lb_ac(b), 0),
                figure(kg_ha_to_lb_ac(a), 0)
            ));
        }
    }
    Some(Applied { planned_kg_ha: planned, went_on_kg_ha: went_on, said })
}

pub(super) fn stand_words(
    counted: f64,
    target: f64,
    seed: Option<&Seed>,
    record: &FieldRecord,
    year: i16,
) -> String {
    let ft2 = per_m2_to_per_ft2;
    let share = counted / target;
    let sown = record.seeded_in(year).filter_map(|s| s.is.rate_kg_ha).last();
    let lost = seed.zip(sown).map(|(s, rate)| {
        // plants the sown rate would have made with no loss
        let all = s.stand_m2 / (1.0 - s.loss) * rate / s.exact_kg_ha;
        format!(
            " Of the live seed that went in, {} % did not come up; {} % was reckoned.",
            figure(100.0 * (1.0 - counted / all).max(0.0), 0),
            figure(100.0 * s.loss, 0)
        )
    });
    let what = if share >= 0.85 {
        "As many as aimed at: nothing to do."
    } else if share >= 0.6 {
        "Thin, but an even thin stand fills in: keep it, and look for gaps and why."
    } else {
        "Thin: look at keeping, patching or reseeding before the week is out, and let the insurer see it first."
    };
    format!(
        "{} plants/ft2 against {} aimed at. {what}{}",
        figure(ft2(counted), 0),
        figure(ft2(target), 0),
        lost.unwrap_or_default()
    )
}
