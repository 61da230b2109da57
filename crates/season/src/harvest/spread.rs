//! "Is the straw spread to the full cut, or must I harrow it?": how thick it lies where it falls, and the afternoons dry
//! and warm enough to spread it.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::payload::MachineKind;
use stook_harvest::straw::{straw, thickness};
use stook_measure::units::m_to_ft;
use stook_measure::{Op, Working, figure};

use crate::SeasonError;
use crate::carry::{Carried, carry};
use crate::facts::Question;
use crate::outlook::middle_state;
use crate::words;

/// Days looked ahead.
const DAYS: usize = 14;
/// Share of the weathers from which an afternoon is named.
const LIKELY: f64 = 0.6;

/// The answer.
#[derive(Debug, Clone, Serialize)]
pub struct SpreadAnswer {
    /// What to do, in a sentence.
    pub headline: String,
    /// Why.
    pub why: String,
    /// Width of the cut, m.
    pub cut_m: f64,
    /// Times as thick as spread over the whole cut; none until it is measured.
    pub thick: Option<f64>,
    /// By field: name, straw where it lies, kg/ha, whether it is cut.
    pub fields: Vec<(String, f64, bool)>,
    /// Afternoons fit to harrow, with the share of the weathers.
    pub afternoons: Vec<(Date, f64)>,
    /// The reckoning.
    pub working: Option<Working>,
}

/// Answers for a spread measured by tape; none before it is.
///
/// # Errors
/// When the farm has no place.
pub fn spread(q: &Question<'_>, spread_m: Option<f64>) -> Result<SpreadAnswer, SeasonError> {
    Ok(of(&carry(q)?, q, spread_m))
}

fn of(c: &Carried, q: &Question<'_>, spread_m: Option<f64>) -> SpreadAnswer {
    let (p, s) = (&c.model.harvest.spread, &c.model.harvest.straw);
    let cut_m = q.farm.machine(MachineKind::Combine).map_or(12.0, |m| m.width_m);
    let thick = spread_m.map(|m| thickness(cut_m, m));
    let fields: Vec<(String, f64, bool)> = (0..c.model.fields.len())
        .filter(|&f| middle_state(c, f).wheat.is_some())
        .map(|f| {
            let m = &c.model.fields[f];
            let record = &q.farm.fields[&m.id];
            let mut written = record.cuts.iter().rev().filter(|x| x.on().year() == c.model.year);
            let kg_ha = written.find_map(|x| x.is.yield_kg_ha);
            let kg_ha = kg_ha.unwrap_or_else(|| middle_state(c, f).by_water_kg_ha(m));
            let lies = straw(kg_ha, s).on_ground_kg_ha * thick.unwrap_or(1.0);
            (m.name.clone(), lies, record.cut_on(c.model.year).is_some())
        })
        .collect();
    let n = c.air.len().max(1) as f64;
    let fit = |days: &[crate::field::Air], d: usize| {
        let day = &days[d].forcing;
        let before = if d == 0 { 0.0 } else { days[d - 1].forcing.rain_mm };
        p.harrows(day.rain_mm + before, day.rh_min_pct, day.day.tmax_c)
    };
    let afternoons: Vec<(Date, f64)> = (0..DAYS)
        .map(|d| (d, c.air.iter().filter(|a| d < a.len() && fit(a, d)).count() as f64 / n))
        .filter(|(_, share)| *share >= LIKELY)
        .map(|(d, share)| (c.date(d as i64), share))
        .collect();
    let when = afternoons.first().map_or_else(
        || "No afternoon of the next two weeks is likely to be dry and warm enough.".to_string(),
        |(day, share)| {
            format!(
                "The first fit afternoon is {}, in {}.",
                words::day_from(c.as_of, *day),
                words::in_ten(*share)
            )
        },
    );
    let (headline, why) = match (thick, spread_m) {
        (Some(t), Some(m)) => {
            let feet = |x: f64| figure(m_to_ft(x), 0);
            let lies = format!(
                "It lies on {} ft of a {} ft cut: {} times as thick as it should.",
                feet(m.min(cut_m)),
                feet(cut_m),
                figure(t, 1)
            );
            if 1.0 / t >= p.even_share {
                ("Spread to the full cut: leave it.".into(), lies)
            } else if 1.0 / t >= p.harrow_share {
                (
                    "Set the spreader wider before the next field.".into(),
                    format!("{lies} What lies can stay; look again after one round."),
                )
            } else {
                (
                    "Set the spreader wider, and harrow what lies.".into(),
                    format!("{lies} {when} After rain a harrow bunches straw instead."),
                )
            }
        }
        _ => ("Measure with a tape how wide the straw falls.".into(), when),
    };
    let working = thick.zip(spread_m).map(|(t, m)| {
        Working::new("How thick straw lies")
            .line(Op::Start, "Cut", m_to_ft(cut_m), "ft", 1)
            .line(Op::Over, "Spread, at most the cut", m_to_ft(m.min(cut_m)), "ft", 1)
            .sum("Times as thick", t, "", 2)
            .note(format!(
                "Full from {} % of the cut; a harrow under {} %. A fit afternoon: at most {} mm of rain that day and the one before, under {} % humidity, over {} C.",
                figure(100.0 * p.even_share, 0),
                figure(100.0 * p.harrow_share, 0),
                figure(p.dry_rain_mm, 0),
                figure(p.dry_rh_pct, 0),
                figure(p.warm_c, 0)
            ))
            .source("common practice of the prairie: spread the full cut, harrow hot and dry; the limits are judgement (harvest.spread)")
            .would_change("your own limits; wind across the spreader; damp straw that does not fly")
    });
    SpreadAnswer { headline, why, cut_m, thick, fields, afternoons, working }
}
