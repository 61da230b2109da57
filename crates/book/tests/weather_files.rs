//! Weather files of every layout, and everything that can be wrong in one. All figures are invented.

use jiff::civil::date;
use jiff::tz::TimeZone;
use stook_book::readings::DayReading;
use stook_book::weather_file::{Answers, Reading, Sheet, Step, Unit, WeatherFileError, read};

fn zone() -> TimeZone {
    TimeZone::get("America/Winnipeg").unwrap()
}

fn sheet_with(bytes: &[u8], answers: &Answers) -> Sheet {
    match read(bytes, &zone(), answers).unwrap() {
        Reading::Done(sheet) => sheet,
        Reading::Ask(questions) => panic!("{questions:?}"),
    }
}

fn sheet(bytes: &[u8]) -> Sheet {
    sheet_with(bytes, &Answers::default())
}

fn asked(text: &str, answers: &Answers) -> Vec<String> {
    match read(text.as_bytes(), &zone(), answers).unwrap() {
        Reading::Ask(questions) => questions.into_iter().map(|q| q.key).collect(),
        Reading::Done(_) => vec![],
    }
}

#[test]
fn the_archive_by_day_in_both_encodings() {
    let marked = sheet(include_bytes!("data/archive_daily.csv"));
    assert_eq!(marked, sheet(include_bytes!("data/archive_daily_latin1.csv")));
    assert_eq!((marked.step, marked.station.as_deref()), (Step::Day, Some("1234567")));
    assert!(marked.bad_rows.is_empty(), "{:?}", marked.bad_rows);
    assert_eq!(marked.notes, ["2 rows without a value are passed over."]);
    let days = marked.days(false).unwrap();
    assert_eq!(days.len(), 4);
    let lines: Vec<u64> = marked.rows.iter().map(|r| r.line).collect();
    assert_eq!(lines, [2, 3, 5, 7]);
    let expected = DayReading {
        tmax_c: Some(4.5),
        tmin_c: Some(-6.0),
        tmean_c: Some(-0.8),
        precip_mm: Some(0.0),
        new_snow_cm: Some(0.0),
        snow_depth_cm: Some(12.0),
        ..DayReading::blank(date(2016, 4, 1))
    };
    assert_eq!(days[0], expected);
    assert!(days[1].flags.estimated && days[1].flags.trace && !days[1].flags.accumulated);
    assert_eq!((days[2].precip_mm, days[2].new_snow_cm), (Some(5.4), Some(2.0)));
    assert!(days[3].flags.accumulated);
}

#[test]
fn the_archive_by_hour() {
    let s = sheet(include_bytes!("data/archive_hourly.csv"));
    assert_eq!((s.step, s.wind_height_m), (Step::Hour, Some(10.0)));
    let hours = s.hours(false).unwrap();
    // The archive's missing hour still has a pressure.
    assert_eq!(hours.len(), 4);
    assert_eq!(hours[1].at, date(2016, 1, 1).at(1, 0, 0, 0));
    assert_eq!(
        (hours[1].temp_c, hours[1].dew_point_c, hours[1].rh_pct),
        (Some(-9.6), Some(-13.1), Some(76.0))
    );
    assert_eq!((hours[2].temp_c, hours[2].pressure_kpa), (None, Some(94.12)));
    assert_eq!((hours[3].precip_mm, hours[3].wind_ms), (Some(0.2), Some(10.0)));
    assert_eq!((hours[3].record().hour_ending, hours[3].record().date), (4, date(2016, 1, 1)));
    assert!(s.days(true).unwrap_err().to_string().contains("holds hours"));
}

#[test]
fn the_archive_service_names_no_units_and_needs_none() {
    let s = sheet(
        b"CLIMATE_IDENTIFIER,LOCAL_DATE,MAX_TEMPERATURE,MAX_TEMPERATURE_FLAG,MIN_TEMPERATURE,TOTAL_PRECIPITATION,SNOW_ON_GROUND\n\
          1234567,2024-05-01 00:00:00,17.5,,2.0,1.2,0\n",
    );
    assert_eq!(s.step, Step::Day);
    let d = s.days(false).unwrap()[0];
    assert_eq!((d.tmax_c, d.precip_mm, d.snow_depth_cm), (Some(17.5), Some(1.2), Some(0.0)));
}

