//! The air at the time of a pass: from the station's hour, else reckoned from the day.

use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use stook_book::payload::{AirBy, SprayAir};
use stook_book::readings::{ForecastReading, HourReading};
use stook_weather::forcing::SiteTable;
use stook_weather::hourly;
use stook_weather::humidity;
use stook_weather::params::WeatherParams;
use stook_weather::series::{self, Record};

/// What is on file to tell the air of a past hour from.
#[derive(Debug, Clone, Copy)]
pub struct AirFacts<'a> {
    /// Station hours around the time.
    pub hours: &'a [HourReading],
    /// Observed days.
    pub observed: &'a [Record],
    /// The forecast, for a day not yet observed.
    pub forecast: &'a [ForecastReading],
    /// Sun and site.
    pub table: &'a SiteTable,
    /// Weather coefficients.
    pub params: &'a WeatherParams,
    /// The farm's zone.
    pub zone: &'a TimeZone,
}

/// The start of the station's hour that holds the farm's clock time `at`: local standard time, an hour behind in summer
/// where clocks are put forward.
pub fn standard_hour(at: DateTime, zone: &TimeZone) -> DateTime {
    let summer = zone
        .to_ambiguous_zoned_datetime(at)
        .compatible()
        .is_ok_and(|z| zone.to_offset_info(z.timestamp()).dst().is_dst());
    let at = if summer { at.saturating_sub(jiff::Span::new().hours(1)) } else { at };
    at.date().at(at.hour(), 0, 0, 0)
}

/// The farm's clock at the start of a station's hour.
pub(super) fn wall(standard: DateTime, zone: &TimeZone) -> DateTime {
    let later = standard.saturating_add(jiff::Span::new().hours(1));
    if standard_hour(later, zone) == standard { later } else { standard }
}

/// The air at `at`; none when nothing on file tells it.
pub fn at(facts: &AirFacts<'_>, at: DateTime) -> Option<SprayAir> {
    station(facts, at).or_else(|| reckoned(facts, at))
}

fn station(facts: &AirFacts<'_>, at: DateTime) -> Option<SprayAir> {
    let hour = standard_hour(at, facts.zone);
    let found = facts.hours.iter().find(|h| h.at == hour)?;
    let record = found.record();
    let rh = record.rh_pct.or_else(|| Some(humidity::rh_pct(record.temp_c?, humidity::e0(record.tdew_c?))));
    let air = SprayAir {
        temp_c: record.temp_c.map(tenth),
        rh_pct: rh.map(f64::round),
        wind_ms: record.wind_2m_ms.map(tenth),
        wind_from: None,
        by: AirBy::Station,
    };
    (air.temp_c.is_some() || air.wind_ms.is_some()).then_some(air)
}

fn reckoned(facts: &AirFacts<'_>, at: DateTime) -> Option<SprayAir> {
    let (date, hour) = sun_hour(at, facts.table, facts.zone);
    let record = facts
        .observed
        .iter()
        .find(|r| r.date == date)
        .cloned()
        .or_else(|| facts.forecast.iter().find(|f| f.day.date == date).map(|f| f.day.record()))?;
    record.tmax_c.and(record.tmin_c)?;
    let windless = record.wind_2m_ms.is_none();
    let day = *series::fill(&[record], facts.table.site(), facts.params).days.first()?;
    let course = hourly::course(&day, date.day_of_year() as u16, facts.table);
    Some(SprayAir {
        temp_c: Some(tenth(course.temp_c[hour])),
        rh_pct: Some(course.rh_pct[hour].round()),
        // A wind nobody measured or forecast is not put into a record.
        wind_ms: (!windless).then(|| tenth(course.wind_2m_ms[hour])),
        wind_from: None,
        by: AirBy::Reckoned,
    })
}

/// The day and hour by the sun's standard time of the farm's clock time `at`.
pub(super) fn sun_hour(at: DateTime, table: &SiteTable, zone: &TimeZone) -> (Date, usize) {
    let ahead = zone
        .to_ambiguous_zoned_datetime(at)
        .compatible()
        .map_or(table.utc_offset_h(), |z| f64::from(z.offset().seconds()) / 3600.0);
    let shift = (ahead - table.utc_offset_h()).round() as i64;
    let t = at.saturating_sub(jiff::Span::new().hours(shift));
    (t.date(), t.hour().unsigned_abs() as usize)
}

fn tenth(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use stook_book::readings::DayReading;
    use stook_measure::Reference;
    use stook_weather::Site;

    fn zone() -> TimeZone {
        TimeZone::get("America/Winnipeg").unwrap()
    }

    #[test]
    fn the_station_keeps_standard_time() {
        let z = zone();
        assert_eq!(standard_hour(date(2026, 6, 28).at(18, 40, 0, 0), &z), date(2026, 6, 28).at(17, 0, 0, 0));
        assert_eq!(standard_hour(date(2026, 1, 5).at(9, 10, 0, 0), &z), date(2026, 1, 5).at(9, 0, 0, 0));
        assert_eq!(standard_hour(date(2026, 6, 28).at(0, 10, 0, 0), &z), date(2026, 6, 27).at(23, 0, 0, 0));
        // Saskatchewan keeps one clock all year.
        let regina = TimeZone::get("America/Regina").unwrap();
        assert_eq!(
            standard_hour(date(2026, 6, 28).at(18, 40, 0, 0), &regina),
            date(2026, 6, 28).at(18, 0, 0, 0)
        );
    }

    #[test]
    fn the_station_goes_before_the_reckoning_and_nothing_is_made_up() {
        let table = SiteTable::new(&Site { lat_deg: 50.1, lon_deg: -101.3, elev_m: 540.0 });
        let params = WeatherParams::from_reference(&Reference::shipped());
        let z = zone();
        let day = date(2026, 6, 28);
        let hour = HourReading {
            temp_c: Some(21.04),
            dew_point_c: Some(12.0),
            wind_ms: Some(3.0),
            wind_height_m: Some(2.0),
            ..HourReading::blank(day.at(17, 0, 0, 0))
        };
        let observed =
            [DayReading { tmax_c: Some(27.0), tmin_c: Some(12.0), ..DayReading::blank(day) }.record()];
        let facts = AirFacts {
            hours: &[hour],
            observed: &observed,
            forecast: &[],
            table: &table,
            params: &params,
            zone: &z,
        };
        let air = at(&facts, day.at(18, 40, 0, 0)).unwrap();
        assert_eq!((air.temp_c, air.wind_ms, air.by), (Some(21.0), Some(3.0), AirBy::Station));
        assert!((air.rh_pct.unwrap() - 56.0).abs() <= 1.0, "{air:?}");
        let other = at(&facts, day.at(15, 0, 0, 0)).unwrap();
        assert_eq!((other.wind_ms, other.by), (None, AirBy::Reckoned));
        assert!(other.temp_c.unwrap() > 22.0);
        assert_eq!(at(&facts, date(2026, 6, 20).at(15, 0, 0, 0)), None);
    }
}
