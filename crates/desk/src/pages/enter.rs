//! Writing an entry down: the list of forms, one page a form, and the saving.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use maud::{Markup, html};
use serde_json::Value as Json;
use stook_book::payload::{Buyer, CropPlan, FertilizerPlacement, UnitChoice};
use stook_book::validate::Problem;
use stook_book::{Body, Entry, FieldId, MachineId, Payload, SprayProductId, Store, StoreError, validate};
use stook_inputs::report::year_decided_on;
use stook_measure::Reference;
use stook_season::words;
use uuid::Uuid;

use super::form_view::{self, Around};
use super::inputs::accept;
use super::spray::{air, label};
use super::{Frame, Place, Reply, Trouble, page, send};
use crate::forms::{self, Ask, Form, Values};
use crate::server::beside;
use crate::state::{Desk, Known};

/// `/enter`
pub async fn list(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let entry = |f: &&Form| !f.set_up && f.kind != "decision_answer";
        let in_glove: Vec<&Form> = forms::all().filter(entry).filter(|f| f.glove).collect();
        let at_table: Vec<&Form> = forms::all().filter(entry).filter(|f| !f.glove).collect();
        let body = html! {
            h1 { "Write it down" }
            section {
                h2 { "In the field" }
                ul.plain.glove { @for f in in_glove { li { a.big href={ "/enter/" (f.kind) } { (f.title) } } } }
            }
            section {
                h2 { "At the table" }
                ul.plain { @for f in at_table { li { a href={ "/enter/" (f.kind) } { (f.title) } } } }
            }
        };
        Ok(send(page(&frame, Place::Write, "Write it down", &body)))
    })
    .await?
}

/// What each form carries over from the last entry of its kind: what tends to stay, never a reading.
const STAYS: [&str; 24] = [
    "product_id",
    "operator",
    "licence",
    "nozzle",
    "field",
    "operation",
    "depth_mm",
    "rate_kg_ha",
    "purpose",
    "product",
    "rate",
    "method",
    "lab",
    "extractant",
    "what",
    "unit",
    "crop_year",
    "from_bin",
    "to_bin",
    "weighed",
    "tank_m3",
    "truck",
    "protein_basis_pct",
    "bin",
];

/// `/enter/{kind}`
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(kind): Path<String>,
    Query(asked): Query<Values>,
) -> Reply {
    beside(move || {
        let form = find(&kind)?;
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let mut values = known_values(form, &known, &frame);
        if let Some(earlier) = asked.get("replaces") {
            let earlier = find_entry(&known, earlier)?;
            values.extend(of_entry(form, earlier, &frame.units));
            values.insert("replaces".into(), earlier.id.to_string());
        }
        values.extend(
            asked
                .iter()
                .filter(|(k, _)| form.inputs.iter().any(|i| i.key == *k))
                .map(|(k, v)| (k.clone(), v.clone())),
        );
        if form.kind == "spray_pass" {
            label::before_showing(&mut values, &asked, &known.farm, &frame.units);
            fill_air(&mut values, &desk, &known, &frame)?;
        }
        if let Some(data) = base(form, &asked, &known) {
            values.extend(forms::prefill(form, &data, &frame.units));
        }
        Ok(send(view(form, &frame, &known, &values, &[])))
    })
    .await?
}

fn find(kind: &str) -> Result<&'static Form, Trouble> {
    forms::find(kind).ok_or_else(|| Trouble::missing("There is no form of that name."))
}

fn find_entry<'a>(known: &'a Known, id: &str) -> Result<&'a Entry, Trouble> {
    let id: Option<Uuid> = id.parse().ok();
    known
        .entries
        .iter()
        .find(|e| Some(e.id) == id)
        .ok_or_else(|| Trouble::missing("There is no such entry in the book."))
}

