//! Readings of bins: files and messages as devices send them, the table they are kept in, and entries at the door.

use jiff::Timestamp;
use jiff::civil::date;
use stook_book::payload::{Bin, BinFloor, BinJob, BinReading, FanRun, ReadBy, ReadingPoint};
use stook_book::sensor::{SensorError, read_csv, read_json};
use stook_book::{BinId, Entry, Farm, Store, validate};
use stook_measure::Reference;

fn farm() -> Farm {
    let bin = Bin {
        id: BinId::from("bin-9"),
        name: "Bin 9".into(),
        diameter_m: 8.2,
        wall_m: 6.7,
        floor: BinFloor::FLAT,
        fan: None,
        job: BinJob::Any,
        crop: None,
        capacity_m3: None,
        cleaned: None,
    };
    Farm::fold(&[Entry::new(date(2026, 7, 1).at(9, 0, 0, 0), "test", bin)])
}

#[test]
fn a_file_of_readings_is_understood_and_its_faults_are_named_by_line() {
    let latest = date(2026, 9, 10).at(0, 0, 0, 0);
    let read = |text: &str| read_csv(text.as_bytes(), &farm(), latest);
    let good = read("Bin,Time,Sensor,Height_ft,Temp_F,Moisture_pct\nBin 9,2026-09-03 06:00,a,10,68,\nbin-9,2026-09-03T07:00,,3,68,14.2\n").unwrap();
    assert!(good.bad.is_empty(), "{:?}", good.bad);
    assert!((good.good[0].temperature_c.unwrap() - 20.0).abs() < 1e-9);
    assert!((good.good[0].height_m.unwrap() - 3.048).abs() < 1e-9);
    assert_eq!(good.good[0].bin, BinId::from("bin-9"), "the farm's own word for the bin does");
    assert_eq!(good.good[1].sensor, "0.91 m");

    let bad = read("bin,time,temp_c\nbin-4,2026-09-03 06:00,20\nbin-9,yesterday,20\nbin-9,2026-09-03 06:00,warm\nbin-9,2026-09-03 06:00,180\nbin-9,2026-12-03 06:00,20\nbin-9,2026-09-03 06:00,\nbin-9,2026-09-03 08:00,20\nbin-9,2026-09-03 08:00,21\n").unwrap();
    assert_eq!(bad.good.len(), 1);
    let said: Vec<String> = bad.bad.iter().map(|b| format!("{} {}", b.line, b.sentence)).collect();
    for (line, what) in [
        (2, "no bin \"bin-4\""),
        (3, "is no time"),
        (4, "not a number"),
        (5, "Fahrenheit"),
        (6, "future"),
        (7, "Nothing was read"),
        (9, "twice"),
    ] {
        assert!(
            said.iter().any(|s| s.starts_with(&format!("{line} ")) && s.contains(what)),
            "{line} {what}: {said:?}"
        );
    }
    assert_eq!(read("bin,time,temp\n"), Err(SensorError::NoUnit("temp".into(), "temp_c or temp_f")));
    assert_eq!(read("time,temp_c\n"), Err(SensorError::NoColumn("bin")));
    assert_eq!(read("bin,temp_c\n"), Err(SensorError::NoColumn("time")));
    assert_eq!(read("bin,time\n"), Err(SensorError::NoColumn("temp_c")));
}

