//! Manure: what the crop gets, how much to spread, what a load is worth.

use stook_measure::units::{
    HA_PER_ACRE, KG_PER_LB, KM_PER_MILE, L_PER_IMPERIAL_GALLON, acre_to_ha, kg_ha_to_lb_ac, lb_ac_to_kg_ha,
};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, named, out, p, refused};
use crate::manure::Analysis;
use crate::manure::nitrogen::{Conditions, Method, WholeN, ammonium_kept, available, views_differ_pct};
use crate::manure::rate::{Ask, Binds, covers_ha, rates};
use crate::manure::worth::{Haul, load_worth, loads};
use crate::nutrients::Nutrients;
use crate::safety::MANURE_GAS;
use crate::soil_test::form::{k_to_k2o, p_to_p2o5};

const METHODS: [(&str, Method); 5] = [
    ("injected", Method::Injected),
    ("incorporated", Method::Incorporated),
    ("left on bare soil", Method::LeftBare),
    ("left on residue", Method::LeftOnResidue),
    ("solid, left", Method::SolidLeft),
];
const CONDITIONS: [(&str, Conditions); 5] = [
    ("average", Conditions::Average),
    ("cool wet", Conditions::CoolWet),
    ("cool dry", Conditions::CoolDry),
    ("warm wet", Conditions::WarmWet),
    ("warm dry", Conditions::WarmDry),
];

/// Pounds in 1,000 imperial gallons for a kg in a m3.
fn lb_per_1000_gal(kg_m3: f64) -> f64 {
    kg_m3 * L_PER_IMPERIAL_GALLON / KG_PER_LB
}
/// Thousands of imperial gallons an acre for m3 a hectare.
fn gal_1000_ac(m3_ha: f64) -> f64 {
    m3_ha * HA_PER_ACRE / L_PER_IMPERIAL_GALLON
}

