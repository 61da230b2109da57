//! What a field's soil tests say: each figure in our units, the profile's nitrate, and how far the sample can be trusted.

use jiff::civil::Date;
use serde::Serialize;
use stook_book::farm::{Fact, FieldRecord};
use stook_book::payload::{SampleKind, SoilTest, SoilTestLayer, SoilTestValue};
use stook_fertility::FertilityParams;
use stook_fertility::soil_test::bins::Bins;
use stook_fertility::soil_test::figure::{Figure, Standard};
use stook_fertility::soil_test::layer::{Profile, profile};
use stook_fertility::soil_test::quality::{Sample, Season, Strategy, warnings};
use stook_fertility::soil_test::{Form, Layer, SoilUnit};
use stook_measure::figure;

use crate::lab::Analyte;
use crate::words::sentence;

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

fn order(key: &str) -> usize {
    crate::lab::ANALYTES.iter().position(|a| a.key == key).unwrap_or(usize::MAX)
}

/// The chemical form that a value's basis states; elements without a choice count as themselves.
fn form(v: &SoilTestValue) -> Option<Form> {
    let named = |n: &str| Form::ALL.iter().find(|(w, _)| w.eq_ignore_ascii_case(n)).map(|(_, f)| *f);
    match (v.what.as_str(), v.basis.as_deref()) {
        (_, Some(basis)) => named(basis),
        ("nitrate_n" | "ammonium_n", None) => Some(Form::N),
        ("p" | "k" | "s", None) => None,
        // a share of one: the element as it is
        _ => Some(Form::S),
    }
}

fn unit(v: &SoilTestValue) -> Option<SoilUnit> {
    SoilUnit::parse(&v.unit).or_else(|| (v.unit == "cmol/kg").then_some(SoilUnit::Meq100g))
}

/// Whether a thing is measured as an amount in the soil.
fn is_amount(key: &str) -> bool {
    !matches!(
        key,
        "ph" | "buffer_ph" | "organic_matter" | "ec" | "cec" | "sand" | "silt" | "clay" | "bulk_density"
    )
}

/// A value in every form, or why not.
pub fn standard(layer: &SoilTestLayer, v: &SoilTestValue, p: &FertilityParams) -> Result<Standard, String> {
    let density = layer
        .values
        .iter()
        .find(|x| x.what == "bulk_density")
        .map(|x| x.value)
        .filter(|d| (0.5..2.2).contains(d));
    let f = Figure {
        value: v.value,
        unit: unit(v),
        form: form(v),
        layer: Some(Layer { top_cm: layer.top_cm, bottom_cm: layer.bottom_cm, bulk_density_g_cm3: density }),
    };
    f.standard(&p.layer).map_err(|e| e.to_string())
}

fn line(t: &SoilTest, layer: &SoilTestLayer, v: &SoilTestValue, p: &FertilityParams) -> Line {
    let words = Analyte::of(&v.what).map_or_else(|| v.what.replace('_', " "), |a| a.words.to_string());
    let unit_words = if v.unit == "1" { "" } else { v.unit.as_str() };
    let mut sheet = format!("{} {unit_words}", trimmed(v.value)).trim().to_string();
    for extra in [&v.basis, &v.extractant].into_iter().flatten() {
        sheet.push_str(&format!(", {extra}"));
    }
    let (mut ppm, mut kg_ha, mut problem, mut bin) = (None, None, None, None);
    if is_amount(&v.what) {
        match standard(layer, v, p) {
            Ok(s) => {
                (ppm, kg_ha) = (Some(s.element_mg_kg), Some(s.element_kg_ha));
                bin = bin_words(&v.what, layer, &s);
            }
            Err(e) => problem = Some(sentence(&e)),
        }
    }
    Line {
        what: words,
        key: v.what.clone(),
        zone: t.zone.clone(),
        sheet,
        top_cm: layer.top_cm,
        bottom_cm: layer.bottom_cm,
        ppm,
        kg_ha,
        bin,
        problem,
    }
}

