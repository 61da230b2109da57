//! From the book: pits, what is in them, the law's steps, and the fields.

use jiff::civil::Date;
use stook_book::Farm;
use stook_book::farm::{Fact, FieldRecord, ManureStoreRecord};
use stook_book::payload::{BarnKind, Crop, ManureHauled, ManureMethod, ManureRules};
use stook_fertility::manure::book::Barn;
use stook_fertility::manure::nitrogen::{Conditions, Method, ammonium_kept, available};
use stook_fertility::manure::rules::{ClosedDays, Setback, Tier};
use stook_fertility::manure::{Analysis, AnalysisError, ManureParams};
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::{Reference, figure};

use super::credit::{credit, evening, wanted};
use super::plan::Ground;
use super::room::{self, Group, Room};
use crate::{balance, report, soil};

/// Head over a pit.
pub fn groups(store: &ManureStoreRecord) -> Vec<Group> {
    store
        .counts
        .values()
        .filter_map(|c| Some(Group { barn: Barn::of(key(c.is.barn))?, head: c.is.head }))
        .collect()
}

fn key(kind: BarnKind) -> &'static str {
    kind.key()
}

/// What is in a m3, and where that is from.
#[derive(Debug, Clone, PartialEq)]
pub struct Content {
    /// Analysis, kg/m3.
    pub analysis: Analysis,
    /// In words.
    pub from: String,
    /// Whether the ammonium is a guess.
    pub ammonium_guessed: bool,
    /// Whether the whole is the book's and not the pit's own.
    pub of_book: bool,
    /// Dry matter, %, where the sheet has it.
    pub dry_matter_pct: Option<f64>,
}

/// The pit's newest test on a day, else the book's figures for the barns over it.
pub fn content(store: &ManureStoreRecord, on: Date, p: &ManureParams) -> Option<Content> {
    if let Some(t) = store.tests.iter().rev().find(|t| t.on() <= on) {
        let x = &t.is;
        let ammonium = x.ammonium_n_kg_m3.unwrap_or(p.ammonium_share * x.total_n_kg_m3);
        let stirred = if x.agitated { "" } else { ", not stirred first, so it may read thin" };
        return Some(Content {
            analysis: Analysis {
                total_n: x.total_n_kg_m3,
                ammonium_n: ammonium,
                nitrate_n: 0.0,
                p: x.p_kg_m3,
                k: x.k_kg_m3,
                s: x.s_kg_m3.unwrap_or(0.0),
            },
            from: format!("your test of {}{stirred}", stook_season::words::day(t.on())),
            ammonium_guessed: x.ammonium_n_kg_m3.is_none(),
            of_book: false,
            dry_matter_pct: x.dry_matter_pct,
        });
    }
    let groups = groups(store);
    let flow = room::inflow_m3_day(&groups, None);
    if flow <= 0.0 {
        return None;
    }
    let mean = |f: &dyn Fn(&Barn) -> f64| {
        groups.iter().map(|g| g.barn.volume_m3(g.head, 1.0) * f(g.barn)).sum::<f64>() / flow
    };
    let total_n = mean(&|b| b.n_kg_m3);
    Some(Content {
        analysis: Analysis {
            total_n,
            ammonium_n: p.ammonium_share * total_n,
            nitrate_n: 0.0,
            p: mean(&|b| b.p_kg_m3),
            k: mean(&|b| b.k_kg_m3),
            s: 0.0,
        },
        from: "book values of a Saskatchewan survey, since the pit has no test".into(),
        ammonium_guessed: true,
        of_book: true,
        dry_matter_pct: None,
    })
}

/// Room in a pit on a day; none before it was ever read.
pub fn room_of(store: &ManureStoreRecord, on: Date) -> Option<Room> {
    let read = store.levels.iter().rev().find(|l| l.on() <= on)?;
    let since: f64 = store
        .hauled
        .iter()
        .filter(|h| h.happened > read.happened && h.on() <= on)
        .map(|h| h.is.volume_m3)
        .sum();
    let inflow = room::inflow_m3_day(&groups(store), store.set_up.is.inflow_m3_day);
    let mut r = room::room(read.is.held_m3, read.on(), on, store.set_up.is.capacity_m3, inflow);
    if since > 0.0 {
        r = room::room((r.held_m3 - since).max(0.0), on, on, r.capacity_m3, inflow);
    }
    Some(r)
}

