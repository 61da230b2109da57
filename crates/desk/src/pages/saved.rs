//! What was written, with the way back: undo, or taking back with a reason.

use std::sync::Arc;

use axum::Form as Posted;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use stook_book::payload::Withdrawn;
use stook_book::{Entry, Payload, validate};
use stook_measure::Reference;
use uuid::Uuid;

use super::{Frame, Place, Reply, Trouble, decision, enter, page, send, sentence, told};
use crate::forms::{self, Values};
use crate::server::beside;
use crate::state::{Desk, Known};

fn find(known: &Known, id: Uuid) -> Result<&Entry, Trouble> {
    known
        .entries
        .iter()
        .find(|e| e.id == id)
        .ok_or_else(|| Trouble::missing("There is no such entry in the book."))
}

/// `/saved/{id}`
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<Uuid>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let entry = find(&known, id)?;
        Ok(send(view(&frame, &known, entry)))
    })
    .await?
}

fn view(frame: &Frame, known: &Known, e: &Entry) -> Markup {
    let withdrawn = matches!(e.payload(), Some(Payload::Withdrawn(_)));
    let kind = e.body.kind();
    let set_up = forms::find(kind).is_some_and(|f| f.set_up);
    let (place, back, word) =
        if set_up { (Place::SetUp, "/setup", "Set-up") } else { (Place::Today, "/", "Today") };
    let body = html! {
        h1 { @if withdrawn { "Taken back" } @else { "Written down" } }
        p.big role="status" { (told::line(e, known)) }
        div.act.glove {
            form method="post" action={ "/take-back/" (e.id) } {
                (decision::hidden(frame.now))
                input type="hidden" name="why" value="undone at once";
                button type="submit" { @if withdrawn { "Bring it back" } @else { "Undo" } }
            }
            @if !withdrawn && forms::find(kind).is_some() && !set_up {
                a.btn href={ "/enter/" (kind) } { "Another" }
            }
            a.btn.yes href=(back) { (word) }
        }
    };
    page(frame, place, if withdrawn { "Taken back" } else { "Written down" }, &body)
}

/// `/take-back/{id}`: asks why.
pub async fn ask(State(desk): State<Arc<Desk>>, Path(id): Path<Uuid>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        Ok(send(why_view(&frame, &known, find(&known, id)?, None)))
    })
    .await?
}

fn why_view(frame: &Frame, known: &Known, e: &Entry, wrong: Option<&str>) -> Markup {
    let body = html! {
        form method="post" action={ "/take-back/" (e.id) } {
            h1 { "Take back this entry?" }
            p { (told::line(e, known)) }
            p.hint { "It stays in the book, marked as taken back, and can be brought back." }
            (decision::hidden(frame.now))
            div.field {
                label for="why" { "Why" }
                @if let Some(w) = wrong { p.wrong id="why-wrong" { (w) } }
                input id="why" name="why" autocomplete="off" aria-invalid=[wrong.map(|_| "true")];
            }
            div.act { button.yes type="submit" { "Take it back" } a.btn href="/book" { "Leave it" } }
        }
    };
    page(frame, Place::Book, "Take back", &body)
}

/// `POST /take-back/{id}`
pub async fn take_back(
    State(desk): State<Arc<Desk>>,
    Path(earlier): Path<Uuid>,
    Posted(values): Posted<Values>,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let taken = find(&known, earlier)?;
        let get = |key: &str| values.get(key).map_or("", |v| v.trim());
        let id: Uuid = get("id").parse().unwrap_or_else(|_| Uuid::now_v7());
        let mut store = desk.store()?;
        if store.entry(id)?.is_none() {
            let who = known.entries.last().map_or("me", |e| e.who.as_str());
            let mut entry =
                Entry::new(frame.now, who, Withdrawn { why: get("why").into() }).replacing(earlier);
            entry.id = id;
            if let Err(problems) =
                validate(&entry, &known.farm, &Reference::shipped(), enter::latest(&known, &frame))
            {
                let all: Vec<String> = problems.iter().map(|p| sentence(&p.sentence)).collect();
                return Ok(send(why_view(&frame, &known, taken, Some(&all.join(" ")))));
            }
            store.append(&entry)?;
        }
        Ok(Redirect::to(&format!("/saved/{id}")).into_response())
    })
    .await?
}
