//! GHCN-Daily by station: the CSV without a heading, and the fixed width `.dly`.
//!
//! Layouts from the archive's own description: `.dly` has station 1-11, year 12-15, month 16-17, element 18-21, then
//! 31 groups of value (5), measurement, quality and source flag. Tenths of mm and C, tenths of m/s, whole mm of snow.
//! A value that failed the archive's own checks (quality flag not blank) is taken as missing.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::cell::{Number, number};
use super::header::Quantity;
use super::sheet::{BadRow, ColumnUsed, Row, Sheet, Step, impossible};
use super::unit::Unit;
use super::{Answers, Choice, Question, Reading, WeatherFileError};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Layout {
    Csv,
    Fixed,
}

/// Which layout the first line has, if one of these.
pub(super) fn layout(bytes: &[u8]) -> Option<Layout> {
    let line = bytes.split(|b| *b == b'\n').find(|l| !l.trim_ascii().is_empty())?;
    let element = |e: &[u8]| e.len() == 4 && e.iter().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit());
    let digits = |d: &[u8]| d.iter().all(u8::is_ascii_digit);
    if line.len() >= 29 && !line[..21].contains(&b',') && digits(&line[11..17]) && element(&line[17..21]) {
        return Some(Layout::Fixed);
    }
    let cells: Vec<&[u8]> = line.split(|b| *b == b',').map(<[u8]>::trim_ascii).collect();
    let csv = cells.len() >= 6
        && cells[0].len() == 11
        && cells[1].len() == 8
        && digits(cells[1])
        && element(cells[2]);
    csv.then_some(Layout::Csv)
}

/// One value of the archive.
struct Item<'a> {
    line: u64,
    station: &'a [u8],
    date: Option<Date>,
    element: &'a [u8],
    value: &'a [u8],
    measured: u8,
    failed: bool,
}

const COLUMNS: [(&str, Quantity, Unit, f64); 7] = [
    ("TMAX", Quantity::TempMax, Unit::Celsius, 0.1),
    ("TMIN", Quantity::TempMin, Unit::Celsius, 0.1),
    ("TAVG", Quantity::Temp, Unit::Celsius, 0.1),
    ("PRCP", Quantity::Precip, Unit::Mm, 0.1),
    ("SNOW", Quantity::NewSnow, Unit::Cm, 0.1),
    ("SNWD", Quantity::SnowDepth, Unit::Cm, 0.1),
    ("AWND", Quantity::Wind, Unit::Ms, 0.1),
];

pub(super) fn read(bytes: &[u8], layout: Layout, answers: &Answers) -> Result<Reading, WeatherFileError> {
    let mut stations: Vec<&[u8]> = Vec::new();
    for_each(bytes, layout, |item| {
        if !stations.contains(&item.station) && stations.len() < 1_000 {
            stations.push(item.station);
        }
    });
    let chosen = answers.get("station").map(str::as_bytes).filter(|s| stations.contains(s));
    if stations.len() > 1 && chosen.is_none() {
        return Ok(Reading::Ask(vec![which_station(&stations)]));
    }
    let station = chosen.unwrap_or(stations[0]);

    let mut sheet = Sheet {
        step: Step::Day,
        station: Some(String::from_utf8_lossy(station).into_owned()),
        wind_height_m: None,
        rows: Vec::new(),
        bad_rows: Vec::new(),
        notes: Vec::new(),
        columns: Vec::new(),
    };
    let mut days: BTreeMap<Date, Row> = BTreeMap::new();
    let (mut failed, mut seen) = (0, 0);
    for_each(bytes, layout, |item| {
        let Some((name, q, unit, tenth)) = COLUMNS.iter().find(|(name, ..)| name.as_bytes() == item.element)
        else {
            return;
        };
        if item.station != station {
            return;
        }
        seen += 1;
        let mut bad = |sentence: String| {
            sheet.bad_rows.push(BadRow { line: item.line, column: (*name).into(), sentence });
        };
        let raw = match number(item.value, false) {
            Number::Value(v) => v,
            Number::Missing | Number::Mark(_) => return,
            Number::Trace | Number::Bad => {
                return bad(format!("\"{}\" is not a number", String::from_utf8_lossy(item.value)));
            }
        };
        if item.failed {
            failed += 1;
            return;
        }
        let Some(date) = item.date else { return bad("this is no day of the calendar".into()) };
        let value = raw * tenth;
        if let Some(sentence) = impossible(*q, value, false) {
            return bad(sentence);
        }
        let row = days.entry(date).or_insert_with(|| Row::new(item.line, date.at(0, 0, 0, 0)));
        if let Some(before) = row.get(*q) {
            if before != value {
                bad(format!("{date} comes twice with different values; the first is kept"));
            }
            return;
        }
        row.set(*q, value);
        row.trace |= *q == Quantity::Precip && item.measured == b'T';
        if !sheet.columns.iter().any(|c| c.quantity == *q) {
            sheet.columns.push(ColumnUsed { heading: (*name).into(), quantity: *q, unit: *unit });
        }
    });
    sheet.rows = days.into_values().collect();
    if sheet.rows.is_empty() {
        return Err(match sheet.bad_rows.first() {
            Some(b) => WeatherFileError::AllBad { rows: seen, line: b.line, sentence: b.sentence.clone() },
            None => WeatherFileError::NoValues { rows: seen },
        });
    }
    if failed > 0 {
        sheet
            .notes
            .push(format!("{failed} values that failed the archive's own checks are taken as missing."));
    }
    Ok(Reading::Done(sheet))
}

