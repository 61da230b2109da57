//! What is taken for a field where the book leaves a choice: its yield, its price, the credit of the crop before, the year.

use jiff::civil::Date;
use stook_book::Farm;
use stook_book::farm::FieldRecord;
use stook_book::payload::{Crop, CropPlan, NutrientRates};
use stook_fertility::Nutrients;
use stook_fertility::nitrogen::Credit;
use stook_measure::units::bushels_per_tonne;
use stook_measure::{Range, Reference};

use crate::nutrients::Row;
use crate::prices::money_per_kg;

/// Rates as nutrients.
pub fn of_rates(r: &NutrientRates) -> Nutrients {
    Nutrients::new(r.n_kg_ha, r.p2o5_kg_ha, r.k2o_kg_ha, r.s_kg_ha)
}

/// Sulphur: by test for small grains, what it takes for canola and peas, none for hay and fallow.
pub(crate) fn by_sulphur(rows: &[Row], crop: &Crop) -> f64 {
    let row = rows.iter().find(|r| r.key == "s");
    match crop {
        Crop::SpringWheat | Crop::Durum | Crop::Barley | Crop::Oats => row.and_then(|r| r.sufficiency_kg_ha),
        Crop::Hay | Crop::Fallow => None,
        _ => row.and_then(|r| r.replacement_kg_ha),
    }
    .unwrap_or(0.0)
}

/// The rate of one nutrient by a way of thinking, kg/ha; the next best where it gives none.
pub fn by_philosophy(r: &Row, philosophy: &str) -> Option<f64> {
    let table = r.own_table.as_ref().and_then(|t| t.as_ref().ok()).map(|(_, x)| *x);
    match philosophy {
        "table" => table.or(r.sufficiency_kg_ha),
        "build" => r.build_kg_ha.or(r.sufficiency_kg_ha),
        "replacement" => r.replacement_kg_ha.or(r.sufficiency_kg_ha),
        _ => r.sufficiency_kg_ha,
    }
    .or(r.replacement_kg_ha)
}

pub(crate) fn wheat_price(farm: &Farm, r: &Reference, on: Date, assumed: &mut Vec<String>) -> f64 {
    let entered = farm.price("wheat", on).and_then(|p| {
        if p.unit == "bu" { Some(p.value * bushels_per_tonne(60.0) / 1000.0) } else { money_per_kg(p) }
    });
    entered.unwrap_or_else(|| {
        assumed.push("No price entered for wheat: ours stands in.".into());
        r.get("season.price.wheat_per_t") / 1000.0
    })
}

/// The yield to aim at: the middle of the outlook for wheat; else the mean of what the field made of that crop.
pub(crate) fn expected_yield(
    record: &FieldRecord,
    crop: &Crop,
    ceiling: Option<Range>,
    year: i16,
) -> Option<f64> {
    if matches!(crop, Crop::SpringWheat | Crop::Durum)
        && let Some(c) = ceiling
    {
        return Some(c.p50);
    }
    let made: Vec<f64> = record
        .cuts
        .iter()
        .filter(|c| record.plan(c.on().year()).is_some_and(|p| p.crop == *crop))
        .filter_map(|c| c.is.yield_kg_ha)
        .collect();
    if made.is_empty() {
        record.plan(year).and_then(|p| p.target_yield_kg_ha).or_else(|| usual_yield_kg_ha(crop))
    } else {
        Some(made.iter().sum::<f64>() / made.len() as f64)
    }
}

/// A usual yield where nothing is known, kg/ha: the yields at which the published removal tables are printed.
pub fn usual_yield_kg_ha(crop: &Crop) -> Option<f64> {
    use stook_measure::units::bu_ac_to_kg_ha;
    Some(match crop {
        Crop::SpringWheat | Crop::Durum => bu_ac_to_kg_ha(40.0, 60.0),
        Crop::Barley => bu_ac_to_kg_ha(80.0, 48.0),
        Crop::Oats => bu_ac_to_kg_ha(100.0, 34.0),
        Crop::Canola => bu_ac_to_kg_ha(35.0, 50.0),
        Crop::Peas => bu_ac_to_kg_ha(50.0, 60.0),
        _ => return None,
    })
}

pub(crate) fn credit_of(
    before: Option<&Crop>,
    record: &FieldRecord,
    year: i16,
    asked: Option<&str>,
) -> (String, f64) {
    let key = asked.unwrap_or(match before {
        Some(Crop::Peas) => "pea_minnesota",
        _ => "none",
    });
    let made =
        record.cuts.iter().rfind(|c| c.on().year() == year - 1).and_then(|c| c.is.yield_kg_ha).unwrap_or(0.0);
    Credit::of(key).map_or(("none".into(), 0.0), |c| (c.name.clone(), c.kg_ha(made)))
}

/// The crop year that fertilizer is being decided for on a day: from August on the next one.
pub fn year_decided_on(day: Date) -> i16 {
    if day.month() >= 8 { day.year() + 1 } else { CropPlan::year_on(day) }
}
