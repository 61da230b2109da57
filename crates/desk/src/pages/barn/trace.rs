//! `/barn/trace`: from a bag back to the field and forward to the pen, from any end.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use stook_barn::Facts;
use stook_barn::trace::{self, From, Trace};
use stook_book::{BinId, FeedBinId, FieldId, GroupId};
use stook_measure::figure;
use stook_season::words;

use super::facts;
use crate::pages::{Frame, Place, Reply, page, send};
use crate::server::beside;
use crate::state::Desk;

type Values = BTreeMap<String, String>;

/// What is asked for: the first of these that is given.
fn from(values: &Values) -> Option<From> {
    let get = |k: &str| values.get(k).map(|v| v.trim()).filter(|v| !v.is_empty());
    get("batch")
        .map(|x| From::Batch(x.into()))
        .or_else(|| get("group").map(|x| From::Group(GroupId::from(x))))
        .or_else(|| get("bin").map(|x| From::Bin(BinId::from(x))))
        .or_else(|| get("field").map(|x| From::Field(FieldId::from(x))))
        .or_else(|| get("lot").map(|x| From::Lot(x.into())))
        .or_else(|| get("feed_bin").map(|x| From::FeedBin(FeedBinId::from(x))))
}

/// `GET`
pub async fn show(State(desk): State<Arc<Desk>>, Query(values): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let f = facts(&known);
        let found = from(&values).map(|q| trace::trace(&f, &q));
        let (answer, wrong) = match found {
            None => (None, None),
            Some(Ok(t)) => (Some(t), None),
            Some(Err(e)) => (None, Some(e.to_string())),
        };
        Ok(send(view(&frame, &f, &values, answer.as_ref(), wrong.as_deref())))
    })
    .await?
}

fn view(
    frame: &Frame,
    f: &Facts<'_>,
    values: &Values,
    answer: Option<&Trace>,
    wrong: Option<&str>,
) -> Markup {
    let body = html! {
        h1 { "Trace" }
        @if let Some(w) = wrong { p.wrong-all role="alert" { (w) } }
        @match answer {
            Some(t) => (found(t)),
            None => { p { "From a bag of feed back to the field, and forward to the pen; or from any other end." } },
        }
        (ask(f, values))
    };
    page(frame, Place::Barn, "Trace", &body)
}

fn ask(f: &Facts<'_>, values: &Values) -> Markup {
    let get = |k: &str| values.get(k).map_or("", String::as_str);
    let barn = &f.farm.barn;
    let select = |key: &'static str, label: &'static str, all: Vec<(String, String)>| {
        html! {
            div.field { label for=(key) { (label) } select id=(key) name=(key) { option value="" { "" } @for (k, w) in &all { option value=(k) selected[get(key) == k] { (w) } } } }
        }
    };
    html! {
        section {
            h2 { "Look one up" }
            p.quiet { "Fill in one." }
            form.filter method="get" action="/barn/trace" {
                div.field { label for="batch" { "Batch number on the bag" } input id="batch" name="batch" value=(get("batch")) autocomplete="off"; }
                (select("group", "Group off its feed", barn.groups.values().filter_map(|g| g.last()).map(|g| (g.is.id.to_string(), g.is.name.clone())).collect()))
                (select("bin", "Bin of grain", f.farm.bins.values().map(|b| (b.bin().id.to_string(), b.bin().name.clone())).collect()))
                (select("field", "Field", f.farm.fields.values().map(|r| (r.field().id.to_string(), r.field().name.clone())).collect()))
                (select("feed_bin", "Feed bin", barn.feed_bins.values().map(|b| (b.is.id.to_string(), b.is.name.clone())).collect()))
                div.field { label for="lot" { "Lot number of a bought thing" } input id="lot" name="lot" value=(get("lot")) autocomplete="off"; }
                div.act { button.yes type="submit" { "Trace" } }
            }
        }
    }
}

fn found(t: &Trace) -> Markup {
    html! {
        p.lede { (crate::pages::capital(&t.about)) }
        @for w in &t.words { p.why { (w) } }
        @if !t.fields.is_empty() {
            section {
                h2 { "Back to the field" }
                ul.plain { @for x in &t.fields { li { a href={ "/barn/trace?field=" (x.field) } { (x.name) ", " (x.year) span.quiet { ", " (figure(100.0 * x.share, 0)) " % of the grain" } } } } }
                p { "Through " @for (n, (id, name)) in t.bins.iter().enumerate() { @if n > 0 { ", " } a href={ "/barn/trace?bin=" (id) } { (name) } } "." }
            }
        }
        @if !t.groups.is_empty() {
            section {
                h2 { "Forward to the pen" }
                ul.plain { @for (id, name, head) in &t.groups { li { a href={ "/barn/trace?group=" (id) } { (name) span.quiet { ", " (head) " head" } } } } }
            }
        }
        section {
            h2 { "Batches" }
            @if t.batches.is_empty() { p { "None." } }
            div.scroll tabindex="0" role="region" aria-label="Batches" { table {
                thead { tr { th scope="col" { "Batch" } th scope="col" { "Day" } th.num scope="col" { "Kg" } th scope="col" { "Own grain" } th scope="col" { "Bought, lot" } th scope="col" { "Eaten by" } } }
                tbody { @for b in t.batches.iter().take(60) { tr {
                    td { a href={ "/barn/trace?batch=" (b.number) } { (b.number) } span.quiet { " " (b.ration) } }
                    td { (words::day(b.on)) }
                    td.num { (figure(b.kg, 0)) }
                    td { @for (n, g) in b.grain.iter().enumerate() { @if n > 0 { "; " } (g.name) " " (figure(g.kg, 0)) " kg" span.quiet { " off " @for (k, x) in g.fields.iter().enumerate() { @if k > 0 { ", " } (x.name) " " (figure(100.0 * x.share, 0)) " %" } @if g.fields.is_empty() { "not written" } } } }
                    td { @for (n, (of, lot, _)) in b.bought.iter().filter(|x| x.1.is_some()).enumerate() { @if n > 0 { ", " } (of) " " (lot.as_deref().unwrap_or("")) } }
                    td { @for (n, a) in b.ate.iter().enumerate() { @if n > 0 { ", " } (a.name) " " (a.head) } @if b.ate.is_empty() { "not written" } }
                } } }
            } }
            @if t.batches.len() > 60 { p.quiet { "The 60 latest of " (t.batches.len()) " are shown." } }
        }
    }
}
