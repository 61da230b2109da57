//! Setting the drill, and the fills of a field.

use stook_measure::units::{
    KG_PER_LB, M_PER_FT, MM_PER_IN, acre_to_ha, ha_to_acre, kg_ha_to_lb_ac, kg_to_lb, lb_ac_to_kg_ha,
    lb_to_kg,
};
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out, p, refused};
use crate::drill::{calibrate, strip_ha, to_step, width_of_openers_m};
use crate::fills::{Layout, Tank, hours, packages, plan};
use crate::product::{check_heap_density, lb_ft3_to_kg_m3};

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.drill_calibration",
            title: "Drill calibration from a catch",
            about: "What a catch says of the rate, and the new setting for a meter whose rate is in proportion to it. The rate \
                    is rounded to the drill's steps and never past a limit you give.",
            inputs: vec![
                Input::list("catch_lb", "lb", 0.0, 10_000.0, "weight of each catch, tare taken off"),
                Input::number("openers", "", 1.0, 200.0, "openers caught"),
                Input::number("spacing_in", "in", 3.0, 40.0, "row spacing"),
                Input::number(
                    "distance_ft",
                    "ft",
                    1.0,
                    20_000.0,
                    "distance, or crank turns times the feet of a turn",
                ),
                Input::number("wanted_lb_ac", "lb/ac", 0.1, 2000.0, "rate wanted"),
                Input::number("setting", "", 0.01, 10_000.0, "setting the catch was made at"),
                Input::number("step_lb_ac", "lb/ac", 0.0, 50.0, "step of the drill's rates; 0 for none")
                    .or(0.0),
                Input::number("limit_lb_ac", "lb/ac", 0.0, 2000.0, "rate that must not be passed").optional(),
            ],
            outputs: vec![
                out("rate_lb_ac", "lb/ac", "rate of the catch"),
                out("error_pct", "%", "above zero: too much"),
                out("correction", "1", "multiply the setting by this"),
                out("setting", "", "new setting"),
                out("spread_pct", "%", "difference between the catches"),
                out("catch_again", "", "yes when the catches differ too much"),
                out("set_rate_lb_ac", "lb/ac", "rate to set, in the drill's steps and within the limit"),
            ],
            source: "weight over area; arithmetic",
            run: calibration,
        },
        Calculator {
            name: "fertility.tank_fill",
            title: "How far a tank goes",
            about: "Weight in a tank and acres a fill, over the range of densities. Weigh a pail: the density of particles is \
                    not that of a heap.",
            inputs: vec![
                Input::number("volume_ft3", "ft3", 0.1, 5000.0, "volume of the tank"),
                Input::number("density_low_lb_ft3", "lb/ft3", 10.0, 120.0, "least density"),
                Input::number("density_high_lb_ft3", "lb/ft3", 10.0, 120.0, "most density"),
                Input::choice("product", &["urea", "other"], "what is in it").or("urea"),
                Input::number("fill", "1", 0.1, 1.0, "share of the tank filled").or(0.9),
                Input::number("rate_lb_ac", "lb/ac", 0.1, 2000.0, "rate"),
            ],
            outputs: vec![
                out("low_lb", "lb", "least weight"),
                out("high_lb", "lb", "most weight"),
                out("low_ac", "ac", "least acres a fill"),
                out("high_ac", "ac", "most acres a fill"),
            ],
            source: "volume x density x fill / rate",
            run: tank_fill,
        },
        Calculator {
            name: "fertility.fill_plan",
            title: "Fills of a field",
            about: "Where to stop for each fill, what goes in each tank, the last fill, whole packages, tonnes and hours.",
            inputs: vec![
                Input::number("area_ac", "ac", 0.1, 20_000.0, "field"),
                Input::list("volume_ft3", "ft3", 0.1, 5000.0, "volume of each tank"),
                Input::list("density_lb_ft3", "lb/ft3", 5.0, 120.0, "density of what is in each"),
                Input::list("rate_lb_ac", "lb/ac", 0.0, 2000.0, "rate of each"),
                Input::number("fill", "1", 0.1, 1.0, "share of a tank filled").or(0.9),
                Input::choice(
                    "layout",
                    &["full then rest", "even"],
                    "full fills and a rest, or all the same",
                )
                .or("full then rest"),
                Input::number("acres_per_h", "ac/h", 0.1, 500.0, "work rate while going").or(19.0),
                Input::number("refill_min", "min", 0.0, 300.0, "a refill").or(30.0),
                Input::number("package_lb", "lb", 1.0, 100_000.0, "a tote or bag").or(2000.0),
            ],
            outputs: vec![
                out("acres_per_fill", "ac", "how far a full fill goes"),
                out("first_empty", "", "number of the tank that runs out first"),
                out("fills", "", "how many"),
                out("stop_at_ac", "ac", "acres done at each stop"),
                out("last_fill_ac", "ac", "acres of the last fill"),
                out("last_fill_lb", "lb", "what goes in each tank for the last fill"),
                out("total_lb", "lb", "all of each"),
                out("total_t", "t", "all of it together"),
                out("total_short_ton", "short ton", "the same"),
                out("packages", "", "whole packages of each"),
                out("left_lb", "lb", "left in the last package of each"),
                out("hours", "h", "with the refills, the first fill standing ready"),
            ],
            source: "arithmetic",
            run: fill_plan,
        },
    ]
}