#[test]
fn ghcn_as_csv() {
    let s = sheet(include_bytes!("data/ghcn.csv"));
    assert_eq!(s.station.as_deref(), Some("XX000000001"));
    assert_eq!(s.bad_rows.len(), 1);
    assert_eq!((s.bad_rows[0].line, s.bad_rows[0].column.as_str()), (11, "TMIN"));
    assert!(s.bad_rows[0].sentence.contains("\"9x\" is not a number"));
    assert_eq!(s.notes, ["1 values that failed the archive's own checks are taken as missing."]);
    let error = s.days(false).unwrap_err().to_string();
    assert!(error.contains("line 11, column \"TMIN\""), "{error}");
    let days = s.days(true).unwrap();
    assert_eq!((days[0].tmax_c, days[0].tmin_c, days[0].precip_mm), (Some(23.5), Some(8.1), Some(0.0)));
    assert!(days[0].flags.trace);
    assert_eq!((days[1].tmax_c, days[1].tmin_c), (None, Some(9.5)));
    assert!((days[1].precip_mm.unwrap() - 12.3).abs() < 1e-9);
    assert!((days[2].wind_ms.unwrap() - 4.1).abs() < 1e-9);
    // Where the mast's height is not known its wind is not used.
    assert_eq!(days[2].record().wind_2m_ms, None);
}

#[test]
fn ghcn_fixed_width() {
    let days = sheet(include_bytes!("data/ghcn.dly")).days(false).unwrap();
    let dates: Vec<_> = days.iter().map(|d| d.date).collect();
    assert_eq!(dates, [date(2024, 2, 1), date(2024, 2, 2), date(2024, 2, 29)]);
    let near = |a: Option<f64>, b: f64| assert!((a.unwrap() - b).abs() < 1e-9, "{a:?} {b}");
    near(days[0].tmax_c, -5.2);
    near(days[0].tmin_c, -18.7);
    near(days[0].snow_depth_cm, 15.0);
    assert_eq!(days[1].tmin_c, None, "failed the archive's check");
    near(days[2].precip_mm, 2.5);
    near(days[2].new_snow_cm, 3.0);
}

#[test]
fn a_plain_table_says_its_units_in_the_heading() {
    let s = sheet(
        b"my farm\n\ndate,tmax (F),tmin (F),rain_in,wind_2m_mph,rs_mj_m2\n2026-05-01,68,41,0.5,10,21.3\n",
    );
    let d = s.days(false).unwrap()[0];
    assert!((d.tmax_c.unwrap() - 20.0).abs() < 1e-9 && (d.tmin_c.unwrap() - 5.0).abs() < 1e-9);
    assert!((d.precip_mm.unwrap() - 12.7).abs() < 1e-9);
    assert!((d.record().wind_2m_ms.unwrap() - 4.4704).abs() < 1e-9);
    assert_eq!(d.rs_mj_m2, Some(21.3));
    assert_eq!(s.columns[0].unit, Unit::Fahrenheit);
}

#[test]
fn what_the_file_does_not_say_is_asked_once() {
    let text = "date,high,low,rain,wind\n04/05/2026,68,41,0.5,10\n05/05/2026,70,44,0,12\n";
    let keys = asked(text, &Answers::default());
    assert_eq!(keys, ["unit.temperature", "unit.rain", "unit.wind", "date_order", "wind_height"]);
    let answers = Answers::default()
        .with("unit.temperature", "F")
        .with("unit.rain", "in")
        .with("unit.wind", "mph")
        .with("date_order", "day_first");
    assert_eq!(asked(text, &answers), ["wind_height"]);
    assert_eq!(
        asked(text, &answers.clone().with("unit.temperature", "furlongs")),
        ["unit.temperature", "wind_height"]
    );
    let s = sheet_with(text.as_bytes(), &answers.with("wind_height", "10"));
    assert_eq!(s.rows[0].at.date(), date(2026, 5, 4));
    assert!((s.days(false).unwrap()[0].tmax_c.unwrap() - 20.0).abs() < 1e-9);
    // A day over 12 settles the order without asking.
    let clear = "date,tmax_c\n5/4/2026,10\n5/14/2026,11\n";
    assert_eq!(sheet(clear.as_bytes()).rows[0].at.date(), date(2026, 5, 4));
}

