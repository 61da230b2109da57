//! `/fields/outlines`: outlines and zones from GeoJSON or a shapefile, each given to a field by its name or its place.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use jiff::Timestamp;
use maud::{Markup, html};
use serde_json::{Value as Json, json};
use stook_book::boundary::{self, Geometry};
use stook_book::payload::{FieldZones, KeptFile, Zone};
use stook_book::{Entry, FieldId, validate};
use stook_measure::Reference;
use stook_taskdata::shapes::shapes;
use uuid::Uuid;

use super::files;
use super::outlines_form::form;
use crate::forms::Values;
use crate::pages::{Frame, Place, Reply, Trouble, enter, page, send, sent_file, sentence};
use crate::server::beside;
use crate::state::{Desk, Known, Upload};

const WHERE: &str = "Fields, Outlines and zones";

/// A shape of the file.
pub struct Shape {
    /// The name it came under, or empty.
    pub name: String,
    /// Share of the field's rate its property gives, %.
    pub rate_pct: Option<f64>,
    /// Outline, checked.
    pub shape: Geometry,
    /// Area, ha.
    pub area_ha: f64,
}

/// `/fields/outlines`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let said = asked.get("brought").map(|n| format!("Brought in: {n}."));
        Ok(send(choose(&Frame::of(&desk, &known), &known, said.as_deref(), None)))
    })
    .await?
}

fn choose(frame: &Frame, known: &Known, said: Option<&str>, wrong: Option<&str>) -> Markup {
    let body = html! {
        h1 { "Outlines and zones" }
        @if let Some(s) = said { p.note role="status" { (s) " " a href="/fields" { "To the map" } } }
        div.cols {
            section {
                h2 { "From a file" }
                form method="post" action="/fields/outlines/file" enctype="multipart/form-data" {
                    p.hint { "GeoJSON; or a shapefile: its .shp, .dbf and .prj together, or packed as a zip. In longitude and latitude (WGS 84). You say which shape is which field or zone before anything is kept." }
                    @if let Some(w) = wrong { p.wrong role="alert" { (w) } }
                    div.field { label for="files" { "Files" } input id="files" type="file" name="files" multiple required accept=".json,.geojson,.shp,.dbf,.prj,.shx,.zip"; }
                    div.act { button.yes type="submit" { "Look at it" } }
                }
            }
            section {
                h2 { "In the book" }
                ul { @for r in known.farm.fields.values() { li {
                    a href={ "/field/" (r.field().id) } { (r.field().name) } ": " @if r.field().boundary.is_some() { "outline" } @else { "no outline" }
                    @for z in r.zones.iter().flat_map(|z| &z.is.zones) { ", " (z.name) " " (stook_measure::figure(z.rate_pct, 0)) " %" }
                } } }
                p.under { "A zone's figure is its share of the field's rate: 100 is the rate of the drill card. What no zone covers gets 100." }
            }
        }
    };
    page(frame, Place::Fields, "Outlines and zones", &body)
}

/// `POST /fields/outlines/file`
pub async fn upload(State(desk): State<Arc<Desk>>, parts: Multipart) -> Reply {
    let sent = files::sent(parts).await?;
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let again = |wrong: &str| {
            Ok((StatusCode::UNPROCESSABLE_ENTITY, send(choose(&frame, &known, None, Some(wrong))))
                .into_response())
        };
        if sent.is_empty() {
            return again("Choose a file first; nothing came.");
        }
        let token = files::hold(&desk, sent)?;
        let file = sent_file::kept(&desk, &token, WHERE)?;
        match read(&file) {
            Ok(_) => Ok(Redirect::to(&format!("/fields/outlines/{token}")).into_response()),
            Err(e) => again(&e),
        }
    })
    .await?
}

/// The shapes of an upload.
fn read(file: &Upload) -> Result<Vec<Shape>, String> {
    let folder = files::folder(file).map_err(|t| match t {
        Trouble::Say(_, s) => s,
        _ => "The archive cannot be read.".into(),
    })?;
    let all = if let Some(shp) = folder.ending(".shp") {
        let prj = folder.ending(".prj").map(|b| String::from_utf8_lossy(b).into_owned());
        let found = shapes(shp, folder.ending(".dbf"), prj.as_deref()).map_err(|e| sentence(&e))?;
        let cell = |row: &[(String, String)], keys: &[&str]| {
            row.iter()
                .find(|(k, _)| keys.iter().any(|n| k.eq_ignore_ascii_case(n)))
                .map(|(_, v)| v.trim().to_string())
        };
        found
            .into_iter()
            .map(|s| {
                let name = cell(&s.row, &["name", "field", "label", "zone"]).unwrap_or_default();
                let rate = cell(&s.row, &["rate_pct"]).and_then(|v| v.parse().ok());
                let rings: Json = json!(
                    s.outline
                        .0
                        .iter()
                        .map(|p| p
                            .iter()
                            .map(|r| r.iter().map(|(x, y)| [*x, *y]).collect::<Vec<_>>())
                            .collect::<Vec<_>>())
                        .collect::<Vec<_>>()
                );
                one(&json!({"type": "MultiPolygon", "coordinates": rings}), name, rate)
            })
            .collect::<Result<Vec<_>, _>>()?
    } else {
        let text = folder.ending("json").ok_or("There is no GeoJSON and no .shp among the files.")?;
        let text = String::from_utf8_lossy(text);
        let parsed: Json = serde_json::from_str(text.trim_start_matches('\u{feff}'))
            .map_err(|e| format!("This is not GeoJSON: {e}."))?;
        let features = match parsed["type"].as_str() {
            Some("FeatureCollection") => parsed["features"].as_array().cloned().unwrap_or_default(),
            Some("Feature") => vec![parsed],
            _ => vec![json!({"type": "Feature", "properties": {}, "geometry": parsed})],
        };
        features
            .iter()
            .filter(|f| matches!(f["geometry"]["type"].as_str(), Some("Polygon" | "MultiPolygon")))
            .map(|f| {
                let p = &f["properties"];
                let name = ["name", "field", "label", "zone"]
                    .iter()
                    .find_map(|k| p[*k].as_str())
                    .unwrap_or_default();
                one(&f["geometry"], name.into(), p["rate_pct"].as_f64())
            })
            .collect::<Result<Vec<_>, _>>()?
    };
    if all.is_empty() {
        return Err("There is no outline in it: an outline is a Polygon or MultiPolygon.".into());
    }
    Ok(all)
}

