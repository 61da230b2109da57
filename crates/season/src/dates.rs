//! Dates over the weathers.

use jiff::civil::Date;

use crate::answer::DateRange;
use crate::carry::Carried;

/// The 10-50-90 dates of day offsets; `None` when fewer than half of the weathers have one.
pub fn date_range(c: &Carried, days: &[Option<u16>]) -> Option<DateRange> {
    let mut known: Vec<u16> = days.iter().flatten().copied().collect();
    if known.is_empty() || known.len() * 2 < days.len() {
        return None;
    }
    known.sort_unstable();
    let at = |share: f64| {
        let i = (share * (known.len() - 1) as f64).round() as usize;
        c.date(i64::from(known[i]))
    };
    Some(DateRange { early: at(0.1), middle: at(0.5), late: at(0.9) })
}

/// One date for all.
pub fn all(date: Date) -> DateRange {
    DateRange { early: date, middle: date, late: date }
}