fn calibration(a: &Args) -> Answer {
    let width = width_of_openers_m(a.number("openers"), a.number("spacing_in") * MM_PER_IN / 1000.0);
    let area = strip_ha(width, a.number("distance_ft") * M_PER_FT);
    let catches: Vec<f64> = a.list("catch_lb").iter().map(|x| lb_to_kg(*x)).collect();
    let wanted = a.number("wanted_lb_ac");
    let c = calibrate(&catches, area, lb_ac_to_kg_ha(wanted), a.number("setting"), &p().drill)
        .map_err(refused)?;
    let rate = kg_ha_to_lb_ac(c.rate_kg_ha);
    let set = to_step(wanted, a.number("step_lb_ac"), a.maybe_number("limit_lb_ac"));
    let mut w = Working::new("Drill calibration from a catch")
        .line(Op::Note, "Area of the catch", ha_to_acre(area), "ac", 5)
        .line(Op::Note, "Rate of the catch", rate, "lb/ac", 2)
        .line(Op::Start, "Setting", a.number("setting"), "", 3)
        .line(Op::Times, "Rate wanted", wanted, "lb/ac", 2)
        .line(Op::Over, "Rate of the catch", rate, "lb/ac", 2)
        .sum("New setting", c.setting, "", 2)
        .note("For a meter whose rate is in proportion to its setting. Catch again at the new setting.")
        .source("weight over area; arithmetic");
    if c.catch_again {
        w = w.note(format!(
            "The catches differ by {:.0} %: take another before you trust them.",
            c.spread_pct
        ));
    }
    if set < wanted - 1e-9 && a.maybe_number("limit_lb_ac").is_some_and(|l| l < wanted) {
        w = w.note("The rate wanted passes the limit; the rate to set is the highest step within it.");
    }
    Ok(Outcome::new(w)
        .with("rate_lb_ac", rate)
        .with("error_pct", c.error_pct)
        .with("correction", c.correction)
        .with("setting", c.setting)
        .with("spread_pct", c.spread_pct)
        .with("catch_again", if c.catch_again { "yes" } else { "no" })
        .with("set_rate_lb_ac", set))
}

