//! Single cells: numbers with their habits, dates, times.

use jiff::civil::{Date, DateTime, Time};

/// What a number cell held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Number {
    /// A figure.
    Value(f64),
    /// `T`: less than could be measured.
    Trace,
    /// Empty, or one of the words for missing.
    Missing,
    /// A figure that stands for missing, such as -9999.
    Mark(f64),
    /// Not a number.
    Bad,
}

/// Reads a number: spaces, a leading plus, `T` for trace, the usual marks for missing.
pub(super) fn number(cell: &[u8], decimal_comma: bool) -> Number {
    let cell = cell.trim_ascii();
    if cell.is_empty() {
        return Number::Missing;
    }
    let Ok(text) = std::str::from_utf8(cell) else { return Number::Bad };
    let parsed = if decimal_comma { text.replace(',', ".").parse::<f64>() } else { text.parse::<f64>() };
    match parsed {
        Ok(v) if v.is_finite() && !is_missing_mark(v) => Number::Value(v),
        Ok(v) if v.is_finite() => Number::Mark(v),
        Ok(_) => Number::Missing,
        Err(_) if text.eq_ignore_ascii_case("t") || text.eq_ignore_ascii_case("trace") => Number::Trace,
        Err(_)
            if ["m", "na", "n/a", "null", "none", "-", "--", "missing"]
                .iter()
                .any(|m| text.eq_ignore_ascii_case(m)) =>
        {
            Number::Missing
        }
        // A comma every three digits.
        Err(_) if !decimal_comma && text.contains(',') => {
            text.replace(',', "").parse().map_or(Number::Bad, Number::Value)
        }
        Err(_) => Number::Bad,
    }
}

/// Figures that stand for "missing" and can be nothing else here.
fn is_missing_mark(v: f64) -> bool {
    v <= -999.0 || v == 9999.0 || v == 99999.0 || v == -99.9
}

/// The order of day and month where the year stands last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DateOrder {
    DayFirst,
    MonthFirst,
}

/// A date with the time that followed it, if any.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stamp {
    pub date: Date,
    pub time: Option<Clocked>,
    /// Ends in `Z`, or carries an offset in minutes east.
    pub offset_min: Option<i32>,
}

/// A time of day in minutes; 1440 is the end of the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Clocked(pub i32);

/// Reads a date, alone or with a time.
pub(super) fn stamp(cell: &[u8], order: DateOrder) -> Option<Stamp> {
    let cell = cell.trim_ascii();
    let (parts, used) = three_numbers(cell)?;
    let date = match parts {
        [(y, 4), (m, _), (d, _)] => civil(y, m, d)?,
        [(a, _), (b, _), (y, 4)] => match order {
            DateOrder::DayFirst => civil(y, b, a)?,
            DateOrder::MonthFirst => civil(y, a, b)?,
        },
        _ => return None,
    };
    let rest = cell[used..].trim_ascii_start();
    let rest = rest.strip_prefix(b"T").or_else(|| rest.strip_prefix(b"t")).unwrap_or(rest).trim_ascii();
    if rest.is_empty() {
        return Some(Stamp { date, time: None, offset_min: None });
    }
    let (rest, offset_min) = offset(rest)?;
    Some(Stamp { date, time: Some(time(rest)?), offset_min })
}

/// The two numbers before a year that stands last, for telling which is the month.
pub(super) fn day_and_month(cell: &[u8]) -> Option<(i32, i32)> {
    match three_numbers(cell.trim_ascii())?.0 {
        [(a, la), (b, _), (_, 4)] if la <= 2 => Some((a, b)),
        _ => None,
    }
}

/// Three numbers with their digit counts, and how many bytes they took; `20260505` counts as three.
fn three_numbers(cell: &[u8]) -> Option<([(i32, usize); 3], usize)> {
    let digits = cell.iter().take_while(|b| b.is_ascii_digit()).count();
    if digits == 8 {
        let n = |r: std::ops::Range<usize>| cell[r].iter().fold(0, |n, b| n * 10 + i32::from(b - b'0'));
        return Some(([(n(0..4), 4), (n(4..6), 2), (n(6..8), 2)], 8));
    }
    let (mut out, mut i) = ([(0, 0); 3], 0);
    for (k, slot) in out.iter_mut().enumerate() {
        if k > 0 {
            if !matches!(cell.get(i), Some(b'-' | b'/' | b'.')) {
                return None;
            }
            i += 1;
        }
        while let Some(b) = cell.get(i).filter(|b| b.is_ascii_digit()) {
            slot.0 = slot.0 * 10 + i32::from(b - b'0');
            slot.1 += 1;
            i += 1;
            if slot.1 > 4 {
                return None;
            }
        }
        if slot.1 == 0 {
            return None;
        }
    }
    Some((out, i))
}