/// What is known before anything is typed.
pub(super) fn known_values(form: &Form, known: &Known, frame: &Frame) -> Values {
    let mut values = Values::new();
    for i in form.inputs {
        if !i.first.is_empty() {
            values.insert(i.key.into(), i.first.into());
        }
    }
    values.insert("crop_year".into(), CropPlan::year_on(frame.day()).to_string());
    if matches!(form.kind, "fertilizer_plan" | "manure_plan") {
        values.insert("crop_year".into(), year_decided_on(frame.day()).to_string());
    }
    values.insert("sampled".into(), frame.day().to_string());
    let last = known.entries.iter().rev().find(|e| e.body.kind() == form.kind);
    if let Some(Body::Known(p)) = last.map(|e| &e.body) {
        let earlier = forms::prefill(form, &p.data().unwrap_or_default(), &frame.units);
        let stays = |k: &str| STAYS.contains(&k);
        values.extend(earlier.into_iter().filter(|(k, _)| stays(k)).map(|(k, v)| (k, short(&v))));
    }
    let in_field = form.inputs.iter().any(|i| i.key == "field" && i.needed);
    if in_field && !values.contains_key("field") {
        let recent = known.entries.iter().rev().find_map(Entry::field);
        let any = known.farm.fields.keys().next();
        if let Some(f) = recent.or(any) {
            values.insert("field".into(), f.to_string());
        }
    }
    if form.kind == "note" {
        values.remove("field");
    }
    values.insert("id".into(), Uuid::now_v7().to_string());
    values.insert("on".into(), frame.day().to_string());
    values.insert("at".into(), frame.now.strftime("%H:%M").to_string());
    values.insert("who".into(), known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone()));
    values
}

/// A figure carried over as one would say it: 110, not 109.738. A correction keeps every digit.
fn short(text: &str) -> String {
    match text.parse::<f64>() {
        Ok(x) if x.fract() != 0.0 => {
            let scale = if x.abs() >= 20.0 { 1.0 } else { 10.0 };
            ((x * scale).round() / scale).to_string()
        }
        _ => text.into(),
    }
}

/// An earlier entry's values, with its own day.
fn of_entry(form: &Form, e: &Entry, units: &UnitChoice) -> Values {
    let data = said(e);
    let mut values: Values = form.inputs.iter().map(|i| (i.key.to_string(), String::new())).collect();
    let mut found = forms::prefill(form, &data, units);
    if let Some(key) = found.remove("id") {
        values.insert("key".into(), key);
    }
    values.extend(found);
    values.insert("on".into(), e.on().to_string());
    values.insert("at".into(), e.happened.strftime("%H:%M").to_string());
    values
}

/// The form a kind of entry is corrected on: a bid is corrected as the offer it is read as.
pub fn form_of(kind: &str) -> &str {
    if kind == "bid" { "buyer" } else { kind }
}

/// What an entry says, a bid as the offer it is read as.
fn said(e: &Entry) -> Json {
    match e.payload() {
        Some(Payload::Bid(b)) => Payload::from(Buyer::from(b)).data().unwrap_or_default(),
        Some(p) => p.data().unwrap_or_default(),
        None => Json::Null,
    }
}

/// What the book holds of the thing a set-up form edits; its parts that the form does not ask are kept.
fn base(form: &Form, values: &Values, known: &Known) -> Option<Json> {
    let farm = &known.farm;
    let key = values.get("key").map(String::as_str);
    let payload: Payload = match form.kind {
        "farm" => farm.set_up.as_ref()?.is.clone().into(),
        "units" => farm.units().into(),
        "field" => farm.fields.get(&FieldId::from(key?))?.field().clone().into(),
        "bin" => farm.bins.get(&stook_book::BinId::from(key?))?.bin().clone().into(),
        "ingredient" => farm.barn.ingredients.get(&stook_book::IngredientId::from(key?))?.is.clone().into(),
        "herd_group" => farm.barn.groups.get(&stook_book::GroupId::from(key?))?.last()?.is.clone().into(),
        "feed_bin" => farm.barn.feed_bins.get(&stook_book::FeedBinId::from(key?))?.is.clone().into(),
        "mixer" => farm.barn.mixers.get(&stook_book::MixerId::from(key?))?.is.clone().into(),
        "machine" => farm.machines.get(&MachineId::from(key?))?.is.clone().into(),
        "drill_set_up" => farm.drills.get(&MachineId::from(key?))?.is.clone().into(),
        "spray_product" => farm.spray_products.get(&SprayProductId::from(key?))?.is.clone().into(),
        "machine_value" => {
            farm.machine_values.get(&MachineId::from(values.get("machine")?.as_str()))?.is.clone().into()
        }
        "crop_plan" => {
            let year = values.get("crop_year")?.parse().ok()?;
            farm.fields.get(&FieldId::from(values.get("field")?.as_str()))?.plan(year)?.clone().into()
        }
        _ => return None,
    };
    payload.data().ok()
}

