//! The bin yard: every bin as full as it is, one bin with its origins, the load from the cab, tickets.

mod emergency;
mod jobs;
mod list;
mod load;
mod one;
pub mod result;
mod stored;
mod terms;
mod ticket;
mod uses;
pub mod words;

use std::sync::Arc;

use axum::Router;
use axum::routing::get;

pub use result::yield_words;

use crate::state::Desk;

/// The pages.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/bins", get(list::show))
        .route("/bins/jobs", get(jobs::show))
        .route("/bins/stored", get(stored::show))
        .route("/bins/ticket", get(ticket::list).post(ticket::save))
        .route("/bins/ticket/{id}", get(ticket::one))
        .route("/harvest/result", get(result::show))
        .route("/emergency", get(emergency::show))
        .route("/bins/{id}", get(one::show))
        .route("/load", get(load::show).post(load::save))
}
