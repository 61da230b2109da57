//! Field capacity and hours.

use stook_measure::units::{acre_to_ha, ft_to_m, ha_to_acre, mph_to_kmh};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::HarvestParams;
use crate::capacity::{self, KEYS, Machine};
use crate::hours;

fn efficiency() -> Input {
    Input::number("efficiency", "1", 0.1, 1.0, "share of field time at full width and speed").or(0.7)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.field_capacity",
            title: "Acres an hour",
            about: "What a machine covers in an hour, turning, filling and waiting counted. Use the width it really \
                    works.",
            inputs: vec![
                Input::number("width_ft", "ft", 1.0, 200.0, "working width"),
                Input::number("speed_mph", "mph", 0.5, 25.0, "speed"),
                efficiency(),
            ],
            outputs: vec![out("ac_h", "ac/h", "capacity"), out("ha_h", "ha/h", "capacity")],
            source: "Iowa State Univ. AgDM A3-24 and PM 696; Kentucky AEN-73",
            run: field_capacity,
        },
        Calculator {
            name: "harvest.field_capacity_si",
            title: "Hectares and tonnes an hour",
            about: "The same in metric units, with the grain it moves.",
            inputs: vec![
                Input::number("width_m", "m", 0.3, 60.0, "working width"),
                Input::number("speed_kmh", "km/h", 0.5, 40.0, "speed"),
                efficiency(),
                Input::number("yield_t_ha", "t/ha", 0.0, 15.0, "yield").or(3.0),
            ],
            outputs: vec![
                out("ha_h", "ha/h", "capacity"),
                out("ac_h", "ac/h", "capacity"),
                out("t_h", "t/h", "grain moved"),
            ],
            source: "Srivastava et al. 2006, ch. 15, eq. 15.1 and 15.2",
            run: field_capacity_si,
        },
        Calculator {
            name: "harvest.hours_for_area",
            title: "Hours for a field",
            about: "Hours and days for an area at a capacity.",
            inputs: vec![
                Input::number("area_ac", "ac", 0.1, 100_000.0, "area"),
                Input::number("ac_h", "ac/h", 0.1, 300.0, "capacity"),
                Input::number("hours_per_day", "h", 0.5, 24.0, "hours worked on a fit day").or(10.0),
            ],
            outputs: vec![out("hours", "h", "hours"), out("days", "d", "fit days")],
            source: "arithmetic",
            run: hours_for_area,
        },
        Calculator {
            name: "harvest.field_efficiency",
            title: "Field efficiency from your records",
            about: "What share of full width and speed you really do, from acres and hours.",
            inputs: vec![
                Input::number("area_ac", "ac", 0.1, 100_000.0, "acres done"),
                Input::number("hours", "h", 0.1, 10_000.0, "field hours"),
                Input::number("width_ft", "ft", 1.0, 200.0, "working width"),
                Input::number("speed_mph", "mph", 0.5, 25.0, "speed"),
                Input::choice("machine", &KEYS, "machine, to compare with the usual").or("combine"),
            ],
            outputs: vec![
                out("efficiency", "1", "share of full width and speed"),
                out("usual", "1", "usual for the machine"),
                out("usual_low", "1", "usual lowest"),
                out("usual_high", "1", "usual highest"),
            ],
            source: "Iowa State Univ. AgDM A3-24; usual: ASAE D497 table 3, from memory",
            run: field_efficiency,
        },
        Calculator {
            name: "harvest.combine_hours",
            title: "Combine hours in a day",
            about: "Hours fit to combine from the day's humidity, rain and the grain's moisture. A judgement: compare \
                    with your log of first and last loads.",
            inputs: vec![
                Input::number("rh_min_pct", "%", 1.0, 100.0, "lowest humidity of the day"),
                Input::number("rh_max_pct", "%", 1.0, 100.0, "highest humidity of the night").or(92.0),
                Input::number("moisture_pct", "% wb", 8.0, 50.0, "grain moisture, afternoon"),
                Input::number("rain_mm", "mm", 0.0, 200.0, "rain today").or(0.0),
            ],
            outputs: vec![
                out("hours", "h", "hours"),
                out("dry_hours", "h", "hours dry enough for the straw"),
            ],
            source: "judgement; straight cut at 20 % or less (hard red spring wheat, Can. J. Plant Sci.)",
            run: combine_hours,
        },
    ]
}

