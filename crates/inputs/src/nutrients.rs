//! Phosphate, potash, sulphur, chloride, copper and zinc: two ways of thinking side by side, and the farm's own table.

use serde::Serialize;
use stook_book::Farm;
use stook_fertility::micronutrients::{Copper, copper, watch_zinc};
use stook_fertility::phosphate_potash::{OneParams, side_by_side};
use stook_fertility::soil_test::figure::Extractant;
use stook_fertility::sufficiency;
use stook_fertility::sulphur_chloride::{
    chloride_class, chloride_kg_ha, kcl_for_chloride_kg_ha, sulphur_kg_ha,
};
use stook_fertility::{FertilityParams, Nutrients};
use stook_measure::units::{kg_ha_to_bu_ac, kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_measure::{Op, Working, figure};

use crate::soil::Used;

/// One nutrient.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// Key: `p2o5`, `k2o`, `s`, `cl`, `cu`, `zn`.
    pub key: &'static str,
    /// In words.
    pub name: &'static str,
    /// The test, in words.
    pub test: String,
    /// By sufficiency, kg/ha of what is bought; none where it cannot be said.
    pub sufficiency_kg_ha: Option<f64>,
    /// By build and maintain, kg/ha.
    pub build_kg_ha: Option<f64>,
    /// By replacement of what the crop takes, kg/ha.
    pub replacement_kg_ha: Option<f64>,
    /// By the farm's own table: its name and rate, kg/ha, or why it gives none.
    pub own_table: Option<Result<(String, f64), String>>,
    /// What to know, in sentences.
    pub notes: Vec<String>,
    /// How reckoned.
    pub working: Option<Working>,
}

impl Row {
    /// A nutrient of which nothing is known yet.
    fn untested(key: &'static str, name: &'static str) -> Self {
        Self {
            key,
            name,
            test: "no test".into(),
            sufficiency_kg_ha: None,
            build_kg_ha: None,
            replacement_kg_ha: None,
            own_table: None,
            notes: Vec::new(),
            working: None,
        }
    }
}

/// The extractant a word names, as the tables know it.
fn extractant(word: &str) -> Option<Extractant> {
    let w = word.to_lowercase();
    if w.contains("olsen") {
        Some(Extractant::Olsen)
    } else if w.contains("kelowna") {
        Some(Extractant::Kelowna)
    } else if w.contains("bray 1") {
        Some(Extractant::Bray1)
    } else {
        None
    }
}

/// A rate from the farm's own tables for a crop, kg/ha.
fn own(
    farm: &Farm,
    crop: &str,
    nutrient: &str,
    method: Extractant,
    test: f64,
) -> Option<Result<(String, f64), String>> {
    let mut said = None;
    for t in farm.rate_tables.values() {
        let Ok(steps) = sufficiency::read(&t.is.name, &t.is.text) else { continue };
        let tables: std::collections::BTreeSet<String> = steps.iter().map(|s| s.table.clone()).collect();
        for table in tables {
            if !steps.iter().any(|s| s.table == table && s.crop == crop && s.nutrient == nutrient) {
                continue;
            }
            match sufficiency::look_up(&steps, &table, crop, nutrient, method, test) {
                Ok(step) => {
                    return Some(Ok((
                        format!("{} ({})", t.is.name, t.is.source),
                        lb_ac_to_kg_ha(step.rate_lb_ac),
                    )));
                }
                Err(e) => said = Some(Err(e.to_string())),
            }
        }
    }
    said
}

/// All of them for a yield and its removal, kg/ha.
pub fn rows(
    farm: &Farm,
    crop: &str,
    used: &Used,
    yield_kg_ha: f64,
    removal: Nutrients,
    f: &FertilityParams,
) -> Vec<Row> {
    let wheat = matches!(crop, "spring_wheat" | "durum");
    vec![
        phosphate(farm, crop, used, yield_kg_ha, removal.p2o5, f),
        potash(farm, crop, used, yield_kg_ha, removal.k2o, f),
        sulphur(used, removal.s, f),
        chloride(used, wheat || crop == "barley", f),
        copper_row(used, f),
        zinc(used, f),
    ]
}

