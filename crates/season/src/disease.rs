//! Head blight and leaf spots in the season: what a field's cultivar and stubble make of the weather, in money.

use stook_book::farm::FieldRecord;
use stook_book::payload::{BlightRating, Crop, CropPlan};
use stook_crop::CropParams;
use stook_crop::disease::Resistance;
use stook_crop::disease::pressure::{Worth, expected_index_pct, hours_for_index};

use crate::field::FieldState;
use crate::model::{FieldModel, Model};
use crate::params::SeasonParams;

/// What head blight finds on a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blight {
    /// The cultivar's rating.
    pub resistance: Resistance,
    /// Whether the book gives it.
    pub rating_known: bool,
    /// Whether last year's crop was wheat or maize.
    pub host_stubble: bool,
    /// Diseased spikelets at which a spray at its best pays, %; none where none does.
    pub pays_from_pct: Option<f64>,
    /// Hours of head blight weather in seven days at which the standing plan sprays.
    pub spray_from_h: f64,
}

impl Blight {
    /// For a field in a year.
    pub fn of(
        record: &FieldRecord,
        plan: &CropPlan,
        year: i16,
        season: &SeasonParams,
        crop: &CropParams,
    ) -> Self {
        let resistance = match plan.head_blight {
            Some(BlightRating::Susceptible) => Resistance::Susceptible,
            Some(BlightRating::ModeratelyResistant) => Resistance::ModeratelyResistant,
            Some(BlightRating::Intermediate) | None => Resistance::Intermediate,
        };
        let host_stubble = record.plan(year - 1).is_some_and(|p| hosts(&p.crop));
        let usual_kg_ha = plan.target_yield_kg_ha.unwrap_or(0.65 * season.cap_kg_ha);
        let pays_from_pct = worth(season, crop, usual_kg_ha).break_even_index_pct();
        let hours = pays_from_pct.and_then(|x| hours_for_index(x, resistance, host_stubble, &crop.disease));
        Self {
            resistance,
            rating_known: plan.head_blight.is_some(),
            host_stubble,
            pays_from_pct,
            spray_from_h: hours.unwrap_or(f64::INFINITY),
        }
    }

    /// Diseased spikelets to expect unsprayed at the season's most hours, %.
    pub fn index_pct(&self, hours_7d: f64, crop: &CropParams) -> f64 {
        expected_index_pct(hours_7d, self.resistance, self.host_stubble, &crop.disease)
    }

    /// The rating in words.
    pub fn rating_words(&self) -> &'static str {
        match self.resistance {
            Resistance::Susceptible => "a susceptible cultivar",
            Resistance::Intermediate => "an in-between cultivar",
            Resistance::ModeratelyResistant => "a moderately resistant cultivar",
        }
    }
}

/// Whether a crop's stubble carries head blight into the next.
fn hosts(crop: &Crop) -> bool {
    match crop {
        Crop::SpringWheat | Crop::Durum => true,
        Crop::Other(word) => {
            ["corn", "maize", "winter wheat"].iter().any(|w| word.to_lowercase().contains(w))
        }
        _ => false,
    }
}

/// What grain, spray and discount are worth at a yield.
pub fn worth(season: &SeasonParams, crop: &CropParams, yield_kg_ha: f64) -> Worth {
    Worth {
        grain_per_kg: season.wheat_per_t / 1000.0,
        spray_per_ha: season.fungicide_per_ha,
        yield_kg_ha,
        don_from_ppm: season.don_from_ppm,
        don_per_kg_ppm: season.don_per_t_ppm / 1000.0,
        don_most_per_kg: (season.wheat_per_t - season.feed_wheat_per_t).max(0.0) / 1000.0,
        index_control: season.fungicide_index_control,
        don_control: season.fungicide_don_control,
        don_ppm_per_point: crop.disease.don_ppm_per_point,
        loss_kg_ha_per_point: crop.disease.fhb_loss_kg_ha_per_point,
    }
}

/// One year's disease on a field.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Disease {
    /// Yield lost without a spray, kg/ha.
    pub lost_kg_ha: f64,
    /// Yield the spray on record or in the plan saves, kg/ha.
    pub saved_kg_ha: f64,
    /// Discount for DON that is left, money/ha.
    pub discount: f64,
}

/// The disease of the season on a field that would else make `kg_ha`. A saving the farm entered itself takes the
/// place of the reckoned one.
pub fn of(model: &Model, field: &FieldModel, s: &FieldState, kg_ha: f64) -> Disease {
    let (season, crop) = (&model.season, &field.params);
    let response = s.response(field);
    let index = field.blight.index_pct(s.blight_h(), crop);
    let money = worth(season, crop, kg_ha).at(index, response);
    let spots = crop.leaf.spray_gain_kg_ha(s.leaf_days(), field.blight.host_stubble);
    let lost_kg_ha = (money.loss_kg_ha + spots).min(kg_ha);
    let reckoned = money.saved_kg_ha + spots * crop.leaf.head_spray_share * response;
    let own = season.fungicide_gain_kg_ha;
    let saved_kg_ha = if own > 0.0 { own * response } else { reckoned.min(lost_kg_ha) };
    Disease { lost_kg_ha, saved_kg_ha, discount: money.discount_sprayed }
}
