//! Fertilizer beside the seed, and urea left on the surface.

use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, named, out, p, refused};
use crate::seed_row::{
    Opener, PhosphateRow, Province, Texture, n_k_limit_lb_ac, seedbed_used, urea_limit_lb_ac,
};
use crate::seed_row_check::{SeedRow, check, limits};
use crate::stand_loss::{Slope, coarse_factor};
use crate::surface_urea::{Risk, risk};

const TEXTURES: [(&str, Texture); 3] =
    [("light", Texture::Light), ("medium", Texture::Medium), ("heavy", Texture::Heavy)];
const PROVINCES: [(&str, Province); 2] =
    [("Manitoba", Province::Manitoba), ("Saskatchewan", Province::Saskatchewan)];

fn texture() -> Input {
    Input::choice("texture", &["light", "medium", "heavy"], "sandy loam, loam to clay loam, or clay")
}
fn spread() -> Input {
    Input::number("spread_in", "in", 0.1, 15.0, "width of the band, measured behind the drill")
}
fn spacing() -> Input {
    Input::number("spacing_in", "in", 3.0, 40.0, "row spacing")
}
fn seedbed() -> Input {
    Input::choice("seedbed", &["moist", "dry"], "moist, or dry with a drying wind").or("moist")
}
fn province() -> Input {
    Input::choice("province", &["Manitoba", "Saskatchewan"], "whose table of phosphate").or("Manitoba")
}
fn lb(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "lb/ac", 0.0, 300.0, about).or(0.0)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.seedbed_used",
            title: "Share of the seedbed used",
            about: "Spread over row spacing, and what a kind of opener usually uses. Dig and measure: air, moisture and trash \
                    change it.",
            inputs: vec![
                spread(),
                spacing(),
                Input::choice(
                    "opener",
                    &["knife", "disc", "hoe", "spoon", "small_sweep", "large_sweep", "discer"],
                    "opener, to compare",
                )
                .or("knife"),
            ],
            outputs: vec![
                out("used_pct", "%", "seedbed used"),
                out("opener_low_pct", "%", "least for that opener"),
                out("opener_high_pct", "%", "most for that opener"),
            ],
            source: "spread / spacing; openers: Top Crop Manager, Establishing a safe rate, Table 1",
            run: used,
        },
        Calculator {
            name: "fertility.seed_row_urea",
            title: "Urea nitrogen beside cereal seed",
            about: "The most, by texture and seedbed used, in good moisture; halved in a dry seedbed. Whole pounds, rounded \
                    down. Oats bear a little more than barley, barley than wheat.",
            inputs: vec![
                texture(),
                spread(),
                spacing(),
                seedbed(),
                Input::choice("double_disc", &["no", "yes"], "a double-disc drill").or("no"),
            ],
            outputs: vec![
                out("n_lb_ac", "lb/ac", "most urea nitrogen"),
                out("used_pct", "%", "seedbed used"),
            ],
            source: "Heard, Manitoba Agriculture, Guidelines for Safely Applying Fertilizer with Seed",
            run: urea,
        },
        Calculator {
            name: "fertility.seed_row_phosphate",
            title: "Phosphate beside the seed",
            about: "The most as monoammonium phosphate, by crop and province.",
            inputs: vec![
                Input::choice(
                    "crop",
                    &["cereals", "canola", "pea", "flax", "faba", "dry_bean", "soybean"],
                    "crop",
                ),
                province(),
            ],
            outputs: vec![out("p2o5_lb_ac", "lb/ac", "most phosphate")],
            source: "Heard, Safe Rates of Seed-Placed Phosphorus, Table 1",
            run: phosphate,
        },
        Calculator {
            name: "fertility.seed_row_potash",
            title: "Nitrogen and potash together beside wheat seed",
            about: "The most of N + K2O by row spacing.",
            inputs: vec![
                spacing(),
                Input::choice("soil", &["medium to fine", "sandy or dry"], "soil").or("medium to fine"),
            ],
            outputs: vec![out("n_k_lb_ac", "lb/ac", "most N + K2O")],
            source: "Kansas State Univ. guidance on starter for wheat",
            run: n_k,
        },
        Calculator {
            name: "fertility.stand_loss",
            title: "Stand lost to fertilizer beside the seed",
            about: "From laboratory emergence: plants lost at a rate, and the rate for a loss you bear. A second opinion. Blends \
                    do not add up. The slope of 28-0-0 is no licence.",
            inputs: vec![
                Input::choice("product", &["urea", "urea_nbpt", "uan28"], "product"),
                Input::choice(
                    "crop",
                    &["spring_wheat", "durum", "barley", "canola", "corn", "soybean", "alfalfa"],
                    "crop",
                )
                .or("spring_wheat"),
                Input::number("product_lb_ac", "lb/ac", 0.0, 500.0, "product beside the seed").or(0.0),
                Input::number("opening_in", "in", 0.2, 12.0, "width of the furrow"),
                spacing(),
                Input::number("tolerated_pct", "%", 0.5, 50.0, "loss you bear").or(10.0),
                Input::number(
                    "moisture_factor",
                    "1",
                    0.2,
                    10.0,
                    "1 in moist fine or medium soil; more when drier",
                )
                .or(1.0),
                Input::choice("coarse", &["no", "dry", "moist"], "coarse soil, and its moisture").or("no"),
            ],
            outputs: vec![
                out("loss_pct", "%", "plants lost at that rate"),
                out("safe_lb_ac", "lb/ac", "product for the loss you bear"),
                out("safe_n_lb_ac", "lb/ac", "nitrogen in it"),
            ],
            source: "Gelderman, South Dakota State Univ. seed-row worksheet; coarse soil: its Extension's advice",
            run: stand,
        },
        Calculator {
            name: "fertility.seed_row_check",
            title: "May this go in the seed row?",
            about: "All limits for wheat at once. A refused rate says the limit, why, and the nearest safe way to place it.",
            inputs: vec![
                texture(),
                spread(),
                spacing(),
                seedbed(),
                Input::choice("double_disc", &["no", "yes"], "a double-disc drill").or("no"),
                province(),
                lb("urea_n_lb_ac", "urea nitrogen"),
                lb("other_n_lb_ac", "nitrogen that comes with phosphate and sulphur"),
                lb("p2o5_lb_ac", "phosphate"),
                lb("k2o_lb_ac", "potash"),
                lb("anhydrous_n_lb_ac", "anhydrous ammonia in the seed row, as nitrogen"),
            ],
            outputs: vec![
                out("verdict", "", "safe or refused"),
                out("refusals", "", "how many limits are passed"),
                out("urea_limit_lb_ac", "lb/ac", "most urea nitrogen"),
                out("p2o5_limit_lb_ac", "lb/ac", "most phosphate"),
                out("k2o_limit_lb_ac", "lb/ac", "most potash beside that nitrogen"),
                out("text", "", "why, and what to do"),
            ],
            source: "Heard, Manitoba Agriculture; Kansas State Univ. for potash; the smallest holds",
            run: whole,
        },
        Calculator {
            name: "fertility.surface_urea",
            title: "Urea left on the surface",
            about: "A class of risk, not a correction of the rate. One soaking rain saves it; a damp surface that dries with \
                    showers loses most, even near freezing. The drill does not bury it well enough.",
            inputs: vec![
                Input::choice("surface", &["dry", "damp"], "surface now"),
                Input::number("largest_rain_mm", "mm", 0.0, 200.0, "largest single rain expected soon"),
                Input::choice("inhibitor", &["no", "yes"], "treated with NBPT").or("no"),
            ],
            outputs: vec![
                out("risk", "", "low, medium or high"),
                out("mean_loss_pct", "%", "mean loss in the trials, with or without the inhibitor"),
                out("inhibitor_saves_pct", "%", "of the loss, by the inhibitor in the trials"),
            ],
            source: "Engel, Montana State Univ., 17 trials at 90 lb N/ac; the classes are a judgement",
            run: surface,
        },
    ]
}

