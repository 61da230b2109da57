//! Forms of the bin yard: a bin, a load, a sample, a level. A load is asked flat and kept by its two ends.

use serde_json::{Map, Value as Json, json};
use stook_book::BinId;
use stook_book::payload::{
    AirFloor, BinJob, Crop, FansStand, SampledAt, ScaleUnit, UnitChoice, VolumeUnit, Weighed,
};
use stook_measure::units;

use super::ask::{PERCENT, WIDTH, first, maybe, needed, pairs, plain};
use super::read::Values;
use super::{Ask, Form, Input};

const LITRES: f64 = 1000.0;

/// A weight as the scale shows it.
pub(super) const SCALE: Ask = Ask::Number {
    unit: |u| u.scale.words(),
    to_si: |u, x| match u.scale {
        ScaleUnit::Kg => x,
        ScaleUnit::Lb => units::lb_to_kg(x),
        ScaleUnit::Tonnes => x * 1000.0,
    },
    from_si: |u, x| match u.scale {
        ScaleUnit::Kg => x,
        ScaleUnit::Lb => units::kg_to_lb(x),
        ScaleUnit::Tonnes => x / 1000.0,
    },
    step: 500.0,
};
fn litres(u: &UnitChoice) -> f64 {
    match u.volume {
        VolumeUnit::ImperialBushels => units::L_PER_IMPERIAL_BUSHEL,
        VolumeUnit::UsBushels => units::L_PER_US_BUSHEL,
        VolumeUnit::M3 => LITRES,
    }
}
/// A volume.
pub(super) const VOLUME: Ask = Ask::Number {
    unit: |u| u.volume.words(),
    to_si: |u, x| x * litres(u) / LITRES,
    from_si: |u, x| x * LITRES / litres(u),
    step: 50.0,
};
const TEST_WEIGHT: Ask = plain(|_| "kg/hL", 0.5);
const TEMPERATURE: Ask = Ask::Number {
    unit: |u| u.temperature.words(),
    to_si: |u, x| if u.temperature.key() == "fahrenheit" { units::f_to_c(x) } else { x },
    from_si: |u, x| if u.temperature.key() == "fahrenheit" { units::c_to_f(x) } else { x },
    step: 1.0,
};

fn crops() -> Vec<(String, String)> {
    Crop::NAMED[..7].iter().map(|c| (c.key().to_string(), c.words().to_string())).collect()
}

/// The forms.
pub const FORMS: &[Form] = &[
    Form { kind: "load", title: "Load", glove: true, set_up: false, inputs: LOAD },
    Form { kind: "bin_measured", title: "Bin measured", glove: true, set_up: false, inputs: MEASURED },
    Form { kind: "grain_sample", title: "Grain sample", glove: false, set_up: false, inputs: SAMPLE },
    Form { kind: "bin", title: "Bin", glove: false, set_up: true, inputs: BIN },
];

/// A bin.
const BIN: &[Input] = &[
    needed("name", "Name", "", Ask::Text),
    needed("diameter_m", "Across, inside", "", WIDTH),
    needed("wall_m", "Wall, floor or top of hopper to eave", "", WIDTH),
    first(
        needed(
            "floor.shape",
            "Bottom",
            "",
            Ask::Choice(|| {
                [("flat", "flat floor"), ("hopper", "hopper")].map(|(k, w)| (k.into(), w.into())).to_vec()
            }),
        ),
        "flat",
    ),
    maybe("floor.height_m", "Height of the hopper, if it has one", "", WIDTH),
    first(needed("job", "Kept for", "", pairs!(BinJob)), "any"),
    maybe("crop", "Crop, if kept for one", "", Ask::Choice(crops)),
    maybe("capacity_m3", "What it holds, if the plate says", "Else it is reckoned from its size.", VOLUME),
    maybe("cleaned", "Last cleaned out", "", Ask::Date),
    maybe(
        "fan.power_kw",
        "Power of the fan, if it has one",
        "Of one motor. 1 hp is 0.75 kW.",
        plain(|_| "kW", 0.5),
    ),
    maybe(
        "fan.count",
        "Fans on this bin",
        "If there are several, all alike. Not known is one.",
        Ask::Choice(|| (1..=6).map(|n: u8| (n.to_string(), n.to_string())).collect()),
    ),
    maybe("fan.stand", "Several fans stand", "", pairs!(FansStand)),
    maybe("fan.air", "Air comes in by", "", pairs!(AirFloor)),
    maybe(
        "fan.curve",
        "Points of the fan's curve",
        "Of one fan. Pressure in Pa and air in m3/s, a point a line, such as: 250 3.1",
        Ask::LongText,
    ),
];

