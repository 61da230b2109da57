//! The mill: mixing, scales, flushing, grinding, bedding, and what a field became.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{out, p, refused};
use crate::{became, mixer, particle};

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "feed.mixer_test",
            title: "Is the mixer mixing",
            about: "Spread of one tracer over samples of one batch. Ten samples; salt, sodium, manganese or zinc, since protein is a poor tracer: a mixer that passes on protein can fail on salt.",
            inputs: vec![Input::list("samples", "any one unit", 0.0, 1e9, "results, one a sample")],
            outputs: vec![
                out("mean", "as given", "mean"),
                out("cv_pct", "%", "coefficient of variation, n - 1"),
                out("verdict", "", "what to make of it"),
            ],
            source: "extension mixer test procedures; n - 1 confirmed on a printed example",
            run: |a| {
                let u = mixer::uniformity(p(), a.list("samples"))
                    .ok_or_else(|| refused("give at least two samples, not all of them nothing"))?;
                let w = Working::new("Mixer test")
                    .line(Op::Start, "Standard deviation", u.sd, "", 4)
                    .line(Op::Over, "Mean", u.mean, "", 4)
                    .line(Op::Times, "Percent", 100.0, "", 0)
                    .sum("Variation", u.cv_pct, "%", 1);
                Ok(Outcome::new(w)
                    .with("mean", u.mean)
                    .with("cv_pct", u.cv_pct)
                    .with("verdict", u.verdict.words()))
            },
        },
        Calculator {
            name: "feed.scale_steps",
            title: "Can the scale weigh it",
            about: "An item under 20 graduations of its scale is mixed with a carrier first or weighed on a finer scale: half a graduation would be more than 2.5 % of it.",
            inputs: vec![
                Input::number("item_kg", "kg", 0.0001, 1e5, "item"),
                Input::number("graduation_kg", "kg", 0.0001, 100.0, "graduation of the scale"),
            ],
            outputs: vec![
                out("steps", "1", "graduations in it"),
                out("set_kg", "kg", "to the nearest graduation"),
                out("action", "", "what to do"),
            ],
            source: "arithmetic; 20 graduations is our judgement",
            run: |a| {
                let (kg, step) = (a.number("item_kg"), a.number("graduation_kg"));
                let action =
                    if mixer::too_few_steps(p(), kg, step) { "premix or finer scale" } else { "weigh it" };
                let w = Working::new("Graduations")
                    .line(Op::Start, "Item", kg, "kg", 4)
                    .line(Op::Over, "Graduation", step, "kg", 4)
                    .sum("Graduations", kg / step, "", 1);
                Ok(Outcome::new(w)
                    .with("steps", kg / step)
                    .with("set_kg", mixer::to_step(kg, step))
                    .with("action", action))
            },
        },
        Calculator {
            name: "feed.flush",
            title: "Flush between rations",
            about: "Ground grain through the mill after a ration the next must not hold. Kept, labelled, for the same ration again.",
            inputs: vec![Input::number("mixer_kg", "kg", 50.0, 20_000.0, "what the mixer holds")],
            outputs: vec![out("flush_kg", "kg", "grain")],
            source: "common feed-mill practice, from memory",
            run: |a| {
                let kg = mixer::flush_kg(p(), a.number("mixer_kg"));
                let w = Working::new("Flush")
                    .line(Op::Note, "Mixer", a.number("mixer_kg"), "kg", 0)
                    .line(Op::Note, "Share", p().flush_share, "", 3)
                    .line(Op::Note, "At least", p().flush_least_kg, "kg", 0)
                    .sum("Flush", kg, "kg", 0);
                Ok(Outcome::new(w).with("flush_kg", kg))
            },
        },
        Calculator {
            name: "feed.grind",
            title: "What grinding finer saves",
            about: "About 1.2 % of feed for each 100 um. Below 500 um ulcers, dust and bridging cost more than is saved: nothing is counted there.",
            inputs: vec![
                Input::number("from_um", "um", 200.0, 2000.0, "mean particle now"),
                Input::number("to_um", "um", 200.0, 2000.0, "mean particle wanted").or(700.0),
                Input::number("feed_t", "t", 0.0, 1e6, "feed a year").or(0.0),
                Input::number("price_t", "a tonne", 0.0, 1e5, "price of feed").or(0.0),
            ],
            outputs: vec![out("saved_pct", "%", "feed saved"), out("money", "a year", "money")],
            source: "Kansas State: each 100 um finer saves about 1.2 % of feed",
            run: |a| {
                let s = mixer::finer_saves(p(), a.number("from_um"), a.number("to_um"));
                let money = s * a.number("feed_t") * a.number("price_t");
                let w = Working::new("Grinding")
                    .line(Op::Start, "Feed", a.number("feed_t"), "t", 0)
                    .line(Op::Times, "Saved", s, "", 4)
                    .line(Op::Times, "Price", a.number("price_t"), "", 2)
                    .sum("Money", money, "", 0);
                Ok(Outcome::new(w).with("saved_pct", 100.0 * s).with("money", money))
            },
        },
        Calculator {
            name: "feed.sieve",
            title: "Size of ground grain",
            about: "Geometric mean and spread by weight from a stack of sieves, coarsest first, and the pan.",
            inputs: vec![
                Input::list("opening_um", "um", 20.0, 8000.0, "openings, coarsest first"),
                Input::list("grams", "g", 0.0, 2000.0, "held back on each"),
                Input::number("pan_g", "g", 0.0, 2000.0, "in the pan").or(0.0),
            ],
            outputs: vec![
                out("mean_um", "um", "geometric mean"),
                out("spread", "1", "geometric standard deviation"),
            ],
            source: "form of ANSI/ASAE S319, from memory",
            run: |a| {
                let (sieves, g) = (a.list("opening_um"), a.list("grams"));
                if sieves.len() != g.len() {
                    return Err(refused("give as many weights as sieves"));
                }
                let stack: Vec<(f64, f64)> = sieves.iter().copied().zip(g.iter().copied()).collect();
                let found = particle::geometric(&stack, a.number("pan_g"))
                    .ok_or_else(|| refused("nothing was sieved"))?;
                let w = Working::new("Ground grain")
                    .line(Op::Note, "Sieved", g.iter().sum::<f64>() + a.number("pan_g"), "g", 1)
                    .line(Op::Note, "Two thirds of it is coarser than", found.mean_um / found.spread, "um", 0)
                    .sum("Mean size", found.mean_um, "um", 0);
                Ok(Outcome::new(w).with("mean_um", found.mean_um).with("spread", found.spread))
            },
        },
        Calculator {
            name: "feed.bedding",
            title: "Straw for bedded pigs",
            about: "For each finished pig where pigs are bedded, and in bales.",
            inputs: vec![
                Input::number("pigs", "pigs", 0.0, 1e6, "pigs finished"),
                Input::number("kg_each", "kg", 0.0, 300.0, "straw for each, in place of 200 lb").optional(),
                Input::number("bale_kg", "kg", 5.0, 1000.0, "a bale").or(453.592_37),
            ],
            outputs: vec![out("straw_kg", "kg", "straw"), out("bales", "bales", "bales")],
            source: "Iowa State: 200 lb a pig, 220 lb all the year round",
            run: |a| {
                let each = a.maybe_number("kg_each").unwrap_or(p().bedding_kg_pig);
                let kg = a.number("pigs") * each;
                let w = Working::new("Straw")
                    .line(Op::Start, "Pigs", a.number("pigs"), "", 0)
                    .line(Op::Times, "Each", each, "kg", 2)
                    .sum("Straw", kg, "kg", 0);
                Ok(Outcome::new(w).with("straw_kg", kg).with("bales", kg / a.number("bale_kg")))
            },
        },
        Calculator {
            name: "feed.became",
            title: "What a field became",
            about: "Wheat as bread and feed as pork, for visitors: white loaves from the sold wheat, and pork from the rest at so much feed for a kilogram of gain.",
            inputs: vec![
                Input::number("sold_kg", "kg", 0.0, 1e9, "wheat sold for flour"),
                Input::number("fed_kg", "kg", 0.0, 1e9, "grain fed to pigs").or(0.0),
                Input::number("feed_per_gain", "1", 1.5, 6.0, "feed for gain").or(2.8),
            ],
            outputs: vec![
                out("loaves", "loaves", "loaves of white bread"),
                out("pork_kg", "kg", "pork"),
                out("kernels", "kernels", "kernels in all"),
            ],
            source: "common practice: 75 % flour, 450 g of flour a loaf, carcass 79 % of live weight",
            run: |a| {
                let loaves = became::loaves(p(), a.number("sold_kg"));
                let pork = became::pork_kg(p(), a.number("fed_kg"), a.number("feed_per_gain"));
                let w = Working::new("Loaves")
                    .line(Op::Start, "Wheat", a.number("sold_kg"), "kg", 0)
                    .line(Op::Times, "Flour", p().flour_share, "", 2)
                    .line(Op::Over, "Flour a loaf", p().flour_per_loaf_kg, "kg", 2)
                    .sum("Loaves", loaves, "", 0);
                Ok(Outcome::new(w)
                    .with("loaves", loaves)
                    .with("pork_kg", pork)
                    .with("kernels", became::kernels(p(), a.number("sold_kg") + a.number("fed_kg"))))
            },
        },
    ]
}
