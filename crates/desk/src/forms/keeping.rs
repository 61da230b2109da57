//! Forms for keeping grain: what was read in a bin, and its fan switched on or off.

use serde_json::{Map, Value as Json, json};
use stook_book::payload::{ReadBy, Smell};
use stook_measure::units;

use super::ask::{PERCENT, first, maybe, needed, pairs, plain};
use super::{Ask, Form, Input};

const TEMPERATURE: Ask = Ask::Number {
    unit: |u| u.temperature.words(),
    to_si: |u, x| if u.temperature.key() == "fahrenheit" { units::f_to_c(x) } else { x },
    from_si: |u, x| if u.temperature.key() == "fahrenheit" { units::c_to_f(x) } else { x },
    step: 1.0,
};
const BIN: Input = needed("bin", "Bin", "Read it from outside; never go in.", Ask::Bin);

/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "bin_reading",
        title: "Bin reading",
        glove: true,
        set_up: false,
        inputs: &[
            BIN,
            first(needed("by", "Read with", "", pairs!(ReadBy)), "cable"),
            maybe("top_c", "Temperature, top", "", TEMPERATURE),
            maybe("middle_c", "Temperature, middle", "", TEMPERATURE),
            maybe("bottom_c", "Temperature, bottom", "", TEMPERATURE),
            maybe("top_pct", "Moisture of the top, by probe", "", PERCENT),
            maybe("smell", "Smell of the first air", "", pairs!(Smell)),
            maybe(
                "co2_ppm",
                "Carbon dioxide, with a meter",
                "In the first air the fan pushes out; outdoors is about 420.",
                plain(|_| "ppm", 50.0),
            ),
            maybe(
                "seen",
                "Anything seen from the hatch or the ground",
                "Crust, snow in the eaves, insects, wet streaks.",
                Ask::Text,
            ),
        ],
    },
    Form {
        kind: "fan_run",
        title: "Fan on or off",
        glove: true,
        set_up: false,
        inputs: &[
            BIN,
            needed("on_off", "The fan is now", "", Ask::YesNo("ON", "OFF")),
            maybe("reason", "Why, if you like", "", Ask::Text),
        ],
    },
];

/// Temperatures asked by part of the bin.
const PARTS: [(&str, &str); 3] = [("top_c", "top"), ("middle_c", "middle"), ("bottom_c", "bottom")];

/// Puts flat values into the entry's shape.
pub fn assemble(kind: &str, mut flat: Map<String, Json>) -> Json {
    if kind == "fan_run" {
        if let Some(on) = flat.remove("on_off") {
            flat.insert("on".into(), on);
        }
        return Json::Object(flat);
    }
    let mut points = Vec::new();
    let moisture = flat.remove("top_pct");
    for (key, part) in PARTS {
        let t = flat.remove(key);
        let m = if part == "top" { moisture.clone() } else { None };
        if t.is_some() || m.is_some() {
            let mut point = json!({"part": part});
            if let Some(t) = t {
                point["temperature_c"] = t;
            }
            if let Some(m) = m {
                point["moisture_wb_pct"] = m;
            }
            points.push(point);
        }
    }
    flat.insert("points".into(), json!(points));
    Json::Object(flat)
}

/// What an earlier entry holds for an input that is asked otherwise than kept: its value in the book's unit.
pub fn held(kind: &str, data: &Json, key: &str) -> Option<Json> {
    if kind == "fan_run" {
        return (key == "on_off").then(|| data["on"].clone());
    }
    let of = |part: &str, what: &str| {
        let points = data["points"].as_array()?;
        points.iter().find(|p| p["part"] == part).map(|p| p[what].clone())
    };
    match key {
        "top_pct" => Some(of("top", "moisture_wb_pct").unwrap_or(Json::Null)),
        _ => PARTS
            .iter()
            .find(|(k, _)| *k == key)
            .map(|(_, part)| of(part, "temperature_c").unwrap_or(Json::Null)),
    }
}

/// Points that the form does not ask, such as a cable's by height, stay as they were.
pub fn keep(data: &mut Map<String, Json>, kept: &Map<String, Json>) {
    let asked = |p: &Json| p.get("part").is_some_and(|x| PARTS.iter().any(|(_, part)| *x == *part));
    let others: Vec<Json> = kept
        .get("points")
        .and_then(Json::as_array)
        .into_iter()
        .flatten()
        .filter(|p| !asked(p))
        .cloned()
        .collect();
    if let Some(points) = data.get_mut("points").and_then(Json::as_array_mut) {
        points.extend(others);
    }
}

#[cfg(test)]
mod tests {
    use super::super::{find, prefill, read};
    use stook_book::Payload;
    use stook_book::payload::UnitChoice;

    #[test]
    fn a_reading_goes_in_and_comes_back_for_a_correction() {
        let form = find("bin_reading").unwrap();
        let values = [
            ("bin", "bin-9"),
            ("by", "probe"),
            ("top_c", "26"),
            ("top_pct", "18.5"),
            ("bottom_c", "17"),
            ("smell", "musty"),
        ]
        .map(|(k, v)| (k.to_string(), v.to_string()))
        .into();
        let units = UnitChoice::default();
        let Ok(Payload::BinReading(r)) = read(form, &values, &units, None) else { panic!("a reading") };
        assert_eq!(r.points.len(), 2);
        assert_eq!(r.points[0].moisture_wb_pct, Some(18.5));
        let back = prefill(form, &Payload::from(r.clone()).data().unwrap(), &units);
        assert_eq!(
            (back["top_c"].as_str(), back["top_pct"].as_str(), back["smell"].as_str()),
            ("26", "18.5", "musty")
        );
        // A cable's points by height outlive a correction by form.
        let mut kept = Payload::from(r).data().unwrap();
        kept["points"]
            .as_array_mut()
            .unwrap()
            .push(serde_json::json!({"height_m": 3.0, "temperature_c": 21.0}));
        let Ok(Payload::BinReading(again)) = read(form, &values, &units, Some(&kept)) else {
            panic!("a reading")
        };
        assert_eq!(again.points.len(), 3);
    }

    #[test]
    fn the_fan_is_on_or_off() {
        let form = find("fan_run").unwrap();
        for (text, on) in [("true", true), ("false", false)] {
            let values =
                [("bin", "bin-9"), ("on_off", text)].map(|(k, v)| (k.to_string(), v.to_string())).into();
            let Ok(Payload::FanRun(f)) = read(form, &values, &UnitChoice::default(), None) else {
                panic!("a fan")
            };
            assert_eq!(f.on, on);
            let back = prefill(form, &Payload::from(f).data().unwrap(), &UnitChoice::default());
            assert_eq!(back["on_off"], text);
        }
    }
}
