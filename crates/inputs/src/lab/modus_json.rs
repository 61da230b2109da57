//! Modus in JSON: the version 1 structure, and the flattened slim form.

use serde_json::Value as Json;

use super::LabError;
use super::analyte::{Analyte, extractant, plain, unit};
use super::depth::{self, DepthUnit};
use super::finding::{BadRow, Finding, Found, figure_of, is_blank};
use super::table::day_of;

/// A depth as the file gives it.
#[derive(Debug, Clone, Default)]
pub struct RawDepth {
    pub name: Option<String>,
    pub top: Option<f64>,
    pub bottom: Option<f64>,
    pub unit: Option<DepthUnit>,
}

/// A result as the file gives it.
#[derive(Debug, Clone, Default)]
pub struct RawResult {
    pub depth: String,
    pub element: String,
    pub value: String,
    pub unit: String,
    pub test: Option<String>,
}

/// A sample as the file gives it.
#[derive(Debug, Clone, Default)]
pub struct RawSample {
    pub place: usize,
    pub number: Option<String>,
    pub own_number: Option<String>,
    pub wkt: Option<String>,
    pub results: Vec<RawResult>,
}

fn words(x: &Json) -> Option<String> {
    match x {
        Json::String(s) => Some(s.trim().to_string()).filter(|s| !s.is_empty()),
        Json::Number(n) => Some(n.to_string()),
        _ => None,
    }
}

/// An object's values or a list's, in order.
fn each(x: &Json) -> Vec<&Json> {
    match x {
        Json::Array(all) => all.iter().collect(),
        Json::Object(all) => all.values().collect(),
        _ => Vec::new(),
    }
}

/// Reads a file of either form.
pub fn read(text: &str) -> Result<Found, LabError> {
    let whole: Json = serde_json::from_str(text).map_err(|e| LabError::Modus(e.to_string()))?;
    let mut found = Found::default();
    if whole["Events"].is_array() {
        for event in each(&whole["Events"]) {
            version_1(event, &mut found);
        }
    } else {
        // slim: one object, or a list of them
        let all = if whole.is_array() { each(&whole) } else { vec![&whole] };
        if all.iter().all(|x| x["samples"].is_null()) {
            return Err(LabError::Modus("it holds neither Events nor samples".into()));
        }
        for slim_file in all {
            slim(slim_file, &mut found);
        }
    }
    if found.findings.is_empty() && found.bad.is_empty() {
        return Err(LabError::NoSoil);
    }
    Ok(found)
}

fn version_1(event: &Json, found: &mut Found) {
    let soil = &event["EventSamples"]["Soil"];
    let depths: Vec<(String, RawDepth)> = each(&soil["DepthRefs"])
        .into_iter()
        .map(|d| (words(&d["DepthID"]).unwrap_or_default(), raw_depth(d)))
        .collect();
    let field = &event["FMISMetaData"]["FMISProfile"]["Field"];
    let field =
        words(field).or_else(|| words(&field["ID"])).or_else(|| words(&field["Name"])).unwrap_or_default();
    let date = words(&event["EventMetaData"]["EventDate"]);
    let lab = words(&event["LabMetaData"]["LabName"]);
    for (i, s) in each(&soil["SoilSamples"]).into_iter().enumerate() {
        let meta = &s["SampleMetaData"];
        let mut raw = RawSample {
            place: i + 1,
            number: words(&meta["SampleNumber"]),
            own_number: words(&meta["FMISSampleID"]).or_else(|| words(&meta["ReportID"])),
            wkt: words(&meta["Geometry"]["wkt"]).or_else(|| words(&meta["Geometry"])),
            results: Vec::new(),
        };
        for d in each(&s["Depths"]) {
            let id = words(&d["DepthID"]).unwrap_or_default();
            for r in each(&d["NutrientResults"]) {
                raw.results.push(RawResult {
                    depth: id.clone(),
                    element: words(&r["Element"]).unwrap_or_default(),
                    value: words(&r["Value"]).unwrap_or_default(),
                    unit: words(&r["ValueUnit"]).unwrap_or_default(),
                    test: words(&r["ModusTestID"]),
                });
            }
        }
        take(found, &raw, &depths, &field, date.as_deref(), lab.as_deref());
    }
}

fn raw_depth(d: &Json) -> RawDepth {
    let number = |keys: &[&str]| keys.iter().find_map(|k| figure_of(&words(&d[*k])?).map(|x| x.0));
    RawDepth {
        name: words(&d["Name"]).or_else(|| words(&d["name"])),
        top: number(&["StartingDepth", "top", "start"]),
        bottom: number(&["EndingDepth", "bottom", "end"]),
        unit: words(&d["DepthUnit"]).or_else(|| words(&d["units"])).and_then(|u| DepthUnit::of(&u)),
    }
}

