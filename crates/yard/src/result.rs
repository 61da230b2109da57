//! What a field made: clean grain at market moisture, the water in it, and the money as far as the book knows it.

use jiff::civil::Date;
use stook_book::payload::{Crop, Load, SprayPurpose};
use stook_book::{Farm, FieldId};
use stook_grain::lot::Lot;
use stook_measure::{Op, Reference, Working, units};

use crate::crops::CropFacts;
use crate::fold::Yard;

/// Money an area of a field made and cost, as far as it is in the book.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
pub struct Money {
    /// Price used, money a tonne; none when the crop has no price in the book.
    pub price_per_t: Option<f64>,
    /// Value, money/ha.
    pub value_ha: Option<f64>,
    /// Costs known: what, money/ha.
    pub costs: Vec<(String, f64)>,
    /// Value less the costs known, money/ha.
    pub margin_ha: Option<f64>,
    /// What is not in it.
    pub not_counted: Vec<String>,
}

/// A field's harvest.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct FieldResult {
    /// Field.
    pub field: FieldId,
    /// Year of the harvest.
    pub year: i16,
    /// Crop.
    pub crop: Option<Crop>,
    /// Whether the field is said to be off; else it is so far.
    pub done: bool,
    /// Loads.
    pub loads: usize,
    /// Area taken off, ha.
    pub area_ha: f64,
    /// As weighed, kg.
    pub gross_kg: f64,
    /// Dockage, %; none where no load was tested.
    pub dockage_pct: Option<f64>,
    /// Moisture as weighed, % wet basis.
    pub moisture_wb_pct: f64,
    /// Share of the weight whose moisture was read.
    pub moisture_known: f64,
    /// Market moisture, % wet basis.
    pub standard_wb_pct: f64,
    /// Clean grain at market moisture, kg.
    pub standard_kg: f64,
    /// Water over market moisture, kg; below nothing when it came in drier.
    pub water_kg: f64,
    /// Clean yield at market moisture, kg/ha.
    pub yield_kg_ha: f64,
    /// Protein at 13.5 %, %.
    pub protein_pct: Option<f64>,
    /// Test weight, kg/hL.
    pub test_weight_kg_hl: Option<f64>,
    /// Deoxynivalenol, mg/kg.
    pub don_ppm: Option<f64>,
    /// Pounds in its bushel.
    pub lb_per_bu: f64,
    /// Money.
    pub money: Money,
    /// How the yield came about.
    #[serde(skip)]
    pub working: Working,
}

impl FieldResult {
    /// Bushels an acre.
    pub fn bu_ac(&self) -> f64 {
        units::kg_ha_to_bu_ac(self.yield_kg_ha, self.lb_per_bu)
    }
}

/// Results of all fields of a harvest year that have loads, by field.
pub fn results(farm: &Farm, yard: &Yard, r: &Reference, year: i16) -> Vec<FieldResult> {
    yard.ledger
        .off_fields
        .iter()
        .filter(|((y, _), _)| *y == year)
        .filter_map(|((_, field), lot)| result(farm, yard, r, year, field, lot))
        .collect()
}

/// Result of one field, where it has loads.
pub fn of_field(farm: &Farm, yard: &Yard, r: &Reference, year: i16, field: &FieldId) -> Option<FieldResult> {
    result(farm, yard, r, year, field, yard.ledger.off_field(year, field)?)
}

fn result(
    farm: &Farm,
    yard: &Yard,
    r: &Reference,
    year: i16,
    field: &FieldId,
    lot: &Lot,
) -> Option<FieldResult> {
    let record = farm.fields.get(field)?;
    let crop = record.plan(year).map(|p| p.crop.clone());
    let facts = CropFacts::of(r, crop.as_ref().unwrap_or(&Crop::SpringWheat));
    let moved: Vec<_> = yard
        .loads
        .iter()
        .filter(|m| Load::harvest_year(m.on()) == year && m.load.fields().iter().any(|(f, _)| *f == field))
        .collect();
    let whole = record.field().area_ha;
    let done = record.cut_on(year).is_some() || record.cuts.iter().all(|c| c.on().year() != year);
    let parts: f64 = record.cuts.iter().filter(|c| c.on().year() == year).filter_map(|c| c.is.area_ha).sum();
    let area_ha = if done || parts <= 0.0 { whole } else { parts.min(whole) };
    let gross_kg = lot.mass_kg();
    let moisture = lot.moisture_pct()?;
    let standard = facts.market_wb_pct.unwrap_or(yard.params.moisture_wb_pct);
    let dockage = lot.dockage_pct();
    let clean_kg = gross_kg * (1.0 - dockage.unwrap_or(0.0) / 100.0);
    let standard_kg = clean_kg * (100.0 - moisture) / (100.0 - standard);
    let known: f64 = moved.iter().filter(|m| !m.moisture_assumed).map(|m| m.weight.kg).sum();
    let all: f64 = moved.iter().map(|m| m.weight.kg).sum();
    let mut working = Working::new(format!("Clean yield at {standard} % moisture"))
        .line(Op::Start, "Loads, as weighed", gross_kg, "kg", 0)
        .line(Op::Minus, "Dockage", gross_kg - clean_kg, "kg", 0)
        .line(Op::Minus, "Water over market moisture", clean_kg - standard_kg, "kg", 0)
        .sum("Clean, at market moisture", standard_kg, "kg", 0)
        .source("dry matter balance; dockage off before moisture, as a ticket does")
        .would_change("a scale that reads off, or a load booked to another field");
    if dockage.is_none() {
        working = working.note("No load was tested for dockage, so none is taken off.");
    }
    if known < all * 0.999 {
        working = working.note(format!(
            "Moisture was read on {:.0} % of the weight; the rest is taken at {standard} %.",
            100.0 * known / all.max(1e-9)
        ));
    }
    let yield_kg_ha = standard_kg / area_ha.max(1e-9);
    let on = moved.last().map(|m| m.on())?;
    let money = money(farm, yard, &facts, crop.as_ref(), field, year, on, yield_kg_ha, area_ha);
    Some(FieldResult {
        field: field.clone(),
        year,
        crop,
        done,
        loads: moved.len(),
        area_ha,
        gross_kg,
        dockage_pct: dockage,
        moisture_wb_pct: moisture,
        moisture_known: if all > 0.0 { known / all } else { 0.0 },
        standard_wb_pct: standard,
        standard_kg,
        water_kg: clean_kg - standard_kg,
        yield_kg_ha,
        protein_pct: lot.protein_pct(13.5),
        test_weight_kg_hl: lot.test_weight_kg_hl(),
        don_ppm: lot.don_ppm(),
        lb_per_bu: facts.lb_per_bu,
        money,
        working,
    })
}

