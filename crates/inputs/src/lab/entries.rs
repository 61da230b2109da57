//! The entries that bring a file in: its tests, and its layout so that the next file needs no asking.

use jiff::Timestamp;
use stook_book::payload::LabLayout;
use stook_book::{Entry, Farm, Problem, validate};
use stook_measure::Reference;

use super::{BadRow, Sheet};

/// The entries to append, and the tests that the book would not take, by field.
pub fn entries(
    sheet: &Sheet,
    name: &str,
    farm: &Farm,
    who: &str,
    reference: &Reference,
    now: Timestamp,
) -> (Vec<Entry>, Vec<BadRow>) {
    let (mut out, mut refused) = (Vec::new(), Vec::new());
    for t in sheet.tests.iter().filter(|t| !t.there) {
        let entry = Entry::new(t.is.sampled.at(12, 0, 0, 0), who, t.is.clone());
        match validate(&entry, farm, reference, now) {
            Ok(()) => out.push(entry),
            Err(problems) => refused.extend(problems.into_iter().map(|p: Problem| BadRow {
                line: 0,
                column: t.field_name.clone(),
                sentence: p.sentence,
            })),
        }
    }
    let known = farm.lab_layouts.get(&sheet.fingerprint).is_some_and(|l| l.is.answers == sheet.answers);
    if sheet.kind == "CSV" && !known && !out.is_empty() && !sheet.answers.is_empty() {
        let layout = LabLayout {
            fingerprint: sheet.fingerprint.clone(),
            name: name.into(),
            answers: sheet.answers.clone(),
        };
        out.push(Entry::new(farm.local(now), who, layout));
    }
    (out, refused)
}
