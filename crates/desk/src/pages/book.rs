//! The book: every entry, newest first, by kind, field and dates, as known now or at a past moment.

use std::collections::HashMap;
use std::sync::Arc;

use axum::extract::{Query, State};
use jiff::civil::{Date, DateTime};
use maud::{Markup, html};
use stook_book::{Body, Entry, Payload};
use uuid::Uuid;

use super::{Frame, Place, Reply, clock, long_day, page, send, told};
use crate::forms::{self, Values};
use crate::server::beside;
use crate::state::{Desk, Known};

/// Entries on one page.
const A_PAGE: usize = 100;

/// `/book`
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Values>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        Ok(send(view(&Frame::of(&desk, &known), &known, &asked)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, asked: &Values) -> Markup {
    let get = |key: &str| asked.get(key).map_or("", |v| v.trim());
    let from: Option<Date> = get("from").parse().ok();
    let to: Option<Date> = get("to").parse().ok();
    let then: Option<DateTime> =
        get("known").parse().ok().or_else(|| get("known").parse::<Date>().ok().map(|d| d.at(23, 59, 59, 0)));
    let by = then.and_then(|t| t.to_zoned_datetime(known.farm.time_zone()).ok()).map(|z| z.timestamp());
    let skip: usize = get("skip").parse().unwrap_or(0);
    let wanted = |e: &&Entry| {
        (get("kind").is_empty() || e.body.kind() == get("kind"))
            && (get("field").is_empty() || e.field().is_some_and(|f| f.as_str() == get("field")))
            && from.is_none_or(|d| e.on() >= d)
            && to.is_none_or(|d| e.on() <= d)
            && by.is_none_or(|t| e.written <= t)
    };
    let mut list: Vec<&Entry> = known.entries.iter().filter(wanted).collect();
    list.sort_by_key(|e| std::cmp::Reverse((e.happened, e.written)));
    let count = list.len();
    let more = count > skip + A_PAGE;
    let body = html! {
        h1 { "The book" }
        (filter(known, asked))
        @if let Some(t) = then { p.note { "As the book stood on " (long_day(t.date())) " at " (clock(t)) ": what was written later is not shown." } }
        p { (count) @if count == 1 { " entry." } @else { " entries." } " Nothing is ever rubbed out: a correction stands beside what it corrects." }
        (rows(known, list.into_iter().skip(skip).take(A_PAGE)))
        @if more { p { a href={ "/book?" (query(asked, skip + A_PAGE)) } { "Older entries" } } }
    };
    page(frame, Place::Book, "The book", &body)
}

fn filter(known: &Known, asked: &Values) -> Markup {
    let get = |key: &str| asked.get(key).map_or("", String::as_str);
    let used = !asked.is_empty();
    let mut fields: Vec<_> = known.farm.fields.values().map(stook_book::FieldRecord::field).collect();
    fields.sort_by(|a, b| a.name.cmp(&b.name));
    html! {
        details open[used] {
            summary { "Find: by kind, field, day, or as known on a past day" }
            form.filter method="get" action="/book" {
                div.field { label for="kind" { "Kind" } select id="kind" name="kind" {
                    option value="" { "all" }
                    @for (key, title) in Payload::KINDS { option value=(key) selected[*key == get("kind")] { (title) } }
                } }
                div.field { label for="field" { "Field" } select id="field" name="field" {
                    option value="" { "all" }
                    @for f in fields { option value=(f.id) selected[f.id.as_str() == get("field")] { (f.name) } }
                } }
                div.field { label for="from" { "From" } input id="from" type="date" name="from" value=(get("from")); }
                div.field { label for="to" { "To" } input id="to" type="date" name="to" value=(get("to")); }
                div.field { label for="known" { "As known at the end of" } input id="known" type="date" name="known" value=(get("known")); }
                div.act { button type="submit" { "Find" } a.btn href="/book" { "All" } }
            }
        }
    }
}

fn query(asked: &Values, skip: usize) -> String {
    let mut parts: Vec<String> = asked
        .iter()
        .filter(|(k, v)| ["kind", "field", "from", "to", "known"].contains(&k.as_str()) && !v.is_empty())
        .map(|(k, v)| format!("{k}={}", plain(v)))
        .collect();
    parts.push(format!("skip={skip}"));
    parts.join("&")
}

/// Keys, words and dates as they may stand in an address.
fn plain(v: &str) -> String {
    v.bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() || b"-_.:".contains(&b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}

/// How an entry stands among the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Standing {
    InForce,
    Corrected,
    TakenBack,
}

/// A list of entries with what can be done to each.
pub fn rows<'a>(known: &Known, entries: impl Iterator<Item = &'a Entry>) -> Markup {
    let mut later: HashMap<Uuid, Vec<&Entry>> = HashMap::new();
    for e in &known.entries {
        if let Some(r) = e.replaces {
            later.entry(r).or_default().push(e);
        }
    }
    html! {
        ul.entries {
            @for e in entries {
                @let standing = standing(e, &later);
                li.gone[standing != Standing::InForce] {
                    p {
                        span.day { (long_day(e.on())) }
                        " " b { (told::title(e)) } ": "
                        @if standing == Standing::InForce { (told::says(e, known)) } @else { s { (told::says(e, known)) } }
                        @match standing {
                            Standing::InForce => {}
                            Standing::Corrected => { " " b { "Corrected." } }
                            Standing::TakenBack => { " " b { "Taken back." } }
                        }
                    }
                    p.quiet {
                        (clock(e.happened)) ", " (e.who)
                        @if e.replaces.is_some() { ", replaces an earlier entry" }
                        @if standing == Standing::InForce {
                            @if forms::find(super::enter::form_of(e.body.kind())).is_some() && matches!(e.body, Body::Known(_)) {
                                " " a href={ "/enter/" (super::enter::form_of(e.body.kind())) "?replaces=" (e.id) } { "Correct" span.apart { " " (told::title(e)) " of " (long_day(e.on())) } }
                            }
                            " " a href={ "/take-back/" (e.id) } { "Take back" span.apart { " " (told::title(e)) " of " (long_day(e.on())) } }
                        }
                    }
                }
            }
        }
    }
}

