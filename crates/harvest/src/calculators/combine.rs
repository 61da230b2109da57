//! The combine's speed, tank and power.

use stook_measure::units::{bu_ac_to_kg_ha, ft_to_m, ha_to_acre, kmh_to_mph, mph_to_kmh};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::HarvestParams;
use crate::combine::{self, SpeedLimits};
use crate::speed::{self, Stakes};

fn width_ft() -> Input {
    Input::number("width_ft", "ft", 3.0, 80.0, "width cut").or(40.0)
}
fn yield_bu_ac() -> Input {
    Input::number("yield_bu_ac", "bu/ac", 1.0, 300.0, "yield")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.combine_speed",
            title: "How fast the combine can go",
            about: "The least of what the separator, the engine, the header and the hauling allow. A single rating does \
                    not carry over between crops and years: your own pan tests do.",
            inputs: vec![
                width_ft(),
                yield_bu_ac(),
                Input::number("lb_per_bu", "lb", 10.0, 80.0, "pounds in a bushel").or(60.0),
                Input::number("mog_to_grain", "1", 0.2, 4.0, "straw and chaff for each weight of grain")
                    .or(1.0),
                Input::number("mog_t_h", "t/h", 2.0, 120.0, "straw and chaff the separator takes").or(22.5),
                Input::number("power_kw", "kW", 10.0, 900.0, "power left for threshing").optional(),
                Input::number("haul_bu_h", "bu/h", 50.0, 20_000.0, "what is hauled away").optional(),
            ],
            outputs: vec![
                out("speed_mph", "mph", "ground speed"),
                out("speed_kmh", "km/h", "ground speed"),
                out("limit", "", "what holds it down"),
                out("bu_h", "bu/h", "grain at that speed, no turns"),
            ],
            source: "Srivastava et al. 2006, eq. 15.2; prairie machinery test institute; power: ASAE D497, from memory",
            run: combine_speed,
        },
        Calculator {
            name: "harvest.speed_for_bushels",
            title: "Speed for so many bushels an hour",
            about: "Full width, no turns.",
            inputs: vec![
                Input::number("bu_h", "bu/h", 10.0, 20_000.0, "bushels an hour"),
                width_ft(),
                yield_bu_ac(),
            ],
            outputs: vec![out("speed_mph", "mph", "ground speed")],
            source: "the acre formula turned about",
            run: |a| {
                let v = combine::speed_for_bushels_mph(
                    a.number("bu_h"),
                    a.number("width_ft"),
                    a.number("yield_bu_ac"),
                );
                let w = Working::new("Speed for so many bushels an hour")
                    .line(Op::Start, "Bushels an hour", a.number("bu_h"), "bu/h", 1)
                    .line(Op::Times, "Feet and miles to acres", 8.25, "", 2)
                    .line(Op::Over, "Width", a.number("width_ft"), "ft", 2)
                    .line(Op::Over, "Yield", a.number("yield_bu_ac"), "bu/ac", 2)
                    .sum("Speed", v, "mph", 2);
                Ok(Outcome::new(w).with("speed_mph", v))
            },
        },
        Calculator {
            name: "harvest.speed_for_mog",
            title: "Speed for a feed rate of straw and chaff",
            about: "Metric: what feeds the separator just so much.",
            inputs: vec![
                Input::number("mog_t_h", "t/h", 0.5, 120.0, "straw and chaff"),
                Input::number("width_m", "m", 1.0, 25.0, "width cut"),
                Input::number("yield_t_ha", "t/ha", 0.1, 20.0, "yield"),
                Input::number("mog_to_grain", "1", 0.2, 4.0, "straw and chaff for each weight of grain")
                    .or(1.0),
            ],
            outputs: vec![out("speed_kmh", "km/h", "ground speed")],
            source: "Srivastava et al. 2006, eq. 15.2 rearranged",
            run: |a| {
                let v = combine::speed_for_mog_kmh(
                    a.number("mog_t_h"),
                    a.number("width_m"),
                    a.number("yield_t_ha"),
                    a.number("mog_to_grain"),
                );
                let w = Working::new("Speed for a feed rate")
                    .line(Op::Start, "Straw and chaff", a.number("mog_t_h"), "t/h", 2)
                    .line(Op::Times, "From hectares", 10.0, "", 0)
                    .line(Op::Over, "Width", a.number("width_m"), "m", 2)
                    .line(Op::Over, "Yield", a.number("yield_t_ha"), "t/ha", 3)
                    .line(Op::Over, "Straw for grain", a.number("mog_to_grain"), "", 2)
                    .sum("Speed", v, "km/h", 2);
                Ok(Outcome::new(w).with("speed_kmh", v))
            },
        },
        Calculator {
            name: "harvest.feed_rate",
            title: "Feed rate in tonnes an hour",
            about: "From pounds a minute.",
            inputs: vec![Input::number("lb_min", "lb/min", 1.0, 10_000.0, "pounds a minute")],
            outputs: vec![out("t_h", "t/h", "tonnes an hour")],
            source: "exact factors",
            run: |a| {
                let t = combine::lb_min_to_t_h(a.number("lb_min"));
                let w = Working::new("Feed rate")
                    .line(Op::Start, "Pounds a minute", a.number("lb_min"), "lb/min", 1)
                    .line(Op::Times, "Kilograms in a pound", stook_measure::units::KG_PER_LB, "kg", 8)
                    .line(Op::Times, "Minutes over kilograms in a tonne", 0.06, "", 2)
                    .sum("Feed rate", t, "t/h", 2);
                Ok(Outcome::new(w).with("t_h", t))
            },
        },
        Calculator {
            name: "harvest.combine_power",
            title: "Power for threshing",
            about: "Small grain, good to half either way. Driving, chopper and unloading come on top.",
            inputs: vec![Input::number("mog_t_h", "t/h", 0.0, 120.0, "straw and chaff")],
            outputs: vec![out("power_kw", "kW", "power")],
            source: "ASAE D497 rotary power table, small grain, from memory",
            run: |a| {
                let p = &HarvestParams::shipped().combine;
                let kw = combine::power_kw(a.number("mog_t_h"), p);
                let w = Working::new("Power for threshing")
                    .line(Op::Start, "Straw and chaff", a.number("mog_t_h"), "t/h", 2)
                    .line(Op::Times, "For each", p.power_kw_per_mog, "kW", 2)
                    .line(Op::Plus, "Empty", p.power_empty_kw, "kW", 1)
                    .sum("Power", kw, "kW", 1);
                Ok(Outcome::new(w).with("power_kw", kw))
            },
        },
        Calculator {
            name: "harvest.tank",
            title: "How soon the tank is full",
            about: "Minutes, acres and feet to a full tank, and how fast it empties.",
            inputs: vec![
                Input::number("tank_bu", "bu", 10.0, 2_000.0, "tank"),
                width_ft(),
                Input::number("speed_mph", "mph", 0.3, 12.0, "ground speed").or(4.0),
                Input::number("yield_bu_ac", "bu/ac", 1.0, 300.0, "yield").or(60.0),
                Input::number("unload_s", "s", 10.0, 3_600.0, "seconds to unload a full tank").or(120.0),
            ],
            outputs: vec![
                out("minutes", "min", "to a full tank"),
                out("acres", "ac", "a tank comes from"),
                out("feet", "ft", "driven meanwhile"),
                out("unload_bu_min", "bu/min", "unloading"),
            ],
            source: "identities",
            run: tank,
        },
        Calculator {
            name: "harvest.imperial_bushels",
            title: "Imperial bushels of volume",
            about: "Tank sizes quoted in imperial bushels (8 gallons).",
            inputs: vec![Input::number("bu", "bu", 0.0, 100_000.0, "imperial bushels")],
            outputs: vec![out("m3", "m3", "cubic metres")],
            source: "Weights and Measures Act (Canada): 4.54609 L to a gallon",
            run: |a| {
                let m3 = combine::imperial_bushels_to_m3(a.number("bu"));
                let w = Working::new("Imperial bushels")
                    .line(Op::Start, "Bushels", a.number("bu"), "bu", 2)
                    .line(Op::Times, "Litres in each", stook_measure::units::L_PER_IMPERIAL_BUSHEL, "L", 5)
                    .line(Op::Over, "Litres in a cubic metre", 1000.0, "L", 0)
                    .sum("Volume", m3, "m3", 2);
                Ok(Outcome::new(w).with("m3", m3))
            },
        },
        Calculator {
            name: "harvest.best_speed",
            title: "The speed that makes most money",
            about: "Grain lost over the back rises with speed; time costs, the more so with rain about. Loss is a power \
                    law through one or two of your own tests: `loss = loss at the tested speed x (speed / tested \
                    speed)^exponent`.",
            inputs: vec![
                width_ft(),
                yield_bu_ac(),
                Input::number("price_bu", "money/bu", 0.0, 100.0, "price of a bushel").or(7.5),
                Input::number(
                    "hour",
                    "money/h",
                    0.0,
                    100_000.0,
                    "what an hour costs: fuel, hands, wear, and the fields that wait",
                ),
                Input::number("tested_mph", "mph", 0.5, 12.0, "speed of your pan test"),
                Input::number("tested_loss_pct", "%", 0.01, 30.0, "machine loss in it, of the crop"),
                Input::number("exponent", "1", 0.3, 6.0, "how steeply loss rises").or(2.0),
                Input::number("efficiency", "1", 0.3, 1.0, "share of time at full width and speed").or(0.7),
                Input::number("fastest_mph", "mph", 1.0, 12.0, "fastest the header and engine allow").or(7.0),
            ],
            outputs: vec![
                out("speed_mph", "mph", "best speed"),
                out("loss_pct", "%", "loss at it"),
                out("saved_ac", "money/ac", "better than at the tested speed"),
            ],
            source: "form of Nyborg 1967; marginal loss against the worth of an hour",
            run: best_speed,
        },
    ]
}

