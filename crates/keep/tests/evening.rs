//! The evening of 3 September: a bin with a wet last load, from entries to the answer.

use jiff::civil::{Date, DateTime, date};
use stook_book::payload::{
    Bin, BinFan, BinFloor, BinJob, BinPart, BinReading, Crop, FanPoint, FanRun, FansStand, FarmSetUp, Load,
    LoadFrom, LoadTo, Place, ReadBy, ReadingPoint, Smell, Weighed,
};
use stook_book::{BinId, Entry, Farm, Payload};
use stook_keep::{AirFacts, BinAir, Keeping};
use stook_season::{Question, WeatherFacts};

fn entry(at: DateTime, p: impl Into<Payload>) -> Entry {
    let mut e = Entry::new(at, "test", p);
    e.written = at.to_zoned_datetime(jiff::tz::TimeZone::UTC).unwrap().timestamp();
    e
}

fn fan() -> BinFan {
    let points =
        [(0.0, 8.2), (250.0, 7.5), (500.0, 6.6), (750.0, 5.4), (1000.0, 3.9), (1250.0, 2.1), (1500.0, 0.1)];
    BinFan {
        power_kw: Some(11.2),
        air: None,
        curve: points.map(|(pressure_pa, air_m3_s)| FanPoint { pressure_pa, air_m3_s }).to_vec(),
        ..BinFan::default()
    }
}

fn load(day: Date, hour: i8, kg: f64, m: f64, t: f64) -> Entry {
    let mut l = Load::new(
        LoadFrom::Bought("neighbour".into()),
        LoadTo::Bin(BinId::from("bin-9")),
        Weighed::TruckScale,
        Some(kg),
    );
    l.crop = Some(Crop::SpringWheat);
    l.moisture_wb_pct = Some(m);
    l.temperature_c = Some(t);
    entry(day.at(hour, 0, 0, 0), l)
}

fn farm(fan: Option<BinFan>, more: Vec<Entry>) -> Farm {
    let mut all = vec![
        entry(
            date(2025, 11, 20).at(19, 0, 0, 0),
            FarmSetUp {
                name: "Test".into(),
                place: Place {
                    lat_deg: 50.1,
                    lon_deg: -101.3,
                    elevation_m: 540.0,
                    time_zone: "America/Winnipeg".into(),
                    region: None,
                },
            },
        ),
        entry(
            date(2026, 7, 1).at(9, 0, 0, 0),
            Bin {
                id: BinId::from("bin-9"),
                name: "Bin 9".into(),
                diameter_m: 8.23,
                wall_m: 6.7,
                floor: BinFloor::FLAT,
                fan,
                job: BinJob::Mill,
                crop: Some(Crop::SpringWheat),
                capacity_m3: None,
                cleaned: None,
            },
        ),
    ];
    for i in 0..8 {
        all.push(load(date(2026, 8, 28), 10 + i, 16_000.0, 14.1, 22.0));
    }
    for i in 0..4 {
        all.push(load(date(2026, 9, 2), 12 + i, 15_000.0, 18.5, 26.0));
    }
    all.extend(more);
    Farm::fold(&all)
}

fn answer(farm: &Farm, as_of: Date) -> BinAir {
    let weather = WeatherFacts::default();
    let q = Question { farm, weather: &weather, before: None, as_of, members: 12, seed: 1 };
    let mut k = Keeping::new(&q, &AirFacts::default(), None).unwrap();
    assert!(k.silent.is_empty(), "{:?}", k.silent);
    assert_eq!(k.works.len(), 1);
    k.works[0].finish();
    k.works[0].answer()
}

#[test]
fn the_wet_top_is_found_and_the_fan_is_told_to_run() {
    let a = answer(&farm(Some(fan()), vec![]), date(2026, 9, 3));
    println!("{}\n{:#?}", a.what, a.why);
    assert!(a.what.starts_with("Bin 9: fan ON"), "{}", a.what);
    let life = a.life.clone().unwrap();
    assert!(life.part.starts_with("Top ") && (18.2..18.6).contains(&life.m_pct), "{life:?}");
    assert!(
        (6.0..10.0).contains(&life.days[1]) && life.days[0] < life.days[1] && life.days[2] > life.days[1],
        "{life:?}"
    );
    assert!(a.why[0].contains("days of life left"), "{:?}", a.why);
    let wait = a.waiting.clone().unwrap();
    assert!(wait.money.mean > 0.0 && wait.working.adds_up(0.5), "{wait:?}");
    assert_eq!(a.done, a.of);
    assert_eq!(a.hours.len(), 24);
    assert!(a.frames.len() > 5 && a.frames[0].off == a.frames[0].plan);
    for w in &a.workings {
        assert!(w.adds_up(0.5), "{w:?}");
    }
    let json = serde_json::to_value(&a).unwrap();
    assert!(json["plans"].as_array().unwrap().iter().filter(|p| p["chosen"] == true).count() == 1);
}

#[test]
fn every_fault_is_answered_plainly() {
    // No fan at all.
    let a = answer(&farm(None, vec![]), date(2026, 9, 3));
    assert!(a.what.contains("has no fan: move the wet"), "{}", a.what);
    assert!(a.next.iter().any(|n| n.contains("drier")), "{:?}", a.next);
    // A fan with no curve runs on its power; with neither it is said.
    let power = BinFan { curve: vec![], ..fan() };
    let a = answer(&farm(Some(power), vec![]), date(2026, 9, 3));
    assert!(a.assumed.iter().any(|x| x.contains("no curve")) && a.fan.push.is_some(), "{:?}", a.assumed);
    let nothing = BinFan::default();
    let on =
        entry(date(2026, 9, 3).at(9, 0, 0, 0), FanRun { bin: BinId::from("bin-9"), on: true, reason: None });
    let a = answer(&farm(Some(nothing), vec![on]), date(2026, 9, 3));
    assert!(a.assumed.iter().any(|x| x.contains("neither curve nor power")), "{:?}", a.assumed);
    assert!(a.fan.on_now);
    // Too many loads.
    let more = (0..20).map(|i| load(date(2026, 9, 1), i, 16_000.0, 14.0, 20.0)).collect();
    let a = answer(&farm(Some(fan()), more), date(2026, 9, 3));
    assert!(a.faults.iter().any(|f| f.contains("heaped")), "{:?}", a.faults);
}

