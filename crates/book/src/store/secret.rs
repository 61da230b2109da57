//! Words that let a device in, kept in the file and nowhere else.

use rusqlite::{OptionalExtension, params};

use super::{Store, StoreError};

impl Store {
    /// A secret by name, if one was made.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn secret(&self, name: &str) -> Result<Option<String>, StoreError> {
        let found =
            self.db.query_row("SELECT value FROM secret WHERE name = ?1", [name], |r| r.get(0)).optional()?;
        Ok(found)
    }

    /// Sets a secret; the one before no longer counts.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn put_secret(&mut self, name: &str, value: &str) -> Result<(), StoreError> {
        self.db.execute(
            "INSERT INTO secret (name, value) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            params![name, value],
        )?;
        Ok(())
    }
}
