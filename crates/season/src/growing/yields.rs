//! Three yields side by side: stored water and rain through the line, the water it could not get, heads and kernels
//! counted; and the line corrected by what the farm made in other years.

use stook_crop::seeding::component_yield_kg_ha;
use stook_measure::{Op, Range, Working, figure};

use super::Yields;
use crate::carry::Carried;
use crate::facts::Question;
use crate::run::FieldOutcome;
use crate::words;

pub(super) fn yields(
    c: &Carried,
    q: &Question<'_>,
    f: usize,
    seasons: &[Vec<FieldOutcome>],
) -> Option<Yields> {
    let field = &c.model.fields[f];
    let line = field.params.yield_.line;
    let of = |what: &dyn Fn(&FieldOutcome) -> f64| {
        Range::of(&seasons.iter().map(|m| what(&m[f])).collect::<Vec<f64>>())
    };
    let by_line = of(&|o| line.at(o.crop_water_mm).min(field.cap_kg_ha))?;
    let by_deficit = of(&|o| o.by_deficit_kg_ha)?;
    let record = q.farm.fields.get(&field.id)?;
    let count = record
        .yield_counts
        .iter()
        .rfind(|x| x.on() <= c.as_of && stook_book::payload::CropPlan::year_on(x.on()) == c.model.year);
    let mut working = Vec::new();
    let by_count = count.map(|x| {
        let tkw = x.is.tkw_g.unwrap_or_else(|| c.model.reference.get("crop.yield.usual_tkw_g"));
        let kg = component_yield_kg_ha(x.is.heads_per_m2, x.is.kernels_per_head, tkw);
        let usual = if x.is.tkw_g.is_none() { ", the usual" } else { "" };
        working.push(
            Working::new("Yield by heads and kernels counted")
                .line(Op::Start, "Heads", x.is.heads_per_m2, "a m2", 0)
                .line(Op::Times, "Kernels a head", x.is.kernels_per_head, "", 1)
                .line(Op::Times, format!("Weight of a thousand kernels{usual}"), tkw, "g", 1)
                .line(Op::Over, "To kg/ha", 100.0, "", 0)
                .sum("Standing yield", kg, "kg/ha", 0)
                .note(format!(
                    "In your unit: {} {}, before losses at the header. Prairie heads average 30 to 32 kernels.",
                    figure(words::wheat_yield(&c.model.units, kg), words::yield_decimals(&c.model.units)),
                    c.model.units.grain_yield.words()
                ))
                .source("bu/ac = heads/ft2 x kernels x TKW x 0.0016006 (unit identity; short form 0.0016 in use)")
                .would_change("more places counted: each head count is good to a tenth or so"),
        );
        kg
    });
    let corrected = field.own_yields.as_ref().map(|own| {
        working.push(own.working(line.slope_kg_ha_mm));
        by_line.map(|x| (x * own.factor).min(field.cap_kg_ha))
    });
    Some(Yields { by_line, corrected, by_deficit, by_count, counted_on: count.map(|x| x.on()), working })
}
