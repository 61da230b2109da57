//! What each season put on and took off a field, and the running sum.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::FieldRecord;
use stook_book::payload::{Crop, CropPlan, Grade};
use stook_book::{Farm, FieldId};
use stook_fertility::product::Product;
use stook_fertility::removal::{Season, Taken, running_balance, taken};
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::Reference;
use stook_yard::Yard;
use stook_yard::result::of_field;

use crate::manure::credit::{credit, evening};

/// One season.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Year {
    /// Crop year.
    pub year: i16,
    /// Crop in words.
    pub crop: String,
    /// Yield, kg/ha, if it is in the book.
    pub yield_kg_ha: Option<f64>,
    /// Where the yield is from.
    pub yield_from: Option<String>,
    /// Put on, kg/ha: fertilizer and manure.
    pub applied_kg_ha: Nutrients,
    /// Of it, manure: nitrogen of use in the year, all of the phosphate and potash.
    pub manure_kg_ha: Nutrients,
    /// Whether what was put on is in the book, or only planned and seeded.
    pub applied_from: String,
    /// Taken off by the grain and the straw, kg/ha, middle of the published range.
    pub removed_kg_ha: Nutrients,
    /// Of it, by straw that was baled.
    pub straw_kg_ha: Nutrients,
    /// Running sum to here, kg/ha.
    pub sum_kg_ha: Nutrients,
    /// The published figures for this crop were found.
    pub known: bool,
}

/// Key of a crop in the removal table, and the table used.
fn removal_key(crop: &Crop) -> Option<(&'static str, &'static str)> {
    Some(match crop {
        Crop::SpringWheat | Crop::Durum => ("western_canada", "spring_wheat"),
        Crop::Barley => ("western_canada", "barley"),
        Crop::Oats => ("western_canada", "oats"),
        Crop::Canola => ("western_canada", "canola"),
        Crop::Peas => ("country_guide", "pea"),
        _ => return None,
    })
}

/// What a crop's grain takes, kg/ha; none where no table has it.
pub fn grain_removal(crop: &Crop, yield_kg_ha: f64) -> Option<Taken> {
    let (table, key) = removal_key(crop)?;
    taken(table, key, "grain", yield_kg_ha)
}

/// Nutrients of a mass of a product, by its key or its own grade; none where neither is known.
pub fn nutrients_of(product: &str, grade: Option<&Grade>, mass: f64) -> Option<Nutrients> {
    match grade {
        Some(g) => Some(Nutrients::new(g.n_pct, g.p2o5_pct, g.k2o_pct, g.s_pct).times(mass / 100.0)),
        None => Some(Product::of(product)?.in_mass(mass)),
    }
}

/// What went on for a crop year, kg/ha over the whole field; none when nothing is in the book.
pub fn applied(record: &FieldRecord, year: i16) -> Option<Nutrients> {
    let entries: Vec<_> = record.fertilizer.iter().filter(|f| f.is.crop_year == year).collect();
    if entries.is_empty() {
        return None;
    }
    let mut sum = Nutrients::NONE;
    for f in entries {
        for p in &f.is.products {
            sum += nutrients_of(&p.product, p.grade.as_ref(), p.kg)
                .unwrap_or(Nutrients::NONE)
                .times(1.0 / record.field().area_ha);
        }
    }
    Some(sum)
}

/// Yields by the loads hauled off each field, clean and at market moisture.
#[derive(Debug)]
pub struct ByLoads {
    yard: Yard,
    reference: Reference,
}

impl ByLoads {
    /// Loads up to a day.
    pub fn of(farm: &Farm, reference: &Reference, on: Date) -> Self {
        Self { yard: Yard::fold_until(farm, reference, Some(evening(on))), reference: reference.clone() }
    }

    /// Yield of a field in a year, kg/ha, and how many loads it is from; none without loads.
    fn of_field(&self, farm: &Farm, field: &FieldId, year: i16) -> Option<(f64, usize)> {
        let r = of_field(farm, &self.yard, &self.reference, year, field)?;
        (r.yield_kg_ha > 0.0).then_some((r.yield_kg_ha, r.loads))
    }
}

/// What straw takes off, kg/ha. The published figures are of wheat straw; sulphur is not among them.
pub fn straw_removal(mass_kg_ha: f64) -> Nutrients {
    taken("illinois", "wheat", "straw", mass_kg_ha).map_or(Nutrients::NONE, |t| t.middle_kg_ha())
}

