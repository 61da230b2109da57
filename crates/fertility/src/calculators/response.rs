//! The rate that pays best on a known curve, with a certain and an uncertain yield.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, named, out, refused};
use crate::response::expected::{self, expected_profit, profit_band};
use crate::response::optimum::{cost_of_being_off, flat_top, profit};
use crate::response::premium::{Premium, best_on_grid};
use crate::response::{Ceiling, Curve, Follow, expected_optimum, optimum};

const FOLLOW: [(&str, Follow); 3] = [
    ("need per yield", Follow::NeedPerYield),
    ("same need", Follow::SameNeed),
    ("same approach", Follow::SameApproach),
];

fn grain_price() -> Input {
    Input::number("grain_price", "", 1e-6, 1e6, "price of a unit of yield")
}
fn n_price() -> Input {
    Input::number("n_price", "", 1e-9, 1e6, "price of a unit of nitrogen")
}
fn tried_to() -> Input {
    Input::number("tried_to", "", 1.0, 1e5, "highest rate that was tried or that you would put on")
}
fn off_by() -> Input {
    Input::number("off_by", "", 0.0, 1e4, "by how much to be off").or(20.0)
}
fn within() -> Input {
    Input::number("within", "", 0.0, 1e5, "money an area that the flat top may cost").or(1.0)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.optimum",
            title: "Nitrogen rate that pays best",
            about: "On a curve you know: the rate at which the next unit just pays, what being off costs, and the flat top. \
                    Names no rate when the curve opens upward or profit still rises at the highest rate tried.",
            inputs: vec![
                Input::choice(
                    "shape",
                    &["quadratic", "quadratic plateau", "mitscherlich", "linear plateau"],
                    "shape of the curve",
                ),
                Input::number("a", "", -1e5, 1e6, "yield without (quadratic); highest yield (the others)"),
                Input::number(
                    "b",
                    "",
                    -1e4,
                    1e4,
                    "first slope (quadratic); bend (quadratic plateau); effect of a unit (mitscherlich); slope (linear plateau)",
                ),
                Input::number(
                    "c",
                    "",
                    -1e4,
                    1e5,
                    "bend (quadratic); start of the plateau; what the soil gives (mitscherlich)",
                ),
                grain_price(),
                n_price(),
                tried_to(),
                off_by(),
                within(),
            ],
            outputs: vec![
                out("rate", "", "rate that pays best"),
                out("yield", "", "yield there"),
                out("profit", "", "money over nitrogen there, an area"),
                out("cost_below", "", "cost of being short by that much"),
                out("cost_above", "", "cost of being over by that much"),
                out("flat_from", "", "lowest rate of the flat top"),
                out("flat_to", "", "highest rate of the flat top"),
                out("verdict", "", "found, or why not"),
            ],
            source: "slope of the curve equals the price ratio",
            run: one_curve,
        },
        Calculator {
            name: "fertility.expected_optimum",
            title: "Nitrogen rate that pays best when the yield is not known",
            about: "Over a list of yield ceilings, each as likely: the rate of highest expected profit with its 10-50-90 band, \
                    beside the rate for the mean ceiling. The curve is known at one ceiling and follows the others as chosen.",
            inputs: vec![
                Input::number("plateau", "", 1.0, 1e6, "ceiling at which the curve is known"),
                Input::number("bend", "", 1e-9, 1e4, "bend of the quadratic-plateau there"),
                Input::number("from", "", 1.0, 1e5, "rate at which its plateau begins"),
                Input::number("soil", "", 0.0, 1e5, "nitrogen from the soil, in units of rate").or(0.0),
                Input::list("ceilings", "", 0.1, 1e6, "yield ceilings, each as likely"),
                Input::choice(
                    "follow",
                    &["need per yield", "same need", "same approach"],
                    "how the curve follows its ceiling",
                )
                .or("need per yield"),
                grain_price(),
                n_price(),
                tried_to(),
                off_by(),
                within(),
            ],
            outputs: vec![
                out("rate", "", "rate of highest expected profit"),
                out("textbook_rate", "", "rate for a certain yield at the mean ceiling"),
                out("profit", "", "expected money over nitrogen, an area"),
                out("profit_p10", "", "one year in ten is below"),
                out("profit_p50", "", "the middle"),
                out("profit_p90", "", "one year in ten is above"),
                out("cost_below", "", "expected cost of being short by that much"),
                out("cost_above", "", "expected cost of being over by that much"),
                out("flat_from", "", "lowest rate of the flat top"),
                out("flat_to", "", "highest rate of the flat top"),
            ],
            source: "expected slope equals the price ratio; how the curve follows its ceiling is a choice",
            run: many_ceilings,
        },
        Calculator {
            name: "fertility.protein_premium",
            title: "Nitrogen rate where protein is paid for",
            about: "Quadratic yield, protein in a straight line with nitrogen, a premium a point. Every rate on a grid is tried, \
                    as premium schedules are steps.",
            inputs: vec![
                Input::number("b0", "", 0.0, 1e6, "yield without"),
                Input::number("b1", "", -1e4, 1e4, "first slope"),
                Input::number("b2", "", -1e4, 1e4, "bend"),
                Input::number("protein_0", "%", 5.0, 20.0, "protein without nitrogen"),
                Input::number("protein_per_unit", "%", -1.0, 1.0, "protein for a unit of nitrogen"),
                grain_price(),
                n_price(),
                Input::number("base_pct", "%", 5.0, 20.0, "protein of that price"),
                Input::number(
                    "per_point",
                    "",
                    0.0,
                    1e5,
                    "added for a point above, and taken off for one below",
                ),
                Input::number("cap_pct", "%", 5.0, 30.0, "protein above which nothing more is paid").or(30.0),
                Input::number("step_pct", "%", 0.0, 2.0, "step of the schedule; 0 pays for every fraction")
                    .or(0.0),
                tried_to(),
                Input::number("grid", "", 0.01, 100.0, "step of the rates").or(1.0),
            ],
            outputs: vec![
                out("rate", "", "rate that pays best"),
                out("rate_without_premium", "", "rate without a premium"),
                out("protein_pct", "%", "protein there"),
                out("profit", "", "money over nitrogen, an area"),
            ],
            source: "profit on a grid; direction: Baker, Young, Huggins and Pan 2004, Agronomy Journal 96:116",
            run: with_premium,
        },
    ]
}

