//! Phosphate, potash, sulphur, chloride, copper and zinc.

use stook_measure::units::{bu_ac_to_kg_ha, kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, named, out, p, refused};
use crate::micronutrients::{Copper, copper, watch_zinc};
use crate::phosphate_potash::{Strategy, broadcast_potash_kg_ha, side_by_side};
use crate::soil_test::figure::Extractant;
use crate::sufficiency::{NoTest, look_up, shipped};
use crate::sulphur_chloride::{chloride_class, chloride_kg_ha, kcl_for_chloride_kg_ha, sulphur_kg_ha};

const EXTRACTANTS: [(&str, Extractant); 6] = [
    ("olsen", Extractant::Olsen),
    ("kelowna", Extractant::Kelowna),
    ("bray 1", Extractant::Bray1),
    ("ammonium acetate", Extractant::AmmoniumAcetate),
    ("water", Extractant::Water),
    ("dtpa", Extractant::Dtpa),
];
const EXTRACTANT_NAMES: &[&str] = &["olsen", "kelowna", "bray 1", "ammonium acetate", "water", "dtpa"];

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.phosphate_potash",
            title: "Phosphate or potash by four ways of thinking",
            about: "Feed the crop (sufficiency), put back what it takes (replacement), or feed the soil (build and maintain), \
                    a starter \
                    and no more, side by side. The sufficiency equation is from memory, for Olsen phosphorus and ammonium acetate \
                    potassium only.",
            inputs: vec![
                Input::choice("nutrient", &["P2O5", "K2O"], "which"),
                Input::number("test_ppm", "ppm", 0.0, 1500.0, "soil test, element, 0-6 in"),
                Input::choice("extractant", EXTRACTANT_NAMES, "how it was tested"),
                Input::number("yield_bu_ac", "bu/ac", 1.0, 150.0, "wheat yield aimed at"),
                Input::number("removal_lb_ac", "lb/ac", 0.0, 200.0, "what the crop will take off"),
                Input::number("years", "years", 1.0, 20.0, "years a build-up is spread over").or(4.0),
            ],
            outputs: vec![
                out("sufficiency_lb_ac", "lb/ac", "feed the crop"),
                out("replacement_lb_ac", "lb/ac", "put back"),
                out("build_lb_ac", "lb/ac", "build and maintain"),
                out("of_which_build_lb_ac", "lb/ac", "the part of it that raises the test"),
                out("starter_lb_ac", "lb/ac", "a starter and no more; 0 for potash"),
                out(
                    "broadcast_lb_ac",
                    "lb/ac",
                    "potash: the sufficiency rate if it is broadcast; not known for phosphate, which lime fixes",
                ),
            ],
            source: "Univ. of Minnesota and South Dakota State Univ. equations, and build factors, from memory",
            run: phosphate_potash,
        },
        Calculator {
            name: "fertility.rate_table",
            title: "Rate from a printed table",
            about: "A step of a printed table by soil test. Shipped: the barley rows of North Dakota. Not for wheat: load the \
                    local guide's own table.",
            inputs: vec![
                Input::choice("nutrient", &["P2O5", "K2O"], "which"),
                Input::choice("extractant", EXTRACTANT_NAMES, "how it was tested"),
                Input::choice("crop", &["barley", "spring_wheat"], "crop").or("barley"),
                Input::number("test_ppm", "ppm", 0.0, 1500.0, "soil test"),
            ],
            outputs: vec![out("rate_lb_ac", "lb/ac", "rate")],
            source: "Stachler, North Dakota State Univ. node 5521, after SF882",
            run: table,
        },
        Calculator {
            name: "fertility.no_test",
            title: "Rates without a soil test",
            about: "Wide ranges for spring wheat where there is no test. A test is cheaper than the range.",
            inputs: vec![
                Input::choice("nutrient", &["N", "P2O5", "K2O", "S"], "which"),
                Input::choice("case", &["stubble", "fallow", "sandy"], "land").or("stubble"),
            ],
            outputs: vec![out("low_lb_ac", "lb/ac", "least"), out("high_lb_ac", "lb/ac", "most")],
            source: "Manitoba, General Fertilizer Recommendations Without a Soil Test, 2006",
            run: no_test,
        },
        Calculator {
            name: "fertility.sulphur",
            title: "Sulphur",
            about: "By the sulphate test in 24 in. Two figures could be read: 25 lb/ac on a very low soil, at least 10 on small \
                    grains elsewhere. A field's mean hides hungry knolls.",
            inputs: vec![Input::number("test_lb_ac", "lb/ac", 0.0, 2000.0, "sulphate-S in 0-24 in")],
            outputs: vec![out("s_lb_ac", "lb/ac", "sulphate sulphur to put on")],
            source: "South Dakota State Univ. soil laboratory; Franzen, North Dakota State Univ. 2022",
            run: sulphur,
        },
        Calculator {
            name: "fertility.chloride",
            title: "Chloride for wheat and barley",
            about: "60 lb/ac less the test. Responses are small and may not pay when potash is dear; broadcast it.",
            inputs: vec![Input::number("test_lb_ac", "lb/ac", 0.0, 2000.0, "chloride in 0-24 in")],
            outputs: vec![
                out("cl_lb_ac", "lb/ac", "chloride to put on"),
                out("kcl_lb_ac", "lb/ac", "potassium chloride that holds it"),
                out("class", "", "class of the test"),
            ],
            source: "South Dakota State Univ. soil laboratory",
            run: chloride,
        },
        Calculator {
            name: "fertility.copper_zinc",
            title: "Copper and zinc",
            about: "Copper where the DTPA test is under 0.5 ppm. Low zinc is a thing to watch and never a rate.",
            inputs: vec![
                Input::number("copper_ppm", "ppm", 0.0, 100.0, "DTPA copper, 0-6 in"),
                Input::number("zinc_ppm", "ppm", 0.0, 200.0, "DTPA zinc, 0-6 in").or(1.0),
                Input::choice("soil", &["mineral", "peat"], "soil").or("mineral"),
            ],
            outputs: vec![
                out("copper_sulphate_low_kg_ha", "kg/ha", "least copper sulphate"),
                out("copper_sulphate_high_kg_ha", "kg/ha", "most"),
                out("chelate_high_kg_ha", "kg/ha", "most EDTA chelate instead; 0 where no figure was read"),
                out("zinc", "", "watch or enough"),
            ],
            source: "Alberta, Wheat nutrition: micronutrients; guide 2007, Table 3.4.2",
            run: micronutrients,
        },
    ]
}

