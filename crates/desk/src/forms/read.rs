//! From what was typed to a payload, and back for a correction.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};
use stook_book::payload::{FieldId, MachineId, ManureStoreId, SprayProductId, UnitChoice};
use stook_book::validate::Problem;
use stook_book::{Payload, boundary};

use super::{Ask, Form, inputs, keeping, sale, soil_layers, soil_test, spraying, yard};

/// What was typed, by input.
pub type Values = BTreeMap<String, String>;

/// Reads a form. `kept` is the data of the entry it edits: what the form does not ask stays as it was.
///
/// # Errors
/// Each problem beside its input.
pub fn read(
    form: &Form,
    values: &Values,
    units: &UnitChoice,
    kept: Option<&Json>,
) -> Result<Payload, Vec<Problem>> {
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
            Ask::Number { to_si, .. } => match number(text) {
                Some(x) => {
                    flat.insert(input.key.into(), json!(to_si(units, x)));
                }
                None => problems.push(problem(
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
    let mut data = shape(form.kind, flat, values)?;
    if let Some(kept) = kept {
        keep(form, &mut data, kept);
    }
    match Payload::read(form.kind, data) {
        Some(Ok(payload)) => Ok(payload),
        Some(Err(e)) => Err(vec![problem("form", format!("This cannot be written down: {e}."))]),
        None => Err(vec![problem("form", "There is no such kind of entry.".into())]),
    }
}

/// A figure as people type it: `12.5`, `12,5`, `1,950`.
fn number(text: &str) -> Option<f64> {
    let groups: Vec<&str> = text.split('.').next().unwrap_or("").trim_start_matches('-').split(',').collect();
    let thousands =
        groups.len() > 1 && (1..=3).contains(&groups[0].len()) && groups[1..].iter().all(|g| g.len() == 3);
    let plain = match (thousands, text.contains('.')) {
        (true, _) => text.replace(',', ""),
        (false, false) if groups.len() == 2 => text.replace(',', "."),
        _ => text.into(),
    };
    plain.parse().ok().filter(|x: &f64| x.is_finite())
}

/// Brings over from `kept` what the form has no input for.
fn keep(form: &Form, data: &mut Json, kept: &Json) {
    let (Some(data), Some(kept)) = (data.as_object_mut(), kept.as_object()) else { return };
    if form.kind == "soil_test" {
        soil_test::keep(data, kept);
    }
    if form.kind == "bin_reading" {
        keeping::keep(data, kept);
    }
    let asked = |key: &str| {
        let inside = format!("{key}.");
        form.inputs.iter().any(|i| i.key == key || i.key.starts_with(&inside))
    };
    for (key, value) in kept {
        match data.get_mut(key) {
            Some(Json::Object(inner)) if key == "place" => {
                for (k, v) in value.as_object().into_iter().flatten() {
                    inner.entry(k.clone()).or_insert_with(|| v.clone());
                }
            }
            None if !asked(key) && !(form.kind == "spray_pass" && ["mix", "air"].contains(&key.as_str())) => {
                data.insert(key.clone(), value.clone());
            }
            _ => {}
        }
    }
}

fn problem(at: &str, sentence: String) -> Problem {
    Problem { at: at.into(), sentence }
}

/// Flat values into the entry's own shape.
fn shape(kind: &str, mut flat: Map<String, Json>, values: &Values) -> Result<Json, Vec<Problem>> {
    let text = |m: &Map<String, Json>, key: &str| m.get(key).and_then(Json::as_str).unwrap_or("").to_string();
    if inputs::shapes(kind) {
        return inputs::assemble(kind, flat, values).map_err(|(at, s)| vec![problem(at, s)]);
    }
    match kind {
        "bin_reading" | "fan_run" => return Ok(keeping::assemble(kind, flat)),
        "bin" | "load" | "grain_sample" | "bin_measured" => {
            return yard::assemble(kind, flat, values).map_err(|(at, s)| vec![problem(at, s)]);
        }
        k if super::barn::shapes(k) => {
            return super::barn::assemble(kind, flat, values).map_err(|(at, s)| vec![problem(at, s)]);
        }
        "buyer" => sale::assemble(&mut flat).map_err(|(at, s)| vec![problem(at, s)])?,
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
        "manure_store" => {
            let id = values.get("key").filter(|i| !i.is_empty()).cloned();
            let id = id.unwrap_or_else(|| ManureStoreId::from_name(&text(&flat, "name")).0);
            flat.insert("id".into(), json!(id));
        }
        // A pit is called by its name; the book keeps its key.
        "manure_level" | "manure_test" | "barn_count" | "manure_hauled" | "manure_plan" => {
            flat.insert("store".into(), json!(ManureStoreId::from_name(&text(&flat, "store")).0));
            spraying::whole(&mut flat, &["crop_year"]);
        }
        "machine" => {
            let id = values.get("key").filter(|i| !i.is_empty()).cloned();
            let id = id.unwrap_or_else(|| MachineId::from_name(&text(&flat, "name")).0);
            flat.insert("id".into(), json!(id));
        }
        "field" => {
            let id = values.get("key").filter(|i| !i.is_empty()).cloned();
            let id = id.unwrap_or_else(|| FieldId::from_name(&text(&flat, "name")).0);
            flat.insert("id".into(), json!(id));
            let class = flat.remove("soil.class");
            let layers = soil_layers::read(&text(&flat, "soil.layers"))
                .map_err(|e| vec![problem("soil.layers", e)])?;
            flat.remove("soil.layers");
            let soil = match class {
                _ if !layers.is_empty() => json!({"by": "layers", "layers": layers}),
                Some(class) => json!({"by": "class", "class": class}),
                None => json!({"by": "not_known"}),
            };
            flat.insert("soil".into(), soil);
            if flat.contains_key("boundary") {
                let outlines = boundary::read(&text(&flat, "boundary"))
                    .map_err(|e| vec![problem("boundary", e.to_string())])?;
                let outline =
                    one_outline(outlines, &text(&flat, "name")).map_err(|e| vec![problem("boundary", e)])?;
                flat.insert("boundary".into(), serde_json::to_value(outline).unwrap_or_default());
            }
        }
        "crop_plan" | "cost" => spraying::whole(&mut flat, &["crop_year"]),
        "machine_value" => spraying::whole(&mut flat, &["built", "tractor_built"]),
        "spray_pass" => {
            for (key, value) in values.iter().filter(|(k, _)| k.starts_with("mix_")) {
                flat.entry(key.clone()).or_insert_with(|| json!(value));
            }
            flat.retain(|k, v| !k.starts_with("mix_") || v != "");
            let get = |key: &str| values.get(key).map_or("", String::as_str);
            spraying::assemble_pass(&mut flat, get("on"), get("at"))
                .map_err(|(at, sentence)| vec![problem(at, sentence)])?;
        }
        "spray_product" => {
            let id = values.get("key").filter(|i| !i.is_empty()).cloned();
            let id = id.unwrap_or_else(|| SprayProductId::from_name(&text(&flat, "name")).0);
            flat.insert("id".into(), json!(id));
            spraying::whole(
                &mut flat,
                &["pre_harvest_days", "re_entry_hours", "plant_back_days", "mix_place"],
            );
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

/// The outline meant: the only one, or the one that bears the field's name.
fn one_outline(mut outlines: Vec<boundary::NamedOutline>, name: &str) -> Result<boundary::Geometry, String> {
    if outlines.len() == 1 {
        return Ok(outlines.remove(0).shape);
    }
    let is_it = |o: &boundary::NamedOutline| o.name.to_lowercase() == name.trim().to_lowercase();
    let named = outlines.iter().filter(|o| is_it(o)).count();
    match outlines.iter().position(is_it) {
        Some(at) if named == 1 => Ok(outlines.swap_remove(at).shape),
        _ => {
            let names: Vec<&str> =
                outlines.iter().map(|o| o.name.as_str()).filter(|n| !n.is_empty()).take(12).collect();
            Err(format!(
                "It holds {} outlines{}, and {} bears this field's name; give the field the name of its outline, or paste that outline alone.",
                outlines.len(),
                if names.is_empty() { String::new() } else { format!(" ({})", names.join(", ")) },
                if named == 0 { "none" } else { "more than one" },
            ))
        }
    }
}

/// An entry's data as a form would hold it, for a correction.
pub fn prefill(form: &Form, data: &Json, units: &UnitChoice) -> Values {
    let mut values = Values::new();
    for input in form.inputs {
        let mut found = data;
        for part in input.key.split('.') {
            found = &found[part];
        }
        if form.kind == "soil_test" {
            if let Some(text) = soil_test::prefill(data, input.key) {
                values.insert(input.key.into(), text);
            }
            continue;
        }
        if form.kind == "buyer"
            && let Some(text) = sale::prefill(data, input.key)
        {
            values.insert(input.key.into(), text);
            continue;
        }
        if matches!(form.kind, "bin" | "load" | "bin_measured") {
            match yard::prefill(form.kind, data, input.key) {
                Some(yard::Held::Text(text)) => {
                    values.insert(input.key.into(), text);
                    continue;
                }
                Some(yard::Held::Nothing) => continue,
                None => {}
            }
        }
        if form.kind == "spray_pass" && spraying::is_own_shape(input.key) {
            if let Some(text) = spraying::prefill_pass(data, input.key) {
                values.insert(input.key.into(), text);
            }
            continue;
        }
        let held = matches!(form.kind, "bin_reading" | "fan_run")
            .then(|| keeping::held(form.kind, data, input.key))
            .flatten();
        if let Some(h) = &held {
            found = h;
        }
        if let Some(text) = super::barn::prefill(form.kind, data, input.key) {
            values.insert(input.key.into(), text);
            continue;
        }
        if form.kind == "stage_seen" {
            found = &data["stage"][input.key];
            if input.key == "field" {
                found = &data["field"];
            }
        }
        let nested = if inputs::shapes(form.kind) { inputs::prefill(data, input.key) } else { None };
        if let Some(inner) = &nested {
            found = inner;
        }
        let text = match (found, input.ask) {
            (Json::Null, _) => continue,
            (Json::Number(n), Ask::Number { from_si, .. }) => {
                let x = from_si(units, n.as_f64().unwrap_or(0.0));
                format!("{}", (x * 1000.0).round() / 1000.0)
            }
            (Json::String(s), _) => s.clone(),
            (layers, _) if input.key == "soil.layers" => soil_layers::write(layers).unwrap_or_default(),
            (other, _) => other.to_string(),
        };
        values.insert(input.key.into(), text);
    }
    if let Some(key) = data["id"].as_str() {
        values.insert("key".into(), key.into());
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
        let Payload::Seeding(s) = read(form, &typed, &units, None).unwrap() else { panic!("not seeding") };
        assert!((s.depth_mm.unwrap() - 38.1).abs() < 1e-9);
        let back = prefill(form, &Payload::from(s).data().unwrap(), &units);
        assert_eq!(back["depth_mm"], "1.5");
        assert_eq!(back["rate_kg_ha"], "110");
        assert_eq!(back["done"], "true");
    }

    #[test]
    fn figures_as_people_type_them() {
        for (text, want) in [
            ("12.5", Some(12.5)),
            ("12,5", Some(12.5)),
            ("1,950", Some(1950.0)),
            ("1,950.5", Some(1950.5)),
            ("-101,3", Some(-101.3)),
            ("-0.5", Some(-0.5)),
            ("1,2,3", None),
            ("wet", None),
            ("inf", None),
            ("", None),
        ] {
            assert_eq!(number(text), want, "{text}");
        }
    }

    #[test]
    fn an_edit_keeps_what_the_form_does_not_ask() {
        let kept = json!({"id": "long-90", "name": "Long 90", "area_ha": 36.0,
            "soil": {"by": "layers", "layers": [{"top_cm": 0.0, "bottom_cm": 120.0, "sand_pct": 30.0, "clay_pct": 30.0}]}});
        let layers = prefill(find("field").unwrap(), &kept, &UnitChoice::default())["soil.layers"].clone();
        let typed = values(&[
            ("key", "long-90"),
            ("name", "Long Ninety"),
            ("area_ha", "90"),
            ("soil.layers", &layers),
        ]);
        let read = read(find("field").unwrap(), &typed, &UnitChoice::default(), Some(&kept)).unwrap();
        let data = read.data().unwrap();
        assert_eq!(data["id"], "long-90");
        assert_eq!(data["name"], "Long Ninety");
        assert_eq!(data["soil"], kept["soil"]);

        let kept = json!({"field": "a", "sampled": "2025-10-01", "lab": "North", "layers": [
            {"top_cm": 0.0, "bottom_cm": 15.0, "values": [
                {"what": "p", "value": 12.0, "unit": "ppm", "extractant": "Olsen", "basis": "P"},
                {"what": "zinc", "value": 1.1, "unit": "ppm"}]},
            {"top_cm": 15.0, "bottom_cm": 60.0, "values": [{"what": "nitrate_n", "value": 30.0, "unit": "lb/ac"}]}]});
        let form = find("soil_test").unwrap();
        let mut typed = prefill(form, &kept, &UnitChoice::default());
        assert_eq!((typed["p"].as_str(), typed["extractant"].as_str()), ("12", "Olsen"));
        typed.insert("p".into(), "14".into());
        let data = super::read(form, &typed, &UnitChoice::default(), Some(&kept)).unwrap().data().unwrap();
        assert_eq!(data["layers"][0]["values"][0]["value"], 14.0);
        assert_eq!(data["layers"][0]["values"][1]["what"], "zinc");
        assert_eq!(data["layers"][1], kept["layers"][1]);
    }

    #[test]
    fn years_of_costs_and_machines_are_whole_numbers() {
        let typed = values(&[("kind", "land"), ("crop_year", "2026"), ("per_ha", "60")]);
        let Payload::Cost(c) = read(find("cost").unwrap(), &typed, &UnitChoice::default(), None).unwrap()
        else {
            panic!("not a cost")
        };
        assert_eq!((c.crop_year, c.amount, c.crop), (2026, None, None));
        assert!((c.per_ha.unwrap() * stook_measure::units::HA_PER_ACRE - 60.0).abs() < 1e-9);
        let typed = values(&[
            ("machine", "drill"),
            ("new_price", "310000"),
            ("built", "2017"),
            ("power_kw", "400"),
            ("tractor_new_price", "620000"),
            ("tractor_built", "2015"),
        ]);
        let form = find("machine_value").unwrap();
        let Payload::MachineValue(m) = read(form, &typed, &UnitChoice::default(), None).unwrap() else {
            panic!("not a machine's worth")
        };
        assert_eq!((m.built, m.tractor_built), (2017, Some(2015)));
        assert!((m.power_kw.unwrap() - 298.28).abs() < 0.01, "400 hp");
    }

    #[test]
    fn problems_stand_beside_their_inputs() {
        let form = find("rain").unwrap();
        let e = read(form, &values(&[("rain_mm", "a lot")]), &UnitChoice::default(), None).unwrap_err();
        assert_eq!(e[0].at, "rain_mm");
        assert!(e[0].sentence.contains("\"a lot\" is not a number"));
        let e = read(form, &values(&[]), &UnitChoice::default(), None).unwrap_err();
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
            None,
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
