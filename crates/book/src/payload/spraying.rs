//! Spraying: the label facts of a product, a sprayer pass with what an inspector asks, and entering a field early.

use jiff::civil::{Date, DateTime};
use serde::{Deserialize, Serialize};

use super::{FieldId, SprayProductId};
use crate::choice::choices;

choices! {
    /// What a sprayer pass was for.
    SprayPurpose {
        Burnoff = "burnoff", "burn-off before seeding";
        Herbicide = "herbicide", "weeds in the crop";
        Fungicide = "fungicide", "disease";
        Insecticide = "insecticide", "insects";
        PreHarvest = "pre_harvest", "before harvest";
        Stubble = "stubble", "stubble after harvest";
        Other = "other", "other";
    }
}

choices! {
    /// Unit of a rate as labels print it.
    SprayRateUnit {
        LAc = "l_ac", "L/ac";
        MlAc = "ml_ac", "mL/ac";
        GAc = "g_ac", "g/ac";
        LHa = "l_ha", "L/ha";
        MlHa = "ml_ha", "mL/ha";
        GHa = "g_ha", "g/ha";
        KgHa = "kg_ha", "kg/ha";
        FlOzAc = "fl_oz_ac", "US fl oz/ac";
        PtAc = "pt_ac", "US pt/ac";
        OzAc = "oz_ac", "oz/ac by weight";
        LbAc = "lb_ac", "lb/ac";
        Percent = "percent", "% of the tank";
    }
}

choices! {
    /// When a product goes into the tank, in the order labels commonly give; the label's own words go first.
    MixStep {
        Conditioner = "conditioner", "water conditioner";
        Bag = "bag", "water-soluble bag";
        Dry = "dry", "dry granules or powder";
        Flowable = "flowable", "flowable liquid";
        Emulsion = "emulsion", "emulsifiable liquid or oil adjuvant";
        Solution = "solution", "solution";
        Surfactant = "surfactant", "surfactant";
    }
}

/// A product's label facts as the farm copied them. The label itself always rules.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SprayProduct {
    /// Its key.
    pub id: SprayProductId,
    /// Name as on the label.
    pub name: String,
    /// What for.
    pub purpose: SprayPurpose,
    /// Registration number on the label.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub registration: Option<String>,
    /// Crops and use, in the label's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crops: Option<String>,
    /// First leaf stage allowed, leaves on the main stem.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leaf_from: Option<f64>,
    /// Last leaf stage allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leaf_to: Option<f64>,
    /// Rate, in `rate_unit`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<f64>,
    /// Unit of the rate as printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_unit: Option<SprayRateUnit>,
    /// Least water, L/ha.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_l_ha: Option<f64>,
    /// Hours without rain it needs afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rainfast_h: Option<f64>,
    /// Least wind, m/s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_low_ms: Option<f64>,
    /// Most wind, m/s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_high_ms: Option<f64>,
    /// Least temperature, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temp_low_c: Option<f64>,
    /// Most temperature, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temp_high_c: Option<f64>,
    /// Hours nobody may enter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub re_entry_hours: Option<u16>,
    /// Days from the pass to the earliest cut.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pre_harvest_days: Option<u16>,
    /// Days from the pass to seeding the next crop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plant_back_days: Option<u16>,
    /// Strip left unsprayed along water and other sensitive ground, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buffer_m: Option<f64>,
    /// What a container holds, L or kg as the rate is in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub container: Option<f64>,
    /// What it is in the mixing order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix_step: Option<MixStep>,
    /// Place in the tank by this label, 1 first; goes before the common order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mix_place: Option<u8>,
    /// Adjuvant and mixing, in the label's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixing: Option<String>,
}

impl SprayProduct {
    /// The rate in words: `0.81 L/ac`.
    pub fn rate_words(&self) -> Option<String> {
        Some(format!("{} {}", self.rate?, self.rate_unit?.words()))
    }
}

