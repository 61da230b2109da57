//! Products, prices and blends by hand.

use stook_measure::units::KG_PER_LB;
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, named, out, refused};
use crate::blend::{Choice, by_hand, to_grade, usual};
use crate::nutrients::{Nutrient, Nutrients};
use crate::product::{Product, conflict, nutrient_price, rate};
use crate::safety::ANHYDROUS;

const PRODUCTS: &[&str] = &[
    "urea",
    "map",
    "dap",
    "potash",
    "ams",
    "ammonium_nitrate",
    "uan28",
    "uan32",
    "app10_34",
    "ats",
    "anhydrous",
    "elemental_s",
];
const NUTRIENTS: [(&str, Nutrient); 4] =
    [("N", Nutrient::N), ("P2O5", Nutrient::P2O5), ("K2O", Nutrient::K2O), ("S", Nutrient::S)];

fn which() -> Input {
    Input::choice("product", PRODUCTS, "product")
}
fn nutrient() -> Input {
    Input::choice("nutrient", &["N", "P2O5", "K2O", "S"], "nutrient").or("N")
}
fn need(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "lb/ac", 0.0, 500.0, about).or(0.0)
}
fn phosphate() -> Input {
    Input::choice("phosphate", &["map", "dap"], "product for phosphate").or("map")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.product_rate",
            title: "Product for a nutrient",
            about: "How much product holds the nutrient wanted, and what else comes with it. For a liquid, in US gallons too.",
            inputs: vec![
                which(),
                nutrient(),
                Input::number("amount_lb_ac", "lb/ac", 0.0, 1000.0, "nutrient wanted"),
            ],
            outputs: vec![
                out("product_lb_ac", "lb/ac", "product"),
                out("us_gal_ac", "US gal/ac", "the same of a liquid"),
                out("n_lb_ac", "lb/ac", "nitrogen in it"),
                out("p2o5_lb_ac", "lb/ac", "phosphate in it"),
                out("k2o_lb_ac", "lb/ac", "potash in it"),
                out("s_lb_ac", "lb/ac", "sulphur in it"),
            ],
            source: "nutrient x 100 / analysis; Manitoba Soil Fertility Guide, Calculating Fertilizer Rates",
            run: product_rate,
        },
        Calculator {
            name: "fertility.nutrient_price",
            title: "Price of a pound of a nutrient",
            about: "From the price of a tonne, with the worth of the other nutrients taken off first.",
            inputs: vec![
                which(),
                nutrient(),
                Input::number("price_t", "", 0.0, 10_000.0, "price of a tonne"),
                Input::number(
                    "n_price_lb",
                    "",
                    0.0,
                    20.0,
                    "price of a pound of nitrogen, where it is not the one asked",
                )
                .or(0.0),
                Input::number("p2o5_price_lb", "", 0.0, 20.0, "price of a pound of phosphate, the same")
                    .or(0.0),
                Input::number("s_price_lb", "", 0.0, 20.0, "price of a pound of sulphur, the same").or(0.0),
            ],
            outputs: vec![
                out("price_lb", "", "price of a pound"),
                out("price_kg", "", "price of a kilogram"),
                out("lb_per_t", "lb/t", "pounds of it in a tonne"),
            ],
            source: "Manitoba Soil Fertility Guide, Calculating Fertilizer Rates; exact tonne of 2204.62 lb",
            run: price,
        },
        Calculator {
            name: "fertility.blend",
            title: "A blend by hand",
            about: "Ammonium sulphate for the sulphur, then phosphate, then potash, and urea for the nitrogen left. Never less \
                    than nothing of a product: nitrogen that comes along is shown as a surplus. Not the cheapest blend.",
            inputs: vec![
                need("n_lb_ac", "nitrogen wanted"),
                need("p2o5_lb_ac", "phosphate wanted"),
                need("k2o_lb_ac", "potash wanted"),
                need("s_lb_ac", "sulphur wanted"),
                phosphate(),
            ],
            outputs: vec![
                out("ams_lb_ac", "lb/ac", "ammonium sulphate"),
                out("phosphate_lb_ac", "lb/ac", "phosphate product"),
                out("potash_lb_ac", "lb/ac", "potassium chloride"),
                out("urea_lb_ac", "lb/ac", "urea"),
                out("total_lb_ac", "lb/ac", "all of it"),
                out("grade_n_pct", "%", "nitrogen in the blend"),
                out("grade_p2o5_pct", "%", "phosphate in the blend"),
                out("grade_k2o_pct", "%", "potash in the blend"),
                out("grade_s_pct", "%", "sulphur in the blend"),
                out("n_surplus_lb_ac", "lb/ac", "nitrogen beyond what is wanted"),
            ],
            source: "order of the Manitoba guide's arithmetic; product grades as in the table",
            run: blend,
        },
        Calculator {
            name: "fertility.blend_to_grade",
            title: "A blend to a grade",
            about: "The products in 100 of a wanted grade, and the filler that makes up the rest.",
            inputs: vec![
                Input::number("n_pct", "%", 0.0, 46.0, "nitrogen"),
                Input::number("p2o5_pct", "%", 0.0, 52.0, "phosphate").or(0.0),
                Input::number("k2o_pct", "%", 0.0, 60.0, "potash").or(0.0),
                Input::number("s_pct", "%", 0.0, 24.0, "sulphur").or(0.0),
                phosphate(),
            ],
            outputs: vec![
                out("ams", "", "ammonium sulphate in 100"),
                out("phosphate", "", "phosphate product in 100"),
                out("potash", "", "potassium chloride in 100"),
                out("urea", "", "urea in 100"),
                out("products", "", "all of them"),
                out("filler", "", "filler in 100"),
            ],
            source: "grade / analysis; product grades as in the table",
            run: grade,
        },
        Calculator {
            name: "fertility.liquid_nutrient",
            title: "Nutrient in a gallon of liquid",
            about: "Density times analysis. 28-0-0 weighs 1.3 % less at 80 F than at 40 F.",
            inputs: vec![
                Input::choice("product", &["uan28", "uan32", "app10_34", "ats"], "liquid"),
                nutrient(),
            ],
            outputs: vec![
                out("lb_per_us_gal", "lb/US gal", "nutrient in a US gallon"),
                out("lb_per_imp_gal", "lb/imp gal", "nutrient in an imperial gallon"),
                out("density_lb_imp_gal", "lb/imp gal", "weight of an imperial gallon"),
            ],
            source: "Estimated Physical Characteristics of Fertilizer Material, industry data sheet",
            run: liquid,
        },
        Calculator {
            name: "fertility.blend_conflict",
            title: "May these two lie together?",
            about: "Pairs that never go in one bin or tank (from memory).",
            inputs: vec![
                Input::choice("one", PRODUCTS, "one product"),
                Input::choice("other", PRODUCTS, "the other"),
            ],
            outputs: vec![out("together", "", "yes or no"), out("why", "", "the reason")],
            source: "trade practice, from memory",
            run: together,
        },
    ]
}

