//! Tables with a heading line, among them the Canadian climate archive's: row by row to SI.

use std::collections::BTreeMap;

use csv::ByteRecord;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;

use super::cell::{self, Clocked, Number};
use super::clock::ToStandard;
use super::header::Quantity;
use super::plan::{Plan, find_heading, reader, text};
use super::settle::{Settled, settle};
use super::sheet::{BadRow, ColumnUsed, Row, Sheet, Step, impossible};
use super::unit::Dimension;
use super::{Answers, Reading, WeatherFileError};

pub(super) fn read(bytes: &[u8], zone: &TimeZone, answers: &Answers) -> Result<Reading, WeatherFileError> {
    let plan = find_heading(bytes).ok_or(WeatherFileError::NoHeading)?;
    match settle(&plan, bytes, zone, answers) {
        Ok(settled) => rows(&plan, &settled, bytes, zone).map(Reading::Done),
        Err(questions) => Ok(Reading::Ask(questions)),
    }
}

/// Counts lines; the reader's own count is one behind where lines end in two characters.
struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u64,
}

impl Lines<'_> {
    /// The line of the record that begins at or just after `byte`.
    fn at(&mut self, byte: u64) -> u64 {
        let mut start = (byte as usize).clamp(self.at, self.bytes.len());
        while matches!(self.bytes.get(start), Some(b'\r' | b'\n')) {
            start += 1;
        }
        self.line += self.bytes[self.at..start].iter().map(|b| u64::from(*b == b'\n')).sum::<u64>();
        self.at = start;
        self.line
    }
}

fn rows(plan: &Plan, settled: &Settled, bytes: &[u8], zone: &TimeZone) -> Result<Sheet, WeatherFileError> {
    let hourly = settled.step == Step::Hour;
    let mut turn = ToStandard::new(zone, settled.clock);
    let mut reader = reader(&bytes[plan.skip_bytes..], plan.delimiter);
    let mut cells = ByteRecord::new();
    let mut lines = Lines { bytes: &bytes[plan.skip_bytes..], at: 0, line: plan.skip_lines + 1 };
    let (mut rows, mut bad_rows) = (Vec::new(), Vec::new());
    let (mut blank, mut count, mut ends_at_24) = (0, 0, false);
    let mut marks = BTreeMap::new();
    while reader.read_byte_record(&mut cells).unwrap_or(false) {
        if cells.iter().all(|c| c.trim_ascii().is_empty()) {
            continue;
        }
        let line = lines.at(cells.position().map_or(0, csv::Position::byte));
        let other_station = |s: &Vec<u8>| {
            plan.station
                .and_then(|i| cells.get(i))
                .is_some_and(|c| !c.trim_ascii().is_empty() && c.trim_ascii() != s)
        };
        if settled.station.as_ref().is_some_and(other_station) {
            continue;
        }
        count += 1;
        let mut bad = |column: usize, sentence: String| {
            let column = plan.headings.get(column).cloned().unwrap_or_default();
            bad_rows.push(BadRow { line, column, sentence });
        };
        let at = match when(plan, settled, &cells, &mut turn, &mut ends_at_24) {
            Ok(at) => at,
            Err((column, sentence)) => {
                bad(column, sentence);
                continue;
            }
        };
        let mut row = Row::new(line, at);
        if let Err((column, sentence)) = values(plan, settled, &cells, hourly, &mut row, &mut marks) {
            bad(column, sentence);
        } else if row.is_blank() {
            blank += 1;
        } else {
            rows.push(row);
        }
    }
    let mut sheet = Sheet {
        step: settled.step,
        station: settled.station.as_deref().map(text),
        wind_height_m: settled.wind_height_m,
        rows,
        bad_rows,
        notes: Vec::new(),
        columns: used(plan, settled),
    };
    if hourly && ends_at_24 {
        // The hour stamped 24:00 belongs to the day it ends; so each stamp is the end of its hour.
        for row in &mut sheet.rows {
            row.at = row.at.saturating_sub(jiff::Span::new().hours(1));
        }
        sheet.notes.push("The hours run from 1 to 24, so each stamp is taken as the end of its hour.".into());
    }
    once_each(&mut sheet, count)?;
    if sheet.rows.is_empty() {
        return Err(match sheet.bad_rows.first() {
            Some(b) => WeatherFileError::AllBad { rows: count, line: b.line, sentence: b.sentence.clone() },
            None => WeatherFileError::NoValues { rows: count },
        });
    }
    for (mark, count) in marks {
        sheet.notes.push(format!("{count} cells hold {mark}, taken to mean that nothing was read."));
    }
    if blank > 0 {
        sheet.notes.push(format!("{blank} rows without a value are passed over."));
    }
    Ok(sheet)
}

fn used(plan: &Plan, settled: &Settled) -> Vec<ColumnUsed> {
    plan.measured
        .iter()
        .zip(&settled.units)
        .map(|(m, unit)| ColumnUsed {
            heading: plan.headings[m.column].clone(),
            quantity: m.quantity,
            unit: *unit,
        })
        .collect()
}

type Wrong = (usize, String);

