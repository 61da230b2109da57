//! Straw as calculators.

use stook_measure::units::{bu_ac_to_kg_ha, ft_to_m, ha_to_acre, kg_to_lb, lb_to_kg};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::HarvestParams;
use crate::straw;

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.straw",
            title: "Chop or bale the straw",
            about: "What bales bring over chopping: their worth less baling and the nutrients they carry off. Rain before \
                    baling washes potash back into the ground.",
            inputs: vec![
                Input::number("yield_bu_ac", "bu/ac", 1.0, 300.0, "grain yield"),
                Input::number("bale_worth", "money", 0.0, 500.0, "a bale: sold, or saved on buying").or(40.0),
                Input::number("rain_mm", "mm", 0.0, 500.0, "rain since it was cut").or(0.0),
            ],
            outputs: vec![
                out("straw_lb_ac", "lb/ac", "straw a baler picks up"),
                out("on_ground_lb_ac", "lb/ac", "straw and chaff on the ground"),
                out("bales_ac", "1/ac", "bales"),
                out("nutrients_ac", "money/ac", "nutrients carried off"),
                out("gain_ac", "money/ac", "baling over chopping"),
            ],
            source: "prairie and Illinois extension straw yields and nutrients; prices ours",
            run: chop_or_bale,
        },
        Calculator {
            name: "harvest.nutrient_worth",
            title: "Worth of nutrients",
            about: "Pounds times price, each nutrient by itself.",
            inputs: vec![
                Input::list("lb", "lb", 0.0, 10_000.0, "pounds of each"),
                Input::list("price_lb", "money/lb", 0.0, 100.0, "price of each"),
            ],
            outputs: vec![out("money", "money", "worth")],
            source: "arithmetic",
            run: worth,
        },
        Calculator {
            name: "harvest.bedding",
            title: "Bedding for the winter",
            about: "Bales for pigs finished on straw and goats housed.",
            inputs: vec![
                Input::number("pigs", "1", 0.0, 100_000.0, "pigs finished on straw").or(0.0),
                Input::number("lb_per_pig", "lb", 0.0, 1_000.0, "straw each").or(200.0),
                Input::number("goats", "1", 0.0, 10_000.0, "goats").or(0.0),
                Input::number("goat_days", "d", 0.0, 366.0, "days they are housed").or(180.0),
                Input::number("bale_lb", "lb", 20.0, 3_000.0, "a bale").or(1_200.0),
            ],
            outputs: vec![out("lb", "lb", "straw"), out("bales", "1", "bales")],
            source: "Iowa State hoop barns: 200 lb a pig, 220 all year; goats 0.3 to 0.6 kg a day, from memory",
            run: bedding,
        },
        Calculator {
            name: "harvest.straw_spread",
            title: "Is the straw spread to the full cut",
            about: "How thick it lies where it falls. Twice as thick leaves a strip that is cold and wet in spring: mend the \
                    spreader, or harrow it on a hot dry day.",
            inputs: vec![
                Input::number("cut_ft", "ft", 3.0, 80.0, "width cut"),
                Input::number("spread_ft", "ft", 1.0, 90.0, "width the straw falls on, by tape"),
                Input::number("yield_bu_ac", "bu/ac", 1.0, 300.0, "grain yield").or(50.0),
            ],
            outputs: vec![
                out("times", "1", "as thick as if spread to the full cut"),
                out("strip_lb_ac", "lb/ac", "straw and chaff in the strip"),
                out("bare_ft", "ft", "of each pass left bare"),
            ],
            source: "identity",
            run: spread,
        },
    ]
}

fn chop_or_bale(a: &Args) -> Answer {
    let p = &HarvestParams::shipped().straw;
    let y = bu_ac_to_kg_ha(a.number("yield_bu_ac"), 60.0);
    let s = straw::straw(y, p);
    let b = straw::bale(y, a.number("bale_worth"), a.number("rain_mm"), p);
    let ac = |x: f64| x / ha_to_acre(1.0);
    let w = Working::new("Baling over chopping")
        .line(Op::Note, "Bales", ac(b.bales_ha), "an acre", 2)
        .line(Op::Start, "Worth of the bales", ac(b.worth), "an acre", 2)
        .line(Op::Minus, "Baling, twine, stacking", ac(b.cost), "an acre", 2)
        .line(Op::Minus, "Nutrients carried off", ac(b.nutrients), "an acre", 2)
        .line(Op::Plus, "Chopping saved", ac(b.chopping), "an acre", 2)
        .sum("Gain", ac(b.gain()), "an acre", 2)
        .would_change("your price of a bale; potash on a sandy field; residue the soil needs");
    Ok(Outcome::new(w)
        .with("straw_lb_ac", ac(kg_to_lb(s.baled_kg_ha)))
        .with("on_ground_lb_ac", ac(kg_to_lb(s.on_ground_kg_ha)))
        .with("bales_ac", ac(b.bales_ha))
        .with("nutrients_ac", ac(b.nutrients))
        .with("gain_ac", ac(b.gain())))
}

fn worth(a: &Args) -> Answer {
    let (lb, price) = (a.list("lb"), a.list("price_lb"));
    if lb.len() != price.len() {
        return Err(stook_measure::CalcError::Together("give a price for each nutrient".into()));
    }
    let mut w = Working::new("Worth of nutrients");
    for (i, (x, q)) in lb.iter().zip(price).enumerate() {
        w = w.line(if i == 0 { Op::Start } else { Op::Plus }, format!("{x} lb at {q}"), x * q, "", 2);
    }
    let money: f64 = lb.iter().zip(price).map(|(x, q)| x * q).sum();
    Ok(Outcome::new(w.sum("Worth", money, "", 2)).with("money", money))
}

fn bedding(a: &Args) -> Answer {
    let p = &HarvestParams::shipped().straw;
    let pigs = a.number("pigs") * a.number("lb_per_pig");
    let goats = kg_to_lb(a.number("goats") * a.number("goat_days") * p.bedding_goat_kg_d);
    let lb = pigs + goats;
    let bales = lb / a.number("bale_lb");
    let w = Working::new("Bedding")
        .line(Op::Start, "Pigs", pigs, "lb", 0)
        .line(Op::Plus, "Goats", goats, "lb", 0)
        .line(Op::Over, "A bale", a.number("bale_lb"), "lb", 0)
        .sum("Bales", bales, "", 1);
    debug_assert!((lb_to_kg(kg_to_lb(1.0)) - 1.0).abs() < 1e-12);
    Ok(Outcome::new(w).with("lb", lb).with("bales", bales))
}

fn spread(a: &Args) -> Answer {
    let p = &HarvestParams::shipped().straw;
    let (cut, fell) = (a.number("cut_ft"), a.number("spread_ft"));
    let times = straw::thickness(ft_to_m(cut), ft_to_m(fell));
    let even = kg_to_lb(straw::straw(bu_ac_to_kg_ha(a.number("yield_bu_ac"), 60.0), p).on_ground_kg_ha)
        / ha_to_acre(1.0);
    let w = Working::new("Straw where it falls")
        .line(Op::Start, "Straw and chaff, spread to the full cut", even, "lb/ac", 0)
        .line(Op::Times, "Cut over spread", times, "", 4)
        .sum("In the strip", even * times, "lb/ac", 0);
    Ok(Outcome::new(w)
        .with("times", times)
        .with("strip_lb_ac", even * times)
        .with("bare_ft", (cut - fell).max(0.0)))
}
