//! One figure of a sheet in every form, and the published bin it falls in.

use stook_book::payload::{SoilTest, SoilTestLayer, SoilTestValue};
use stook_fertility::FertilityParams;
use stook_fertility::soil_test::bins::Bins;
use stook_fertility::soil_test::figure::{Figure, Standard};
use stook_fertility::soil_test::{Form, Layer, SoilUnit};
use stook_measure::figure;

use super::{Line, TO_CM};
use crate::lab::Analyte;
use crate::words::sentence;

pub(super) fn order(key: &str) -> usize {
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

pub(super) fn line(t: &SoilTest, layer: &SoilTestLayer, v: &SoilTestValue, p: &FertilityParams) -> Line {
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
