//! The barn: groups, feed, rations, batches, mill or trough, trace, and what a field became.

mod batch;
mod closeout;
mod goats;
mod overview;
mod plan;
mod ration;
mod step_in;
mod trace;
mod visitors;

use std::sync::Arc;

use axum::Router;
use axum::routing::get;
use stook_barn::{BarnError, Facts};

use super::{Trouble, capital};
use crate::state::{Desk, Known};

/// The barn's pages.
pub fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/barn", get(overview::show))
        .route("/barn/plan", get(plan::show))
        .route("/barn/ration/{phase}", get(ration::show).post(ration::accept))
        .route("/barn/batch/{ration}", get(batch::show).post(batch::save))
        .route("/barn/step-in/{bin}", get(step_in::show))
        .route("/barn/trace", get(trace::show))
        .route("/barn/goats", get(goats::show))
        .route("/barn/closeout/{group}", get(closeout::show))
        .route("/barn/became", get(visitors::list))
        .route("/barn/became/{field}", get(visitors::show))
}

impl From<BarnError> for Trouble {
    fn from(e: BarnError) -> Self {
        Self::missing(format!("{}.", capital(e.to_string().trim_end_matches('.'))))
    }
}

/// What the barn reads, for the day answered for.
fn facts<'a>(known: &'a Known) -> Facts<'a> {
    Facts::new(&known.farm, known.as_of)
}
