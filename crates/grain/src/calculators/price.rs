//! Price arithmetic.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{output, refuse};
use crate::drier::water_per_wet_kg;
use crate::price::{
    Scale, basis, break_even_discount, break_even_price, break_even_yield, cost_from_margin, interest_carry,
};

fn price(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "a unit", 0.0, 1e5, about)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.premium_scale",
            title: "Premium from a buyer's scale",
            about: "The last step at or below the tested value, unless the buyer pays between steps; further steps above the end where the buyer pays on. Scales differ several times over: enter the buyer's own.",
            inputs: vec![
                Input::number("tested", "%", 0.0, 1e4, "tested value"),
                Input::list("at", "%", 0.0, 1e4, "steps of the scale, rising"),
                Input::list("premium", "a unit", -1e4, 1e4, "premium at each"),
                Input::number("step_above", "%", 0.001, 100.0, "size of further steps above the end")
                    .optional(),
                Input::number("each_above", "a unit", -1e4, 1e4, "premium for each of them").or(0.0),
                Input::choice("between", &["steps", "pays between"], "whether the buyer pays between steps")
                    .or("steps"),
            ],
            outputs: vec![output("premium", "a unit", "premium")],
            source: "the buyer's scale",
            run: |a| {
                let (at, premium) = (a.list("at"), a.list("premium"));
                if at.len() != premium.len() || at.is_empty() {
                    return Err(refuse("give a premium for each step of the scale"));
                }
                if at.windows(2).any(|w| w[1] <= w[0]) {
                    return Err(refuse("the steps of the scale must rise"));
                }
                let scale = Scale {
                    points: at.iter().copied().zip(premium.iter().copied()).collect(),
                    above: a.maybe_number("step_above").map(|s| (s, a.number("each_above"))),
                    interpolates: a.text("between") == "pays between",
                };
                let p = scale.at(a.number("tested"));
                let w = Working::new("Premium")
                    .line(Op::Note, "Tested", a.number("tested"), "", 2)
                    .sum("Premium", p, "", 3);
                Ok(Outcome::new(w).with("premium", p))
            },
        },
        Calculator {
            name: "grain.basis",
            title: "Basis",
            about: "Cash less futures in one currency. A prairie bid against a United States future hides the exchange in the basis unless it is given.",
            inputs: vec![
                price("cash", "cash price"),
                price("futures", "futures price"),
                Input::number("fx", "1", 0.01, 100.0, "the cash currency for one of the futures'").or(1.0),
            ],
            outputs: vec![output("basis", "a unit", "basis")],
            source: "Alberta Agriculture, Wheat basis levels",
            run: |a| {
                let b = basis(a.number("cash"), a.number("futures"), a.number("fx"));
                let w = Working::new("Basis")
                    .line(Op::Start, "Cash", a.number("cash"), "", 2)
                    .line(Op::Minus, "Futures", a.number("futures") * a.number("fx"), "", 2)
                    .sum("Basis", b, "", 2);
                Ok(Outcome::new(w).with("basis", b))
            },
        },
        Calculator {
            name: "grain.break_even",
            title: "Price or yield that pays the cost",
            about: "Give a cost, and a yield or a price or both. Cash cost, whole cost and this year's avoidable cost are three different answers.",
            inputs: vec![
                Input::number("cost", "an area", 0.0, 1e6, "cost for each area"),
                Input::number("yield_", "a unit an area", 0.001, 1e5, "yield").optional(),
                Input::number("price", "a unit", 0.001, 1e5, "price").optional(),
            ],
            outputs: vec![
                output("price", "a unit", "price that pays it; not known without a yield"),
                output("yield_", "a unit an area", "yield that pays it; not known without a price"),
            ],
            source: "arithmetic",
            run: |a| {
                let cost = a.number("cost");
                let (y, p) = (a.maybe_number("yield_"), a.maybe_number("price"));
                if y.is_none() && p.is_none() {
                    return Err(refuse("give a yield, a price, or both"));
                }
                let price = y.map_or(f64::NAN, |y| break_even_price(cost, y));
                let yield_ = p.map_or(f64::NAN, |p| break_even_yield(cost, p));
                let mut w = Working::new("Break-even").line(Op::Note, "Cost", cost, "", 2);
                if y.is_some() {
                    w = w.line(Op::Note, "Price that pays it", price, "", 3);
                }
                if p.is_some() {
                    w = w.line(Op::Note, "Yield that pays it", yield_, "", 2);
                }
                Ok(Outcome::new(w).with("price", price).with("yield_", yield_))
            },
        },
        Calculator {
            name: "grain.cost_from_margin",
            title: "Cost that a margin implies",
            about: "Yield times price less margin.",
            inputs: vec![
                Input::number("yield_", "a unit an area", 0.0, 1e5, "yield"),
                price("price", "price"),
                Input::number("margin", "an area", -1e6, 1e6, "margin"),
            ],
            outputs: vec![output("cost", "an area", "cost")],
            source: "arithmetic",
            run: |a| {
                let c = cost_from_margin(a.number("yield_"), a.number("price"), a.number("margin"));
                let w = Working::new("Cost")
                    .line(Op::Start, "Yield", a.number("yield_"), "", 2)
                    .line(Op::Times, "Price", a.number("price"), "", 3)
                    .line(Op::Minus, "Margin", a.number("margin"), "", 2)
                    .sum("Cost", c, "", 2);
                Ok(Outcome::new(w).with("cost", c))
            },
        },
        Calculator {
            name: "grain.interest_carry",
            title: "Interest on grain held",
            about: "Money tied up in grain for some months, for each unit. Facility cost already sunk does not count in a one-year choice.",
            inputs: vec![
                price("price", "price"),
                Input::number("rate_pct", "%", 0.0, 60.0, "interest a year"),
                Input::number("months", "months", 0.0, 60.0, "months held"),
            ],
            outputs: vec![output("carry", "a unit", "interest")],
            source: "arithmetic",
            run: |a| {
                let c = interest_carry(a.number("price"), a.number("rate_pct"), a.number("months"));
                let w = Working::new("Interest")
                    .line(Op::Start, "Price", a.number("price"), "", 2)
                    .line(Op::Times, "Interest a year", a.number("rate_pct") / 100.0, "", 4)
                    .line(Op::Times, "Years", a.number("months") / 12.0, "", 4)
                    .sum("Interest", c, "", 3);
                Ok(Outcome::new(w).with("carry", c))
            },
        },
        Calculator {
            name: "grain.dry_or_discount",
            title: "Dry it or take the discount",
            about: "The discount for each wet unit at which drying just pays: the value of the water lost and the cost of drying. Dry when the buyer's discount is larger.",
            inputs: vec![
                price("price", "price for straight grain"),
                Input::number("from_pct", "% wb", 5.0, 40.0, "moisture now"),
                Input::number("to_pct", "% wb", 5.0, 30.0, "moisture for straight").or(14.5),
                Input::number(
                    "cost_per_point",
                    "a wet unit",
                    0.0,
                    1e3,
                    "drying cost for each point and wet unit",
                ),
                price("offered", "the buyer's discount for each wet unit").optional(),
            ],
            outputs: vec![
                output("discount", "a wet unit", "discount at which drying just pays"),
                output("better", "", "dry, or sell as it is; empty without an offer"),
            ],
            source: "mass balance and arithmetic",
            run: |a| {
                let (p, m1, m2, c) =
                    (a.number("price"), a.number("from_pct"), a.number("to_pct"), a.number("cost_per_point"));
                if m1 <= m2 {
                    return Err(refuse("the grain is already dry enough to sell straight"));
                }
                let d = break_even_discount(p, m1, m2, c);
                let better = match a.maybe_number("offered") {
                    None => "",
                    Some(offered) if offered > d => "dry",
                    Some(_) => "sell as it is",
                };
                let w = Working::new("Discount at which drying just pays")
                    .line(Op::Start, "Value of the water lost", p * water_per_wet_kg(m1, m2), "", 4)
                    .line(Op::Plus, "Drying", c * (m1 - m2), "", 4)
                    .sum("Discount", d, "", 4)
                    .would_change("room and days: a drier or bin that is full makes drying dearer");
                Ok(Outcome::new(w).with("discount", d).with("better", better))
            },
        },
    ]
}