pub(super) fn which_station(stations: &[&[u8]]) -> Question {
    let mut names: Vec<String> = stations.iter().map(|s| String::from_utf8_lossy(s).into_owned()).collect();
    names.sort();
    Question {
        key: "station".into(),
        sentence: "The file holds more than one station. Which one?".into(),
        choices: names.into_iter().map(|s| Choice { key: s.clone(), words: s }).collect(),
    }
}

fn for_each<'a>(bytes: &'a [u8], layout: Layout, mut take: impl FnMut(Item<'a>)) {
    for (line, text) in (1..).zip(bytes.split(|b| *b == b'\n')) {
        let text = text.strip_suffix(b"\r").unwrap_or(text);
        if text.trim_ascii().is_empty() {
            continue;
        }
        match layout {
            Layout::Csv => take(csv_item(line, text)),
            Layout::Fixed => fixed_items(line, text, &mut take),
        }
    }
}

fn csv_item(line: u64, text: &[u8]) -> Item<'_> {
    let mut cells = text.split(|b| *b == b',').map(<[u8]>::trim_ascii);
    let mut next = || cells.next().unwrap_or_default();
    let (station, day, element, value, measured, quality) = (next(), next(), next(), next(), next(), next());
    let date = std::str::from_utf8(day).ok().and_then(|d| Date::strptime("%Y%m%d", d).ok());
    Item {
        line,
        station,
        date,
        element,
        value,
        measured: measured.first().copied().unwrap_or(b' '),
        failed: !quality.is_empty(),
    }
}

fn fixed_items<'a>(line: u64, text: &'a [u8], take: &mut impl FnMut(Item<'a>)) {
    let part = |from: usize, to: usize| text.get(from..to.min(text.len())).unwrap_or_default();
    let figure = |p: &[u8]| std::str::from_utf8(p).ok().and_then(|s| s.trim().parse::<i16>().ok());
    let (year, month) = (figure(part(11, 15)), figure(part(15, 17)));
    for day in 0..31 {
        let at = 21 + 8 * day;
        let value = part(at, at + 5).trim_ascii();
        if value.is_empty() || value == b"-9999" {
            continue;
        }
        let date = year.zip(month).and_then(|(y, m)| Date::new(y, i8::try_from(m).ok()?, day as i8 + 1).ok());
        take(Item {
            line,
            station: part(0, 11).trim_ascii(),
            date,
            element: part(17, 21),
            value,
            measured: part(at + 5, at + 6).first().copied().unwrap_or(b' '),
            failed: !part(at + 6, at + 7).trim_ascii().is_empty(),
        });
    }
}
