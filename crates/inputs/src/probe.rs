//! The probe list: which fields to sample, how, and the labels for the bags.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::Farm;
use stook_book::payload::Crop;
use stook_fertility::FertilityParams;
use stook_measure::{Reference, figure};

use crate::soil;

/// One field to probe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Probe {
    /// Key.
    pub field: String,
    /// Name.
    pub name: String,
    /// Area, ha.
    pub area_ha: f64,
    /// Why, in a sentence.
    pub why: String,
    /// Needs it before the next plan.
    pub needed: bool,
    /// Cores a bag.
    pub cores: u32,
    /// Zones sampled before, or the whole field.
    pub zones: Vec<String>,
    /// What to mind here, in a few words.
    pub mind: Vec<String>,
    /// Bags: zone and depth.
    pub bags: Vec<String>,
}

/// The list with the soil's temperature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProbeList {
    /// Crop year it is for.
    pub crop_year: i16,
    /// Soil at seed depth this morning, C.
    pub soil_c: Option<f64>,
    /// Whether to go, in a sentence.
    pub advice: String,
    /// Fields, those that need it first.
    pub fields: Vec<Probe>,
}

/// What the soil's temperature says on a day.
fn advice(on: Date, soil_c: Option<f64>, warm_c: f64) -> String {
    let limit = figure(warm_c, 0);
    match soil_c.filter(|t| t.is_finite()) {
        None => format!("Probe in fall once the soil at 4 in is under {limit} C, better under 5, or in spring before seeding."),
        Some(t) if on.month() >= 8 && t > warm_c => format!("Not yet: the soil is about {} C. Nitrate still forms above {limit}, so a sample today reads low for spring. Waiting costs nothing until the ground is iron.", figure(t, 0)),
        Some(t) if on.month() >= 8 && t > 0.5 => format!("Go: the soil is about {} C, cold enough that little more nitrate forms.", figure(t, 0)),
        Some(_) if on.month() >= 10 || on.month() <= 3 => "The ground is freezing or frozen: what is not sampled now is sampled in spring before seeding; take 8 lb/ac off a spring nitrate before a fall table is used.".into(),
        Some(t) => format!("The soil is about {} C. A spring sample is fresh; take 8 lb/ac off its nitrate before a fall table is used.", figure(t, 0)),
    }
}

/// Where to push the probe in, for every field.
pub const WHERE: [&str; 3] = [
    "Where fertilizer was banded, spread the cores across the row interval, from one row to the next.",
    "One bag stands for 20 level acres, or 5 rolling ones: split larger fields by knolls, mid-slopes and lows, or probe one benchmark spot each year.",
    "Keep off headlands, old yards, dead furrows, saline spots and where bales or manure lay.",
];

/// Makes it.
pub fn probe_list(
    farm: &Farm,
    shipped: &Reference,
    on: Date,
    crop_year: i16,
    soil_c: Option<f64>,
) -> ProbeList {
    let (reference, _) = farm.reference(shipped);
    let f = FertilityParams::from_reference(&reference);
    let mut fields: Vec<Probe> = farm
        .fields
        .values()
        .filter(|r| r.plan(crop_year).is_none_or(|p| !matches!(p.crop, Crop::Hay | Crop::Fallow)))
        .map(|r| {
            let s = soil::soil(r, on, &f);
            let (needed, why) = match (s.sampled, s.used.nitrate_kg_ha, s.used.nitrate_stale) {
                (None, ..) => (true, "no soil test in the book".to_string()),
                (Some(d), None, _) => (true, format!("sampled {d}, but no nitrate that can be used")),
                (Some(d), Some(_), true) => {
                    (true, format!("the nitrate of {d} is from before the last crop"))
                }
                (Some(d), Some(_), false) => (false, format!("sampled {d}")),
            };
            let banded = !r.fertilizer_plans.is_empty() || !r.fertilizer.is_empty();
            let cores = if banded { f.quality.cores_min_banded } else { f.quality.cores_min.max(20.0) };
            let mut mind = Vec::new();
            if banded {
                mind.push("banded before".to_string());
            }
            if r.field().area_ha > f.quality.level_max_ha {
                mind.push("split it, or one benchmark spot".to_string());
            }
            let zones = s.zones.clone();
            let places: Vec<String> = if zones.is_empty() { vec![String::new()] } else { zones.clone() };
            let bags = places
                .iter()
                .flat_map(|z| {
                    ["0-6 in", "6-24 in"]
                        .map(|d| if z.is_empty() { d.to_string() } else { format!("{z}, {d}") })
                })
                .collect();
            Probe {
                field: r.field().id.to_string(),
                name: r.field().name.clone(),
                area_ha: r.field().area_ha,
                why,
                needed,
                cores: cores as u32,
                zones,
                mind,
                bags,
            }
        })
        .collect();
    fields.sort_by(|a, b| b.needed.cmp(&a.needed).then_with(|| a.name.cmp(&b.name)));
    ProbeList { crop_year, soil_c, advice: advice(on, soil_c, f.quality.warm_c), fields }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn warm_soil_says_wait_and_cold_says_go() {
        assert!(advice(date(2025, 9, 20), Some(14.0), 10.0).starts_with("Not yet"));
        assert!(advice(date(2025, 10, 20), Some(6.0), 10.0).starts_with("Go"));
        assert!(advice(date(2026, 1, 15), Some(-3.0), 10.0).contains("frozen"));
        assert!(advice(date(2026, 4, 25), Some(5.0), 10.0).contains("spring sample"));
        assert!(advice(date(2025, 9, 20), None, 10.0).contains("under 10 C"));
    }
}
