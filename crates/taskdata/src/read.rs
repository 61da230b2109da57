//! Reading TASKDATA.XML: farm, part fields, products, tasks.

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use serde::Serialize;

use crate::TaskDataError;
use crate::prescription::Outline;
use crate::units::grid_bytes;

/// What a task file holds, as far as it is read here.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TaskData {
    /// First farm.
    pub farm: Option<String>,
    /// Part fields.
    pub fields: Vec<PartField>,
    /// Products: id and name.
    pub products: Vec<(String, String)>,
    /// Tasks.
    pub tasks: Vec<Task>,
}

impl TaskData {
    /// A product's name.
    pub fn product(&self, id: &str) -> Option<&str> {
        self.products.iter().find(|p| p.0 == id).map(|p| p.1.as_str())
    }
}

/// A part field.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartField {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Area, m2.
    pub area_m2: Option<f64>,
    /// Outline, boundary polygons only.
    pub outline: Outline,
}

/// A task.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Task {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Part field.
    pub field: Option<String>,
    /// Status: 1 planned, 2 running, 3 paused, 4 completed, 5 template, 6 cancelled.
    pub status: u8,
    /// Treatment zones.
    pub zones: Vec<ZoneRates>,
    /// Grid.
    pub grid: Option<Grid>,
    /// Time logs by file name, without extension.
    pub logs: Vec<String>,
    /// Products it used, each with the device element it came out of, empty when not said.
    pub products: Vec<(String, String)>,
}

impl Task {
    /// The product that came out of a device element; the task's only one when the element is not named.
    pub fn product_of(&self, element: &str) -> Option<&str> {
        let named = self.products.iter().find(|p| !p.1.is_empty() && p.1 == element);
        let only = || if let [one] = self.products.as_slice() { Some(one) } else { None };
        named.or_else(only).map(|p| p.0.as_str())
    }
}

/// Rates of a treatment zone: dictionary entry and value.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ZoneRates {
    /// Code.
    pub code: u8,
    /// Name.
    pub name: String,
    /// Entries and values.
    pub rates: Vec<(u16, i64)>,
}

/// A grid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Grid {
    /// Columns.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// File, without extension.
    pub file: String,
    /// Type: 1 zone codes, 2 values.
    pub kind: u8,
}

impl Grid {
    /// Whether a file of so many bytes fits a type 1 grid.
    ///
    /// # Errors
    /// When it does not.
    pub fn check(&self, bytes: usize) -> Result<(), TaskDataError> {
        let wanted = grid_bytes(1, self.columns, self.rows, 1);
        if self.kind == 1 && bytes != wanted {
            return Err(TaskDataError::GridLength { file: self.file.clone(), wanted, found: bytes });
        }
        Ok(())
    }
}

/// Reads the text of TASKDATA.XML.
///
/// # Errors
/// The first thing wrong, in a sentence.
pub fn read(xml: &str) -> Result<TaskData, TaskDataError> {
    let mut reader = Reader::from_str(xml.trim_start_matches('\u{feff}'));
    let mut out = TaskData::default();
    let mut path: Vec<String> = Vec::new();
    let mut boundary = false;
    loop {
        let event = reader.read_event().map_err(|e| TaskDataError::Xml(e.to_string()))?;
        let (element, closed) = match &event {
            Event::Start(e) => (e, false),
            Event::Empty(e) => (e, true),
            Event::End(_) => {
                path.pop();
                continue;
            }
            Event::Eof => break,
            _ => continue,
        };
        let tag = element.name().as_ref().to_string();
        if path.is_empty() && tag != "ISO11783_TaskData" {
            return Err(TaskDataError::Root(tag));
        }
        take(&tag, element, &path, &mut out, &mut boundary)?;
        if !closed {
            path.push(tag);
        }
    }
    if !path.is_empty() {
        return Err(TaskDataError::Xml(format!("it ends inside {}", path.join("/"))));
    }
    Ok(out)
}

