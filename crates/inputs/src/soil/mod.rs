//! What a field's soil tests say: each figure in our units, the profile's nitrate, and how far the sample can be trusted.

mod figures;
mod trust;
mod used;

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::SoilTest;
use stook_fertility::FertilityParams;

pub use self::figures::standard;
use self::figures::{line, order};
use self::trust::trust;
use self::used::used;

/// Depth to which nitrate, sulphate and chloride are asked, cm.
const TO_CM: f64 = 60.0;

/// One figure of the sheet and what it is here.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What was measured, in words.
    pub what: String,
    /// Key.
    pub key: String,
    /// Zone, where there are several.
    pub zone: Option<String>,
    /// As the sheet has it.
    pub sheet: String,
    /// Depth, cm.
    pub top_cm: f64,
    /// Depth, cm.
    pub bottom_cm: f64,
    /// Element, mg/kg; none for pH and the like.
    pub ppm: Option<f64>,
    /// Element in the layer, kg/ha.
    pub kg_ha: Option<f64>,
    /// Where it falls in the published bins: number, of how many, bounds.
    pub bin: Option<String>,
    /// Why it cannot be used, or what to mind.
    pub problem: Option<String>,
}

/// The figures that the models take, each from the newest test that has it.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Used {
    /// Nitrate-N to 60 cm, kg/ha.
    pub nitrate_kg_ha: Option<f64>,
    /// Whether the nitrate was measured to 60 cm without a gap.
    pub nitrate_complete: bool,
    /// The nitrate is from before the last crop.
    pub nitrate_stale: bool,
    /// Sulphate-S to 60 cm, kg/ha.
    pub sulphur_kg_ha: Option<f64>,
    /// Chloride to 60 cm, kg/ha.
    pub chloride_kg_ha: Option<f64>,
    /// Phosphorus, ppm, with its method.
    pub p_ppm: Option<(f64, String)>,
    /// Potassium, ppm.
    pub k_ppm: Option<f64>,
    /// Copper, ppm.
    pub cu_ppm: Option<f64>,
    /// Zinc, ppm.
    pub zn_ppm: Option<f64>,
    /// pH of the surface layer.
    pub ph: Option<f64>,
    /// Organic matter of the surface layer, %.
    pub organic_matter_pct: Option<f64>,
}

/// What the tests say.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Soil {
    /// Day of the newest sample.
    pub sampled: Option<Date>,
    /// Laboratory.
    pub lab: Option<String>,
    /// How it was sampled, in words.
    pub kind: Option<String>,
    /// Zones.
    pub zones: Vec<String>,
    /// Figures of the newest sampling.
    pub lines: Vec<Line>,
    /// What the models take.
    pub used: Used,
    /// What is not well with the sample, in sentences.
    pub warnings: Vec<String>,
    /// Points, latitude and longitude.
    pub points: Vec<(f64, f64)>,
    /// The sheet's own words.
    pub text: Vec<String>,
}

/// Reads the soil tests of a field on a day. `last_cut`: the last harvest before `on`, after which nitrate is old.
pub fn soil(record: &FieldRecord, on: Date, p: &FertilityParams) -> Soil {
    let mut tests: Vec<&Fact<SoilTest>> = record.soil_tests.iter().filter(|t| t.is.sampled <= on).collect();
    tests.sort_by_key(|t| t.is.sampled);
    let Some(newest) = tests.last().map(|t| t.is.sampled) else { return Soil::default() };
    // bags of one sampling come in over a few days
    let together = |day: Date| (newest - day).get_days() <= 10;
    let now: Vec<&Fact<SoilTest>> = tests.iter().filter(|t| together(t.is.sampled)).copied().collect();
    let mut out = Soil { sampled: Some(newest), ..Soil::default() };
    for t in &now {
        out.lab = out.lab.or_else(|| t.is.lab.clone());
        out.kind = out.kind.or_else(|| t.is.sample.map(|s| s.words().to_string()));
        if let Some(z) = &t.is.zone
            && !out.zones.contains(z)
        {
            out.zones.push(z.clone());
        }
        out.points.extend(t.is.points.iter().map(|x| (x.lat_deg, x.lon_deg)));
        if !t.is.text.trim().is_empty() {
            out.text.push(t.is.text.clone());
        }
        for layer in &t.is.layers {
            out.lines.extend(layer.values.iter().map(|v| line(&t.is, layer, v, p)));
        }
    }
    out.lines.sort_by_key(|l| (order(&l.key), l.zone.clone(), l.top_cm as i64));
    out.used = used(&tests, record, on, p);
    out.warnings = trust(&now, record, on, p);
    if out.used.nitrate_kg_ha.is_none() {
        out.warnings.push(
            "There is no nitrate figure that can be used; the rate below says what stands in for it.".into(),
        );
    }
    out
}