/// A load.
const LOAD: &[Input] = &[
    maybe("field", "From the field, if off one", "", Ask::FieldOr("not from a field")),
    maybe("from_bin", "Or out of the bin", "", Ask::BinOr("not from a bin")),
    maybe("bought_from", "Or bought from", "", Ask::Text),
    maybe("to_bin", "Into the bin, if into one", "", Ask::BinOr("not into a bin")),
    maybe("to_buyer", "Or to the buyer", "", Ask::Text),
    maybe(
        "to_use",
        "Or for our own use",
        "",
        Ask::Choice(|| {
            [("", "no"), ("mill", "into the feed mill"), ("seed", "into the drill")]
                .map(|(k, w)| (k.into(), w.into()))
                .to_vec()
        }),
    ),
    maybe("elsewhere", "Or elsewhere, if it is gone: where", "", Ask::Text),
    first(needed("weighed", "Weight by", "", pairs!(Weighed)), "truck_scale"),
    maybe("mass_kg", "Weight, if weighed", "Without the truck.", SCALE),
    maybe("tanks", "Or tank-fulls", "", plain(|_| "tanks", 0.5)),
    maybe("tank_m3", "What a tank holds, if counted in tanks", "", VOLUME),
    maybe("volume_m3", "Or volume", "", VOLUME),
    maybe("moisture_wb_pct", "Moisture", "As it left.", PERCENT),
    maybe("dried_to_wb_pct", "Dried to, if it went through the drier", "", PERCENT),
    maybe("test_weight_kg_hl", "Test weight", "", TEST_WEIGHT),
    maybe("dockage_pct", "Dockage", "", PERCENT),
    maybe("protein_pct", "Protein", "", PERCENT),
    first(
        maybe(
            "protein_basis_pct",
            "Protein given at a moisture of",
            "13.5 in Canada, 12 in the United States, 0 dry.",
            PERCENT,
        ),
        "13.5",
    ),
    maybe("don_ppm", "DON", "", plain(|_| "ppm", 0.1)),
    maybe("falling_number_s", "Falling number", "", plain(|_| "s", 10.0)),
    maybe("temperature_c", "Temperature of the grain", "", TEMPERATURE),
    maybe("ticket", "Ticket number", "", Ask::Text),
    maybe("bag", "Number on the sample bag", "", Ask::Text),
    maybe("pass", "Part of the field or pass", "", Ask::Text),
    maybe("truck", "Truck or driver", "", Ask::Text),
    first(
        maybe("emptied", "If out of a bin: the last of it?", "", Ask::YesNo("yes, it is empty", "no")),
        "false",
    ),
    maybe(
        "inside_interval_why",
        "If cut inside a pre-harvest interval: why all the same",
        "The label and the law rule.",
        Ask::Text,
    ),
];

