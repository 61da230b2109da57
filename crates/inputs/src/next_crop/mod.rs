//! Next year's crop by field: what the rotation, the stubble, the labels and the money say.

mod labels;

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::FieldRecord;
use stook_book::payload::Crop;
use stook_book::{Farm, FieldId};
use stook_fertility::Nutrients;
use stook_measure::units::KG_PER_LB;
use stook_measure::{Range, Reference, figure};
use stook_season::WeatherFacts;
use stook_season::ceiling::Ceiling;

use self::labels::limit;
pub use self::labels::{LabelSays, Limit, SummerRain, summer_rain};
use crate::balance::grain_removal;
use crate::prices::{money_per_kg, nutrient_prices};
use crate::report::usual_yield_kg_ha;

/// One crop on one field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// Key.
    pub key: String,
    /// In words.
    pub crop: String,
    /// Yield taken, kg/ha, with where it is from.
    pub yield_kg_ha: f64,
    /// Where the yield is from.
    pub yield_from: String,
    /// Grain less the nutrients it takes, money a ha: 10, 50, 90 where the yield has a range.
    pub margin_ha: Option<Range>,
    /// Blocked by a label.
    pub blocked: bool,
    /// For and against, in sentences.
    pub notes: Vec<String>,
}

/// One field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextCrop {
    /// Key.
    pub field: String,
    /// Name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Crops by year, newest first.
    pub grown: Vec<(i16, String)>,
    /// What is planned for the year, if it is.
    pub planned: Option<String>,
    /// Rain of last summer.
    pub rain: Option<SummerRain>,
    /// Labels.
    pub limits: Vec<Limit>,
    /// Crops, best margin first; blocked ones last.
    pub choices: Vec<Choice>,
}

/// Crops that are set side by side.
const CROPS: [Crop; 6] = [Crop::SpringWheat, Crop::Durum, Crop::Barley, Crop::Oats, Crop::Canola, Crop::Peas];

fn is_cereal(c: &Crop) -> bool {
    matches!(c, Crop::SpringWheat | Crop::Durum | Crop::Barley | Crop::Oats)
}

/// The choices of every field for a crop year.
pub fn next_crops(
    farm: &Farm,
    shipped: &Reference,
    weather: &WeatherFacts,
    ceilings: &[Ceiling],
    on: Date,
    crop_year: i16,
) -> Vec<NextCrop> {
    let mut all: Vec<NextCrop> = farm
        .fields
        .keys()
        .filter_map(|id| next_crop(farm, shipped, weather, ceilings, id, on, crop_year))
        .collect();
    all.sort_by(|a, b| a.name.cmp(&b.name));
    all
}

/// One field's choices.
pub fn next_crop(
    farm: &Farm,
    shipped: &Reference,
    weather: &WeatherFacts,
    ceilings: &[Ceiling],
    id: &FieldId,
    on: Date,
    crop_year: i16,
) -> Option<NextCrop> {
    let record = farm.fields.get(id)?;
    let (reference, _) = farm.reference(shipped);
    let grown: Vec<(i16, Crop)> = (1..=4)
        .filter_map(|back| Some((crop_year - back, record.plan(crop_year - back)?.crop.clone())))
        .collect();
    if grown.first().is_some_and(|(_, c)| *c == Crop::Hay)
        && record.plan(crop_year).is_none_or(|p| p.crop == Crop::Hay)
    {
        return None;
    }
    let rain_of = |year: i16| summer_rain(farm, record, weather, year);
    let limits: Vec<(Crop, Limit)> = record
        .plant_backs
        .iter()
        .filter(|x| x.is.applied.year() < crop_year)
        .map(|x| (x.is.crop.clone(), limit(&x.is, rain_of(x.is.applied.year()).as_ref(), crop_year)))
        .collect();
    let prices = nutrient_prices(farm, &reference, on);
    let ceiling = ceilings.iter().find(|c| c.field == id.as_str()).and_then(|c| Range::of(&c.yields_kg_ha));
    let mut choices: Vec<Choice> = CROPS
        .iter()
        .filter_map(|crop| {
            choice(farm, record, &reference, crop, &grown, &limits, ceiling, prices.per_kg, on)
        })
        .collect();
    choices.sort_by(|a, b| {
        let m = |c: &Choice| c.margin_ha.map_or(f64::NEG_INFINITY, |m| m.p50);
        a.blocked.cmp(&b.blocked).then(m(b).total_cmp(&m(a)))
    });
    Some(NextCrop {
        field: id.to_string(),
        name: record.field().name.clone(),
        area_ha: record.field().area_ha,
        grown: grown.iter().map(|(y, c)| (*y, c.words().to_string())).collect(),
        planned: record.plan(crop_year).map(|p| p.crop.words().to_string()),
        rain: rain_of(crop_year - 1),
        limits: limits.into_iter().map(|(_, l)| l).collect(),
        choices,
    })
}

