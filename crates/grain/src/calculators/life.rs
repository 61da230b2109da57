//! Storage life, insects and signs.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{grain_input, grain_of, moisture_input, output, refuse, shipped, yes_no};
use crate::corn_loss;
use crate::life::{LifeParams, Spent, cereal_table, fraser_muir, soybean_table};
use crate::pests::{PestParams, cold_kill_days};

const TABLE: &str = "Hellevang, NDSU, slides 2019 and 2020";
const EQUATION: &str = "Fraser and Muir 1981, from memory";

fn temperature() -> Input {
    Input::number("t_c", "C", -40.0, 60.0, "temperature of the grain")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.storage_life",
            title: "How long grain keeps",
            about: "Days of storage life left at a moisture and temperature: the cereal table, and for wheat the shorter of table and equation. Life is spent, not reset: moving or cooling grain keeps what was spent. Below a month it may be half.",
            inputs: vec![
                grain_input(),
                moisture_input(),
                temperature(),
                Input::number("spent", "1", 0.0, 1.0, "share of its life already spent").or(0.0),
            ],
            outputs: vec![
                output("days", "d", "likely days left"),
                output("shortest_days", "d", "at the short end"),
                output("longest_days", "d", "at the long end; not known when the source stops counting"),
                output("at_least", "", "whether the source stops counting here"),
                output("table_days", "d", "whole life by the table"),
                output("equation_days", "d", "whole life by the wheat equation; not known for other grains"),
            ],
            source: TABLE,
            run: |a| {
                let (g, m, t) = (grain_of(a), a.number("m_wb_pct"), a.number("t_c"));
                let p = LifeParams::from_reference(shipped());
                let life = p.verdict(g, m, t).ok_or_else(|| {
                    refuse(format!(
                        "no storage life of {} could be confirmed; keep canola at 8 % or less and below 15 C, and watch it",
                        g.words()
                    ))
                })?;
                let s = a.number("spent");
                let spent = Spent { least: s, likely: s, most: s };
                let [short, likely, long] = spent.left(&p, g, m, t).unwrap_or([f64::NAN; 3]);
                let second = if g.is_wheat() { fraser_muir(m, t).days } else { f64::NAN };
                let table = if g == crate::Grain::Soybean {
                    soybean_table(m, t, p.soy_shift_points)
                } else {
                    cereal_table(m, t)
                };
                let mut w = Working::new("Storage life")
                    .line(Op::Note, "By the table", table.days, "d", 0)
                    .line(Op::Start, "Whole life, the shorter", life.days, "d", 1)
                    .line(Op::Times, "Not yet spent", 1.0 - s, "", 3)
                    .sum("Days left", likely, "d", 1)
                    .note("Air holds temperature; it adds no life.")
                    .source(TABLE);
                if g.is_wheat() {
                    w = w.line(Op::Note, "By the wheat equation", second, "d", 0).source(EQUATION);
                }
                if life.at_least {
                    w = w.note("The source stops counting at 300 days: at least so long.");
                }
                Ok(Outcome::new(w)
                    .with("days", likely)
                    .with("shortest_days", short)
                    .with("longest_days", long)
                    .with("at_least", yes_no(life.at_least))
                    .with("table_days", table.days)
                    .with("equation_days", second))
            },
        },
        Calculator {
            name: "grain.life_soybean",
            title: "How long soybean keeps, by the cereal table",
            about: "The cereal table read some points wetter: 2 to be safe, 3 as the 2019 table has it.",
            inputs: vec![
                moisture_input(),
                temperature(),
                Input::number("shift_points", "% wb", 0.0, 4.0, "points wetter").or(2.0),
            ],
            outputs: vec![
                output("days", "d", "storage life"),
                output("at_least", "", "whether it stops counting"),
            ],
            source: TABLE,
            run: |a| {
                let life = soybean_table(a.number("m_wb_pct"), a.number("t_c"), a.number("shift_points"));
                let w = Working::new("Storage life of soybean")
                    .line(Op::Start, "Moisture", a.number("m_wb_pct"), "% wb", 1)
                    .line(Op::Plus, "Read wetter by", a.number("shift_points"), "points", 1)
                    .sum(
                        "Row of the cereal table",
                        a.number("m_wb_pct") + a.number("shift_points"),
                        "% wb",
                        1,
                    )
                    .source(TABLE);
                Ok(Outcome::new(w).with("days", life.days).with("at_least", yes_no(life.at_least)))
            },
        },
        Calculator {
            name: "grain.life_wheat",
            title: "How long wheat keeps, by germination",
            about: "Days to 95 % germination, 12 to 24 %. Measured times were 1.2 to 1.7 times shorter.",
            inputs: vec![moisture_input(), temperature()],
            outputs: vec![output("days", "d", "storage life"), output("outside", "", "outside 12 to 24 %")],
            source: EQUATION,
            run: |a| {
                let life = fraser_muir(a.number("m_wb_pct"), a.number("t_c"));
                let w = Working::new("Storage life of wheat")
                    .line(Op::Note, "Moisture", a.number("m_wb_pct"), "% wb", 1)
                    .line(Op::Note, "Temperature", a.number("t_c"), "C", 1)
                    .sum("Storage life", life.days, "d", 1)
                    .source(EQUATION);
                Ok(Outcome::new(w).with("days", life.days).with("outside", yes_no(life.outside)))
            },
        },
        Calculator {
            name: "grain.corn_loss",
            title: "Dry matter that corn loses in store",
            about: "Dry matter lost by shelled corn in a time, days until the limit, carbon dioxide given off, and a second opinion.",
            inputs: vec![
                moisture_input(),
                temperature(),
                Input::number("hours", "h", 0.0, 20_000.0, "time").or(240.0),
                Input::number("damage_pct", "%", 0.0, 60.0, "mechanical damage").or(30.0),
                Input::number("limit_pct", "%", 0.01, 3.0, "loss at which it is out of condition").or(0.5),
            ],
            outputs: vec![
                output("loss_pct", "%", "dry matter lost"),
                output("co2_g_kg", "g/kg", "carbon dioxide given off, for each kg of dry matter"),
                output("days", "d", "until the limit"),
                output("second_days", "d", "storage life by Adams and Rosentrater"),
                output("multiplier", "1", "time over that at 60 F, 25 % and 30 % damage"),
            ],
            source: "Saul and Steele; Thompson 1972; ASABE D535, from memory; Adams and Rosentrater",
            run: |a| {
                let (m, t) = (a.number("m_wb_pct"), a.number("t_c"));
                let k = corn_loss::multiplier(m, t, a.number("damage_pct"));
                let loss = corn_loss::loss_pct(a.number("hours") / k);
                let reference = corn_loss::hours_to_loss(a.number("limit_pct"));
                let w = Working::new("Until the limit is reached")
                    .line(Op::Start, "Hours at 60 F and 25 %", reference, "h", 1)
                    .line(Op::Times, "At this moisture, temperature and damage", k, "", 4)
                    .line(Op::Over, "Hours in a day", 24.0, "h", 0)
                    .sum("Days", reference * k / 24.0, "d", 1)
                    .source("ASABE D535, from memory");
                Ok(Outcome::new(w)
                    .with("loss_pct", loss)
                    .with("co2_g_kg", corn_loss::co2_g_kg(loss))
                    .with("days", reference * k / 24.0)
                    .with("second_days", corn_loss::days_adams_rosentrater(m, t))
                    .with("multiplier", k))
            },
        },
        Calculator {
            name: "grain.cold_kill",
            title: "Days of cold that kill insects",
            about: "Days for which the whole mass of grain must be this cold to kill all stages, and what insects do at this temperature.",
            inputs: vec![temperature()],
            outputs: vec![
                output("days", "d", "days; not known when it is not cold enough"),
                output("insects", "", "what insects do"),
            ],
            source: "Canadian Grain Commission",
            run: |a| {
                let t = a.number("t_c");
                let days = cold_kill_days(t).unwrap_or(f64::NAN);
                let what = PestParams::from_reference(shipped()).insects(t).words();
                let w = Working::new("Cold against insects")
                    .line(Op::Note, "Grain", t, "C", 1)
                    .sum("Days", days, "d", 0)
                    .note(format!("Insects at this temperature: {what}."))
                    .source("Canadian Grain Commission");
                Ok(Outcome::new(w).with("days", days).with("insects", what))
            },
        },
        Calculator {
            name: "grain.co2_sign",
            title: "What a carbon dioxide reading says",
            about: "Read in the first flush of air from the fan or under the roof. It is an air-quality warning too: check without entering.",
            inputs: vec![
                Input::number("co2_ppm", "ppm", 300.0, 50_000.0, "reading"),
                Input::choice("rising", &["yes", "no"], "whether it has been rising").or("no"),
            ],
            outputs: vec![
                output("sign", "", "fine, cool, unload or spoiled"),
                output("what", "", "what to do"),
            ],
            source: "Iowa State 2021; elevator talk 2011",
            run: |a| {
                let alarm =
                    PestParams::from_reference(shipped()).co2(a.number("co2_ppm"), a.text("rising") == "yes");
                let sign = match alarm {
                    crate::pests::Alarm::Fine => "fine",
                    crate::pests::Alarm::Cool => "cool",
                    crate::pests::Alarm::Unload => "unload",
                    crate::pests::Alarm::Spoiled => "spoiled",
                };
                let w = Working::new("Carbon dioxide")
                    .line(Op::Note, "Reading", a.number("co2_ppm"), "ppm", 0)
                    .note(alarm.words())
                    .source("Iowa State 2021; elevator talk 2011");
                Ok(Outcome::new(w).with("sign", sign).with("what", alarm.words()))
            },
        },
    ]
}
