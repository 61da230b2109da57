//! Weather readings in the file.

mod common;

use jiff::Timestamp;
use jiff::civil::date;
use proptest::prelude::*;
use stook_book::Store;
use stook_book::readings::{DayReading, Flags, ForecastHour, ForecastReading, HourReading};
use stook_book::store::Put;
use stook_weather::series::Record;

fn book() -> (tempfile::TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::create(folder.path().join("farm.stook")).unwrap();
    (folder, store)
}

fn now() -> Timestamp {
    Timestamp::UNIX_EPOCH
}

fn day(d: i8, tmax_c: f64) -> DayReading {
    DayReading { tmax_c: Some(tmax_c), tmin_c: Some(1.0 / 3.0), ..DayReading::blank(date(2026, 5, d)) }
}

#[test]
fn days_come_back_and_a_later_file_revises_them() {
    let (_folder, mut store) = book();
    let mut first = vec![day(2, 12.0), day(1, 11.0), day(3, 13.0)];
    first[0].flags = Flags { estimated: true, trace: true, accumulated: false };
    assert_eq!(store.put_days("a", "f.csv", now(), &first).unwrap(), Put { new: 3, changed: 0, same: 0 });
    let revised = [first[0], day(3, 13.5), day(4, 14.0)];
    assert_eq!(store.put_days("a", "g.csv", now(), &revised).unwrap(), Put { new: 1, changed: 1, same: 1 });
    assert_eq!(store.days("a").unwrap(), [first[1], first[0], revised[1], revised[2]]);
    assert_eq!(store.days("b").unwrap(), []);
    assert_eq!(store.stations().unwrap(), ["a"]);
}

#[test]
fn hours_come_back_by_span() {
    let (_folder, mut store) = book();
    let hours: Vec<HourReading> = (0..48)
        .map(|h| date(1969, 12, 31).at(0, 0, 0, 0) + jiff::Span::new().hours(h))
        .map(|at| HourReading {
            temp_c: Some(f64::from(at.hour())),
            wind_ms: Some(3.0),
            ..HourReading::blank(at)
        })
        .collect();
    let put = store.put_hours("a", "f.csv", now(), &hours).unwrap();
    assert_eq!(put, Put { new: 48, changed: 0, same: 0 });
    let found =
        store.hours("a", date(1969, 12, 31).at(23, 0, 0, 0), date(1970, 1, 1).at(2, 0, 0, 0)).unwrap();
    assert_eq!(found, hours[23..26]);
}

#[test]
fn observed_takes_each_value_from_the_fullest_station() {
    let (_folder, mut store) = book();
    let rain = |d, mm| DayReading { precip_mm: Some(mm), ..DayReading::blank(date(2026, 5, d)) };
    store.put_days("full", "f", now(), &[day(1, 11.0), day(2, 12.0), day(3, 13.0)]).unwrap();
    store.put_days("other", "g", now(), &[DayReading { tmax_c: Some(99.0), ..rain(2, 4.0) }]).unwrap();
    let hours: Vec<HourReading> = (0..24)
        .map(|h| HourReading {
            temp_c: Some(f64::from(h)),
            wind_ms: Some(3.0),
            wind_height_m: Some(2.0),
            ..HourReading::blank(date(2026, 5, 3).at(h, 0, 0, 0))
        })
        .collect();
    store.put_hours("full", "h", now(), &hours).unwrap();
    let all = store.observed().unwrap();
    assert_eq!(all.len(), 3);
    assert_eq!((all[1].tmax_c, all[1].precip_mm), (Some(12.0), Some(4.0)));
    assert_eq!(
        (all[2].tmax_c, all[2].wind_2m_ms),
        (Some(13.0), Some(3.0)),
        "the day's own high before its hours'"
    );
}