fn one_curve(a: &Args) -> Answer {
    let (x, y, z) = (a.number("a"), a.number("b"), a.number("c"));
    let curve = match a.text("shape") {
        "quadratic" => Curve::Quadratic { b0: x, b1: y, b2: z },
        "quadratic plateau" => Curve::QuadraticPlateau { plateau: x, bend: y, from: z },
        "mitscherlich" => Curve::Mitscherlich { ceiling: x, c: y, soil: z },
        _ => Curve::LinearPlateau { plateau: x, slope: y, from: z },
    };
    let (grain, n, to) = (a.number("grain_price"), a.number("n_price"), a.number("tried_to"));
    let w = Working::new("Nitrogen rate that pays best")
        .line(Op::Note, "Price ratio", n / grain, "", 6)
        .source("slope of the curve equals the price ratio")
        .would_change("the price of nitrogen over the price of grain");
    let nan = f64::NAN;
    let (w, numbers, verdict) = match optimum(&curve, n / grain, to) {
        Err(e) => (w.note(e.to_string()), [nan; 7], e.to_string()),
        Ok(found) => {
            let at = |rate: f64| profit(&curve, rate, grain, n);
            let (below, above) = cost_of_being_off(at, found.rate, a.number("off_by"));
            let (from, until) = flat_top(at, found.rate, a.number("within"), to);
            let w = w
                .line(Op::Note, "Rate", found.rate, "", 1)
                .line(Op::Start, "Grain", grain * found.at_yield, "", 3)
                .line(Op::Minus, "Nitrogen", n * found.rate, "", 3)
                .sum("Money over nitrogen", at(found.rate), "", 3);
            let verdict = if found.does_not_pay { "does not pay" } else { "found" };
            (w, [found.rate, found.at_yield, at(found.rate), below, above, from, until], verdict.to_string())
        }
    };
    let [rate, at_yield, money, below, above, from, until] = numbers;
    Ok(Outcome::new(w)
        .with("rate", rate)
        .with("yield", at_yield)
        .with("profit", money)
        .with("cost_below", below)
        .with("cost_above", above)
        .with("flat_from", from)
        .with("flat_to", until)
        .with("verdict", verdict))
}

