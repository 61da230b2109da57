//! What the water would let each field make in wheat, weather by weather: the ceiling that the answer to nitrogen
//! follows.

use jiff::civil::Date;
use stook_book::farm::Fact;
use stook_book::payload::{Crop, CropPlan};

use crate::SeasonError;
use crate::carry::carry;
use crate::facts::Question;
use crate::run::Policy;

/// One field over the weathers.
#[derive(Debug, Clone, PartialEq)]
pub struct Ceiling {
    /// Key of the field.
    pub field: String,
    /// Yield by water, kg/ha, one a weather, no more than the field's best.
    pub yields_kg_ha: Vec<f64>,
    /// Soil at seed depth on the morning asked for, C.
    pub soil_temp_c: f64,
}

/// The ceilings of every field for a crop year, each as if it grew wheat. Empty for a year that is over.
///
/// Between harvest and November the next crop's year is carried from the first of November.
///
/// # Errors
/// When the farm has no place.
pub fn ceilings(q: &Question<'_>, crop_year: i16) -> Result<Vec<Ceiling>, SeasonError> {
    let turn = Date::new(crop_year - 1, 11, 1).map_err(|e| SeasonError::Date(e.to_string()))?;
    let as_of = q.as_of.max(turn);
    if CropPlan::year_on(as_of) != crop_year || (turn - q.as_of).get_days() > 200 {
        return Ok(Vec::new());
    }
    let mut farm = q.farm.clone();
    for record in farm.fields.values_mut() {
        let grown = record.plans.get(&crop_year).map(|p| p.is.clone());
        let wheat = grown.as_ref().is_some_and(|p| matches!(p.crop, Crop::SpringWheat | Crop::Durum));
        if wheat {
            continue;
        }
        let set_up = &record.set_up;
        let plan = CropPlan {
            field: set_up.is.id.clone(),
            crop_year,
            crop: Crop::SpringWheat,
            cultivar_class: None,
            cultivar: None,
            head_blight: None,
            target_yield_kg_ha: None,
            best_seeding_until: None,
            last_seeding_day: None,
        };
        let fact = Fact {
            entry: set_up.entry,
            first: set_up.first,
            happened: set_up.happened,
            written: set_up.written,
            who: set_up.who.clone(),
            is: plan,
        };
        record.plans.insert(crop_year, fact);
    }
    let c = carry(&Question { farm: &farm, as_of, ..*q })?;
    let seasons = c.seasons(&Policy::default(), None);
    let soil_temp_c = c.air[0].first().map_or(f64::NAN, |a| a.soil_c);
    Ok(c.model
        .fields
        .iter()
        .enumerate()
        // Without the correction by past yields: those were held by their fertilizer too, and this figure decides it.
        .map(|(f, field)| Ceiling {
            field: field.id.to_string(),
            yields_kg_ha: seasons
                .iter()
                .map(|m| field.params.yield_.line.at(m[f].crop_water_mm).min(field.cap_kg_ha).max(0.0))
                .collect(),
            soil_temp_c,
        })
        .collect())
}
