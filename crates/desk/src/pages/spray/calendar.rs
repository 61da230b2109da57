//! `/calendar.ics` and the page that says how a phone takes it.

use std::sync::Arc;

use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use maud::html;
use stook_season::spraying::calendar::{self, When};
use stook_season::words;

use super::super::{Frame, Place, Reply, Trouble, page, send};
use crate::server::beside;
use crate::state::{Desk, Known};

/// The feed as text.
fn feed(known: &Known) -> Result<String, Trouble> {
    let today = known.today()?;
    let events = calendar::events(&known.farm, &today);
    Ok(calendar::text(
        &calendar_name(known),
        &events,
        &known.farm.time_zone(),
        calendar::stamp(&known.entries, today.as_of),
    ))
}

fn calendar_name(known: &Known) -> String {
    known.farm.set_up.as_ref().map_or("Stook".into(), |f| f.is.name.clone())
}

/// `/calendar.ics`
pub async fn ics(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        if known.farm.set_up.is_none() {
            return Err(Trouble::NoFarm);
        }
        let name: String = stook_book::FieldId::from_name(&calendar_name(&known)).0;
        let name: String = name.chars().filter(char::is_ascii).collect();
        Ok((
            [
                (header::CONTENT_TYPE, "text/calendar; charset=utf-8".to_string()),
                (header::CONTENT_DISPOSITION, format!("inline; filename=\"{name}.ics\"")),
            ],
            feed(&known)?,
        )
            .into_response())
    })
    .await?
}

/// `/calendar`
pub async fn show(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let today = known.today()?;
        let events = calendar::events(&known.farm, &today);
        let days = |w: &When| match w {
            When::Days { from, to } if from == to => words::day(*from),
            When::Days { from, to } => format!("{} to {}", words::day(*from), words::day(*to)),
            When::Moments { from, to } => format!(
                "{} {} to {} {}",
                words::day(from.date()),
                stook_season::spraying::intervals::clock(*from),
                words::day(to.date()),
                stook_season::spraying::intervals::clock(*to)
            ),
        };
        let body = html! {
            div {
                h1 { "Calendar" }
                p { "The windows to come and the intervals of this year's sprays, as a calendar any phone can read (iCalendar)." }
                p.act { a.btn.yes href="/calendar.ics" download { "Save the calendar" } }
            }
            section {
                h2 { "On a phone" }
                p.under { "The desk answers on this machine only, so a phone cannot fetch the calendar by itself. Save the file and send it to the phone, by mail or cable, and open it there; " code { "stook calendar FILE" } " writes the same file. A calendar program on this machine can subscribe to " code { "http://" (desk.bound) "/calendar.ics" } " and stays true by itself. Each event keeps its number, so a newer file moves it instead of doubling it." }
            }
            section {
                h2 { "What is in it" }
                @let (over, ahead): (Vec<_>, Vec<_>) = events.iter().partition(|e| e.ends() < frame.day());
                @if ahead.is_empty() { p { "Nothing ahead." } }
                @if !over.is_empty() { p.quiet { "And " (over.len()) " intervals of this year that are over." } }
                ul.entries { @for e in &ahead { li { p { span.day { (days(&e.when)) } " " b { (e.summary) } } p.quiet { (e.about) } } } }
            }
        };
        Ok(send(page(&frame, Place::Fields, "Calendar", &body)))
    })
    .await?
}
