//! Bushels, tonnes and change in percent.

use stook_measure::units::{bu_ac_to_kg_ha, bushels_per_tonne, kg_ha_to_bu_ac, lb_per_bushel};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};

const CROPS: [&str; 15] = [
    "wheat",
    "durum",
    "barley",
    "oats (Canada)",
    "oats (US)",
    "canola",
    "mustard",
    "flax",
    "rye",
    "corn",
    "triticale",
    "soybean",
    "peas",
    "buckwheat",
    "sunflower",
];

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.bushels_per_tonne",
            title: "Bushels and tonnes",
            about: "Weight bushels in a tonne, and yields both ways, for the bushel of a crop. Oats differ by border. A \
                    volume bushel of a bin is another thing.",
            inputs: vec![Input::choice("crop", &CROPS, "crop")],
            outputs: vec![
                out("lb_per_bu", "lb/bu", "pounds in the bushel"),
                out("bu_t", "bu/t", "bushels in a tonne"),
                out("t_ha_per_bu_ac", "t/ha", "tonnes a hectare for a bushel an acre"),
                out("bu_ac_per_t_ha", "bu/ac", "bushels an acre for a tonne a hectare"),
            ],
            source: "Alberta Agriculture factors (Canada Grains Council 1999); US trade table",
            run: bushels,
        },
        Calculator {
            name: "harvest.percent_change",
            title: "Change in percent",
            about: "How much a second reading is above or below the first.",
            inputs: vec![
                Input::number("before", "1", 1e-9, 1e9, "first reading"),
                Input::number("after", "1", -1e9, 1e9, "second reading"),
            ],
            outputs: vec![out("change_pct", "%", "change, negative for a fall")],
            source: "arithmetic",
            run: percent_change,
        },
    ]
}

fn bushels(a: &Args) -> Answer {
    let lb = lb_per_bushel(a.text("crop")).expect("every crop offered has a bushel");
    let per_tonne = bushels_per_tonne(lb);
    let w = Working::new("Bushels in a tonne")
        .line(Op::Start, "Kilograms in a tonne", 1000.0, "kg", 0)
        .line(Op::Over, "Pounds in the bushel", lb, "lb/bu", 0)
        .line(Op::Over, "Kilograms in a pound", stook_measure::units::KG_PER_LB, "kg/lb", 8)
        .sum("Bushels", per_tonne, "bu/t", 3)
        .source("Alberta Agriculture factors; US trade table");
    Ok(Outcome::new(w)
        .with("lb_per_bu", lb)
        .with("bu_t", per_tonne)
        .with("t_ha_per_bu_ac", bu_ac_to_kg_ha(1.0, lb) / 1000.0)
        .with("bu_ac_per_t_ha", kg_ha_to_bu_ac(1000.0, lb)))
}

fn percent_change(a: &Args) -> Answer {
    let (before, after) = (a.number("before"), a.number("after"));
    let change = 100.0 * (after - before) / before;
    let w = Working::new("Change")
        .line(Op::Start, "After", after, "", 3)
        .line(Op::Minus, "Before", before, "", 3)
        .line(Op::Over, "Before", before, "", 3)
        .line(Op::Times, "To percent", 100.0, "", 0)
        .sum("Change", change, "%", 1)
        .source("arithmetic");
    Ok(Outcome::new(w).with("change_pct", change))
}
