//! The day book: what was done and seen on the farm, as entries that are only ever added.
//!
//! - [`entry`] and [`payload`]: an entry and what it can say.
//! - [`mod@validate`]: the door; a wrong figure is stopped in one sentence beside its input.
//! - [`farm`]: the fold of the entries, now or as known at any past moment.
//! - [`store`]: one SQLite file per farm, with the weather tables beside the entries.
//! - [`readings`]: weather as reported, kept in tables beside the entries.
//! - [`sensor`]: what devices in bins read by themselves.
//! - [`boundary`] and [`weather_file`]: facts that come in files.
//!
//! ```
//! use jiff::civil::date;
//! use stook_book::payload::Rain;
//! use stook_book::{Entry, Farm, Store};
//!
//! let folder = std::env::temp_dir().join(format!("day-book-example-{}", std::process::id()));
//! std::fs::create_dir_all(&folder)?;
//! # let _ = std::fs::remove_file(folder.join("hill.stook"));
//! let mut store = Store::create(folder.join("hill.stook"))?;
//! let wrong = Entry::new(date(2026, 5, 5).at(6, 0, 0, 0), "Ada", Rain { rain_mm: 45.0, field: None });
//! let right = Entry::new(wrong.happened, "Ada", Rain { rain_mm: 4.5, field: None }).replacing(wrong.id);
//! store.append_all([&wrong, &right])?;
//!
//! let farm = Farm::fold(&store.entries()?);
//! assert_eq!(farm.rain.len(), 1);
//! assert_eq!(farm.rain[0].is.rain_mm, 4.5);
//! # std::fs::remove_dir_all(&folder)?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod choice;

pub mod boundary;
pub mod entry;
pub mod farm;
pub mod payload;
pub mod readings;
pub mod sensor;
pub mod store;
pub mod validate;
pub mod weather_file;

pub use entry::{Body, Entry};
pub use farm::{Barn, BinRecord, Fact, Farm, FieldRecord, ManureStoreRecord};
pub use payload::{BinId, FieldId, MachineId, ManureStoreId, Payload, SeedLotId, SprayProductId};
pub use payload::{FeedBinId, GroupId, IngredientId, MixerId, RationId};
pub use store::{Appended, Store, StoreError};
pub use validate::{Problem, validate};