choices! {
    /// Where the wind comes from.
    WindFrom {
        N = "n", "north"; Ne = "ne", "north-east"; E = "e", "east"; Se = "se", "south-east";
        S = "s", "south"; Sw = "sw", "south-west"; W = "w", "west"; Nw = "nw", "north-west"; Shifting = "shifting", "shifting";
    }
}

choices! {
    /// How the weather at the time is known.
    AirBy {
        Hand = "hand", "own instrument";
        Station = "station", "the station's hour";
        Reckoned = "reckoned", "reckoned from the day";
    }
}

/// The air during a pass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SprayAir {
    /// Temperature, C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temp_c: Option<f64>,
    /// Relative humidity, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rh_pct: Option<f64>,
    /// Wind, m/s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_ms: Option<f64>,
    /// Where it came from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_from: Option<WindFrom>,
    /// How it is known.
    pub by: AirBy,
}

/// Another product in the same tank.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TankPart {
    /// Product as on the label.
    pub product: String,
    /// Its set-up entry, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product_id: Option<SprayProductId>,
    /// Rate as on the label, with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<String>,
}

/// A sprayer pass. Intervals are copied from the label by the person who sprayed; with several products in the tank the
/// longest holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SprayPass {
    /// Field.
    pub field: FieldId,
    /// What for.
    pub purpose: SprayPurpose,
    /// Product as on the label.
    pub product: String,
    /// Its set-up entry, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product_id: Option<SprayProductId>,
    /// Rate as on the label, with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<String>,
    /// What else was in the tank.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mix: Vec<TankPart>,
    /// Water and product together, L/ha.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_l_ha: Option<f64>,
    /// Area, ha; none for the whole field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_ha: Option<f64>,
    /// When the sprayer left, if written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finished: Option<DateTime>,
    /// Days from the pass to the earliest cut (pre-harvest interval).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pre_harvest_days: Option<u16>,
    /// Hours nobody may enter (re-entry interval).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub re_entry_hours: Option<u16>,
    /// Weed, disease or insect aimed at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target: Option<String>,
    /// Stage of the crop, in the farm's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<String>,
    /// Who drove, when it is not who writes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub operator: Option<String>,
    /// Applicator's licence or certificate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub licence: Option<String>,
    /// Nozzle and drop size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nozzle: Option<String>,
    /// Strip left unsprayed, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buffer_m: Option<f64>,
    /// The air at the time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air: Option<SprayAir>,
}

impl SprayPass {
    /// A pass with nothing said of it but the product.
    pub fn new(field: FieldId, purpose: SprayPurpose, product: impl Into<String>) -> Self {
        Self {
            field,
            purpose,
            product: product.into(),
            product_id: None,
            rate: None,
            mix: Vec::new(),
            water_l_ha: None,
            area_ha: None,
            finished: None,
            pre_harvest_days: None,
            re_entry_hours: None,
            target: None,
            stage: None,
            operator: None,
            licence: None,
            nozzle: None,
            buffer_m: None,
            air: None,
        }
    }

    /// First day the field may be cut after a pass on `sprayed`.
    pub fn earliest_cut(&self, sprayed: Date) -> Option<Date> {
        let days = i64::from(self.pre_harvest_days?);
        sprayed.checked_add(jiff::Span::new().days(days)).ok()
    }

    /// The moment anyone may enter again after a pass that ended at `ended`.
    pub fn enter_from(&self, ended: DateTime) -> Option<DateTime> {
        let hours = i64::from(self.re_entry_hours?);
        ended.checked_add(jiff::Span::new().hours(hours)).ok()
    }
}

/// Somebody went into a field inside a re-entry interval, and says why and with what on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EnteredEarly {
    /// Field.
    pub field: FieldId,
    /// Why it could not wait.
    pub why: String,
    /// Protective wear and other steps taken, as the label asks.
    pub protection: String,
}
