//! `/load`: a load from the cab. Field and bin are remembered: one number, one tap, and the way back.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_book::payload::{CropPlan, Load, LoadFrom, LoadTo};
use stook_book::validate::Problem;
use stook_book::{BinId, Fact, FieldId, Payload};
use stook_measure::figure;
use stook_yard::{BinState, Yard};
use uuid::Uuid;

use super::super::enter::{self, Refused};
use super::super::{Frame, Place, Reply, Trouble, bin_name, decision, field_name, page, send, told};
use super::words;
use crate::draw::bin as draw;
use crate::forms::{self, Ask, Values};
use crate::server::beside;
use crate::state::{Desk, Known};

/// One end of a load, as the address carries it: `field:long-90`, `bin:bin-5`, `buyer:Bend Elevator`, `mill`.
type End = String;

pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let yard = known.yard();
        let frame = Frame::of(&desk, &known);
        let get = |key: &str| asked.get(key).map_or("", String::as_str);
        let mut ends = Ends::remembered(&known);
        if !get("from").is_empty() {
            ends.from = Some(get("from").into());
            ends.to = ends.to.filter(|_| get("from").starts_with("field:"));
        }
        if !get("to").is_empty() {
            ends.to = Some(get("to").into());
        }
        let body = match get("choose") {
            "from" => choose_from(&known, &yard, &frame, &ends),
            "to" => choose_to(&known, &yard, &frame, &ends),
            _ if ends.from.is_none() => choose_from(&known, &yard, &frame, &ends),
            _ if ends.to.is_none() => choose_to(&known, &yard, &frame, &ends),
            _ => {
                let mut values = Values::new();
                values.insert("id".into(), Uuid::now_v7().to_string());
                let tanks = get("by") == "tanks" || get("by").is_empty() && ends.by_tanks;
                values.insert("by".into(), if tanks { "tanks" } else { "scale" }.into());
                if let Some(m3) = ends.tank_m3 {
                    values.insert("tank_m3".into(), figure(in_farm_unit(&frame, "tank_m3", m3), 0));
                }
                cab(&known, &yard, &frame, &ends, &values, &[], get("saved").parse().ok())
            }
        };
        Ok(send(page(&frame, Place::Bins, "Load", &body)))
    })
    .await?
}

/// What the last load says of the next.
struct Ends {
    from: Option<End>,
    to: Option<End>,
    by_tanks: bool,
    tank_m3: Option<f64>,
    last: Option<Fact<Load>>,
}

impl Ends {
    fn remembered(known: &Known) -> Self {
        let last = known.farm.loads.last().cloned();
        let from = last.as_ref().and_then(|l| match &l.is.from {
            LoadFrom::Field(f) => Some(format!("field:{f}")),
            LoadFrom::Fields(parts) => parts.first().map(|p| format!("field:{}", p.field)),
            LoadFrom::Bin(b) => Some(format!("bin:{b}")),
            LoadFrom::Bought(_) => None,
        });
        let to = last.as_ref().and_then(|l| match &l.is.to {
            LoadTo::Bin(b) => Some(format!("bin:{b}")),
            LoadTo::Buyer(w) => Some(format!("buyer:{w}")),
            LoadTo::Mill => Some("mill".into()),
            LoadTo::Seed => Some("seed".into()),
            LoadTo::Elsewhere(_) => None,
        });
        Self {
            from,
            to,
            by_tanks: last.as_ref().is_some_and(|l| l.is.tanks.is_some()),
            tank_m3: known.farm.loads.iter().rev().find_map(|l| l.is.tank_m3),
            last,
        }
    }
}

fn in_words(known: &Known, end: &str) -> String {
    match end.split_once(':') {
        Some(("field", id)) => field_name(known, &FieldId::from(id)),
        Some(("bin", id)) => bin_name(known, &BinId::from(id)),
        Some(("buyer", who)) => who.into(),
        _ if end == "mill" => "the feed mill".into(),
        _ if end == "seed" => "the drill".into(),
        _ => end.into(),
    }
}

fn bin_of<'a>(yard: &'a Yard, end: &str) -> Option<&'a BinState> {
    yard.bin(&BinId::from(end.strip_prefix("bin:")?))
}

