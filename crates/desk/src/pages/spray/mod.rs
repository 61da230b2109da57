//! Spraying on the desk: hours and fields, the tank mix, the record, and the calendar of windows and intervals.

pub mod air;
mod calendar;
mod hours;
pub mod label;
mod mix;
mod record;

use std::sync::Arc;

use axum::Router;
use axum::routing::get;

use crate::state::Desk;

/// Its addresses.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/spray", get(hours::show))
        .route("/spray/mix", get(mix::show))
        .route("/spray/record", get(record::show))
        .route("/calendar", get(calendar::show))
        .route("/calendar.ics", get(calendar::ics))
}
