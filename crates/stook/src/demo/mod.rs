//! The demo farm: an invented farm with thirty years of made weather and the work of a season that follows from it.

mod barn;
mod farm;
mod harvest;
mod inputs;
mod keep;
mod manure;
mod money;
mod sky;
mod spraying;
mod story;
mod yard;

use std::path::Path;

use anyhow::bail;
use jiff::civil::Date;
use stook_book::Store;

/// The year of the demo's season.
pub const YEAR: i16 = 2026;

/// The mornings the demo can stand on.
pub const DAYS: [&str; 5] = ["01-15", "05-05", "06-28", "08-20", "09-03"];

/// Writes the demo book as it would stand on the morning of `day` (month-day).
///
/// # Errors
/// When the day is not one of [`DAYS`] or the file is already there.
pub fn write(path: &Path, day: &str) -> anyhow::Result<Date> {
    if !DAYS.contains(&day) {
        bail!("the demo has no day \"{day}\"; choose one of {}", DAYS.join(", "));
    }
    let morning: Date = format!("{YEAR}-{day}").parse()?;
    let truth = sky::truth();
    let mut entries = farm::entries();
    entries.extend(spraying::products());
    entries.extend(story::entries(&entries, &truth)?);
    entries.extend(harvest::entries());
    entries.extend(inputs::entries(&entries)?);
    entries.extend(manure::entries());
    entries.extend(money::entries());
    entries.retain(|e| e.on() < morning);
    entries.sort_by_key(|e| e.written);
    let mut store = Store::create(path)?;
    store.append_all(&entries)?;
    sky::put(&mut store, &truth, morning)?;
    keep::put(&mut store, morning)?;
    Ok(morning)
}
