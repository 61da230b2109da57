//! Least cost: blends, the grower ration, one bin shared by several rations, and the diet of 1945.

use std::sync::LazyLock;

use serde::Deserialize;
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};
use stook_optimise::{Col, Problem, Status};

use super::{Answer, out, refused};
use crate::ingredient;
use crate::need::{Need, Phase};
use crate::ration::{self, Formulated, Offer, Safety, conflict_words};
use crate::table;

/// Ingredients of the ration calculators with a usual price, money a tonne.
const OFFERED: [(&str, &str, f64); 15] = [
    ("wheat_hrs", "wheat_t", 230.0),
    ("barley", "barley_t", 200.0),
    ("field_pea", "pea_t", 300.0),
    ("sbm_dehulled", "soymeal_t", 520.0),
    ("canola_meal", "canola_meal_t", 380.0),
    ("canola_oil", "oil_t", 1300.0),
    ("limestone", "limestone_t", 120.0),
    ("monocal", "monocal_t", 900.0),
    ("salt", "salt_t", 150.0),
    ("lys_hcl", "lysine_t", 2200.0),
    ("dl_met", "methionine_t", 4000.0),
    ("l_thr", "threonine_t", 2400.0),
    ("l_trp", "tryptophan_t", 12_000.0),
    ("l_val", "valine_t", 7000.0),
    ("premix", "premix_t", 3000.0),
];
const SHARES: [&str; 15] = [
    "wheat_pct",
    "barley_pct",
    "pea_pct",
    "soymeal_pct",
    "canola_meal_pct",
    "oil_pct",
    "limestone_pct",
    "monocal_pct",
    "salt_pct",
    "lysine_pct",
    "methionine_pct",
    "threonine_pct",
    "tryptophan_pct",
    "valine_pct",
    "premix_pct",
];
const NONE: f64 = 1e9;

fn prices() -> Vec<Input> {
    OFFERED.iter().map(|(_, key, t)| Input::number(key, "a tonne", 0.0, 1e6, "price").or(*t)).collect()
}

fn offers(a: &Args) -> Vec<Offer> {
    let max = [("field_pea", 0.3), ("canola_meal", 0.15), ("barley", 0.6), ("canola_oil", 0.04)];
    OFFERED
        .iter()
        .map(|(key, price, _)| {
            let i = ingredient::find(key).expect("offered ingredients are in the table");
            let mut o = Offer::of_table(i, Phase::Grower1, a.number(price));
            o.max = max.iter().find(|m| m.0 == *key).map_or(1.0, |m| m.1);
            o.min = 0.0;
            o
        })
        .collect()
}

fn need(ne: f64, lys: f64, p: f64, phytase: f64, ca: (f64, f64), na: f64, premix: f64) -> Need {
    Need {
        phase: Phase::Grower1,
        ne_kcal_kg: ne,
        lys_g_mcal: lys,
        margin: 0.0,
        ratios: [0.29, 0.56, 0.6, 0.17, 0.65, 0.52],
        sttd_p_pct: p,
        phytase_p_pct: phytase,
        ca_min_pct: ca.0,
        ca_max_pct: ca.1,
        na_min_pct: na,
        ca_per_p_max: None,
        premix_share: premix,
        don_max_ppm: None,
    }
}