fn trimmed(x: f64) -> String {
    let t = figure(x, 2);
    t.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// The published bin of a figure, when its depth is the bin's.
fn bin_words(what: &str, layer: &SoilTestLayer, s: &Standard) -> Option<String> {
    let key = match what {
        "nitrate_n" => "nitrate_n",
        "p" => "phosphorus",
        "k" => "potassium",
        "s" => "sulphur",
        "cu" => "copper",
        "zn" => "zinc",
        "mn" => "manganese",
        "fe" => "iron",
        "b" => "boron",
        "cl" => "chloride",
        _ => return None,
    };
    let to = if matches!(key, "nitrate_n" | "sulphur") { TO_CM } else { 15.0 };
    if layer.top_cm > 1.0 || (layer.bottom_cm - to).abs() > 2.0 {
        return None;
    }
    let bins = Bins::of(key)?;
    let value = if bins.unit == "lb/ac" { s.element_lb_ac } else { s.element_mg_kg };
    let b = bins.bin(value);
    Some(format!("bin {} of {}", b.number, b.of))
}

/// The newest figure of each thing that the models use.
fn used(tests: &[&Fact<SoilTest>], record: &FieldRecord, on: Date, p: &FertilityParams) -> Used {
    let nitrate = total(tests, "nitrate_n", p);
    let stale = nitrate.as_ref().is_some_and(|(_, day)| {
        crop_since(record, *day, on) || f64::from((on - *day).get_days()) > p.quality.old_nitrate_days
    });
    let sulphur = total(tests, "s", p);
    let chloride = total(tests, "cl", p);
    let ppm = |what: &str, wanted: &dyn Fn(&SoilTestValue) -> bool| newest_ppm(tests, what, wanted, p);
    let any = |_: &SoilTestValue| true;
    let method =
        |v: &SoilTestValue, m: &str| v.extractant.as_deref().is_some_and(|e| e.to_lowercase().contains(m));
    let p_ppm = [
        ("olsen", "Olsen"),
        ("kelowna", "modified Kelowna"),
        ("bray 1", "Bray 1"),
        ("bray", "Bray 1"),
        ("mehlich", "Mehlich 3"),
    ]
    .iter()
    .find_map(|(m, words)| ppm("p", &|v| method(v, m)).map(|x| (x, (*words).to_string())))
    .or_else(|| ppm("p", &any).map(|x| (x, "method not stated".into())));
    Used {
        nitrate_kg_ha: nitrate.map(|(x, _)| x.total_kg_ha),
        nitrate_complete: nitrate.is_some_and(|(x, _)| x.complete),
        nitrate_stale: stale,
        sulphur_kg_ha: sulphur.map(|(x, _)| x.total_kg_ha),
        chloride_kg_ha: chloride.map(|(x, _)| x.total_kg_ha),
        p_ppm,
        k_ppm: ppm("k", &any),
        cu_ppm: ppm("cu", &any),
        zn_ppm: ppm("zn", &any),
        ph: plain_value(tests, "ph"),
        organic_matter_pct: plain_value(tests, "organic_matter"),
    }
}

/// Whether a crop was taken from the field after a day.
fn crop_since(record: &FieldRecord, day: Date, on: Date) -> bool {
    record.cuts.iter().any(|c| c.is.done && c.on() > day && c.on() <= on)
}

/// Sum over the layers to 60 cm of the newest sampling that has it, mean of the zones.
fn total(tests: &[&Fact<SoilTest>], what: &str, p: &FertilityParams) -> Option<(Profile, Date)> {
    let has = |t: &&&Fact<SoilTest>| {
        t.is.layers.iter().any(|l| l.values.iter().any(|v| v.what == what && standard(l, v, p).is_ok()))
    };
    let newest = tests.iter().filter(has).map(|t| t.is.sampled).max()?;
    let mut by_bag: Vec<(Option<String>, Vec<(Layer, f64)>)> = Vec::new();
    for t in tests.iter().filter(|t| (newest - t.is.sampled).get_days() <= 10 && t.is.sampled <= newest) {
        let key = t.is.zone.clone();
        let several_points = t.is.sample == Some(SampleKind::Grid);
        let mut layers: Vec<(Layer, f64)> = Vec::new();
        for l in &t.is.layers {
            if let Some(v) = l.values.iter().find(|v| v.what == what)
                && l.bottom_cm <= TO_CM + 2.0
                && let Ok(s) = standard(l, v, p)
            {
                layers.push((
                    Layer { top_cm: l.top_cm, bottom_cm: l.bottom_cm, bulk_density_g_cm3: None },
                    s.element_kg_ha,
                ));
            }
        }
        if layers.is_empty() {
            continue;
        }
        match by_bag.iter_mut().find(|(k, _)| *k == key && !several_points) {
            Some((_, held)) => held.extend(layers),
            None => by_bag.push((key, layers)),
        }
    }
    let profiles: Vec<Profile> = by_bag.iter().filter_map(|(_, l)| profile(l, TO_CM).ok()).collect();
    let n = profiles.len() as f64;
    (!profiles.is_empty()).then(|| {
        let mean = Profile {
            total_kg_ha: profiles.iter().map(|x| x.total_kg_ha).sum::<f64>() / n,
            sampled_to_cm: profiles.iter().map(|x| x.sampled_to_cm).fold(f64::INFINITY, f64::min),
            complete: profiles.iter().all(|x| x.complete),
        };
        (mean, newest)
    })
}

/// Mean over the bags of the newest sampling, surface layer, ppm of the element.
fn newest_ppm(
    tests: &[&Fact<SoilTest>],
    what: &str,
    wanted: &dyn Fn(&SoilTestValue) -> bool,
    p: &FertilityParams,
) -> Option<f64> {
    let of = |t: &SoilTest| {
        let l =
            t.layers.iter().filter(|l| l.top_cm < 1.0).min_by(|a, b| a.bottom_cm.total_cmp(&b.bottom_cm))?;
        let v = l.values.iter().find(|v| v.what == what && wanted(v))?;
        standard(l, v, p).ok().map(|s| s.element_mg_kg)
    };
    let newest = tests.iter().filter(|t| of(&t.is).is_some()).map(|t| t.is.sampled).max()?;
    let all: Vec<f64> =
        tests.iter().filter(|t| (newest - t.is.sampled).get_days() <= 10).filter_map(|t| of(&t.is)).collect();
    Some(all.iter().sum::<f64>() / all.len() as f64)
}

fn plain_value(tests: &[&Fact<SoilTest>], what: &str) -> Option<f64> {
    tests.iter().rev().find_map(|t| {
        t.is.layers
            .iter()
            .filter(|l| l.top_cm < 1.0)
            .find_map(|l| l.values.iter().find(|v| v.what == what).map(|v| v.value))
    })
}

/// What is not well with the newest sampling.
fn trust(now: &[&Fact<SoilTest>], record: &FieldRecord, on: Date, p: &FertilityParams) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let nitrate_to = now
        .iter()
        .flat_map(|t| &t.is.layers)
        .filter(|l| l.values.iter().any(|v| v.what == "nitrate_n"))
        .map(|l| l.bottom_cm)
        .fold(None, |a: Option<f64>, b| Some(a.map_or(b, |a| a.max(b))));
    let bags = now
        .iter()
        .map(|t| (t.is.zone.clone(), t.is.number.clone()))
        .collect::<std::collections::BTreeSet<_>>()
        .len();
    for t in now {
        let sample = Sample {
            strategy: match t.is.sample {
                Some(SampleKind::Zone) => Strategy::Zone,
                Some(SampleKind::Benchmark) => Strategy::Benchmark,
                Some(SampleKind::Grid) => Strategy::Grid,
                Some(SampleKind::Composite) => Strategy::Composite,
                None if bags > 1 => Strategy::Zone,
                None => Strategy::Composite,
            },
            cores: t.is.cores,
            // all nitrogen goes on in bands here, so the row positions of the cores matter
            banded: record.fertilizer_plans.values().any(|f| f.on() < t.is.sampled),
            area_ha: Some(record.field().area_ha / bags.max(1) as f64),
            rolling: false,
            age_days: f64::from((on - t.is.sampled).get_days()),
            crop_since: crop_since(record, t.is.sampled, on),
            season: if t.is.sampled.month() >= 8 { Season::Fall } else { Season::Spring },
            soil_c: t.is.soil_temp_c,
            nitrate_to_cm: nitrate_to,
        };
        for w in warnings(&sample, &p.quality) {
            let said = w.sentence();
            if !found.contains(&said) {
                found.push(said);
            }
        }
    }
    found
}