/// The page in the cab.
fn cab(
    known: &Known,
    yard: &Yard,
    frame: &Frame,
    ends: &Ends,
    values: &Values,
    problems: &[Problem],
    saved: Option<Uuid>,
) -> Markup {
    let u = &frame.units;
    let (from, to) = (ends.from.as_deref().unwrap_or(""), ends.to.as_deref().unwrap_or(""));
    let get = |key: &str| values.get(key).map_or("", String::as_str);
    let tanks = get("by") == "tanks";
    let wrong = |keys: &[&str]| -> Vec<String> {
        problems.iter().filter(|p| keys.contains(&p.at.as_str())).map(|p| p.sentence.clone()).collect()
    };
    let number_wrong = wrong(&["mass_kg", "tanks", "n"]);
    let moisture_wrong = wrong(&["moisture_wb_pct"]);
    let tank_wrong = wrong(&["tank_m3"]);
    let rest: Vec<&Problem> = problems
        .iter()
        .filter(|p| !["mass_kg", "tanks", "n", "moisture_wb_pct", "tank_m3"].contains(&p.at.as_str()))
        .collect();
    let address = |what: &str| format!("/load?choose={what}&from={}&to={}", safe(from), safe(to));
    let into = bin_of(yard, to);
    let last_kg = ends.last.as_ref().and_then(|l| l.is.mass_kg);
    let scale_unit = u.scale.words();
    html! {
        @if let Some(e) = saved.and_then(|id| known.entries.iter().find(|e| e.id == id)) {
            div.saved role="status" {
                p.big { "Written: " (told::says(e, known)) }
                @if let Some(bag) = bag(known, e) { p { "On the bag: " b { (bag) } } }
                form.glove method="post" action={ "/take-back/" (e.id) } {
                    (decision::hidden(frame.now))
                    input type="hidden" name="why" value="undone at once";
                    button type="submit" { "Undo" }
                }
            }
        }
        form.entry.glove.cab method="post" action="/load" {
            h1 { "Load" }
            @if !problems.is_empty() { p.wrong-all role="alert" { "Nothing is written yet: mend what is marked." } }
            @for p in &rest { p.wrong role="alert" { (p.sentence) } }
            input type="hidden" name="id" value=(get("id"));
            input type="hidden" name="from" value=(from);
            input type="hidden" name="to" value=(to);
            input type="hidden" name="by" value=(get("by"));
            div.ends {
                a.btn href=(address("from")) { span.quiet { "From" } b { (in_words(known, from)) } }
                a.btn href=(address("to")) {
                    span.quiet { "Into" } b { (in_words(known, to)) }
                    @if let Some(b) = into { span.quiet { "room " (words::short(u, &b.facts, b.room_kg(None))) } }
                }
            }
            @for w in cautions(known, yard, frame, from, to) { p.caution { (w) } }
            div.field {
                label for="n" { @if tanks { "Tank-fulls" } @else { "Weight of the grain, " (scale_unit) } }
                @for w in &number_wrong { p.wrong id="n-wrong" { (w) } }
                input.number id="n" name="n" inputmode="decimal" autocomplete="off" autofocus[true] value=(get("n"))
                    placeholder=[last_kg.filter(|_| !tanks).map(|kg| format!("last {}", figure(in_farm_unit(frame, "mass_kg", kg), 0)))]
                    aria-invalid=[(!number_wrong.is_empty()).then_some("true")]
                    aria-describedby=[(!number_wrong.is_empty()).then_some("n-wrong")];
            }
            @if tanks {
                div.field {
                    label for="tank_m3" { "One tank holds, " (u.volume.words()) }
                    @for w in &tank_wrong { p.wrong { (w) } }
                    input id="tank_m3" name="tank_m3" inputmode="decimal" autocomplete="off" value=(get("tank_m3"));
                }
            }
            button.yes.load type="submit" { "LOAD" }
            div.field {
                label for="moisture_wb_pct" { "Moisture, %" span.quiet { ", if tested" } }
                @for w in &moisture_wrong { p.wrong id="m-wrong" { (w) } }
                input.number id="moisture_wb_pct" name="moisture_wb_pct" inputmode="decimal" autocomplete="off" value=(get("moisture_wb_pct")) aria-invalid=[(!moisture_wrong.is_empty()).then_some("true")];
            }
            @if from.starts_with("bin:") {
                div.field { label.check { input type="checkbox" name="emptied" value="true" checked[get("emptied") == "true"]; " That was the last of it" } }
            }
            p.act {
                @if tanks { a.btn href={ "/load?by=scale&from=" (safe(from)) "&to=" (safe(to)) } { "By weight" } }
                @else { a.btn href={ "/load?by=tanks&from=" (safe(from)) "&to=" (safe(to)) } { "By tank-fulls" } }
                a.btn href={ "/enter/load?" (full_form(from, to)) } { "More figures" }
            }
        }
        @if let Some(b) = into {
            section.filling {
                (draw::draw(b, draw::Frame::over(std::iter::once(b), 150.0)))
                p { b { (b.bin.name) } ": " @if b.is_empty() { "empty" } @else { (words::grain(u, &b.facts, b.mass_kg())) " of " (b.crop.as_ref().map_or("grain", |c| c.words())) }
                    ". " a href={ "/bins/" (b.bin.id) } { "See the bin" } }
            }
        }
        (today_so_far(known, yard, frame, from))
    }
}

