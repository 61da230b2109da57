//! Tables with a heading line, among them the Canadian climate archive's.

use csv::{ByteRecord, ReaderBuilder};
use jiff::civil::DateTime;
use jiff::tz::TimeZone;

use super::cell::{self, Clocked, DateOrder, Number};
use super::clock::{self, ToStandard};
use super::ghcn::which_station;
use super::header::{Clock, Meaning, Quantity, meaning};
use super::sheet::{BadRow, ColumnUsed, Row, Sheet, Step, impossible};
use super::unit::{Dimension, Unit};
use super::{Answers, Question, Reading, WeatherFileError};

/// Where things are in the table.
struct Plan {
    delimiter: u8,
    /// Lines before the rows.
    skip_lines: u64,
    /// Bytes before the rows.
    skip_bytes: usize,
    headings: Vec<String>,
    measured: Vec<Measured>,
    date: Option<usize>,
    year: Option<usize>,
    month: Option<usize>,
    day: Option<usize>,
    time: Option<usize>,
    station: Option<usize>,
    clock: Option<Clock>,
}

struct Measured {
    column: usize,
    flag: Option<usize>,
    quantity: Quantity,
    unit: Option<Unit>,
    height_m: Option<f64>,
}

/// What the questions settle.
struct Settled {
    step: Step,
    order: DateOrder,
    clock: Clock,
    station: Option<Vec<u8>>,
    units: Vec<Unit>,
    wind_height_m: Option<f64>,
}

pub(super) fn read(bytes: &[u8], zone: &TimeZone, answers: &Answers) -> Result<Reading, WeatherFileError> {
    let plan = find_heading(bytes).ok_or(WeatherFileError::NoHeading)?;
    match settle(&plan, bytes, zone, answers) {
        Ok(settled) => rows(&plan, &settled, bytes, zone).map(Reading::Done),
        Err(questions) => Ok(Reading::Ask(questions)),
    }
}

/// The heading is the line among the first forty that names the most columns we know, a date among them.
fn find_heading(bytes: &[u8]) -> Option<Plan> {
    let mut best: Option<(usize, Plan)> = None;
    let mut at = 0;
    for (skip_lines, line) in (1..=40).zip(bytes.split(|b| *b == b'\n')) {
        at = (at + line.len() + 1).min(bytes.len());
        for delimiter in [b',', b';', b'\t'] {
            let plan = plan(line, delimiter, skip_lines, at);
            let dated = plan.date.is_some() || plan.year.and(plan.month).and(plan.day).is_some();
            let count = plan.measured.len();
            if dated && count > 0 && best.as_ref().is_none_or(|(most, _)| count > *most) {
                best = Some((count, plan));
            }
        }
    }
    best.map(|(_, plan)| plan)
}

fn plan(line: &[u8], delimiter: u8, skip_lines: u64, skip_bytes: usize) -> Plan {
    let mut cells = ByteRecord::new();
    let mut reader = reader(line, delimiter);
    let read = reader.read_byte_record(&mut cells).unwrap_or(false);
    let headings: Vec<String> =
        if read { cells.iter().map(|c| text(c).trim().to_owned()).collect() } else { Vec::new() };
    let mut p = Plan {
        delimiter,
        skip_lines,
        skip_bytes,
        headings: Vec::new(),
        measured: Vec::new(),
        date: None,
        year: None,
        month: None,
        day: None,
        time: None,
        station: None,
        clock: None,
    };
    for (i, heading) in headings.iter().enumerate() {
        match meaning(heading) {
            Meaning::Measured(quantity, unit, height_m) => {
                // The first of two columns of one thing counts.
                if !p.measured.iter().any(|m| m.quantity == quantity) {
                    p.measured.push(Measured { column: i, flag: None, quantity, unit, height_m });
                }
            }
            Meaning::Flag(quantity) => {
                if let Some(m) = p.measured.iter_mut().find(|m| m.quantity == quantity && m.flag.is_none()) {
                    m.flag = Some(i);
                }
            }
            Meaning::Date(clock) => {
                p.date = p.date.or(Some(i));
                p.clock = p.clock.or(clock);
            }
            Meaning::Time(clock) => {
                p.time = p.time.or(Some(i));
                p.clock = p.clock.or(clock);
            }
            Meaning::Year => p.year = p.year.or(Some(i)),
            Meaning::Month => p.month = p.month.or(Some(i)),
            Meaning::DayOfMonth => p.day = p.day.or(Some(i)),
            Meaning::Station => p.station = p.station.or(Some(i)),
            Meaning::Other => {}
        }
    }
    // A lone "time" column holds the whole stamp.
    if p.date.is_none() && p.year.is_none() {
        p.date = p.time.take();
    }
    p.headings = headings;
    p
}

