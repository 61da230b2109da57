//! What each season put on and took off a field, and the running sum.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::FieldRecord;
use stook_book::payload::{Crop, Grade};
use stook_fertility::Nutrients;
use stook_fertility::product::Product;
use stook_fertility::removal::{Season, Taken, running_balance, taken};

/// One season.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Year {
    /// Crop year.
    pub year: i16,
    /// Crop in words.
    pub crop: String,
    /// Yield, kg/ha, if it is in the book.
    pub yield_kg_ha: Option<f64>,
    /// Put on, kg/ha.
    pub applied_kg_ha: Nutrients,
    /// Whether what was put on is in the book, or only planned and seeded.
    pub applied_from: String,
    /// Taken off by the grain, kg/ha, middle of the published range.
    pub removed_kg_ha: Nutrients,
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

/// The seasons on record up to a day, oldest first.
pub fn balance(record: &FieldRecord, on: Date) -> Vec<Year> {
    let mut years = Vec::new();
    for (year, plan) in &record.plans {
        let cuts: Vec<_> = record.cuts.iter().filter(|c| c.on() <= on && c.on().year() == *year).collect();
        let area: f64 = cuts.iter().map(|c| c.is.area_ha.unwrap_or(record.field().area_ha)).sum();
        let mass: f64 = cuts
            .iter()
            .filter_map(|c| Some(c.is.yield_kg_ha? * c.is.area_ha.unwrap_or(record.field().area_ha)))
            .sum();
        let yield_kg_ha = (mass > 0.0 && area > 0.0).then_some(mass / area);
        let on_book = applied(record, *year);
        let seeded = record.seeded_on(*year).is_some_and(|d| d <= on);
        let planned = record
            .fertilizer_plans
            .get(year)
            .filter(|_| seeded)
            .map(|p| Nutrients::new(p.is.n_kg_ha, p.is.p2o5_kg_ha, p.is.k2o_kg_ha, p.is.s_kg_ha));
        if yield_kg_ha.is_none() && on_book.is_none() && planned.is_none() {
            continue;
        }
        let taken = yield_kg_ha.and_then(|y| grain_removal(&plan.is.crop, y));
        years.push(Year {
            year: *year,
            crop: plan.is.crop.words().to_string(),
            yield_kg_ha,
            applied_kg_ha: on_book.or(planned).unwrap_or(Nutrients::NONE),
            applied_from: match (on_book.is_some(), planned.is_some()) {
                (true, _) => "as written down".into(),
                (false, true) => "as planned; write down what went on".into(),
                (false, false) => "nothing in the book".into(),
            },
            removed_kg_ha: taken.as_ref().map_or(Nutrients::NONE, Taken::middle_kg_ha),
            sum_kg_ha: Nutrients::NONE,
            known: yield_kg_ha.is_none() || taken.is_some(),
        });
    }
    let seasons: Vec<Season> = years
        .iter()
        .map(|y| Season { applied_kg_ha: y.applied_kg_ha, removed_kg_ha: y.removed_kg_ha })
        .collect();
    for (y, sum) in years.iter_mut().zip(running_balance(&seasons)) {
        y.sum_kg_ha = sum;
    }
    years
}
