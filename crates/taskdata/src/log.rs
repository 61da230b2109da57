//! Time logs: an XML header that names the fields, and a binary file of records.

use quick_xml::Reader;
use quick_xml::events::Event;
use serde::Serialize;

use crate::TaskDataError;
use crate::read::attribute;

/// One record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LogRecord {
    /// Milliseconds of the day.
    pub ms_of_day: u32,
    /// Days since 1 January 1980.
    pub day: u16,
    /// Longitude and latitude, degrees.
    pub position: Option<(f64, f64)>,
    /// Place in the header's list and value; a value stays until the next record that gives it.
    pub values: Vec<(usize, i32)>,
}

impl LogRecord {
    /// Seconds since 1 January 1980, by the terminal's clock.
    pub fn seconds(&self) -> f64 {
        f64::from(self.day) * 86_400.0 + f64::from(self.ms_of_day) / 1000.0
    }
}

/// What a value of the log is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LogField {
    /// Dictionary entry.
    pub ddi: u16,
    /// Device element, such as a tank of the drill.
    pub element: String,
}

/// A log.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimeLog {
    /// What the values are, in the header's order.
    pub fields: Vec<LogField>,
    /// Records.
    pub records: Vec<LogRecord>,
}

impl TimeLog {
    /// Whether any value is of this dictionary entry.
    pub fn has(&self, ddi: u16) -> bool {
        self.fields.iter().any(|f| f.ddi == ddi)
    }

    /// Dictionary entries and values of a record.
    pub fn values<'a>(&'a self, record: &'a LogRecord) -> impl Iterator<Item = (u16, i32)> + 'a {
        record.values.iter().filter_map(|&(i, v)| Some((self.fields.get(i)?.ddi, v)))
    }
}

/// Which position fields a record carries, with their bytes, in the standard's order.
const POSITION: [(&str, usize); 9] =
    [("A", 4), ("B", 4), ("C", 4), ("D", 1), ("E", 2), ("F", 2), ("G", 1), ("H", 4), ("I", 2)];

/// Reads a log from its header and its binary file.
///
/// # Errors
/// When the header cannot be read or the binary ends within a record.
pub fn read_log(file: &str, header: &str, binary: &[u8]) -> Result<TimeLog, TaskDataError> {
    let mut position: Vec<(&str, usize)> = Vec::new();
    let mut fields = Vec::new();
    let mut reader = Reader::from_str(header.trim_start_matches('\u{feff}'));
    loop {
        match reader.read_event().map_err(|e| TaskDataError::Xml(format!("{file}.xml: {e}")))? {
            Event::Start(e) | Event::Empty(e) => match e.name().as_ref() {
                "PTN" => {
                    for (key, bytes) in POSITION {
                        // An attribute that is there and empty comes in the binary.
                        if attribute(&e, key)?.is_some_and(|v| v.is_empty()) {
                            position.push((key, bytes));
                        }
                    }
                }
                "DLV" => {
                    let hex = attribute(&e, "A")?.unwrap_or_default();
                    let ddi = u16::from_str_radix(&hex, 16).map_err(|_| TaskDataError::Value {
                        element: "DLV".into(),
                        attribute: "A",
                        value: hex,
                        wanted: "a dictionary entry in four hexadecimal digits",
                    })?;
                    fields.push(LogField { ddi, element: attribute(&e, "C")?.unwrap_or_default() });
                }
                _ => {}
            },
            Event::Eof => break,
            _ => {}
        }
    }
    let mut records = Vec::new();
    let mut at = 0;
    while at < binary.len() {
        let record = one(binary, &mut at, &position, fields.len())
            .ok_or_else(|| TaskDataError::LogShort { file: file.into(), records: records.len() })?;
        records.push(record);
    }
    Ok(TimeLog { fields, records })
}

fn take<const N: usize>(b: &[u8], at: &mut usize) -> Option<[u8; N]> {
    let bytes = b.get(*at..*at + N)?.try_into().ok()?;
    *at += N;
    Some(bytes)
}

fn one(b: &[u8], at: &mut usize, position: &[(&str, usize)], known: usize) -> Option<LogRecord> {
    let ms_of_day = u32::from_le_bytes(take(b, at)?);
    let day = u16::from_le_bytes(take(b, at)?);
    let (mut north, mut east) = (None, None);
    for (key, bytes) in position {
        match *key {
            "A" => north = Some(f64::from(i32::from_le_bytes(take(b, at)?)) * 1e-7),
            "B" => east = Some(f64::from(i32::from_le_bytes(take(b, at)?)) * 1e-7),
            _ => {
                b.get(*at..*at + bytes)?;
                *at += bytes;
            }
        }
    }
    let [count] = take::<1>(b, at)?;
    let mut values = Vec::new();
    for _ in 0..count {
        let [index] = take::<1>(b, at)?;
        let value = i32::from_le_bytes(take(b, at)?);
        if usize::from(index) < known {
            values.push((usize::from(index), value));
        }
    }
    let position = east.zip(north).filter(|(x, y)| x.abs() <= 180.0 && y.abs() <= 90.0);
    Some(LogRecord { ms_of_day, day, position, values })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ddi;

    const HEADER: &str = "<TIM A=\"\" D=\"4\"><PTN A=\"\" B=\"\" D=\"\"/><DLV A=\"0054\" B=\"\" C=\"DET1\"/><DLV A=\"0063\" B=\"\" C=\"DET1\"/></TIM>";

    fn record(ms: u32, north: i32, east: i32, values: &[(u8, i32)]) -> Vec<u8> {
        let mut b = ms.to_le_bytes().to_vec();
        b.extend(17_000_u16.to_le_bytes());
        b.extend(north.to_le_bytes());
        b.extend(east.to_le_bytes());
        b.push(1);
        b.push(values.len() as u8);
        for (i, v) in values {
            b.push(*i);
            b.extend(v.to_le_bytes());
        }
        b
    }

    #[test]
    fn records_are_read_in_order() {
        let mut b = record(1_000, 501_000_000, -1_013_000_000, &[(0, 403_497), (1, 145_000)]);
        b.extend(record(2_000, 501_000_100, -1_013_000_000, &[]));
        let log = read_log("TLG00001", HEADER, &b).unwrap();
        assert!(log.has(ddi::YIELD_PER_AREA) && log.has(ddi::MOISTURE) && log.fields[0].element == "DET1");
        assert_eq!(log.records.len(), 2);
        let (lon, lat) = log.records[0].position.unwrap();
        assert!((lat - 50.1).abs() < 1e-9 && (lon + 101.3).abs() < 1e-9);
        assert_eq!(log.values(&log.records[0]).next(), Some((ddi::YIELD_PER_AREA, 403_497)));
        b.truncate(b.len() - 1);
        assert_eq!(
            read_log("TLG00001", HEADER, &b).unwrap_err(),
            TaskDataError::LogShort { file: "TLG00001".into(), records: 1 }
        );
    }
}
