//! The sprayer's arithmetic as calculators.

// Every calculator has the same signature, whether or not its inputs can be at odds with each other.
#![allow(clippy::unnecessary_wraps)]

use stook_measure::units::HA_PER_ACRE;
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Output, Working};

use crate::SprayParams;
use crate::green;
use crate::nozzle::{self, L_PER_IMP_GAL, L_PER_US_GAL};
use crate::tank::{self, Job, Part, Per};

fn out(key: &'static str, unit: &'static str, about: &'static str) -> Output {
    Output { key, unit, about }
}

fn spacing() -> Input {
    Input::number("spacing_m", "m", 0.15, 2.0, "from nozzle to nozzle; 20 in is 0.508").or(0.508)
}

fn speed() -> Input {
    Input::number("speed_kmh", "km/h", 1.0, 45.0, "speed in work")
}

/// All calculators of this crate.
pub fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "spray.tank_mix",
            title: "Tank mix",
            about: "Fills for an area, what a full tank and the last part-tank take. The label always rules.",
            inputs: vec![
                Input::number("area_ha", "ha", 0.1, 5_000.0, "area"),
                Input::number("water_l_ha", "L/ha", 5.0, 1_000.0, "water and product together"),
                Input::number("tank_l", "L", 50.0, 30_000.0, "what the tank is filled to"),
                Input::number("left_l", "L", 0.0, 30_000.0, "mix of the same kind still in the tank").or(0.0),
                Input::number("liquid_l_ha", "L/ha", 0.0, 100.0, "a liquid product").or(0.0),
                Input::number("dry_kg_ha", "kg/ha", 0.0, 50.0, "a dry product").or(0.0),
                Input::number("adjuvant_pct", "%", 0.0, 5.0, "an adjuvant as a share of the tank").or(0.0),
            ],
            outputs: vec![
                out("fills", "", "fills, the last part-tank counted"),
                out("mix_l", "L", "mix for the whole job"),
                out("full_liquid_l", "L", "liquid product in a full tank"),
                out("last_mix_l", "L", "mix in the last fill"),
                out("last_liquid_l", "L", "liquid product in the last fill"),
                out("liquid_l", "L", "liquid product in all"),
                out("dry_kg", "kg", "dry product in all"),
                out("adjuvant_l", "L", "adjuvant in all"),
                out("water_l", "L", "water in all"),
            ],
            source: "arithmetic; Alberta Agriculture, crop protection guide, Agdex 606-1, sprayer calibration",
            run: tank_mix,
        },
        Calculator {
            name: "spray.nozzle_for_rate",
            title: "Nozzle for a rate",
            about: "What one nozzle must give for a rate at a speed, and the pressure at which a nozzle of a size gives it.",
            inputs: vec![
                Input::number("rate_l_ha", "L/ha", 5.0, 1_000.0, "water and product together"),
                speed(),
                spacing(),
                Input::number("size", "0.1 US gal/min", 0.5, 40.0, "nozzle size: a 04 is 4").or(4.0),
            ],
            outputs: vec![
                out("output_l_min", "L/min", "output of one nozzle"),
                out("output_gal_min", "US gal/min", "the same"),
                out("pressure_kpa", "kPa", "pressure at which this size gives it"),
            ],
            source: "area covered by one nozzle in a minute; flow goes with the square root of pressure",
            run: nozzle_for_rate,
        },
        Calculator {
            name: "spray.rate_worked",
            title: "Rate from a catch",
            about: "The rate the boom puts on, from one nozzle's catch and the speed.",
            inputs: vec![
                Input::number("caught_l", "L", 0.01, 50.0, "caught from one nozzle, the mean of several"),
                Input::number("seconds", "s", 5.0, 600.0, "for how long").or(60.0),
                speed(),
                spacing(),
            ],
            outputs: vec![
                out("output_l_min", "L/min", "output of one nozzle"),
                out("rate_l_ha", "L/ha", "rate"),
                out("rate_l_ac", "L/ac", "rate"),
                out("rate_us_gal_ac", "US gal/ac", "rate"),
                out("rate_imp_gal_ac", "imperial gal/ac", "rate"),
            ],
            source: "area covered by one nozzle in a minute (Oklahoma State University; Alberta Agriculture Agdex 606-1)",
            run: rate_worked,
        },
        Calculator {
            name: "spray.speed_check",
            title: "Speed over a course",
            about: "The speed really driven, tank half full, on ground like the field's.",
            inputs: vec![
                Input::number("course_m", "m", 10.0, 2_000.0, "length of the course").or(100.0),
                Input::number("seconds", "s", 1.0, 2_000.0, "time over it"),
            ],
            outputs: vec![out("speed_kmh", "km/h", "speed"), out("speed_mph", "mph", "speed")],
            source: "distance over time",
            run: speed_check,
        },
        Calculator {
            name: "spray.catch",
            title: "Catch of a boom",
            about: "Which nozzles are out, and how worn the set is.",
            inputs: vec![
                Input::list("caught_l", "L", 0.0, 50.0, "caught from each nozzle in order"),
                Input::number("seconds", "s", 5.0, 600.0, "for how long").or(60.0),
                Input::number("new_l_min", "L/min", 0.05, 30.0, "a new nozzle at this pressure").optional(),
            ],
            outputs: vec![
                out("mean_l_min", "L/min", "mean output"),
                out("out", "", "how many nozzles are out"),
                out("lowest_ok_l_min", "L/min", "least output that is let pass"),
                out("highest_ok_l_min", "L/min", "most output that is let pass"),
            ],
            source: "within 5 % of the mean of the boom: Alberta Agriculture, Agdex 606-1",
            run: catch,
        },
        Calculator {
            name: "spray.burn_off",
            title: "Green left before the drill",
            about: "Share of yield lost to green left standing some days longer in spring. What stands in your field may be more or less than in the trial.",
            inputs: vec![Input::number("days", "d", 0.0, 60.0, "days the green is left longer")],
            outputs: vec![out("loss_pct", "%", "yield lost")],
            source: "University of Saskatchewan weed trials of six years (farm press): 8 % between the first week of May and late May; taken as 21 days",
            run: burn_off,
        },
        Calculator {
            name: "spray.stubble",
            title: "Green left on stubble",
            about: "Water and yield that green on stubble takes from next year's crop.",
            inputs: vec![
                Input::number("leaf_days", "d", 0.0, 100.0, "days of good leaf still to come"),
                Input::number("patch_pct", "%", 0.0, 100.0, "share of the field in thistle patches").or(0.0),
                Input::number("yield_kg_ha", "kg/ha", 0.0, 9_000.0, "next year's yield without them")
                    .or(2_600.0),
                Input::number("kg_ha_per_mm", "kg/ha", 0.0, 40.0, "grain a millimetre of water makes")
                    .or(11.0),
            ],
            outputs: vec![
                out("taken_mm", "mm", "taken from the soil"),
                out("kept_mm", "mm", "of that, still short in spring"),
                out("by_water_kg_ha", "kg/ha", "yield it takes"),
                out("by_thistle_kg_ha", "kg/ha", "yield a spray saves in the patches"),
            ],
            source: "Kansas State University, Tribune: 0.8 in over eight weeks; Darwent and others 1994 and 2004 (Alberta)",
            run: stubble,
        },
    ]
}

