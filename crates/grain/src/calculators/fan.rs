//! Air through grain and the fans that push it.

use stook_measure::units::{M_PER_FT, ft_to_m};
use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{grain_input, grain_of, output, refuse, shipped};
use crate::air::{M3_S_PER_CFM, PA_PER_IN_WATER, Resistance, per_bushel_to_per_m3, per_m3_to_per_bushel};
use crate::bin::cylinder_m3;
use crate::fan::{Curve, FanParams, Point, shaft_kw, warming_k};

const D272: &str = "form as in ASABE D272; constants from memory";

fn pack() -> Input {
    Input::number(
        "pack",
        "1",
        1.0,
        1.6,
        "raises the loose-fill pressure for packing and fines; left out, the grain's own",
    )
    .optional()
}

fn depth() -> Input {
    Input::number("depth_m", "m", 0.1, 15.0, "depth of grain")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.airflow",
            title: "Airflow through grain in other units",
            about: "Cubic feet a minute for each volume bushel as litres a second for each m3, as air a minute for each tonne, and as speed through a bed.",
            inputs: vec![
                Input::number("cfm_bu", "cfm/bu", 0.005, 40.0, "airflow for each US volume bushel"),
                Input::number("depth_m", "m", 0.1, 15.0, "depth of grain").or(5.0),
                Input::number("density_kg_m3", "kg/m3", 300.0, 900.0, "bulk density").or(772.0),
            ],
            outputs: vec![
                output("l_s_m3", "L/s m3", "litres a second for each m3 of grain"),
                output("m3_min_t", "m3/min t", "m3 a minute for each tonne"),
                output("q_m_s", "m/s", "speed through an empty floor"),
            ],
            source: "exact factors",
            run: |a| {
                let per_s = per_bushel_to_per_m3(a.number("cfm_bu"));
                let q = per_s * a.number("depth_m");
                let w = Working::new("Airflow")
                    .line(Op::Start, "For each m3 of grain", 1000.0 * per_s, "L/s", 3)
                    .line(Op::Times, "Depth", a.number("depth_m"), "m", 2)
                    .sum("For each m2 of floor", 1000.0 * q, "L/s", 1);
                Ok(Outcome::new(w)
                    .with("l_s_m3", 1000.0 * per_s)
                    .with("m3_min_t", per_s * 60.0 * 1000.0 / a.number("density_kg_m3"))
                    .with("q_m_s", q))
            },
        },
        Calculator {
            name: "grain.air_resistance",
            title: "Pressure to push air through loose grain",
            about: "Pressure drop of loose clean dry grain for each metre of depth. 1 to 40 cfm/ft2.",
            inputs: vec![
                grain_input(),
                Input::number("q_m_s", "m/s", 0.0, 0.4, "air through each m2 of floor, m3/s"),
            ],
            outputs: vec![
                output("pa_m", "Pa/m", "pressure for each metre"),
                output("in_water_ft", "in/ft", "inches of water for each foot"),
            ],
            source: D272,
            run: |a| {
                let r = Resistance::from_reference(shipped(), grain_of(a)).map_err(refuse)?;
                let pa_m = r.loose_pa_m(a.number("q_m_s"));
                let w = Working::new("Pressure in loose grain")
                    .line(Op::Note, "a", r.a, "Pa s2/m3", 0)
                    .line(Op::Note, "b", r.b, "s/m", 2)
                    .line(Op::Note, "Air", a.number("q_m_s"), "m/s", 4)
                    .sum("a Q2 / ln(1 + b Q)", pa_m, "Pa/m", 1)
                    .source(D272);
                Ok(Outcome::new(w).with("pa_m", pa_m).with("in_water_ft", pa_m * M_PER_FT / PA_PER_IN_WATER))
            },
        },
        Calculator {
            name: "grain.bed_pressure",
            title: "Pressure under a bed of grain",
            about: "Pressure for an airflow through a bed, packing included, ducts and floor not. The pack factor is uncertain between 1.0 and 1.5.",
            inputs: vec![
                grain_input(),
                depth(),
                Input::number("cfm_bu", "cfm/bu", 0.01, 10.0, "airflow for each US volume bushel"),
                pack(),
            ],
            outputs: vec![
                output("pa", "Pa", "pressure"),
                output("in_water", "in", "inches of water"),
                output("loose_pa", "Pa", "if it lay loose"),
                output("packed_pa", "Pa", "if packed as hard as it gets"),
                output("q_m_s", "m/s", "speed through an empty floor"),
            ],
            source: D272,
            run: |a| {
                let mut r = Resistance::from_reference(shipped(), grain_of(a)).map_err(refuse)?;
                if let Some(p) = a.maybe_number("pack") {
                    r = r.with_pack(p);
                }
                let depth = a.number("depth_m");
                let q = per_bushel_to_per_m3(a.number("cfm_bu")) * depth;
                let loose = r.loose_pa_m(q) * depth;
                let pa = r.bed_pa(q, depth);
                let w = Working::new("Pressure under the bed")
                    .line(Op::Note, "Air through the floor", q, "m/s", 4)
                    .line(Op::Start, "Loose grain", r.loose_pa_m(q), "Pa/m", 2)
                    .line(Op::Times, "Depth", depth, "m", 3)
                    .line(Op::Times, "Packing", r.pack, "", 2)
                    .sum("Pressure", pa, "Pa", 0)
                    .source(D272)
                    .would_change("packing and fines: the factor may be anything from 1.0 to 1.5");
                Ok(Outcome::new(w)
                    .with("pa", pa)
                    .with("in_water", pa / PA_PER_IN_WATER)
                    .with("loose_pa", loose)
                    .with("packed_pa", 1.5 * loose)
                    .with("q_m_s", q))
            },
        },
        Calculator {
            name: "grain.fan_point",
            title: "Air a fan pushes through a bin",
            about: "Where the fan's curve meets the bed, for one or several equal fans. The curve is never extended past its ends. Also what one more foot of grain costs.",
            inputs: vec![
                grain_input(),
                Input::number("diameter_m", "m", 2.0, 40.0, "inside diameter of the bin"),
                depth(),
                pack(),
                Input::list("curve_pa", "Pa", 0.0, 6_000.0, "fan curve: static pressures"),
                Input::list("curve_m3_s", "m3/s", 0.0, 60.0, "fan curve: airflows at those pressures"),
                Input::number("fans", "1", 1.0, 6.0, "equal fans").or(1.0),
                Input::choice("arranged", &["parallel", "series"], "side by side, or one behind the other")
                    .or("parallel"),
                Input::number("duct_pa", "Pa", 0.0, 500.0, "lost in ducts and floor at the operating flow")
                    .or(0.0),
                Input::number("efficiency", "1", 0.2, 0.8, "air power over shaft power; left out, the usual")
                    .optional(),
            ],
            outputs: vec![
                output("m3_s", "m3/s", "airflow"),
                output("cfm", "cfm", "airflow"),
                output("pa", "Pa", "static pressure"),
                output("in_water", "in", "static pressure"),
                output("cfm_bu", "cfm/bu", "airflow for each volume bushel"),
                output("bushels", "bu", "volume bushels in the bed, level"),
                output("kw", "kW", "shaft power"),
                output("warming_k", "K", "warming of the air before the bed"),
                output(
                    "one_more_foot_cfm_bu",
                    "cfm/bu",
                    "airflow with one more foot of grain; not known past the curve",
                ),
            ],
            source: D272,
            run: |a| {
                let mut r = Resistance::from_reference(shipped(), grain_of(a)).map_err(refuse)?;
                if let Some(p) = a.maybe_number("pack") {
                    r = r.with_pack(p);
                }
                let (pa, flow) = (a.list("curve_pa"), a.list("curve_m3_s"));
                if pa.len() != flow.len() {
                    return Err(refuse("curve_pa and curve_m3_s must have the same number of points"));
                }
                let points: Vec<Point> = pa.iter().zip(flow).map(|(&pa, &m3_s)| Point { pa, m3_s }).collect();
                let one = Curve::new(&points).map_err(refuse)?;
                let fans = vec![one; a.number("fans").round() as usize];
                let curve = if a.text("arranged") == "series" {
                    Curve::series(&fans)
                } else {
                    Curve::parallel(&fans)
                }
                .map_err(refuse)?;
                let area = cylinder_m3(a.number("diameter_m"), 1.0);
                let duct = a.number("duct_pa");
                let at_depth = |depth: f64| curve.meet(|m3_s| r.bed_pa(m3_s / area, depth) + duct);
                let depth = a.number("depth_m");
                let at = at_depth(depth).map_err(refuse)?;
                let per_bu = |p: Point, depth: f64| per_m3_to_per_bushel(p.m3_s / (area * depth));
                let deeper = depth + ft_to_m(1.0);
                let more = at_depth(deeper).map_or(f64::NAN, |p| per_bu(p, deeper));
                let fp = FanParams::from_reference(shipped());
                let efficiency = a.maybe_number("efficiency").unwrap_or(fp.efficiency);
                let cfm = at.m3_s / M3_S_PER_CFM;
                let cfm_bu = per_bu(at, depth);
                let mut w = Working::new("Where fan and bed meet")
                    .line(Op::Note, "Static pressure", at.pa, "Pa", 0)
                    .line(Op::Note, "Air through the floor", at.m3_s / area, "m/s", 4)
                    .line(Op::Start, "Airflow", cfm, "cfm", 0)
                    .line(Op::Over, "Grain, level", cfm / cfm_bu, "bu", 0)
                    .sum("Airflow for each bushel", cfm_bu, "cfm/bu", 3)
                    .source(D272);
                if at.pa > fp.axial_stall_pa {
                    w = w.note("At this pressure an axial fan is likely to stall; a centrifugal one is not.");
                }
                if more.is_finite() {
                    w = w.note(format!("One more foot of grain leaves {more:.3} cfm/bu."));
                }
                Ok(Outcome::new(w)
                    .with("m3_s", at.m3_s)
                    .with("cfm", cfm)
                    .with("pa", at.pa)
                    .with("in_water", at.pa / PA_PER_IN_WATER)
                    .with("cfm_bu", cfm_bu)
                    .with("bushels", cfm / cfm_bu)
                    .with("kw", shaft_kw(at, efficiency))
                    .with("warming_k", warming_k(at.pa, efficiency, 1.2))
                    .with("one_more_foot_cfm_bu", more))
            },
        },
        Calculator {
            name: "grain.fan_power",
            title: "Power, heat and cost of a fan",
            about: "Shaft power, power drawn, warming of the air, vents needed and cost an hour. The warming reaches the grain only when the fan blows, not when it sucks.",
            inputs: vec![
                Input::number("m3_s", "m3/s", 0.01, 100.0, "airflow"),
                Input::number("pa", "Pa", 0.0, 8_000.0, "static pressure"),
                Input::number("efficiency", "1", 0.2, 0.8, "air power over shaft power; left out, the usual")
                    .optional(),
                Input::number("price_kwh", "a kWh", 0.0, 2.0, "price of electricity").or(0.12),
            ],
            outputs: vec![
                output("kw", "kW", "shaft power"),
                output("hp", "hp", "shaft power"),
                output("drawn_kw", "kW", "power drawn"),
                output("warming_k", "K", "warming of the air"),
                output("warming_f", "F", "warming of the air"),
                output("vent_m2", "m2", "roof vents needed"),
                output("vent_ft2", "ft2", "roof vents needed"),
                output("cost_h", "", "cost an hour"),
            ],
            source: "energy balance; 1.2 kg/m3 of air; vents: Wilcke and Hellevang 2002",
            run: |a| {
                let fp = FanParams::from_reference(shipped());
                let efficiency = a.maybe_number("efficiency").unwrap_or(fp.efficiency);
                let at = Point { m3_s: a.number("m3_s"), pa: a.number("pa") };
                let kw = shaft_kw(at, efficiency);
                let drawn = kw / fp.motor_efficiency;
                let k = warming_k(at.pa, efficiency, 1.2);
                let vents = at.m3_s * fp.vent_m2_per_m3_s;
                let w = Working::new("Fan")
                    .line(Op::Start, "Airflow", at.m3_s, "m3/s", 3)
                    .line(Op::Times, "Pressure", at.pa / 1000.0, "kPa", 3)
                    .line(Op::Over, "Efficiency of the fan", efficiency, "", 2)
                    .line(Op::Over, "Efficiency of the motor", fp.motor_efficiency, "", 2)
                    .sum("Power drawn", drawn, "kW", 1)
                    .note(format!("The air warms by {k:.1} C on its way through the fan."))
                    .source("energy balance");
                Ok(Outcome::new(w)
                    .with("kw", kw)
                    .with("hp", kw / 0.745_7)
                    .with("drawn_kw", drawn)
                    .with("warming_k", k)
                    .with("warming_f", 1.8 * k)
                    .with("vent_m2", vents)
                    .with("vent_ft2", vents / (M_PER_FT * M_PER_FT))
                    .with("cost_h", drawn * a.number("price_kwh")))
            },
        },
    ]
}
