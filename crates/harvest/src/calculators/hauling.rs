//! Hauling by plain arithmetic, waiting lines, and road weights.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::{queue, road};

fn rates() -> Vec<Input> {
    vec![
        Input::number("arrivals_per_h", "1/h", 1e-3, 1e4, "arrivals an hour"),
        Input::number("service_per_h", "1/h", 1e-3, 1e4, "served an hour by one server"),
    ]
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.least_stage",
            title: "Which stage holds the harvest up",
            about: "Combine, cart, trucks, drier in a chain: the least rules, when nothing varies. Real days wait more: \
                    see the hauling simulation.",
            inputs: vec![
                Input::number("combine", "bu/h", 0.1, 1e5, "combines together"),
                Input::number("cart", "bu/h", 0.1, 1e5, "cart").optional(),
                Input::number("trucks", "bu/h", 0.1, 1e5, "trucks together").optional(),
                Input::number("pit", "bu/h", 0.1, 1e5, "pit or auger").optional(),
                Input::number("dryer", "bu/h", 0.1, 1e5, "drier").optional(),
            ],
            outputs: vec![out("rate", "bu/h", "of the whole"), out("bottleneck", "", "the stage")],
            source: "minimum of serial stages",
            run: least_stage,
        },
        Calculator {
            name: "harvest.trucks_needed",
            title: "Trucks to keep up",
            about: "Combine rate over what one truck hauls in its round, rounded up. Without waiting: allow for more.",
            inputs: vec![
                Input::number("combine_bu_h", "bu/h", 1.0, 1e5, "combines together"),
                Input::number("truck_bu", "bu", 10.0, 5_000.0, "truck load"),
                Input::number("load_min", "min", 0.0, 240.0, "to load"),
                Input::number("haul_out_min", "min", 0.0, 600.0, "to the yard"),
                Input::number("unload_min", "min", 0.0, 240.0, "to unload"),
                Input::number("haul_back_min", "min", 0.0, 600.0, "back"),
            ],
            outputs: vec![
                out("cycle_min", "min", "for a round"),
                out("bu_per_h_per_truck", "bu/h", "for each truck"),
                out("trucks", "1", "needed"),
            ],
            source: "cycle identity",
            run: trucks,
        },
        Calculator {
            name: "harvest.line_random",
            title: "A line at one pit",
            about: "One server, random arrivals; service random or always the same. Harvest trucks are few and come \
                    round again, so this overstates their wait.",
            inputs: {
                let mut i = rates();
                i.push(Input::choice("service", &["random", "regular"], "how service varies").or("random"));
                i
            },
            outputs: vec![
                out("busy", "1", "share of time the server works"),
                out("in_system", "1", "in line and in service"),
                out("in_line", "1", "in line"),
                out("time_h", "h", "in line and in service"),
                out("wait_h", "h", "in line"),
            ],
            source: "Kleinrock 1975; Pollaczek-Khinchine",
            run: line,
        },
        Calculator {
            name: "harvest.wait_chance",
            title: "Chance of waiting with several pits",
            about: "Erlang C.",
            inputs: {
                let mut i = rates();
                i.push(Input::number("servers", "1", 1.0, 100.0, "servers"));
                i
            },
            outputs: vec![out("chance", "1", "chance of waiting")],
            source: "Erlang C",
            run: |a| {
                let servers = a.number("servers").round() as u32;
                let c = queue::erlang_c(a.number("arrivals_per_h"), a.number("service_per_h"), servers);
                let w = Working::new("Chance of waiting")
                    .line(
                        Op::Note,
                        "Load on each server",
                        a.number("arrivals_per_h") / a.number("service_per_h") / f64::from(servers),
                        "",
                        3,
                    )
                    .sum("Chance", c, "", 4);
                Ok(Outcome::new(w).with("chance", c))
            },
        },
        Calculator {
            name: "harvest.line_round",
            title: "Trucks that come round again",
            about: "So many trucks, each away for a random time, one pit with random service: the machine-repair line.",
            inputs: vec![
                Input::number("trucks", "1", 1.0, 200.0, "trucks"),
                Input::number("away_h", "h", 1e-3, 100.0, "mean time away"),
                Input::number("service_h", "h", 1e-4, 100.0, "mean time at the pit"),
            ],
            outputs: vec![
                out("busy", "1", "share of time the pit works"),
                out("in_line", "1", "trucks in line"),
                out("wait_h", "h", "wait for each"),
                out("served_per_h", "1/h", "loads an hour"),
            ],
            source: "finite-source line, closed form (Kleinrock 1975)",
            run: |a| {
                let l = queue::machine_repair(
                    a.number("trucks").round() as u32,
                    a.number("away_h"),
                    a.number("service_h"),
                );
                let served = l.busy / a.number("service_h");
                let w = Working::new("Trucks that come round again")
                    .line(Op::Note, "Share of time the pit works", l.busy, "", 3)
                    .line(Op::Start, "That share", l.busy, "", 6)
                    .line(Op::Over, "Time at the pit", a.number("service_h"), "h", 6)
                    .sum("Loads an hour", served, "1/h", 2);
                Ok(Outcome::new(w)
                    .with("busy", l.busy)
                    .with("in_line", l.in_line)
                    .with("wait_h", l.wait_h)
                    .with("served_per_h", served))
            },
        },
        Calculator {
            name: "harvest.bridge_formula",
            title: "US bridge formula",
            about: "Most a group of axles may weigh on an interstate. A warning, not a certificate: state, season and \
                    exemption decide.",
            inputs: vec![
                Input::number("length_ft", "ft", 4.0, 120.0, "between the outer axles of the group"),
                Input::number("axles", "1", 2.0, 11.0, "axles in it"),
            ],
            outputs: vec![out("lb", "lb", "most, rounded to 500")],
            source: "US Federal Highway Administration, Bridge Formula Weights, from memory",
            run: |a| {
                let lb = road::bridge_formula_lb(a.number("length_ft"), a.number("axles").round() as u8);
                let w = Working::new("US bridge formula").sum("Most", lb, "lb", 0);
                Ok(Outcome::new(w).with("lb", lb))
            },
        },
        Calculator {
            name: "harvest.axle_sum",
            title: "What the axles may carry together",
            about: "Sum of axle group limits; your road's own sign and season rule.",
            inputs: vec![Input::list("groups_kg", "kg", 500.0, 60_000.0, "limit of each axle group")],
            outputs: vec![out("kg", "kg", "together")],
            source: "arithmetic; Saskatchewan limits: provincial map",
            run: |a| {
                let kg = road::axle_sum_kg(a.list("groups_kg"));
                let mut w = Working::new("What the axles may carry");
                for (i, g) in a.list("groups_kg").iter().enumerate() {
                    w = w.line(
                        if i == 0 { Op::Start } else { Op::Plus },
                        format!("Group {}", i + 1),
                        *g,
                        "kg",
                        0,
                    );
                }
                Ok(Outcome::new(w.sum("Together", kg, "kg", 0)).with("kg", kg))
            },
        },
        Calculator {
            name: "harvest.reaction_distance",
            title: "Drawn in before you can react",
            about: "How far a turning shaft or auger pulls before a person can react. Shut down and pocket the key.",
            inputs: vec![
                Input::number("speed_ft_s", "ft/s", 0.1, 100.0, "pull: shaft about 7, auger 10"),
                Input::number("reaction_s", "s", 0.1, 3.0, "reaction").or(0.75),
            ],
            outputs: vec![out("ft", "ft", "drawn in")],
            source: "Iowa State safe farm sheet",
            run: |a| {
                let ft = road::reaction_distance_ft(a.number("speed_ft_s"), a.number("reaction_s"));
                let w = Working::new("Drawn in before you can react")
                    .line(Op::Start, "Pull", a.number("speed_ft_s"), "ft/s", 2)
                    .line(Op::Times, "Reaction", a.number("reaction_s"), "s", 2)
                    .sum("Drawn in", ft, "ft", 2);
                Ok(Outcome::new(w).with("ft", ft))
            },
        },
    ]
}