/// A price in the book as money a tonne.
pub fn price_per_t(farm: &Farm, what: &str, on: Date, lb_per_bu: f64) -> Option<f64> {
    let p = farm.price(what, on)?;
    match p.unit.as_str() {
        "t" => Some(p.value),
        "kg" => Some(p.value * 1000.0),
        "bu" => Some(p.value * units::bushels_per_tonne(lb_per_bu)),
        _ => None,
    }
}

fn per_ha(farm: &Farm, what: &str, on: Date) -> Option<f64> {
    let p = farm.price(what, on)?;
    match p.unit.as_str() {
        "ha" => Some(p.value),
        "ac" => Some(p.value / units::HA_PER_ACRE),
        _ => None,
    }
}

#[allow(clippy::too_many_arguments)] // facts of one field, each its own
fn money(
    farm: &Farm,
    yard: &Yard,
    facts: &CropFacts,
    crop: Option<&Crop>,
    field: &FieldId,
    year: i16,
    on: Date,
    yield_kg_ha: f64,
    area_ha: f64,
) -> Money {
    let keys: &[&str] = match crop {
        Some(Crop::SpringWheat | Crop::Durum) => &["wheat"],
        Some(c) => &[c.key()],
        None => &[],
    };
    let price = keys.iter().find_map(|k| price_per_t(farm, k, on, facts.lb_per_bu));
    let mut m =
        Money { price_per_t: price, value_ha: price.map(|p| p * yield_kg_ha / 1000.0), ..Money::default() };
    if let Some(record) = farm.fields.get(field) {
        let season = |d: Date| d.year() == year;
        for (key, words, purposes) in [
            (
                "herbicide_pass",
                "weed sprays",
                &[SprayPurpose::Burnoff, SprayPurpose::Herbicide, SprayPurpose::PreHarvest][..],
            ),
            ("fungicide_pass", "fungicide", &[SprayPurpose::Fungicide][..]),
        ] {
            let n =
                record.sprays.iter().filter(|s| season(s.on()) && purposes.contains(&s.is.purpose)).count();
            if n == 0 {
                continue;
            }
            match per_ha(farm, key, on) {
                Some(cost) => m.costs.push((words.into(), n as f64 * cost)),
                None => m.not_counted.push(words.into()),
            }
        }
        let harrowed = record.harrowings.iter().filter(|h| season(h.on())).count();
        if harrowed > 0 {
            match per_ha(farm, "harrow_pass", on) {
                Some(cost) => m.costs.push(("harrowing".into(), harrowed as f64 * cost)),
                None => m.not_counted.push("harrowing".into()),
            }
        }
    }
    // Points taken off by the drier on the way off the field.
    let points: f64 = yard
        .loads
        .iter()
        .filter(|l| Load::harvest_year(l.on()) == year)
        .filter_map(|l| {
            let share = l.load.fields().iter().find(|(f, _)| *f == field)?.1;
            let from = l.load.moisture_wb_pct?;
            Some(share * l.weight.kg / 1000.0 * (from - l.load.dried_to_wb_pct?))
        })
        .sum();
    if points > 0.0 {
        let per_point = farm.price("drying", on).and_then(|p| match p.unit.as_str() {
            "t_point" => Some(p.value),
            "bu_point" => Some(p.value * units::bushels_per_tonne(facts.lb_per_bu)),
            _ => None,
        });
        match per_point {
            Some(cost) => m.costs.push(("drying".into(), points * cost / area_ha.max(1e-9))),
            None => m.not_counted.push("drying".into()),
        }
    }
    m.not_counted.extend(["seed", "fertilizer", "fuel, machines and hands", "land"].map(String::from));
    m.margin_ha = m.value_ha.map(|v| v - m.costs.iter().map(|c| c.1).sum::<f64>());
    m
}