/// Yield by the combine's or the owner's word, kg/ha.
fn told_yield(record: &FieldRecord, on: Date, year: i16) -> Option<f64> {
    let whole = record.field().area_ha;
    let cuts = record.cuts.iter().filter(|c| c.on() <= on && c.on().year() == year);
    let (mut mass, mut area) = (0.0, 0.0);
    for c in cuts {
        let part = c.is.area_ha.unwrap_or(whole);
        area += part;
        mass += c.is.yield_kg_ha.unwrap_or(0.0) * part;
    }
    (mass > 0.0 && area > 0.0).then_some(mass / area)
}

/// The seasons on record up to a day, oldest first.
pub fn balance(
    farm: &Farm,
    record: &FieldRecord,
    on: Date,
    loads: &ByLoads,
    p: &FertilityParams,
) -> Vec<Year> {
    let mut years: Vec<Year> =
        record.plans.keys().filter_map(|year| season(farm, record, on, *year, loads, p)).collect();
    let seasons: Vec<Season> = years
        .iter()
        .map(|y| Season { applied_kg_ha: y.applied_kg_ha, removed_kg_ha: y.removed_kg_ha })
        .collect();
    for (y, sum) in years.iter_mut().zip(running_balance(&seasons)) {
        y.sum_kg_ha = sum;
    }
    years
}

fn season(
    farm: &Farm,
    record: &FieldRecord,
    on: Date,
    year: i16,
    loads: &ByLoads,
    p: &FertilityParams,
) -> Option<Year> {
    let plan = record.plan(year)?;
    let by_loads = loads.of_field(farm, &record.field().id, year);
    let told = told_yield(record, on, year);
    let yield_kg_ha = by_loads.map(|(y, _)| y).or(told);
    let yield_from = match (by_loads, told) {
        (Some((_, 1)), _) => Some("one load".to_string()),
        (Some((_, n)), _) => Some(format!("{n} loads")),
        (None, Some(_)) => Some("as written at the cut".to_string()),
        (None, None) => None,
    };
    let on_book = applied(record, year);
    let seeded = record.seeded_on(year).is_some_and(|d| d <= on);
    let planned = record
        .fertilizer_plans
        .get(&year)
        .filter(|_| seeded)
        .map(|p| Nutrients::new(p.is.n_kg_ha, p.is.p2o5_kg_ha, p.is.k2o_kg_ha, p.is.s_kg_ha));
    let manure_kg_ha = credit(farm, record, year, evening(on), p).balance_kg_ha;
    let straw_kg: f64 = record
        .straw
        .iter()
        .filter(|s| s.on() <= on && CropPlan::year_on(s.on()) == year)
        .map(|s| s.is.bales * s.is.bale_kg)
        .sum();
    let straw_kg_ha = straw_removal(straw_kg / record.field().area_ha);
    let nothing = yield_kg_ha.is_none() && on_book.is_none() && planned.is_none();
    if nothing && manure_kg_ha == Nutrients::NONE && straw_kg <= 0.0 {
        return None;
    }
    let taken = yield_kg_ha.and_then(|y| grain_removal(&plan.crop, y));
    let mut applied_from = match (on_book.is_some(), planned.is_some()) {
        (true, _) => "as written down",
        (false, true) => "as planned; write down what went on",
        (false, false) if manure_kg_ha != Nutrients::NONE => "",
        (false, false) => "nothing in the book",
    }
    .to_string();
    if manure_kg_ha != Nutrients::NONE {
        applied_from =
            if applied_from.is_empty() { "manure".into() } else { format!("{applied_from}, and manure") };
    }
    Some(Year {
        year,
        crop: plan.crop.words().to_string(),
        yield_kg_ha,
        yield_from,
        applied_kg_ha: on_book.or(planned).unwrap_or(Nutrients::NONE) + manure_kg_ha,
        manure_kg_ha,
        applied_from,
        removed_kg_ha: taken.as_ref().map_or(Nutrients::NONE, Taken::middle_kg_ha) + straw_kg_ha,
        straw_kg_ha,
        sum_kg_ha: Nutrients::NONE,
        known: yield_kg_ha.is_none() || taken.is_some(),
    })
}