/// A method with its wait, as the models have it.
pub fn method(m: ManureMethod, days: Option<f64>) -> (Method, f64) {
    match m {
        ManureMethod::Injected => (Method::Injected, 0.0),
        ManureMethod::WorkedIn => (Method::Incorporated, days.unwrap_or(1.0)),
        ManureMethod::LeftBare => (Method::LeftBare, 0.0),
        ManureMethod::LeftOnResidue => (Method::LeftOnResidue, 0.0),
    }
}

/// Of use to the crop this year in a m3, kg.
///
/// # Errors
/// When the analysis cannot be.
pub fn of_use(a: &Analysis, m: (Method, f64), p: &ManureParams) -> Result<Nutrients, AnalysisError> {
    Ok(available(a, ammonium_kept(m.0, m.1, Conditions::Average, p), false, p)?.year_1)
}

/// The law as written down, or the shipped example.
#[derive(Debug, Clone, PartialEq)]
pub struct Law {
    /// Whose.
    pub name: String,
    /// Where from.
    pub source: String,
    /// Whether it is the example.
    pub example: bool,
    /// Steps of phosphorus.
    pub tiers: Vec<Tier>,
    /// Closed days.
    pub closed: Option<ClosedDays>,
    /// Distances and the rest, line by line.
    pub lines: Vec<String>,
}

/// The law for a farm.
pub fn law(farm: &Farm) -> Law {
    match farm.manure_rules.as_ref().map(|r| &r.is) {
        Some(own) => own_law(own),
        None => Law {
            name: "Manitoba, pig farms".into(),
            source: Tier::shipped().first().map_or_else(String::new, |t| t.source.clone()),
            example: true,
            tiers: Tier::shipped().to_vec(),
            closed: ClosedDays::shipped().iter().find(|c| c.rule == "manitoba").cloned(),
            lines: Setback::shipped()
                .iter()
                .filter(|s| s.from_slope_pct.is_none())
                .map(|s| {
                    let keep = s.setback_m.map_or_else(|| "do not spread".into(), |m| format!("{m:.0} m"));
                    format!("{}: {keep} (Alberta, as an example)", s.what)
                })
                .collect(),
        },
    }
}

fn own_law(r: &ManureRules) -> Law {
    let steps = [(0.0, None)]
        .into_iter()
        .chain(r.twice_removal_from_ppm.map(|p| (p, Some(2.0))))
        .chain(r.removal_from_ppm.map(|p| (p, Some(1.0))))
        .chain(r.none_from_ppm.map(|p| (p, Some(0.0))));
    let steps: Vec<(f64, Option<f64>)> = steps.collect();
    let tiers = steps
        .iter()
        .enumerate()
        .map(|(i, (from, times))| Tier {
            rule: r.name.clone(),
            from_ppm: *from,
            below_ppm: steps.get(i + 1).map(|s| s.0),
            times_removal: *times,
            sure: "your own".into(),
            source: r.source.clone(),
            note: String::new(),
        })
        .collect();
    let day = |t: &Option<String>| t.as_deref().and_then(ManureRules::month_day);
    let closed = day(&r.closed_from).zip(day(&r.closed_to)).map(|(a, b)| ClosedDays {
        rule: r.name.clone(),
        from_month: a.0.unsigned_abs(),
        from_day: a.1.unsigned_abs(),
        to_month: b.0.unsigned_abs(),
        to_day: b.1.unsigned_abs(),
        what: "no manure".into(),
        sure: "your own".into(),
        source: r.source.clone(),
    });
    let lines = r.set_backs.iter().flat_map(|t| t.lines().map(str::to_string)).collect();
    Law { name: r.name.clone(), source: r.source.clone(), example: false, tiers, closed, lines }
}

/// A field for the plan, with what was taken for granted.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// For the plan; its haul is filled in later.
    pub ground: Ground,
    /// Phosphorus, ppm Olsen, if tested.
    pub olsen_ppm: Option<f64>,
    /// What the crop takes off in phosphate, kg/ha.
    pub removal_p2o5: f64,
    /// What was taken for granted.
    pub taken: Vec<String>,
}

