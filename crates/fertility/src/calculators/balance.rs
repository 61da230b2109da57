//! Removal by the crop and its straw, and a field's running balance.

use stook_measure::units::{bu_ac_to_kg_ha, kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out, paired, refused};
use crate::nutrients::{Nutrient, Nutrients};
use crate::removal::{Row, Season, lb_per_short_ton_to_kg_per_t, running_balance, straw_worth, taken};

const TABLES: &[&str] = &[
    "ontario",
    "eastern_canada",
    "western_canada",
    "alberta",
    "country_guide",
    "illinois",
    "ohio_old",
    "ohio_new",
    "rb209",
];
const CROPS: &[&str] =
    &["spring_wheat", "winter_wheat", "wheat", "barley", "oats", "rye", "canola", "pea", "corn", "soybean"];

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.removal",
            title: "What a crop takes off",
            about: "By a published table, as a range: the figures vary widely between surveys. Uptake is what the whole crop \
                    holds. Western Canada's figures are from memory.",
            inputs: vec![
                Input::choice("table", TABLES, "whose table").or("western_canada"),
                Input::choice("crop", CROPS, "crop").or("spring_wheat"),
                Input::choice("part", &["grain", "uptake"], "grain, or the whole crop").or("grain"),
                Input::number("yield_bu_ac", "bu/ac", 0.0, 400.0, "yield"),
            ],
            outputs: vec![
                out("n_low_lb_ac", "lb/ac", "nitrogen, least"),
                out("n_high_lb_ac", "lb/ac", "nitrogen, most"),
                out("p2o5_low_lb_ac", "lb/ac", "phosphate, least"),
                out("p2o5_high_lb_ac", "lb/ac", "phosphate, most"),
                out("k2o_low_lb_ac", "lb/ac", "potash, least"),
                out("k2o_high_lb_ac", "lb/ac", "potash, most"),
                out("s_low_lb_ac", "lb/ac", "sulphur, least"),
                out("s_high_lb_ac", "lb/ac", "sulphur, most"),
            ],
            source: "as named; Walley et al. 2023 found wide variation, so a range is shown",
            run: removal,
        },
        Calculator {
            name: "fertility.straw_removal",
            title: "What baled straw takes off, and its worth",
            about: "The sum is reckoned from its parts: one printed sheet adds its own prices wrongly. Rain on the swath can \
                    take 80 % of the potash.",
            inputs: vec![
                Input::choice("table", &["illinois", "ohio_old", "ohio_new", "rb209"], "whose table")
                    .or("illinois"),
                Input::number("straw_short_ton_ac", "short ton/ac", 0.0, 10.0, "straw baled"),
                Input::number("n_price_lb", "", 0.0, 20.0, "price of a pound of nitrogen").or(0.65),
                Input::number("p2o5_price_lb", "", 0.0, 20.0, "price of a pound of phosphate").or(0.60),
                Input::number("k2o_price_lb", "", 0.0, 20.0, "price of a pound of potash").or(0.40),
            ],
            outputs: vec![
                out("n_lb_ac", "lb/ac", "nitrogen, middle"),
                out("p2o5_lb_ac", "lb/ac", "phosphate, middle"),
                out("k2o_lb_ac", "lb/ac", "potash, middle"),
                out("worth_ac", "", "worth an acre"),
            ],
            source: "Fernandez, Univ. of Illinois; Ohio State Univ.; RB209",
            run: straw,
        },
        Calculator {
            name: "fertility.nutrient_worth",
            title: "Worth of nutrients",
            about: "Pounds times prices, added up.",
            inputs: vec![
                Input::list("lb", "lb", 0.0, 1e7, "amounts"),
                Input::list("price_lb", "", 0.0, 1e4, "price of a pound of each"),
            ],
            outputs: vec![out("worth", "", "worth of them all")],
            source: "arithmetic",
            run: worth,
        },
        Calculator {
            name: "fertility.balance",
            title: "Running balance of a field",
            about: "Applied less removed, added up season by season, for one nutrient.",
            inputs: vec![
                Input::list(
                    "applied_lb_ac",
                    "lb/ac",
                    0.0,
                    1000.0,
                    "put on in each season, all of the manure's too",
                ),
                Input::list("removed_lb_ac", "lb/ac", 0.0, 1000.0, "taken off in each season, straw too"),
            ],
            outputs: vec![
                out("running_lb_ac", "lb/ac", "balance after each season"),
                out("balance_lb_ac", "lb/ac", "balance at the end"),
            ],
            source: "applied less removed",
            run: balance,
        },
        Calculator {
            name: "fertility.removal_per_bushel",
            title: "Removal a bushel",
            about: "A printed removal in kg a tonne, as pounds a bushel.",
            inputs: vec![
                Input::number("kg_per_t", "kg/t", 0.0, 200.0, "printed removal"),
                Input::number("bushel_lb", "lb", 10.0, 80.0, "weight of a bushel"),
            ],
            outputs: vec![out("lb_per_bu", "lb/bu", "removal a bushel")],
            source: "kg/t x bushel weight / 1000",
            run: per_bushel,
        },
    ]
}

