//! The barn: the book's herd, rations and batches joined to the bin yard, the feed models and the solver.
//!
//! A joining crate: it reads a [`stook_book::Farm`] and a [`stook_yard::Yard`] on a day, asks the pure models of
//! `stook_feed`, and gives back what the pages, the command line and the JSON all show.

pub mod batch;
pub mod buyers;
pub mod cash;
pub mod closeout;
pub mod demand;
pub mod facts;
pub mod feed_bins;
pub mod goats;
pub mod herd;
pub mod hold;
pub mod mill_checks;
pub mod offers;
pub mod plan;
pub mod rations;
pub mod step_in;
pub mod straw;
pub mod trace;
pub mod visitors;

pub use facts::Facts;
pub use plan::Whole;
pub use rations::RationAnswer;
pub use trace::Trace;

/// What can keep the barn from answering.
#[derive(Debug, thiserror::Error)]
pub enum BarnError {
    /// No such phase.
    #[error("there is no phase \"{0}\"; the phases are {1}")]
    NoPhase(String, String),
    /// Nothing written down.
    #[error("{0}")]
    Missing(String),
    /// The solver.
    #[error(transparent)]
    Solver(#[from] stook_optimise::SolveError),
}

/// The phase of a key.
///
/// # Errors
/// With the list of them.
pub fn phase(key: &str) -> Result<stook_feed::Phase, BarnError> {
    stook_feed::Phase::from_key(key).ok_or_else(|| {
        let all: Vec<&str> = stook_feed::Phase::ALL.iter().map(|p| p.key()).collect();
        BarnError::NoPhase(key.into(), all.join(", "))
    })
}
