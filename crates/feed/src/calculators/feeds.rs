//! Feeds: what they hold, diets by hand, toxins.

use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out, p, refused};
use crate::hand;
use crate::ingredient;
use crate::nutrient::{Composition, Nutrient};
use crate::own_grain::{self, FEED_OVER_WHEAT_FACTOR, Tested};
use crate::toxin;

fn pct(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "%", 0.0, 100.0, about)
}

/// Every offered ingredient as an input in percent of the diet, none by default.
fn by_ingredient() -> Vec<Input> {
    ingredient::offered().map(|i| pct(&i.key, &i.name).or(0.0)).collect()
}

const DIET_OUT: [(&str, &str, Nutrient); 12] = [
    ("ne_kcal_kg", "kcal/kg", Nutrient::Ne),
    ("me_kcal_kg", "kcal/kg", Nutrient::Me),
    ("protein_pct", "%", Nutrient::Protein),
    ("lys_pct", "%", Nutrient::Lys),
    ("lys_total_pct", "%", Nutrient::LysTotal),
    ("ca_pct", "%", Nutrient::Ca),
    ("p_pct", "%", Nutrient::P),
    ("sttd_p_pct", "%", Nutrient::SttdP),
    ("na_pct", "%", Nutrient::Na),
    ("met_pct", "%", Nutrient::Met),
    ("thr_pct", "%", Nutrient::Thr),
    ("trp_pct", "%", Nutrient::Trp),
];

const RATIO_OUT: [(&str, Nutrient); 7] = [
    ("met_of_lys", Nutrient::Met),
    ("metcys_of_lys", Nutrient::MetCys),
    ("thr_of_lys", Nutrient::Thr),
    ("trp_of_lys", Nutrient::Trp),
    ("ile_of_lys", Nutrient::Ile),
    ("leu_of_lys", Nutrient::Leu),
    ("val_of_lys", Nutrient::Val),
];