/// A figure of the load form as the farm reads it.
fn in_farm_unit(frame: &Frame, key: &str, x: f64) -> f64 {
    let input = forms::find("load").and_then(|f| f.inputs.iter().find(|i| i.key == key));
    match input.map(|i| i.ask) {
        Some(Ask::Number { from_si, .. }) => from_si(&frame.units, x),
        _ => x,
    }
}

fn full_form(from: &str, to: &str) -> String {
    let one = |end: &str, field: &str, bin: &str, buyer: &str| match end.split_once(':') {
        Some(("field", id)) => format!("{field}={}", safe(id)),
        Some(("bin", id)) => format!("{bin}={}", safe(id)),
        Some(("buyer", who)) => format!("{buyer}={}", safe(who)),
        _ => format!("to_use={}", safe(end)),
    };
    // What is not said is emptied, so that nothing else is carried over.
    let from = match from.split_once(':') {
        Some(("field", _)) => format!("{}&from_bin=", one(from, "field", "from_bin", "")),
        _ => format!("{}&field=", one(from, "field", "from_bin", "")),
    };
    let to = match to.split_once(':') {
        Some(("bin", _)) => one(to, "", "to_bin", "to_buyer"),
        _ => format!("{}&to_bin=", one(to, "", "to_bin", "to_buyer")),
    };
    format!("{from}&{to}")
}

