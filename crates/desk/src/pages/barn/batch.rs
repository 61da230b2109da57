//! `/barn/batch/{ration}`: the batch sheet, to print; and what was really weighed, written back.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_barn::Facts;
use stook_barn::batch::{self, Sheet};
use stook_book::payload::{BatchLine, FeedBatch, FeedBinId, MixerId, RationId};
use stook_book::{Entry, validate};
use stook_measure::{Reference, figure};

use super::facts;
use super::ration::who;
use crate::pages::enter::latest;
use crate::pages::{Frame, Place, Reply, capital, long_day, page, send};
use crate::server::beside;
use crate::state::Desk;

type Values = BTreeMap<String, String>;

/// `GET`
pub async fn show(State(desk): State<Arc<Desk>>, Path(ration): Path<String>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let f = facts(&known);
        let s = batch::sheet(&f, &RationId::from(ration.as_str()))?;
        Ok(send(view(&Frame::of(&desk, &known), &f, &s, &Values::new(), &[])))
    })
    .await?
}

/// `POST`: a batch made.
pub async fn save(
    State(desk): State<Arc<Desk>>,
    Path(ration): Path<String>,
    Posted(values): Posted<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let s = batch::sheet(&f, &RationId::from(ration.as_str()))?;
        let (payload, mut problems) = read(&s, &values);
        let entry = Entry::new(frame.now, who(&known, &values), payload);
        if problems.is_empty()
            && let Err(found) = validate(&entry, &known.farm, &Reference::shipped(), latest(&known, &frame))
        {
            problems.extend(found.into_iter().map(|p| p.sentence));
        }
        if !problems.is_empty() {
            let body = send(view(&frame, &f, &s, &values, &problems));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, body).into_response());
        }
        desk.store()?.append(&entry)?;
        Ok(Redirect::to(&format!("/saved/{}", entry.id)).into_response())
    })
    .await?
}

fn read(s: &Sheet, values: &Values) -> (FeedBatch, Vec<String>) {
    let get = |k: &str| values.get(k).map_or("", |v| v.trim());
    let mut problems = Vec::new();
    let lines = s
        .lines
        .iter()
        .enumerate()
        .map(|(n, l)| {
            let text = get(&format!("kg.{n}"));
            let weighed = text.replace(',', ".").parse::<f64>().unwrap_or_else(|_| {
                problems.push(format!("{}: \"{text}\" is not a weight; write kilograms in figures.", l.name));
                0.0
            });
            let lot = get(&format!("lot.{n}"));
            BatchLine {
                of: l.of.clone(),
                bin: l.bin.clone(),
                straight: l.bin.is_some() && get("straight") == "true",
                lot: (!lot.is_empty()).then(|| lot.to_string()),
                asked_kg: l.kg,
                weighed_kg: weighed,
            }
        })
        .collect();
    let minutes = get("mixed_min");
    let mixed_min = if minutes.is_empty() {
        None
    } else {
        let m = minutes.replace(',', ".").parse::<f64>().ok();
        if m.is_none() {
            problems.push(format!("\"{minutes}\" is not a number of minutes."));
        }
        m
    };
    let into = get("into");
    let batch = FeedBatch {
        ration: s.ration.clone(),
        number: get("number").to_string(),
        lines,
        mixer: s.mixer_id.as_deref().map(MixerId::from),
        into: (!into.is_empty()).then(|| FeedBinId::from(into)),
        mixed_min,
        flushed: get("flushed") == "true",
    };
    (batch, problems)
}