pub(super) fn calculators() -> Vec<Calculator> {
    let mut diet_in = by_ingredient();
    diet_in.push(
        Input::number("other_ne_kcal_kg", "kcal/kg", 0.0, 8000.0, "net energy of what else is in it").or(0.0),
    );
    diet_in.push(
        Input::number("other_lys_pct", "%", 0.0, 80.0, "digestible lysine of what else is in it").or(0.0),
    );
    diet_in.push(pct("other_pct", "what else is in it, such as hulls").or(0.0));
    let mut diet_out: Vec<_> = DIET_OUT.iter().map(|(k, u, n)| out(k, u, n.words())).collect();
    diet_out.push(out("lys_g_mj", "g/MJ", "digestible lysine for net energy"));
    diet_out.extend(RATIO_OUT.iter().map(|(k, n)| out(k, "%", n.words())));
    vec![
        Calculator {
            name: "feed.diet",
            title: "What a diet holds",
            about: "Percent of each ingredient in; energy, digestible amino acids and minerals out. Values of the shipped table, as-fed; an own analysis always wins. Percents are used as given, not brought to 100.",
            inputs: diet_in,
            outputs: diet_out,
            source: "NRC 2012 ingredient values, from memory, cross-checked against printed diets; see reference/feed-ingredients.csv",
            run: diet,
        },
        Calculator {
            name: "feed.wheat_amino_acids",
            title: "Wheat amino acids from protein",
            about: "Amino acids of wheat, in all, by a line on protein. Lysine rises more slowly than protein: a protein premium is not lysine. Known from 9.5 to 17.2 % (N x 6.25) and held there.",
            inputs: vec![
                Input::number("protein_pct", "%", 5.0, 25.0, "protein, as-fed"),
                Input::choice(
                    "factor",
                    &["6.25", "5.83"],
                    "nitrogen times what: feed labels 6.25, cereal chemists 5.83 or 5.7",
                )
                .or("6.25"),
            ],
            outputs: vec![
                out("cp625_pct", "%", "protein as N x 6.25"),
                out("lys", "%", "lysine"),
                out("met", "%", "methionine"),
                out("thr", "%", "threonine"),
                out("val", "%", "valine"),
                out("ile", "%", "isoleucine"),
                out("leu", "%", "leucine"),
                out("his", "%", "histidine"),
                out("trp", "%", "tryptophan, scaled from the table wheat"),
            ],
            source: "least squares on Ravindran et al. 1998, 2005 (three protein levels); tryptophan scaled from NRC 2012",
            run: wheat_amino_acids,
        },
        Calculator {
            name: "feed.own_grain",
            title: "What my own grain holds",
            about: "A lot's energy and digestible amino acids from its tests. Moisture weakens everything; light (under 644 kg/m3) or sprouted wheat loses energy; protein moves the amino acids.",
            inputs: vec![
                Input::choice("grain", &["wheat", "barley", "oats", "peas", "corn"], "grain").or("wheat"),
                Input::number("protein_pct", "%", 5.0, 35.0, "protein, as-fed, N x 6.25").optional(),
                Input::number("moisture_pct", "% wb", 5.0, 30.0, "moisture").optional(),
                Input::number("test_weight_kg_m3", "kg/m3", 300.0, 900.0, "test weight; 60 lb/bu is 772")
                    .optional(),
                Input::number("sprouted_pct", "%", 0.0, 100.0, "sprouted kernels").optional(),
            ],
            outputs: vec![
                out("ne_kcal_kg", "kcal/kg", "net energy"),
                out("protein_pct", "%", "protein"),
                out("lys_pct", "%", "digestible lysine"),
                out("thr_pct", "%", "digestible threonine"),
                out("sttd_p_pct", "%", "digestible phosphorus"),
                out("lys_of_protein_pct", "%", "digestible lysine in the protein"),
            ],
            source: "NRC 2012 values; amino acid line on Ravindran et al.; review of wheat for swine for test weight and sprouting",
            run: own,
        },
        Calculator {
            name: "feed.square",
            title: "Two feeds to a target",
            about: "The square: how much of each of two feeds gives a wanted content, with a fixed share of something else if there is one. The target must lie between the two.",
            inputs: vec![
                Input::number("target", "%", 0.0, 100.0, "content wanted in the whole"),
                Input::number("a", "%", 0.0, 100.0, "content of the first feed"),
                Input::number("b", "%", 0.0, 100.0, "content of the second feed"),
                pct("fixed_pct", "share of the diet that is fixed").or(0.0),
                Input::number("fixed_holds", "%", 0.0, 100.0, "content of what is fixed").or(0.0),
            ],
            outputs: vec![out("a_pct", "%", "of the first feed"), out("b_pct", "%", "of the second feed")],
            source: "arithmetic; Pearson's square",
            run: |a| {
                let fixed = a.number("fixed_pct") / 100.0;
                let (x, y) = hand::square(
                    a.number("target"),
                    a.number("a"),
                    a.number("b"),
                    fixed,
                    a.number("fixed_holds"),
                )
                .map_err(refused)?;
                let w = Working::new("The square")
                    .line(Op::Note, "Wanted", a.number("target"), "%", 2)
                    .line(Op::Start, "First feed", 100.0 * x, "%", 2)
                    .line(Op::Plus, "Second feed", 100.0 * y, "%", 2)
                    .line(Op::Plus, "Fixed", 100.0 * fixed, "%", 2)
                    .sum("Diet", 100.0, "%", 2);
                Ok(Outcome::new(w).with("a_pct", 100.0 * x).with("b_pct", 100.0 * y))
            },
        },
        Calculator {
            name: "feed.don_share",
            title: "How much of a lot with DON",
            about: "The largest share of a suspect lot in a diet, and what a given share comes to. Use an upper bound for the lot: toxin sits in hot spots. Binders are no cure for DON.",
            inputs: vec![
                Input::number("lot_ppm", "ppm", 0.0, 100.0, "DON of the lot, its upper bound"),
                Input::number("base_ppm", "ppm", 0.0, 20.0, "DON of the rest of the diet").or(0.0),
                Input::number("limit_ppm", "ppm", 0.01, 20.0, "most in the whole diet").or(1.0),
                Input::number("share", "1", 0.0, 1.0, "a share to try").or(0.0),
            ],
            outputs: vec![
                out("share_max", "1", "largest share"),
                out("diet_ppm", "ppm", "diet at the share tried"),
            ],
            source: "mass balance; Canadian guideline of 1 ppm for pigs (ontario.ca)",
            run: |a| {
                let (lot, base) = (a.number("lot_ppm"), a.number("base_ppm"));
                let x = toxin::share_max(lot, base, a.number("limit_ppm"));
                let ppm = a.number("share") * lot + (1.0 - a.number("share")) * base;
                let w = Working::new("Share of the lot")
                    .line(Op::Note, "Limit less the rest", a.number("limit_ppm") - base, "ppm", 3)
                    .line(Op::Note, "Lot less the rest", lot - base, "ppm", 3)
                    .sum("Largest share", 100.0 * x, "%", 1);
                Ok(Outcome::new(w).with("share_max", x).with("diet_ppm", ppm))
            },
        },
        Calculator {
            name: "feed.don_bound",
            title: "Upper bound on a lot's DON",
            about: "From several results: mean and a one-sided 90 % margin. From one: a third more. From none: taken at the pigs' own limit.",
            inputs: vec![Input::list("results_ppm", "ppm", 0.0, 100.0, "results of sub-samples")],
            outputs: vec![out("bound_ppm", "ppm", "upper bound"), out("mean_ppm", "ppm", "mean")],
            source: "Student's t; 1.3 for a single sample is our judgement",
            run: |a| {
                let r = a.list("results_ppm");
                let bound = toxin::upper_bound(p(), r);
                let mean = r.iter().sum::<f64>() / r.len() as f64;
                let w = Working::new("Upper bound")
                    .line(Op::Note, "Mean", mean, "ppm", 3)
                    .sum("Taken", bound, "ppm", 3);
                Ok(Outcome::new(w).with("bound_ppm", bound).with("mean_ppm", mean))
            },
        },
        Calculator {
            name: "feed.don_effect",
            title: "What DON does to pigs",
            about: "Percent of gain and intake for DON in the diet: the line over 59 published means, and the line of the class above 1 ppm. A week at 3 ppm cut intake by 26 to 32 % and gain by 40 to 60 %, far beyond both; finishers at 1 to 5 ppm fell behind for four weeks and then matched.",
            inputs: vec![
                Input::number("diet_ppm", "ppm", 0.0, 15.0, "DON of the diet"),
                Input::choice("pigs", &["nursery", "finishing"], "which pigs").or("finishing"),
            ],
            outputs: vec![
                out("gain_pct", "%", "change of gain, all pigs"),
                out("intake_pct", "%", "change of intake, all pigs"),
                out("class_gain_pct", "%", "change of gain above 1 ppm, by class"),
                out("class_intake_pct", "%", "change of intake above 1 ppm, by class"),
            ],
            source: "Kim et al. 2021 Toxins 13:360; review of wheat for swine (abstract); Serviento et al. 2018; Wellington et al. 2020",
            run: |a| {
                let e = toxin::don_effect(p(), a.number("diet_ppm"), a.text("pigs") == "nursery");
                let w = Working::new("DON").line(Op::Note, "Gain", e.gain_pct, "%", 2).line(
                    Op::Note,
                    "Intake",
                    e.intake_pct,
                    "%",
                    2,
                );
                Ok(Outcome::new(w)
                    .with("gain_pct", e.gain_pct)
                    .with("intake_pct", e.intake_pct)
                    .with("class_gain_pct", e.class_gain_pct)
                    .with("class_intake_pct", e.class_intake_pct))
            },
        },
        Calculator {
            name: "feed.to_dry",
            title: "A result brought to dry matter",
            about: "A content as-fed over the dry matter in it: labs report both ways and they differ several times over in wet feed.",
            inputs: vec![
                Input::number("as_fed", "ppm or %", 0.0, 1e6, "result as-fed"),
                Input::number("dm_pct", "%", 1.0, 100.0, "dry matter"),
            ],
            outputs: vec![out("dry", "ppm or %", "on dry matter")],
            source: "arithmetic; example on ontario.ca/page/mycotoxin-levels-and-interpretation",
            run: |a| {
                let dry = a.number("as_fed") / (a.number("dm_pct") / 100.0);
                let w = Working::new("On dry matter")
                    .line(Op::Start, "As-fed", a.number("as_fed"), "", 3)
                    .line(Op::Over, "Dry matter", a.number("dm_pct") / 100.0, "", 3)
                    .sum("Dry", dry, "", 3);
                Ok(Outcome::new(w).with("dry", dry))
            },
        },
        Calculator {
            name: "feed.phytase",
            title: "Phosphorus digested at a dose of phytase",
            about: "One product's dose curve (apparent digestibility). Release is product- and dose-specific: the label's figure goes into a ration.",
            inputs: vec![Input::number("dose", "units/kg", 0.0, 4000.0, "phytase")],
            outputs: vec![out("digested_pct", "%", "of the phosphorus in the diet")],
            source: "exponential fitted to PMC6541801 Table 3",
            run: |a| {
                let d = hand::phytase_digested_pct(a.number("dose"));
                let w = Working::new("Phytase")
                    .line(Op::Note, "Dose", a.number("dose"), "units/kg", 0)
                    .sum("Digested", d, "%", 1);
                Ok(Outcome::new(w).with("digested_pct", d))
            },
        },
        Calculator {
            name: "feed.two_nutrient_worth",
            title: "Worth of grain by energy and lysine",
            about: "Prices of net energy and digestible lysine from corn and soybean meal, and what a tonne of another cereal is worth by them. Only for cereals: it overvalues peas.",
            inputs: vec![
                Input::number("corn_t", "a tonne", 1.0, 5000.0, "price of corn"),
                Input::number("meal_t", "a tonne", 1.0, 9000.0, "price of dehulled soybean meal"),
                Input::number("ne_kcal_kg", "kcal/kg", 500.0, 8000.0, "net energy of the grain"),
                Input::number("lys_pct", "%", 0.0, 3.0, "digestible lysine of the grain"),
            ],
            outputs: vec![
                out("energy_mcal", "a Mcal", "price of net energy"),
                out("lysine_kg", "a kg", "price of digestible lysine"),
                out("worth_t", "a tonne", "worth of the grain"),
            ],
            source: "two equations in two unknowns; NRC 2012 values of corn and dehulled soybean meal",
            run: |a| {
                let (e, l) = hand::two_nutrients(a.number("corn_t"), a.number("meal_t"));
                let v = hand::worth_t(
                    a.number("corn_t"),
                    a.number("meal_t"),
                    a.number("ne_kcal_kg"),
                    a.number("lys_pct"),
                );
                let w = Working::new("Worth of a tonne")
                    .line(Op::Plus, "Energy", a.number("ne_kcal_kg") * e, "", 2)
                    .line(Op::Plus, "Lysine", 10.0 * a.number("lys_pct") * l, "", 2)
                    .sum("Worth", v, "", 2);
                Ok(Outcome::new(w).with("energy_mcal", e).with("lysine_kg", l).with("worth_t", v))
            },
        },
    ]
}