fn many_ceilings(a: &Args) -> Answer {
    let base = Curve::QuadraticPlateau {
        plateau: a.number("plateau"),
        bend: a.number("bend"),
        from: a.number("from"),
    };
    let (grain, n, to) = (a.number("grain_price"), a.number("n_price"), a.number("tried_to"));
    let (soil, follow) = (a.number("soil"), named(&FOLLOW, a.text("follow")));
    let yields = a.list("ceilings");
    let curves = expected::curves(&base, soil, &Ceiling::equal(yields), follow).map_err(refused)?;
    let e = expected_optimum(&curves, grain, n, to).map_err(refused)?;
    let mean = yields.iter().sum::<f64>() / yields.len() as f64;
    let textbook = expected::at_ceiling(&base, soil, mean, follow)
        .ok_or_else(|| CalcError::Together("the mean of the ceilings must be above zero".into()))
        .and_then(|c| optimum(&c, n / grain, to).map_err(refused))?;
    let at = |rate: f64| expected_profit(&curves, rate, grain, n);
    let (below, above) = cost_of_being_off(at, e.rate, a.number("off_by"));
    let (from, until) = flat_top(at, e.rate, a.number("within"), to);
    let band = profit_band(&curves, e.rate, grain, n).ok_or_else(|| refused("give at least one ceiling"))?;
    let w = Working::new("Nitrogen rate that pays best when the yield is not known")
        .line(Op::Note, "Ceilings", yields.len() as f64, "", 0)
        .line(Op::Note, "Mean ceiling", mean, "", 2)
        .line(Op::Note, "Rate for a certain yield at the mean", textbook.rate, "", 1)
        .line(Op::Note, "Rate of highest expected profit", e.rate, "", 1)
        .line(Op::Start, "Grain, expected", grain * e.yield_, "", 2)
        .line(Op::Minus, "Nitrogen", n * e.rate, "", 2)
        .sum("Expected money over nitrogen", e.profit, "", 2)
        .note(format!(
            "Within {} of the best anything from {from:.0} to {until:.0} will do.",
            a.number("within")
        ))
        .source("expected slope equals the price ratio; how the curve follows its ceiling is a choice")
        .would_change("how wide the ceilings spread, and how the need follows the yield");
    Ok(Outcome::new(w)
        .with("rate", e.rate)
        .with("textbook_rate", textbook.rate)
        .with("profit", e.profit)
        .with("profit_p10", band.p10)
        .with("profit_p50", band.p50)
        .with("profit_p90", band.p90)
        .with("cost_below", below)
        .with("cost_above", above)
        .with("flat_from", from)
        .with("flat_to", until))
}

fn with_premium(a: &Args) -> Answer {
    let curve = Curve::Quadratic { b0: a.number("b0"), b1: a.number("b1"), b2: a.number("b2") };
    let point = a.number("per_point");
    let premium = Premium {
        base_pct: a.number("base_pct"),
        up_per_point: point,
        down_per_point: point,
        cap_pct: a.number("cap_pct"),
        step_pct: a.number("step_pct"),
    };
    let (grain, n, to) = (a.number("grain_price"), a.number("n_price"), a.number("tried_to"));
    let protein = |rate: f64| a.number("protein_0") + a.number("protein_per_unit") * rate;
    let price = |rate: f64| grain + premium.at(protein(rate));
    let (rate, money) = best_on_grid(|r| price(r) * curve.at(r) - n * r, to, a.number("grid"));
    let (plain, _) = best_on_grid(|r| profit(&curve, r, grain, n), to, a.number("grid"));
    let w = Working::new("Nitrogen rate where protein is paid for")
        .line(Op::Note, "Rate", rate, "", 2)
        .line(Op::Note, "Protein", protein(rate), "%", 2)
        .line(Op::Start, "Yield", curve.at(rate), "", 4)
        .line(Op::Times, "Price with its premium", price(rate), "", 4)
        .line(Op::Minus, "Nitrogen", n * rate, "", 2)
        .sum("Money over nitrogen", money, "", 2)
        .note(format!("Without a premium the best rate is {plain:.1}."))
        .source("profit on a grid; direction: Baker, Young, Huggins and Pan 2004, Agronomy Journal 96:116");
    Ok(Outcome::new(w)
        .with("rate", rate)
        .with("rate_without_premium", plain)
        .with("protein_pct", protein(rate))
        .with("profit", money))
}