fn tank_fill(a: &Args) -> Answer {
    let (low, high) = (a.number("density_low_lb_ft3"), a.number("density_high_lb_ft3"));
    if low > high {
        return Err(CalcError::Together("the least density is above the most; swap them".into()));
    }
    if a.text("product") == "urea" {
        let most = p().drill.urea_density_max_kg_m3 / lb_ft3_to_kg_m3(1.0);
        check_heap_density(high, most).map_err(refused)?;
    }
    let weight = |density: f64| a.number("volume_ft3") * density * a.number("fill");
    let acres = |density: f64| weight(density) / a.number("rate_lb_ac");
    let w = Working::new("How far a tank goes")
        .line(Op::Start, "Volume", a.number("volume_ft3"), "ft3", 1)
        .line(Op::Times, "Least density", low, "lb/ft3", 1)
        .line(Op::Times, "Filled", a.number("fill"), "", 2)
        .line(Op::Over, "Rate", a.number("rate_lb_ac"), "lb/ac", 1)
        .sum("Acres a fill, least", acres(low), "ac", 1)
        .note(format!("At most {:.1} ac.", acres(high)))
        .source("volume x density x fill / rate");
    Ok(Outcome::new(w)
        .with("low_lb", weight(low))
        .with("high_lb", weight(high))
        .with("low_ac", acres(low))
        .with("high_ac", acres(high)))
}

fn fill_plan(a: &Args) -> Answer {
    let (volumes, densities, rates) = (a.list("volume_ft3"), a.list("density_lb_ft3"), a.list("rate_lb_ac"));
    if volumes.len() != densities.len() || volumes.len() != rates.len() {
        return Err(CalcError::Together(
            "give one volume, density and rate for every tank, in the same order".into(),
        ));
    }
    let tanks: Vec<Tank> = volumes
        .iter()
        .zip(densities)
        .zip(rates)
        .map(|((v, d), r)| Tank {
            volume_m3: v * M_PER_FT.powi(3),
            density_kg_m3: lb_ft3_to_kg_m3(*d),
            fill_fraction: a.number("fill"),
            rate_kg_ha: lb_ac_to_kg_ha(*r),
        })
        .collect();
    let layout = if a.text("layout") == "even" { Layout::Even } else { Layout::FullThenRest };
    let area = acre_to_ha(a.number("area_ac"));
    let plan = plan(area, &tanks, layout).map_err(refused)?;
    let last = plan.fills.last();
    let total_kg: f64 = plan.total_kg.iter().sum();
    let packed: Vec<(f64, f64)> =
        plan.total_kg.iter().map(|kg| packages(*kg, lb_to_kg(a.number("package_lb")))).collect();
    let h = hours(
        area,
        acre_to_ha(a.number("acres_per_h")),
        plan.fills.len(),
        a.number("refill_min") / 60.0,
        true,
    );
    let going = a.number("area_ac") / a.number("acres_per_h");
    let w = Working::new("Fills of a field")
        .line(Op::Note, "A full fill goes", ha_to_acre(plan.ha_per_fill), "ac", 1)
        .line(Op::Note, "Fills", plan.fills.len() as f64, "", 0)
        .line(Op::Start, "Going", going, "h", 2)
        .line(Op::Plus, "Refills", h - going, "h", 2)
        .sum("Hours", h, "h", 2)
        .note(format!("Tank {} runs out first. The first fill stands ready.", plan.first_empty + 1))
        .source("arithmetic")
        .would_change("a weighed density, and the rates");
    Ok(Outcome::new(w)
        .with("acres_per_fill", ha_to_acre(plan.ha_per_fill))
        .with("first_empty", (plan.first_empty + 1) as f64)
        .with("fills", plan.fills.len() as f64)
        .with("stop_at_ac", plan.fills.iter().map(|f| ha_to_acre(f.done_ha)).collect::<Vec<_>>())
        .with("last_fill_ac", last.map_or(0.0, |f| ha_to_acre(f.area_ha)))
        .with("last_fill_lb", last.map_or_else(Vec::new, |f| f.kg.iter().map(|kg| kg_to_lb(*kg)).collect()))
        .with("total_lb", plan.total_kg.iter().map(|kg| kg_to_lb(*kg)).collect::<Vec<_>>())
        .with("total_t", total_kg / 1000.0)
        .with("total_short_ton", total_kg / KG_PER_LB / 2000.0)
        .with("packages", packed.iter().map(|x| x.0).collect::<Vec<_>>())
        .with("left_lb", packed.iter().map(|x| kg_to_lb(x.1)).collect::<Vec<_>>())
        .with("hours", h))
}