/// As it may stand in an address.
fn safe(text: &str) -> String {
    text.bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() || b"-_.:".contains(&b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}

/// What a person should know before it is written: another grain, no room, an interval.
fn cautions(known: &Known, yard: &Yard, frame: &Frame, from: &str, to: &str) -> Vec<String> {
    let mut out = Vec::new();
    let day = frame.day();
    let field = from.strip_prefix("field:").and_then(|id| known.farm.fields.get(&FieldId::from(id)));
    let crop = match field {
        Some(r) => r.plan(Load::harvest_year(day)).map(|p| p.crop.clone()),
        None => bin_of(yard, from).and_then(|b| b.crop.clone()),
    };
    if let Some((earliest, pass)) = field.and_then(|r| r.earliest_cut(day.year()))
        && day < earliest
    {
        out.push(format!(
            "{} was sprayed with {}: not to be cut before {}. If it has been, use \"More figures\" and write why.",
            in_words(known, from),
            pass.is.product,
            super::super::long_day(earliest)
        ));
    }
    if let Some(b) = bin_of(yard, to) {
        if let (Some(held), Some(new)) = (&b.crop, &crop)
            && !b.is_empty()
            && held != new
        {
            out.push(format!(
                "{} holds {}; this is {}. A mixed bin cannot be unmixed.",
                b.bin.name,
                held.words(),
                new.words()
            ));
        }
        if b.room_kg(None) < 12_000.0 {
            out.push(format!("{} has room for {} only.", b.bin.name, words::tonnes(b.room_kg(None))));
        }
    }
    if let Some(b) = bin_of(yard, from)
        && b.is_empty()
    {
        out.push(format!("{} is empty by the book.", b.bin.name));
    }
    out
}

/// What goes on the sample bag.
fn bag(known: &Known, e: &stook_book::Entry) -> Option<String> {
    let Some(Payload::Load(l)) = e.payload() else { return None };
    let (field, _) = *l.fields().first()?;
    let n = known
        .farm
        .loads_off(field)
        .filter(|o| o.on().year() == e.on().year() && (o.happened, o.written) <= (e.happened, e.written))
        .count();
    let moisture = l.moisture_wb_pct.map(|m| format!(", {}", words::pct(m))).unwrap_or_default();
    Some(format!("{}, {}, load {n}{moisture}", field_name(known, field), super::super::long_day(e.on())))
}

/// Loads off the field so far, and the yield they make.
fn today_so_far(known: &Known, yard: &Yard, frame: &Frame, from: &str) -> Markup {
    let Some(id) = from.strip_prefix("field:").map(FieldId::from) else { return html! {} };
    let year = Load::harvest_year(frame.day());
    let loads: Vec<_> = yard
        .loads
        .iter()
        .filter(|m| Load::harvest_year(m.on()) == year && m.load.fields().iter().any(|(f, _)| **f == id))
        .collect();
    let today = loads.iter().filter(|m| m.on() == frame.day()).count();
    let facts = stook_yard::CropFacts::of(
        &stook_measure::Reference::shipped(),
        loads.last().and_then(|m| m.crop.as_ref()).unwrap_or(&stook_book::payload::Crop::SpringWheat),
    );
    let kg = yard.ledger.off_field(year, &id).map_or(0.0, stook_grain::lot::Lot::mass_kg);
    html! {
        @if !loads.is_empty() {
            p { (field_name(known, &id)) ": " (loads.len()) " loads, " (today) " today, " (words::grain(&frame.units, &facts, kg)) " as weighed. " a href={ "/field/" (id) } { "The field" } }
        }
    }
}

/// Fields with a crop to take off first; then bins with grain in them.
fn choose_from(known: &Known, yard: &Yard, frame: &Frame, ends: &Ends) -> Markup {
    let year = Load::harvest_year(frame.day());
    let to = ends.to.as_deref().unwrap_or("");
    let go = |end: &str| {
        if to.is_empty() || to == end {
            format!("/load?from={}", safe(end))
        } else {
            format!("/load?from={}&to={}", safe(end), safe(to))
        }
    };
    let mut fields: Vec<_> = known.farm.fields.values().collect();
    fields.sort_by_key(|r| (r.cut_on(year).is_some(), r.field().name.clone()));
    html! {
        h1 { "Load from where?" }
        section { h2 { "A field" }
            ul.plain.glove { @for r in fields {
                @let f = r.field();
                li { a href=(go(&format!("field:{}", f.id))) { span { b { (f.name) } span.quiet { ", " (r.plan(CropPlan::year_on(frame.day())).map_or("no crop written", |p| p.crop.words())) } } } }
            } }
        }
        section { h2 { "A bin" }
            ul.plain.glove { @for b in yard.in_order().into_iter().filter(|b| !b.is_empty()) {
                li { a href=(format!("/load?from={}", safe(&format!("bin:{}", b.bin.id)))) { span { b { (b.bin.name) } span.quiet { ", " (words::short(&frame.units, &b.facts, b.mass_kg())) " of " (b.crop.as_ref().map_or("grain", |c| c.words())) } } } }
            } }
        }
        p { a.btn href="/enter/load" { "Bought grain, or several fields" } }
    }
}

/// Bins that suit first: the same grain with room, then empty ones, then the rest.
fn choose_to(known: &Known, yard: &Yard, frame: &Frame, ends: &Ends) -> Markup {
    let from = ends.from.as_deref().unwrap_or("");
    let day = frame.day();
    let crop = match from.strip_prefix("field:") {
        Some(id) => known
            .farm
            .fields
            .get(&FieldId::from(id))
            .and_then(|r| r.plan(Load::harvest_year(day)))
            .map(|p| p.crop.clone()),
        None => bin_of(yard, from).and_then(|b| b.crop.clone()),
    };
    let go = |end: &str| format!("/load?from={}&to={}", safe(from), safe(end));
    let mut bins: Vec<&BinState> =
        yard.in_order().into_iter().filter(|b| format!("bin:{}", b.bin.id) != from).collect();
    bins.sort_by_key(|b| {
        let same = crop.is_some() && b.crop == crop;
        match (b.is_empty(), same) {
            _ if b.room_kg(None) < 8_000.0 => 4,
            (false, true) => 0,
            (true, true) => 1,
            (true, false) if b.bin.crop.is_none() => 2,
            (true, false) => 3,
            (false, false) => 5,
        }
    });
    let mut buyers: Vec<&str> = known
        .farm
        .loads
        .iter()
        .rev()
        .filter_map(|l| if let LoadTo::Buyer(w) = &l.is.to { Some(w.as_str()) } else { None })
        .collect();
    let mut seen = std::collections::BTreeSet::new();
    buyers.retain(|w| seen.insert(*w));
    html! {
        h1 { "Into where?" }
        ul.plain.glove { @for b in bins {
            li { a href=(go(&format!("bin:{}", b.bin.id))) { span {
                b { (b.bin.name) }
                span.quiet { ", room " (words::short(&frame.units, &b.facts, b.room_kg(None))) ", "
                    @if b.is_empty() { "empty, for " (b.bin.job.words()) } @else { (b.crop.as_ref().map_or("grain", |c| c.words())) }
                    @if let (false, Some(c)) = (b.is_empty(), &crop) { @if b.crop.as_ref() != Some(c) { ": would mix" } }
                }
            } } }
        } }
        h2 { "Away" }
        ul.plain.glove {
            @for w in buyers.iter().take(6) { li { a href=(go(&format!("buyer:{w}"))) { "Sold: " (w) } } }
            li { a href=(go("mill")) { "Into the feed mill" } }
            li { a href=(go("seed")) { "Into the drill" } }
        }
        p { a.btn href={ "/enter/load?" (full_form(from, "")) } { "Another buyer, or elsewhere" } }
    }
}

/// `POST /load`
pub async fn save(State(desk): State<Arc<Desk>>, Posted(values): Posted<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let form = forms::find("load").ok_or_else(|| Trouble::missing("There is no form for loads."))?;
        let get = |key: &str| values.get(key).map_or("", |v| v.trim());
        let mut flat = Values::new();
        let mut put = |key: &str, value: &str| {
            flat.insert(key.into(), value.into());
        };
        put("id", get("id"));
        put("on", &frame.day().to_string());
        put("at", &frame.now.strftime("%H:%M").to_string());
        put("who", &known.entries.last().map_or_else(|| "me".into(), |e| e.who.clone()));
        match get("from").split_once(':') {
            Some(("field", id)) => put("field", id),
            Some(("bin", id)) => put("from_bin", id),
            _ => {}
        }
        match get("to").split_once(':') {
            Some(("bin", id)) => put("to_bin", id),
            Some(("buyer", who)) => put("to_buyer", who),
            _ => put("to_use", get("to")),
        }
        let tanks = get("by") == "tanks";
        put(if tanks { "tanks" } else { "mass_kg" }, get("n"));
        put("weighed", if tanks { "tank_count" } else { "truck_scale" });
        if tanks {
            put("tank_m3", get("tank_m3"));
        }
        put("moisture_wb_pct", get("moisture_wb_pct"));
        put("emptied", if get("emptied") == "true" { "true" } else { "false" });
        let written = if get("n").is_empty() {
            let what = if tanks { "How many tank-fulls?" } else { "What did it weigh?" };
            Err(Refused::Problems(vec![Problem { at: "n".into(), sentence: what.into() }]))
        } else {
            enter::write(form, &flat, &known, &frame, &mut desk.store()?)
        };
        match written {
            Ok(id) => Ok(Redirect::to(&format!(
                "/load?saved={id}&from={}&to={}",
                safe(get("from")),
                safe(get("to"))
            ))
            .into_response()),
            Err(Refused::Store(e)) => Err(e.into()),
            Err(Refused::Problems(problems)) => {
                let mut ends = Ends::remembered(&known);
                ends.from = Some(get("from").into()).filter(|e: &String| !e.is_empty());
                ends.to = Some(get("to").into()).filter(|e: &String| !e.is_empty());
                let body = cab(&known, &known.yard(), &frame, &ends, &values, &problems, None);
                Ok((StatusCode::UNPROCESSABLE_ENTITY, send(page(&frame, Place::Bins, "Load", &body)))
                    .into_response())
            }
        }
    })
    .await?
}
