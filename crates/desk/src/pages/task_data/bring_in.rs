//! Task data into the book: a yield map, fertilizer that went on, seed that was sown; all of a file or none of it.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use jiff::Timestamp;
use stook_book::payload::{
    Crop, CropPlan, FertilizerApplied, KeptFile, Load, ProductUsed, Seeding, YieldMap,
};
use stook_book::{Entry, FieldId, Payload, validate};
use stook_measure::Reference;
use stook_taskdata::{Done, Folder, TaskData};
use uuid::Uuid;

use super::entry::yield_map;
use super::files;
use super::look::{self, SEED, WHERE, crop_of, moment, rules};
use crate::forms::Values;
use crate::pages::{Frame, Reply, enter, field_name, send, sent_file};
use crate::server::beside;
use crate::state::{Desk, Known};

/// `POST /harvest/task-data/{token}`
pub async fn save(
    State(desk): State<Arc<Desk>>,
    Path(token): Path<String>,
    Posted(typed): Posted<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let file = sent_file::kept(&desk, &token, WHERE)?;
        let folder = files::folder(&file)?;
        let (data, done) = folder.done(&rules(&known, &Crop::SpringWheat)).map_err(|e| files::said(&e))?;
        // The token is the file's number: the same file sent twice by a double tap is kept once.
        let original = Uuid::parse_str(&token).ok().map(|id| KeptFile { id, name: file.name.clone() });
        let b = Bringing { known: &known, folder: &folder, data: &data, typed: &typed, original };
        let (mut entries, mut wrong) = (Vec::new(), Vec::new());
        for (i, d) in done.iter().enumerate() {
            match b.task(i, d) {
                Ok(more) => entries.extend(more),
                Err(w) => wrong.push(w),
            }
        }
        let latest = enter::latest(&known, &frame);
        for e in &entries {
            if let Err(problems) = validate(e, &known.farm, &Reference::shipped(), latest) {
                let name = e.field().map_or_else(String::new, |f| field_name(&known, f));
                wrong.extend(problems.into_iter().map(|p| format!("{name}: {}", p.sentence)));
            }
        }
        if entries.is_empty() && wrong.is_empty() {
            wrong.push("Every task is left out: choose a field for one at the least.".into());
        }
        if !wrong.is_empty() {
            let page = look::view(&frame, &known, &file, &typed, &wrong)?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, send(page)).into_response());
        }
        let mut store = desk.store()?;
        if let Some(o) = &b.original {
            store.keep_file(o.id, &o.name, &file.bytes)?;
        }
        store.append_all(&entries)?;
        let one_map = entries.iter().filter(|e| e.body.kind() == "yield_map").collect::<Vec<_>>();
        let to = match (one_map.as_slice(), entries.len()) {
            ([m], 1) => format!("/harvest/map/{}", m.id),
            _ => format!("/harvest/task-data?brought={}", entries.len()),
        };
        Ok(Redirect::to(&to).into_response())
    })
    .await?
}

struct Bringing<'a> {
    known: &'a Known,
    folder: &'a Folder,
    data: &'a TaskData,
    typed: &'a Values,
    original: Option<KeptFile>,
}

impl Bringing<'_> {
    fn get(&self, key: &str) -> Option<&str> {
        self.typed.get(key).map(|v| v.trim()).filter(|v| !v.is_empty())
    }

    /// The entries of a task; none when it is left out.
    fn task(&self, i: usize, d: &Done) -> Result<Vec<Entry>, String> {
        let Some(field) = self.get(&format!("field{i}")).map(FieldId::from) else { return Ok(vec![]) };
        let Some((start, end)) = d.span_s.and_then(|s| Some((moment(s.0)?, moment(s.1)?))) else {
            return Ok(vec![]);
        };
        let mut out = Vec::new();
        let mut put = |at, payload: Payload| {
            let who = self.known.entries.last().map_or("me", |e| e.who.as_str());
            let mut e = Entry::new(at, who, payload);
            e.written = Timestamp::now();
            out.push(e);
        };
        if d.yielded.is_some() {
            put(end, self.yield_map(i, d, &field, end)?.into());
        }
        let mut products = Vec::new();
        let mut area_ha = None;
        for (k, (a, name)) in d.applied.iter().enumerate() {
            let Some(product) = self.get(&format!("product{i}.{k}")) else { continue };
            let whole = self.known.farm.fields.get(&field).map(|r| r.field().area_ha);
            let Some(ha) = a.area_ha.or(whole) else { continue };
            if product == SEED {
                put(start, self.seeding(&field, a.rate_kg_ha, ha, end, name.as_deref()).into());
            } else {
                area_ha = Some(f64::max(area_ha.unwrap_or(0.0), ha));
                products.push(ProductUsed {
                    product: product.into(),
                    kg: a.rate_kg_ha * ha,
                    with_seed: false,
                    grade: None,
                });
            }
        }
        if !products.is_empty() {
            let crop_year = CropPlan::year_on(start.date());
            put(start, FertilizerApplied { field, crop_year, products, area_ha, placement: None }.into());
        }
        Ok(out)
    }

    fn yield_map(
        &self,
        i: usize,
        d: &Done,
        field: &FieldId,
        end: jiff::civil::DateTime,
    ) -> Result<YieldMap, String> {
        let typed = self.get(&format!("crop{i}")).map(|k| Crop::from(k.to_string()));
        let crop = crop_of(&self.known.farm, field, end).or(typed).ok_or_else(|| {
            format!(
                "{}: say which crop was cut; no plan of that year is in the book.",
                field_name(self.known, field)
            )
        })?;
        let rules = rules(self.known, &crop);
        let again = self.folder.task(self.data, &d.task, &rules).map_err(|e| e.to_string())?;
        let c = again.yielded.unwrap_or_default();
        let square_m = self.known.reference().get("taskdata.map.square_m");
        let crop_year = Load::harvest_year(end.date());
        Ok(YieldMap {
            original: self.original.clone(),
            ..yield_map(&c, &rules, square_m, field.clone(), crop, crop_year)
        })
    }

    /// Sown; the whole field is done when nine tenths of it were worked.
    fn seeding(
        &self,
        field: &FieldId,
        rate: f64,
        ha: f64,
        end: jiff::civil::DateTime,
        name: Option<&str>,
    ) -> Seeding {
        let whole = self.known.farm.fields.get(field).map_or(ha, |r| r.field().area_ha);
        let done = ha >= 0.9 * whole;
        let lot = self.known.farm.seed_lots.values().find(|l| {
            name.is_some_and(|n| {
                l.is.cultivar.as_deref().is_some_and(|c| n.to_lowercase().contains(&c.to_lowercase()))
            })
        });
        Seeding {
            field: field.clone(),
            lot: lot.map(|l| l.is.id.clone()),
            finished: done.then_some(end),
            rate_kg_ha: Some(rate),
            depth_mm: None,
            area_ha: (!done).then_some(ha.min(whole)),
            done,
        }
    }
}