fn used(a: &Args) -> Answer {
    let share = seedbed_used(a.number("spread_in"), a.number("spacing_in"));
    let opener = Opener::of(a.text("opener")).expect("the choice lists the shipped openers");
    let w = Working::new("Share of the seedbed used")
        .line(Op::Start, "Spread", a.number("spread_in"), "in", 2)
        .line(Op::Over, "Row spacing", a.number("spacing_in"), "in", 2)
        .line(Op::Times, "Percent", 100.0, "%", 0)
        .sum("Seedbed used", 100.0 * share, "%", 1)
        .note("Dig behind the drill and measure: air, moisture and trash change it.")
        .source(opener.source.clone());
    Ok(Outcome::new(w)
        .with("used_pct", 100.0 * share)
        .with("opener_low_pct", opener.sbu_low_pct)
        .with("opener_high_pct", opener.sbu_high_pct))
}

fn row(a: &Args) -> SeedRow {
    let lb = |key| a.maybe_number(key).unwrap_or(0.0);
    SeedRow {
        texture: named(&TEXTURES, a.text("texture")),
        spread_in: a.number("spread_in"),
        spacing_in: a.number("spacing_in"),
        double_disc: a.text("double_disc") == "yes",
        dry: a.text("seedbed") == "dry",
        province: Province::Manitoba,
        urea_n_lb_ac: lb("urea_n_lb_ac"),
        other_n_lb_ac: lb("other_n_lb_ac"),
        p2o5_lb_ac: lb("p2o5_lb_ac"),
        k2o_lb_ac: lb("k2o_lb_ac"),
        anhydrous_n_lb_ac: lb("anhydrous_n_lb_ac"),
    }
}