pub(super) fn calculators() -> Vec<Calculator> {
    let mut ration_in = prices();
    ration_in.extend([
        Input::number("ne_kcal_kg", "kcal/kg", 1500.0, 3500.0, "least net energy").or(2400.0),
        Input::number("lys_g_mcal", "g/Mcal", 1.0, 8.0, "digestible lysine for net energy").or(3.96),
        Input::number("sttd_p_pct", "%", 0.0, 1.0, "digestible phosphorus").or(0.31),
        Input::number("phytase_p_pct", "%", 0.0, 0.2, "of it from phytase").or(0.1),
        Input::number("ca_min_pct", "%", 0.0, 2.0, "least calcium").or(0.6),
        Input::number("ca_max_pct", "%", 0.0, 3.0, "most calcium").or(0.72),
        Input::number("na_pct", "%", 0.0, 1.0, "sodium").or(0.18),
        Input::number("premix_share", "1", 0.0, 0.1, "premix").or(0.005),
    ]);
    let mut ration_out = vec![
        out("cost_t", "a tonne", "cost of the ration"),
        out("energy_price", "a tonne for a Mcal/kg", "what more energy costs"),
        out("lysine_price", "a tonne for a g/kg", "what more lysine costs"),
    ];
    ration_out.extend(SHARES.iter().map(|k| out(k, "%", "share")));
    let mut shared_in = prices();
    shared_in.extend([
        Input::list("tonnes", "t", 0.0, 1e6, "tonnes of each ration"),
        Input::list("ne_kcal_kg", "kcal/kg", 1500.0, 3500.0, "least net energy of each"),
        Input::list("lys_g_mcal", "g/Mcal", 1.0, 8.0, "lysine for energy of each"),
        Input::list("sttd_p_pct", "%", 0.0, 1.0, "digestible phosphorus of each"),
        Input::list("ca_min_pct", "%", 0.0, 2.0, "least calcium of each; the most is 0.12 above"),
        Input::number("wheat_stock_t", "t", 0.0, 1e6, "wheat in the bin"),
    ]);
    vec![
        Calculator {
            name: "feed.blend",
            title: "Least-cost blend",
            about: "The cheapest amounts that meet rows of contents, each with a least, a most or both. The first row can be met with safety against scatter: its variances and the standard deviations kept. For a blend of one whole, say what the amounts sum to.",
            inputs: vec![
                Input::list("cost", "a unit", -1e6, 1e6, "cost of each"),
                Input::list("rows", "any", -1e7, 1e7, "contents, row by row, each row as long as the costs"),
                Input::list("least", "any", -NONE, NONE, "least of each row; -1e9 for none"),
                Input::list("most", "any", -NONE, NONE, "most of each row; 1e9 for none"),
                Input::number("sum_to", "any", 0.0, 1e6, "what the amounts sum to, if anything").optional(),
                Input::list("variance", "any", 0.0, 1e6, "variance of the first row's contents").optional(),
                Input::number("z", "1", 0.0, 4.0, "standard deviations kept on the first row").or(0.0),
            ],
            outputs: vec![
                out("x", "a unit", "amounts"),
                out("cost", "money", "cost"),
                out("prices", "money", "what one more unit of each row's limit costs"),
                out("rounds", "1", "rounds of tangents"),
            ],
            source: "linear programming; safety by tangents to the square root of the variance (Roush and others; Bracken and McCormick 1968)",
            run: blend,
        },
        Calculator {
            name: "feed.grower_ration",
            title: "Least-cost grower ration",
            about: "The cheapest ration of fifteen usual ingredients for a need, with what more energy and lysine cost. Net energy, lysine for energy, amino acids in proportion to lysine. A nutritionist reviews it.",
            inputs: ration_in,
            outputs: ration_out,
            source: "NRC 2012 ingredient values; linear programming",
            run: grower,
        },
        Calculator {
            name: "feed.shared_wheat",
            title: "Several rations from one bin of wheat",
            about: "All rations at once, sharing a bin: what they cost, and what a tonne more wheat would save. That added to its price in the model is what the wheat is worth in the mill: compare it with the bid.",
            inputs: shared_in,
            outputs: vec![
                out("cost", "money", "cost of all"),
                out("stock_price", "a tonne", "what a tonne more wheat would save"),
                out("worth_t", "a tonne", "worth of own wheat in the mill"),
                out("wheat_t", "t", "wheat used"),
                out("wheat_pct", "%", "wheat in each ration"),
                out("barley_pct", "%", "barley in each"),
                out("pea_pct", "%", "peas in each"),
            ],
            source: "NRC 2012 ingredient values; linear programming",
            run: shared,
        },
        Calculator {
            name: "feed.diet_of_1945",
            title: "The diet of 1945",
            about: "The first least-cost diet ever posed: nine nutrients from 77 foods at the prices of August 1939, for one person. The figure printed by hand was 39.93, the first exact one 39.69; copies of the data differ in a cell or two.",
            inputs: vec![],
            outputs: vec![
                out("year", "dollars of 1939", "cost of a year"),
                out("flour", "dollars", "flour"),
                out("liver", "dollars", "liver"),
                out("cabbage", "dollars", "cabbage"),
                out("spinach", "dollars", "spinach"),
                out("beans", "dollars", "navy beans"),
                out("foods", "1", "foods in it"),
            ],
            source: "Stigler 1945, Journal of Farm Economics 27:303, from a public copy of the data",
            run: |_| stigler(),
        },
    ]
}