fn phosphate_potash(a: &Args) -> Answer {
    let params = &p().phosphate_potash;
    let is_p = a.text("nutrient") == "P2O5";
    let (one, wanted) = if is_p {
        (&params.phosphate, Extractant::Olsen)
    } else {
        (&params.potash, Extractant::AmmoniumAcetate)
    };
    if named(&EXTRACTANTS, a.text("extractant")) != wanted {
        return Err(refused(format!(
            "the equations for {} are made for {}; a test by another extractant is another figure",
            a.text("nutrient"),
            if is_p { "Olsen phosphorus" } else { "ammonium acetate potassium" }
        )));
    }
    let (test, bushels) = (a.number("test_ppm"), a.number("yield_bu_ac"));
    let removal = lb_ac_to_kg_ha(a.number("removal_lb_ac"));
    let s = side_by_side(test, bu_ac_to_kg_ha(bushels, 60.0), removal, a.number("years"), one);
    let [sufficiency, replacement, build, part] =
        [s.sufficiency_kg_ha, s.replacement_kg_ha, s.build_kg_ha, s.of_which_build_kg_ha].map(kg_ha_to_lb_ac);
    let starter = kg_ha_to_lb_ac(s.by(Strategy::Starter, if is_p { params.starter_p2o5_kg_ha } else { 0.0 }));
    let broadcast =
        if is_p { f64::NAN } else { kg_ha_to_lb_ac(broadcast_potash_kg_ha(s.sufficiency_kg_ha, params)) };
    let w = Working::new("Phosphate or potash by four ways of thinking")
        .line(Op::Note, "Feed the crop", sufficiency, "lb/ac", 1)
        .line(Op::Note, "Put back what it takes", replacement, "lb/ac", 1)
        .line(Op::Start, "Raise the test", part, "lb/ac", 1)
        .line(Op::Plus, "and put back", build - part, "lb/ac", 1)
        .sum("Build and maintain", build, "lb/ac", 1)
        .note(format!(
            "Sufficiency: ({:.3} - {:.3} x {test}) x {bushels} bu/ac, not below zero.",
            one.intercept_kg_per_kg * 60.0,
            one.slope_kg_per_kg * 60.0
        ))
        .source("equations of the Univ. of Minnesota and South Dakota State Univ., not re-read: from memory")
        .source("level and factor of the build-up: from memory; a four-year span (Boychyn)")
        .would_change("which way you think, and the years you have on this land");
    Ok(Outcome::new(w)
        .with("sufficiency_lb_ac", sufficiency)
        .with("replacement_lb_ac", replacement)
        .with("build_lb_ac", build)
        .with("of_which_build_lb_ac", part)
        .with("starter_lb_ac", starter)
        .with("broadcast_lb_ac", broadcast))
}

