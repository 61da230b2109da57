//! Where things are in a table: its heading line and what each column holds.

use csv::{ByteRecord, ReaderBuilder};

use super::header::{Clock, Meaning, Quantity, meaning};
use super::unit::Unit;

/// Where things are in the table.
pub(super) struct Plan {
    pub delimiter: u8,
    /// Lines before the rows.
    pub skip_lines: u64,
    /// Bytes before the rows.
    pub skip_bytes: usize,
    pub headings: Vec<String>,
    pub measured: Vec<Measured>,
    pub date: Option<usize>,
    pub year: Option<usize>,
    pub month: Option<usize>,
    pub day: Option<usize>,
    pub time: Option<usize>,
    pub station: Option<usize>,
    pub clock: Option<Clock>,
}

pub(super) struct Measured {
    pub column: usize,
    pub flag: Option<usize>,
    pub quantity: Quantity,
    pub unit: Option<Unit>,
    pub height_m: Option<f64>,
}

/// The heading is the line among the first forty that names the most columns we know, a date among them.
pub(super) fn find_heading(bytes: &[u8]) -> Option<Plan> {
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
pub(super) fn text(cell: &[u8]) -> String {
    std::str::from_utf8(cell).map_or_else(|_| cell.iter().map(|b| char::from(*b)).collect(), str::to_owned)
}

pub(super) fn reader(bytes: &[u8], delimiter: u8) -> csv::Reader<&[u8]> {
    ReaderBuilder::new().has_headers(false).flexible(true).delimiter(delimiter).from_reader(bytes)
}

impl Plan {
    /// The Canadian archive, as a file or from its open service.
    pub fn is_archive(&self) -> bool {
        let named = |name: &str| self.headings.iter().any(|h| h.eq_ignore_ascii_case(name));
        named("CLIMATE_IDENTIFIER") || named("Climate ID")
    }
}
