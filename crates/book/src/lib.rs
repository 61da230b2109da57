//! The day book: what was done and seen on the farm, as entries that are only ever added.
//!
//! - [`entry`] and [`payload`]: an entry and what it can say.
//! - [`validate`]: the door; a wrong figure is stopped in one sentence beside its input.
//! - [`farm`]: the fold of the entries, now or as known at any past moment.
//! - [`store`]: one SQLite file per farm, with the weather tables beside the entries.
//! - [`readings`]: weather as reported, kept in tables beside the entries.
//! - [`boundary`] and [`weather_file`]: facts that come in files.

mod choice;

pub mod boundary;
pub mod entry;
pub mod farm;
pub mod payload;
pub mod readings;
pub mod store;
pub mod validate;
pub mod weather_file;

pub use entry::{Body, Entry};
pub use farm::{Fact, Farm, FieldRecord};
pub use payload::{FieldId, MachineId, Payload, SeedLotId};
pub use store::{Appended, Store, StoreError};
pub use validate::{Problem, validate};
