//! A job for every bin before harvest: which field goes where, what has no room, what is to be cleaned first; and the
//! wet grain likely, by the farm's own loads of other years.

use std::collections::BTreeMap;

use stook_book::payload::{BinJob, Crop, Load};
use stook_book::{BinId, Farm, FieldId};
use stook_measure::Reference;

use crate::crops::CropFacts;
use crate::fold::Yard;
use crate::result;
use crate::source::Source;
use crate::state::BinState;

/// What a field is likely to bring.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Expected {
    /// Field.
    pub field: FieldId,
    /// Crop.
    pub crop: Crop,
    /// One year in ten less, kg.
    pub low_kg: f64,
    /// Middle, kg.
    pub kg: f64,
    /// One year in ten more, kg.
    pub high_kg: f64,
    /// Where the figure comes from.
    pub why: String,
}

/// Grain of a field given to a bin.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Part {
    /// Field.
    pub field: FieldId,
    /// Kilograms.
    pub kg: f64,
}

/// A bin's job.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Job {
    /// Bin.
    pub bin: BinId,
    /// Crop, when one goes in.
    pub crop: Option<Crop>,
    /// What goes in.
    pub parts: Vec<Part>,
    /// Room left after that, kg.
    pub left_kg: f64,
    /// What is to be done first, in a sentence; empty when nothing.
    pub first: String,
}

/// The plan.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
pub struct BinPlan {
    /// Every bin.
    pub jobs: Vec<Job>,
    /// Grain for which there is no bin, by crop, kg.
    pub no_room: BTreeMap<String, f64>,
    /// The same if the fields bring the one-in-ten-more, kg.
    pub no_room_high: BTreeMap<String, f64>,
}

struct Open<'a> {
    bin: &'a BinState,
    crop: Option<Crop>,
    room_m3: f64,
    parts: Vec<Part>,
}

/// Gives every bin a job: the largest fields first, each into the bin it fits with the least left over; a bin keeps
/// to one crop; wet and seed bins are left for what they are for; new grain never goes onto old.
pub fn plan(yard: &Yard, r: &Reference, expected: &[Expected], year: i16) -> BinPlan {
    let assigned = assign(yard, r, expected, year, &|e| e.kg);
    let high = assign(yard, r, expected, year, &|e| e.high_kg);
    let jobs = assigned
        .0
        .into_iter()
        .map(|o| {
            let facts = o.crop.as_ref().map_or_else(|| o.bin.facts.clone(), |c| CropFacts::of(r, c));
            Job {
                bin: o.bin.bin.id.clone(),
                left_kg: o.room_m3 * facts.density_kg_m3 * o.bin.angles.pack,
                crop: o.crop,
                parts: o.parts,
                first: first(o.bin, year),
            }
        })
        .collect();
    BinPlan { jobs, no_room: assigned.1, no_room_high: high.1 }
}

/// Whether what is in the bin came off this year's fields only.
fn this_year(b: &BinState, year: i16) -> bool {
    b.sources().iter().all(|(s, _)| matches!(s, Source::Field { year: y, .. } if *y == year))
}

fn assign<'a>(
    yard: &'a Yard,
    r: &Reference,
    expected: &[Expected],
    year: i16,
    size: &dyn Fn(&Expected) -> f64,
) -> (Vec<Open<'a>>, BTreeMap<String, f64>) {
    let mut open: Vec<Open<'a>> = yard
        .in_order()
        .into_iter()
        .map(|bin| {
            let takes = bin.is_empty() || this_year(bin, year);
            Open {
                bin,
                crop: if bin.is_empty() { None } else { bin.crop.clone() },
                room_m3: if takes { bin.room_m3() } else { 0.0 },
                parts: Vec::new(),
            }
        })
        .collect();
    let mut fields: Vec<&Expected> = expected.iter().filter(|e| size(e) > 0.0).collect();
    fields.sort_by(|a, b| size(b).total_cmp(&size(a)));
    let mut no_room: BTreeMap<String, f64> = BTreeMap::new();
    for e in fields {
        let facts = CropFacts::of(r, &e.crop);
        let per_m3 = |o: &Open<'_>| facts.density_kg_m3 * o.bin.angles.pack;
        let mut left = size(e);
        while left > 1.0 {
            let fits = |o: &Open<'_>| {
                let room = o.room_m3 * per_m3(o);
                let suits = o.crop.as_ref().is_none_or(|c| *c == e.crop)
                    && o.bin.bin.crop.as_ref().is_none_or(|c| *c == e.crop)
                    && !matches!(o.bin.bin.job, BinJob::Wet | BinJob::Seed);
                (suits && room > 1_000.0).then_some(room)
            };
            // Whole into the bin with the least left over, one already begun with it first; else into the largest.
            let whole = open
                .iter()
                .enumerate()
                .filter_map(|(i, o)| Some((i, fits(o)?, o.crop.is_none())))
                .filter(|(_, room, _)| *room >= left)
                .min_by(|a, b| (a.2, a.1).partial_cmp(&(b.2, b.1)).unwrap_or(std::cmp::Ordering::Equal));
            let chosen = whole.map(|w| (w.0, w.1)).or_else(|| {
                let all = open.iter().enumerate().filter_map(|(i, o)| Some((i, fits(o)?)));
                all.max_by(|a, b| a.1.total_cmp(&b.1))
            });
            let Some((i, room)) = chosen else {
                *no_room.entry(e.crop.words().into()).or_default() += left;
                break;
            };
            let put = left.min(room);
            let m3 = put / per_m3(&open[i]);
            open[i].room_m3 = (open[i].room_m3 - m3).max(0.0);
            open[i].crop = Some(e.crop.clone());
            open[i].parts.push(Part { field: e.field.clone(), kg: put });
            left -= put;
        }
    }
    (open, no_room)
}