type Answer = Result<Outcome, CalcError>;

fn tank_mix(a: &Args) -> Answer {
    let job = Job {
        area_ha: a.number("area_ha"),
        water_l_ha: a.number("water_l_ha"),
        tank_l: a.number("tank_l"),
        left_l: a.number("left_l"),
        even: false,
    };
    let parts = [
        Part { per: Per::LPerHa(a.number("liquid_l_ha")) },
        Part { per: Per::KgPerHa(a.number("dry_kg_ha")) },
        Part { per: Per::PercentOfTank(a.number("adjuvant_pct")) },
    ];
    let sheet = tank::fills(&job, &parts).map_err(|t| CalcError::Together(t.words().into()))?;
    let last = sheet.fills.last();
    let full = sheet.fills.iter().find(|f| (f.mix_l - job.tank_l).abs() < 1e-6);
    let of = |f: Option<&tank::Fill>, k: usize| f.map_or(0.0, |f| f.parts[k]);
    let w = Working::new("Tank mix")
        .line(Op::Start, "area", job.area_ha, "ha", 1)
        .line(Op::Times, "water and product together", job.water_l_ha, "L/ha", 1)
        .line(Op::Minus, "mix still in the tank", job.left_l, "L", 0)
        .sum("mix to make", job.area_ha * job.water_l_ha - job.left_l, "L", 0)
        .note(format!(
            "{} fills of {} L or less; a full tank goes for {} ha.",
            sheet.fills.len(),
            stook_measure::figure(job.tank_l, 0),
            stook_measure::figure(sheet.ha_per_tank, 1)
        ))
        .note("A dry product is taken to need no room; the label's own mixing comes first.")
        .source("arithmetic");
    Ok(Outcome::new(w)
        .with("fills", sheet.fills.len() as f64)
        .with("mix_l", sheet.mix_l)
        .with("full_liquid_l", of(full, 0))
        .with("last_mix_l", last.map_or(0.0, |f| f.mix_l))
        .with("last_liquid_l", of(last, 0))
        .with("liquid_l", sheet.totals[0])
        .with("dry_kg", sheet.totals[1])
        .with("adjuvant_l", sheet.totals[2])
        .with("water_l", sheet.water_l))
}

