//! What manure gives the crop of a field: hauled for it, meant for it, and what is left of earlier years.

use jiff::civil::{Date, DateTime};
use serde::Serialize;
use stook_book::Farm;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::{FertilizerPlan, ManureMethod, ManureStoreId};
use stook_fertility::manure::nitrogen::{Available, Conditions, ammonium_kept, available};
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::units::kg_ha_to_lb_ac;
use stook_measure::{Op, Working, figure};

use super::gather::{content, method};
use crate::report::year_decided_on;

/// When it went on, or whether it is still to go.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// Hauled for this crop.
    Hauled(Date),
    /// Planned for this crop and not hauled yet.
    Planned,
    /// Hauled for a crop before it: in the second or third year.
    Earlier(Date, u8),
}

/// One haul, or one plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// When.
    pub when: When,
    /// Pit.
    pub store: String,
    /// How much, m3.
    pub m3: f64,
    /// How, in words.
    pub how: String,
    /// Share of the ammonium that stays.
    pub kept: f64,
    /// Where the analysis is from.
    pub analysis_from: String,
    /// Of use to this crop, kg/ha over the whole field.
    pub gives_kg_ha: Nutrients,
    /// All that went on with it, kg/ha; nothing for earlier years.
    pub whole_kg_ha: Nutrients,
}

/// What manure gives a crop.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Credit {
    /// Part by part.
    pub parts: Vec<Part>,
    /// Together, kg/ha over the whole field.
    pub gives_kg_ha: Nutrients,
    /// Of that, what is on already or left from before; the rest is planned.
    pub on_kg_ha: Nutrients,
    /// All of the phosphate and potash of what was hauled for this crop, and the nitrogen of use: for the balance, kg/ha.
    pub balance_kg_ha: Nutrients,
    /// What to mind, in sentences.
    pub notes: Vec<String>,
    /// How reckoned, nitrogen; none without manure.
    pub working: Option<Working>,
}

impl Credit {
    /// Whether there is none.
    pub fn is_none(&self) -> bool {
        self.parts.is_empty()
    }
}

fn gives(
    farm: &Farm,
    store: &ManureStoreId,
    at: Date,
    how: (ManureMethod, Option<f64>),
    p: &FertilityParams,
) -> Option<(Available, Nutrients, f64, String, String)> {
    let record = farm.manure_stores.get(store)?;
    let c = content(record, at, &p.manure)?;
    let m = method(how.0, how.1);
    let kept = ammonium_kept(m.0, m.1, Conditions::Average, &p.manure);
    let a = available(&c.analysis, kept, false, &p.manure).ok()?;
    Some((a, c.analysis.whole(), kept, record.set_up.is.name.clone(), c.from))
}

fn how_words(m: ManureMethod, days: Option<f64>) -> String {
    match (m, days) {
        (ManureMethod::WorkedIn, Some(d)) => format!("{} after {} days", m.words(), figure(d, 0)),
        _ => m.words().to_string(),
    }
}

/// What manure known at a moment gives the crop of a year.
///
/// A plan counts until the field is seeded, less what was hauled on it. Of earlier years only nitrogen is counted: their
/// phosphate is in the soil test.
pub fn credit(farm: &Farm, record: &FieldRecord, year: i16, at: DateTime, p: &FertilityParams) -> Credit {
    let mut out = Credit::default();
    let area = record.field().area_ha.max(1e-9);
    let mut hauled_m3 = 0.0;
    for h in record.manure.iter().filter(|h| h.happened <= at) {
        let age = year - year_decided_on(h.on());
        let Some((a, whole, kept, store, from)) =
            gives(farm, &h.is.store, h.on(), (h.is.method, h.is.days_to_work_in), p)
        else {
            continue;
        };
        let per_ha = h.is.volume_m3 / area;
        let n_only = |x: Nutrients| Nutrients::new(x.n, 0.0, 0.0, 0.0);
        let (when, of_m3, whole) = match age {
            0 => {
                hauled_m3 += h.is.volume_m3;
                (When::Hauled(h.on()), a.year_1, whole)
            }
            1 => (When::Earlier(h.on(), 2), n_only(a.year_2), Nutrients::NONE),
            2 => (When::Earlier(h.on(), 3), n_only(a.year_3), Nutrients::NONE),
            _ => continue,
        };
        out.parts.push(Part {
            when,
            store,
            m3: h.is.volume_m3,
            how: how_words(h.is.method, h.is.days_to_work_in),
            kept,
            analysis_from: from,
            gives_kg_ha: of_m3.times(per_ha),
            whole_kg_ha: whole.times(per_ha),
        });
    }
    out.on_kg_ha = sum(&out.parts, |x| x.gives_kg_ha);
    out.balance_kg_ha = out
        .parts
        .iter()
        .fold(Nutrients::NONE, |all, x| all + Nutrients { n: x.gives_kg_ha.n, ..x.whole_kg_ha });
    let seeded = record.seeded_on(year).is_some_and(|d| d <= at.date());
    let planned = record.manure_plans.iter().rfind(|f| f.is.crop_year == year && f.happened <= at);
    if let Some(plan) = planned.filter(|_| !seeded) {
        let left = (plan.is.volume_m3 - hauled_m3).max(0.0);
        if left > 0.02 * plan.is.volume_m3.max(1.0)
            && let Some((a, whole, kept, store, from)) =
                gives(farm, &plan.is.store, at.date(), (plan.is.method, plan.is.days_to_work_in), p)
        {
            out.parts.push(Part {
                when: When::Planned,
                store,
                m3: left,
                how: how_words(plan.is.method, plan.is.days_to_work_in),
                kept,
                analysis_from: from,
                gives_kg_ha: a.year_1.times(left / area),
                whole_kg_ha: whole.times(left / area),
            });
            out.notes.push("Planned manure is counted before it is hauled: if it does not go on, accept the fertilizer plan again and order more.".into());
        }
    }
    out.gives_kg_ha = sum(&out.parts, |x| x.gives_kg_ha);
    notes(&mut out, record, at);
    out.working = working(&out, p);
    out
}

