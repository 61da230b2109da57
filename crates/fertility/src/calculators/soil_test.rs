//! Soil tests: conversions, profiles, samples and bins.

use stook_measure::units::{acre_to_ha, in_to_mm, kg_ha_to_lb_ac};
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, named, out, p, paired, refused};
use crate::soil_test::bins::Bins;
use crate::soil_test::layer::profile;
use crate::soil_test::quality::{Sample, Season, Strategy, warnings};
use crate::soil_test::{Figure, Form, Layer, SoilUnit};

const FORMS: &[&str] = &["N", "NO3", "NH4", "NH3", "P", "P2O5", "K", "K2O", "S", "SO4"];
const UNITS: &[&str] = &["ppm", "mg/kg", "lb/ac", "kg/ha", "%", "mg/L", "meq/L", "meq/100 g"];
const STRATEGIES: [(&str, Strategy); 4] = [
    ("composite", Strategy::Composite),
    ("zone", Strategy::Zone),
    ("benchmark", Strategy::Benchmark),
    ("grid", Strategy::Grid),
];

fn top() -> Input {
    Input::number("top_in", "in", 0.0, 60.0, "upper limit of the layer").or(0.0)
}
fn bottom() -> Input {
    Input::number("bottom_in", "in", 0.5, 72.0, "lower limit of the layer")
}
fn density() -> Input {
    Input::number(
        "bulk_density_g_cm3",
        "g/cm3",
        0.2,
        2.0,
        "measured bulk density; without it the rule of thumb",
    )
    .optional()
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.soil_test_convert",
            title: "A soil test in every unit",
            about: "Turns a laboratory's figure into mg/kg, lb/ac and kg/ha of the element, by the layer's density and by \
                    the rule of 2 lb/ac a ppm in six inches. A figure of the extract (mg/L, meq/L) is refused.",
            inputs: vec![
                Input::number("value", "", 0.0, 1e6, "the figure as printed"),
                Input::choice("unit", UNITS, "its unit"),
                Input::choice("form", FORMS, "element, oxide or ion it is printed as"),
                top(),
                bottom(),
                density(),
            ],
            outputs: vec![
                out("element_mg_kg", "mg/kg", "the element in the soil"),
                out("lb_ac", "lb/ac", "the element in the layer"),
                out("kg_ha", "kg/ha", "the same"),
                out("lb_ac_by_rule", "lb/ac", "the same by the rule of thumb"),
            ],
            source: "Manitoba Soil Fertility Guide (2 lb/ac a ppm in 6 in); density x depth x 0.1, exact",
            run: convert,
        },
        Calculator {
            name: "fertility.nutrient_form",
            title: "Element, oxide or ion",
            about: "The mass of a nutrient in another form, by atomic masses.",
            inputs: vec![
                Input::number("amount", "", 0.0, 1e9, "amount, in any unit of mass"),
                Input::choice("from", FORMS, "form it is in"),
                Input::choice("to", FORMS, "form wanted"),
            ],
            outputs: vec![
                out("amount", "", "the amount in the other form"),
                out("factor", "1", "what it was multiplied by"),
            ],
            source: "atomic masses; sources round to 2.29 or 2.3 (P to P2O5) and 1.2 (K to K2O)",
            run: form,
        },
        Calculator {
            name: "fertility.profile_total",
            title: "Nitrate in the whole profile",
            about: "Adds the layers of a core. Always a sum of amounts, never a mean of ppm. A core that stops short is \
                    said to be a part, and is not stretched. A spring test is lowered before a table made for fall samples.",
            inputs: vec![
                Input::list(
                    "ppm",
                    "ppm",
                    0.0,
                    500.0,
                    "nitrate-N (or sulphate-S) of each layer, from the top",
                ),
                Input::list("bottom_in", "in", 1.0, 72.0, "lower limit of each layer"),
                Input::number("wanted_to_in", "in", 6.0, 72.0, "depth the table is made for").or(24.0),
                Input::choice("season", &["fall", "spring"], "when it was sampled").or("fall"),
            ],
            outputs: vec![
                out("total_lb_ac", "lb/ac", "all of it"),
                out("total_kg_ha", "kg/ha", "the same"),
                out("for_fall_table_lb_ac", "lb/ac", "what a table made for fall samples is entered with"),
                out("complete", "", "yes when the core reaches the depth wanted"),
            ],
            source: "Manitoba Agriculture, Soil Fertility Guide, guidelines based on soil tests, points 2 and 3",
            run: total,
        },
        Calculator {
            name: "fertility.sample_quality",
            title: "Can this sample be trusted?",
            about: "Warnings for few cores, much land in one bag, an old test, warm soil and a short core.",
            inputs: vec![
                Input::choice("strategy", &["composite", "zone", "benchmark", "grid"], "how it was sampled")
                    .or("composite"),
                Input::number("cores", "cores", 1.0, 200.0, "cores in the bag").optional(),
                Input::choice("banded", &["no", "yes"], "fertilizer was banded before").or("no"),
                Input::number("area_ac", "ac", 0.1, 5000.0, "land in the bag").optional(),
                Input::choice("rolling", &["no", "yes"], "the land rolls").or("no"),
                Input::number("age_days", "d", -400.0, 9000.0, "days since it was taken").or(30.0),
                Input::choice("crop_since", &["no", "yes"], "a crop was taken since").or("no"),
                Input::choice("season", &["fall", "spring"], "when it was sampled").or("fall"),
                Input::number("soil_c", "C", -20.0, 40.0, "soil at 4 in when it was taken").optional(),
                Input::number("nitrate_to_in", "in", 1.0, 72.0, "depth nitrate was sampled to").optional(),
            ],
            outputs: vec![out("warnings", "", "how many"), out("text", "", "what they say")],
            source: "Univ. of Minnesota, Oklahoma State, Canola Council of Canada, Alberta guide 2007; warm soil from memory",
            run: quality,
        },
        Calculator {
            name: "fertility.soil_bin",
            title: "Bin of a soil test",
            about: "Where a test stands among the bins printed for Alberta. The bin is shown and not a word for it: the breaks \
                    between deficient, marginal and adequate were not read.",
            inputs: vec![
                Input::choice(
                    "analyte",
                    &[
                        "nitrate_n",
                        "phosphorus",
                        "potassium",
                        "sulphate_s",
                        "copper",
                        "zinc",
                        "manganese",
                        "iron",
                        "chloride",
                        "boron",
                    ],
                    "what was tested",
                ),
                Input::number("value", "", 0.0, 1e5, "the test: lb/ac for the first four, ppm for the rest"),
            ],
            outputs: vec![
                out("bin", "", "number from 1, the poorest"),
                out("of", "", "how many bins there are"),
            ],
            source: "Alberta Nutrient Management Planning Guide 2007, p. 104, Table 3.4.2, after Kryzanowski et al. 1988",
            run: bin,
        },
    ]
}

