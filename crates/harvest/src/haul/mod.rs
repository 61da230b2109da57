//! A day's hauling, event by event: combines, carts, trucks, the auger in the yard, the drier and its wet bin.
//!
//! Serial and cyclic: a combine fills its tank and calls; a cart takes it and pours into a truck; the truck rides, waits
//! for the auger, pours, and comes back. Times vary about their means as gamma numbers with a stated coefficient of
//! variation: 0 always the same, 1 wholly random. Runs are seeded; each replication draws its own day, and set-ups that
//! are compared draw the same days, so that small gains show.

mod day;
mod draw;
mod params;
mod replicate;
mod setup;
#[cfg(test)]
mod tests;

pub use day::{Counts, simulate};
pub use params::HaulParams;
pub use replicate::{Change, Mean, Summary, compare, replicate, student_975};
pub use setup::{Cart, Drier, HaulError, Setup, Truck, Unloading, Variation};