fn standing(e: &Entry, later: &HashMap<Uuid, Vec<&Entry>>) -> Standing {
    let is_withdrawal = |x: &Entry| matches!(x.payload(), Some(Payload::Withdrawn(_)));
    let mut answer = Standing::InForce;
    for x in later.get(&e.id).into_iter().flatten() {
        if taken_back(x, later, 0) {
            continue;
        }
        if is_withdrawal(x) {
            return Standing::TakenBack;
        }
        answer = Standing::Corrected;
    }
    answer
}

/// Whether an entry is itself taken back; a circle of them, which no honest writer makes, ends after some rounds.
fn taken_back(e: &Entry, later: &HashMap<Uuid, Vec<&Entry>>, depth: usize) -> bool {
    depth < 50
        && later
            .get(&e.id)
            .into_iter()
            .flatten()
            .any(|x| matches!(x.payload(), Some(Payload::Withdrawn(_))) && !taken_back(x, later, depth + 1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use stook_book::payload::{Note, Withdrawn};

    fn entry(replaces: Option<Uuid>, withdrawn: bool) -> Entry {
        let at = date(2026, 5, 5).at(6, 0, 0, 0);
        let mut e = if withdrawn {
            Entry::new(at, "me", Withdrawn { why: "wrong".into() })
        } else {
            Entry::new(at, "me", Note { text: "wet".into(), field: None })
        };
        e.replaces = replaces;
        e
    }

    #[test]
    fn an_undone_undo_brings_an_entry_back() {
        let a = entry(None, false);
        let b = entry(Some(a.id), true);
        let c = entry(Some(b.id), true);
        let of = |all: &[&Entry], e: &Entry| {
            let mut later: HashMap<Uuid, Vec<&Entry>> = HashMap::new();
            for x in all {
                if let Some(r) = x.replaces {
                    later.entry(r).or_default().push(x);
                }
            }
            standing(e, &later)
        };
        assert_eq!(of(&[&a], &a), Standing::InForce);
        assert_eq!(of(&[&a, &b], &a), Standing::TakenBack);
        assert_eq!(of(&[&a, &b, &c], &a), Standing::InForce);
        assert_eq!(of(&[&a, &b, &c], &b), Standing::TakenBack);
        let d = entry(Some(a.id), false);
        assert_eq!(of(&[&a, &d], &a), Standing::Corrected);
    }
}
