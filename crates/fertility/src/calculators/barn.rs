//! What the barn makes, what the air takes, and what the law allows.

use stook_measure::units::{L_PER_IMPERIAL_GALLON, kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out, refused};
use crate::manure::ammonia::{Air, Slurry, Spreading, Working as WorkedIn, share_lost};
use crate::manure::book::{Barn, days_to_full};
use crate::manure::rules::{CHECK_LOCAL_LAW, ClosedDays, Setback, Tier};

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.manure_book",
            title: "Slurry from a barn, by the book",
            about: "Volume and analysis of a survey of Saskatchewan barns. Your own meter and an agitated sample are better. \
                    Phosphorus and potassium are elements.",
            inputs: vec![
                Input::choice("barn", &["farrow", "feeder", "nursery", "farrow_to_finish"], "kind of barn"),
                Input::number(
                    "head",
                    "head",
                    0.0,
                    100_000.0,
                    "animals; sows where the barn is counted by the sow",
                ),
                Input::number("days", "d", 0.0, 3660.0, "days").or(365.0),
                Input::number("stored_m3", "m3", 0.0, 1e6, "in the store now").or(0.0),
                Input::number("store_m3", "m3", 0.0, 1e6, "what the store holds").optional(),
            ],
            outputs: vec![
                out("volume_m3", "m3", "slurry"),
                out("volume_imp_gal", "imp gal", "the same"),
                out("n_kg_m3", "kg/m3", "nitrogen"),
                out("p_kg_m3", "kg/m3", "phosphorus"),
                out("k_kg_m3", "kg/m3", "potassium"),
                out("days_to_full", "d", "days until the store is full"),
            ],
            source: "Saskatchewan Ministry of Agriculture, Properties of Hog Manure, Table 1, survey 2002-2012",
            run: book,
        },
        Calculator {
            name: "fertility.manure_ammonia",
            title: "Ammonia lost from spread slurry, by the hour",
            about: "A second opinion on the table, from steady weather. Fitted around 6 % dry matter, 13 C and pH 7.5, mostly in \
                    Europe; slurry of 1 to 3 % is near the edge of the data.",
            inputs: vec![
                Input::number("dry_matter_pct", "%", 0.5, 15.0, "dry matter").or(6.0),
                Input::number("ph", "", 5.0, 9.5, "pH").or(7.5),
                Input::number("rate_t_ha", "t/ha", 1.0, 200.0, "slurry spread").or(40.0),
                Input::choice("spreading", &["broadcast", "trailing hose", "open slot"], "how")
                    .or("broadcast"),
                Input::number("temperature_c", "C", -5.0, 40.0, "air"),
                Input::number("wind_2m_ms", "m/s", 0.0, 20.0, "wind at 2 m"),
                Input::number("rain_mm_h", "mm/h", 0.0, 20.0, "steady rain").or(0.0),
                Input::number("hours", "h", 0.1, 1000.0, "how long it is watched").or(168.0),
                Input::choice("worked_in", &["no", "shallow", "deep"], "worked in").or("no"),
                Input::number("after_h", "h", 0.0, 1000.0, "hours until then").or(0.0),
            ],
            outputs: vec![out("lost", "1", "share of the ammonium lost"), out("kept", "1", "share kept")],
            source: "Hafner et al. 2019, Atmospheric Environment 199:474, set 1",
            run: ammonia,
        },
        Calculator {
            name: "fertility.manure_phosphorus_limit",
            title: "Phosphate that a rule allows with manure",
            about: "By the soil's Olsen phosphorus. An example of a rule, as summarized; check the local law and its current \
                    text. All of the manure's phosphate counts.",
            inputs: vec![
                Input::choice("rule", &["manitoba_pigs"], "rule").or("manitoba_pigs"),
                Input::number(
                    "olsen_ppm",
                    "ppm",
                    0.0,
                    1000.0,
                    "highest Olsen phosphorus in 0-6 in of the area",
                ),
                Input::number("removal_lb_ac", "lb/ac", 0.0, 200.0, "phosphate the crop takes off"),
                Input::number("years", "years", 1.0, 5.0, "years of a rotation put on at once").or(1.0),
            ],
            outputs: vec![
                out("limited", "", "yes, no, or forbidden"),
                out("p2o5_max_lb_ac", "lb/ac", "most phosphate"),
            ],
            source: "Manitoba Livestock Manure and Mortalities Management Regulation, summary document",
            run: phosphorus_limit,
        },
        Calculator {
            name: "fertility.manure_closed_day",
            title: "Is manure closed on this day?",
            about: "An example of a rule, as summarized; check the local law and its current text.",
            inputs: vec![
                Input::choice("rule", &["manitoba", "manitoba_inundated"], "rule").or("manitoba"),
                Input::number("month", "", 1.0, 12.0, "month"),
                Input::number("day", "", 1.0, 31.0, "day"),
            ],
            outputs: vec![out("closed", "", "yes or no"), out("what", "", "what the rule says")],
            source: "Manitoba regulation; Canadian Association of Agri-Retailers notices 2018 and 2021",
            run: closed,
        },
        Calculator {
            name: "fertility.manure_setback",
            title: "Distance to water on sloping forage or frozen land",
            about: "An example of a rule, as summarized; check the local law and its current text.",
            inputs: vec![Input::number("slope_pct", "%", 0.0, 100.0, "slope towards the water")],
            outputs: vec![
                out("setback_m", "m", "distance to keep"),
                out("verdict", "", "spread or do not spread"),
            ],
            source: "Alberta Agricultural Operation Practices Act, manure application rules",
            run: setback,
        },
    ]
}