fn blend(a: &Args) -> Answer {
    let (cost, rows, least, most) = (a.list("cost"), a.list("rows"), a.list("least"), a.list("most"));
    let n = cost.len();
    if n == 0 || rows.len() != n * least.len() || least.len() != most.len() {
        return Err(refused(
            "give each row as many figures as there are costs, and a least and a most for each row",
        ));
    }
    let mut p = Problem::minimise();
    let columns: Vec<Col> = cost
        .iter()
        .enumerate()
        .map(|(i, c)| p.column(format!("feed {}", i + 1), *c, 0.0, f64::INFINITY))
        .collect();
    let end = |x: f64, none: f64| if x.abs() >= NONE { none } else { x };
    let placed: Vec<_> = rows
        .chunks(n)
        .enumerate()
        .map(|(r, row)| {
            let terms: Vec<_> = columns.iter().copied().zip(row.iter().copied()).collect();
            p.row(
                format!("row {}", r + 1),
                end(least[r], f64::NEG_INFINITY),
                end(most[r], f64::INFINITY),
                &terms,
            )
        })
        .collect();
    if let Some(sum) = a.maybe_number("sum_to") {
        let terms: Vec<_> = columns.iter().map(|c| (*c, 1.0)).collect();
        p.equal("the whole", sum, &terms);
    }
    let z = a.number("z");
    let variance = if z > 0.0 { a.list("variance") } else { &[] };
    if z > 0.0 && variance.len() != n {
        return Err(refused("give a variance for each feed"));
    }
    let mut rounds = 0;
    let s = loop {
        let s = p.solve().map_err(refused)?;
        if s.status != Status::Optimal {
            return Err(refused("no amounts meet all rows"));
        }
        if z <= 0.0 || rounds >= 40 {
            break s;
        }
        let sd = variance.iter().zip(&s.x).map(|(v, x)| v * x * x).sum::<f64>().sqrt();
        let has: f64 = rows[..n].iter().zip(&s.x).map(|(k, x)| k * x).sum();
        if has - z * sd >= least[0] - 1e-9 * least[0].abs().max(1.0) {
            break s;
        }
        let terms: Vec<_> =
            columns.iter().enumerate().map(|(i, c)| (*c, rows[i] - z * variance[i] * s.x[i] / sd)).collect();
        p.at_least("safety", least[0], &terms);
        rounds += 1;
    };
    let mut w = Working::new("Blend");
    for (i, x) in s.x.iter().enumerate().filter(|(_, x)| **x > 1e-9) {
        w = w.line(Op::Plus, format!("Feed {} x {x:.4}", i + 1), x * cost[i], "", 4);
    }
    Ok(Outcome::new(w.sum("Cost", s.objective, "", 3))
        .with("x", s.x.clone())
        .with("cost", s.objective)
        .with("prices", placed.iter().map(|r| s.price(*r)).collect::<Vec<f64>>())
        .with("rounds", f64::from(rounds)))
}

fn grower(a: &Args) -> Answer {
    let n = need(
        a.number("ne_kcal_kg"),
        a.number("lys_g_mcal"),
        a.number("sttd_p_pct"),
        a.number("phytase_p_pct"),
        (a.number("ca_min_pct"), a.number("ca_max_pct")),
        a.number("na_pct"),
        a.number("premix_share"),
    );
    let all = offers(a);
    let r = match ration::formulate(&n, &all, Safety::default()).map_err(refused)? {
        Formulated::Found(r) => r,
        Formulated::Impossible(c) => {
            return Err(refused(
                c.map_or_else(|| "no ration meets this".to_string(), |c| conflict_words(&c).join(" ")),
            ));
        }
    };
    let mut w = Working::new("Ration");
    for p in &r.parts {
        w = w.line(Op::Plus, format!("{} {:.3} %", p.name, 100.0 * p.share), p.share * p.price_t, "", 2);
    }
    w = w.sum("A tonne", r.cost_t, "", 1);
    let price =
        |what: &str, step: f64| r.binding.iter().find(|b| b.what == what).map_or(0.0, |b| b.per_step / step);
    let mut o = Outcome::new(w)
        .with("cost_t", r.cost_t)
        .with("energy_price", price("net energy", 0.01))
        .with("lysine_price", price("lysine for energy", 0.1));
    for ((key, _, _), share) in OFFERED.iter().zip(SHARES) {
        o = o.with(share, 100.0 * r.parts.iter().find(|p| p.key == *key).map_or(0.0, |p| p.share));
    }
    Ok(o)
}