fn combine_speed(a: &Args) -> Answer {
    let p = &HarvestParams::shipped().combine;
    let lb = a.number("lb_per_bu");
    let yield_t_ha = bu_ac_to_kg_ha(a.number("yield_bu_ac"), lb) / 1000.0;
    let width = ft_to_m(a.number("width_ft"));
    let t_per_bu = lb * stook_measure::units::KG_PER_LB / 1000.0;
    let limits = SpeedLimits::of(
        width,
        yield_t_ha,
        a.number("mog_to_grain"),
        a.number("mog_t_h"),
        a.maybe_number("power_kw"),
        a.maybe_number("haul_bu_h").map(|b| b * t_per_bu),
        p,
    );
    let (kmh, limit) = limits.least();
    let mut w = Working::new("How fast the combine can go").line(
        Op::Note,
        "By the separator",
        kmh_to_mph(limits.separator_kmh),
        "mph",
        2,
    );
    for (label, v) in [
        ("By power", limits.power_kmh),
        ("By the header", limits.header_kmh),
        ("By hauling", limits.hauling_kmh),
    ] {
        if v.is_finite() {
            w = w.line(Op::Note, label, kmh_to_mph(v), "mph", 2);
        }
    }
    let w = w
        .sum(format!("The least: {}", limit.words()), kmh_to_mph(kmh), "mph", 2)
        .would_change("a drop-pan test in this crop");
    Ok(Outcome::new(w)
        .with("speed_mph", kmh_to_mph(kmh))
        .with("speed_kmh", kmh)
        .with("limit", limit.words())
        .with("bu_h", crate::capacity::tonnes_per_hour(width, kmh, 1.0, yield_t_ha) / t_per_bu))
}

