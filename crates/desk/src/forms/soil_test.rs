//! The soil test form: one depth, the usual values, each with its unit as the lab wrote it.

use serde_json::{Value as Json, json};
use stook_book::payload::SampleKind;

use super::{Ask, Input};

const fn number(key: &'static str, label: &'static str, hint: &'static str) -> Input {
    Input {
        key,
        label,
        hint,
        ask: Ask::Number { unit: |_| "", to_si: |_, x| x, from_si: |_, x| x, step: 1.0 },
        needed: false,
        first: "",
    }
}
const fn unit(key: &'static str, label: &'static str) -> Input {
    Input {
        key,
        label,
        hint: "As the sheet says. Look twice: ppm is not lb.",
        ask: Ask::Choice(|| ["ppm", "lb/ac", "kg/ha"].map(|u| (u.to_string(), u.to_string())).to_vec()),
        needed: false,
        first: "",
    }
}

/// The inputs.
pub const INPUTS: &[Input] = &[
    Input { key: "field", label: "Field", hint: "", ask: Ask::Field, needed: true, first: "" },
    Input { key: "sampled", label: "Sampled on", hint: "", ask: Ask::Date, needed: true, first: "" },
    Input { needed: true, first: "0", ..number("top_cm", "From depth, cm", "") },
    Input {
        needed: true,
        first: "15",
        ..number("bottom_cm", "To depth, cm", "6 in is 15 cm, 24 in is 60 cm.")
    },
    number("nitrate_n", "Nitrate nitrogen (N)", ""),
    unit("nitrate_n_unit", "Unit of nitrate nitrogen"),
    number("p", "Phosphorus (P)", "The element, not P2O5."),
    unit("p_unit", "Unit of phosphorus"),
    Input {
        key: "extractant",
        label: "How phosphorus was extracted",
        hint: "Olsen, Bray, Mehlich: the sheet says.",
        ask: Ask::Text,
        needed: false,
        first: "",
    },
    number("k", "Potassium (K)", "The element, not K2O."),
    unit("k_unit", "Unit of potassium"),
    number("s", "Sulphate sulphur (S)", "To two feet, as sulphur and not sulphate."),
    unit("s_unit", "Unit of sulphur"),
    number("ph", "pH", ""),
    number("organic_matter", "Organic matter, %", ""),
    Input {
        key: "sample",
        label: "How it was sampled",
        hint: "",
        ask: Ask::Choice(|| {
            SampleKind::ALL.iter().map(|k| (k.key().to_string(), k.words().to_string())).collect()
        }),
        needed: false,
        first: "",
    },
    Input {
        key: "zone",
        label: "Zone, if it stands for one",
        hint: "",
        ask: Ask::Text,
        needed: false,
        first: "",
    },
    number("cores", "Cores in the bag", "Under 15 one odd core moves the figure."),
    number("soil_temp_c", "Soil at 4 in when it was taken, C", "Over 10 in fall nitrate still forms."),
    Input { key: "lab", label: "Lab", hint: "", ask: Ask::Text, needed: false, first: "" },
    Input {
        key: "text",
        label: "The sheet's own words",
        hint: "Kept as they are.",
        ask: Ask::LongText,
        needed: false,
        first: "",
    },
];

/// Puts the flat values into the entry's shape; a value without its unit is refused with its key.
pub fn assemble(flat: &serde_json::Map<String, Json>) -> Result<Json, (&'static str, String)> {
    let mut values = Vec::new();
    for (key, unit_key) in
        [("nitrate_n", "nitrate_n_unit"), ("p", "p_unit"), ("k", "k_unit"), ("s", "s_unit")]
    {
        let Some(value) = flat.get(key) else { continue };
        let Some(unit) = flat.get(unit_key) else {
            return Err((unit_key, "Say the unit: ppm and lb/ac differ by two or more.".into()));
        };
        let basis = match key {
            "nitrate_n" => "N",
            "p" => "P",
            "s" => "S",
            _ => "K",
        };
        let mut v = json!({"what": key, "value": value, "unit": unit, "basis": basis});
        if key == "p"
            && let Some(e) = flat.get("extractant")
        {
            v["extractant"] = e.clone();
        }
        values.push(v);
    }
    for (key, unit) in [("ph", "1"), ("organic_matter", "%")] {
        if let Some(value) = flat.get(key) {
            values.push(json!({"what": key, "value": value, "unit": unit}));
        }
    }
    let mut out = json!({
        "field": flat.get("field"), "sampled": flat.get("sampled"),
        "layers": [{"top_cm": flat.get("top_cm"), "bottom_cm": flat.get("bottom_cm"), "values": values}],
    });
    for key in ["lab", "text", "sample", "zone", "soil_temp_c"] {
        if let Some(v) = flat.get(key) {
            out[key] = v.clone();
        }
    }
    if let Some(n) = flat.get("cores").and_then(Json::as_f64) {
        out["cores"] = json!(n.round().max(0.0) as u32);
    }
    Ok(out)
}

/// The values asked here.
const ASKED: [&str; 6] = ["nitrate_n", "p", "k", "s", "ph", "organic_matter"];

/// What the first depth of an earlier entry holds for an input.
pub fn prefill(data: &Json, key: &str) -> Option<String> {
    let layer = &data["layers"][0];
    let of = |what: &str| layer["values"].as_array()?.iter().find(|v| v["what"] == what).cloned();
    let found = match key {
        "top_cm" | "bottom_cm" => layer[key].clone(),
        "extractant" => of("p")?["extractant"].clone(),
        _ if ASKED.contains(&key) => of(key)?["value"].clone(),
        _ => match key.strip_suffix("_unit") {
            Some(what) => of(what)?["unit"].clone(),
            None => data[key].clone(),
        },
    };
    match found {
        Json::Null => None,
        Json::String(s) => Some(s),
        Json::Number(n) => n.as_f64().map(|x| x.to_string()),
        other => Some(other.to_string()),
    }
}

/// Keeps the other values of the first depth and the other depths of the entry that is corrected.
pub fn keep(data: &mut serde_json::Map<String, Json>, kept: &serde_json::Map<String, Json>) {
    let Some(old) = kept.get("layers").and_then(Json::as_array) else { return };
    let Some(new) = data.get_mut("layers").and_then(Json::as_array_mut) else { return };
    let others = old.first().and_then(|l| l["values"].as_array());
    if let Some(values) = new.first_mut().and_then(|l| l["values"].as_array_mut()) {
        let other = |v: &&Json| v["what"].as_str().is_some_and(|w| !ASKED.contains(&w));
        values.extend(others.into_iter().flatten().filter(other).cloned());
    }
    new.extend(old.iter().skip(1).cloned());
}
