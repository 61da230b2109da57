//! The layout of the file and how an older one is brought up to date.

use std::path::Path;

use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use super::StoreError;

/// Marks the file as a day book ("Stok").
const APPLICATION_ID: i64 = 0x5374_6f6b;

/// The newest layout known here.
pub const SCHEMA_VERSION: u32 = MIGRATIONS.len() as u32;

/// Each brings the file from its index to the next. Never changed once released; only added to.
const MIGRATIONS: &[&str] = &[ENTRIES, WEATHER, FORECAST_HOURS, BIN_READINGS, KEPT_FILES];

const ENTRIES: &str = "
    CREATE TABLE entry (
        seq INTEGER PRIMARY KEY AUTOINCREMENT,
        id TEXT NOT NULL UNIQUE,
        happened TEXT NOT NULL,
        written TEXT NOT NULL,
        who TEXT NOT NULL,
        replaces TEXT,
        kind TEXT NOT NULL,
        data TEXT NOT NULL CHECK (json_valid(data))
    ) STRICT;
    -- A REPLACE would delete without asking the trigger on DELETE.
    CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry
        WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR seq = NEW.seq)
        BEGIN SELECT RAISE(ABORT, 'entries are never overwritten; add one that replaces it'); END;
    CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are never changed; add one that replaces it'); END;
    CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are never deleted; add one that takes it back'); END;
";

/// Readings beside the entries. A later file may bring revised values, so these rows can change; where each came from
/// stays with it. A day is `YYYY-MM-DD`; an hour is counted from 1970-01-01 00:00 in local standard time.
const WEATHER: &str = "
    CREATE TABLE weather_source (
        source INTEGER PRIMARY KEY,
        file TEXT NOT NULL,
        imported TEXT NOT NULL
    ) STRICT;
    CREATE TABLE weather_day (
        station TEXT NOT NULL, date TEXT NOT NULL,
        tmax_c REAL, tmin_c REAL, tmean_c REAL, precip_mm REAL, new_snow_cm REAL, snow_depth_cm REAL,
        rs_mj_m2 REAL, sunshine_h REAL, dew_point_c REAL, rh_pct REAL, rh_max_pct REAL,
        rh_min_pct REAL, ea_kpa REAL, wind_ms REAL,
        wind_height_m REAL,
        flags TEXT NOT NULL, source INTEGER NOT NULL REFERENCES weather_source,
        PRIMARY KEY (station, date)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE weather_hour (
        station TEXT NOT NULL, hour INTEGER NOT NULL,
        temp_c REAL, dew_point_c REAL, rh_pct REAL, ea_kpa REAL, precip_mm REAL, rs_mj_m2 REAL, sunshine_h REAL,
        pressure_kpa REAL, snow_depth_cm REAL, wind_ms REAL, wind_height_m REAL,
        flags TEXT NOT NULL, source INTEGER NOT NULL REFERENCES weather_source,
        PRIMARY KEY (station, hour)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE weather_forecast (
        issued TEXT NOT NULL, date TEXT NOT NULL,
        tmax_c REAL, tmin_c REAL, tmean_c REAL, precip_mm REAL, new_snow_cm REAL, snow_depth_cm REAL,
        rs_mj_m2 REAL, sunshine_h REAL, dew_point_c REAL, rh_pct REAL, rh_max_pct REAL,
        rh_min_pct REAL, ea_kpa REAL, wind_ms REAL,
        wind_height_m REAL, rain_chance_pct REAL,
        source INTEGER NOT NULL REFERENCES weather_source,
        PRIMARY KEY (issued, date)
    ) STRICT, WITHOUT ROWID;
";

const FORECAST_HOURS: &str = "
    CREATE TABLE weather_forecast_hour (
        issued TEXT NOT NULL, hour INTEGER NOT NULL,
        temp_c REAL, dew_point_c REAL, rh_pct REAL, ea_kpa REAL, precip_mm REAL, rs_mj_m2 REAL, sunshine_h REAL,
        pressure_kpa REAL, snow_depth_cm REAL, wind_ms REAL, wind_height_m REAL, rain_chance_pct REAL,
        source INTEGER NOT NULL REFERENCES weather_source,
        PRIMARY KEY (issued, hour)
    ) STRICT, WITHOUT ROWID;
";

/// What sensors in bins read, by the minute, counted from 1970-01-01 00:00 on the farm's clock; and the desk's own
/// secrets, such as the word a device must say to send readings.
const BIN_READINGS: &str = "
    CREATE TABLE bin_reading (
        bin TEXT NOT NULL, at INTEGER NOT NULL, sensor TEXT NOT NULL,
        height_m REAL, temperature_c REAL, moisture_wb_pct REAL, co2_ppm REAL,
        source INTEGER NOT NULL REFERENCES weather_source,
        PRIMARY KEY (bin, at, sensor)
    ) STRICT, WITHOUT ROWID;
    CREATE INDEX bin_reading_at ON bin_reading (at);
    CREATE TABLE secret (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;
";

/// Files kept as they were sent, such as a terminal's task data: read again when the rules change.
const KEPT_FILES: &str = "
    CREATE TABLE kept_file (
        id TEXT PRIMARY KEY, name TEXT NOT NULL, kept TEXT NOT NULL, bytes BLOB NOT NULL
    ) STRICT, WITHOUT ROWID;
";

/// Brings the open file up to date.
pub(super) fn migrate(db: &mut Connection, path: &Path) -> Result<(), StoreError> {
    let tx = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let found: i64 = tx.query_row("PRAGMA user_version", [], |r| r.get(0))?;
    if found > i64::from(SCHEMA_VERSION) {
        return Err(StoreError::Newer { found, known: SCHEMA_VERSION });
    }
    if found == i64::from(SCHEMA_VERSION) {
        // Nothing to do, and nothing written: a file that is only looked at keeps its time of change.
        return Ok(());
    }
    let from = usize::try_from(found).map_err(|_| StoreError::NotABook(path.into()))?;
    for step in &MIGRATIONS[from..] {
        tx.execute_batch(step)?;
    }
    tx.execute_batch(&format!(
        "PRAGMA user_version = {SCHEMA_VERSION}; PRAGMA application_id = {APPLICATION_ID};"
    ))?;
    tx.commit()?;
    Ok(())
}

/// Looks without touching: another program's file must come out of this as it went in.
pub(super) fn check_is_book(path: &Path) -> Result<(), StoreError> {
    let not_a_book = |_| StoreError::NotABook(path.into());
    let db = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX,
    )?;
    let application: i64 = db.query_row("PRAGMA application_id", [], |r| r.get(0)).map_err(not_a_book)?;
    if application != APPLICATION_ID {
        return Err(StoreError::NotABook(path.into()));
    }
    let found: i64 = db.query_row("PRAGMA user_version", [], |r| r.get(0))?;
    if found > i64::from(SCHEMA_VERSION) {
        return Err(StoreError::Newer { found, known: SCHEMA_VERSION });
    }
    Ok(())
}
