//! The file: appended to, never changed, copied whole.

mod common;

use common::{entry, may, note, rain, set_up};
use rusqlite::Connection;
use serde_json::json;
use stook_book::store::{SCHEMA_VERSION, restore};
use stook_book::{Appended, Body, Store, StoreError};
use tempfile::TempDir;

fn book() -> (TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path().join("farm.stook")).unwrap();
    store.append_all(&set_up()).unwrap();
    (folder, store)
}

#[test]
fn what_was_added_is_there_after_reopening() {
    let (_folder, mut store) = book();
    let mut strange = entry(50, may(1, 1), 3, note("x"));
    strange.body = Body::Unknown { kind: "bin_reading".into(), data: json!({"z": 0.1, "a": [1, "ä"]}) };
    assert_eq!(store.append(&strange).unwrap(), Appended::New(6));
    let path = store.path().to_owned();
    drop(store);
    let store = Store::open(path).unwrap();
    let mut expected = set_up();
    expected.push(strange.clone());
    assert_eq!(store.entries().unwrap(), expected);
    assert_eq!(store.entry(strange.id).unwrap(), Some(strange));
    assert_eq!(store.entries_as_of(expected[1].written).unwrap(), expected[..2]);
    let report = store.verify().unwrap();
    assert!(report.is_sound() && report.warnings.is_empty());
    assert_eq!((report.entries, report.fields), (6, 2));
    assert_eq!(report.unknown_kinds, [("bin_reading".to_owned(), 1)]);
}

#[test]
fn a_resend_is_harmless_and_a_change_is_refused() {
    let (_folder, mut store) = book();
    let e = entry(60, may(5, 6), 9, rain(0.1 + 0.2));
    assert_eq!(store.append(&e).unwrap(), Appended::New(6));
    assert_eq!(store.append(&e).unwrap(), Appended::Known(6));
    let changed = entry(60, may(5, 6), 9, rain(3.0));
    let error = store.append(&changed).unwrap_err();
    assert!(error.to_string().contains("already in the book with other content"), "{error}");
    // All or none: the good entry before the bad one is not kept either.
    assert!(store.append_all([&entry(61, may(5, 7), 9, rain(1.0)), &changed]).is_err());
    assert_eq!(store.entries().unwrap().len(), 6);
}

#[test]
fn a_value_that_would_not_come_back_is_refused() {
    let (_folder, mut store) = book();
    let error = store.append(&entry(60, may(5, 6), 9, rain(f64::NAN))).unwrap_err();
    assert!(matches!(error, StoreError::Unwritable { .. }), "{error}");
}

#[test]
fn nobody_changes_or_deletes_an_entry() {
    let (_folder, store) = book();
    let db = Connection::open(store.path()).unwrap();
    for sql in [
        "UPDATE entry SET who = 'x'",
        "DELETE FROM entry",
        "INSERT OR REPLACE INTO entry SELECT * FROM entry",
    ] {
        let error = db.execute(sql, []).unwrap_err().to_string();
        assert!(error.contains("entries are never"), "{sql}: {error}");
    }
    assert_eq!(store.entries().unwrap(), set_up());
}

#[test]
fn a_newer_or_foreign_file_is_left_alone() {
    let (folder, store) = book();
    let path = store.path().to_owned();
    drop(store);
    Connection::open(&path)
        .unwrap()
        .execute_batch(&format!("PRAGMA user_version = {}", SCHEMA_VERSION + 1))
        .unwrap();
    let error = Store::open(&path).unwrap_err();
    assert!(error.to_string().contains("newer version"), "{error}");
    assert!(restore(&path, folder.path().join("b.stook")).is_err());

    let foreign = folder.path().join("other.db");
    Connection::open(&foreign).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
    let text = folder.path().join("note.txt");
    std::fs::write(&text, "not a database, but long enough to look at ".repeat(50)).unwrap();
    let empty = folder.path().join("empty.stook");
    std::fs::write(&empty, "").unwrap();
    for path in [&foreign, &text, &empty] {
        let before = std::fs::read(path).unwrap();
        assert!(matches!(Store::open(path), Err(StoreError::NotABook(_))), "{}", path.display());
        assert_eq!(std::fs::read(path).unwrap(), before);
    }
    assert!(matches!(Store::open(folder.path().join("none.stook")), Err(StoreError::Missing(_))));
    assert!(matches!(Store::create(&text), Err(StoreError::Exists(_))));
}

#[test]
fn backup_and_restore_give_the_same_book() {
    let (folder, mut store) = book();
    let (copy, back) = (folder.path().join("copy.stook"), folder.path().join("back.stook"));
    store.backup_to(&copy).unwrap();
    store.append(&note_after()).unwrap(); // the book stays in use
    restore(&copy, &back).unwrap();
    let restored = Store::open(&back).unwrap();
    assert_eq!(restored.entries().unwrap(), set_up());
    assert!(restored.verify().unwrap().is_sound());
    // Neither overwrites.
    assert!(matches!(store.backup_to(&copy), Err(StoreError::Exists(_))));
    assert!(matches!(restore(&copy, &back), Err(StoreError::Exists(_))));
    // Nothing half-made is left lying about.
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert!(left.iter().all(|name| !name.to_string_lossy().contains(".part")), "{left:?}");
}

fn note_after() -> stook_book::Entry {
    entry(70, may(9, 9), 99, note("after the backup"))
}

#[test]
fn a_damaged_backup_is_not_restored() {
    let (folder, mut store) = book();
    let many: Vec<_> = (100..2_000).map(|n| entry(n, may(9, 9), 99, note("wet in the low ground"))).collect();
    store.append_all(&many).unwrap();
    let copy = folder.path().join("copy.stook");
    store.backup_to(&copy).unwrap();
    let mut bytes = std::fs::read(&copy).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle..middle + 20_000].fill(0x5a);
    std::fs::write(&copy, bytes).unwrap();
    let to = folder.path().join("back.stook");
    let error = restore(&copy, &to).unwrap_err();
    assert!(!to.exists(), "{error}");
    assert!(matches!(error, StoreError::Damaged { .. }), "{error}");
    assert!(!Store::open(&copy).unwrap().verify().unwrap().is_sound());
}