fn method() -> Input {
    Input::choice(
        "method",
        &["injected", "incorporated", "left on bare soil", "left on residue", "solid, left"],
        "how it is put on",
    )
    .or("incorporated")
}
fn days() -> Input {
    Input::number("days", "d", 0.0, 60.0, "days until it is worked in").or(1.0)
}
fn conditions() -> Input {
    Input::choice(
        "conditions",
        &["average", "cool wet", "cool dry", "warm wet", "warm dry"],
        "weather of spreading",
    )
    .or("average")
}
fn part(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "kg/m3", 0.0, 60.0, about)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.manure_kept",
            title: "Ammonium kept by method and days",
            about: "Share of a manure's ammonium that stays in the soil. A liquid left on bare soil soaks in and counts as worked \
                    in within a day. Two cells of the table print the loss; they are put right.",
            inputs: vec![method(), days(), conditions()],
            outputs: vec![out("kept", "1", "share kept")],
            source: "Alberta Nutrient Management Planning Guide 2007, Table 4.3.4 with notes",
            run: kept,
        },
        Calculator {
            name: "fertility.manure_available_n",
            title: "Nitrogen the crop gets from manure",
            about: "A quarter of the organic nitrogen, the ammonium kept and the nitrate, with the later years, beside a second \
                    published view by share of the whole. Fall losses are not counted: no regional figure was read.",
            inputs: vec![
                part("total_n", "total nitrogen (kg/m3, or kg/t for solid)"),
                part("ammonium_n", "ammonium nitrogen in it; ask for it, do not guess"),
                part("nitrate_n", "nitrate nitrogen in it").or(0.0),
                method(),
                days(),
                conditions(),
                Input::choice("composted", &["no", "yes"], "composted").or("no"),
            ],
            outputs: vec![
                out("organic_n_kg_m3", "kg/m3", "organic nitrogen"),
                out("from_organic_kg_m3", "kg/m3", "of it this year"),
                out("available_kg_m3", "kg/m3", "for the crop this year"),
                out("available_lb_1000_imp_gal", "lb/1000 imp gal", "the same"),
                out("year_2_kg_m3", "kg/m3", "the year after"),
                out("year_3_kg_m3", "kg/m3", "the year after that"),
                out("second_view_kg_m3", "kg/m3", "this year, by share of the whole"),
                out("views_differ_pct", "%", "how far the two views are apart"),
            ],
            source: "Alberta Nutrient Management Planning Guide 2007, pp. 162-168; second view: Univ. of Minnesota Extension",
            run: available_n,
        },
        Calculator {
            name: "fertility.manure_rate",
            title: "How much manure, and what binds",
            about: "The rate by nitrogen, by phosphate and by potash; the lowest holds. Phosphate counts whole, nitrogen and potash \
                    as the crop gets them. Set the phosphate limit from the rule for your soil, or leave it out.",
            inputs: vec![
                part("total_n", "total nitrogen"),
                part("ammonium_n", "ammonium nitrogen in it"),
                part("p", "phosphorus, element"),
                part("k", "potassium, element"),
                method(),
                days(),
                conditions(),
                Input::number("n_lb_ac", "lb/ac", 0.0, 500.0, "nitrogen wanted after credits"),
                Input::number("p2o5_max_lb_ac", "lb/ac", 0.0, 1000.0, "most phosphate, all of it counted")
                    .optional(),
                Input::number("k2o_lb_ac", "lb/ac", 0.0, 1000.0, "potash wanted").optional(),
                Input::number("stored_m3", "m3", 0.0, 1e6, "slurry to spread").or(1000.0),
            ],
            outputs: vec![
                out("rate_imp_gal_ac", "imp gal/ac", "rate"),
                out("rate_m3_ha", "m3/ha", "the same"),
                out("by_n_imp_gal_ac", "imp gal/ac", "rate by nitrogen"),
                out("by_p_imp_gal_ac", "imp gal/ac", "rate by phosphate"),
                out("by_k_imp_gal_ac", "imp gal/ac", "rate by potash"),
                out("binds", "", "what sets it"),
                out("n_lb_ac", "lb/ac", "nitrogen the crop gets"),
                out("p2o5_lb_ac", "lb/ac", "phosphate put on, all of it"),
                out("k2o_lb_ac", "lb/ac", "potash the crop gets"),
                out("area_ac", "ac", "land it will cover"),
            ],
            source: "target over available content; Alberta Nutrient Management Planning Guide 2007 for availability",
            run: manure_rate,
        },
        Calculator {
            name: "fertility.manure_worth",
            title: "What a load of manure is worth, and how far it bears hauling",
            about: "Against bought fertilizer. Leave out a nutrient the field has enough of. Hauling cost is your own.",
            inputs: vec![
                Input::number("n_kg_m3", "kg/m3", 0.0, 60.0, "nitrogen the crop gets"),
                Input::number("p_kg_m3", "kg/m3", 0.0, 60.0, "phosphorus, element").or(0.0),
                Input::number("k_kg_m3", "kg/m3", 0.0, 60.0, "potassium, element").or(0.0),
                Input::choice(
                    "count",
                    &["N only", "N and P", "N and K", "N, P and K"],
                    "what the field would be bought",
                )
                .or("N, P and K"),
                Input::number("n_price_lb", "", 0.0, 20.0, "price of a pound of nitrogen").or(0.65),
                Input::number("p2o5_price_lb", "", 0.0, 20.0, "price of a pound of phosphate").or(0.60),
                Input::number("k2o_price_lb", "", 0.0, 20.0, "price of a pound of potash").or(0.40),
                Input::number("load_imp_gal", "imp gal", 100.0, 20_000.0, "a load").or(4000.0),
                Input::number("fixed_per_load", "", 0.0, 10_000.0, "filling and spreading a load").or(25.0),
                Input::number("per_mile", "", 0.0, 1000.0, "a mile out and back").or(6.0),
                Input::number("miles", "mile", 0.0, 200.0, "distance").or(2.0),
                Input::number("volume_imp_gal", "imp gal", 0.0, 1e8, "to haul").or(100_000.0),
            ],
            outputs: vec![
                out("nutrients_per_load", "", "worth of the nutrients"),
                out("hauling_per_load", "", "cost"),
                out("net_per_load", "", "what is left"),
                out("break_even_miles", "mile", "distance at which nothing is left"),
                out("loads", "", "whole loads"),
            ],
            source: "content x price less hauling; P 70 % and K 90 % of use in the first year (Alberta 2007)",
            run: worth,
        },
    ]
}

fn share_kept(a: &Args) -> f64 {
    let method = named(&METHODS, a.text("method"));
    ammonium_kept(method, a.number("days"), named(&CONDITIONS, a.text("conditions")), &p().manure)
}