fn civil(y: i32, m: i32, d: i32) -> Option<Date> {
    Date::new(i16::try_from(y).ok()?, i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok()
}

/// Takes a `Z` or `+hh:mm` off the end.
fn offset(rest: &[u8]) -> Option<(&[u8], Option<i32>)> {
    if let Some(front) = rest.strip_suffix(b"Z").or_else(|| rest.strip_suffix(b"z")) {
        return Some((front, Some(0)));
    }
    let Some(at) = rest.iter().rposition(|b| *b == b'+' || *b == b'-') else { return Some((rest, None)) };
    let text: Vec<u8> = rest[at + 1..].iter().copied().filter(u8::is_ascii_digit).collect();
    let n: i32 = std::str::from_utf8(&text).ok()?.parse().ok()?;
    let minutes = match text.len() {
        1 | 2 => n * 60,
        4 => n / 100 * 60 + n % 100,
        _ => return None,
    };
    Some((&rest[..at], Some(if rest[at] == b'-' { -minutes } else { minutes })))
}

/// Reads a time of day: `13`, `13:00`, `1300`, `1:00 PM`, `24:00`.
pub(super) fn time(cell: &[u8]) -> Option<Clocked> {
    let text = std::str::from_utf8(cell.trim_ascii()).ok()?;
    let lower = text.to_ascii_lowercase();
    let (digits, half) = match lower.strip_suffix("am").or_else(|| lower.strip_suffix("a.m.")) {
        Some(front) => (front.trim_end(), Some(0)),
        None => match lower.strip_suffix("pm").or_else(|| lower.strip_suffix("p.m.")) {
            Some(front) => (front.trim_end(), Some(12)),
            None => (lower.as_str(), None),
        },
    };
    let mut parts = digits.split(':');
    let first = parts.next()?;
    let (mut h, m): (i32, i32) = match parts.next() {
        Some(minutes) => (first.parse().ok()?, minutes.parse().ok()?),
        None if first.len() >= 3 => {
            let n: i32 = first.parse().ok()?;
            (n / 100, n % 100)
        }
        None => (first.parse().ok()?, 0),
    };
    if let Some(half) = half {
        if !(1..=12).contains(&h) {
            return None;
        }
        h = h % 12 + half;
    }
    let minutes = h * 60 + m;
    ((0..60).contains(&m) && (0..=1440).contains(&minutes)).then_some(Clocked(minutes))
}

/// The moment on the calendar; the end of a day is the start of the next.
pub(super) fn moment(date: Date, time: Clocked) -> Option<DateTime> {
    date.to_datetime(Time::midnight()).checked_add(jiff::Span::new().minutes(i64::from(time.0))).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn numbers() {
        for (cell, want) in [
            ("12.5", Number::Value(12.5)),
            (" -7.6 ", Number::Value(-7.6)),
            ("+3", Number::Value(3.0)),
            ("1,234.5", Number::Value(1234.5)),
            ("", Number::Missing),
            ("-9999", Number::Mark(-9999.0)),
            ("-9900", Number::Mark(-9900.0)),
            ("NA", Number::Missing),
            ("NaN", Number::Missing),
            ("T", Number::Trace),
            ("<31", Number::Bad),
            ("12..5", Number::Bad),
        ] {
            assert_eq!(number(cell.as_bytes(), false), want, "{cell}");
        }
        assert_eq!(number(b"12,5", true), Number::Value(12.5));
        assert_eq!(number(b"\xff", false), Number::Bad);
    }

    #[test]
    fn dates_and_times() {
        let day = date(2026, 5, 4);
        let read = |s: &str| stamp(s.as_bytes(), DateOrder::DayFirst);
        let only = Stamp { date: day, time: None, offset_min: None };
        for s in ["2026-05-04", "2026/5/4", "20260504", "04/05/2026", "4.5.2026"] {
            assert_eq!(read(s), Some(only), "{s}");
        }
        assert_eq!(stamp(b"5/4/2026", DateOrder::MonthFirst), Some(only));
        for (s, minutes, offset_min) in [
            ("2026-05-04 13:00", 780, None),
            ("2026-05-04T13:00:00Z", 780, Some(0)),
            ("2026-05-04T13:00-06:00", 780, Some(-360)),
            ("4/5/2026 1:00 PM", 780, None),
            ("20260504 1300", 780, None),
            ("2026-05-04 24:00", 1440, None),
            ("2026-05-04 12 am", 0, None),
        ] {
            assert_eq!(read(s), Some(Stamp { time: Some(Clocked(minutes)), offset_min, ..only }), "{s}");
        }
        for s in ["2026-02-30", "2026-13-01", "26-5-4", "", "May 4", "2026-05-04 25:00", "2026-05-04 12:60"] {
            assert_eq!(read(s), None, "{s}");
        }
        assert_eq!(moment(day, Clocked(1440)), Some(date(2026, 5, 5).at(0, 0, 0, 0)));
        assert_eq!(day_and_month(b"4/5/2026"), Some((4, 5)));
        assert_eq!(day_and_month(b"2026-05-04"), None);
    }
}