fn one(shape: &Json, name: String, rate_pct: Option<f64>) -> Result<Shape, String> {
    let title = if name.is_empty() { "A shape".to_string() } else { name.clone() };
    let found = boundary::read(&shape.to_string()).map_err(|e| format!("{title}: {}", sentence(&e)))?;
    let o = found.into_iter().next().ok_or("There is no outline in it.")?;
    Ok(Shape { name, rate_pct, shape: o.shape, area_ha: o.area_ha })
}

/// `/fields/outlines/{token}`
pub async fn look(State(desk): State<Arc<Desk>>, Path(token): Path<String>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let file = sent_file::kept(&desk, &token, WHERE)?;
        let shapes = read(&file).map_err(|e| files::said(&e))?;
        Ok(send(page(
            &frame,
            Place::Fields,
            "Outlines and zones",
            &form(&frame, &known, &file, &shapes, &Values::new(), &[]),
        )))
    })
    .await?
}

/// `POST /fields/outlines/{token}`
pub async fn save(
    State(desk): State<Arc<Desk>>,
    Path(token): Path<String>,
    Posted(typed): Posted<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let file = sent_file::kept(&desk, &token, WHERE)?;
        let shapes = read(&file).map_err(|e| files::said(&e))?;
        let original = Uuid::parse_str(&token).ok().map(|id| KeptFile { id, name: file.name.clone() });
        let (entries, mut wrong) = entries(&known, &frame, &shapes, &typed, original.as_ref());
        for e in &entries {
            if let Err(problems) =
                validate(e, &known.farm, &Reference::shipped(), enter::latest(&known, &frame))
            {
                wrong.extend(problems.into_iter().map(|p| p.sentence));
            }
        }
        if entries.is_empty() && wrong.is_empty() {
            wrong.push("Every shape is left out: say what one of them is.".into());
        }
        if !wrong.is_empty() {
            let body = form(&frame, &known, &file, &shapes, &typed, &wrong);
            let page = send(page(&frame, Place::Fields, "Outlines and zones", &body));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        let mut store = desk.store()?;
        if let Some(o) = &original {
            store.keep_file(o.id, &o.name, &file.bytes)?;
        }
        store.append_all(&entries)?;
        Ok(Redirect::to(&format!("/fields/outlines?brought={}", entries.len())).into_response())
    })
    .await?
}

fn entries(
    known: &Known,
    frame: &Frame,
    shapes: &[Shape],
    typed: &Values,
    original: Option<&KeptFile>,
) -> (Vec<Entry>, Vec<String>) {
    let (mut out, mut wrong) = (Vec::new(), Vec::new());
    let mut zones: BTreeMap<FieldId, Vec<Zone>> = BTreeMap::new();
    let mut outlined: Vec<FieldId> = Vec::new();
    let who = known.entries.last().map_or("me", |e| e.who.as_str());
    let mut put = |payload: stook_book::Payload| {
        let mut e = Entry::new(frame.now, who, payload);
        e.written = Timestamp::now();
        out.push(e);
    };
    for (i, s) in shapes.iter().enumerate() {
        let get = |key: &str| typed.get(&format!("{key}{i}")).map_or("", |v| v.trim());
        let Some(record) = known.farm.fields.get(&FieldId::from(get("field"))) else { continue };
        let id = record.field().id.clone();
        match get("is") {
            "outline" if outlined.contains(&id) => {
                wrong.push(format!(
                    "Two shapes are given as the outline of {}; a field has one.",
                    record.field().name
                ));
            }
            "outline" => {
                outlined.push(id);
                let mut f = record.field().clone();
                f.boundary = Some(s.shape.clone());
                put(f.into());
            }
            "zone" => {
                let name =
                    if get("name").is_empty() { format!("zone {}", i + 1) } else { get("name").to_string() };
                match get("rate").replace(',', ".").parse::<f64>() {
                    Ok(rate_pct) => {
                        zones.entry(id).or_default().push(Zone { name, boundary: s.shape.clone(), rate_pct })
                    }
                    Err(_) => wrong.push(format!(
                        "{name}: \"{}\" is no share of the rate; give a percent such as 80.",
                        get("rate")
                    )),
                }
            }
            _ => {}
        }
    }
    for (field, zones) in zones {
        put(FieldZones { field, zones, original: original.cloned() }.into());
    }
    (out, wrong)
}
