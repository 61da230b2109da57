//! The book on disk: one SQLite file per farm.
//!
//! Write-ahead log with `synchronous=FULL`: when [`Store::append`] returns, the entry survives a power cut. Entries
//! are only ever added; triggers refuse anything else, whoever asks.

mod backup;
mod bin_readings;
mod forecast_hours;
mod kept_file;
mod place;
mod schema;
mod secret;
mod weather;

use std::path::{Path, PathBuf};

use jiff::Timestamp;
use rusqlite::{Connection, OpenFlags, OptionalExtension, Transaction, TransactionBehavior, params};
use uuid::Uuid;

use crate::entry::{Body, Entry};

pub use backup::{Report, restore};
pub use schema::SCHEMA_VERSION;
pub use weather::Put;

/// What can go wrong with the file.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A new book on top of an existing file.
    #[error("{0} is already there; choose another name or open it")]
    Exists(PathBuf),
    /// No file to open.
    #[error("there is no day book at {0}; check the name, or make one with `stook new`")]
    Missing(PathBuf),
    /// A SQLite file of something else, or no SQLite file.
    #[error("{0} is not a day book")]
    NotABook(PathBuf),
    /// Written by a newer version.
    #[error(
        "this day book was written by a newer version (layout {found}, this version knows {known}); update the program to open it"
    )]
    Newer {
        /// The file's layout.
        found: i64,
        /// The newest known here.
        known: u32,
    },
    /// Two different entries under one id.
    #[error(
        "entry {0} is already in the book with other content; a correction must be a new entry that replaces it"
    )]
    Conflict(Uuid),
    /// An entry that would not come back as it went in.
    #[error("entry {id} cannot be written down: {why}")]
    Unwritable {
        /// Which.
        id: Uuid,
        /// Why not.
        why: String,
    },
    /// A row that cannot be read.
    #[error("entry number {seq} in the book cannot be read ({why}); restore the last backup")]
    Unreadable {
        /// Its number.
        seq: i64,
        /// Why not.
        why: String,
    },
    /// A file that fails its check.
    #[error("{path} is damaged ({why}); restore the last backup")]
    Damaged {
        /// Which.
        path: PathBuf,
        /// What the check said.
        why: String,
    },
    /// From SQLite.
    #[error("the day book could not be read or written: {0}")]
    Sqlite(#[from] rusqlite::Error),
    /// From the file system.
    #[error("{path}: {why}")]
    File {
        /// Which.
        path: PathBuf,
        /// What happened.
        why: std::io::Error,
    },
}

/// What became of an entry given to [`Store::append`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Appended {
    /// Added under this number.
    New(i64),
    /// Already there under this number, with the same content.
    Known(i64),
}

/// An open day book.
#[derive(Debug)]
pub struct Store {
    pub(crate) db: Connection,
    path: PathBuf,
}

impl Store {
    /// Makes a new book; the file must not exist.
    ///
    /// # Errors
    /// When the file exists or cannot be made.
    pub fn create(path: impl AsRef<Path>) -> Result<Self, StoreError> {
        let path = path.as_ref();
        let part = place::part_name(path)?;
        std::fs::File::create_new(&part).map_err(|why| StoreError::File { path: path.into(), why })?;
        schema::migrate(&mut connect(&part)?, path)?;
        place::put(&part, path)?;
        Self::open(path)
    }

    /// Opens a book and brings its layout up to date.
    ///
    /// # Errors
    /// When there is none, it is not a day book, or it is of a newer version.
    pub fn open(path: impl AsRef<Path>) -> Result<Self, StoreError> {
        let path = path.as_ref();
        if !path.is_file() {
            return Err(StoreError::Missing(path.into()));
        }
        schema::check_is_book(path)?;
        let mut db = connect(path)?;
        schema::migrate(&mut db, path)?;
        Ok(Self { db, path: path.into() })
    }