/// The page of a form.
pub fn view(form: &Form, frame: &Frame, known: &Known, values: &Values, problems: &[Problem]) -> Markup {
    let get = |key: &str| values.get(key).map_or("", String::as_str);
    let a = Around { farm: &known.farm, units: &frame.units, values, problems };
    let corrects = !get("replaces").is_empty();
    let place = if form.set_up { Place::SetUp } else { Place::Write };
    let title = if corrects { format!("Correct: {}", form.title) } else { form.title.into() };
    let body = html! {
        form.entry.glove[form.glove] method="post" action={ "/enter/" (form.kind) } {
            h1 { (title) }
            @if !problems.is_empty() { p.wrong-all role="alert" { "Nothing is written yet: mend what is marked below." } }
            (form_view::elsewhere(form, a))
            input type="hidden" name="id" value=(get("id"));
            @for key in ["replaces", "key", label::FILLED_FROM, air::PUT_IN] { @if !get(key).is_empty() { input type="hidden" name=(key) value=(get(key)); } }
            (form_view::inputs(form, a))
            (form_view::when_and_who(values, problems, &when_words(values, frame)))
            div.act {
                @if let Some(i) = form.inputs.iter().find(|i| i.key == form_view::ANSWERED) {
                    @if let Ask::YesNo(yes, no) = i.ask {
                        button.yes type="submit" name=(i.key) value="true" { (yes) }
                        button type="submit" name=(i.key) value="false" { (no) }
                    }
                } @else {
                    button.yes type="submit" { @if corrects { "Write the correction" } @else { "Write it down" } }
                }
                a.btn href="/" { "Leave it" }
            }
        }
    };
    page(frame, place, &title, &body)
}

fn when_words(values: &Values, frame: &Frame) -> String {
    let get = |key: &str| values.get(key).map_or("", String::as_str);
    let day = match get("on").parse::<Date>() {
        Ok(d) if d == frame.day() => "Today".to_string(),
        Ok(d) => words::day(d),
        Err(_) => "Day".into(),
    };
    format!("{day} at {}, written by {}: change", get("at"), get("who"))
}

/// `POST /enter/{kind}`
pub async fn save(
    State(desk): State<Arc<Desk>>,
    Path(kind): Path<String>,
    Posted(mut values): Posted<Values>,
) -> Reply {
    beside(move || {
        let form = find(&kind)?;
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        if !values.contains_key("who") {
            values.insert("who".into(), known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone()));
        }
        if form.kind == "spray_pass" {
            fill_air(&mut values, &desk, &known, &frame)?;
        }
        if form.kind == "spray_pass"
            && let Some(sentence) = label::before_reading(&mut values, &known.farm, &frame.units)
        {
            let look = [Problem { at: "product_id".into(), sentence }];
            let page = send(view(form, &frame, &known, &values, &look));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        match write(form, &values, &known, &frame, &mut desk.store()?) {
            Ok(id) => Ok(Redirect::to(&format!("/saved/{id}")).into_response()),
            Err(Refused::Store(e)) => Err(e.into()),
            Err(Refused::Problems(problems)) => {
                let page = send(view(form, &frame, &known, &values, &problems));
                Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
            }
        }
    })
    .await?
}