fn get(key: &str) -> &'static Product {
    Product::of(key).expect("the choice lists the shipped products")
}

fn product_rate(a: &Args) -> Answer {
    let product = get(a.text("product"));
    let n = named(&NUTRIENTS, a.text("nutrient"));
    let wanted = a.number("amount_lb_ac");
    let lb = rate(product, n, wanted).map_err(refused)?;
    let gallons = match (product.density_unit.as_deref(), product.density_low) {
        (Some("lb/US gal"), Some(density)) => lb / density,
        _ => f64::NAN,
    };
    let all = product.in_mass(lb);
    let w = Working::new("Product for a nutrient")
        .line(Op::Start, format!("{} wanted", n.name()), wanted, "lb/ac", 2)
        .line(Op::Times, "Hundred", 100.0, "", 0)
        .line(Op::Over, format!("{} in {}", n.name(), product.name), product.grade_pct()[n], "%", 1)
        .sum("Product", lb, "lb/ac", 1)
        .source("Manitoba Soil Fertility Guide, Calculating Fertilizer Rates");
    let w = if product.key == "anhydrous" { w.note(ANHYDROUS) } else { w };
    Ok(Outcome::new(w)
        .with("product_lb_ac", lb)
        .with("us_gal_ac", gallons)
        .with("n_lb_ac", all.n)
        .with("p2o5_lb_ac", all.p2o5)
        .with("k2o_lb_ac", all.k2o)
        .with("s_lb_ac", all.s))
}

fn price(a: &Args) -> Answer {
    let product = get(a.text("product"));
    let n = named(&NUTRIENTS, a.text("nutrient"));
    let mut others =
        Nutrients::new(a.number("n_price_lb"), a.number("p2o5_price_lb"), 0.0, a.number("s_price_lb"));
    others[n] = 0.0;
    let per_kg =
        nutrient_price(product, n, a.number("price_t"), others.times(1.0 / KG_PER_LB)).map_err(refused)?;
    let lb_per_t = product.in_mass(1000.0 / KG_PER_LB)[n];
    let off = product.in_mass(1000.0 / KG_PER_LB).worth(others);
    let w = Working::new("Price of a pound of a nutrient")
        .line(Op::Start, "A tonne", a.number("price_t"), "", 2)
        .line(Op::Minus, "Worth of the other nutrients", off, "", 2)
        .line(Op::Over, format!("{} in a tonne", n.name()), lb_per_t, "lb", 2)
        .sum("A pound", per_kg * KG_PER_LB, "", 3)
        .source("Manitoba Soil Fertility Guide, Calculating Fertilizer Rates; a tonne is 2204.62 lb");
    Ok(Outcome::new(w)
        .with("price_lb", per_kg * KG_PER_LB)
        .with("price_kg", per_kg)
        .with("lb_per_t", lb_per_t))
}