fn least_stage(a: &Args) -> Answer {
    let stages: Vec<(&str, f64)> = ["combine", "cart", "trucks", "pit", "dryer"]
        .into_iter()
        .filter_map(|k| Some((k, a.maybe_number(k)?)))
        .collect();
    let (name, rate) = queue::least_stage(&stages).expect("the combine is always given");
    let mut w = Working::new("Which stage holds the harvest up");
    for (stage, r) in &stages {
        w = w.line(Op::Note, format!("By the {stage}"), *r, "bu/h", 0);
    }
    Ok(Outcome::new(w.sum(format!("The least: the {name}"), rate, "bu/h", 0))
        .with("rate", rate)
        .with("bottleneck", name))
}

fn trucks(a: &Args) -> Answer {
    let r = queue::trucks_needed(
        a.number("combine_bu_h"),
        a.number("truck_bu"),
        a.number("load_min"),
        a.number("haul_out_min"),
        a.number("unload_min"),
        a.number("haul_back_min"),
    );
    if r.cycle_min <= 0.0 {
        return Err(CalcError::Together(
            "the round takes no time at all; give the minutes of its parts".into(),
        ));
    }
    let w = Working::new("Trucks to keep up")
        .line(Op::Note, "A round", r.cycle_min, "min", 0)
        .line(Op::Note, "Each truck hauls", r.bu_h_per_truck, "bu/h", 0)
        .line(Op::Note, "Combine rate over that", a.number("combine_bu_h") / r.bu_h_per_truck, "", 2)
        .sum("Trucks, rounded up", r.trucks, "", 0)
        .would_change("waiting: see the hauling simulation");
    Ok(Outcome::new(w)
        .with("cycle_min", r.cycle_min)
        .with("bu_per_h_per_truck", r.bu_h_per_truck)
        .with("trucks", r.trucks))
}

fn line(a: &Args) -> Answer {
    let (x, s) = (a.number("arrivals_per_h"), a.number("service_per_h"));
    let l = if a.text("service") == "random" { queue::mm1(x, s) } else { queue::md1(x, s) };
    let l = l.ok_or_else(|| {
        CalcError::Together("more arrive than can be served: the line grows without end".into())
    })?;
    let w = Working::new("A line at one pit")
        .line(Op::Note, "Share of time it works", l.busy, "", 3)
        .line(Op::Note, "In line", l.in_line, "", 3)
        .sum("Wait in line", l.wait_h, "h", 4);
    Ok(Outcome::new(w)
        .with("busy", l.busy)
        .with("in_system", l.in_system)
        .with("in_line", l.in_line)
        .with("time_h", l.time_h)
        .with("wait_h", l.wait_h))
}