#[test]
fn semicolons_commas_and_marks() {
    let s = sheet(b"date;tmax_c;rain_mm\n2026-05-01;12,5;T\n2026-05-02;-9999;1,2\n2026-05-03;M;0\n");
    let days = s.days(false).unwrap();
    assert_eq!((days[0].tmax_c, days[0].precip_mm, days[0].flags.trace), (Some(12.5), Some(0.0), true));
    assert_eq!((days[1].tmax_c, days[1].precip_mm), (None, Some(1.2)));
    // Rain where snow fell by depth only: its water is not known.
    let s = sheet(b"date,tmax_c,rain_mm,snow_cm\n2026-05-01,1,0,4\n2026-05-02,9,3,0\n");
    let days = s.days(false).unwrap();
    assert_eq!((days[0].precip_mm, days[1].precip_mm), (None, Some(3.0)));
}

#[test]
fn bad_rows_are_named_and_the_rest_comes_in() {
    let text = b"date,tmax_c,tmin_c,rain_mm\n\
        2026-05-01,12,2,0\n\
        2026-02-30,12,2,0\n\
        2026-05-03,68,41,0\n\
        2026-05-04,1x,2,0\n\
        2026-05-05,12\n\
        2026-05-06,12,2,-3\n\
        2026-05-07,13,3,1\n\
        2026-05-07,13,3,1\n\
        2026-05-01,14,2,0\n";
    let s = sheet(text);
    let found: Vec<(u64, &str)> = s.bad_rows.iter().map(|b| (b.line, b.column.as_str())).collect();
    assert_eq!(
        found,
        [(3, "date"), (4, "tmax_c"), (5, "tmax_c"), (6, "tmin_c"), (7, "rain_mm"), (10, "")],
        "{:?}",
        s.bad_rows
    );
    assert!(s.bad_rows[1].sentence.contains("is the unit right?"), "{}", s.bad_rows[1].sentence);
    assert!(s.bad_rows[5].sentence.contains("in line 2"), "{}", s.bad_rows[5].sentence);
    assert_eq!(s.notes, ["1 rows that repeat another are passed over."]);
    assert!(s.days(false).is_err());
    assert_eq!(s.days(true).unwrap().len(), 2);
}

#[test]
fn hours_that_run_from_1_to_24() {
    let rows: Vec<String> = (1..=24).map(|h| format!("2026-05-01,{h}:00,{h}")).collect();
    let text = format!("date,hour,temp_c\n{}\n", rows.join("\n"));
    let s = sheet_with(text.as_bytes(), &Answers::default().with("clock", "standard"));
    let hours = s.hours(false).unwrap();
    assert_eq!(hours.len(), 24);
    assert_eq!(
        (hours[0].at, hours[23].at),
        (date(2026, 5, 1).at(0, 0, 0, 0), date(2026, 5, 1).at(23, 0, 0, 0))
    );
    assert!(hours.iter().all(|h| h.record().hour_ending == h.temp_c.unwrap() as u8));
}

#[test]
fn a_typical_year_with_its_marks_for_missing() {
    let text = "000001,\"ALDER BEND\",SK,-6.0,50.430,-104.670,577\n\
        Date (MM/DD/YYYY),Time (HH:MM),ETR (Wh/m^2),GHI (W/m^2),GHI source,GHI uncert (%),Dry-bulb (C),Dry-bulb source,\
        Dew-point (C),RHum (%),Pressure (mbar),Wspd (m/s),Lprecip depth (mm),Lprecip quantity (hr)\n\
        01/31/1997,23:00,0,0,1,0,-9.0,A,-12.0,79,945,3.1,-9900,-9900\n\
        01/31/1997,24:00,0,0,1,0,-9.5,A,-12.0,82,945,3.1,-9900,-9900\n\
        02/01/1995,01:00,0,360,1,0,-4.0,A,-8.0,74,951,2.0,500,1\n";
    let answers = Answers::default().with("clock", "standard").with("wind_height", "10");
    let s = sheet_with(text.as_bytes(), &answers);
    assert_eq!(s.bad_rows.len(), 1, "half a metre of rain in an hour: {:?}", s.bad_rows);
    assert_eq!((s.bad_rows[0].line, s.bad_rows[0].column.as_str()), (5, "Lprecip depth (mm)"));
    let hours = s.hours(true).unwrap();
    assert_eq!(hours[1].at, date(1997, 1, 31).at(23, 0, 0, 0));
    assert_eq!((hours[1].temp_c, hours[1].precip_mm, hours[1].pressure_kpa), (Some(-9.5), None, Some(94.5)));
}