#[test]
fn forecasts_are_kept_by_when_they_were_issued() {
    let (_folder, mut store) = book();
    let morning = |d| date(2026, 5, d).at(5, 30, 0, 0);
    let days = |t| [ForecastReading { day: day(7, t), rain_chance_pct: Some(55.0) }];
    store.put_forecast(morning(5), "f", now(), &days(15.0)).unwrap();
    store.put_forecast(morning(6), "f", now(), &days(16.0)).unwrap();
    store.put_forecast(morning(6), "f", now(), &days(17.0)).unwrap();
    assert_eq!(store.latest_forecast(morning(4)).unwrap(), None);
    assert_eq!(store.latest_forecast(date(2026, 5, 6).at(5, 0, 0, 0)).unwrap().unwrap().days, days(15.0));
    let latest = store.latest_forecast(morning(9)).unwrap().unwrap();
    assert_eq!((latest.issued, latest.days.as_slice()), (morning(6), days(17.0).as_slice()));
}

#[test]
fn a_forecast_by_the_hour_stands_by_the_day_too_until_a_later_one() {
    let (_folder, mut store) = book();
    let morning = |d| date(2026, 5, d).at(5, 30, 0, 0);
    let week: Vec<ForecastReading> =
        (5..12).map(|d| ForecastReading { day: day(d, 15.0), rain_chance_pct: Some(20.0) }).collect();
    store.put_forecast(morning(5), "f", now(), &week).unwrap();
    // Two whole days and the start of a third.
    let hours: Vec<ForecastHour> = (0..54)
        .map(|h| {
            let at = date(2026, 5, 6).at(0, 0, 0, 0).saturating_add(jiff::Span::new().hours(h));
            let hour = HourReading {
                temp_c: Some(8.0 + (h % 24) as f64 / 2.0),
                rh_pct: Some(60.0),
                wind_ms: Some(3.0),
                wind_height_m: Some(2.0),
                ..HourReading::blank(at)
            };
            ForecastHour { hour, rain_chance_pct: Some(if h == 30 { 70.0 } else { 10.0 }) }
        })
        .collect();
    store.put_forecast_hours(morning(6), "g", now(), &hours).unwrap();
    assert_eq!(store.latest_forecast_hours(morning(6)).unwrap(), hours);
    assert_eq!(store.latest_forecast_hours(morning(5)).unwrap(), []);
    let days = store.latest_forecast(morning(6)).unwrap().unwrap().days;
    assert_eq!(days.iter().map(|d| d.day.date.day()).collect::<Vec<_>>(), [6, 7, 8, 9, 10, 11]);
    assert_eq!((days[0].day.tmax_c, days[0].rain_chance_pct), (Some(19.5), Some(10.0)));
    assert_eq!(days[1].rain_chance_pct, Some(70.0));
    assert_eq!(days[2].day.tmax_c, Some(15.0), "a day it does not fill is the earlier forecast's");
    // A later forecast by the day takes its place.
    store.put_forecast(morning(7), "h", now(), &week).unwrap();
    assert_eq!(store.latest_forecast_hours(morning(7)).unwrap(), []);
    assert_eq!(store.latest_forecast_hours(morning(6)).unwrap(), hours);
}

#[test]
fn weather_travels_with_the_backup() {
    let (folder, mut store) = book();
    store.put_days("a", "f.csv", now(), &[day(1, 11.0)]).unwrap();
    store.backup_to(folder.path().join("copy.stook")).unwrap();
    assert_eq!(Store::open(folder.path().join("copy.stook")).unwrap().days("a").unwrap(), [day(1, 11.0)]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]
    #[test]
    fn a_record_survives_the_file(values in prop::array::uniform10(prop::option::of(0.0..40.0_f64))) {
        let (_folder, mut store) = book();
        let [tmax_c, tmin_c, precip_mm, rs_mj_m2, sunshine_h, ea_kpa, tdew_c, rh_max_pct, wind_2m_ms, snow_depth_cm] = values;
        let record = Record {
            tmax_c, tmin_c, precip_mm, rs_mj_m2, sunshine_h, ea_kpa, tdew_c, rh_max_pct, wind_2m_ms, snow_depth_cm,
            ..Record::on(date(2026, 5, 1))
        };
        store.put_days("a", "f", now(), &[DayReading::from(&record)]).unwrap();
        prop_assert_eq!(store.observed().unwrap(), vec![record]);
    }
}
