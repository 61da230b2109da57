//! Last spring and first fall frost, by year and as chances.
//!
//! Spring ends on 31 July, fall begins on 1 August. A year without frost in its half counts in the chances (the mixed
//! distribution of the US National Oceanic and Atmospheric Administration's freeze maps) but not in the dates. Early and
//! late are the 10th and 90th percentile (Midwestern Regional Climate Center).

use std::collections::BTreeMap;

use jiff::civil::Date;
use stook_measure::Range;

use crate::climate::leap_day;
use crate::day::Day;

/// A year must have this many days in the half looked at, or its frost may be in what is missing.
const LEAST_DAYS: usize = 120;

/// Frost of one half-year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FrostDate {
    /// Year.
    pub year: i16,
    /// The last (spring) or first (fall) day with frost; none when there was none.
    pub date: Option<Date>,
}

/// Last day to 31 July with Tmin at or below `threshold_c`, for each year with enough days.
pub fn last_spring(days: &[(Date, Day)], threshold_c: f64) -> Vec<FrostDate> {
    by_year(days, |d| d.month() <= 7, threshold_c, Date::max)
}

/// First day from 1 August with Tmin at or below `threshold_c`, for each year with enough days.
pub fn first_fall(days: &[(Date, Day)], threshold_c: f64) -> Vec<FrostDate> {
    by_year(days, |d| d.month() >= 8, threshold_c, Date::min)
}

fn by_year(
    days: &[(Date, Day)],
    half: fn(Date) -> bool,
    threshold_c: f64,
    keep: fn(Date, Date) -> Date,
) -> Vec<FrostDate> {
    let mut years: BTreeMap<i16, (usize, Option<Date>)> = BTreeMap::new();
    for (date, day) in days.iter().filter(|(d, _)| half(*d)) {
        let year = years.entry(date.year()).or_default();
        year.0 += 1;
        if day.tmin_c <= threshold_c {
            year.1 = Some(year.1.map_or(*date, |old| keep(old, *date)));
        }
    }
    years
        .into_iter()
        .filter(|(_, (n, _))| *n >= LEAST_DAYS)
        .map(|(year, (_, date))| FrostDate { year, date })
        .collect()
}

/// Share of years in which spring frost still comes on or after `date` (its day of the year); `None` without years.
pub fn chance_still_to_come(spring: &[FrostDate], date: Date) -> Option<f64> {
    share(spring, |d| leap_day(d) >= leap_day(date))
}

/// Share of years in which fall frost has come on or before `date`; `None` without years.
pub fn chance_already_come(fall: &[FrostDate], date: Date) -> Option<f64> {
    share(fall, |d| leap_day(d) <= leap_day(date))
}

fn share(dates: &[FrostDate], is: impl Fn(Date) -> bool) -> Option<f64> {
    let hits = dates.iter().filter(|f| f.date.is_some_and(&is)).count();
    (!dates.is_empty()).then(|| hits as f64 / dates.len() as f64)
}

/// Early, middle and late dates as days of a leap year counted from 1, over the years that had frost.
pub fn early_middle_late(dates: &[FrostDate]) -> Option<Range> {
    let days: Vec<f64> = dates.iter().filter_map(|f| f.date).map(|d| leap_day(d) as f64 + 1.0).collect();
    Range::of(&days)
}

/// Share of members (one list of daily Tmin each) with frost at or below `threshold_c` within their first `days`
/// days: the chance of frost before a stage expected then.
pub fn chance_within<'a>(
    members: impl IntoIterator<Item = &'a [f64]>,
    days: usize,
    threshold_c: f64,
) -> Option<f64> {
    let (mut n, mut hits) = (0usize, 0usize);
    for tmin in members {
        n += 1;
        hits += usize::from(tmin.iter().take(days).any(|t| *t <= threshold_c));
    }
    (n > 0).then(|| hits as f64 / n as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// A year that is above freezing but for the dates given.
    fn year(y: i16, frosts: &[(i8, i8)]) -> Vec<(Date, Day)> {
        let mut d = date(y, 1, 1);
        let mut out = Vec::new();
        while d.year() == y {
            let frost = frosts.contains(&(d.month(), d.day()));
            let tmin_c = if frost { -1.0 } else { 5.0 };
            out.push((
                d,
                Day { tmax_c: 12.0, tmin_c, precip_mm: 0.0, rs_mj_m2: 9.0, ea_kpa: 0.5, wind_2m_ms: 2.0 },
            ));
            d = d.tomorrow().unwrap();
        }
        out
    }

    #[test]
    fn dates_and_chances() {
        let mut days = year(2019, &[(4, 2), (5, 20), (9, 10), (10, 1)]);
        days.extend(year(2020, &[(5, 30), (9, 5)]));
        days.extend(year(2021, &[(5, 10)]));
        days.extend(year(2022, &[(6, 2), (8, 31)]).into_iter().take(60));
        let spring = last_spring(&days, 0.0);
        assert_eq!(
            spring.iter().map(|f| f.date.unwrap()).collect::<Vec<_>>(),
            [date(2019, 5, 20), date(2020, 5, 30), date(2021, 5, 10)]
        );
        let fall = first_fall(&days, 0.0);
        assert_eq!(
            fall.iter().map(|f| f.date).collect::<Vec<_>>(),
            [Some(date(2019, 9, 10)), Some(date(2020, 9, 5)), None]
        );
        assert_eq!(chance_still_to_come(&spring, date(2026, 5, 20)), Some(2.0 / 3.0));
        assert_eq!(chance_already_come(&fall, date(2026, 9, 9)), Some(1.0 / 3.0));
        assert_eq!(chance_still_to_come(&[], date(2026, 5, 1)), None);
        assert!(last_spring(&days, -2.2).iter().all(|f| f.date.is_none()));
        assert!(early_middle_late(&fall).is_some());
        let members = [[3.0, 1.0, -0.5], [2.0, 2.0, 2.0]];
        assert_eq!(chance_within(members.iter().map(|m| &m[..]), 3, 0.0), Some(0.5));
        assert_eq!(chance_within(members.iter().map(|m| &m[..]), 2, 0.0), Some(0.0));
    }
}