/// The last moment of a day.
pub fn evening(day: Date) -> DateTime {
    day.at(23, 59, 59, 0)
}

/// What an accepted plan wants of manure and fertilizer together, kg/ha: its own rates and the manure it counted on. Of a
/// plan that does not say, what was in the book when it was accepted is taken to be counted.
pub fn wanted(
    farm: &Farm,
    record: &FieldRecord,
    plan: &Fact<FertilizerPlan>,
    p: &FertilityParams,
) -> Nutrients {
    let x = &plan.is;
    let counted = match x.manure {
        Some(m) => Nutrients::new(m.n_kg_ha, m.p2o5_kg_ha, m.k2o_kg_ha, m.s_kg_ha),
        None => credit(farm, record, x.crop_year, plan.happened, p).gives_kg_ha,
    };
    Nutrients::new(x.n_kg_ha, x.p2o5_kg_ha, x.k2o_kg_ha, x.s_kg_ha) + counted
}

fn sum(parts: &[Part], of: impl Fn(&Part) -> Nutrients) -> Nutrients {
    parts.iter().fold(Nutrients::NONE, |all, x| all + of(x))
}

fn notes(out: &mut Credit, record: &FieldRecord, at: DateTime) {
    let tested = record
        .soil_tests
        .iter()
        .filter(|t| t.is.sampled <= at.date())
        .filter(|t| t.is.layers.iter().any(|l| l.values.iter().any(|v| v.what == "nitrate_n")))
        .map(|t| t.is.sampled)
        .max();
    let before = out.parts.iter().any(|x| matches!((x.when, tested), (When::Hauled(d), Some(t)) if t > d));
    if before {
        out.notes.push(
            "The soil was sampled after this manure went on, so part of its nitrogen may stand in the nitrate already: the two together are then too much. Type a lower figure under \"Reckon it another way\" if you think so."
                .into(),
        );
    }
    let fall = |d: Date| d.month() >= 8;
    if out.parts.iter().any(|x| matches!(x.when, When::Hauled(d) if fall(d))) {
        out.notes.push("Nitrogen of fall manure that washes down or gasses off before seeding is not taken off: no regional figure was read.".into());
    }
}

/// Nitrogen, part by part.
fn working(c: &Credit, p: &FertilityParams) -> Option<Working> {
    if c.is_none() {
        return None;
    }
    let lb = |x: f64| kg_ha_to_lb_ac(x);
    let mut w = Working::new("Nitrogen the crop gets from manure");
    for (i, x) in c.parts.iter().enumerate() {
        let when = match x.when {
            When::Hauled(d) => format!("hauled {}", stook_season::words::day(d)),
            When::Planned => "planned".into(),
            When::Earlier(d, year) => format!(
                "hauled {} {}, {} year",
                stook_season::words::day(d),
                d.year(),
                if year == 2 { "second" } else { "third" }
            ),
        };
        let label = format!(
            "{} m3 from {}, {when}, {}: {} % of its ammonium stays",
            figure(x.m3, 0),
            x.store,
            x.how,
            figure(100.0 * x.kept, 0)
        );
        w = w.line(if i == 0 { Op::Start } else { Op::Plus }, label, lb(x.gives_kg_ha.n), "lb/ac", 1);
    }
    Some(
        w.sum("Nitrogen of use to this crop", lb(c.gives_kg_ha.n), "lb/ac", 1)
            .note(format!(
                "Of the organic nitrogen {} % is freed in the first year, {} and {} in the next two; of the phosphate {} % is of use in the first, of the potash {} %. Over the whole field, whatever part was covered.",
                figure(100.0 * p.manure.organic[0], 0),
                figure(100.0 * p.manure.organic[1], 0),
                figure(100.0 * p.manure.organic[2], 0),
                figure(100.0 * p.manure.phosphorus[0], 0),
                figure(100.0 * p.manure.potassium, 0),
            ))
            .source("Alberta Nutrient Management Planning Guide 2007, Table 4.3.4 and pp. 162-168; reference/fertility-manure-*.csv")
            .would_change("a stirred sample of the pit, the way it is put on, and the days until it is worked in"),
    )
}
