//! Equilibrium moisture.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{emc_table, grain_input, grain_of, moisture_input, output, refuse, rh_input, yes_no};
use crate::emc::FORM_KEYS;

const SOURCE: &str = "forms as in ASAE D245; constants from memory, those marked confirmed reproduce values printed by North Dakota and Kentucky extension";

fn temperature() -> Input {
    Input::number("t_c", "C", -30.0, 60.0, "temperature of the air (after the fan) or of the grain")
}

fn form() -> Input {
    Input::choice("form", &FORM_KEYS, "equation; best takes the recommended one").or("best")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.emc",
            title: "Moisture that grain settles at in air",
            about: "Equilibrium moisture at a temperature and humidity. Valid from 0 to 50 C and 20 to 90 %; good to 0.6 to 1 point. Grain taking up water settles about a point lower.",
            inputs: vec![grain_input(), form(), temperature(), rh_input()],
            outputs: vec![
                output("m_wb_pct", "% wb", "equilibrium moisture, drying"),
                output("rewetting_pct", "% wb", "about where grain taking up water settles"),
                output("status", "", "standing of the constants"),
                output("outside", "", "whether the air is outside the valid range"),
            ],
            source: SOURCE,
            run: |a| {
                let t = emc_table();
                let set = t.in_form(grain_of(a), a.text("form")).map_err(refuse)?;
                let e = set.emc(a.number("t_c"), a.number("rh"));
                let w = Working::new("Equilibrium moisture")
                    .line(Op::Note, "Air temperature", a.number("t_c"), "C", 1)
                    .line(Op::Note, "Relative humidity", 100.0 * a.number("rh"), "%", 0)
                    .line(Op::Start, "By the equation", e.m_wb_pct - set.offset_wb_pct, "% wb", 2)
                    .line(Op::Plus, "Shift to the printed value", set.offset_wb_pct, "points", 2)
                    .sum("Equilibrium moisture", e.m_wb_pct, "% wb", 2)
                    .note(format!("Constants: {}.", set.status.words()))
                    .note(format!("Good to about {:.1} points.", t.standard_error_points))
                    .source(SOURCE);
                Ok(Outcome::new(w)
                    .with("m_wb_pct", e.m_wb_pct)
                    .with("rewetting_pct", e.m_wb_pct - t.hysteresis_points)
                    .with("status", set.status.words())
                    .with("outside", yes_no(e.outside)))
            },
        },
        Calculator {
            name: "grain.erh",
            title: "Humidity between the kernels",
            about: "Relative humidity of the air between kernels at a moisture and temperature. Mould needs about 65 to 70 %.",
            inputs: vec![grain_input(), form(), moisture_input(), temperature()],
            outputs: vec![
                output("rh", "1", "humidity between the kernels"),
                output(
                    "safe_pct",
                    "% wb",
                    "wettest grain that stays at the safe humidity at this temperature",
                ),
                output("status", "", "standing of the constants"),
            ],
            source: SOURCE,
            run: |a| {
                let t = emc_table();
                let set = t.in_form(grain_of(a), a.text("form")).map_err(refuse)?;
                let rh = set.erh(a.number("m_wb_pct"), a.number("t_c"));
                let safe = set.emc(a.number("t_c"), t.safe_rh).m_wb_pct;
                let w = Working::new("Humidity between the kernels")
                    .line(Op::Note, "Moisture", a.number("m_wb_pct"), "% wb", 1)
                    .line(Op::Note, "Temperature", a.number("t_c"), "C", 1)
                    .line(Op::Note, "Safe humidity", 100.0 * t.safe_rh, "%", 0)
                    .line(Op::Note, "Wettest at the safe humidity", safe, "% wb", 1)
                    .sum("Humidity between the kernels", 100.0 * rh, "%", 1)
                    .note(format!("Constants: {}.", set.status.words()))
                    .source(SOURCE);
                Ok(Outcome::new(w).with("rh", rh).with("safe_pct", safe).with("status", set.status.words()))
            },
        },
        Calculator {
            name: "grain.heat_of_drying",
            title: "Heat to take water out of grain",
            about: "Heat to evaporate water from grain against free water, from the slope of the isotherm.",
            inputs: vec![grain_input(), form(), moisture_input(), temperature()],
            outputs: vec![
                output("ratio", "1", "over the heat of free water"),
                output("kj_kg", "kJ/kg", "heat for each kg of water"),
            ],
            source: "Clausius-Clapeyron on the isotherm",
            run: |a| {
                let set = emc_table().in_form(grain_of(a), a.text("form")).map_err(refuse)?;
                let t = a.number("t_c");
                let ratio = set.isotherm.heat_ratio(set.m_dd(a.number("m_wb_pct")), t);
                let free = 2501.0 - 2.36 * t;
                let w = Working::new("Heat of drying")
                    .line(Op::Start, "Free water", free, "kJ/kg", 0)
                    .line(Op::Times, "Held by the grain", ratio, "", 4)
                    .sum("Heat", free * ratio, "kJ/kg", 0)
                    .source("Clausius-Clapeyron on the isotherm");
                Ok(Outcome::new(w).with("ratio", ratio).with("kj_kg", free * ratio))
            },
        },
    ]
}