fn removal(a: &Args) -> Answer {
    let (table, crop, part) = (a.text("table"), a.text("crop"), a.text("part"));
    let row = Nutrient::ALL.iter().find_map(|n| Row::of(table, crop, part, *n)).ok_or_else(|| {
        refused(format!("the {table} table has no {part} of {crop}; choose another table or crop"))
    })?;
    let bushel = row.bushel_lb.ok_or_else(|| refused("that row is for straw; use the straw calculator"))?;
    let bushels = a.number("yield_bu_ac");
    let t =
        taken(table, crop, part, bu_ac_to_kg_ha(bushels, bushel)).ok_or_else(|| refused("no such row"))?;
    let (low, high) = (t.low_kg_ha.map(kg_ha_to_lb_ac), t.high_kg_ha.map(kg_ha_to_lb_ac));
    let mut w = Working::new("What a crop takes off").line(Op::Note, "Yield", bushels, "bu/ac", 1);
    for n in Nutrient::ALL {
        w = w.line(Op::Note, format!("{}, least", n.name()), low[n], "lb/ac", 1).line(
            Op::Note,
            format!("{}, most", n.name()),
            high[n],
            "lb/ac",
            1,
        );
    }
    let w = w
        .note(format!("A bushel of {bushel} lb. A nutrient that the table does not print stands as zero."))
        .source(format!("{} ({})", row.source, row.sure))
        .would_change("your own yield and a grain analysis");
    Ok(Outcome::new(w)
        .with("n_low_lb_ac", low.n)
        .with("n_high_lb_ac", high.n)
        .with("p2o5_low_lb_ac", low.p2o5)
        .with("p2o5_high_lb_ac", high.p2o5)
        .with("k2o_low_lb_ac", low.k2o)
        .with("k2o_high_lb_ac", high.k2o)
        .with("s_low_lb_ac", low.s)
        .with("s_high_lb_ac", high.s))
}

fn straw(a: &Args) -> Answer {
    let table = a.text("table");
    let crop = if table == "rb209" { "spring_wheat" } else { "wheat" };
    // a short ton an acre, in kg/ha, through pounds
    let mass = lb_ac_to_kg_ha(2000.0 * a.number("straw_short_ton_ac"));
    let t = taken(table, crop, "straw", mass).ok_or_else(|| refused("that table has no straw"))?;
    let lb = t.middle_kg_ha().map(kg_ha_to_lb_ac);
    let price =
        Nutrients::new(a.number("n_price_lb"), a.number("p2o5_price_lb"), a.number("k2o_price_lb"), 0.0);
    let money = straw_worth(lb, price);
    let w = Working::new("What baled straw takes off, and its worth")
        .line(Op::Note, "Nitrogen", lb.n, "lb/ac", 1)
        .line(Op::Note, "Phosphate", lb.p2o5, "lb/ac", 1)
        .line(Op::Note, "Potash", lb.k2o, "lb/ac", 1)
        .line(Op::Start, "Worth of the nitrogen", lb.n * price.n, "", 2)
        .line(Op::Plus, "of the phosphate", lb.p2o5 * price.p2o5, "", 2)
        .line(Op::Plus, "of the potash", lb.k2o * price.k2o, "", 2)
        .sum("Worth an acre", money, "", 2)
        .note("Rain on the swath washes potash out: up to 80 % of it.")
        .source("Fernandez, Univ. of Illinois; Ohio State Univ.; RB209");
    Ok(Outcome::new(w)
        .with("n_lb_ac", lb.n)
        .with("p2o5_lb_ac", lb.p2o5)
        .with("k2o_lb_ac", lb.k2o)
        .with("worth_ac", money))
}

fn worth(a: &Args) -> Answer {
    let (lb, price) = paired(a, "lb", "price_lb")?;
    let mut w = Working::new("Worth of nutrients").source("arithmetic");
    let mut sum = 0.0;
    for (i, (x, each)) in lb.iter().zip(price).enumerate() {
        let op = if i == 0 { Op::Start } else { Op::Plus };
        w = w.line(op, format!("{x} lb at {each}"), x * each, "", 2);
        sum += x * each;
    }
    Ok(Outcome::new(w.sum("Worth", sum, "", 2)).with("worth", sum))
}

fn balance(a: &Args) -> Answer {
    let (applied, removed) = paired(a, "applied_lb_ac", "removed_lb_ac")?;
    let one = |x: f64| Nutrients::new(x, 0.0, 0.0, 0.0);
    let seasons: Vec<Season> = applied
        .iter()
        .zip(removed)
        .map(|(x, y)| Season { applied_kg_ha: one(*x), removed_kg_ha: one(*y) })
        .collect();
    let running: Vec<f64> = running_balance(&seasons).iter().map(|n| n.n).collect();
    let last = running.last().copied().unwrap_or(0.0);
    let mut w = Working::new("Running balance of a field").source("applied less removed");
    for (i, (x, y)) in applied.iter().zip(removed).enumerate() {
        let op = if i == 0 { Op::Start } else { Op::Plus };
        w = w.line(op, format!("Season {}: applied", i + 1), *x, "lb/ac", 1).line(
            Op::Minus,
            "removed",
            *y,
            "lb/ac",
            1,
        );
    }
    let w = w.sum("Balance", last, "lb/ac", 1);
    Ok(Outcome::new(w).with("running_lb_ac", running).with("balance_lb_ac", last))
}

fn per_bushel(a: &Args) -> Answer {
    let (kg, bushel) = (a.number("kg_per_t"), a.number("bushel_lb"));
    let lb = crate::removal::kg_per_t_to_lb_per_bu(kg, bushel);
    let w = Working::new("Removal a bushel")
        .line(Op::Start, "Removal", kg, "kg/t", 3)
        .line(Op::Times, "Bushel", bushel, "lb", 1)
        .line(Op::Over, "Kilograms in a tonne", 1000.0, "", 0)
        .sum("Removal a bushel", lb, "lb/bu", 3)
        .note(format!("As lb a short ton: {:.2}.", kg / lb_per_short_ton_to_kg_per_t(1.0)))
        .source("kg/t x bushel weight / 1000");
    Ok(Outcome::new(w).with("lb_per_bu", lb))
}
