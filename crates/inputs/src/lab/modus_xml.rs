//! Modus version 1 in XML: events, depths, samples and their nutrient results.

use quick_xml::Reader;
use quick_xml::events::Event;

use super::LabError;
use super::depth::DepthUnit;
use super::finding::{Found, figure_of};
use super::modus_json::{RawDepth, RawResult, RawSample, take};

/// Reads a result file.
pub fn read(text: &str) -> Result<Found, LabError> {
    let mut reader = Reader::from_str(text);
    let mut path: Vec<String> = Vec::new();
    let mut words = String::new();
    let (mut is_modus, mut soil_seen) = (false, false);
    let mut lab: Option<String> = None;
    let mut field = String::new();
    let mut date: Option<String> = None;
    let mut depths: Vec<(String, RawDepth)> = Vec::new();
    let mut sample = RawSample::default();
    let mut depth_id = String::new();
    let mut result = RawResult::default();
    let mut found = Found::default();
    let mut count = 0;
    let broken = |e: &dyn std::fmt::Display| LabError::Modus(e.to_string());
    loop {
        let event = reader.read_event().map_err(|e| broken(&e))?;
        match event {
            Event::Eof => break,
            Event::Start(ref e) | Event::Empty(ref e) => {
                let name = e.local_name().as_ref().to_string();
                let attribute = |wanted: &str| {
                    e.attributes()
                        .flatten()
                        .find(|a| a.key.local_name().as_ref() == wanted)
                        .map(|a| a.value.replace("&amp;", "&").trim().to_string())
                };
                match name.as_str() {
                    "ModusResult" => is_modus = true,
                    "Soil" => soil_seen = true,
                    "Field" => field = attribute("ID").unwrap_or_default(),
                    "DepthRef" => {
                        depths.push((attribute("DepthID").unwrap_or_default(), RawDepth::default()))
                    }
                    "SoilSample" => {
                        count += 1;
                        sample = RawSample { place: count, ..RawSample::default() };
                    }
                    "Depth" => depth_id = attribute("DepthID").unwrap_or_default(),
                    "NutrientResult" => {
                        result = RawResult { depth: depth_id.clone(), ..RawResult::default() }
                    }
                    "Event" => {
                        depths.clear();
                        field.clear();
                        (lab, date) = (None, None);
                    }
                    _ => {}
                }
                words.clear();
                if matches!(event, Event::Start(_)) {
                    path.push(name);
                }
            }
            Event::Text(ref t) => words.push_str(t.as_ref()),
            Event::GeneralRef(ref r) => words.push_str(match r.as_ref() {
                "amp" => "&",
                "lt" => "<",
                "gt" => ">",
                "quot" => "\"",
                "apos" => "'",
                _ => "",
            }),
            Event::CData(ref t) => words.push_str(t.as_ref()),
            Event::End(_) => {
                let name = path.pop().unwrap_or_default();
                let inside = |what: &str| path.iter().any(|p| p == what);
                let said = words.trim().to_string();
                match name.as_str() {
                    "EventDate" => date = Some(said),
                    "LabName" => lab = Some(said),
                    "Field" if !said.is_empty() => field = said,
                    "Name" if inside("DepthRef") => set(&mut depths, |d| d.name = Some(said)),
                    "StartingDepth" => set(&mut depths, |d| d.top = figure_of(&said).map(|x| x.0)),
                    "EndingDepth" => set(&mut depths, |d| d.bottom = figure_of(&said).map(|x| x.0)),
                    "DepthUnit" => set(&mut depths, |d| d.unit = DepthUnit::of(&said)),
                    "SampleNumber" => sample.number = Some(said).filter(|s| !s.is_empty()),
                    "FMISSampleID" => sample.own_number = Some(said).filter(|s| !s.is_empty()),
                    "Geometry" | "WKT" | "wkt" if inside("SampleMetaData") && !said.is_empty() => {
                        sample.wkt = Some(said)
                    }
                    "Element" if inside("NutrientResult") => result.element = said,
                    "Value" if inside("NutrientResult") => result.value = said,
                    "ValueUnit" if inside("NutrientResult") => result.unit = said,
                    "ModusTestID" => result.test = Some(said).filter(|s| !s.is_empty()),
                    "NutrientResult" => sample.results.push(std::mem::take(&mut result)),
                    "SoilSample" => {
                        let done = std::mem::take(&mut sample);
                        take(&mut found, &done, &depths, &field, date.as_deref(), lab.as_deref());
                    }
                    _ => {}
                }
                words.clear();
            }
            _ => {}
        }
    }
    if !is_modus {
        return Err(LabError::Modus("its outermost element is not ModusResult".into()));
    }
    if !path.is_empty() {
        return Err(LabError::Modus(format!("it ends inside {}; it did not arrive whole", path.join(" > "))));
    }
    if !soil_seen || count == 0 {
        return Err(LabError::NoSoil);
    }
    Ok(found)
}

fn set(depths: &mut [(String, RawDepth)], change: impl FnOnce(&mut RawDepth)) {
    if let Some((_, d)) = depths.last_mut() {
        change(d);
    }
}