#[allow(clippy::too_many_arguments)]
fn choice(
    farm: &Farm,
    record: &FieldRecord,
    r: &Reference,
    crop: &Crop,
    grown: &[(i16, Crop)],
    limits: &[(Crop, Limit)],
    ceiling: Option<Range>,
    per_kg: Nutrients,
    on: Date,
) -> Option<Choice> {
    let price = price_per_kg(farm, r, crop, on)?;
    let before = grown.first().map(|(_, c)| c);
    let mut notes = Vec::new();
    let wheat = matches!(crop, Crop::SpringWheat | Crop::Durum);
    let own: Vec<f64> = record
        .cuts
        .iter()
        .filter(|c| record.plan(c.on().year()).is_some_and(|p| p.crop == *crop))
        .filter_map(|c| c.is.yield_kg_ha)
        .collect();
    let mut range = match (wheat, ceiling) {
        (true, Some(c)) => Some((c, "the outlook over the weathers".to_string())),
        _ if !own.is_empty() => {
            let y = own.iter().sum::<f64>() / own.len() as f64;
            Some((Range { p10: y, p50: y, p90: y }, "what this field made of it".to_string()))
        }
        _ => usual_yield_kg_ha(crop).map(|y| usual(y, ceiling)),
    }?;
    if wheat && before.is_some_and(|b| matches!(b, Crop::SpringWheat | Crop::Durum)) {
        let gain = r.get("inputs.rotation.wheat_after_other_pct") / 100.0;
        range.0 = range.0.map(|y| y / (1.0 + gain));
        notes.push(format!(
            "Wheat on wheat: taken {} % lower. Wheat on other crops made 8 to 16 % more in Manitoba.",
            figure(100.0 * gain, 0)
        ));
    }
    if wheat && before.is_some_and(is_cereal) {
        notes.push("Cereal stubble raises the risk of head blight by a class.".into());
    }
    let gap = |wanted: &Crop| grown.iter().find(|(_, c)| c == wanted).map(|(y, _)| *y);
    let years = |y: i16| grown.first().map_or(1, |(last, _)| last - y + 1);
    match crop {
        Crop::Canola => {
            if let Some(y) = gap(crop).filter(|y| years(*y) < 4) {
                notes.push(format!(
                    "Canola {}: root and stem disease ask for three other crops between (common practice).",
                    ago(years(y))
                ));
            }
        }
        Crop::Peas => {
            if let Some(y) = gap(crop).filter(|y| years(*y) < 5) {
                notes.push(format!(
                    "Peas {}: root rot asks for four to six years between (common practice).",
                    ago(years(y))
                ));
            }
        }
        _ => {}
    }
    if wheat && before == Some(&Crop::Peas) {
        notes.push("After peas: some nitrogen is left, and an even seedbed.".into());
    }
    if matches!(crop, Crop::Barley) {
        notes.push("Barley feeds the barn as well as it sells.".into());
    }
    let mut blocked = false;
    for (c, l) in
        limits.iter().filter(|(c, _)| c == crop || wheat && matches!(c, Crop::SpringWheat | Crop::Durum))
    {
        blocked |= l.says != LabelSays::Fine && c == crop;
        if l.says != LabelSays::Fine {
            notes.push(l.sentence.clone());
        }
    }
    let margin = |y: f64| {
        let taken = grain_removal(crop, y).map_or(Nutrients::NONE, |t| t.middle_kg_ha());
        // peas make their own nitrogen
        let taken = if *crop == Crop::Peas { Nutrients { n: 0.0, ..taken } } else { taken };
        price * y - taken.worth(per_kg)
    };
    Some(Choice {
        key: crop.key().into(),
        crop: crop.words().into(),
        yield_kg_ha: range.0.p50,
        yield_from: range.1,
        margin_ha: Some(range.0.map(margin)),
        blocked,
        notes,
    })
}