fn shared(a: &Args) -> Answer {
    let tonnes = a.list("tonnes");
    let lists = ["ne_kcal_kg", "lys_g_mcal", "sttd_p_pct", "ca_min_pct"].map(|k| a.list(k));
    if lists.iter().any(|l| l.len() != tonnes.len()) {
        return Err(refused("give one figure of each list for each ration"));
    }
    let all = offers(a);
    let mut p = Problem::minimise();
    let mut wheat = Vec::new();
    let mut columns_of = Vec::new();
    for (r, t) in tonnes.iter().enumerate() {
        let n =
            need(lists[0][r], lists[1][r], lists[2][r], 0.1, (lists[3][r], lists[3][r] + 0.12), 0.18, 0.005);
        let columns: Vec<Col> = all
            .iter()
            .map(|o| {
                let (low, high) = if o.class == "premix" {
                    (n.premix_share * t, n.premix_share * t)
                } else {
                    (0.0, o.max * t)
                };
                p.column(o.name.clone(), o.price_t, low, high)
            })
            .collect();
        ration::rows(&mut p, &n, &all, &columns, *t, &format!("ration {}", r + 1));
        wheat.push((columns[0], 1.0));
        columns_of.push(columns);
    }
    let stock = p.at_most("wheat in the bin", a.number("wheat_stock_t"), &wheat);
    let s = p.solve().map_err(refused)?;
    if s.status != Status::Optimal {
        return Err(refused("these rations cannot all be made"));
    }
    let saved = -s.price(stock);
    let share = |i: usize| {
        columns_of.iter().zip(tonnes).map(|(c, t)| 100.0 * s.amount(c[i]) / t).collect::<Vec<f64>>()
    };
    let w = Working::new("Worth of own wheat")
        .line(Op::Plus, "Price in the model", all[0].price_t, "", 2)
        .line(Op::Plus, "A tonne more saves", saved, "", 2)
        .sum("Worth", all[0].price_t + saved, "", 2);
    Ok(Outcome::new(w)
        .with("cost", s.objective)
        .with("stock_price", saved)
        .with("worth_t", all[0].price_t + saved)
        .with("wheat_t", wheat.iter().map(|(c, _)| s.amount(*c)).sum::<f64>())
        .with("wheat_pct", share(0))
        .with("barley_pct", share(1))
        .with("pea_pct", share(2)))
}

/// A food of 1945, for a dollar.
#[derive(Debug, Deserialize)]
struct Food {
    food: String,
    kcal_1000: f64,
    protein_g: f64,
    calcium_g: f64,
    iron_mg: f64,
    #[serde(rename = "vitA_kIU")]
    vit_a_kiu: f64,
    thiamine_mg: f64,
    riboflavin_mg: f64,
    niacin_mg: f64,
    #[serde(rename = "vitC_mg")]
    vit_c_mg: f64,
}

fn stigler() -> Answer {
    static FOODS: LazyLock<Vec<Food>> = LazyLock::new(|| {
        table::shipped("feed-stigler", include_str!("../../../../reference/feed-stigler.csv"))
    });
    let mut p = Problem::minimise();
    let columns: Vec<Col> = FOODS.iter().map(|f| p.column(f.food.clone(), 1.0, 0.0, f64::INFINITY)).collect();
    let a_day: [(&str, f64, fn(&Food) -> f64); 9] = [
        ("energy", 3.0, |f| f.kcal_1000),
        ("protein", 70.0, |f| f.protein_g),
        ("calcium", 0.8, |f| f.calcium_g),
        ("iron", 12.0, |f| f.iron_mg),
        ("vitamin A", 5.0, |f| f.vit_a_kiu),
        ("thiamine", 1.8, |f| f.thiamine_mg),
        ("riboflavin", 2.7, |f| f.riboflavin_mg),
        ("niacin", 18.0, |f| f.niacin_mg),
        ("vitamin C", 75.0, |f| f.vit_c_mg),
    ];
    for (name, least, of) in a_day {
        let terms: Vec<_> = columns.iter().copied().zip(FOODS.iter().map(of)).collect();
        p.at_least(name, least, &terms);
    }
    let s = p.solve().map_err(refused)?;
    let spent = |word: &str| {
        FOODS.iter().zip(&s.x).filter(|(f, _)| f.food.starts_with(word)).map(|(_, x)| 365.0 * x).sum::<f64>()
    };
    let mut w = Working::new("The diet of 1945, a year");
    for (f, x) in FOODS.iter().zip(&s.x).filter(|(_, x)| **x > 1e-9) {
        w = w.line(Op::Plus, f.food.clone(), 365.0 * x, "", 3);
    }
    let year = 365.0 * s.objective;
    Ok(Outcome::new(w.sum("A year", year, "", 2))
        .with("year", year)
        .with("flour", spent("Wheat flour"))
        .with("liver", spent("Liver"))
        .with("cabbage", spent("Cabbage"))
        .with("spinach", spent("Spinach"))
        .with("beans", spent("Navy beans"))
        .with("foods", s.x.iter().filter(|x| **x > 1e-9).count() as f64))
}
