//! Measures the fold and the store at the size of a farm's long life. Prints seconds.

use std::time::Instant;

use jiff::Timestamp;
use jiff::civil::date;
use stook_book::payload::{
    Field, GoNoGo, KernelMoisture, MoistureMethod, Note, Operation, Payload, Rain, SoilDescription,
};
use stook_book::{Body, Entry, Farm, Store};
use uuid::Uuid;

const ENTRIES: u64 = 100_000;

fn main() {
    let entries = entries();
    timed("fold of 100,000 entries in memory", || Farm::fold(&entries).rain.len());
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("farm.stook");
    let mut store = Store::create(&path).expect("a new book");
    timed("append of 100,000 entries in one transaction", || store.append_all(&entries).expect("room").len());
    timed("append of 200 entries, each durable by itself", || {
        (0..200)
            .map(|i| {
                Entry::new(
                    date(2026, 5, 5).at(8, 0, 0, 0),
                    "Ada",
                    Rain { rain_mm: f64::from(i), field: None },
                )
            })
            .map(|e| store.append(&e).expect("room"))
            .count()
    });
    timed("read and fold of 100,200 entries from the file", || {
        Farm::fold(&store.entries().expect("readable")).rain.len()
    });
    timed("verify", || store.verify().expect("readable").entries);
    timed("backup", || store.backup_to(folder.path().join("copy.stook")).map(|()| 1).expect("room"));
}

fn timed(what: &str, work: impl FnOnce() -> usize) {
    let start = Instant::now();
    let count = std::hint::black_box(work());
    println!("{:>8.3} s  {what} ({count})", start.elapsed().as_secs_f64());
}

/// Twelve fields, twenty years of notes, rain, gates and moisture; one entry in twenty a correction.
fn entries() -> Vec<Entry> {
    let start = date(2006, 1, 1).at(0, 0, 0, 0);
    let mut out: Vec<Entry> = Vec::new();
    for i in 0..ENTRIES {
        let field = || format!("field-{}", i % 12).as_str().into();
        let payload: Payload = match i {
            0..12 => Field {
                id: field(),
                name: format!("Field {i}"),
                area_ha: 64.0,
                boundary: None,
                soil: SoilDescription::NotKnown,
                drainage: None,
                cover: None,
                distance_km: None,
                lie: None,
            }
            .into(),
            _ if i % 4 == 0 => Rain { rain_mm: (i % 300) as f64 / 10.0, field: None }.into(),
            _ if i % 4 == 1 => GoNoGo {
                field: field(),
                operation: Operation::Seed,
                go: i % 8 < 4,
                reason: Some("wet in the low ground".into()),
            }
            .into(),
            _ if i % 4 == 2 => KernelMoisture {
                field: field(),
                moisture_wb_pct: 14.0 + (i % 100) as f64 / 10.0,
                method: MoistureMethod::Meter,
            }
            .into(),
            _ => Note {
                text: "fixed the roller on the drill and checked the depth".into(),
                field: Some(field()),
            }
            .into(),
        };
        out.push(Entry {
            id: Uuid::from_u64_pair(0x0190_0000_0000_7000 + i, 0x8000_0000_0000_0000 | i),
            happened: start + jiff::Span::new().hours(i64::try_from(i).unwrap_or(0) * 7 / 4),
            written: Timestamp::UNIX_EPOCH + jiff::Span::new().minutes(i64::try_from(i).unwrap_or(0)),
            who: "Ada".into(),
            replaces: (i > 100 && i % 20 == 0).then(|| out[i as usize - 40].id),
            body: Body::Known(payload),
        });
    }
    out
}