/// Text in UTF-8 or, failing that, Latin-1, the two encodings these files come in.
fn text(cell: &[u8]) -> String {
    std::str::from_utf8(cell).map_or_else(|_| cell.iter().map(|b| char::from(*b)).collect(), str::to_owned)
}

fn reader(bytes: &[u8], delimiter: u8) -> csv::Reader<&[u8]> {
    ReaderBuilder::new().has_headers(false).flexible(true).delimiter(delimiter).from_reader(bytes)
}

/// Everything the heading leaves open, from the rows or the answers; else the questions.
fn settle(plan: &Plan, bytes: &[u8], zone: &TimeZone, answers: &Answers) -> Result<Settled, Vec<Question>> {
    let mut questions = Vec::new();
    let seen = survey(plan, bytes);
    let has = |q| plan.measured.iter().any(|m| m.quantity == q);
    let timed = plan.time.is_some() || seen.timed;
    let step =
        if timed && !has(Quantity::TempMax) && !has(Quantity::TempMin) { Step::Hour } else { Step::Day };

    let units = units(plan, answers, &mut questions);
    let order = match (answers.get("date_order"), seen.first_over_12, seen.second_over_12, seen.year_last) {
        (_, true, _, _) | (Some("day_first"), ..) => DateOrder::DayFirst,
        (None, false, false, true) => {
            questions.push(Question::new(
                "date_order",
                "Which stands first in the dates, the day or the month?",
                &[("day_first", "the day"), ("month_first", "the month")],
            ));
            DateOrder::DayFirst
        }
        _ => DateOrder::MonthFirst,
    };
    let clock = match (step, plan.clock, answers.get("clock")) {
        (Step::Day, ..) => Clock::Standard,
        (_, Some(said), _) => said,
        (_, _, Some("standard")) => Clock::Standard,
        (_, _, Some("wall")) => Clock::Wall,
        (_, _, Some("utc")) => Clock::Utc,
        _ if seen.offsets => Clock::Standard,
        _ => {
            let wall = "the clock on the wall, moved in spring and autumn";
            let mut choices = vec![("standard", "standard time all year"), ("utc", "universal time")];
            if clock::moves(zone) {
                choices.insert(1, ("wall", wall));
            }
            questions.push(Question::new("clock", "Which clock are the hours of this file?", &choices));
            Clock::Standard
        }
    };
    let stations: Vec<&[u8]> = seen.stations.iter().map(Vec::as_slice).collect();
    let chosen = answers.get("station").map(str::as_bytes).filter(|s| stations.contains(s));
    if stations.len() > 1 && chosen.is_none() {
        questions.push(which_station(&stations));
    }
    let station = chosen.or(stations.first().copied()).map(<[u8]>::to_vec);
    let wind_height_m = wind_height(plan, answers, &mut questions);
    if questions.is_empty() {
        Ok(Settled { step, order, clock, station, units, wind_height_m })
    } else {
        Err(questions)
    }
}