#[test]
fn clocks() {
    let wall =
        "date,time,temp_c\n2025-11-02,00:00,1\n2025-11-02,01:00,2\n2025-11-02,01:00,3\n2025-11-02,02:00,4\n";
    assert_eq!(asked(wall, &Answers::default()), ["clock"]);
    let s = sheet_with(wall.as_bytes(), &Answers::default().with("clock", "wall"));
    let hours: Vec<i8> = s.rows.iter().map(|r| r.at.hour()).collect();
    assert_eq!(hours, [23, 0, 1, 2], "the hour that comes twice is two hours");
    let s = sheet(b"time,temp_c\n2026-07-01T06:00Z,12\n2026-07-01T07:00Z,13\n");
    assert_eq!(s.rows[0].at, date(2026, 7, 1).at(0, 0, 0, 0));
    let s = sheet(b"time_utc,temp_c\n2026-07-01 05:00,12\n");
    assert_eq!(s.rows[0].at, date(2026, 6, 30).at(23, 0, 0, 0));
    // A zone that never moves its clock is not offered the wall clock.
    let regina = TimeZone::get("America/Regina").unwrap();
    let Reading::Ask(q) = read(wall.as_bytes(), &regina, &Answers::default()).unwrap() else { panic!() };
    assert!(q[0].choices.iter().all(|c| c.key != "wall"));
}

#[test]
fn several_stations_are_told_apart() {
    let text = "station,date,tmax_c\nA,2026-05-01,10\nB,2026-05-01,12\n";
    assert_eq!(asked(text, &Answers::default()), ["station"]);
    let s = sheet_with(text.as_bytes(), &Answers::default().with("station", "B"));
    assert_eq!((s.station.as_deref(), s.days(false).unwrap()[0].tmax_c), (Some("B"), Some(12.0)));
}

#[test]
fn a_forecast_with_its_chance_of_rain() {
    let s = sheet(b"date,tmax_c,tmin_c,rain_chance_pct,precip_mm\n2026-05-06,18,4,55,6\n");
    let f = s.forecast(false).unwrap();
    assert_eq!((f[0].rain_chance_pct, f[0].day.precip_mm), (Some(55.0), Some(6.0)));
}

#[test]
fn files_that_cannot_be_read_say_why() {
    let why = |bytes: &[u8]| read(bytes, &zone(), &Answers::default()).unwrap_err();
    assert_eq!(why(b" \n"), WeatherFileError::Empty);
    assert_eq!(why(b"PK\x03\x04\x00\x00"), WeatherFileError::NotText);
    assert_eq!(why(b"name,phone\nAda,1\n"), WeatherFileError::NoHeading);
    let head = include_str!("data/archive_daily.csv").lines().next().unwrap();
    let blanks = format!(
        "{head}\n\"-104.67\",\"50.43\",\"ALDER BEND\",\"1234567\",\"1901-01-01\",\"1901\",\"01\",\"01\"{}\n",
        ",\"\"".repeat(23)
    );
    let error = why(blanks.as_bytes());
    assert_eq!(error, WeatherFileError::NoValues { rows: 1 });
    assert!(error.to_string().contains("did not report"));
    assert!(matches!(why(b"date,tmax_c\nyesterday,3\n"), WeatherFileError::AllBad { line: 2, .. }));
    let fine: Vec<String> = (0..60).map(|m| format!("2026-05-01 10:{m:02},{m}")).collect();
    let answers = Answers::default().with("clock", "standard");
    let text = format!("time,temp_c\n{}", fine.join("\n"));
    assert_eq!(read(text.as_bytes(), &zone(), &answers), Err(WeatherFileError::TooFine));
}
