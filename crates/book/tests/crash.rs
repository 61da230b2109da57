//! A writer killed at any instant loses no entry it has acknowledged.
//!
//! The child writes entries one by one and in batches and says each id on its output once the book has taken it.
//! The parent kills it somewhere in between, many times over on the same file, and then counts. Killing a process
//! leaves the kernel's buffers alone, so this proves the order of writing and the recovery; that the disk itself
//! has the bytes rests on `synchronous=FULL`.

mod common;

use std::collections::HashSet;
use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

use common::{may, note, rain};
use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};
use stook_book::{Entry, Store};
use uuid::Uuid;

const BOOK: &str = "STOOK_CRASH_TEST_BOOK";
const KILLS: usize = 100;

/// The child. Runs only when called by the test below.
#[test]
#[ignore = "a helper process of the test below"]
fn writer() {
    let Ok(path) = std::env::var(BOOK) else { return };
    let mut store = Store::open(path).unwrap();
    let mut out = std::io::stdout().lock();
    for turn in 0_u32.. {
        let batch: Vec<Entry> = if turn % 5 == 4 {
            (0..20)
                .map(|i| Entry::new(may(6, 8), "Ada", note(&format!("{turn}/{i} {}", "x".repeat(500)))))
                .collect()
        } else {
            vec![Entry::new(may(5, 8), "Ada", rain(f64::from(turn % 50)))]
        };
        store.append_all(&batch).unwrap();
        for e in &batch {
            writeln!(out, "\nhas {}", e.id).unwrap();
        }
        out.flush().unwrap();
    }
}

#[test]
fn no_acknowledged_entry_is_lost() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("farm.stook");
    drop(Store::create(&path).unwrap());
    let mut random = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut acknowledged: HashSet<Uuid> = HashSet::new();
    for kill in 0..KILLS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--ignored", "--exact", "writer", "--nocapture"])
            .env(BOOK, &path)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap());
        let (wait_for, spin) = (1 + random.next_u32() % 60, random.next_u32() % 400_000);
        let mut seen = 0;
        let mut line = String::new();
        let mut killed = false;
        loop {
            line.clear();
            if lines.read_line(&mut line).unwrap() == 0 {
                break;
            }
            // A line cut off by the kill was not said.
            if let Some(id) = line.strip_prefix("has ").filter(|l| l.ends_with('\n')) {
                acknowledged.insert(id.trim().parse().unwrap());
                seen += 1;
            }
            if seen >= wait_for && !killed {
                for i in 0..spin {
                    std::hint::black_box(i);
                }
                child.kill().unwrap();
                killed = true;
            }
        }
        child.wait().unwrap();
        assert!(killed, "the writer of round {kill} stopped by itself");

        let store = Store::open(&path).unwrap();
        let there: HashSet<Uuid> = store.entries().unwrap().iter().map(|e| e.id).collect();
        let lost = acknowledged.difference(&there).count();
        assert_eq!(
            lost,
            0,
            "after kill {kill}: {lost} of {} acknowledged entries are gone",
            acknowledged.len()
        );
        // What was not acknowledged may be there too, but only whole batches: at most one.
        assert!(there.len() - acknowledged.len() <= 20 * (kill + 1));
        let report = store.verify().unwrap();
        assert!(report.is_sound() && report.warnings.is_empty(), "{report:?}");
    }
    assert!(acknowledged.len() >= KILLS);
}