/// The unit of each measured column; placeholders where a question is asked.
fn units(plan: &Plan, answers: &Answers, questions: &mut Vec<Question>) -> Vec<Unit> {
    let archive = is_archive(plan);
    let mut open: std::collections::BTreeMap<Dimension, Vec<&str>> = std::collections::BTreeMap::new();
    let mut out = Vec::new();
    for m in &plan.measured {
        let dimension = m.quantity.dimension();
        let only = dimension.units();
        // The archive's service writes no units: C, mm, cm, km/h and kPa, the first of each list here.
        let known =
            m.unit.or_else(|| answers.unit(dimension)).or((archive || only.len() == 1).then_some(only[0]));
        if known.is_none() {
            open.entry(dimension).or_default().push(plan.headings[m.column].as_str());
        }
        out.push(known.unwrap_or(only[0]));
    }
    questions.extend(open.iter().map(|(dimension, headings)| Question::unit(*dimension, headings)));
    out
}

/// The Canadian archive, as a file or from its open service.
fn is_archive(plan: &Plan) -> bool {
    let named = |name: &str| plan.headings.iter().any(|h| h.eq_ignore_ascii_case(name));
    named("CLIMATE_IDENTIFIER") || named("Climate ID")
}

fn wind_height(plan: &Plan, answers: &Answers, questions: &mut Vec<Question>) -> Option<f64> {
    let wind = plan.measured.iter().find(|m| m.quantity == Quantity::Wind)?;
    let known = wind.height_m.or_else(|| {
        // Public weather stations measure wind at 10 m (WMO No. 8).
        is_archive(plan).then_some(10.0)
    });
    let answered =
        || answers.get("wind_height").and_then(|a| a.parse().ok()).filter(|h| (0.5..=30.0).contains(h));
    let height = known.or_else(answered);
    if height.is_none() {
        questions.push(Question::new(
            "wind_height",
            "How high above the ground is the wind measured, in metres?",
            &[("10", "10 m, a public station or a forecast"), ("2", "2 m, a farm station")],
        ));
    }
    height
}

/// What one pass over the rows shows.
#[derive(Default)]
#[allow(clippy::struct_excessive_bools)] // each is a plain sighting
struct Seen {
    timed: bool,
    offsets: bool,
    year_last: bool,
    first_over_12: bool,
    second_over_12: bool,
    stations: Vec<Vec<u8>>,
}

fn survey(plan: &Plan, bytes: &[u8]) -> Seen {
    let mut seen = Seen::default();
    let mut reader = reader(&bytes[plan.skip_bytes..], plan.delimiter);
    let mut cells = ByteRecord::new();
    let mut count = 0;
    while reader.read_byte_record(&mut cells).unwrap_or(false) {
        if let Some(cell) = plan.date.and_then(|i| cells.get(i)) {
            if let Some((first, second)) = cell::day_and_month(cell) {
                seen.year_last = true;
                seen.first_over_12 |= first > 12;
                seen.second_over_12 |= second > 12;
            }
            // Midnight alone is a day, not an hour.
            if count < 100
                && let Some(stamp) =
                    cell::stamp(cell, DateOrder::DayFirst).or(cell::stamp(cell, DateOrder::MonthFirst))
            {
                seen.timed |= stamp.time.is_some_and(|t| t.0 != 0);
                seen.offsets |= stamp.offset_min.is_some();
            }
        }
        if let Some(cell) = plan.station.and_then(|i| cells.get(i)).map(<[u8]>::trim_ascii)
            && !cell.is_empty()
            && seen.stations.len() < 1_000
            && !seen.stations.iter().any(|s| s == cell)
        {
            seen.stations.push(cell.to_vec());
        }
        count += 1;
    }
    seen
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
        if let Err((column, sentence)) = values(plan, settled, &cells, hourly, &mut row) {
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
            Number::Missing if flag == b"T" => 0.0,
            Number::Missing => continue,
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