/// What a bin needs before new grain goes in.
fn first(b: &BinState, year: i16) -> String {
    if !b.is_empty() && !this_year(b, year) {
        return "Empty it of old grain and clean it: old insects go into new grain.".into();
    }
    let emptied = b.empty_since.map(|t| t.date());
    match (b.is_empty(), emptied, b.bin.cleaned) {
        (true, Some(e), Some(c)) if c >= e => String::new(),
        (true, None, Some(_)) => String::new(),
        (true, ..) => "Clean it, floor and fan, before anything goes in.".into(),
        _ => String::new(),
    }
}

/// Expected grain of crops the season does not reckon: the farm's own mean of other years, else its target.
pub fn by_own_years(farm: &Farm, yard: &Yard, r: &Reference, year: i16, field: &FieldId) -> Option<Expected> {
    let record = farm.fields.get(field)?;
    let plan = record.plan(year)?;
    let area = record.field().area_ha;
    let own: Vec<f64> = (year - 10..year)
        .flat_map(|y| result::results(farm, yard, r, y))
        .filter(|x| x.crop.as_ref() == Some(&plan.crop))
        .map(|x| x.yield_kg_ha)
        .collect();
    let (kg_ha, why) = if own.is_empty() {
        (plan.target_yield_kg_ha?, "the most it makes, by the plan".to_string())
    } else {
        (
            own.iter().sum::<f64>() / own.len() as f64,
            format!("your mean of {} fields of other years", own.len()),
        )
    };
    // A quarter either way is judgement: one or two years say little of a spread.
    Some(Expected {
        field: field.clone(),
        crop: plan.crop.clone(),
        low_kg: 0.75 * kg_ha * area,
        kg: kg_ha * area,
        high_kg: 1.25 * kg_ha * area,
        why,
    })
}

/// How wet a crop came in, by the farm's own loads of years before `year`.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize)]
pub struct Wetness {
    /// Years with loads.
    pub years: usize,
    /// Share of the weight over market moisture, the mean of the years.
    pub share: f64,
    /// The driest and the wettest year.
    pub share_low: f64,
    /// The wettest year.
    pub share_high: f64,
    /// Points over market moisture of what was over it.
    pub points: f64,
}

/// Looks it up; none without a load whose moisture was read.
pub fn wetness(yard: &Yard, r: &Reference, crop: &Crop, year: i16) -> Option<Wetness> {
    let market = CropFacts::of(r, crop).market_wb_pct?;
    let mut years: BTreeMap<i16, (f64, f64, f64)> = BTreeMap::new();
    for m in &yard.loads {
        let y = Load::harvest_year(m.on());
        let (Some(w), true) = (m.load.moisture_wb_pct, m.crop.as_ref() == Some(crop) && y < year) else {
            continue;
        };
        if m.load.fields().is_empty() {
            continue;
        }
        let e = years.entry(y).or_default();
        e.0 += m.weight.kg;
        if w > market {
            e.1 += m.weight.kg;
            e.2 += m.weight.kg * (w - market);
        }
    }
    let shares: Vec<f64> = years.values().map(|y| y.1 / y.0).collect();
    let (wet, over): (f64, f64) = years.values().fold((0.0, 0.0), |a, y| (a.0 + y.1, a.1 + y.2));
    if shares.is_empty() {
        return None;
    }
    Some(Wetness {
        years: shares.len(),
        share: shares.iter().sum::<f64>() / shares.len() as f64,
        share_low: shares.iter().copied().fold(1.0, f64::min),
        share_high: shares.iter().copied().fold(0.0, f64::max),
        points: if wet > 0.0 { over / wet } else { 0.0 },
    })
}