/// A field, or why it gets none.
///
/// # Errors
/// The reason, in a sentence.
pub fn found(
    farm: &Farm,
    record: &FieldRecord,
    year: i16,
    on: Date,
    law: &Law,
    reference: &Reference,
) -> Result<Found, String> {
    let field = record.field();
    let p = FertilityParams::from_reference(reference);
    let mut taken = Vec::new();
    let crop = record.plan(year).map(|p| p.crop.clone());
    let Some(crop) = crop else { return Err(format!("{}: no crop is planned for {year}.", field.name)) };
    if matches!(crop, Crop::Fallow) {
        return Err(format!("{}: nothing grows there in {year}.", field.name));
    }
    let tested = soil::soil(record, on, &p).used;
    let yield_kg_ha =
        record.plan(year).and_then(|p| p.target_yield_kg_ha).or_else(|| report::usual_yield_kg_ha(&crop));
    let removal = yield_kg_ha.and_then(|y| balance::grain_removal(&crop, y)).map(|t| t.middle_kg_ha());
    let planned = record.fertilizer_plans.get(&year).filter(|f| f.on() <= on);
    // What is planned but not hauled is left out: it is what this plan may put elsewhere.
    let there = credit(farm, record, year, evening(on), &p).on_kg_ha;
    let need = match (planned, removal) {
        (Some(f), _) => there.short_of(wanted(farm, record, f, &p)),
        (None, Some(r)) => {
            taken.push(format!(
                "no fertilizer plan for {year} yet, so what the crop takes off less the soil's nitrate"
            ));
            let legume = matches!(crop, Crop::Peas);
            let n = if legume { 0.0 } else { (r.n - tested.nitrate_kg_ha.unwrap_or(0.0)).max(0.0) };
            there.short_of(Nutrients { n, ..r })
        }
        (None, None) => {
            return Err(format!(
                "{}: no plan, and no figure for what {} takes off.",
                field.name,
                crop.words()
            ));
        }
    };
    if record.fertilizer.iter().any(|f| f.is.crop_year == year && f.is.area_ha.is_none()) {
        return Err(format!("{}: its fertilizer is on already.", field.name));
    }
    if need.n < 1.0 {
        return Err(format!("{}: {} needs no nitrogen there.", field.name, crop.words()));
    }
    let removal_p2o5 = removal.map_or(0.0, |r| r.p2o5);
    let olsen = tested.p_ppm.as_ref().map(|(ppm, _)| *ppm);
    if let Some((_, how)) = &tested.p_ppm
        && !how.to_lowercase().contains("olsen")
    {
        taken.push(format!("phosphorus was tested by {how}; the law's steps are in Olsen"));
    }
    let p2o5_most_kg_ha = match olsen
        .and_then(|ppm| law.tiers.iter().find(|t| t.from_ppm <= ppm && t.below_ppm.is_none_or(|b| ppm < b)))
    {
        Some(t) => t.p2o5_max_kg_ha(removal_p2o5, 1.0),
        None => {
            taken.push("no phosphorus test, so phosphate is held to what the crop takes off".into());
            Some(removal_p2o5)
        }
    };
    if p2o5_most_kg_ha.is_some_and(|most| most < 0.5) {
        return Err(format!(
            "{}: the soil has {} ppm of phosphorus, and {} lets no more on.",
            field.name,
            figure(olsen.unwrap_or(0.0), 0),
            law.name
        ));
    }
    let get = |what: &str| reference.get(&format!("order.manure.{what}"));
    let later_p_share =
        if olsen.is_none_or(|ppm| ppm < get("later_p_below_ppm")) { get("later_p_share") } else { 0.0 };
    Ok(Found {
        ground: Ground {
            key: field.id.to_string(),
            name: field.name.clone(),
            area_ha: field.area_ha,
            need_kg_ha: need,
            p2o5_most_kg_ha,
            later_p_share,
            pass_per_ha: get("pass_per_ha"),
            haul_per_m3: Vec::new(),
        },
        olsen_ppm: olsen,
        removal_p2o5,
        taken,
    })
}

/// The way it was last put on; injected before there was a last time.
pub fn usual_method(farm: &Farm, on: Date) -> (ManureMethod, Option<f64>) {
    let last: Option<&Fact<ManureHauled>> = farm
        .manure_stores
        .values()
        .flat_map(|s| &s.hauled)
        .filter(|h| h.on() <= on)
        .max_by_key(|h| h.happened);
    last.map_or((ManureMethod::Injected, None), |h| (h.is.method, h.is.days_to_work_in))
}