fn urea(a: &Args) -> Answer {
    let r = row(a);
    let limit = limits(&r, &p().seed_row).urea_n_lb_ac;
    let share = seedbed_used(r.spread_in, r.spacing_in);
    let mut w = Working::new("Urea nitrogen beside cereal seed")
        .line(Op::Note, "Seedbed used", 100.0 * share, "%", 1)
        .line(Op::Note, "By the table", urea_limit_lb_ac(r.texture, share), "lb/ac", 0)
        .sum("Most urea nitrogen", limit, "lb/ac", 0)
        .source("Heard, Manitoba Agriculture, Guidelines for Safely Applying Fertilizer with Seed")
        .would_change("a wider spread, or rain");
    w = w.note(if r.dry {
        "Halved, as the seedbed is dry."
    } else {
        "For good to excellent moisture; halve it in warm, drying wind or a dry seedbed."
    });
    if r.double_disc && r.texture == Texture::Light {
        w = w.note("No urea goes through a double-disc drill on light soil.");
    }
    Ok(Outcome::new(w).with("n_lb_ac", limit).with("used_pct", 100.0 * share))
}

fn phosphate(a: &Args) -> Answer {
    let (crop, province) = (a.text("crop"), a.text("province"));
    let limit = PhosphateRow::limit(crop, named(&PROVINCES, province)).ok_or_else(|| {
        refused(format!("the {province} table gives no limit for {crop}; put the phosphate in a band"))
    })?;
    let w = Working::new("Phosphate beside the seed")
        .sum("Most phosphate", limit, "lb/ac", 0)
        .note("As monoammonium phosphate. Manitoba: 1 in spread on 6-7 in rows; Saskatchewan: 1 in knife on 9 in rows.")
        .source("Heard, Safe Rates of Seed-Placed Phosphorus, Table 1");
    Ok(Outcome::new(w).with("p2o5_lb_ac", limit))
}

fn n_k(a: &Args) -> Answer {
    let sandy = a.text("soil") == "sandy or dry";
    let s = &p().seed_row;
    let limit = n_k_limit_lb_ac(a.number("spacing_in"), sandy, s);
    let w = Working::new("Nitrogen and potash together beside wheat seed")
        .line(
            Op::Start,
            "Limit x spacing",
            if sandy { s.n_k_sandy_lb_in } else { s.n_k_medium_lb_in },
            "lb in/ac",
            0,
        )
        .line(Op::Over, "Row spacing", a.number("spacing_in"), "in", 2)
        .sum("Most N + K2O", limit, "lb/ac", 1)
        .note("In contact with the seed. The source allows no urea at all in this form.")
        .source("Kansas State Univ. guidance on starter for wheat, its figures as one constant");
    Ok(Outcome::new(w).with("n_k_lb_ac", limit))
}

