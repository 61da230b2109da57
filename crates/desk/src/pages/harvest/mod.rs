//! Harvest: which field, how fast, who waits for whom, chop or bale.

mod combine;
mod haul;
mod order;
mod pays;
mod sheets;
mod straw;

use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::routing::get;
use maud::{Markup, html};
use stook_season::SeasonError;
use stook_season::harvest::{CombineAnswer, OrderAnswer, PaysAnswer};

use crate::state::{Desk, Known};

/// The pages.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/harvest", get(order::show))
        .route("/harvest/pays", get(pays::show))
        .route("/harvest/straw", get(straw::show))
        .route("/harvest/combine", get(combine::show))
        .route("/harvest/haul", get(haul::show))
        .route("/harvest/sheets", get(sheets::show))
}

/// Answers kept while nothing changes.
#[derive(Debug, Default)]
pub struct Kept {
    combine: Slot<CombineAnswer>,
    order: Slot<OrderAnswer>,
    pays: Slot<PaysAnswer>,
}

/// One answer, reckoned at its first asking.
#[derive(Debug)]
struct Slot<T>(Mutex<Option<Arc<T>>>);

impl<T> Default for Slot<T> {
    fn default() -> Self {
        Self(Mutex::new(None))
    }
}

impl<T> Slot<T> {
    fn get(&self, make: impl FnOnce() -> Result<T, SeasonError>) -> Result<Arc<T>, SeasonError> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(x) = kept.as_ref() {
            return Ok(Arc::clone(x));
        }
        let x = Arc::new(make()?);
        *kept = Some(Arc::clone(&x));
        Ok(x)
    }
}

/// The combine's answer.
fn combine_answer(known: &Known) -> Result<Arc<CombineAnswer>, SeasonError> {
    known.harvest.combine.get(|| stook_season::harvest::combine(&known.question()))
}

const PAGES: [(&str, &str); 8] = [
    ("/harvest", "Order of fields"),
    ("/harvest/combine", "The combine"),
    ("/harvest/haul", "Hauling"),
    ("/harvest/sheets", "Who does what"),
    ("/harvest/straw", "Straw"),
    ("/harvest/result", "What fields made"),
    ("/harvest/task-data", "Task data"),
    ("/harvest/pays", "What would pay"),
];

/// The order's answer.
fn order_answer(known: &Known) -> Result<Arc<OrderAnswer>, SeasonError> {
    known.harvest.order.get(|| stook_season::harvest::order(&known.question()))
}

/// What would pay.
fn pays_answer(known: &Known) -> Result<Arc<PaysAnswer>, SeasonError> {
    known.harvest.pays.get(|| stook_season::harvest::pays(&known.question()))
}

/// The pages of harvest, from each to the others.
fn across(here: &str) -> Markup {
    html! {
        nav aria-label="Harvest" { ul.words {
            @for (path, word) in PAGES {
                li { a href=(path) aria-current=[(path == here).then_some("page")] { (word) } }
            }
        } }
    }
}
