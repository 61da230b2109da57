//! Drying and cooling in the bin.

use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{
    bed_grain, grain_input, grain_of, moisture_input, output, pressure_input, refuse, rh_input, shipped,
};
use crate::air::per_bushel_to_per_m3;
use crate::bed::{Air, Bed};
use crate::course::Race;
use crate::grain::Properties;
use crate::life::{LifeParams, Spent};
use crate::natural::{Drying, NaturalParams};

const THOMPSON: &str = "Thompson 1968, equilibrium layer model; as good as 15 % in days";
/// The answer does not depend on depth at a given airflow for each m3; any will do.
const DEPTH_M: f64 = 4.0;
/// Air density at which a fan's volume is turned into mass, as in the published examples.
const RHO_AIR: f64 = 1.2;

fn cfm() -> Input {
    Input::number("cfm_bu", "cfm/bu", 0.02, 5.0, "airflow for each US volume bushel")
}

fn air_t() -> Input {
    Input::number("t_c", "C", -30.0, 50.0, "temperature of the air after the fan")
}

fn layers() -> Input {
    Input::number("layers", "1", 2.0, 60.0, "layers; more layers, a sharper front").or(20.0)
}

fn setup(a: &Args, m: f64, start_c: f64) -> Result<(Bed, Air, f64), stook_measure::CalcError> {
    let (_, grain) = bed_grain(a)?;
    let p = Properties::from_reference(shipped(), grain_of(a));
    let bed = Bed::uniform(grain, a.number("layers").round() as usize, p.density_kg_m3 * DEPTH_M, m, start_c);
    let inlet = Air::new(a.number("t_c"), a.number("rh"), a.number("pressure_pa"));
    Ok((bed, inlet, per_bushel_to_per_m3(a.number("cfm_bu")) * DEPTH_M * 3600.0 * RHO_AIR))
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.landing",
            title: "Temperature the grain will land on",
            about: "Air led into grain does not bring it to the air's own temperature: it lands where the air, along constant heat, is in equilibrium with the grain. Dry air cools grain below itself, damp air leaves it warmer.",
            inputs: vec![grain_input(), moisture_input(), air_t(), rh_input(), pressure_input()],
            outputs: vec![
                output("landing_c", "C", "temperature the grain lands on"),
                output("below_air_k", "K", "below the air's own"),
                output("carries_kg_kg", "kg/kg", "water each kg of air takes from the grain"),
            ],
            source: "constant enthalpy to equilibrium; after Akdogan and Casada",
            run: |a| {
                let (_, grain) = bed_grain(a)?;
                let p = a.number("pressure_pa");
                let air = Air::new(a.number("t_c"), a.number("rh"), p);
                let m = a.number("m_wb_pct");
                let land = grain.landing(m / (100.0 - m), air, p);
                let w = Working::new("Landing temperature")
                    .line(Op::Start, "Air after the fan", air.t_c, "C", 2)
                    .line(Op::Minus, "Cooling by evaporation", air.t_c - land.t_c, "K", 2)
                    .sum("Grain lands on", land.t_c, "C", 2)
                    .source("constant enthalpy to equilibrium");
                Ok(Outcome::new(w)
                    .with("landing_c", land.t_c)
                    .with("below_air_k", air.t_c - land.t_c)
                    .with("carries_kg_kg", land.w - air.w))
            },
        },
        Calculator {
            name: "grain.front_hours",
            title: "Fan hours to cool a bin",
            about: "Fan hours of one cooling front: until its middle leaves the top, by the rule of thumb, and until nine tenths are done. A front once started must be finished.",
            inputs: vec![cfm()],
            outputs: vec![
                output("middle_h", "h", "middle of the front leaves"),
                output("rule_h", "h", "rule of thumb"),
                output("done_h", "h", "nine tenths done"),
            ],
            source: "NDSU 2009: 15 over cfm/bu; the others from the layer model",
            run: |a| {
                let n = NaturalParams::from_reference(shipped());
                let [mid, rule, done] = n.front_hours(a.number("cfm_bu"));
                let w = Working::new("Cooling front")
                    .line(Op::Note, "Middle leaves", mid, "h", 0)
                    .line(Op::Note, "Nine tenths done", done, "h", 0)
                    .line(Op::Start, "Rule", n.rule_hours, "h cfm/bu", 0)
                    .line(Op::Over, "Airflow", a.number("cfm_bu"), "cfm/bu", 3)
                    .sum("Fan hours", rule, "h", 0)
                    .source("NDSU 2009");
                Ok(Outcome::new(w).with("middle_h", mid).with("rule_h", rule).with("done_h", done))
            },
        },
        Calculator {
            name: "grain.dry_estimate",
            title: "Days of fan to dry, in one line",
            about: "Water to go over what the air carries, from the air's state as it leaves wet grain. Quick; the layer model is better.",
            inputs: vec![
                grain_input(),
                Input::number("from_pct", "% wb", 8.0, 30.0, "moisture now"),
                Input::number("to_pct", "% wb", 6.0, 25.0, "moisture wanted"),
                cfm(),
                air_t(),
                rh_input(),
                pressure_input(),
            ],
            outputs: vec![
                output("days", "d", "fan days; not known when the air cannot dry"),
                output("leaves_c", "C", "air leaves at"),
                output("carries_kg_kg", "kg/kg", "water each kg of air takes along"),
            ],
            source: "water balance; 0.8 for the front's smear is our judgement",
            run: |a| {
                let (_, grain) = bed_grain(a)?;
                let n = NaturalParams::from_reference(shipped());
                let p = a.number("pressure_pa");
                let e = n.estimate(
                    &grain,
                    &Drying {
                        from_pct: a.number("from_pct"),
                        to_pct: a.number("to_pct"),
                        flow_per_s: per_bushel_to_per_m3(a.number("cfm_bu")),
                        density_kg_m3: Properties::from_reference(shipped(), grain_of(a)).density_kg_m3,
                        inlet: Air::new(a.number("t_c"), a.number("rh"), p),
                        pressure_pa: p,
                    },
                );
                let w = Working::new("Days of fan")
                    .line(Op::Start, "Water to go", e.water_kg_m3, "kg/m3", 2)
                    .line(Op::Over, "Air a day", e.air_kg_day_m3 / 1000.0, "t/m3", 4)
                    .line(Op::Over, "It carries", 1000.0 * e.carries, "kg/t", 4)
                    .line(Op::Over, "Share that counts", n.front_efficiency, "", 2)
                    .sum("Days", e.days, "d", 1);
                Ok(Outcome::new(w)
                    .with("days", e.days)
                    .with("leaves_c", e.leaves_c)
                    .with("carries_kg_kg", e.carries))
            },
        },
        Calculator {
            name: "grain.dry_in_bin",
            title: "Days to dry a bin with steady air",
            about: "Layer by layer, hour by hour, with the fan always on and the air always the same: when the top and the average are dry, how dry the bottom gets, and whether the top's storage life lasts.",
            inputs: vec![
                grain_input(),
                Input::number("from_pct", "% wb", 8.0, 30.0, "moisture now"),
                Input::number("to_pct", "% wb", 6.0, 25.0, "moisture wanted in the top layer"),
                cfm(),
                air_t(),
                rh_input(),
                Input::number("start_c", "C", -30.0, 50.0, "temperature of the grain now").or(20.0),
                layers(),
                pressure_input(),
            ],
            outputs: vec![
                output("top_days", "d", "until the top is dry"),
                output("mean_days", "d", "until the average is dry"),
                output("bottom_pct", "% wb", "bottom layer when the top is dry"),
                output("spent", "1", "storage life spent by the worst layer when the top is dry"),
                output("race", "", "dry before spoiled?"),
            ],
            source: THOMPSON,
            run: |a| {
                const LONGEST_H: u32 = 24 * 400;
                let to = a.number("to_pct");
                let (mut bed, inlet, air_kg) = setup(a, a.number("from_pct"), a.number("start_c"))?;
                let life = LifeParams::from_reference(shipped());
                let mut spent = vec![Spent::default(); bed.layers.len()];
                let (mut top, mut mean) = (None, None);
                for h in 1..=LONGEST_H {
                    bed.step(inlet, air_kg, a.number("pressure_pa"));
                    let days = f64::from(h) / 24.0;
                    if h % 6 == 0 {
                        for (s, l) in spent.iter_mut().zip(&bed.layers) {
                            s.spend(&life, grain_of(a), l.m_wb_pct(), l.t_c, 0.25);
                        }
                    }
                    if mean.is_none() && bed.mean_wb_pct() <= to {
                        mean = Some(days);
                    }
                    if bed.top().m_wb_pct() <= to {
                        top = Some(days);
                        break;
                    }
                }
                let top = top.ok_or_else(|| refuse("this air does not bring the top to that moisture in 400 days: warmer or drier air, or a higher target"))?;
                let worst = |f: fn(&Spent) -> f64| spent.iter().map(f).fold(0.0, f64::max);
                let race = if worst(|s| s.most) < 1.0 {
                    Race::Dry
                } else if worst(|s| s.likely) < 1.0 {
                    Race::Close
                } else {
                    Race::Spoils
                };
                let w = Working::new("Drying in the bin")
                    .line(Op::Note, "Air for each m2 of floor", air_kg, "kg/h", 1)
                    .line(Op::Note, "Bottom layer at the end", bed.layers[0].m_wb_pct(), "% wb", 2)
                    .line(Op::Note, "Average dry after", mean.unwrap_or(top), "d", 1)
                    .line(Op::Note, "Storage life spent, worst layer", worst(|s| s.likely), "", 2)
                    .sum("Top dry after", top, "d", 1)
                    .note(race.words())
                    .note("Days are good to 15 %.")
                    .source(THOMPSON);
                Ok(Outcome::new(w)
                    .with("top_days", top)
                    .with("mean_days", mean.unwrap_or(top))
                    .with("bottom_pct", bed.layers[0].m_wb_pct())
                    .with("spent", worst(|s| s.likely))
                    .with("race", race.words()))
            },
        },
        Calculator {
            name: "grain.cool_in_bin",
            title: "Hours to cool a bin with steady air",
            about: "The same layer model as a cooling front: when its middle leaves the top, when nine tenths are done, and the moisture lost on the way.",
            inputs: vec![
                grain_input(),
                moisture_input(),
                Input::number("start_c", "C", -30.0, 60.0, "temperature of the grain now"),
                cfm(),
                air_t(),
                rh_input(),
                layers(),
                pressure_input(),
            ],
            outputs: vec![
                output("middle_h", "h", "middle of the front leaves the top"),
                output("done_h", "h", "nine tenths of the change is done at the top"),
                output("landing_c", "C", "temperature the grain lands on"),
                output("lost_points", "% wb", "average moisture lost by then"),
            ],
            source: THOMPSON,
            run: |a| {
                const STEPS_H: f64 = 10.0;
                let (m, start) = (a.number("m_wb_pct"), a.number("start_c"));
                let p = a.number("pressure_pa");
                let (mut bed, inlet, air_kg) = setup(a, m, start)?;
                let land = bed.grain.landing(m / (100.0 - m), inlet, p).t_c;
                if (start - land).abs() < 0.5 {
                    return Err(refuse("this air lands the grain where it already is; there is no front"));
                }
                // A front takes about 20/q hours: this many steps whatever the airflow.
                let steps_h = STEPS_H * a.number("cfm_bu").max(0.1);
                let (mut middle, mut done, mut hours) = (None, None, 0.0);
                while done.is_none() && hours < 200.0 / a.number("cfm_bu") {
                    let out = bed.step(inlet, air_kg / steps_h, p);
                    hours += 1.0 / steps_h;
                    let share = (start - out.t_c) / (start - land);
                    if middle.is_none() && share >= 0.5 {
                        middle = Some(hours);
                    }
                    if share >= 0.9 {
                        done = Some(hours);
                    }
                }
                let (Some(middle), Some(done)) = (middle, done) else {
                    return Err(refuse("the front does not come through in ten times the usual hours"));
                };
                let lost = m - bed.mean_wb_pct();
                let w = Working::new("Cooling in the bin")
                    .line(Op::Note, "Grain lands on", land, "C", 1)
                    .line(Op::Note, "Middle leaves after", middle, "h", 1)
                    .line(Op::Note, "Moisture lost", lost, "points", 2)
                    .sum("Nine tenths done after", done, "h", 1)
                    .source(THOMPSON);
                Ok(Outcome::new(w)
                    .with("middle_h", middle)
                    .with("done_h", done)
                    .with("landing_c", land)
                    .with("lost_points", lost))
            },
        },
    ]
}
