//! Heated-air drying and shrink.

use stook_measure::units::{KG_PER_LB, L_PER_US_GALLON};
use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{grain_input, grain_of, moisture_input, output, refuse, shipped, yes_no};
use crate::drier::{
    DrierParams, USE_KEYS, Use, dried_kg, lewis_barley_per_h, lewis_wheat_per_h, max_air_c, milling_damage_c,
    page_corn, thompson_corn_hours, throughput_kg_h, water_per_wet_kg,
};
use crate::grain::Properties;

fn from() -> Input {
    Input::number("from_pct", "% wb", 5.0, 45.0, "moisture before")
}
fn to() -> Input {
    Input::number("to_pct", "% wb", 4.0, 30.0, "moisture after")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.shrink",
            title: "Weight lost by drying",
            about: "Water by keeping dry matter, and handling as a percent of the wet weight.",
            inputs: vec![
                Input::number("wet", "kg", 0.0, 1e9, "wet weight, in any unit").or(1000.0),
                from(),
                to(),
                Input::number("handling_pct", "%", 0.0, 5.0, "lost in handling, of the wet weight").or(0.0),
            ],
            outputs: vec![
                output("dried", "kg", "weight after, in the same unit"),
                output("water_pct", "%", "water lost, of the wet weight"),
                output("per_point_pct", "%", "water lost for each point"),
                output("total_pct", "%", "all lost, of the wet weight"),
            ],
            source: "dry matter balance",
            run: |a| {
                let (wet, m1, m2) = (a.number("wet"), a.number("from_pct"), a.number("to_pct"));
                let share = water_per_wet_kg(m1, m2);
                let handling = a.number("handling_pct");
                let dried = dried_kg(wet, m1, m2, handling);
                let w = Working::new("Weight after drying")
                    .line(Op::Start, "Wet", wet, "kg", 1)
                    .line(Op::Minus, "Water", wet * share, "kg", 1)
                    .line(Op::Minus, "Handling", wet * handling / 100.0, "kg", 1)
                    .sum("Dried", dried, "kg", 1)
                    .source("dry matter balance");
                Ok(Outcome::new(w)
                    .with("dried", dried)
                    .with("water_pct", 100.0 * share)
                    .with("per_point_pct", 100.0 / (100.0 - m2))
                    .with("total_pct", 100.0 * share + handling))
            },
        },
        Calculator {
            name: "grain.drier_fuel",
            title: "Fuel and money for heated-air drying",
            about: "Heat, propane or natural gas to take grain from one moisture to another, for a bushel and a point. Old driers use more, those that take heat back from cooling less.",
            inputs: vec![
                grain_input(),
                Input::number("wet_kg", "kg", 0.1, 1e9, "wet weight").or(1000.0),
                from(),
                to(),
                Input::number(
                    "mj_kg",
                    "MJ/kg",
                    2.5,
                    12.0,
                    "fuel heat for each kg of water; left out, the usual",
                )
                .optional(),
                Input::number("propane_l_price", "a litre", 0.0, 5.0, "price of propane").or(0.5),
            ],
            outputs: vec![
                output("water_kg", "kg", "water to take off"),
                output("heat_mj", "MJ", "fuel heat"),
                output("propane_l", "L", "as propane"),
                output("propane_gal_us", "gal", "as propane, US gallons"),
                output("gas_m3", "m3", "as natural gas"),
                output("cost", "", "money, as propane"),
                output("gal_bu_point", "gal", "US gallons of propane for a dry bushel and a point"),
                output("btu_lb_water", "Btu/lb", "fuel heat for each pound of water"),
                output("passes", "1", "passes, at no more than the most points in one"),
            ],
            source: "water balance; energy from Iowa State and North Dakota propane figures",
            run: |a| {
                let p = DrierParams::from_reference(shipped());
                let (m1, m2) = (a.number("from_pct"), a.number("to_pct"));
                if m1 <= m2 {
                    return Err(refuse("the moisture after must be below the moisture before"));
                }
                let mj_kg = a.maybe_number("mj_kg").unwrap_or(p.mj_per_kg_water);
                let wet = a.number("wet_kg");
                let water = wet * water_per_wet_kg(m1, m2);
                let heat = water * mj_kg;
                let propane = heat / p.propane_mj_l;
                let lb_bu = Properties::from_reference(shipped(), grain_of(a)).lb_per_bu;
                let dry_bu = dried_kg(wet, m1, m2, 0.0) / (lb_bu * KG_PER_LB);
                let gal = propane / L_PER_US_GALLON;
                let w = Working::new("Fuel")
                    .line(Op::Start, "Water", water, "kg", 2)
                    .line(Op::Times, "Heat for each kg", mj_kg, "MJ/kg", 2)
                    .line(Op::Over, "Heat of propane", p.propane_mj_l, "MJ/L", 1)
                    .sum("Propane", propane, "L", 1)
                    .would_change("the drier: 4.3 MJ/kg with heat taken back, over 7 for an old one");
                Ok(Outcome::new(w)
                    .with("water_kg", water)
                    .with("heat_mj", heat)
                    .with("propane_l", propane)
                    .with("propane_gal_us", gal)
                    .with("gas_m3", heat / p.gas_mj_m3)
                    .with("cost", propane * a.number("propane_l_price"))
                    .with("gal_bu_point", gal / dry_bu / (m1 - m2))
                    .with("btu_lb_water", mj_kg * 1000.0 * KG_PER_LB / 1.055_056)
                    .with("passes", f64::from(p.passes(m1, m2))))
            },
        },
        Calculator {
            name: "grain.drier_throughput",
            title: "What a drier does at other moistures",
            about: "Wet grain an hour from what the drier does at its rated points: the same water an hour.",
            inputs: vec![
                Input::number("rated_kg_h", "kg/h", 1.0, 1e7, "rated wet throughput"),
                Input::number("rated_from_pct", "% wb", 10.0, 35.0, "rated from").or(20.0),
                Input::number("rated_to_pct", "% wb", 8.0, 20.0, "rated to").or(15.0),
                from(),
                to(),
            ],
            outputs: vec![
                output("kg_h", "kg/h", "wet throughput"),
                output("water_kg_h", "kg/h", "water an hour"),
            ],
            source: "water balance",
            run: |a| {
                let rated = (a.number("rated_from_pct"), a.number("rated_to_pct"));
                let wanted = (a.number("from_pct"), a.number("to_pct"));
                if wanted.0 <= wanted.1 || rated.0 <= rated.1 {
                    return Err(refuse("each moisture after must be below the one before"));
                }
                let kg_h = throughput_kg_h(a.number("rated_kg_h"), rated, wanted);
                let water = a.number("rated_kg_h") * water_per_wet_kg(rated.0, rated.1);
                let w = Working::new("Throughput")
                    .line(Op::Start, "Water an hour at the rating", water, "kg/h", 1)
                    .line(
                        Op::Over,
                        "Water from each wet kg now",
                        water_per_wet_kg(wanted.0, wanted.1),
                        "kg",
                        5,
                    )
                    .sum("Wet throughput", kg_h, "kg/h", 0);
                Ok(Outcome::new(w).with("kg_h", kg_h).with("water_kg_h", water))
            },
        },
        Calculator {
            name: "grain.max_air",
            title: "How hot the drying air may be",
            about: "Hottest air before the grain by use. For driers that do not mix, less; no more than six points a pass; not below one point under straight grade.",
            inputs: vec![
                grain_input(),
                Input::choice("for_use", &USE_KEYS, "seed or malting, commercial (milling, crushing), feed")
                    .or("commercial"),
            ],
            outputs: vec![output("max_c", "C", "hottest air")],
            source: "Canadian Grain Commission drying guidelines, read in a reprint",
            run: |a| {
                let for_use = Use::from_key(a.text("for_use")).unwrap_or(Use::Commercial);
                let max = max_air_c(shipped(), grain_of(a), for_use).ok_or_else(|| {
                    refuse(format!("no limit is published for {} for that use", grain_of(a).words()))
                })?;
                let w = Working::new("Hottest drying air")
                    .sum("Before the grain", max, "C", 0)
                    .note("Clean the drier, watch it, and keep the controls that cut fuel on flame, power or fan failure.")
                    .source("Canadian Grain Commission drying guidelines");
                Ok(Outcome::new(w).with("max_c", max))
            },
        },
        Calculator {
            name: "grain.milling_heat",
            title: "Drying air at which bread wheat is harmed",
            about: "Air temperature at which the milling quality of hard red spring wheat begins to suffer.",
            inputs: vec![
                moisture_input(),
                Input::choice("slow_air", &["yes", "no"], "about 50 cfm/ft2 instead of 100 to 150").or("no"),
            ],
            outputs: vec![output("c", "C", "air temperature"), output("f", "F", "air temperature")],
            source: "NDSU 2007",
            run: |a| {
                let c = milling_damage_c(a.number("m_wb_pct"), a.text("slow_air") == "yes");
                let f = c * 1.8 + 32.0;
                let w = Working::new("Harm begins").sum("Air", f, "F", 0).source("NDSU 2007");
                Ok(Outcome::new(w).with("c", c).with("f", f))
            },
        },
        Calculator {
            name: "grain.thin_layer",
            title: "How fast a thin layer dries",
            about: "Rate constant of wheat and barley in warm air: an upper bound, half of it has been measured near outdoor temperatures.",
            inputs: vec![
                Input::choice("crop", &["wheat", "barley"], "crop").or("wheat"),
                Input::number("t_c", "C", 0.0, 90.0, "air"),
                Input::number("hours", "h", 0.0, 200.0, "time").or(1.0),
            ],
            outputs: vec![
                output("k_per_h", "1/h", "rate constant"),
                output("ratio", "1", "moisture still to go, as a share of what can go"),
                output("upper_bound", "", "whether it is an upper bound"),
            ],
            source: "O'Callaghan et al. 1971; Boyce 1966; from memory",
            run: |a| {
                let t = a.number("t_c");
                let k = if a.text("crop") == "barley" { lewis_barley_per_h(t) } else { lewis_wheat_per_h(t) };
                let ratio = (-k * a.number("hours")).exp();
                let w = Working::new("Thin layer").line(Op::Note, "Rate", k, "1/h", 4).sum(
                    "Still to go",
                    ratio,
                    "",
                    3,
                );
                Ok(Outcome::new(w).with("k_per_h", k).with("ratio", ratio).with("upper_bound", yes_no(true)))
            },
        },
        Calculator {
            name: "grain.thin_layer_corn",
            title: "How fast a thin layer of corn dries",
            about: "Corn in warm air (Misra and Brooker), and hours to a moisture ratio in hot air of 140 to 300 F (Thompson).",
            inputs: vec![
                Input::number("t_c", "C", 5.0, 150.0, "air"),
                Input::number("rh_pct", "%", 1.0, 95.0, "its humidity").or(20.0),
                Input::number("speed_m_s", "m/s", 0.0, 3.0, "its speed").or(0.5),
                Input::number("m0_db_pct", "% db", 10.0, 80.0, "moisture at the start, dry basis").or(33.3),
                Input::number("hours", "h", 0.0, 50.0, "time").or(1.0),
                Input::number("hot_ratio", "1", 0.05, 1.0, "moisture ratio to reach in hot air").or(0.5),
            ],
            outputs: vec![
                output("k", "1", "k of MR = exp(-k t^n)"),
                output("n", "1", "n"),
                output("ratio", "1", "moisture ratio after the time"),
                output("hot_hours", "h", "hours to the ratio in hot air; meaningful from 60 to 149 C"),
            ],
            source: "ASAE S448, Misra and Brooker 1980; Thompson 1968; from memory",
            run: |a| {
                let (k, n) = page_corn(
                    a.number("t_c"),
                    a.number("rh_pct"),
                    a.number("speed_m_s"),
                    a.number("m0_db_pct"),
                );
                let ratio = (-k * a.number("hours").powf(n)).exp();
                let hot = thompson_corn_hours(a.number("t_c") * 1.8 + 32.0, a.number("hot_ratio"));
                let w = Working::new("Thin layer of corn")
                    .line(Op::Note, "k", k, "", 4)
                    .line(Op::Note, "n", n, "", 4)
                    .sum("Still to go", ratio, "", 3);
                Ok(Outcome::new(w).with("k", k).with("n", n).with("ratio", ratio).with("hot_hours", hot))
            },
        },
    ]
}