fn field_capacity(a: &Args) -> Answer {
    let (width, speed, eff) = (a.number("width_ft"), a.number("speed_mph"), a.number("efficiency"));
    let ac = capacity::acres_per_hour(width, speed, eff);
    let ha = capacity::hectares_per_hour(ft_to_m(width), mph_to_kmh(speed), eff);
    let w = Working::new("Acres an hour")
        .line(Op::Start, "Working width", width, "ft", 2)
        .line(Op::Times, "Speed", speed, "mph", 2)
        .line(Op::Times, "Efficiency", eff, "", 3)
        .line(Op::Over, "Feet and miles to acres", 8.25, "", 2)
        .sum("Capacity", ac, "ac/h", 1)
        .source("Iowa State Univ. AgDM A3-24")
        .would_change("your own acres and hours");
    Ok(Outcome::new(w).with("ac_h", ac).with("ha_h", ha))
}

fn field_capacity_si(a: &Args) -> Answer {
    let (width, speed, eff) = (a.number("width_m"), a.number("speed_kmh"), a.number("efficiency"));
    let ha = capacity::hectares_per_hour(width, speed, eff);
    let w = Working::new("Hectares an hour")
        .line(Op::Start, "Working width", width, "m", 3)
        .line(Op::Times, "Speed", speed, "km/h", 3)
        .line(Op::Times, "Efficiency", eff, "", 3)
        .line(Op::Over, "To hectares", 10.0, "", 0)
        .sum("Capacity", ha, "ha/h", 2)
        .source("Srivastava et al. 2006, eq. 15.1");
    let t = capacity::tonnes_per_hour(width, speed, eff, a.number("yield_t_ha"));
    Ok(Outcome::new(w).with("ha_h", ha).with("ac_h", ha_to_acre(ha)).with("t_h", t))
}

fn hours_for_area(a: &Args) -> Answer {
    let hours = capacity::hours_for(a.number("area_ac"), a.number("ac_h"));
    let w = Working::new("Hours for a field")
        .line(Op::Start, "Area", a.number("area_ac"), "ac", 1)
        .line(Op::Over, "Capacity", a.number("ac_h"), "ac/h", 2)
        .sum("Hours", hours, "h", 1)
        .source("arithmetic");
    Ok(Outcome::new(w).with("hours", hours).with("days", hours / a.number("hours_per_day")))
}

fn field_efficiency(a: &Args) -> Answer {
    let full = capacity::acres_per_hour(a.number("width_ft"), a.number("speed_mph"), 1.0);
    let eff = capacity::efficiency_from_records(
        acre_to_ha(a.number("area_ac")),
        a.number("hours"),
        ft_to_m(a.number("width_ft")),
        mph_to_kmh(a.number("speed_mph")),
    );
    let machine = Machine::from_key(a.text("machine")).unwrap_or(Machine::Combine);
    let usual = HarvestParams::shipped().machines[machine as usize];
    let mut w = Working::new("Field efficiency")
        .line(Op::Start, "Done", a.number("area_ac"), "ac", 1)
        .line(Op::Over, "Field hours", a.number("hours"), "h", 2)
        .line(Op::Over, "Full width and speed", full, "ac/h", 2)
        .sum("Efficiency", eff, "", 2)
        .source("Iowa State Univ. AgDM A3-24; usual: ASAE D497 table 3, from memory");
    if eff > 1.0 {
        w = w.note("More than full width and speed: check acres, hours, width and speed.");
    }
    Ok(Outcome::new(w)
        .with("efficiency", eff)
        .with("usual", usual.efficiency)
        .with("usual_low", usual.efficiency_range.0)
        .with("usual_high", usual.efficiency_range.1))
}

fn combine_hours(a: &Args) -> Answer {
    let p = HarvestParams::shipped();
    let (low, high) = (a.number("rh_min_pct"), a.number("rh_max_pct").max(a.number("rh_min_pct")));
    let fit = hours::fit(low, high, a.number("rain_mm"), a.number("moisture_pct"), p);
    let w = Working::new("Combine hours in a day")
        .line(
            Op::Start,
            "Hours dry enough for the straw, dew off, up to the machine's day",
            fit.open_h,
            "h",
            2,
        )
        .line(Op::Times, "Share left by the grain's moisture", fit.by_moisture, "", 3)
        .line(Op::Times, "Share left by rain today", fit.by_rain, "", 3)
        .sum("Hours", fit.hours(), "h", 1)
        .source("judgement")
        .would_change("your own log of first and last loads");
    Ok(Outcome::new(w)
        .with("hours", fit.hours())
        .with("dry_hours", hours::hours_at_or_below(low, high, p.hours.straw_rh_pct)))
}
