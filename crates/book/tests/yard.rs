//! Bins and loads at the door and in the fold.

mod common;

use common::{entry, may, set_up};
use jiff::Timestamp;
use jiff::civil::date;
use stook_book::payload::{
    Bin, BinFan, BinFloor, BinJob, BinMeasured, FanPoint, FieldPart, GrainSample, Load, LoadFrom, LoadTo,
    SampledAt, SprayPass, SprayPurpose, Weighed, Withdrawn,
};
use stook_book::{Entry, Farm, Payload, validate};
use stook_measure::Reference;

fn bin(id: &str) -> Bin {
    Bin {
        id: id.into(),
        name: id.to_uppercase(),
        diameter_m: 9.1,
        wall_m: 7.3,
        floor: BinFloor::FLAT,
        fan: None,
        job: BinJob::Any,
        crop: None,
        capacity_m3: None,
        cleaned: None,
    }
}

fn load() -> Load {
    let mut l = Load::new(
        LoadFrom::Field("tower".into()),
        LoadTo::Bin("bin-1".into()),
        Weighed::TruckScale,
        Some(16_000.0),
    );
    l.moisture_wb_pct = Some(14.2);
    l
}

fn book() -> Vec<Entry> {
    let mut all = set_up();
    all.push(entry(50, may(1, 8), 0, bin("bin-1")));
    all.push(entry(51, may(1, 8), 0, bin("bin-2")));
    all
}

fn check(payload: impl Into<Payload>) -> Vec<(String, String)> {
    let known = Farm::fold(&book());
    let now: Timestamp = "2026-09-10T15:00:00Z".parse().unwrap();
    match validate(
        &entry(100, date(2026, 8, 20).at(14, 0, 0, 0), 1, payload),
        &known,
        &Reference::shipped(),
        now,
    ) {
        Ok(()) => vec![],
        Err(p) => p.into_iter().map(|p| (p.at, p.sentence)).collect(),
    }
}

fn stopped(payload: impl Into<Payload>, at: &str, words: &str) {
    let problems = check(payload);
    assert!(problems.iter().any(|p| p.0 == at && p.1.contains(words)), "{problems:?}");
}

fn sample() -> GrainSample {
    GrainSample {
        bin: "bin-1".into(),
        taken: SampledAt::Whole,
        probings: Some(12),
        moisture_wb_pct: Some(14.0),
        dried_in_bin: None,
        temperature_c: None,
        test_weight_kg_hl: None,
        dockage_pct: None,
        protein_pct: None,
        protein_basis_pct: None,
        don_ppm: None,
        falling_number_s: None,
        factors: std::collections::BTreeMap::new(),
        grade: None,
        lab: None,
        bag: None,
    }
}

fn level() -> BinMeasured {
    BinMeasured {
        bin: "bin-1".into(),
        depth_m: Some(3.0),
        down_m: None,
        heap: None,
        volume_m3: None,
        test_weight_kg_hl: None,
        crop: None,
        moisture_wb_pct: None,
    }
}

#[test]
fn what_is_right_goes_through() {
    assert_eq!(check(bin("bin-3")), []);
    assert_eq!(check(load()), []);
    assert_eq!(check(sample()), []);
    assert_eq!(check(level()), []);
    assert_eq!(check(BinMeasured { depth_m: None, volume_m3: Some(0.0), ..level() }), []);
}

