//! Task data from the machines' terminals: what a combine yielded and a drill put on, read into the book; the yield map;
//! outlines and zones from a file.

mod bring_in;
mod entry;
mod files;
mod look;
mod map;
mod outlines;
mod outlines_form;
mod upload;

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

pub use entry::yield_map;
pub use files::download;
pub use map::links;

use crate::state::Desk;

/// A season of one field's logs is some megabytes.
const FILE_LIMIT: usize = 96 * 1024 * 1024;

/// The addresses.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/harvest/task-data", get(upload::show))
        .route("/harvest/task-data/file", post(upload::upload).layer(DefaultBodyLimit::max(FILE_LIMIT)))
        .route("/harvest/task-data/{token}", get(look::show).post(bring_in::save))
        .route("/harvest/map/{entry}", get(map::show))
        .route("/kept/{id}", get(files::kept))
        .route("/fields/outlines", get(outlines::show))
        .route("/fields/outlines/file", post(outlines::upload).layer(DefaultBodyLimit::max(FILE_LIMIT)))
        .route("/fields/outlines/{token}", get(outlines::look).post(outlines::save))
}