fn working(what: &str, test_ppm: f64, yield_kg_ha: f64, removal: f64, p: &OneParams, years: f64) -> Working {
    let s = side_by_side(test_ppm, yield_kg_ha, removal, years, p);
    let lb = |x: f64| kg_ha_to_lb_ac(x);
    Working::new(format!("{what} by build and maintain"))
        .line(Op::Note, "Test", test_ppm, "ppm", 1)
        .line(Op::Note, "Level to build to", p.build_to_ppm, "ppm", 0)
        .line(Op::Note, format!("By sufficiency at {} bu/ac", figure(kg_ha_to_bu_ac(yield_kg_ha, 60.0), 0)), lb(s.sufficiency_kg_ha), "lb/ac", 0)
        .line(Op::Start, format!("To raise the test, a part each of {} years", figure(years, 0)), lb(s.of_which_build_kg_ha).round(), "lb/ac", 0)
        .line(Op::Plus, "To put back what the crop takes", (lb(s.build_kg_ha).round() - lb(s.of_which_build_kg_ha).round()).max(0.0), "lb/ac", 0)
        .sum(what, lb(s.build_kg_ha).round(), "lb/ac", 0)
        .source("Sufficiency: equation of the Univ. of Minnesota and South Dakota State Univ., from memory; build-up: several states, from memory")
        .note("The two equations were not read again: weigh them against your own guide.")
        .would_change("a newer test, or the farm's own table")
}

fn phosphate(
    farm: &Farm,
    crop: &str,
    used: &Used,
    yield_kg_ha: f64,
    removal: f64,
    f: &FertilityParams,
) -> Row {
    let p = &f.phosphate_potash;
    let mut row = Row {
        replacement_kg_ha: Some(removal).filter(|x| *x > 0.0),
        ..Row::untested("p2o5", "Phosphate (P2O5)")
    };
    let Some((ppm, method)) = &used.p_ppm else {
        row.notes.push("No phosphorus test: put back what the crop takes, or 30 to 40 lb/ac (Manitoba, no test), and probe.".into());
        return row;
    };
    row.test = format!("{} ppm P, {method}", figure(*ppm, 1));
    let Some(x) = extractant(method) else {
        row.notes.push(format!("{method} is not a method these equations or tables know; a figure of one is not a figure of another. Ask the laboratory for Olsen."));
        return row;
    };
    row.own_table = own(farm, crop, "P2O5", x, *ppm);
    if x == Extractant::Bray1 && used.ph.is_some_and(|ph| ph > 7.4) {
        row.notes.push("Bray 1 reads low on limy soil; with a pH over 7.4 ask for Olsen.".into());
    }
    if x == Extractant::Olsen {
        let s = side_by_side(*ppm, yield_kg_ha, removal, p.build_years, &p.phosphate);
        row.sufficiency_kg_ha = Some(s.sufficiency_kg_ha);
        row.build_kg_ha = Some(s.build_kg_ha);
        row.working = Some(working("Phosphate", *ppm, yield_kg_ha, removal, &p.phosphate, p.build_years));
    } else {
        row.notes.push(format!(
            "The equation is for Olsen; {method} has none here, so only replacement and your own table stand."
        ));
    }
    row.notes.push(
        "Phosphate pays best with or near the seed for cereals; broadcast on limy soil it is fixed.".into(),
    );
    row
}

fn potash(farm: &Farm, crop: &str, used: &Used, yield_kg_ha: f64, removal: f64, f: &FertilityParams) -> Row {
    let p = &f.phosphate_potash;
    let mut row =
        Row { replacement_kg_ha: Some(removal).filter(|x| *x > 0.0), ..Row::untested("k2o", "Potash (K2O)") };
    let Some(ppm) = used.k_ppm else {
        row.notes.push("No potassium test: put back what the crop takes, or 15 to 30 lb/ac on sand (Manitoba, no test), and probe.".into());
        return row;
    };
    row.test = format!("{} ppm K", figure(ppm, 0));
    row.own_table = own(farm, crop, "K2O", Extractant::AmmoniumAcetate, ppm);
    let s = side_by_side(ppm, yield_kg_ha, removal, p.build_years, &p.potash);
    row.sufficiency_kg_ha = Some(s.sufficiency_kg_ha);
    row.build_kg_ha = Some(s.build_kg_ha);
    row.working = Some(working("Potash", ppm, yield_kg_ha, removal, &p.potash, p.build_years));
    row.notes.push("Broadcast potash works about half as well as placed: double it, or band it.".into());
    row
}

