//! What machines cost.

use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::HarvestParams;
use crate::costs::{self, Owned};

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.remaining_value",
            title: "What a machine is still worth",
            about: "Share of the list price of a like new machine. Not for the first year.",
            inputs: vec![
                Input::choice("machine", &Owned::KEYS, "machine").or("combine"),
                Input::number("years", "a", 1.0, 40.0, "age"),
                Input::number("hours_per_year", "h/a", 0.0, 2000.0, "hours a year"),
            ],
            outputs: vec![out("remaining_pct", "%", "of the list price of a like new machine")],
            source: "Iowa State AgDM A3-29; coefficients from memory, its tractor example reproduced",
            run: remaining,
        },
        Calculator {
            name: "harvest.accumulated_repair",
            title: "Repairs so far",
            about: "Share of list price spent on repairs by a number of hours. A year's repairs are the difference of \
                    two.",
            inputs: vec![
                Input::number("rf1", "1", 0.001, 2.0, "first repair factor").or(0.04),
                Input::number("rf2", "1", 0.5, 3.0, "second repair factor").or(2.1),
                Input::number("hours", "h", 0.0, 30_000.0, "hours worked"),
            ],
            outputs: vec![out("repair_pct", "%", "of list price")],
            source: "ASAE D497 table 3, from memory: combine 0.04, 2.1; drill 0.32, 2.1; windrower 0.06, 2.0",
            run: repair,
        },
        Calculator {
            name: "harvest.capital_recovery",
            title: "What owning costs a year",
            about: "Depreciation and interest as equal sums a year. Sunk once bought: leave it out of a choice made \
                    this season.",
            inputs: vec![
                Input::number("purchase", "money", 0.0, 1e8, "price paid").or(1.0),
                Input::number("salvage", "money", 0.0, 1e8, "worth at the end").or(0.0),
                Input::number("rate_pct", "%", 0.0, 30.0, "interest a year"),
                Input::number("years", "a", 1.0, 50.0, "years kept"),
            ],
            outputs: vec![out("per_year", "money", "a year"), out("factor", "1", "capital recovery factor")],
            source: "annuity formula; form of Iowa State AgDM A3-29",
            run: recovery,
        },
        Calculator {
            name: "harvest.fuel",
            title: "Fuel an hour",
            about: "Diesel by PTO horsepower, lubricant on top. For a combine, litres a tonne from your own fills is \
                    better.",
            inputs: vec![
                Input::number("pto_hp", "hp", 10.0, 1000.0, "PTO horsepower"),
                Input::number("price_gal", "money/gal", 0.0, 30.0, "price of a US gallon").or(3.6),
            ],
            outputs: vec![
                out("gal_h", "gal/h", "US gallons an hour"),
                out("money_h", "money/h", "with lubricant"),
            ],
            source: "ASAE 2000 equations restated in a published machinery cost sheet",
            run: fuel,
        },
    ]
}

fn remaining(a: &Args) -> Answer {
    let machine = Owned::from_key(a.text("machine")).unwrap_or(Owned::Combine);
    let p = &HarvestParams::shipped().costs;
    let (years, hours) = (a.number("years"), a.number("hours_per_year"));
    let [c1, c2, c3] = p.remaining[machine as usize];
    let pct = costs::remaining_value_pct(machine, years, hours, p);
    let w = Working::new("What a machine is still worth")
        .line(Op::Note, "Root of its years", years.sqrt(), "", 3)
        .line(Op::Note, "Root of its hours a year", hours.sqrt(), "", 3)
        .line(Op::Note, "Start", c1, "", 4)
        .line(Op::Note, "Less for years", c2 * years.sqrt(), "", 4)
        .line(Op::Note, "Less for hours", c3 * hours.sqrt(), "", 4)
        .sum("What is left, squared", pct, "% of list", 1);
    Ok(Outcome::new(w).with("remaining_pct", pct))
}

fn repair(a: &Args) -> Answer {
    let pct = costs::accumulated_repair_pct(a.number("rf1"), a.number("rf2"), a.number("hours"));
    let w = Working::new("Repairs so far")
        .line(Op::Note, "Thousands of hours", a.number("hours") / 1000.0, "", 3)
        .line(Op::Note, "Raised to", a.number("rf2"), "", 2)
        .line(Op::Note, "Times", a.number("rf1"), "", 3)
        .sum("Repairs", pct, "% of list", 1);
    Ok(Outcome::new(w).with("repair_pct", pct))
}

fn recovery(a: &Args) -> Answer {
    let (price, salvage, rate, years) =
        (a.number("purchase"), a.number("salvage"), a.number("rate_pct"), a.number("years"));
    let factor = costs::capital_recovery_factor(rate, years);
    let money = costs::capital_recovery(price, salvage, rate, years);
    let w = Working::new("What owning costs a year")
        .line(Op::Start, "Price less worth at the end", price - salvage, "", 2)
        .line(Op::Times, "Capital recovery factor", factor, "", 8)
        .line(Op::Plus, "Interest on the worth at the end", salvage * rate / 100.0, "", 2)
        .sum("A year", money, "", 0);
    Ok(Outcome::new(w).with("per_year", money).with("factor", factor))
}

fn fuel(a: &Args) -> Answer {
    let p = &HarvestParams::shipped().costs;
    let (gal, money) = costs::fuel_per_h(a.number("pto_hp"), a.number("price_gal"), p);
    let w = Working::new("Fuel an hour")
        .line(Op::Start, "PTO horsepower", a.number("pto_hp"), "hp", 1)
        .line(Op::Times, "Gallons an hour for each", p.fuel_gal_h_hp, "gal/h", 4)
        .line(Op::Times, "Price", a.number("price_gal"), "", 3)
        .line(Op::Times, "With lubricant", 1.0 + p.lubricant_share, "", 2)
        .sum("An hour", money, "", 2);
    Ok(Outcome::new(w).with("gal_h", gal).with("money_h", money))
}