#[test]
fn what_is_wrong_is_said_beside_its_input() {
    stopped(
        Bin { diameter_m: 30.0, wall_m: 24.0, ..bin("b") },
        "wall_m",
        "Did you mean feet? 24 ft is 7.3 m",
    );
    stopped(Bin { diameter_m: 48.0, ..bin("b") }, "diameter_m", "Did you mean feet?");
    stopped(Bin { capacity_m3: Some(15_000.0), ..bin("b") }, "capacity_m3", "holds about 475 m3");
    let fan = BinFan { curve: vec![FanPoint { pressure_pa: 250.0, air_m3_s: 3.0 }], ..BinFan::default() };
    stopped(Bin { fan: Some(fan), ..bin("b") }, "fan.curve", "two points or more");
    stopped(Load { to: LoadTo::Bin("bin-9".into()), ..load() }, "to_bin", "the bins are BIN-1, BIN-2");
    stopped(Load { from: LoadFrom::Bin("bin-1".into()), ..load() }, "to_bin", "same bin");
    stopped(Load { from: LoadFrom::Field("east".into()), ..load() }, "field", "no field");
    stopped(
        Load { mass_kg: Some(88_000.0), ..load() },
        "mass_kg",
        "Did you mean pounds? 88,000 lb is 39,916 kg",
    );
    stopped(Load { mass_kg: Some(16.4), ..load() }, "mass_kg", "Did you mean tonnes?");
    stopped(Load { volume_m3: Some(20.0), ..load() }, "mass_kg", "once");
    stopped(Load { mass_kg: None, ..load() }, "mass_kg", "once");
    stopped(Load { mass_kg: None, tanks: Some(2.0), ..load() }, "tank_m3", "one tank");
    stopped(Load { moisture_wb_pct: Some(0.142), ..load() }, "moisture_wb_pct", "not 0.145");
    stopped(Load { test_weight_kg_hl: Some(60.0), ..load() }, "test_weight_kg_hl", "pounds a bushel");
    stopped(Load { protein_pct: Some(13.8), ..load() }, "protein_basis_pct", "13.5 % in Canada");
    stopped(Load { dried_to_wb_pct: Some(15.0), ..load() }, "dried_to_wb_pct", "15 % from 14.2 %");
    stopped(Load { emptied: true, ..load() }, "emptied", "out of a bin");
    stopped(
        Load { from: LoadFrom::Fields(vec![FieldPart { field: "tower".into(), share: 0.0 }]), ..load() },
        "field",
        "nothing",
    );
    stopped(GrainSample { moisture_wb_pct: None, ..sample() }, "moisture_wb_pct", "at least one figure");
    stopped(BinMeasured { depth_m: Some(20.0), ..level() }, "depth_m", "Did you mean feet? 20 ft is 6.10 m");
    stopped(BinMeasured { down_m: Some(1.0), ..level() }, "depth_m", "Give one of these");
}

#[test]
fn grain_inside_an_interval_is_stopped_until_somebody_says_why() {
    let pass = SprayPass {
        pre_harvest_days: Some(7),
        ..SprayPass::new("tower".into(), SprayPurpose::PreHarvest, "desiccant")
    };
    let mut all = book();
    all.push(entry(60, date(2026, 8, 16).at(9, 0, 0, 0), 1, pass));
    let farm = Farm::fold(&all);
    let now: Timestamp = "2026-09-10T15:00:00Z".parse().unwrap();
    let look = |l: Load| {
        validate(&entry(100, date(2026, 8, 20).at(14, 0, 0, 0), 2, l), &farm, &Reference::shipped(), now)
    };
    assert_eq!(look(load()).unwrap_err()[0].at, "inside_interval_why");
    assert!(look(Load { inside_interval_why: Some("hail".into()), ..load() }).is_ok());
}

#[test]
fn bins_and_loads_fold() {
    let mut all = book();
    let first = entry(70, date(2026, 8, 20).at(14, 0, 0, 0), 1, load());
    let second = entry(71, date(2026, 8, 20).at(15, 0, 0, 0), 2, Load { mass_kg: Some(15_000.0), ..load() });
    let gone = entry(72, date(2026, 8, 20).at(15, 5, 0, 0), 3, Withdrawn { why: "twice".into() })
        .replacing(first.id);
    let stray = Load { to: LoadTo::Bin("bin-99".into()), ..load() };
    all.extend([first, second, gone, entry(73, date(2026, 8, 20).at(16, 0, 0, 0), 4, stray)]);
    all.push(entry(74, date(2026, 8, 21).at(8, 0, 0, 0), 5, sample()));
    all.push(entry(75, date(2026, 8, 21).at(9, 0, 0, 0), 6, level()));
    let job = Bin { job: BinJob::Mill, ..bin("bin-1") };
    all.push(entry(76, date(2026, 8, 22).at(9, 0, 0, 0), 7, job));
    let farm = Farm::fold(&all);
    assert_eq!(farm.loads.len(), 2);
    assert_eq!(farm.loads_off(&"tower".into()).count(), 2);
    let one = &farm.bins[&"bin-1".into()];
    assert_eq!((one.samples.len(), one.measured.len(), one.set_ups.len()), (1, 1, 2));
    assert_eq!(one.bin().job, BinJob::Mill);
    assert!(farm.warnings.iter().any(|w| w.sentence.contains("bin-99")), "{:?}", farm.warnings);
}

#[test]
fn what_is_kept_comes_back() {
    let mut wide = load();
    wide.from = LoadFrom::Fields(vec![
        FieldPart { field: "tower".into(), share: 0.7 },
        FieldPart { field: "crossing".into(), share: 0.3 },
    ]);
    for payload in [Payload::from(load()), wide.into(), bin("b").into(), sample().into(), level().into()] {
        let data = payload.data().unwrap();
        assert_eq!(Payload::read(payload.kind(), &data).unwrap().unwrap(), payload, "{data}");
    }
    let mill = Load { to: LoadTo::Mill, ..load() };
    assert_eq!(Payload::from(mill).data().unwrap()["to"], "mill");
}