fn when(
    plan: &Plan,
    settled: &Settled,
    cells: &ByteRecord,
    turn: &mut ToStandard<'_>,
    ends_at_24: &mut bool,
) -> Result<DateTime, Wrong> {
    let shown = |i: usize| text(cells.get(i).unwrap_or_default()).trim().to_owned();
    let (date, mut time, offset) = if let Some(i) = plan.date {
        let stamp = cells
            .get(i)
            .and_then(|c| cell::stamp(c, settled.order))
            .ok_or_else(|| (i, format!("\"{}\" is not a date", shown(i))))?;
        (stamp.date, stamp.time, stamp.offset_min)
    } else {
        let part = |column: Option<usize>| {
            let i = column.unwrap_or_default();
            let text = std::str::from_utf8(cells.get(i).unwrap_or_default()).unwrap_or_default();
            text.trim().parse::<i16>().map_err(|_| (i, format!("\"{}\" is not a number", shown(i))))
        };
        let (y, m, d) = (part(plan.year)?, part(plan.month)?, part(plan.day)?);
        let date = i8::try_from(m)
            .ok()
            .zip(i8::try_from(d).ok())
            .and_then(|(m, d)| jiff::civil::Date::new(y, m, d).ok());
        (
            date.ok_or_else(|| {
                (plan.day.unwrap_or_default(), format!("{y}-{m}-{d} is no day of the calendar"))
            })?,
            None,
            None,
        )
    };
    if settled.step == Step::Day {
        return Ok(date.at(0, 0, 0, 0));
    }
    if let Some(i) = plan.time {
        let cell = cells.get(i).unwrap_or_default();
        if !cell.trim_ascii().is_empty() || time.is_none() {
            time =
                Some(cell::time(cell).ok_or_else(|| (i, format!("\"{}\" is not a time of day", shown(i))))?);
        }
    }
    let time = time.unwrap_or(Clocked(0));
    *ends_at_24 |= time.0 == 1440;
    let column = plan.time.or(plan.date).unwrap_or_default();
    // An hour is known by its start.
    cell::moment(date, Clocked(time.0 - time.0 % 60))
        .and_then(|at| turn.turn(at, offset))
        .ok_or_else(|| (column, "this time is past the end of the calendar".into()))
}

fn values(
    plan: &Plan,
    settled: &Settled,
    cells: &ByteRecord,
    hourly: bool,
    row: &mut Row,
    marks: &mut BTreeMap<String, usize>,
) -> Result<(), Wrong> {
    let hours = if hourly { 1.0 } else { 24.0 };
    for (m, unit) in plan.measured.iter().zip(&settled.units) {
        let flag = m.flag.and_then(|i| cells.get(i)).map(<[u8]>::trim_ascii).unwrap_or_default();
        let wet = m.quantity.dimension() == Dimension::Water;
        let cell = cells
            .get(m.column)
            .ok_or_else(|| (m.column, "the row is too short; this cell is not there".into()))?;
        let raw = match cell::number(cell, plan.delimiter == b';') {
            _ if matches!(flag, b"M" | b"C" | b"L" | b"N" | b"Y") => continue, // the archive's marks for missing
            Number::Value(v) => v,
            Number::Missing | Number::Mark(_) if flag == b"T" => 0.0,
            Number::Missing => continue,
            Number::Mark(v) => {
                *marks.entry(v.to_string()).or_default() += 1;
                continue;
            }
            Number::Trace
                if m.quantity.dimension() == Dimension::Water
                    || m.quantity.dimension() == Dimension::Snow =>
            {
                row.trace |= wet;
                0.0
            }
            Number::Trace | Number::Bad => {
                return Err((m.column, format!("\"{}\" is not a number", text(cell).trim())));
            }
        };
        row.trace |= wet && flag == b"T";
        row.accumulated |= wet && flag == b"A";
        row.estimated |= flag == b"E" || flag == b"^";
        let mut value = unit.to_si(raw, m.quantity.dimension(), hours);
        if m.quantity == Quantity::Radiation && value < 0.0 && value > -0.1 * hours {
            value = 0.0; // a sensor's zero drifts at night
        }
        if let Some(sentence) = impossible(m.quantity, value, hourly) {
            return Err((m.column, sentence));
        }
        row.set(m.quantity, value);
    }
    Ok(())
}

/// Time order, each day or hour once.
fn once_each(sheet: &mut Sheet, count: usize) -> Result<(), WeatherFileError> {
    sheet.rows.sort_by_key(|r| (r.at, r.line));
    let (mut same, mut twice) = (0, Vec::new());
    let mut kept: Vec<Row> = Vec::with_capacity(sheet.rows.len());
    for row in sheet.rows.drain(..) {
        match kept.last() {
            Some(before) if before.at == row.at => {
                if before.same_values(&row) {
                    same += 1;
                } else {
                    twice.push((row, before.line));
                }
            }
            _ => kept.push(row),
        }
    }
    if sheet.step == Step::Hour && same + twice.len() > count / 10 + 3 {
        return Err(WeatherFileError::TooFine);
    }
    sheet.rows = kept;
    for (row, first) in twice {
        let what = if sheet.step == Step::Day { row.at.date().to_string() } else { row.at.to_string() };
        sheet.bad_rows.push(BadRow {
            line: row.line,
            column: String::new(),
            sentence: format!(
                "{what} comes twice with different values; the first, in line {first}, is kept"
            ),
        });
    }
    sheet.bad_rows.sort_by_key(|b| b.line);
    if same > 0 {
        sheet.notes.push(format!("{same} rows that repeat another are passed over."));
    }
    Ok(())
}