/// `last year`, `3 years ago`.
fn ago(years: i16) -> String {
    if years <= 1 { "last year".into() } else { format!("{years} years ago") }
}

/// A usual yield of another crop, moved with the water that the field promises wheat: a dry outlook is dry for all.
fn usual(y: f64, ceiling: Option<Range>) -> (Range, String) {
    let wheat = usual_yield_kg_ha(&Crop::SpringWheat).unwrap_or(y);
    match ceiling {
        Some(c) => (
            c.map(|x| y * (x / wheat).clamp(0.3, 1.6)),
            "a usual yield, moved with the water this field promises wheat".into(),
        ),
        None => (Range { p10: y, p50: y, p90: y }, "a usual yield, not this field's".into()),
    }
}

/// Price of a crop, money a kg; none when the farm has not entered one (wheat has ours).
fn price_per_kg(farm: &Farm, r: &Reference, crop: &Crop, on: Date) -> Option<f64> {
    let (key, pounds) = match crop {
        Crop::SpringWheat => ("wheat", 60.0),
        Crop::Durum => ("durum", 60.0),
        Crop::Barley => ("barley", 48.0),
        Crop::Oats => ("oats", 34.0),
        Crop::Canola => ("canola", 50.0),
        Crop::Peas => ("peas", 60.0),
        Crop::Flax => ("flax", 56.0),
        _ => return None,
    };
    let p = farm.price(key, on);
    match p {
        Some(p) if p.unit == "bu" => Some(p.value / (pounds * KG_PER_LB)),
        Some(p) => money_per_kg(p),
        None if key == "wheat" => Some(r.get("season.price.wheat_per_t") / 1000.0),
        None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use stook_book::payload::PlantBack;

    fn label(months: f64, mm: Option<f64>) -> PlantBack {
        PlantBack {
            field: "a".into(),
            product: "x".into(),
            applied: date(2025, 6, 9),
            crop: Crop::Peas,
            months,
            june_to_august_mm: mm,
        }
    }

    #[test]
    fn a_label_is_held_against_months_and_rain() {
        let rain = |mm| SummerRain { year: 2025, mm, from: "the station".into() };
        assert_eq!(limit(&label(22.0, None), None, 2026).says, LabelSays::No);
        assert_eq!(limit(&label(10.0, None), None, 2026).says, LabelSays::Fine);
        assert_eq!(limit(&label(10.0, Some(175.0)), None, 2026).says, LabelSays::NotKnown);
        assert_eq!(limit(&label(10.0, Some(175.0)), Some(&rain(174.0)), 2026).says, LabelSays::No);
        let met = limit(&label(10.0, Some(175.0)), Some(&rain(175.0)), 2026);
        assert_eq!(met.says, LabelSays::Fine);
        assert!(met.sentence.ends_with("Met."), "{}", met.sentence);
        // the rain of another year says nothing
        let old = SummerRain { year: 2024, ..rain(300.0) };
        assert_eq!(limit(&label(10.0, Some(175.0)), Some(&old), 2026).says, LabelSays::NotKnown);
    }
}