fn nozzle_for_rate(a: &Args) -> Answer {
    let (rate, speed, spacing) = (a.number("rate_l_ha"), a.number("speed_kmh"), a.number("spacing_m"));
    let wanted = nozzle::output_for_rate(rate, speed, spacing);
    let p = SprayParams::shipped();
    let sized = nozzle::output_of_size(a.number("size"));
    let w = Working::new("Nozzle for a rate")
        .line(Op::Start, "rate", rate, "L/ha", 1)
        .line(Op::Times, "speed", speed, "km/h", 2)
        .line(Op::Times, "nozzle spacing", spacing, "m", 3)
        .line(Op::Over, "to litres a minute", 600.0, "", 0)
        .sum("output of one nozzle", wanted, "L/min", 2)
        .note(format!(
            "A nozzle of this size gives {} L/min at {} kPa.",
            stook_measure::figure(sized, 2),
            stook_measure::figure(p.rated_kpa, 0)
        ))
        .would_change("the nozzle's own chart, which goes before this rule")
        .source("one nozzle covers speed times spacing; flow goes with the square root of pressure");
    Ok(Outcome::new(w)
        .with("output_l_min", wanted)
        .with("output_gal_min", wanted / L_PER_US_GAL)
        .with("pressure_kpa", nozzle::pressure_for(sized, p.rated_kpa, wanted)))
}

fn rate_worked(a: &Args) -> Answer {
    let per_min = a.number("caught_l") * 60.0 / a.number("seconds");
    let rate = nozzle::rate_l_ha(per_min, a.number("speed_kmh"), a.number("spacing_m"));
    let per_ac = rate * HA_PER_ACRE;
    let w = Working::new("Rate worked")
        .line(Op::Start, "output of one nozzle", per_min, "L/min", 3)
        .line(Op::Times, "to a hectare", 600.0, "", 0)
        .line(Op::Over, "speed", a.number("speed_kmh"), "km/h", 2)
        .line(Op::Over, "nozzle spacing", a.number("spacing_m"), "m", 3)
        .sum("rate", rate, "L/ha", 1)
        .would_change("wheel slip and wind on the boom do not; a worn nozzle and a wrong speed do")
        .source("Oklahoma State University; Alberta Agriculture Agdex 606-1");
    Ok(Outcome::new(w)
        .with("output_l_min", per_min)
        .with("rate_l_ha", rate)
        .with("rate_l_ac", per_ac)
        .with("rate_us_gal_ac", per_ac / L_PER_US_GAL)
        .with("rate_imp_gal_ac", per_ac / L_PER_IMP_GAL))
}