/// A sample of a bin.
const SAMPLE: &[Input] = &[
    needed("bin", "Bin", "", Ask::Bin),
    first(needed("taken", "Taken from", "Never go into a bin for a sample.", pairs!(SampledAt)), "whole"),
    maybe("probings", "Probings mixed", "Twelve or more say something.", plain(|_| "", 1.0)),
    maybe("moisture_wb_pct", "Moisture", "", PERCENT),
    maybe(
        "dried_in_bin",
        "If drier than the loads: did it dry in the bin?",
        "Yes: the water left, and the weight with it. No: the loads were read wrong.",
        Ask::YesNo("yes", "no"),
    ),
    maybe("protein_pct", "Protein", "", PERCENT),
    first(
        maybe(
            "protein_basis_pct",
            "Protein given at a moisture of",
            "13.5 in Canada, 12 in the United States, 0 dry.",
            PERCENT,
        ),
        "13.5",
    ),
    maybe("test_weight_kg_hl", "Test weight", "", TEST_WEIGHT),
    maybe("dockage_pct", "Dockage", "", PERCENT),
    maybe("don_ppm", "DON", "", plain(|_| "ppm", 0.1)),
    maybe("falling_number_s", "Falling number", "", plain(|_| "s", 10.0)),
    maybe("factors.fdk_pct", "Fusarium-damaged kernels", "", PERCENT),
    maybe("factors.ergot_pct", "Ergot", "", PERCENT),
    maybe("temperature_c", "Temperature of the grain", "", TEMPERATURE),
    maybe("grade", "Grade, as given", "", Ask::Text),
    maybe("lab", "Tested by", "", Ask::Text),
    maybe("bag", "Number on the bag", "", Ask::Text),
];

/// A level.
const MEASURED: &[Input] = &[
    needed("bin", "Bin", "Read it from the ground or the ladder; do not go in.", Ask::Bin),
    maybe("down_m", "Down from the eave to the grain, if read so", "At the wall.", DEEP),
    maybe("depth_m", "Or depth of grain at the wall", "", DEEP),
    maybe("volume_m3", "Or volume", "0 for swept empty.", VOLUME),
    maybe(
        "heap",
        "Surface",
        "",
        Ask::Choice(|| {
            [
                ("1", "a full heap"),
                ("0.5", "half a heap"),
                ("0", "level"),
                ("-0.5", "half hollow"),
                ("-1", "a full hollow"),
            ]
            .map(|(k, w)| (k.into(), w.into()))
            .to_vec()
        }),
    ),
    maybe("test_weight_kg_hl", "Test weight", "", TEST_WEIGHT),
];
const DEEP: Ask = Ask::Number {
    unit: |u| u.length.words(),
    to_si: |u, x| if u.length.key() == "feet" { units::ft_to_m(x) } else { x },
    from_si: |u, x| if u.length.key() == "feet" { units::m_to_ft(x) } else { x },
    step: 0.5,
};