fn diet(a: &Args) -> Answer {
    let mut parts: Vec<(f64, Composition)> =
        ingredient::offered().map(|i| (a.number(&i.key) / 100.0, i.holds)).collect();
    let other = Composition::default()
        .with(Nutrient::Ne, a.number("other_ne_kcal_kg"))
        .with(Nutrient::Lys, a.number("other_lys_pct"));
    parts.push((a.number("other_pct") / 100.0, other));
    let c = Composition::mix(parts.iter().map(|(s, c)| (*s, c)));
    let lys = c.of(Nutrient::Lys);
    let mut w = Working::new("Lysine of the diet");
    for (i, (share, c)) in ingredient::offered().zip(&parts) {
        let given = share * c.of(Nutrient::Lys);
        if given.abs() > 5e-5 {
            w = w.line(Op::Plus, format!("{} {:.2} %", i.name, 100.0 * share), given, "%", 4);
        }
    }
    let given = a.number("other_pct") / 100.0 * a.number("other_lys_pct");
    if given > 5e-5 {
        w = w.line(Op::Plus, "Other", given, "%", 4);
    }
    let mut o = Outcome::new(w.sum("Lysine", lys, "%", 4));
    for (k, _, n) in DIET_OUT {
        o = o.with(k, c.of(n));
    }
    o = o.with("lys_g_mj", 10.0 * lys / (c.of(Nutrient::Ne).max(1.0) * 0.004_184));
    for (k, n) in RATIO_OUT {
        o = o.with(k, 100.0 * c.of(n) / lys.max(1e-9));
    }
    Ok(o)
}