fn kept(a: &Args) -> Answer {
    let share = share_kept(a);
    let w = Working::new("Ammonium kept by method and days")
        .line(Op::Note, "Days until it is worked in", a.number("days"), "d", 1)
        .sum("Share kept", share, "", 2)
        .note("Between one day and five the share falls in a straight line; after five it counts as left.")
        .source("Alberta Nutrient Management Planning Guide 2007, Table 4.3.4 with notes 1 and 2, two cells put right")
        .would_change("the weather of the day, and the hours until it is worked in");
    Ok(Outcome::new(w).with("kept", share))
}

fn analysis(a: &Args) -> Analysis {
    Analysis {
        total_n: a.number("total_n"),
        ammonium_n: a.number("ammonium_n"),
        nitrate_n: a.maybe_number("nitrate_n").unwrap_or(0.0),
        p: a.maybe_number("p").unwrap_or(0.0),
        k: a.maybe_number("k").unwrap_or(0.0),
        s: 0.0,
    }
}

fn available_n(a: &Args) -> Answer {
    let an = analysis(a);
    let share = share_kept(a);
    let composted = a.text("composted") == "yes";
    let g = available(&an, share, composted, &p().manure).map_err(refused)?;
    let whole = WholeN::for_method(named(&METHODS, a.text("method")), 24.0 * a.number("days"));
    let second = an.total_n * whole.available_pct / 100.0;
    let from_organic = g.year_1.n - share * an.ammonium_n - an.nitrate_n;
    let differ = views_differ_pct(g.year_1.n, second);
    let mut w = Working::new("Nitrogen the crop gets from manure")
        .line(Op::Note, "Organic nitrogen", an.organic_n(), "kg/m3", 3)
        .line(Op::Note, "Ammonium kept", share, "", 3)
        .line(Op::Start, "Freed from the organic part", from_organic, "kg/m3", 3)
        .line(Op::Plus, "Ammonium kept", share * an.ammonium_n, "kg/m3", 3)
        .line(Op::Plus, "Nitrate", an.nitrate_n, "kg/m3", 3)
        .sum("For the crop this year", g.year_1.n, "kg/m3", 3)
        .note(format!(
            "By the other view {second:.2} kg/m3: {} % of the whole ({}).",
            whole.available_pct, whole.name
        ))
        .source("Alberta Nutrient Management Planning Guide 2007, pp. 162-168")
        .source(whole.source.clone())
        .would_change("an analysis of an agitated sample, and how soon it is worked in");
    if differ > p().manure.views_differ_pct {
        w = w.note(format!("The two views are {differ:.0} % apart; believe neither to the pound."));
    }
    Ok(Outcome::new(w)
        .with("organic_n_kg_m3", an.organic_n())
        .with("from_organic_kg_m3", from_organic)
        .with("available_kg_m3", g.year_1.n)
        .with("available_lb_1000_imp_gal", lb_per_1000_gal(g.year_1.n))
        .with("year_2_kg_m3", g.year_2.n)
        .with("year_3_kg_m3", g.year_3.n)
        .with("second_view_kg_m3", second)
        .with("views_differ_pct", differ))
}

