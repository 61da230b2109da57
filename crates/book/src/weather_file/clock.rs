//! From a file's clock to local standard time.

use jiff::civil::DateTime;
use jiff::tz::{Offset, TimeZone};
use jiff::{SignedDuration, Timestamp};

use super::header::Clock;

/// Turns the times of one file, in the file's order, into local standard time.
pub(super) struct ToStandard<'a> {
    zone: &'a TimeZone,
    standard: Offset,
    clock: Clock,
    last: Option<Timestamp>,
}

impl<'a> ToStandard<'a> {
    pub fn new(zone: &'a TimeZone, clock: Clock) -> Self {
        Self { zone, standard: standard_offset(zone), clock, last: None }
    }

    /// `offset_min` is the offset the stamp itself carries, if any.
    pub fn turn(&mut self, at: DateTime, offset_min: Option<i32>) -> Option<DateTime> {
        let moment = match (offset_min, self.clock) {
            (Some(minutes), _) => Offset::from_seconds(minutes * 60).ok()?.to_timestamp(at).ok()?,
            (None, Clock::Standard) => return Some(at),
            (None, Clock::Utc) => Offset::UTC.to_timestamp(at).ok()?,
            (None, Clock::Wall) => self.wall(at)?,
        };
        Some(self.standard.to_datetime(moment))
    }

    /// In autumn one hour comes twice: the second time it is met, it is the later one.
    fn wall(&mut self, at: DateTime) -> Option<Timestamp> {
        let both = self.zone.to_ambiguous_timestamp(at);
        let ambiguous = both.is_ambiguous();
        let earlier = both.earlier().ok()?;
        let moment = if ambiguous && self.last.is_some_and(|l| l >= earlier) {
            self.zone.to_ambiguous_timestamp(at).later().ok()?
        } else {
            earlier
        };
        self.last = Some(moment);
        Some(moment)
    }
}

/// Whether the zone moves its clock at all in these years.
pub(super) fn moves(zone: &TimeZone) -> bool {
    offsets(zone).iter().any(|o| *o != standard_offset(zone))
}

/// The offset without summer time: the lowest of a recent year.
pub(super) fn standard_offset(zone: &TimeZone) -> Offset {
    offsets(zone).into_iter().min().unwrap_or(Offset::UTC)
}

fn offsets(zone: &TimeZone) -> Vec<Offset> {
    let new_year_2024 = Timestamp::constant(1_704_067_200, 0);
    (0..12).map(|month| zone.to_offset(new_year_2024 + SignedDuration::from_hours(month * 730))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_autumn_hour_that_comes_twice() {
        let zone = TimeZone::get("America/Winnipeg").unwrap();
        let mut turn = ToStandard::new(&zone, Clock::Wall);
        let night = date(2025, 11, 2);
        let wall = [(0, 0), (1, 0), (1, 0), (2, 0)];
        let standard: Vec<i8> =
            wall.iter().map(|(h, m)| turn.turn(night.at(*h, *m, 0, 0), None).unwrap().hour()).collect();
        assert_eq!(standard, [23, 0, 1, 2]);
        // In summer the wall is an hour ahead; an offset in the stamp settles it.
        assert_eq!(turn.turn(date(2025, 7, 1).at(13, 0, 0, 0), None).unwrap().hour(), 12);
        assert_eq!(turn.turn(date(2025, 7, 1).at(13, 0, 0, 0), Some(0)).unwrap().hour(), 7);
        let mut utc = ToStandard::new(&zone, Clock::Utc);
        assert_eq!(utc.turn(date(2025, 7, 1).at(3, 0, 0, 0), None), Some(date(2025, 6, 30).at(21, 0, 0, 0)));
    }

    #[test]
    fn who_moves_the_clock() {
        assert!(moves(&TimeZone::get("America/Winnipeg").unwrap()));
        assert!(!moves(&TimeZone::get("America/Regina").unwrap()));
        assert!(!moves(&TimeZone::UTC));
    }
}