fn stand(a: &Args) -> Answer {
    let (product, crop) = (a.text("product"), a.text("crop"));
    let slope = Slope::of(product, crop).ok_or_else(|| {
        refused(format!("no slope was read for {product} with {crop}; keep it out of the seed row"))
    })?;
    let (opening, spacing, moisture) =
        (a.number("opening_in"), a.number("spacing_in"), a.number("moisture_factor"));
    let cut = match a.text("coarse") {
        "dry" => coarse_factor(false, &p().seed_row),
        "moist" => coarse_factor(true, &p().seed_row),
        _ => 1.0,
    };
    let bear = a.number("tolerated_pct");
    let safe = slope.safe_lb_ac(opening, spacing, bear, moisture) * cut;
    let loss = slope.loss_pct(a.number("product_lb_ac") / cut, opening, spacing, moisture);
    let w = Working::new("Stand lost to fertilizer beside the seed")
        .line(Op::Start, "Constant of the worksheet", 30.0, "in", 0)
        .line(Op::Times, "Furrow", opening, "in", 2)
        .line(Op::Times, "Loss you bear", bear, "%", 1)
        .line(Op::Over, "Slope", slope.slope_pct_per_lb_ac, "% per lb/ac", 3)
        .line(Op::Over, "Row spacing", spacing, "in", 2)
        .line(Op::Over, "Moisture and texture", moisture, "", 2)
        .line(Op::Times, "Coarse soil", cut, "", 2)
        .sum("Product for that loss", safe, "lb/ac", 1)
        .note("From a laboratory; a second opinion beside the limits. Losses of a blend do not simply add.")
        .source(slope.source.clone());
    Ok(Outcome::new(w)
        .with("loss_pct", loss)
        .with("safe_lb_ac", safe)
        .with("safe_n_lb_ac", safe * slope.n_pct / 100.0))
}

fn whole(a: &Args) -> Answer {
    let r = SeedRow { province: named(&PROVINCES, a.text("province")), ..row(a) };
    let c = check(&r, &p().seed_row);
    let mut text: Vec<String> = c.refusals.iter().map(|x| x.sentence()).collect();
    text.extend(c.cautions.iter().map(|x| x.sentence().to_string()));
    let mut w = Working::new("May this go in the seed row?")
        .line(Op::Note, "Most urea nitrogen", c.limits.urea_n_lb_ac, "lb/ac", 0)
        .line(Op::Note, "Most phosphate", c.limits.p2o5_lb_ac.unwrap_or(f64::NAN), "lb/ac", 0)
        .line(Op::Note, "Most nitrogen and potash together", c.limits.n_k_lb_ac, "lb/ac", 0)
        .source("Heard, Manitoba Agriculture, Guidelines for Safely Applying Fertilizer with Seed")
        .source("Kansas State Univ. for nitrogen and potash together")
        .would_change("a wider spread, rain, or a band apart from the seed");
    for sentence in &text {
        w = w.note(sentence.clone());
    }
    Ok(Outcome::new(w)
        .with("verdict", if c.is_safe() { "safe" } else { "refused" })
        .with("refusals", c.refusals.len() as f64)
        .with("urea_limit_lb_ac", c.limits.urea_n_lb_ac)
        .with("p2o5_limit_lb_ac", c.limits.p2o5_lb_ac.unwrap_or(f64::NAN))
        .with("k2o_limit_lb_ac", c.limits.k2o_lb_ac)
        .with("text", text.join(" ")))
}

fn surface(a: &Args) -> Answer {
    let s = &p().surface_urea;
    let inhibitor = a.text("inhibitor") == "yes";
    let class = match risk(a.text("surface") == "damp", a.number("largest_rain_mm"), inhibitor, s) {
        Risk::Low => "low",
        Risk::Medium => "medium",
        Risk::High => "high",
    };
    let saves = 100.0 * (1.0 - s.loss_inhibited_pct / s.loss_pct);
    let w = Working::new("Urea left on the surface")
        .line(Op::Note, "Mean loss of urea in the trials", s.loss_pct, "%", 1)
        .line(Op::Note, "with the inhibitor", s.loss_inhibited_pct, "%", 1)
        .note(format!("Risk {class}. The trials lost 1 to 44 %; 8 to 15 % was common."))
        .note("A band two inches deep is best; the drill going over it afterwards does not bury it well enough.")
        .source("Engel, Montana State Univ., urea volatilization results and lessons; the classes are a judgement");
    Ok(Outcome::new(w)
        .with("risk", class)
        .with("mean_loss_pct", if inhibitor { s.loss_inhibited_pct } else { s.loss_pct })
        .with("inhibitor_saves_pct", saves))
}