#[test]
fn a_device_may_send_one_or_many_and_nonsense_is_refused() {
    let latest = date(2026, 9, 10).at(0, 0, 0, 0);
    let read = |text: &str| read_json(text.as_bytes(), &farm(), latest);
    let one = read(r#"{"bin":"bin-9","at":"2026-09-03T21:00","height_m":4.2,"temperature_c":24.5}"#).unwrap();
    assert_eq!(one.good[0].sensor, "4.20 m");
    let many = read(r#"[{"bin":"bin-9","at":"2026-09-03T21:00","sensor":"gas","co2_ppm":650},{"bin":"bin-9","at":"2026-09-03T21:00","height_m":40,"temperature_c":20}]"#).unwrap();
    assert_eq!((many.good.len(), many.bad.len()), (1, 1));
    assert!(many.bad[0].sentence.contains("metres above the floor"), "{:?}", many.bad);
    assert!(
        read("{}").is_err()
            && read("hello").is_err()
            && read(r#"{"bin":"bin-9","at":"2026-09-03T21:00","hot":1}"#).is_err()
    );
}

#[test]
fn the_same_readings_again_change_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path().join("farm.stook")).unwrap();
    let latest = date(2026, 9, 10).at(0, 0, 0, 0);
    let text = "bin,time,sensor,temp_c\nbin-9,2026-09-03 06:00,a,20\nbin-9,2026-09-03 06:00,b,21\n";
    let readings = read_csv(text.as_bytes(), &farm(), latest).unwrap().good;
    let put = |store: &mut Store, r: &[_]| {
        let p = store.put_bin_readings("cable.csv", Timestamp::now(), r).unwrap();
        (p.new, p.changed, p.same)
    };
    assert_eq!(put(&mut store, &readings), (2, 0, 0));
    assert_eq!(put(&mut store, &readings), (0, 0, 2));
    let mut changed = readings.clone();
    changed[1].temperature_c = Some(21.5);
    assert_eq!(put(&mut store, &changed), (0, 1, 1));
    let back = store.bin_readings(date(2026, 9, 1).at(0, 0, 0, 0), latest).unwrap();
    assert_eq!(back, changed);
    assert!(store.bin_readings(latest, latest).unwrap().is_empty());

    assert_eq!(store.secret("readings").unwrap(), None);
    store.put_secret("readings", "one").unwrap();
    store.put_secret("readings", "two").unwrap();
    assert_eq!(store.secret("readings").unwrap().as_deref(), Some("two"));
}

#[test]
fn readings_and_fans_are_looked_at_at_the_door() {
    let farm = farm();
    let at = date(2026, 9, 3).at(20, 0, 0, 0);
    let now = date(2026, 9, 4).at(0, 0, 0, 0).to_zoned_datetime(jiff::tz::TimeZone::UTC).unwrap().timestamp();
    let problems = |e: Entry| validate(&e, &farm, &Reference::shipped(), now).err().unwrap_or_default();
    let reading = |points, co2_ppm| BinReading {
        bin: BinId::from("bin-9"),
        by: ReadBy::Probe,
        points,
        co2_ppm,
        smell: None,
        seen: None,
    };
    let point = |t: f64, height_m| ReadingPoint {
        height_m,
        part: None,
        sensor: None,
        temperature_c: Some(t),
        moisture_wb_pct: None,
    };
    assert!(problems(Entry::new(at, "me", reading(vec![point(21.0, Some(3.0))], None))).is_empty());
    let nothing = problems(Entry::new(at, "me", reading(vec![], None)));
    assert!(nothing[0].sentence.contains("at least one thing"), "{nothing:?}");
    let hot = problems(Entry::new(at, "me", reading(vec![point(79.0, Some(14.0))], Some(4.0))));
    let said: Vec<&str> = hot.iter().map(|p| p.sentence.as_str()).collect();
    assert!(
        said.iter().any(|s| s.contains("Fahrenheit")) && said.iter().any(|s| s.contains("Did you mean feet")),
        "{said:?}"
    );
    assert!(said.iter().any(|s| s.contains("in percent?")), "{said:?}");
    let fan = problems(Entry::new(at, "me", FanRun { bin: BinId::from("bin-9"), on: true, reason: None }));
    assert!(fan[0].sentence.contains("has no fan in the book"), "{fan:?}");
    let gone = problems(Entry::new(at, "me", FanRun { bin: BinId::from("bin-4"), on: true, reason: None }));
    assert!(gone[0].sentence.contains("no bin"), "{gone:?}");
}