fn wheat_amino_acids(a: &Args) -> Answer {
    let k = if a.text("factor") == "5.83" { FEED_OVER_WHEAT_FACTOR } else { 1.0 };
    let protein = a.number("protein_pct") * k;
    let get = |n| own_grain::wheat_amino_acid_pct(n, protein).unwrap_or(f64::NAN);
    let w = Working::new("Wheat amino acids")
        .line(Op::Start, "Protein given", a.number("protein_pct"), "%", 2)
        .line(Op::Times, "To N x 6.25", k, "", 4)
        .sum("Protein N x 6.25", protein, "%", 2)
        .note(format!("Lysine = 0.095 + 0.02156 x protein = {:.3} %", get(Nutrient::Lys)));
    let mut o = Outcome::new(w).with("cp625_pct", protein);
    for (key, n) in [
        ("lys", Nutrient::Lys),
        ("met", Nutrient::Met),
        ("thr", Nutrient::Thr),
        ("val", Nutrient::Val),
        ("ile", Nutrient::Ile),
        ("leu", Nutrient::Leu),
        ("his", Nutrient::His),
        ("trp", Nutrient::Trp),
    ] {
        o = o.with(key, get(n));
    }
    Ok(o)
}

fn own(a: &Args) -> Answer {
    let like =
        own_grain::like_crop(a.text("grain")).ok_or_else(|| refused("that grain is not in the table"))?;
    let t = Tested {
        protein_pct: a.maybe_number("protein_pct"),
        moisture_pct: a.maybe_number("moisture_pct"),
        test_weight_kg_m3: a.maybe_number("test_weight_kg_m3"),
        sprouted_pct: a.maybe_number("sprouted_pct"),
    };
    let (c, said) = own_grain::holds(p(), like, &t);
    let mut w = Working::new("Own grain")
        .line(Op::Note, "Net energy of the table", like.holds.of(Nutrient::Ne), "kcal/kg", 0)
        .line(Op::Note, "Net energy", c.of(Nutrient::Ne), "kcal/kg", 0)
        .line(Op::Note, "Digestible lysine", c.of(Nutrient::Lys), "%", 3);
    for s in said {
        w = w.note(s);
    }
    Ok(Outcome::new(w)
        .with("ne_kcal_kg", c.of(Nutrient::Ne))
        .with("protein_pct", c.of(Nutrient::Protein))
        .with("lys_pct", c.of(Nutrient::Lys))
        .with("thr_pct", c.of(Nutrient::Thr))
        .with("sttd_p_pct", c.of(Nutrient::SttdP))
        .with("lys_of_protein_pct", 100.0 * c.of(Nutrient::Lys) / c.of(Nutrient::Protein).max(1e-9)))
}