fn take(
    tag: &str,
    e: &BytesStart<'_>,
    path: &[String],
    out: &mut TaskData,
    boundary: &mut bool,
) -> Result<(), TaskDataError> {
    let inside = |name: &str| path.iter().any(|p| p == name);
    match tag {
        "FRM" if out.farm.is_none() => out.farm = attribute(e, "B")?,
        "PDT" => out.products.push((needed(tag, e, "A")?, attribute(e, "B")?.unwrap_or_default())),
        "PFD" => out.fields.push(PartField {
            id: needed(tag, e, "A")?,
            name: attribute(e, "C")?.unwrap_or_default(),
            area_m2: attribute(e, "D")?.and_then(|a| a.parse().ok()),
            outline: Outline::default(),
        }),
        "PLN" if inside("PFD") => {
            *boundary = attribute(e, "A")?.as_deref() == Some("1");
            if *boundary && let Some(f) = out.fields.last_mut() {
                f.outline.0.push(Vec::new());
            }
        }
        "LSG" if *boundary && inside("PFD") && inside("PLN") => {
            if let Some(polygon) = out.fields.last_mut().and_then(|f| f.outline.0.last_mut()) {
                polygon.push(Vec::new());
            }
        }
        "PNT" if *boundary && inside("PFD") && inside("LSG") => {
            let (north, east) = (degrees(tag, e, "C", 90.0)?, degrees(tag, e, "D", 180.0)?);
            if let Some(ring) =
                out.fields.last_mut().and_then(|f| f.outline.0.last_mut()).and_then(|p| p.last_mut())
            {
                ring.push((east, north));
            }
        }
        "TSK" => out.tasks.push(Task {
            id: needed(tag, e, "A")?,
            name: attribute(e, "B")?.unwrap_or_default(),
            field: attribute(e, "E")?,
            status: number(tag, e, "G", "a status from 1 to 6")?,
            ..Task::default()
        }),
        "TZN" => {
            let zone = ZoneRates {
                code: number(tag, e, "A", "a code from 0 to 254")?,
                name: attribute(e, "B")?.unwrap_or_default(),
                rates: Vec::new(),
            };
            if let Some(t) = out.tasks.last_mut() {
                t.zones.push(zone);
            }
        }
        "PAN" if inside("TSK") => {
            let used = (needed(tag, e, "A")?, attribute(e, "E")?.unwrap_or_default());
            if let Some(t) = out.tasks.last_mut() {
                t.products.push(used);
            }
        }
        "PDV" if inside("TZN") => {
            let hex = needed(tag, e, "A")?;
            let ddi = u16::from_str_radix(&hex, 16).map_err(|_| TaskDataError::Value {
                element: tag.into(),
                attribute: "A",
                value: hex,
                wanted: "a dictionary entry in four hexadecimal digits",
            })?;
            let value = number(tag, e, "B", "a whole number")?;
            if let Some(z) = out.tasks.last_mut().and_then(|t| t.zones.last_mut()) {
                z.rates.push((ddi, value));
            }
        }
        "GRD" => {
            let grid = Grid {
                columns: number(tag, e, "E", "columns")?,
                rows: number(tag, e, "F", "rows")?,
                file: needed(tag, e, "G")?,
                kind: number(tag, e, "I", "type 1 or 2")?,
            };
            if let Some(t) = out.tasks.last_mut() {
                t.grid = Some(grid);
            }
        }
        "TLG" => {
            let file = needed(tag, e, "A")?;
            if let Some(t) = out.tasks.last_mut() {
                t.logs.push(file);
            }
        }
        _ => {}
    }
    Ok(())
}

/// An attribute's text.
pub(crate) fn attribute(e: &BytesStart<'_>, key: &str) -> Result<Option<String>, TaskDataError> {
    for a in e.attributes() {
        let a = a.map_err(|x| TaskDataError::Xml(x.to_string()))?;
        if a.key.as_ref() == key {
            let raw = a.value.to_string();
            let text = quick_xml::escape::unescape(&raw).map_err(|x| TaskDataError::Xml(x.to_string()))?;
            return Ok(Some(text.into_owned()));
        }
    }
    Ok(None)
}

fn needed(tag: &str, e: &BytesStart<'_>, key: &'static str) -> Result<String, TaskDataError> {
    attribute(e, key)?.ok_or_else(|| TaskDataError::Missing { element: tag.into(), attribute: key })
}

fn number<T: std::str::FromStr>(
    tag: &str,
    e: &BytesStart<'_>,
    key: &'static str,
    wanted: &'static str,
) -> Result<T, TaskDataError> {
    let text = needed(tag, e, key)?;
    text.trim().parse().map_err(|_| TaskDataError::Value {
        element: tag.into(),
        attribute: key,
        value: text.clone(),
        wanted,
    })
}

fn degrees(tag: &str, e: &BytesStart<'_>, key: &'static str, most: f64) -> Result<f64, TaskDataError> {
    let wanted = "degrees on the earth";
    let x: f64 = number(tag, e, key, wanted)?;
    if x.abs() <= most {
        return Ok(x);
    }
    Err(TaskDataError::Value { element: tag.into(), attribute: key, value: x.to_string(), wanted })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrong_files_are_named() {
        assert_eq!(read("<gpx/>").unwrap_err(), TaskDataError::Root("gpx".into()));
        assert!(
            read("<ISO11783_TaskData><TSK A=\"TSK1\" G=\"x\"/></ISO11783_TaskData>")
                .unwrap_err()
                .to_string()
                .contains("G=\"x\"")
        );
        assert!(
            read("<ISO11783_TaskData><TSK B=\"a\"/></ISO11783_TaskData>")
                .unwrap_err()
                .to_string()
                .contains("lacks its attribute A")
        );
        assert!(read("<ISO11783_TaskData><PFD A=\"PFD1\">").is_err());
        assert!(read("not xml at all").is_ok_and(|t| t.tasks.is_empty()) || read("not xml at all").is_err());
    }
}
