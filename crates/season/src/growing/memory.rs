//! How the farm's own crops have run against the model, remembered by field and cultivar class.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use stook_book::payload::{Crop, CropPlan, CultivarClass};
use stook_crop::Phase;
use stook_crop::observe::Seen;
use stook_crop::thermal::degree_days_clipped;

use crate::facts::Question;
use crate::model::{Model, days_late};
use crate::past;

/// A correction remembered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    /// Days later (negative: earlier) than the class is reckoned.
    pub days: f64,
    /// Stages seen on this field in earlier years.
    pub own: usize,
    /// Stages seen on other fields of the class.
    pub class: usize,
    /// In words.
    pub words: String,
}

/// Sightings count as this many when none is known: the correction grows with what was seen.
const PRIOR: f64 = 2.0;
/// A sighting on another field of the class counts this much.
const OTHERS: f64 = 0.5;
/// The most a correction moves the crop, days.
const MOST_DAYS: f64 = 6.0;

struct Sighting {
    field: stook_book::FieldId,
    year: i16,
    class: Option<CultivarClass>,
    late_days: f64,
}

/// Puts the remembered correction into every field's crop.
pub(crate) fn learn(model: &mut Model, q: &Question<'_>) {
    let seen = sightings(model, q);
    if seen.is_empty() {
        return;
    }
    let year = model.year;
    for i in 0..model.fields.len() {
        let Some(record) = q.farm.fields.get(&model.fields[i].id) else { continue };
        let class = record.plan(year).and_then(|p| p.cultivar_class);
        // This year's own sightings move the crop itself; here they would count twice.
        let own: Vec<f64> = seen
            .iter()
            .filter(|s| s.field == model.fields[i].id && s.class == class && s.year != year)
            .map(|s| s.late_days)
            .collect();
        let others: Vec<f64> = seen
            .iter()
            .filter(|s| s.field != model.fields[i].id && s.class == class)
            .map(|s| s.late_days)
            .collect();
        if own.is_empty() && others.is_empty() {
            continue;
        }
        let weight = own.len() as f64 + OTHERS * others.len() as f64;
        let sum = own.iter().sum::<f64>() + OTHERS * others.iter().sum::<f64>();
        let days = (sum / (weight + PRIOR)).clamp(-MOST_DAYS, MOST_DAYS);
        if days.abs() < 0.25 {
            continue;
        }
        let way = if days > 0.0 { "later" } else { "earlier" };
        let class_words = class.map_or("the usual", CultivarClass::words);
        let words = format!(
            "Runs {:.1} days {way} than reckoned for {class_words} cultivars: remembered from {} on this field and {} on others of the class.",
            days.abs(),
            times(own.len()),
            times(others.len())
        );
        let field = &mut model.fields[i];
        field.params = model.crop.for_cultivar(days_late(class) + days);
        field.correction = Some(Correction { days, own: own.len(), class: others.len(), words });
    }
}

fn times(n: usize) -> String {
    match n {
        0 => "none".into(),
        1 => "one stage seen".into(),
        n => format!("{n} stages seen"),
    }
}

/// Every stage seen from jointing on, with how late the crop was against the model that day.
fn sightings(model: &Model, q: &Question<'_>) -> Vec<Sighting> {
    let wanted = |r: &stook_book::FieldRecord| !r.stages.is_empty() && !r.seedings.is_empty();
    if !q.farm.fields.values().any(wanted) {
        return Vec::new();
    }
    let by_date: BTreeMap<Date, (f64, f64)> = q
        .weather
        .observed
        .iter()
        .filter(|r| r.date < q.as_of)
        .filter_map(|r| Some((r.date, (r.tmax_c?, r.tmin_c?))))
        .collect();
    let mut out = Vec::new();
    for record in q.farm.fields.values().filter(|r| wanted(r)) {
        for (year, plan) in &record.plans {
            if !matches!(plan.is.crop, Crop::SpringWheat | Crop::Durum) {
                continue;
            }
            let Some(seeded) = record.seeded_on(*year) else { continue };
            let class = plan.is.cultivar_class;
            let stage = model.crop.for_cultivar(days_late(class)).stage;
            for s in record.stages.iter().filter(|s| CropPlan::year_on(s.on()) == *year && s.on() < q.as_of) {
                let Some((Seen::Begun(phase), _)) = past::seen(&s.is.stage) else { continue };
                if phase < Phase::Jointing || s.on() <= seeded {
                    continue;
                }
                let mut sum = 0.0;
                let mut day = seeded.tomorrow().unwrap_or(seeded);
                let mut whole = true;
                while day <= s.on() {
                    match by_date.get(&day) {
                        Some((tmax, tmin)) => {
                            sum += degree_days_clipped(*tmax, *tmin, stage.base_c, stage.cap_late_c);
                        }
                        None => whole = false,
                    }
                    day = day.tomorrow().unwrap_or(day);
                    if day.year() > *year {
                        break;
                    }
                }
                let late_days = (sum - stage.threshold_cd(phase)) / stage.late_season_cd_per_day;
                // Three weeks off is a wrong entry or another crop.
                if whole && late_days.abs() <= 21.0 {
                    out.push(Sighting { field: record.field().id.clone(), year: *year, class, late_days });
                }
            }
        }
    }
    out
}