fn speed_check(a: &Args) -> Answer {
    let kmh = nozzle::speed_kmh(a.number("course_m"), a.number("seconds"));
    let w = Working::new("Speed")
        .line(Op::Start, "course", a.number("course_m"), "m", 1)
        .line(Op::Over, "time", a.number("seconds"), "s", 1)
        .line(Op::Times, "to km/h", 3.6, "", 1)
        .sum("speed", kmh, "km/h", 2)
        .source("distance over time");
    Ok(Outcome::new(w).with("speed_kmh", kmh).with("speed_mph", stook_measure::units::kmh_to_mph(kmh)))
}

fn catch(a: &Args) -> Answer {
    let p = SprayParams::shipped();
    let caught = a.list("caught_l");
    let c = nozzle::judge_catch(caught, a.number("seconds"), a.maybe_number("new_l_min"), p.uneven_pct)
        .ok_or_else(|| CalcError::Together("Nothing was caught; catch at least one nozzle.".into()))?;
    let mut w = Working::new("Catch").line(Op::Note, "mean output", c.mean_l_min, "L/min", 3).line(
        Op::Note,
        "let pass on either side",
        p.uneven_pct,
        "%",
        0,
    );
    for place in &c.out {
        w = w.line(Op::Note, format!("nozzle {place} against the mean"), c.off_pct[place - 1], "%", 1);
    }
    if let Some(worn) = c.worn_pct {
        w = w.line(Op::Note, "mean over a new nozzle", worn, "%", 1);
        if worn > p.worn_pct {
            w = w.note("The set is worn: replace every nozzle.");
        }
    }
    let w = w.source("Alberta Agriculture, Agdex 606-1");
    Ok(Outcome::new(w)
        .with("mean_l_min", c.mean_l_min)
        .with("out", c.out.len() as f64)
        .with("lowest_ok_l_min", c.mean_l_min * (1.0 - p.uneven_pct / 100.0))
        .with("highest_ok_l_min", c.mean_l_min * (1.0 + p.uneven_pct / 100.0)))
}

fn burn_off(a: &Args) -> Answer {
    let p = SprayParams::shipped();
    let days = a.number("days");
    let loss = 100.0 * green::burn_off_loss(days, p);
    let w = Working::new("Green left before the drill")
        .line(Op::Start, "Lost over the days of the trial", 100.0 * p.burnoff_gain_share, "%", 1)
        .line(Op::Over, "Days of the trial", p.burnoff_over_days, "d", 0)
        .line(
            Op::Times,
            "Days left longer, no more than the trial saw",
            days.min(p.burnoff_over_days),
            "d",
            0,
        )
        .sum("Yield lost", loss, "%", 2)
        .note("The mean of fields with winter annuals. Few weeds cost less, a carpet more.")
        .source("University of Saskatchewan weed trials of six years, in the farm press");
    Ok(Outcome::new(w).with("loss_pct", loss))
}

fn stubble(a: &Args) -> Answer {
    let p = SprayParams::shipped();
    let (days, patches) = (a.number("leaf_days"), a.number("patch_pct") / 100.0);
    let per_mm = a.number("kg_ha_per_mm");
    let s = green::stubble_saved(days, patches, a.number("yield_kg_ha"), per_mm, p);
    let taken = (p.stubble_water_mm_d * days).min(p.stubble_water_most_mm);
    let w = Working::new("Green left on stubble")
        .line(Op::Start, "Water taken while the leaf is good", taken, "mm", 2)
        .line(Op::Times, "Share still short in spring", p.stubble_water_kept, "", 2)
        .line(Op::Times, "Grain a millimetre makes", per_mm, "kg/ha", 2)
        .line(Op::Plus, "Saved in thistle patches", s.by_thistle_kg_ha, "kg/ha", 1)
        .sum("Saved by spraying", s.by_water_kg_ha + s.by_thistle_kg_ha, "kg/ha", 1)
        .note("Patches: their share, by the yield, by what thistle takes there, by what a spray takes out of it.")
        .source("Kansas State University, Tribune; Darwent and others 1994 and 2004 (Alberta)");
    Ok(Outcome::new(w)
        .with("taken_mm", taken)
        .with("kept_mm", green::stubble_water_mm(days, p))
        .with("by_water_kg_ha", s.by_water_kg_ha)
        .with("by_thistle_kg_ha", s.by_thistle_kg_ha))
}