fn tank(a: &Args) -> Answer {
    let (tank, width, speed, y) =
        (a.number("tank_bu"), a.number("width_ft"), a.number("speed_mph"), a.number("yield_bu_ac"));
    let minutes = combine::tank_minutes(tank, width, speed, y);
    let rate = width * speed / 8.25 * y;
    let w = Working::new("How soon the tank is full")
        .line(Op::Note, "Acres it comes from", combine::tank_acres(tank, y), "ac", 2)
        .line(Op::Start, "Tank", tank, "bu", 1)
        .line(Op::Over, "Bushels an hour at full width and speed", rate, "bu/h", 4)
        .line(Op::Times, "Minutes in an hour", 60.0, "min", 0)
        .sum("Minutes", minutes, "min", 1);
    Ok(Outcome::new(w)
        .with("minutes", minutes)
        .with("acres", combine::tank_acres(tank, y))
        .with("feet", combine::tank_feet(tank, width, y))
        .with("unload_bu_min", tank / (a.number("unload_s") / 60.0)))
}

fn best_speed(a: &Args) -> Answer {
    let crop_ac = a.number("yield_bu_ac") * a.number("price_bu");
    let (tested, loss, b) = (a.number("tested_mph"), a.number("tested_loss_pct"), a.number("exponent"));
    let stakes = Stakes {
        crop_per_ha: ha_to_acre(1.0) * crop_ac,
        hour: a.number("hour"),
        width_m: ft_to_m(a.number("width_ft")),
        efficiency: a.number("efficiency"),
    };
    let law = |kmh: f64| loss * (kmh_to_mph(kmh) / tested).powf(b);
    let best = speed::best(0.5, mph_to_kmh(a.number("fastest_mph")), &stakes, law);
    let now = speed::at(mph_to_kmh(tested), &stakes, law);
    let per_ac = |x: f64| x / ha_to_acre(1.0);
    let saved = per_ac(now.total() - best.total());
    let w = Working::new("The speed that makes most money")
        .line(Op::Note, "Best speed", kmh_to_mph(best.speed_kmh), "mph", 1)
        .line(Op::Start, "Grain lost at the tested speed", per_ac(now.loss_per_ha), "an acre", 2)
        .line(Op::Plus, "Time at it", per_ac(now.time_per_ha), "an acre", 2)
        .line(Op::Minus, "Grain lost at the best speed", per_ac(best.loss_per_ha), "an acre", 2)
        .line(Op::Minus, "Time at it", per_ac(best.time_per_ha), "an acre", 2)
        .sum("Better by", saved, "an acre", 2)
        .would_change("a second pan test at another speed, which fits the exponent; rain in the forecast, which makes an hour dearer");
    Ok(Outcome::new(w)
        .with("speed_mph", kmh_to_mph(best.speed_kmh))
        .with("loss_pct", best.loss_pct)
        .with("saved_ac", saved))
}
