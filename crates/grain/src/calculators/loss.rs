//! Grain left in the field.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{output, refuse};
use crate::loss::{
    FeedLoss, concentration, count, g_m2_to_bu_ac, grams_per_ft2, kernels_per_ft2, pan_bu_ac, percent,
};

fn lb_per_bu() -> Input {
    Input::number("lb_per_bu", "lb", 10.0, 80.0, "pounds in a bushel").or(60.0)
}

fn cut() -> Input {
    Input::number("cut_width", "ft", 1.0, 200.0, "width cut, in any unit")
}

fn discharge() -> Input {
    Input::number("discharge_width", "ft", 0.1, 200.0, "width the straw or chaff falls on, in the same unit")
}

const SAFE: &str = "Drop the pan from the machine; nobody behind a running combine.";

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.loss_marks",
            title: "What a bushel an acre looks like on the ground",
            about: "Grams and kernels on a square foot that make a bushel an acre. Small seeds like canola are weighed, not counted.",
            inputs: vec![
                lb_per_bu(),
                Input::number("thousand_kernel_g", "g", 1.0, 500.0, "weight of a thousand kernels").or(34.0),
            ],
            outputs: vec![
                output("grams_ft2", "g/ft2", "grams on a square foot"),
                output("kernels_ft2", "1/ft2", "kernels on a square foot"),
            ],
            source: "exact factors",
            run: |a| {
                let lb = a.number("lb_per_bu");
                let g = grams_per_ft2(lb);
                let k = kernels_per_ft2(lb, a.number("thousand_kernel_g"));
                let w = Working::new("A bushel an acre")
                    .line(Op::Start, "Grams on a square foot", g, "g", 4)
                    .line(Op::Over, "One kernel", a.number("thousand_kernel_g") / 1000.0, "g", 5)
                    .sum("Kernels on a square foot", k, "", 1);
                Ok(Outcome::new(w).with("grams_ft2", g).with("kernels_ft2", k))
            },
        },
        Calculator {
            name: "grain.concentration",
            title: "How much a combine concentrates its loss",
            about: "Cut width over discharge width. Only what came through the machine is concentrated.",
            inputs: vec![cut(), discharge()],
            outputs: vec![output("factor", "1", "concentration")],
            source: "prairie machinery institute guidance; Canola Council 2017",
            run: |a| {
                let c = concentration(a.number("cut_width"), a.number("discharge_width"));
                let w = Working::new("Concentration")
                    .line(Op::Start, "Cut", a.number("cut_width"), "", 2)
                    .line(Op::Over, "Discharge", a.number("discharge_width"), "", 2)
                    .sum("Concentration", c, "", 2);
                Ok(Outcome::new(w).with("factor", c))
            },
        },
        Calculator {
            name: "grain.pan_loss",
            title: "Combine loss from a drop pan",
            about: "Machine loss from the grain in a pan under the discharge, chopper and spreader off, straw dropped.",
            inputs: vec![
                Input::number("grams", "g", 0.0, 5_000.0, "clean grain in the pan"),
                Input::number("pan_ft2", "ft2", 0.1, 50.0, "area of the pan").or(1.0),
                cut(),
                discharge(),
                lb_per_bu(),
                Input::number("harvested_bu_ac", "bu/ac", 0.1, 500.0, "harvested").optional(),
            ],
            outputs: vec![
                output("loss_bu_ac", "bu/ac", "machine loss"),
                output("loss_pct", "%", "of all the crop; not known without the yield"),
            ],
            source: "mass balance; Hofman; Canola Council",
            run: |a| {
                let c = concentration(a.number("cut_width"), a.number("discharge_width"));
                let loss = pan_bu_ac(a.number("grams"), a.number("pan_ft2"), c, a.number("lb_per_bu"));
                let pct = a.maybe_number("harvested_bu_ac").map_or(f64::NAN, |h| percent(loss, h));
                let w = Working::new("Loss by the pan")
                    .line(Op::Start, "Grain in the pan", a.number("grams"), "g", 1)
                    .line(Op::Over, "Area of the pan", a.number("pan_ft2"), "ft2", 2)
                    .line(Op::Over, "Concentration", c, "", 3)
                    .line(Op::Over, "A bushel an acre", grams_per_ft2(a.number("lb_per_bu")), "g/ft2", 4)
                    .sum("Machine loss", loss, "bu/ac", 2)
                    .note(SAFE);
                Ok(Outcome::new(w).with("loss_bu_ac", loss).with("loss_pct", pct))
            },
        },
        Calculator {
            name: "grain.count_loss",
            title: "Harvest loss by counting kernels",
            about: "Kernels on a square foot behind the machine, and on cut ground its discharge has not reached. More than half the loss is usually shatter and header.",
            inputs: vec![
                Input::number("behind_ft2", "1/ft2", 0.0, 5_000.0, "kernels behind the machine"),
                Input::number(
                    "field_ft2",
                    "1/ft2",
                    0.0,
                    5_000.0,
                    "kernels on cut ground clear of the discharge",
                ),
                cut(),
                discharge(),
                Input::number(
                    "kernels_per_bu_ac",
                    "1/ft2",
                    0.5,
                    1_000.0,
                    "kernels on a square foot for a bushel an acre",
                )
                .or(20.0),
                Input::number("harvested_bu_ac", "bu/ac", 0.1, 500.0, "harvested"),
                Input::number("price_bu", "a bushel", 0.0, 100.0, "price").or(0.0),
            ],
            outputs: vec![
                output("machine_bu_ac", "bu/ac", "through the machine"),
                output("shatter_header_bu_ac", "bu/ac", "shatter and header"),
                output("total_bu_ac", "bu/ac", "in all"),
                output("total_pct", "%", "of all the crop"),
                output("money_ac", "an acre", "worth"),
            ],
            source: "Hofman, Minnesota small grains page, 2003",
            run: |a| {
                let c = concentration(a.number("cut_width"), a.number("discharge_width"));
                let l = count(
                    a.number("behind_ft2"),
                    a.number("field_ft2"),
                    c,
                    a.number("kernels_per_bu_ac"),
                    a.number("harvested_bu_ac"),
                );
                let w = Working::new("Loss by counting")
                    .line(Op::Note, "Concentration", c, "", 2)
                    .line(Op::Start, "Through the machine", l.machine_bu_ac, "bu/ac", 2)
                    .line(Op::Plus, "Shatter and header", l.shatter_header_bu_ac, "bu/ac", 2)
                    .sum("In all", l.total_bu_ac, "bu/ac", 2)
                    .note(SAFE)
                    .source("Hofman 2003");
                Ok(Outcome::new(w)
                    .with("machine_bu_ac", l.machine_bu_ac)
                    .with("shatter_header_bu_ac", l.shatter_header_bu_ac)
                    .with("total_bu_ac", l.total_bu_ac)
                    .with("total_pct", l.total_pct)
                    .with("money_ac", l.total_bu_ac * a.number("price_bu")))
            },
        },
        Calculator {
            name: "grain.loss_percent",
            title: "Loss as a percent of the crop",
            about: "Of all that stood, not of what was harvested.",
            inputs: vec![
                Input::number("loss", "", 0.0, 1e5, "loss"),
                Input::number("harvested", "", 0.0, 1e5, "harvested, in the same unit"),
            ],
            outputs: vec![output("pct", "%", "loss")],
            source: "Hofman, step 8",
            run: |a| {
                let p = percent(a.number("loss"), a.number("harvested"));
                let w = Working::new("Loss")
                    .line(Op::Start, "Lost", a.number("loss"), "", 3)
                    .line(
                        Op::Over,
                        "All that stood",
                        (a.number("loss") + a.number("harvested")) / 100.0,
                        "hundredths",
                        4,
                    )
                    .sum("Loss", p, "%", 2);
                Ok(Outcome::new(w).with("pct", p))
            },
        },
        Calculator {
            name: "grain.loss_from_g_m2",
            title: "Bushels an acre from grams on a square metre",
            about: "Turns a loss on a square metre into bushels an acre.",
            inputs: vec![Input::number("g_m2", "g/m2", 0.0, 5_000.0, "grams on a square metre"), lb_per_bu()],
            outputs: vec![output("bu_ac", "bu/ac", "bushels an acre")],
            source: "exact factors",
            run: |a| {
                let b = g_m2_to_bu_ac(a.number("g_m2"), a.number("lb_per_bu"));
                let w = Working::new("Bushels an acre")
                    .line(Op::Note, "On a square metre", a.number("g_m2"), "g", 2)
                    .sum("Loss", b, "bu/ac", 3);
                Ok(Outcome::new(w).with("bu_ac", b))
            },
        },
        Calculator {
            name: "grain.loss_by_feed",
            title: "Loss at another feed rate",
            about: "A power law through the farm's own pan tests: two or more at different feed rates. No exponent is published to use without them.",
            inputs: vec![
                Input::list("feed", "t/h", 0.01, 1e4, "feed rates of the tests, in one unit"),
                Input::list("loss", "%", 1e-6, 100.0, "losses measured"),
                Input::number("at", "t/h", 0.01, 1e4, "feed rate asked about"),
            ],
            outputs: vec![
                output("loss", "%", "loss at that feed rate"),
                output("exponent", "1", "how steeply it rises"),
            ],
            source: "form of Nyborg 1967",
            run: |a| {
                let (f, l) = (a.list("feed"), a.list("loss"));
                if f.len() != l.len() {
                    return Err(refuse("give a loss for each feed rate"));
                }
                let pans: Vec<(f64, f64)> = f.iter().copied().zip(l.iter().copied()).collect();
                let law = FeedLoss::fit(&pans).ok_or_else(|| {
                    refuse("two tests at different feed rates are needed; with one, go by what it measured")
                })?;
                let w = Working::new("Loss at a feed rate")
                    .line(Op::Note, "Exponent", law.b, "", 3)
                    .sum("Loss", law.at(a.number("at")), "%", 3)
                    .source("form of Nyborg 1967");
                Ok(Outcome::new(w).with("loss", law.at(a.number("at"))).with("exponent", law.b))
            },
        },
    ]
}