fn convert(a: &Args) -> Answer {
    let unit = SoilUnit::parse(a.text("unit"));
    let form = named(&Form::ALL, a.text("form"));
    let mut layer = Layer::inches(a.number("top_in"), a.number("bottom_in"));
    layer.bulk_density_g_cm3 = a.maybe_number("bulk_density_g_cm3");
    let figure = Figure { value: a.number("value"), unit, form: Some(form), layer: Some(layer) };
    let s = figure.standard(&p().layer).map_err(refused)?;
    let density = layer.bulk_density_g_cm3.unwrap_or_else(|| p().layer.rule_bulk_density_g_cm3());
    let w = Working::new("A soil test in every unit")
        .line(Op::Note, format!("As printed, {} in {}", form.name(), a.text("unit")), figure.value, "", 2)
        .line(Op::Start, format!("{} in the soil", form.element().name()), s.element_mg_kg, "mg/kg", 3)
        .line(Op::Times, "Bulk density", density, "g/cm3", 4)
        .line(Op::Times, "Thickness", layer.thickness_cm(), "cm", 2)
        .line(Op::Times, "Units", 0.1, "", 1)
        .sum("In the layer", s.element_kg_ha, "kg/ha", 2)
        .note(if layer.bulk_density_g_cm3.is_some() {
            "By the measured density; the rule of thumb is shown beside it."
        } else {
            "No density is known, so the rule of 2 lb/ac a ppm in six inches stands in: a density of 1.471."
        })
        .source("Manitoba Agriculture, Soil Fertility Guide; density x depth x 0.1, exact")
        .would_change("a measured bulk density, or the true depth of the core");
    Ok(Outcome::new(w)
        .with("element_mg_kg", s.element_mg_kg)
        .with("lb_ac", s.element_lb_ac)
        .with("kg_ha", s.element_kg_ha)
        .with("lb_ac_by_rule", s.element_lb_ac_by_rule))
}

fn form(a: &Args) -> Answer {
    let (from, to) = (named(&Form::ALL, a.text("from")), named(&Form::ALL, a.text("to")));
    let amount = a.number("amount");
    let converted = from.convert(amount, to).ok_or_else(|| {
        CalcError::Together(format!(
            "{} holds no {}, so there is no factor between them",
            from.name(),
            to.name()
        ))
    })?;
    let factor = from.element_share() / to.element_share();
    let w = Working::new("Element, oxide or ion")
        .line(Op::Start, format!("As {}", from.name()), amount, "", 4)
        .line(Op::Times, "Factor by atomic masses", factor, "", 5)
        .sum(format!("As {}", to.name()), converted, "", 4)
        .source("atomic masses: H 1.008, N 14.007, O 15.999, P 30.974, S 32.06, K 39.098");
    Ok(Outcome::new(w).with("amount", converted).with("factor", factor))
}

