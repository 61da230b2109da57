//! Three yields side by side: stored water and rain through the line, the water it could not get, heads and kernels
//! counted; and the line corrected by what the farm made in other years.

use jiff::civil::Date;
use stook_crop::seeding::component_yield_kg_ha;
use stook_measure::{Op, Range, Working, figure};

use super::Yields;
use crate::carry::Carried;
use crate::facts::Question;
use crate::hindcast;
use crate::run::FieldOutcome;
use crate::words;

/// Past years count as this many when there is none: the correction grows with them.
const PRIOR_YEARS: f64 = 2.0;

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
    let past = past_years(c, q, f);
    let corrected = (!past.is_empty()).then(|| {
        let n = past.len() as f64;
        let mean = past.iter().map(|p| p.made / p.line).sum::<f64>() / n;
        let factor = (n * mean + PRIOR_YEARS) / (n + PRIOR_YEARS);
        let mut w = Working::new("The line against what you made");
        for p in &past {
            w = w.line(Op::Note, format!("{}: made", p.year), p.made, "kg/ha", 0).line(
                Op::Note,
                format!("{}: the line on that year's water and seeding day", p.year),
                p.line,
                "kg/ha",
                0,
            );
        }
        working.push(
            w.line(Op::Start, "Mean of made over line", mean, "", 2)
                .line(
                    Op::Note,
                    format!("Weighed with {PRIOR_YEARS:.0} years at 1, so that one year does not decide"),
                    factor,
                    "",
                    2,
                )
                .sum("Correction of the line", factor, "", 2)
                .note(format!(
                    "To make it the line everywhere, enter your own number crop.yield.slope_kg_ha_mm = {}.",
                    figure(line.slope_kg_ha_mm * factor, 2)
                ))
                .source("your cut entries, and the water reckoned for those years from the weather on file")
                .would_change("another year's yield: write it in the cut entry"),
        );
        by_line.map(|x| (x * factor).min(field.cap_kg_ha))
    });
    Some(Yields { by_line, corrected, by_deficit, by_count, counted_on: count.map(|x| x.on()), working })
}

struct PastYear {
    year: i16,
    made: f64,
    line: f64,
}

/// What the field made in earlier wheat years, beside the line on that year's water.
fn past_years(c: &Carried, q: &Question<'_>, f: usize) -> Vec<PastYear> {
    let field = &c.model.fields[f];
    let Some(record) = q.farm.fields.get(&field.id) else { return Vec::new() };
    let years: Vec<(i16, f64, Date)> = record
        .plans
        .iter()
        .filter(|(y, p)| {
            **y < c.model.year
                && matches!(
                    p.is.crop,
                    stook_book::payload::Crop::SpringWheat | stook_book::payload::Crop::Durum
                )
        })
        .filter_map(|(y, _)| {
            let made = record
                .cuts
                .iter()
                .filter(|x| x.on().year() == *y && x.is.done)
                .find_map(|x| x.is.yield_kg_ha)?;
            Some((*y, made, record.seeded_on(*y)?))
        })
        .collect();
    if years.is_empty() {
        return Vec::new();
    }
    let wanted: Vec<i16> = years.iter().map(|y| y.0).collect();
    let water = hindcast::crop_water(&c.model, f, q.weather, &wanted);
    let y = &field.params.yield_;
    years
        .into_iter()
        .zip(water)
        .filter_map(|((year, made, seeded), mm)| {
            let doy = f64::from(seeded.day_of_year());
            let date =
                stook_crop::yield_::seeding_date_factor(doy, field.best_doy, y.late_per_day, y.late_floor);
            let line = y.line.at(mm?).min(field.cap_kg_ha) * date;
            (line > 200.0).then_some(PastYear { year, made, line })
        })
        .collect()
}