#[test]
fn alarms_come_first_and_never_send_anyone_in() {
    let reading = |day: i8, t: f64, co2: f64, smell| {
        entry(
            date(2026, 9, day).at(9, 0, 0, 0),
            BinReading {
                bin: BinId::from("bin-9"),
                by: ReadBy::Hand,
                points: vec![ReadingPoint {
                    height_m: None,
                    part: Some(BinPart::Top),
                    sensor: None,
                    temperature_c: Some(t),
                    moisture_wb_pct: None,
                }],
                co2_ppm: Some(co2),
                smell: Some(smell),
                seen: None,
            },
        )
    };
    let more = vec![reading(3, 26.0, 500.0, Smell::None), reading(10, 33.0, 1_900.0, Smell::Musty)];
    let a = answer(&farm(Some(fan()), more), date(2026, 9, 10));
    assert!(a.alarms.len() >= 2 && a.alarms[0].urgent, "{:?}", a.alarms);
    assert!(a.what.contains("from outside"), "{}", a.what);
    let all = format!("{a:?}").to_lowercase();
    for bad in ["go in ", "climb", "enter the bin"] {
        assert!(!all.contains(bad), "{bad}");
    }
    assert!(a.presses());
}

#[test]
fn dry_warm_grain_is_cooled_and_cold_grain_left_alone() {
    let mut dry = farm(Some(fan()), vec![]);
    dry.loads.retain(|l| l.is.moisture_wb_pct.is_some_and(|m| m < 15.0));
    let a = answer(&dry, date(2026, 9, 20));
    assert!(
        a.plans.iter().any(|p| p.chosen && p.plan == stook_keep::plan::Plan::CoolByFronts),
        "{:?}",
        a.what
    );
    assert!(a.next.is_empty());
    // The day the front is out is said, and the fan off never gets there sooner.
    let by = |plan: stook_keep::plan::Plan| a.plans.iter().find(|p| p.plan == plan).unwrap();
    let (off, cool) = (by(stook_keep::plan::Plan::Off), by(stook_keep::plan::Plan::CoolByFronts));
    assert!(cool.cool_share > 0.9 && cool.cool_share >= off.cool_share, "{cool:?}");
    assert!(cool.cool_days.unwrap().p50 <= off.cool_days.unwrap().p50);
    assert!(a.why.iter().any(|w| w.contains("cool front is out of the top")), "{:?}", a.why);
    // In January, cooled to freezing by a reading: nothing to do.
    let cold = entry(
        date(2027, 1, 10).at(9, 0, 0, 0),
        BinReading {
            bin: BinId::from("bin-9"),
            by: ReadBy::Cable,
            points: vec![ReadingPoint {
                height_m: None,
                part: Some(BinPart::Whole),
                sensor: None,
                temperature_c: Some(-5.0),
                moisture_wb_pct: None,
            }],
            co2_ppm: None,
            smell: None,
            seen: None,
        },
    );
    let mut later = farm(Some(fan()), vec![cold]);
    later.loads.retain(|l| l.is.moisture_wb_pct.is_some_and(|m| m < 15.0));
    let a = answer(&later, date(2027, 1, 15));
    assert_eq!(a.what, "Bin 9: leave the fan off tonight.");
    assert!(a.readings.due.is_some());
}

#[test]
fn two_fans_give_more_air_than_one_and_draw_twice_the_power_at_most() {
    let push = |count, stand| {
        let fan = BinFan { count, stand, ..fan() };
        answer(&farm(Some(fan), vec![]), date(2026, 9, 3)).fan.push.unwrap()
    };
    let one = push(None, None);
    let beside = push(Some(2), Some(FansStand::SideBySide));
    let behind = push(Some(2), Some(FansStand::OneBehindAnother));
    for two in [beside, behind] {
        assert!(two.cfm_bu > one.cfm_bu && two.cfm_bu < 2.0 * one.cfm_bu, "{one:?} {two:?}");
        assert!(two.pa > one.pa && two.kw <= 2.0 * 11.2 / 0.85 + 0.1, "{two:?}");
    }
    assert_eq!(push(Some(2), None), beside, "side by side unless said");
}

#[test]
fn frozen_wet_grain_is_held_cold_in_early_spring() {
    let at = |d: DateTime, t: f64| {
        entry(
            d,
            BinReading {
                bin: BinId::from("bin-9"),
                by: ReadBy::Cable,
                points: vec![ReadingPoint {
                    height_m: None,
                    part: Some(BinPart::Whole),
                    sensor: None,
                    temperature_c: Some(t),
                    moisture_wb_pct: None,
                }],
                co2_ppm: None,
                smell: None,
                seen: None,
            },
        )
    };
    let a = answer(&farm(Some(fan()), vec![at(date(2027, 3, 10).at(9, 0, 0, 0), -8.0)]), date(2027, 3, 12));
    assert!(a.what.contains("keep the cold in") && a.on.is_empty(), "{}", a.what);
}