fn view(frame: &Frame, f: &Facts<'_>, s: &Sheet, values: &Values, problems: &[String]) -> Markup {
    let get = |k: &str| values.get(k).map(String::as_str);
    let delicate = s.phase.is_some_and(stook_feed::Phase::is_delicate);
    let bins: Vec<_> = f.farm.barn.feed_bins.values().collect();
    let usual_bin = bins
        .iter()
        .find(|b| b.is.phase.as_deref() == s.phase.map(stook_feed::Phase::key))
        .map(|b| b.is.id.to_string());
    let hauled = f.farm.loads.iter().any(|l| l.is.to == stook_book::payload::LoadTo::Mill);
    let usual_straight = if hauled { "" } else { "true" };
    let body = html! {
        h1 { "Batch sheet " (get("number").unwrap_or(&s.number)) }
        p.big { (capital(&s.name)) ", " (figure(s.total_kg, 1)) " kg" @if let Some(m) = &s.mixer { " in " (m) } ". " (long_day(frame.day())) "." }
        @for p in problems { p.wrong-all role="alert" { (p) } }
        @for b in &s.stop { p.blocked role="alert" { (b) } }
        @if delicate { p.note { "Before this feed, after any other: flush with " (figure(s.flush_kg, 0)) " kg of ground grain, and keep the flush for finisher feed, labelled." } }
        form.batch method="post" action={ "/barn/batch/" (s.ration) } {
            div.scroll tabindex="0" role="region" aria-label="In the order of adding" { table {
                caption { "In the order of adding" }
                thead { tr { th scope="col" { "" } th scope="col" { "" } th.num scope="col" { "Kg" } th.num scope="col" { "Sum, kg" } th scope="col" { "Weigh on" } th.num scope="col" { "Weighed, kg" } th scope="col" { "Lot or bin" } } }
                tbody { @for (n, l) in s.lines.iter().enumerate() {
                    @let kg = format!("kg.{n}");
                    @let lot = format!("lot.{n}");
                    tr {
                        td { (l.place) }
                        td { b { (l.name) } @if l.with_carrier { br; span.quiet { "mix with 5 kg of meal first" } } }
                        td.num { b { (figure(l.kg, decimals(l.kg))) } }
                        td.num { (figure(l.runs_to_kg, 1)) }
                        td { (l.scale.words()) span.quiet { @if l.within_kg > 0.0 { ", within " (figure(l.within_kg, decimals(l.within_kg))) } @else { ", to the mark" } } }
                        td.num { input.weighed name=(kg) aria-label={ "Weighed: " (l.name) } inputmode="decimal" autocomplete="off" value=(get(&kg).map_or_else(|| plain(l.kg), str::to_string)); }
                        td { @match &l.bin {
                            Some(b) => { (b) },
                            None => { input.lot name=(lot) aria-label={ "Lot number: " (l.name) } autocomplete="off" value=(get(&lot).map_or_else(|| l.lot.clone().unwrap_or_default(), str::to_string)); },
                        } }
                    }
                } }
            } }
            p { "Mix " (figure(s.mix_min, 0)) " minutes after the last thing is in." }
            div.after {
                div.field { label for="number" { "Batch number" } input id="number" name="number" value=(get("number").unwrap_or(&s.number)) autocomplete="off"; }
                div.field { label for="mixed_min" { "Minutes mixed" } input id="mixed_min" name="mixed_min" inputmode="decimal" autocomplete="off" value=(get("mixed_min").unwrap_or("")); }
                div.field { label for="into" { "Went into" } select id="into" name="into" {
                    option value="" { "no feed bin" }
                    @for b in &bins { @let id = b.is.id.to_string(); option value=(id) selected[get("into").map_or(usual_bin.as_deref() == Some(id.as_str()), |v| v == id)] { (b.is.name) } }
                } }
                fieldset { legend { "Own grain came" } div.choices { @for (v, w) in [("", "hauled to the mill before, as loads say"), ("true", "straight from the bin")] { label { input type="radio" name="straight" value=(v) checked[get("straight").unwrap_or(usual_straight) == v]; (w) } } } }
                fieldset { legend { "Mill flushed before it" } div.choices { @for (v, w) in [("true", "flushed"), ("", "not needed")] { label { input type="radio" name="flushed" value=(v) checked[get("flushed").unwrap_or("") == v]; (w) } } } }
            }
            div.act { button.yes type="submit" disabled[!s.stop.is_empty()] { "Batch made: write it down" } button type="button" data-print hidden { "Print" } a.btn href="/barn" { "Leave it" } }
        }
        section.labels {
            h2 { "Bag label" }
            div.label {
                p { b { (capital(s.phase.map_or("feed", stook_feed::Phase::words))) } }
                p { "Batch " (s.number) ", " (long_day(frame.day())) }
                p { "Digestible lysine " (figure(s.lysine_pct, 2)) " %, protein " (figure(s.protein_pct, 1)) " %" }
                p { "Farm-mixed, not medicated. For pigs only: not for sheep or goats." }
            }
        }
        @for n in &s.notes { p.note { (n) } }
        p.caution { "Dust mask on; no open flame; magnet on the intake; lock out before reaching in. Treated seed never goes into feed. A drug in feed is for the veterinarian and a licensed mill: not on this sheet." }
        p.quiet { "Costs " (frame.units.money) (figure(s.cost_t, 0)) " a tonne as rounded. " @match &s.reviewed_by { Some(n) => { "Looked at by " (n) "." }, None => {} } " Keep a sample of it until the group is sold." }
    };
    page(frame, Place::Barn, "Batch sheet", &body)
}

fn decimals(kg: f64) -> u8 {
    match kg {
        x if x >= 100.0 => 0,
        x if x >= 1.0 => 1,
        _ => 2,
    }
}

fn plain(kg: f64) -> String {
    format!("{}", (kg * 1000.0).round() / 1000.0)
}
