//! From what was typed to a payload, and back for a correction.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};
use stook_book::payload::{FieldId, MachineId, UnitChoice};
use stook_book::validate::Problem;
use stook_book::{Payload, boundary};

use super::{Ask, Form, soil_test};

/// What was typed, by input.
pub type Values = BTreeMap<String, String>;

/// Reads a form.
///
/// # Errors
/// Each problem beside its input.
pub fn read(form: &Form, values: &Values, units: &UnitChoice) -> Result<Payload, Vec<Problem>> {
    let mut flat = Map::new();
    let mut problems = Vec::new();
    for input in form.inputs {
        let text = values.get(input.key).map_or("", |t| t.trim());
        if text.is_empty() {
            if input.needed {
                problems.push(problem(input.key, format!("{} is missing.", input.label)));
            }
            continue;
        }
        match input.ask {
            Ask::Number { to_si, .. } => match text.replace(',', ".").parse::<f64>() {
                Ok(x) if x.is_finite() => {
                    flat.insert(input.key.into(), json!(to_si(units, x)));
                }
                _ => problems.push(problem(
                    input.key,
                    format!("\"{text}\" is not a number; write it in figures, such as 12 or 12.5."),
                )),
            },
            Ask::YesNo(..) => {
                flat.insert(input.key.into(), json!(text == "true"));
            }
            _ => {
                flat.insert(input.key.into(), json!(text));
            }
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let data = shape(form.kind, flat, values)?;
    match Payload::read(form.kind, data) {
        Some(Ok(payload)) => Ok(payload),
        Some(Err(e)) => Err(vec![problem("form", format!("This cannot be written down: {e}."))]),
        None => Err(vec![problem("form", "There is no such kind of entry.".into())]),
    }
}

fn problem(at: &str, sentence: String) -> Problem {
    Problem { at: at.into(), sentence }
}

/// Flat values into the entry's own shape.
fn shape(kind: &str, mut flat: Map<String, Json>, values: &Values) -> Result<Json, Vec<Problem>> {
    let text = |m: &Map<String, Json>, key: &str| m.get(key).and_then(Json::as_str).unwrap_or("").to_string();
    match kind {
        "soil_test" => return soil_test::assemble(&flat).map_err(|(at, s)| vec![problem(at, s)]),
        "stage_seen" => {
            let stage = match (flat.remove("leaves"), flat.remove("words")) {
                (Some(n), _) => json!({"leaves": n}),
                (None, Some(w)) => json!({"words": w}),
                (None, None) => {
                    return Err(vec![problem("leaves", "Give the leaves, or choose a stage.".into())]);
                }
            };
            flat.insert("stage".into(), stage);
        }
        "machine" => {
            let id = values.get("id").filter(|i| !i.is_empty()).cloned();
            let id = id.unwrap_or_else(|| MachineId::from_name(&text(&flat, "name")).0);
            flat.insert("id".into(), json!(id));
        }
        "field" => {
            let id = values.get("id").filter(|i| !i.is_empty()).cloned();
            let id = id.unwrap_or_else(|| FieldId::from_name(&text(&flat, "name")).0);
            flat.insert("id".into(), json!(id));
            let soil = match flat.remove("soil.class") {
                Some(class) => json!({"by": "class", "class": class}),
                None => json!({"by": "not_known"}),
            };
            flat.insert("soil".into(), soil);
            if flat.contains_key("boundary") {
                let outline = boundary::read(&text(&flat, "boundary"))
                    .map_err(|e| vec![problem("boundary", e.to_string())])?;
                let Some(first) = outline.into_iter().next() else {
                    return Err(vec![problem("boundary", "No outline was found in it.".into())]);
                };
                flat.insert("boundary".into(), serde_json::to_value(first.shape).unwrap_or_default());
            }
        }
        "spray_pass" | "crop_plan" => {
            for key in ["pre_harvest_days", "re_entry_hours", "crop_year"] {
                if let Some(x) = flat.get(key).and_then(Json::as_f64) {
                    flat.insert(key.into(), json!(x.round() as i64));
                }
            }
        }
        _ => {}
    }
    // Dotted keys are nested.
    let mut out = Map::new();
    for (key, value) in flat {
        match key.split_once('.') {
            Some((outer, inner)) => {
                out.entry(outer).or_insert_with(|| json!({}))[inner] = value;
            }
            None => {
                out.insert(key, value);
            }
        }
    }
    Ok(Json::Object(out))
}

/// An entry's data as a form would hold it, for a correction.
pub fn prefill(form: &Form, data: &Json, units: &UnitChoice) -> Values {
    let mut values = Values::new();
    for input in form.inputs {
        let mut found = data;
        for part in input.key.split('.') {
            found = &found[part];
        }
        if form.kind == "stage_seen" {
            found = &data["stage"][input.key];
            if input.key == "field" {
                found = &data["field"];
            }
        }
        let text = match (found, input.ask) {
            (Json::Null, _) => continue,
            (Json::Number(n), Ask::Number { from_si, .. }) => {
                let x = from_si(units, n.as_f64().unwrap_or(0.0));
                format!("{}", (x * 1000.0).round() / 1000.0)
            }
            (Json::String(s), _) => s.clone(),
            (other, _) => other.to_string(),
        };
        values.insert(input.key.into(), text);
    }
    if let Some(id) = data["id"].as_str() {
        values.insert("id".into(), id.into());
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forms::find;

    fn values(v: &[(&str, &str)]) -> Values {
        v.iter().map(|(k, t)| ((*k).to_string(), (*t).to_string())).collect()
    }

    #[test]
    fn farm_units_become_si_and_come_back() {
        let units = UnitChoice::default();
        let form = find("seeding").unwrap();
        let typed =
            values(&[("field", "long-90"), ("done", "true"), ("depth_mm", "1.5"), ("rate_kg_ha", "110")]);
        let Payload::Seeding(s) = read(form, &typed, &units).unwrap() else { panic!("not seeding") };
        assert!((s.depth_mm.unwrap() - 38.1).abs() < 1e-9);
        let back = prefill(form, &Payload::from(s).data().unwrap(), &units);
        assert_eq!(back["depth_mm"], "1.5");
        assert_eq!(back["rate_kg_ha"], "110");
        assert_eq!(back["done"], "true");
    }

    #[test]
    fn problems_stand_beside_their_inputs() {
        let form = find("rain").unwrap();
        let e = read(form, &values(&[("rain_mm", "a lot")]), &UnitChoice::default()).unwrap_err();
        assert_eq!(e[0].at, "rain_mm");
        assert!(e[0].sentence.contains("\"a lot\" is not a number"));
        let e = read(form, &values(&[]), &UnitChoice::default()).unwrap_err();
        assert!(e[0].sentence.ends_with("is missing."));
        let e = read(
            find("soil_test").unwrap(),
            &values(&[
                ("field", "a"),
                ("sampled", "2026-10-20"),
                ("top_cm", "0"),
                ("bottom_cm", "15"),
                ("p", "12"),
            ]),
            &UnitChoice::default(),
        )
        .unwrap_err();
        assert_eq!(e[0].at, "p_unit");
    }

    #[test]
    fn every_form_is_of_a_known_kind() {
        for f in crate::forms::all() {
            assert!(Payload::KINDS.iter().any(|(k, _)| *k == f.kind), "{}", f.kind);
        }
    }
}