fn book(a: &Args) -> Answer {
    let b = Barn::of(a.text("barn")).expect("the choice lists the shipped barns");
    let (head, days) = (a.number("head"), a.number("days"));
    let volume = b.volume_m3(head, days);
    let full = a
        .maybe_number("store_m3")
        .and_then(|s| days_to_full(a.number("stored_m3"), s, b.volume_m3(head, 1.0)));
    let gallons = volume * 1000.0 / L_PER_IMPERIAL_GALLON;
    let w = Working::new("Slurry from a barn, by the book")
        .line(Op::Start, "A head and day", b.l_per_head_day, "L", 1)
        .line(Op::Times, "Head", head, "", 0)
        .line(Op::Times, "Days", days, "", 0)
        .line(Op::Over, "Litres in a cubic metre", 1000.0, "", 0)
        .sum("Slurry", volume, "m3", 1)
        .note(format!(
            "{}: book values, not yours. An agitated sample and a meter are better. {}",
            b.name, b.note
        ))
        .source(b.source.clone());
    Ok(Outcome::new(w)
        .with("volume_m3", volume)
        .with("volume_imp_gal", gallons)
        .with("n_kg_m3", b.n_kg_m3)
        .with("p_kg_m3", b.p_kg_m3)
        .with("k_kg_m3", b.k_kg_m3)
        .with("days_to_full", full.unwrap_or(f64::NAN)))
}

fn ammonia(a: &Args) -> Answer {
    let spreading = match a.text("spreading") {
        "broadcast" => Spreading::Broadcast,
        "open slot" => Spreading::OpenSlot,
        _ => Spreading::TrailingHose,
    };
    let slurry = Slurry {
        dry_matter_pct: a.number("dry_matter_pct"),
        ph: a.number("ph"),
        rate_t_ha: a.number("rate_t_ha"),
        spreading,
    };
    let air = Air {
        temperature_c: a.number("temperature_c"),
        wind_2m_ms: a.number("wind_2m_ms"),
        rain_mm_h: a.number("rain_mm_h"),
    };
    let worked = match a.text("worked_in") {
        "shallow" => Some((WorkedIn::Shallow, a.number("after_h"))),
        "deep" => Some((WorkedIn::Deep, a.number("after_h"))),
        _ => None,
    };
    let lost = share_lost(&slurry, &air, a.number("hours"), worked);
    let w = Working::new("Ammonia lost from spread slurry, by the hour")
        .line(Op::Start, "Ammonium spread", 1.0, "", 4)
        .line(Op::Minus, "Lost to the air", lost, "", 4)
        .sum("Kept", 1.0 - lost, "", 4)
        .note("Two pools, one on the surface and one in the soil, each with its own speed.")
        .source("Hafner et al. 2019, Atmospheric Environment 199:474, set 1")
        .would_change("the weather of the first day, and the hours until it is worked in");
    Ok(Outcome::new(w).with("lost", lost).with("kept", 1.0 - lost))
}

fn phosphorus_limit(a: &Args) -> Answer {
    let tier = Tier::of(Tier::shipped(), a.text("rule"), a.number("olsen_ppm"))
        .ok_or_else(|| refused("the rule has no tier for that test"))?;
    let max =
        tier.p2o5_max_kg_ha(lb_ac_to_kg_ha(a.number("removal_lb_ac")), a.number("years")).map(kg_ha_to_lb_ac);
    let limited = match tier.times_removal {
        None => "no",
        Some(0.0) => "forbidden",
        Some(_) => "yes",
    };
    let w = Working::new("Phosphate that a rule allows with manure")
        .line(Op::Note, "Olsen phosphorus", a.number("olsen_ppm"), "ppm", 0)
        .line(Op::Start, "Taken off by the crop", a.number("removal_lb_ac"), "lb/ac", 1)
        .line(Op::Times, "Times", tier.times_removal.unwrap_or(f64::INFINITY), "", 0)
        .line(Op::Times, "Years at once", a.number("years"), "", 0)
        .note(format!("{}. {CHECK_LOCAL_LAW}", tier.note))
        .source(tier.source.clone());
    let w = match max {
        Some(max) => w.sum("Most phosphate", max, "lb/ac", 1),
        None => w,
    };
    Ok(Outcome::new(w).with("limited", limited).with("p2o5_max_lb_ac", max.unwrap_or(f64::NAN)))
}

fn closed(a: &Args) -> Answer {
    let rule = ClosedDays::shipped()
        .iter()
        .find(|c| c.rule == a.text("rule"))
        .ok_or_else(|| refused("no such rule"))?;
    let holds = rule.holds(a.number("month") as u8, a.number("day") as u8);
    let w = Working::new("Is manure closed on this day?")
        .note(format!(
            "From {}-{:02} to {}-{:02}: {}. {CHECK_LOCAL_LAW}",
            rule.from_month, rule.from_day, rule.to_month, rule.to_day, rule.what
        ))
        .source(rule.source.clone());
    Ok(Outcome::new(w).with("closed", if holds { "yes" } else { "no" }).with("what", rule.what.clone()))
}

fn setback(a: &Args) -> Answer {
    let rows = Setback::for_slope(Setback::shipped(), "alberta", a.number("slope_pct"));
    let row = rows
        .into_iter()
        .find(|r| r.from_slope_pct.is_some())
        .ok_or_else(|| refused("the rule has no row for that slope"))?;
    let w = Working::new("Distance to water on sloping forage or frozen land")
        .line(Op::Note, "Slope", a.number("slope_pct"), "%", 1)
        .note(format!("{}. {CHECK_LOCAL_LAW}", row.what))
        .source(row.source.clone());
    let verdict = if row.setback_m.is_some() { "keep the distance" } else { "do not spread" };
    Ok(Outcome::new(w).with("setback_m", row.setback_m.unwrap_or(f64::NAN)).with("verdict", verdict))
}