fn table(a: &Args) -> Answer {
    let step = look_up(
        shipped(),
        "north_dakota_barley",
        a.text("crop"),
        a.text("nutrient"),
        named(&EXTRACTANTS, a.text("extractant")),
        a.number("test_ppm"),
    )
    .map_err(refused)?;
    let w = Working::new("Rate from a printed table")
        .line(Op::Note, "Test", a.number("test_ppm"), "ppm", 1)
        .sum("Rate", step.rate_lb_ac, "lb/ac", 0)
        .note(format!("Row {}. Barley rows are not for wheat.", step.note))
        .source(step.source.clone());
    Ok(Outcome::new(w).with("rate_lb_ac", step.rate_lb_ac))
}

fn no_test(a: &Args) -> Answer {
    let row = NoTest::of("spring_wheat", a.text("case"), a.text("nutrient")).ok_or_else(|| {
        refused(format!("no {} is advised on {} without a test", a.text("nutrient"), a.text("case")))
    })?;
    let w = Working::new("Rates without a soil test")
        .line(Op::Note, "Least", row.low_lb_ac, "lb/ac", 0)
        .line(Op::Note, "Most", row.high_lb_ac, "lb/ac", 0)
        .source(row.source.clone());
    Ok(Outcome::new(w).with("low_lb_ac", row.low_lb_ac).with("high_lb_ac", row.high_lb_ac))
}

fn sulphur(a: &Args) -> Answer {
    let rate = kg_ha_to_lb_ac(sulphur_kg_ha(lb_ac_to_kg_ha(a.number("test_lb_ac")), &p().sulphur_chloride));
    let w = Working::new("Sulphur")
        .line(Op::Note, "Sulphate-S in 0-24 in", a.number("test_lb_ac"), "lb/ac", 1)
        .sum("Sulphate sulphur to put on", rate, "lb/ac", 0)
        .note("Sulphate works the same year wherever it lies. Elemental sulphur goes on a year ahead, left on the surface.")
        .source("South Dakota State Univ. soil laboratory; Franzen, North Dakota State Univ. 2022");
    Ok(Outcome::new(w).with("s_lb_ac", rate))
}

fn chloride(a: &Args) -> Answer {
    let params = &p().sulphur_chloride;
    let test = a.number("test_lb_ac");
    let kg = chloride_kg_ha(lb_ac_to_kg_ha(test), params);
    let (cl, kcl) = (kg_ha_to_lb_ac(kg), kg_ha_to_lb_ac(kcl_for_chloride_kg_ha(kg)));
    let mut w = Working::new("Chloride for wheat and barley")
        .line(
            Op::Start,
            "Wanted, soil and fertilizer",
            kg_ha_to_lb_ac(params.chloride_target_kg_ha),
            "lb/ac",
            0,
        )
        .line(Op::Minus, "In the soil", test, "lb/ac", 1)
        .source("South Dakota State Univ. soil laboratory");
    if cl == 0.0 {
        w = w.line(
            Op::Plus,
            "Beyond what is wanted",
            test - kg_ha_to_lb_ac(params.chloride_target_kg_ha),
            "lb/ac",
            1,
        );
    }
    Ok(Outcome::new(w.sum("Chloride to put on", cl, "lb/ac", 1))
        .with("cl_lb_ac", cl)
        .with("kcl_lb_ac", kcl)
        .with("class", chloride_class(test)))
}

fn micronutrients(a: &Args) -> Answer {
    let params = &p().micronutrients;
    let (low, high, chelate) = match copper(a.number("copper_ppm"), a.text("soil") == "peat", params) {
        Copper::Enough => (0.0, 0.0, 0.0),
        Copper::Apply { sulphate_kg_ha, chelate_kg_ha } => {
            (sulphate_kg_ha.0, sulphate_kg_ha.1, chelate_kg_ha.map_or(0.0, |c| c.1))
        }
    };
    let zinc = if watch_zinc(a.number("zinc_ppm"), params) { "watch" } else { "enough" };
    let w = Working::new("Copper and zinc")
        .line(Op::Note, "Copper sulphate, least", low, "kg/ha", 0)
        .line(Op::Note, "Copper sulphate, most", high, "kg/ha", 0)
        .note("Low zinc is watched: in 23 Saskatchewan trials one responded.")
        .source("Alberta, Wheat nutrition: micronutrients; guide 2007, Table 3.4.2");
    Ok(Outcome::new(w)
        .with("copper_sulphate_low_kg_ha", low)
        .with("copper_sulphate_high_kg_ha", high)
        .with("chelate_high_kg_ha", chelate)
        .with("zinc", zinc))
}
