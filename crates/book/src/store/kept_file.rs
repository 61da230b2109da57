//! Files kept as they were sent, beside the entries that were read from them.

use jiff::Timestamp;
use rusqlite::{OptionalExtension, params};
use uuid::Uuid;

use super::{Store, StoreError};

impl Store {
    /// Keeps a file whole. The same number again does nothing.
    ///
    /// # Errors
    /// When the book cannot be written.
    pub fn keep_file(&mut self, id: Uuid, name: &str, bytes: &[u8]) -> Result<(), StoreError> {
        self.db.execute(
            "INSERT INTO kept_file (id, name, kept, bytes) VALUES (?1, ?2, ?3, ?4) ON CONFLICT DO NOTHING",
            params![id.to_string(), name, Timestamp::now().to_string(), bytes],
        )?;
        Ok(())
    }

    /// A kept file: its name and what is in it.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn kept_file(&self, id: Uuid) -> Result<Option<(String, Vec<u8>)>, StoreError> {
        let row = |r: &rusqlite::Row<'_>| Ok((r.get(0)?, r.get(1)?));
        Ok(self
            .db
            .query_row("SELECT name, bytes FROM kept_file WHERE id = ?1", [id.to_string()], row)
            .optional()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_comes_back_as_it_went_in() {
        let folder = tempfile::tempdir().unwrap();
        let mut store = Store::create(folder.path().join("a.stook")).unwrap();
        let id = Uuid::now_v7();
        store.keep_file(id, "tower.zip", &[0, 1, 255]).unwrap();
        store.keep_file(id, "other.zip", &[9]).unwrap();
        assert_eq!(store.kept_file(id).unwrap(), Some(("tower.zip".into(), vec![0, 1, 255])));
        assert_eq!(store.kept_file(Uuid::now_v7()).unwrap(), None);
    }
}
