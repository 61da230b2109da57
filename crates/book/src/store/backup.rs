//! Copies of the book, and the check that it is whole.

use std::path::Path;
use std::time::Duration;

use rusqlite::backup::Backup;
use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::{Store, StoreError, place, schema};
use crate::farm::{Farm, Warning};

/// What [`Store::verify`] found.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// What SQLite's own check said; empty when the file is whole.
    pub damage: Vec<String>,
    /// Entries in the book.
    pub entries: usize,
    /// Fields in the fold.
    pub fields: usize,
    /// Kinds this version does not know, with how many entries each.
    pub unknown_kinds: Vec<(String, usize)>,
    /// What does not fit: corrections of missing entries, fields that are not there.
    pub warnings: Vec<Warning>,
}

impl Report {
    /// Whether the file is whole. Warnings and unknown kinds do not make it less so.
    pub fn is_sound(&self) -> bool {
        self.damage.is_empty()
    }
}

impl Store {
    /// Checks the file, reads every entry and folds them.
    ///
    /// # Errors
    /// When an entry cannot be read at all.
    pub fn verify(&self) -> Result<Report, StoreError> {
        let damage = integrity(&self.db)?;
        let entries = match self.entries() {
            Ok(entries) => entries,
            // What can still be read of a damaged file is not to be trusted either.
            Err(_) if !damage.is_empty() => Vec::new(),
            Err(why) => return Err(why),
        };
        let farm = Farm::fold(&entries);
        let mut unknown_kinds = std::collections::BTreeMap::new();
        for e in entries.iter().filter(|e| e.payload().is_none()) {
            *unknown_kinds.entry(e.body.kind().to_owned()).or_insert(0) += 1;
        }
        Ok(Report {
            damage,
            entries: entries.len(),
            fields: farm.fields.len(),
            unknown_kinds: unknown_kinds.into_iter().collect(),
            warnings: farm.warnings,
        })
    }

    /// Writes a copy while the book stays in use. The copy appears under its name only when it is complete.
    ///
    /// # Errors
    /// When `to` exists or cannot be written.
    pub fn backup_to(&self, to: impl AsRef<Path>) -> Result<(), StoreError> {
        copy(&self.db, to.as_ref())
    }
}

/// Puts a backup in place as a book under a new name, after checking that it is whole.
///
/// # Errors
/// When `to` exists, `from` is not a day book, or it is damaged.
pub fn restore(from: impl AsRef<Path>, to: impl AsRef<Path>) -> Result<(), StoreError> {
    let from = from.as_ref();
    if !from.is_file() {
        return Err(StoreError::Missing(from.into()));
    }
    schema::check_is_book(from)?;
    let db = Connection::open_with_flags(from, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let damage = integrity(&db)?;
    if let Some(why) = damage.into_iter().next() {
        return Err(StoreError::Damaged { path: from.into(), why });
    }
    copy(&db, to.as_ref())
}

/// What SQLite's own check says; a file too broken to be checked says so itself.
fn integrity(db: &Connection) -> Result<Vec<String>, StoreError> {
    let ask = || {
        let mut query = db.prepare("PRAGMA integrity_check")?;
        query.query_map([], |r| r.get::<_, String>(0))?.collect::<Result<Vec<_>, _>>()
    };
    match ask() {
        Ok(lines) => Ok(lines.into_iter().filter(|line| line != "ok").collect()),
        Err(why) if is_damage(&why) => Ok(vec![why.to_string()]),
        Err(why) => Err(why.into()),
    }
}

fn is_damage(why: &rusqlite::Error) -> bool {
    matches!(why.sqlite_error_code(), Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase))
}

fn copy(from: &Connection, to: &Path) -> Result<(), StoreError> {
    let part = place::part_name(to)?;
    {
        let mut db = Connection::open(&part)?;
        Backup::new(from, &mut db)?.run_to_completion(1024, Duration::from_millis(1), None)?;
        db.execute_batch("PRAGMA journal_mode=DELETE;")?;
    }
    std::fs::File::open(&part)
        .and_then(|f| f.sync_all())
        .map_err(|why| StoreError::File { path: to.into(), why })?;
    place::put(&part, to)
}