fn total(a: &Args) -> Answer {
    let (ppm, bottoms) = paired(a, "ppm", "bottom_in")?;
    let mut top = 0.0;
    let mut layers = vec![];
    let mut w = Working::new("Nitrate in the whole profile");
    for (ppm, bottom) in ppm.iter().zip(bottoms) {
        let layer = Layer::inches(top, *bottom);
        let kg_ha = ppm * layer.kg_ha_per_ppm(&p().layer);
        let op = if layers.is_empty() { Op::Start } else { Op::Plus };
        w = w.line(op, format!("{top:.0} to {bottom:.0} in at {ppm} ppm"), kg_ha_to_lb_ac(kg_ha), "lb/ac", 1);
        layers.push((layer, kg_ha));
        top = *bottom;
    }
    let found = profile(&layers, in_to_mm(a.number("wanted_to_in")) / 10.0).map_err(refused)?;
    let lb = kg_ha_to_lb_ac(found.total_kg_ha);
    let spring = a.text("season") == "spring";
    let off = if spring { kg_ha_to_lb_ac(p().layer.spring_nitrate_kg_ha) } else { 0.0 };
    let w = w
        .sum("In the profile", lb, "lb/ac", 1)
        .note(if found.complete {
            "The core reaches the depth wanted."
        } else {
            "The core stops short of the depth wanted: this is a part, and it is not stretched."
        })
        .source("Manitoba Agriculture, Soil Fertility Guide, guidelines based on soil tests, points 2 and 3");
    let w = if spring {
        w.note("A spring test holds about 8 lb/ac that a fall test would not; it is taken off for a table made for fall.")
    } else {
        w
    };
    Ok(Outcome::new(w)
        .with("total_lb_ac", lb)
        .with("total_kg_ha", found.total_kg_ha)
        .with("for_fall_table_lb_ac", (lb - off).max(0.0))
        .with("complete", if found.complete { "yes" } else { "no" }))
}

fn quality(a: &Args) -> Answer {
    let yes = |key| a.text(key) == "yes";
    let sample = Sample {
        strategy: named(&STRATEGIES, a.text("strategy")),
        cores: a.maybe_number("cores").map(|c| c.round() as u32),
        banded: yes("banded"),
        area_ha: a.maybe_number("area_ac").map(acre_to_ha),
        rolling: yes("rolling"),
        age_days: a.number("age_days"),
        crop_since: yes("crop_since"),
        season: if a.text("season") == "spring" { Season::Spring } else { Season::Fall },
        soil_c: a.maybe_number("soil_c"),
        nitrate_to_cm: a.maybe_number("nitrate_to_in").map(|i| in_to_mm(i) / 10.0),
    };
    let found = warnings(&sample, &p().quality);
    let text = found.iter().map(|w| w.sentence()).collect::<Vec<_>>().join(" ");
    let w = Working::new("Can this sample be trusted?")
        .line(Op::Note, "Warnings", found.len() as f64, "", 0)
        .note(if text.is_empty() { "Nothing against it.".to_string() } else { text.clone() })
        .source("Univ. of Minnesota, Oklahoma State, Canola Council of Canada, Alberta guide 2007");
    Ok(Outcome::new(w).with("warnings", found.len() as f64).with("text", text))
}

fn bin(a: &Args) -> Answer {
    let bins = Bins::of(a.text("analyte")).expect("the choice lists the shipped analytes");
    let b = bins.bin(a.number("value"));
    let w = Working::new("Bin of a soil test")
        .line(Op::Note, "Test", a.number("value"), bins.unit.clone(), 1)
        .line(Op::Note, "Above", b.above.unwrap_or(0.0), bins.unit.clone(), 2)
        .line(Op::Note, "Up to", b.up_to.unwrap_or(f64::INFINITY), bins.unit.clone(), 2)
        .sum("Bin", b.number as f64, format!("of {}", b.of), 0)
        .note("A value between two printed bins (20 and 21) is rounded to whole pounds first.")
        .source(bins.source.clone());
    Ok(Outcome::new(w).with("bin", b.number as f64).with("of", b.of as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_choices_are_those_of_the_models() {
        assert!(FORMS.iter().all(|f| Form::ALL.iter().any(|(n, _)| n == f)));
        assert!(UNITS.iter().all(|u| SoilUnit::parse(u).is_some()));
    }
}