fn sulphur(used: &Used, removal: f64, f: &FertilityParams) -> Row {
    let mut row = Row { sufficiency_kg_ha: Some(f.sulphur_chloride.small_grain_kg_ha), replacement_kg_ha: Some(removal).filter(|x| *x > 0.0), notes: vec!["A field's mean hides hungry knolls; sulphate works the same year wherever it lies, elemental sulphur a year later.".into()], ..Row::untested("s", "Sulphur (S)") };
    if let Some(kg_ha) = used.sulphur_kg_ha {
        row.test = format!("{} lb/ac to 2 ft", figure(kg_ha_to_lb_ac(kg_ha), 0));
        row.sufficiency_kg_ha = Some(sulphur_kg_ha(kg_ha, &f.sulphur_chloride));
    } else {
        row.notes.push(
            "Without a test: at least 10 lb/ac of sulphate on small grains (North Dakota), 15 (Manitoba)."
                .into(),
        );
    }
    row
}

fn chloride(used: &Used, asks: bool, f: &FertilityParams) -> Row {
    let mut row = Row::untested("cl", "Chloride (Cl)");
    if !asks {
        row.notes.push("Only wheat and barley are known to answer.".into());
        return row;
    }
    let Some(kg_ha) = used.chloride_kg_ha else {
        row.notes.push(
            "Answers are small and may not pay where potash is dear; potash brings chloride with it.".into(),
        );
        return row;
    };
    let lb = kg_ha_to_lb_ac(kg_ha);
    row.test = format!("{} lb/ac to 2 ft, {}", figure(lb, 0), chloride_class(lb));
    let cl = chloride_kg_ha(kg_ha, &f.sulphur_chloride);
    row.sufficiency_kg_ha = Some(cl);
    if cl > 0.0 {
        row.notes.push(format!("As potassium chloride {} lb/ac, spread, not with the seed. Answers are small and may not pay where potash is dear.", figure(kg_ha_to_lb_ac(kcl_for_chloride_kg_ha(cl)), 0)));
    }
    row
}

fn copper_row(used: &Used, f: &FertilityParams) -> Row {
    let mut row = Row::untested("cu", "Copper (Cu)");
    let Some(ppm) = used.cu_ppm else {
        row.notes
            .push("Short on peat and on leached sour sand high in organic matter; seldom elsewhere.".into());
        return row;
    };
    row.test = format!("{} ppm, DTPA", figure(ppm, 2));
    // peat: organic matter over 30 %
    let peat = used.organic_matter_pct.is_some_and(|om| om > 30.0);
    match copper(ppm, peat, &f.micronutrients) {
        Copper::Enough => row.notes.push("Enough.".into()),
        Copper::Apply { sulphate_kg_ha: (a, b), chelate_kg_ha } => {
            let mut said = format!(
                "Short: copper sulphate {} to {} lb/ac once in some years",
                figure(kg_ha_to_lb_ac(a), 0),
                figure(kg_ha_to_lb_ac(b), 0)
            );
            if let Some((c, d)) = chelate_kg_ha {
                said.push_str(&format!(
                    ", or {} to {} lb/ac of EDTA chelate",
                    figure(kg_ha_to_lb_ac(c), 1),
                    figure(kg_ha_to_lb_ac(d), 1)
                ));
            }
            row.notes.push(format!("{said} (Alberta). Try a strip first."));
        }
    }
    row
}

fn zinc(used: &Used, f: &FertilityParams) -> Row {
    let mut row = Row::untested("zn", "Zinc (Zn)");
    if let Some(ppm) = used.zn_ppm {
        row.test = format!("{} ppm, DTPA", figure(ppm, 2));
        row.notes.push(if watch_zinc(ppm, &f.micronutrients) {
            "Low: watch it, no rate. One trial in 23 answered below this in Saskatchewan.".into()
        } else {
            "Enough.".to_string()
        });
    }
    row
}