fn choice(a: &Args) -> Choice<'static> {
    Choice { p2o5: get(a.text("phosphate")), ..usual() }
}

fn blend(a: &Args) -> Answer {
    let wanted = Nutrients::new(
        a.number("n_lb_ac"),
        a.number("p2o5_lb_ac"),
        a.number("k2o_lb_ac"),
        a.number("s_lb_ac"),
    );
    let with = choice(a);
    let b = by_hand(wanted, &with).map_err(refused)?;
    let g = b.grade_pct;
    let mut w = Working::new("A blend by hand")
        .line(Op::Start, with.s.name.clone(), b.s_product, "lb/ac", 1)
        .line(Op::Plus, with.p2o5.name.clone(), b.p2o5_product, "lb/ac", 1)
        .line(Op::Plus, with.k2o.name.clone(), b.k2o_product, "lb/ac", 1)
        .line(Op::Plus, with.n.name.clone(), b.n_product, "lb/ac", 1)
        .sum("Blend", b.total, "lb/ac", 1)
        .note(format!(
            "Analysis {:.1}-{:.1}-{:.1}-{:.1}. Keep it dry and the granules of one size.",
            g.n, g.p2o5, g.k2o, g.s
        ))
        .source("order of the Manitoba guide's arithmetic; grades from an industry data sheet")
        .would_change("other products; the cheapest blend is another question");
    if b.surplus.n > 1e-9 {
        w = w.note(format!(
            "The nitrogen of the other products is {:.1} lb/ac more than wanted.",
            b.surplus.n
        ));
    }
    Ok(Outcome::new(w)
        .with("ams_lb_ac", b.s_product)
        .with("phosphate_lb_ac", b.p2o5_product)
        .with("potash_lb_ac", b.k2o_product)
        .with("urea_lb_ac", b.n_product)
        .with("total_lb_ac", b.total)
        .with("grade_n_pct", g.n)
        .with("grade_p2o5_pct", g.p2o5)
        .with("grade_k2o_pct", g.k2o)
        .with("grade_s_pct", g.s)
        .with("n_surplus_lb_ac", b.surplus.n))
}

fn grade(a: &Args) -> Answer {
    let wanted =
        Nutrients::new(a.number("n_pct"), a.number("p2o5_pct"), a.number("k2o_pct"), a.number("s_pct"));
    let (b, filler) = to_grade(wanted, &choice(a)).map_err(refused)?;
    let filler = filler.ok_or_else(|| {
        refused(format!(
            "that grade needs {:.1} of products in 100, so it cannot be made from these",
            b.total
        ))
    })?;
    let w = Working::new("A blend to a grade")
        .line(Op::Start, "Ammonium sulphate", b.s_product, "", 1)
        .line(Op::Plus, "Phosphate product", b.p2o5_product, "", 1)
        .line(Op::Plus, "Potassium chloride", b.k2o_product, "", 1)
        .line(Op::Plus, "Urea", b.n_product, "", 1)
        .sum("Products in 100", b.total, "", 1)
        .source("grade / analysis; grades from an industry data sheet");
    Ok(Outcome::new(w)
        .with("ams", b.s_product)
        .with("phosphate", b.p2o5_product)
        .with("potash", b.k2o_product)
        .with("urea", b.n_product)
        .with("products", b.total)
        .with("filler", filler))
}

fn liquid(a: &Args) -> Answer {
    const US_GAL_PER_IMP: f64 =
        stook_measure::units::L_PER_IMPERIAL_GALLON / stook_measure::units::L_PER_US_GALLON;
    let product = get(a.text("product"));
    let n = named(&NUTRIENTS, a.text("nutrient"));
    let density = product.density_low.ok_or_else(|| refused("no density is known"))?;
    let us = density * product.grade_pct()[n] / 100.0;
    let w = Working::new("Nutrient in a gallon of liquid")
        .line(Op::Start, "Weight of a US gallon", density, "lb", 3)
        .line(Op::Times, n.name(), product.grade_pct()[n] / 100.0, "", 3)
        .sum("In a US gallon", us, "lb", 3)
        .source(product.source.clone());
    Ok(Outcome::new(w)
        .with("lb_per_us_gal", us)
        .with("lb_per_imp_gal", us * US_GAL_PER_IMP)
        .with("density_lb_imp_gal", density * US_GAL_PER_IMP))
}

fn together(a: &Args) -> Answer {
    let why = conflict(a.text("one"), a.text("other"));
    let w = Working::new("May these two lie together?")
        .note(why.unwrap_or("Nothing is known against it. Keep it dry and the granules of one size."))
        .source("trade practice, from memory");
    Ok(Outcome::new(w)
        .with("together", if why.is_some() { "no" } else { "yes" })
        .with("why", why.unwrap_or("")))
}