type Wrong = (&'static str, String);

/// Puts flat values into the entry's shape.
pub fn assemble(kind: &str, mut flat: Map<String, Json>, values: &Values) -> Result<Json, Wrong> {
    match kind {
        "bin" => bin(&mut flat, values)?,
        "load" => load(&mut flat)?,
        "bin_measured" => {
            let heap = flat.get("heap").and_then(Json::as_str).and_then(|t| t.parse::<f64>().ok());
            if let Some(h) = heap {
                flat.insert("heap".into(), json!(h));
            }
        }
        "grain_sample" => {
            if let Some(n) = flat.get("probings").and_then(Json::as_f64) {
                flat.insert("probings".into(), json!(n.max(0.0).round() as i64));
            }
            if !flat.contains_key("protein_pct") {
                flat.remove("protein_basis_pct");
            }
        }
        _ => {}
    }
    let mut out = Map::new();
    for (key, value) in flat {
        match key.split_once('.') {
            Some((outer, inner)) => out.entry(outer).or_insert_with(|| json!({}))[inner] = value,
            None => {
                out.insert(key, value);
            }
        }
    }
    Ok(Json::Object(out))
}

fn bin(flat: &mut Map<String, Json>, values: &Values) -> Result<(), Wrong> {
    let name = flat.get("name").and_then(Json::as_str).unwrap_or_default().to_string();
    let id = values.get("key").filter(|i| !i.is_empty()).cloned();
    flat.insert("id".into(), json!(id.unwrap_or_else(|| BinId::from_name(&name).0)));
    if flat.get("floor.shape") != Some(&json!("hopper")) {
        flat.remove("floor.height_m");
    }
    if let Some(n) = flat.get("fan.count").and_then(Json::as_str).and_then(|t| t.parse::<u8>().ok()) {
        flat.insert("fan.count".into(), json!(n));
    }
    if let Some(text) = flat.remove("fan.curve") {
        let mut points = Vec::new();
        for line in text.as_str().unwrap_or_default().lines().filter(|l| !l.trim().is_empty()) {
            let numbers: Vec<f64> = line
                .split(|c: char| c.is_whitespace() || c == ';')
                .filter_map(|t| t.replace(',', ".").parse().ok())
                .collect();
            let [pa, m3_s] = numbers.as_slice() else {
                return Err((
                    "fan.curve",
                    format!("\"{line}\" is not a pressure and an airflow, such as: 250 3.1"),
                ));
            };
            points.push(json!({"pressure_pa": pa, "air_m3_s": m3_s}));
        }
        flat.insert("fan.curve".into(), json!(points));
    }
    Ok(())
}

/// The two ends of a load, each said once.
fn load(flat: &mut Map<String, Json>) -> Result<(), Wrong> {
    let mut take = |key: &str| flat.remove(key).filter(|v| v.as_str() != Some(""));
    let mut from: Vec<Json> = Vec::new();
    for (key, end) in [("field", "field"), ("from_bin", "bin"), ("bought_from", "bought")] {
        if let Some(v) = take(key) {
            from.push(json!({end: v}));
        }
    }
    let mut to: Vec<Json> = Vec::new();
    for (key, end) in [("to_bin", "bin"), ("to_buyer", "buyer"), ("elsewhere", "elsewhere")] {
        if let Some(v) = take(key) {
            to.push(json!({end: v}));
        }
    }
    if let Some(v) = take("to_use") {
        to.push(v);
    }
    let one = |mut ends: Vec<Json>, at: &'static str, none: &str, many: &str| match ends.len() {
        1 => Ok(ends.remove(0)),
        0 => Err((at, none.to_string())),
        _ => Err((at, many.to_string())),
    };
    let from = one(
        from,
        "field",
        "Say where it came from: a field, a bin or a seller.",
        "It can come from one place: leave the other empty.",
    )?;
    let to = one(
        to,
        "to_bin",
        "Say where it went: a bin, a buyer, the mill or elsewhere.",
        "It can go to one place: leave the other empty.",
    )?;
    flat.insert("from".into(), from);
    flat.insert("to".into(), to);
    if !flat.contains_key("protein_pct") {
        flat.remove("protein_basis_pct");
    }
    if !flat.contains_key("tanks") {
        flat.remove("tank_m3");
    }
    Ok(())
}

/// What an earlier entry holds for an input that is asked otherwise than kept.
pub enum Held {
    /// This.
    Text(String),
    /// Nothing.
    Nothing,
}

/// Looks it up; `None` for an input that is kept as asked.
pub fn prefill(kind: &str, data: &Json, key: &str) -> Option<Held> {
    let text = |v: &Json| match v.as_str() {
        Some(s) => Held::Text(s.into()),
        None => Held::Nothing,
    };
    Some(match (kind, key) {
        ("bin", "fan.count") => match data["fan"]["count"].as_u64() {
            Some(n) => Held::Text(n.to_string()),
            None => Held::Nothing,
        },
        ("bin", "fan.curve") => match data["fan"]["curve"].as_array() {
            Some(points) => Held::Text(
                points
                    .iter()
                    .map(|p| format!("{} {}", p["pressure_pa"], p["air_m3_s"]))
                    .collect::<Vec<_>>()
                    .join("\n"),
            ),
            None => Held::Nothing,
        },
        ("bin_measured", "heap") => match data["heap"].as_f64() {
            Some(h) => Held::Text(h.to_string()),
            None => Held::Nothing,
        },
        ("load", "field") => match &data["from"]["field"] {
            Json::Null => text(&data["from"]["fields"][0]["field"]),
            one => text(one),
        },
        ("load", "from_bin") => text(&data["from"]["bin"]),
        ("load", "bought_from") => text(&data["from"]["bought"]),
        ("load", "to_bin") => text(&data["to"]["bin"]),
        ("load", "to_buyer") => text(&data["to"]["buyer"]),
        ("load", "elsewhere") => text(&data["to"]["elsewhere"]),
        ("load", "to_use") => text(&data["to"]),
        _ => return None,
    })
}
