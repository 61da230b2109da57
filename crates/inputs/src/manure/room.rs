//! Room left in a pit: what the barn makes, and when it is full.

use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;
use stook_fertility::manure::book::{Barn, days_to_full};
use stook_fertility::manure::rules::ClosedDays;

/// Animals of one kind over a pit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// Kind of barn.
    pub barn: &'static Barn,
    /// Head, or sows for a barn counted by the sow.
    pub head: f64,
}

/// What flows in, m3 a day. `measured_m3_day` stands for it where the farm has its own figure.
pub fn inflow_m3_day(groups: &[Group], measured_m3_day: Option<f64>) -> f64 {
    measured_m3_day.unwrap_or_else(|| groups.iter().map(|g| g.barn.volume_m3(g.head, 1.0)).sum())
}

/// A pit's room.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Room {
    /// In it now, m3: the last reading and what flowed in since.
    pub held_m3: f64,
    /// What it holds, m3.
    pub capacity_m3: f64,
    /// Flows in, m3 a day.
    pub inflow_m3_day: f64,
    /// Days until it is full; none when nothing flows in.
    pub days: Option<f64>,
    /// Day it is full.
    pub full_on: Option<Date>,
}

/// The room on a day, from a reading.
pub fn room(read_m3: f64, read_on: Date, on: Date, capacity_m3: f64, inflow_m3_day: f64) -> Room {
    let since = f64::from(days_between(read_on, on).max(0));
    let held_m3 = (read_m3 + since * inflow_m3_day).clamp(0.0, capacity_m3.max(read_m3));
    let days = days_to_full(held_m3, capacity_m3, inflow_m3_day);
    let full_on = days.filter(|d| *d < 20_000.0).and_then(|d| on.checked_add((d.floor() as i64).days()).ok());
    Room { held_m3, capacity_m3, inflow_m3_day, days, full_on }
}

/// Days from one date to another.
pub fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |s| s.get_days())
}

/// The last day on which manure may go out before the closed days that come next, and the first after them. Both none
/// when no rule closes the year.
pub fn window(rule: &ClosedDays, on: Date) -> (Date, Date) {
    let make = |year: i16, month: u8, day: u8| Date::new(year, month as i8, day as i8).unwrap_or(on);
    let mut starts = make(on.year(), rule.from_month, rule.from_day);
    let closed_now = rule.holds(on.month() as u8, on.day() as u8);
    if closed_now && starts > on {
        starts = make(on.year() - 1, rule.from_month, rule.from_day);
    } else if !closed_now && starts <= on {
        starts = make(on.year() + 1, rule.from_month, rule.from_day);
    }
    let mut ends = make(starts.year(), rule.to_month, rule.to_day);
    if ends < starts {
        ends = make(starts.year() + 1, rule.to_month, rule.to_day);
    }
    (starts.yesterday().unwrap_or(starts), ends.tomorrow().unwrap_or(ends))
}

/// What must leave by the last open day so that the pit holds until the first open day after, m3.
pub fn must_leave_m3(room: &Room, on: Date, opens: Date) -> f64 {
    let days = f64::from(days_between(on, opens).max(0));
    (room.held_m3 + days * room.inflow_m3_day - room.capacity_m3).clamp(0.0, room.held_m3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;

    #[test]
    fn the_reference_barn() {
        // 1000 feeder spaces x 9 L x 365 = 3285 m3 a year: the reference page's own check.
        let g = [Group { barn: Barn::of("feeder").unwrap(), head: 1000.0 }];
        assert!((inflow_m3_day(&g, None) * 365.0 - 3285.0).abs() < 1e-9);
        assert_eq!(inflow_m3_day(&g, Some(7.5)), 7.5);
        let r = room(1000.0, date(2026, 9, 1), date(2026, 9, 11), 2000.0, 9.0);
        assert!((r.held_m3 - 1090.0).abs() < 1e-9 && (r.days.unwrap() - 910.0 / 9.0).abs() < 1e-9);
        assert_eq!(r.full_on, Some(date(2026, 12, 21)));
    }

    #[test]
    fn the_window_before_winter() {
        let winter = &ClosedDays::shipped()[0];
        let at = |d| window(winter, d);
        assert_eq!(at(date(2026, 10, 1)), (date(2026, 11, 9), date(2027, 4, 11)));
        assert_eq!(at(date(2026, 5, 5)), (date(2026, 11, 9), date(2027, 4, 11)));
        assert_eq!(at(date(2026, 12, 24)), (date(2026, 11, 9), date(2027, 4, 11)));
        assert_eq!(at(date(2027, 1, 15)), (date(2026, 11, 9), date(2027, 4, 11)));
        assert_eq!(at(date(2027, 4, 11)), (date(2027, 11, 9), date(2028, 4, 11)));
    }

    proptest! {
        #[test]
        fn what_is_hauled_makes_it_last(read in 0.0..4000.0f64, capacity in 1000.0..4000.0f64, inflow in 0.5..12.0f64) {
            let (on, opens) = (date(2026, 10, 1), date(2027, 4, 11));
            let r = room(read.min(capacity), on, on, capacity, inflow);
            let must = must_leave_m3(&r, on, opens);
            prop_assert!(must >= 0.0 && must <= r.held_m3);
            let after = room(r.held_m3 - must, on, on, capacity, inflow);
            let winter = f64::from(days_between(on, opens));
            // Either it lasts, or the winter alone is more than the pit holds and it is emptied.
            prop_assert!(after.days.unwrap() >= winter - 1e-6 || (r.held_m3 - must).abs() < 1e-9);
        }
    }
}