    /// Where the file is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Adds an entry. When this returns, it is on disk. The same entry again does nothing.
    ///
    /// # Errors
    /// When an entry with the same id and other content is there, or the file cannot be written.
    pub fn append(&mut self, entry: &Entry) -> Result<Appended, StoreError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let outcome = insert(&tx, entry)?;
        tx.commit()?;
        Ok(outcome)
    }

    /// Adds entries, all or none.
    ///
    /// # Errors
    /// As [`Store::append`]; then none is added.
    pub fn append_all<'a>(
        &mut self,
        entries: impl IntoIterator<Item = &'a Entry>,
    ) -> Result<Vec<Appended>, StoreError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let outcomes = entries.into_iter().map(|e| insert(&tx, e)).collect::<Result<_, _>>()?;
        tx.commit()?;
        Ok(outcomes)
    }

    /// Every entry in the order it was added.
    ///
    /// # Errors
    /// When a row cannot be read.
    pub fn entries(&self) -> Result<Vec<Entry>, StoreError> {
        let mut query = self.db.prepare(
            "SELECT seq, id, happened, written, who, replaces, kind, data FROM entry ORDER BY seq",
        )?;
        let mut rows = query.query([])?;
        let mut out = Vec::new();
        while let Some(row) = rows.next()? {
            out.push(read(row)?);
        }
        Ok(out)
    }

    /// The entries written by `moment`.
    ///
    /// # Errors
    /// As [`Store::entries`].
    pub fn entries_as_of(&self, moment: Timestamp) -> Result<Vec<Entry>, StoreError> {
        let mut entries = self.entries()?;
        entries.retain(|e| e.written <= moment);
        Ok(entries)
    }

    /// The entry with this id.
    ///
    /// # Errors
    /// As [`Store::entries`].
    pub fn entry(&self, id: Uuid) -> Result<Option<Entry>, StoreError> {
        find(&self.db, id).map(|found| found.map(|(_, e)| e))
    }
}

fn connect(path: &Path) -> Result<Connection, StoreError> {
    let db = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_URI,
    )?;
    db.busy_timeout(std::time::Duration::from_secs(10))?;
    db.execute_batch("PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;")?;
    Ok(db)
}

fn insert(tx: &Transaction<'_>, entry: &Entry) -> Result<Appended, StoreError> {
    if let Some((seq, known)) = find(tx, entry.id)? {
        return if known == *entry { Ok(Appended::Known(seq)) } else { Err(StoreError::Conflict(entry.id)) };
    }
    let unwritable = |why: String| StoreError::Unwritable { id: entry.id, why };
    let data = entry.body.data_text().map_err(|e| unwritable(e.to_string()))?;
    // A number that is not finite has no JSON form and would come back as something else.
    match Body::read_text(entry.body.kind(), &data) {
        Ok(body) if body == entry.body => {}
        _ => return Err(unwritable("it holds a value that is not a number".into())),
    }
    tx.prepare_cached(
        "INSERT INTO entry (id, happened, written, who, replaces, kind, data) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?
    .execute(params![
        entry.id.to_string(),
        entry.happened.to_string(),
        entry.written.to_string(),
        entry.who,
        entry.replaces.map(|id| id.to_string()),
        entry.body.kind(),
        data
    ])?;
    Ok(Appended::New(tx.last_insert_rowid()))
}

fn find(db: &Connection, id: Uuid) -> Result<Option<(i64, Entry)>, StoreError> {
    db.prepare_cached(
        "SELECT seq, id, happened, written, who, replaces, kind, data FROM entry WHERE id = ?1",
    )?
    .query_row([id.to_string()], |row| Ok(row.get::<_, i64>(0).map(|seq| (seq, read(row)))))
    .optional()?
    .transpose()?
    .map(|(seq, entry)| entry.map(|e| (seq, e)))
    .transpose()
}

fn read(row: &rusqlite::Row<'_>) -> Result<Entry, StoreError> {
    let seq: i64 = row.get(0)?;
    let unreadable = |what: &str, why: String| StoreError::Unreadable { seq, why: format!("{what}: {why}") };
    let text = |i: usize| row.get_ref(i).and_then(|v| v.as_str().map_err(rusqlite::Error::from));
    let replaces = row.get_ref(5)?.as_str_or_null().map_err(rusqlite::Error::from)?;
    Ok(Entry {
        id: text(1)?.parse().map_err(|e: uuid::Error| unreadable("id", e.to_string()))?,
        happened: text(2)?.parse().map_err(|e: jiff::Error| unreadable("happened", e.to_string()))?,
        written: text(3)?.parse().map_err(|e: jiff::Error| unreadable("written", e.to_string()))?,
        who: text(4)?.to_owned(),
        replaces: replaces
            .map(str::parse)
            .transpose()
            .map_err(|e: uuid::Error| unreadable("replaces", e.to_string()))?,
        body: Body::read_text(text(6)?, text(7)?).map_err(|e| unreadable("data", e.to_string()))?,
    })
}