fn slim(file: &Json, found: &mut Found) {
    let date = words(&file["date"]);
    let lab = words(&file["lab"]["name"]).or_else(|| words(&file["lab"]));
    let whole_field = words(&file["source"]["field"]["name"]).or_else(|| words(&file["source"]["field"]));
    for (i, s) in each(&file["samples"]).into_iter().enumerate() {
        let field = words(&s["source"]["field"]["name"]).or_else(|| whole_field.clone()).unwrap_or_default();
        let depth = if s["depth"].is_object() { raw_depth(&s["depth"]) } else { raw_depth(&file["depth"]) };
        let geo = &s["geolocation"];
        let wkt =
            geo["lon"].as_f64().zip(geo["lat"].as_f64()).map(|(lon, lat)| format!("POINT({lon} {lat})"));
        let raw = RawSample {
            place: i + 1,
            number: words(&s["lab"]["sampleid"]).or_else(|| words(&s["samplenumber"])),
            own_number: words(&s["source"]["sampleid"]),
            wkt,
            results: each(&s["results"])
                .into_iter()
                .map(|r| RawResult {
                    depth: "slim".into(),
                    element: words(&r["analyte"]).or_else(|| words(&r["element"])).unwrap_or_default(),
                    value: words(&r["value"]).unwrap_or_default(),
                    unit: words(&r["units"]).unwrap_or_default(),
                    test: words(&r["modusTestID"]),
                })
                .collect(),
        };
        let depths = vec![("slim".to_string(), depth)];
        take(found, &raw, &depths, &field, date.as_deref(), lab.as_deref());
    }
}

/// What was measured, by the test's identity first, as one sample may hold three phosphorus figures, and then by name.
fn analyte(r: &RawResult) -> Option<(&'static Analyte, Option<&'static str>)> {
    let by_test = r.test.as_deref().and_then(|t| {
        let mut parts = t.split(['-', '.']);
        (parts.next()? == "S").then_some(())?;
        let what = plain(parts.next()?);
        // shares of the exchange and the like are not the element
        (what != "bs").then(|| {
            Analyte::by_name(match what.as_str() {
                "no3" => "no3n",
                "nh4" => "nh4n",
                other => other,
            })
        })?
    });
    let by_name = Analyte::by_name(&plain(&r.element));
    match (by_name, by_test) {
        (Some((a, said)), Some((b, basis))) if a.key == b.key => Some((a, said.or(basis))),
        (Some(found), _) | (None, Some(found)) => Some(found),
        (None, None) => None,
    }
}

/// Puts one sample's results among the findings.
pub fn take(
    found: &mut Found,
    sample: &RawSample,
    depths: &[(String, RawDepth)],
    field: &str,
    date: Option<&str>,
    lab: Option<&str>,
) {
    let sampled = date.and_then(|d| day_of(d.get(..10).unwrap_or(d), None).ok());
    if let Some(bad) = date.filter(|_| sampled.is_none()) {
        found.bad.push(BadRow {
            line: sample.place,
            column: "EventDate".into(),
            sentence: format!("\"{bad}\" is no day on the calendar."),
        });
    }
    let point = sample.wkt.as_deref().and_then(|w| {
        let inner = w.split_once('(')?.1.split_once(')')?.0;
        let mut numbers = inner.split_whitespace().filter_map(|t| t.parse::<f64>().ok());
        let (lon, lat) = (numbers.next()?, numbers.next()?);
        (lat.abs() <= 90.0 && lon.abs() <= 180.0).then_some((lat, lon))
    });
    let mut unknown: Vec<String> = Vec::new();
    for r in &sample.results {
        if is_blank(&r.value) {
            continue;
        }
        let Some((a, basis)) = analyte(r) else {
            if !r.element.is_empty() {
                unknown.push(r.element.clone());
            }
            continue;
        };
        let Some((value, bound)) = figure_of(&r.value) else {
            found.bad.push(BadRow {
                line: sample.place,
                column: r.element.clone(),
                sentence: format!("\"{}\" is not a number.", r.value),
            });
            continue;
        };
        if bound {
            found.notes.push(format!(
                "Sample {}, {}: \"{}\" is a bound and is taken as the figure itself.",
                sample.place, r.element, r.value
            ));
        }
        let d = depths.iter().find(|(id, _)| *id == r.depth).map(|(_, d)| d.clone()).unwrap_or_default();
        let by_name = d.name.as_deref().and_then(depth::range);
        let depth = d.top.zip(d.bottom).filter(|(t, b)| b > t).map(|(t, b)| (t, b, d.unit)).or(by_name);
        found.findings.push(Finding {
            line: sample.place,
            column: r.element.clone(),
            field: field.to_string(),
            sample: sample.own_number.clone().or_else(|| sample.number.clone()),
            sampled,
            lab: lab.map(str::to_string),
            depth,
            depth_name: d.name.clone(),
            what: a.key.into(),
            value,
            unit: unit(&r.unit).map(str::to_string),
            basis: basis.map(str::to_string),
            extractant: r
                .test
                .as_deref()
                .and_then(extractant)
                .or_else(|| extractant(&r.unit))
                .map(str::to_string),
            point,
            original: format!("{} {} {} {}", r.element, r.value, r.unit, r.test.as_deref().unwrap_or(""))
                .trim()
                .to_string(),
            ..Finding::default()
        });
    }
    if !unknown.is_empty() && sample.place == 1 {
        unknown.dedup();
        found.notes.push(format!("Not read, as no page uses it: {}.", unknown.join(", ")));
    }
}