fn manure_rate(a: &Args) -> Answer {
    let an = analysis(a);
    let g = available(&an, share_kept(a), false, &p().manure).map_err(refused)?;
    let ask = Ask {
        available: g.year_1,
        whole: an.whole(),
        n_kg_ha: lb_ac_to_kg_ha(a.number("n_lb_ac")),
        p2o5_max_kg_ha: a.maybe_number("p2o5_max_lb_ac").map(lb_ac_to_kg_ha),
        k2o_kg_ha: a.maybe_number("k2o_lb_ac").map(lb_ac_to_kg_ha),
    };
    let r = rates(&ask).map_err(refused)?;
    let gal = |m3_ha: Option<f64>| m3_ha.map_or(f64::NAN, |x| 1000.0 * gal_1000_ac(x));
    let (target, content, binds) = match r.binds {
        Binds::Nitrogen => (ask.n_kg_ha, g.year_1.n, "nitrogen"),
        Binds::Phosphate => (ask.p2o5_max_kg_ha.unwrap_or(0.0), ask.whole.p2o5, "phosphate"),
        Binds::Potash => (ask.k2o_kg_ha.unwrap_or(0.0), g.year_1.k2o, "potash"),
        Binds::Forbidden => (0.0, 1.0, "forbidden"),
    };
    let w = Working::new("How much manure, and what binds")
        .line(Op::Start, format!("Wanted: {binds}"), kg_ha_to_lb_ac(target), "lb/ac", 2)
        .line(Op::Over, "in 1,000 imperial gallons", lb_per_1000_gal(content), "lb", 3)
        .line(Op::Times, "Gallons", 1000.0, "", 0)
        .sum("Rate", gal(Some(r.rate)), "imp gal/ac", 0)
        .note("Phosphate counts whole against a limit; nitrogen and potash count as the crop gets them.")
        .note("Prove the rate by the volume pumped over the area covered.")
        .note(MANURE_GAS)
        .source("target over content; Alberta Nutrient Management Planning Guide 2007 for availability")
        .would_change("the analysis, the limit on phosphate, and how soon it is worked in");
    Ok(Outcome::new(w)
        .with("rate_imp_gal_ac", gal(Some(r.rate)))
        .with("rate_m3_ha", r.rate)
        .with("by_n_imp_gal_ac", gal(r.by_n))
        .with("by_p_imp_gal_ac", gal(r.by_p))
        .with("by_k_imp_gal_ac", gal(r.by_k))
        .with("binds", binds)
        .with("n_lb_ac", kg_ha_to_lb_ac(r.supplied_kg_ha.n))
        .with("p2o5_lb_ac", kg_ha_to_lb_ac(r.applied_kg_ha.p2o5))
        .with("k2o_lb_ac", kg_ha_to_lb_ac(r.supplied_kg_ha.k2o))
        .with(
            "area_ac",
            covers_ha(a.number("stored_m3"), r.rate).map_or(f64::NAN, |ha| ha / acre_to_ha(1.0)),
        ))
}

fn worth(a: &Args) -> Answer {
    let m = &p().manure;
    let count = a.text("count");
    let if_counted = |letter: char, x: f64| if count.contains(letter) { x } else { 0.0 };
    let counted = Nutrients::new(
        a.number("n_kg_m3"),
        if_counted('P', m.phosphorus[0] * p_to_p2o5(a.number("p_kg_m3"))),
        if_counted('K', m.potassium * k_to_k2o(a.number("k_kg_m3"))),
        0.0,
    );
    let price =
        Nutrients::new(a.number("n_price_lb"), a.number("p2o5_price_lb"), a.number("k2o_price_lb"), 0.0)
            .times(1.0 / KG_PER_LB);
    let load_m3 = a.number("load_imp_gal") * L_PER_IMPERIAL_GALLON / 1000.0;
    let per_km = a.number("per_mile") / KM_PER_MILE;
    let haul = Haul { load: load_m3, fixed: a.number("fixed_per_load"), per_km };
    let x = load_worth(counted, price, &haul, a.number("miles") * KM_PER_MILE);
    let w = Working::new("What a load of manure is worth, and how far it bears hauling")
        .line(Op::Start, "Nitrogen", counted.n * price.n * load_m3, "", 2)
        .line(Op::Plus, "Phosphate", counted.p2o5 * price.p2o5 * load_m3, "", 2)
        .line(Op::Plus, "Potash", counted.k2o * price.k2o * load_m3, "", 2)
        .line(Op::Minus, "Filling and spreading", haul.fixed, "", 2)
        .line(Op::Minus, "Hauling", a.number("per_mile") * a.number("miles"), "", 2)
        .sum("Left of a load", x.net, "", 2)
        .note("A nutrient the field has enough of is worth nothing there: leave it out.")
        .source("content x price less hauling; P 70 % and K 90 % of use in the first year (Alberta 2007)")
        .would_change("the price of fertilizer, the analysis, and the distance");
    Ok(Outcome::new(w)
        .with("nutrients_per_load", x.nutrients)
        .with("hauling_per_load", x.hauling)
        .with("net_per_load", x.net)
        .with("break_even_miles", x.break_even_km.map_or(f64::NAN, |km| km / KM_PER_MILE))
        .with("loads", loads(a.number("volume_imp_gal"), a.number("load_imp_gal"))))
}
