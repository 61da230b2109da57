//! Air for the bins: each bin's evening, all fans of tonight, the fan on its bed, what to tape to it, the card for its door,
//! and readings that devices send.

mod all;
mod bin;
mod card;
mod fan;
mod jobs;
mod readings;
mod tape;
mod today;

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::{HeaderValue, header};
use axum::response::Response;
use axum::routing::{get, post};
use maud::{Markup, html};
use stook_book::BinId;
use stook_book::farm::BinRecord;
use stook_book::payload::UnitChoice;
use stook_keep::{AirFacts, Keeping, Work};
use stook_season::Question;

use super::{Frame, Reply, Trouble, send};
use crate::server::beside;
use crate::state::{Desk, Known};

pub use jobs::Jobs;
pub use readings::is_from_a_device;
pub use today::{Tonight, tonight};

/// A device sends a day of readings at most.
const READINGS_LIMIT: usize = 1024 * 1024;

/// Weathers for tables that look a few days ahead.
const FEW: usize = 12;

/// The pages.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/bins/air", get(all::show))
        .route("/bins/{id}/air", get(bin::show))
        .route("/bins/{id}/fan", get(fan::show))
        .route("/bins/{id}/tape", get(tape::show))
        .route("/bins/{id}/card", get(card::show))
        .route("/setup/readings", get(readings::set_up).post(readings::new_token))
        .route("/readings", post(readings::take).layer(DefaultBodyLimit::max(READINGS_LIMIT)))
}

/// The bin of an address.
fn record<'a>(known: &'a Known, id: &str) -> Result<&'a BinRecord, Trouble> {
    known
        .farm
        .bins
        .get(&BinId(id.into()))
        .ok_or_else(|| Trouble::missing("There is no bin of that name in the book."))
}

/// A bin brought to this evening, for tables that need no weather ahead; or why it cannot be reckoned.
fn work(desk: &Desk, known: &Known, id: &BinId) -> Result<Result<Work, String>, Trouble> {
    let air = AirFacts::load(&desk.store()?, known.as_of)?;
    let q = Question { members: FEW, ..known.question() };
    let mut keeping = Keeping::new(&q, &air, Some(id))?;
    Ok(match (keeping.works.pop(), keeping.silent.pop()) {
        (Some(w), _) => Ok(w),
        (None, Some(s)) => Err(s.why),
        (None, None) => Err("There is no grain in it by the book.".into()),
    })
}

/// A page of one bin that needs no weather ahead.
async fn of_one_bin(
    desk: Arc<Desk>,
    id: String,
    view: fn(&Frame, &BinRecord, Result<&Work, &str>) -> Markup,
) -> Reply {
    beside(move || {
        let known = desk.known()?;
        let record = record(&known, &id)?;
        let found = work(&desk, &known, &record.bin().id)?;
        Ok(send(view(&Frame::of(&desk, &known), record, found.as_ref().map_err(String::as_str))))
    })
    .await?
}

/// Asks the browser to look again soon.
fn again_soon(mut page: Response) -> Response {
    page.headers_mut().insert(header::REFRESH, HeaderValue::from_static("2"));
    page
}

/// How far the reckoning is.
fn so_far(what: &str, done: usize, of: usize) -> Markup {
    html! {
        div.note role="status" {
            label { (what) " " (done) " of " (of) ". The page looks again by itself. " progress value=(done) max=(of) { (done) " of " (of) } }
        }
    }
}

/// The caution that stands on every page that leads to a bin.
fn caution() -> Markup {
    html! {
        p.caution {
            b { "Check from outside. " }
            "Never go into a bin: moving grain buries in seconds, bridged or crusted grain gives way, and the air over bad grain can kill. Lock out the unloader before anyone looks in from the top; a rescuer must not enter. If entry cannot be avoided, your province's or state's confined-space rules come first: a second person outside, harness and line, air tested."
        }
    }
}

/// The words to the other pages of a bin.
fn others(id: &str, here: &str) -> Markup {
    html! {
        ul.words {
            @for (path, word) in [("air", "tonight"), ("fan", "the fan on its bed"), ("tape", "table for the fan"), ("card", "card for the door")] {
                @if path != here { li { a href={ "/bins/" (id) "/" (path) } { (word) } } }
            }
            li { a href={ "/enter/bin_reading?bin=" (id) } { "write a reading" } }
            li { a href="/bins/air" { "all fans" } }
        }
    }
}

/// A temperature to a tenth where it matters.
fn temp(u: &UnitChoice, c: f64) -> String {
    stook_season::words::temperature(u, c)
}