/// Why an entry was not written.
pub enum Refused {
    /// Something to mend.
    Problems(Vec<Problem>),
    /// The file.
    Store(StoreError),
}

impl From<StoreError> for Refused {
    fn from(e: StoreError) -> Self {
        Self::Store(e)
    }
}

fn refuse<T>(at: &str, sentence: &str) -> Result<T, Refused> {
    Err(Refused::Problems(vec![Problem { at: at.into(), sentence: sentence.into() }]))
}

pub(super) fn write(
    form: &Form,
    values: &Values,
    known: &Known,
    frame: &Frame,
    store: &mut Store,
) -> Result<Uuid, Refused> {
    let get = |key: &str| values.get(key).map_or("", |v| v.trim());
    let Ok(id) = get("id").parse::<Uuid>() else {
        return refuse("form", "This form has lost its number; open it again from Today.");
    };
    let replaces: Option<Uuid> = get("replaces").parse().ok();
    let earlier = match replaces {
        None => None,
        Some(r) => match store.entry(r)? {
            Some(e) => Some(e),
            None => return refuse("replaces", "The entry to correct is not in the book."),
        },
    };
    let kept = earlier.as_ref().map(said).filter(|d| !d.is_null()).or_else(|| base(form, values, known));
    let payload = forms::read(form, values, &frame.units, kept.as_ref()).map_err(Refused::Problems)?;
    if let Payload::FertilizerPlan(plan) = &payload {
        let refused = accept::refusals(&known.farm, plan, get("dry") == "true");
        if !refused.is_empty() {
            let at =
                if plan.placement == FertilizerPlacement::SeedRow { "placement" } else { "seed_row.n_kg_ha" };
            let beside = |sentence: String| Problem { at: at.into(), sentence };
            return Err(Refused::Problems(refused.into_iter().map(beside).collect()));
        }
    }
    let Some(happened) = moment(get("on"), get("at")) else {
        return refuse("on", "Give the day as on a calendar, such as 2026-05-05, and the time as 13:00.");
    };
    let mut entry = Entry::new(happened, get("who"), payload);
    entry.id = id;
    entry.replaces = replaces;
    if let Some(there) = store.entry(id)? {
        // The same form again: a double tap, or the back button.
        return if there.body == entry.body && there.happened == entry.happened {
            Ok(id)
        } else {
            refuse(
                "form",
                "This form was already written down with other figures; correct that entry in the book instead.",
            )
        };
    }
    validate(&entry, &known.farm, &Reference::shipped(), latest(known, frame)).map_err(Refused::Problems)?;
    store.append(&entry)?;
    Ok(id)
}

/// The clock's time, or the day answered for when that is later.
pub fn latest(known: &Known, frame: &Frame) -> Timestamp {
    let chosen = frame.now.to_zoned_datetime(known.farm.time_zone()).map(|z| z.timestamp());
    chosen.unwrap_or_else(|_| Timestamp::now()).max(Timestamp::now())
}

/// The air of the pass's day and time, from the station or the day, where nobody wrote it.
fn fill_air(values: &mut Values, desk: &Desk, known: &Known, frame: &Frame) -> Result<(), Trouble> {
    let get = |key: &str| values.get(key).map_or("", |v| v.trim());
    let at = moment(get("on"), get("at"));
    let day = at.map_or(frame.day(), |t| t.date());
    let airs = air::Airs::of(desk, known, day, day)?;
    air::put_in(values, at, &airs, &frame.units);
    Ok(())
}

fn moment(day: &str, time: &str) -> Option<DateTime> {
    let day: Date = day.parse().ok()?;
    if time.is_empty() {
        return Some(day.at(12, 0, 0, 0));
    }
    let time: Time = time.parse().ok()?;
    Some(day.to_datetime(time))
}
