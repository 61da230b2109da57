//! The door: what is stopped, and what it says beside which input.

mod common;

use common::{entry, farm, field, may, note, plan, rain, seeding, set_up};
use jiff::Timestamp;
use jiff::civil::date;
use serde_json::json;
use stook_book::payload::{
    CropStage, Cut, KernelMoisture, LocalNumber, Machine, MachineKind, MoistureMethod, SeedLot,
    SoilDescription, SoilTest, SprayPass, SprayPurpose, StageSeen, Withdrawn,
};
use stook_book::{Entry, Farm, Payload, validate};
use stook_measure::Reference;

fn now() -> Timestamp {
    "2026-09-10T15:00:00Z".parse().unwrap()
}

fn check(e: &Entry) -> Vec<(String, String)> {
    let known = Farm::fold(&set_up());
    match validate(e, &known, &Reference::shipped(), now()) {
        Ok(()) => vec![],
        Err(problems) => problems.into_iter().map(|p| (p.at, p.sentence)).collect(),
    }
}

fn at(payload: impl Into<Payload>) -> Vec<(String, String)> {
    check(&entry(100, may(20, 8), 1, payload))
}

/// One problem, at this input, with these words in its sentence.
fn stopped(payload: impl Into<Payload>, input: &str, words: &str) {
    let problems = at(payload);
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert_eq!(problems[0].0, input, "{problems:?}");
    assert!(problems[0].1.contains(words), "{problems:?}");
}

fn cut(day: i8) -> Entry {
    let cut = Cut {
        field: "tower".into(),
        finished: None,
        area_ha: None,
        yield_kg_ha: None,
        moisture_wb_pct: None,
        inside_interval_why: None,
        done: true,
    };
    entry(101, date(2026, 8, day).at(13, 0, 0, 0), 1, cut)
}

#[test]
fn what_is_right_goes_through() {
    for e in set_up() {
        assert_eq!(check(&e), [], "{e:?}");
    }
    assert_eq!(at(rain(25.0)), []);
    assert_eq!(at(seeding("tower", true)), []);
    assert_eq!(at(note("geese on the slough")), []);
}

#[test]
fn units_mixed_up_are_named() {
    stopped(rain(635.0), "rain_mm", "635 mm would be 25.0 in");
    let mut s = seeding("tower", true);
    s.depth_mm = Some(1.5);
    stopped(s, "depth_mm", "Did you mean inches? 1.5 in is 38 mm");
    let mut s = seeding("tower", true);
    s.area_ha = Some(160.0);
    stopped(s, "area_ha", "Did you mean acres? 160 ac is 64.7 ha");
    let mut f = farm();
    f.place.elevation_m = 5_000.0;
    stopped(f, "place.elevation_m", "Did you mean feet?");
    let drill = Machine {
        id: "drill".into(),
        kind: MachineKind::Drill,
        name: "Drill".into(),
        width_m: 50.0,
        speed_kmh: 8.0,
        field_efficiency: None,
        hours_per_day: 14.0,
        holds_kg: None,
        moves_kg_h: None,
        unloads_going: None,
        tank_l: None,
    };
    stopped(drill.clone(), "width_m", "50 ft is 15.2 m");
    stopped(Machine { width_m: 15.2, field_efficiency: Some(65.0), ..drill }, "field_efficiency", "0.65");
    let mut p = plan("tower");
    p.target_yield_kg_ha = Some(55.0);
    stopped(p, "target_yield_kg_ha", "bushels");
    let moisture = |moisture_wb_pct| KernelMoisture {
        field: "tower".into(),
        moisture_wb_pct,
        method: MoistureMethod::Meter,
    };
    stopped(moisture(0.145), "moisture_wb_pct", "14.5 %, not 0.145");
    assert_eq!(at(moisture(14.5)), []);
    stopped(StageSeen { field: "tower".into(), stage: CropStage::Leaves(31.0) }, "stage", "Zadoks");
    let lot = |germination_pct| SeedLot {
        id: "lot-4".into(),
        crop: stook_book::payload::Crop::SpringWheat,
        cultivar: None,
        tkw_g: Some(36.0),
        germination_pct,
        vigour_pct: None,
        treated: true,
        bin: None,
        fusarium_pct: None,
        on_hand_kg: None,
    };
    stopped(lot(Some(0.94)), "germination_pct", "94 %, not 0.94");
    assert_eq!(at(lot(Some(94.0))), []);
}

#[test]
fn places_and_outlines() {
    let mut f = farm();
    (f.place.lat_deg, f.place.lon_deg) = (-104.6, 50.4);
    stopped(f, "place.lat_deg", "swapped");
    let mut f = farm();
    f.place.time_zone = "Saskatchewan time".into();
    stopped(f, "place.time_zone", "America/Regina");
    let outline = |lon: f64, lat: f64| {
        serde_json::from_value(json!({"type": "Polygon", "coordinates": [[
            [lon, lat], [lon + 0.0112574, lat], [lon + 0.0112574, lat + 0.007229], [lon, lat + 0.007229], [lon, lat]
        ]]}))
        .unwrap()
    };
    let mut f = field("new", "New", 64.0);
    f.boundary = Some(outline(-104.0, 50.0));
    assert_eq!(at(f.clone()), []);
    f.area_ha = 160.0;
    stopped(f.clone(), "area_ha", "Did you mean acres?");
    f.area_ha = 64.0;
    f.boundary = Some(outline(-94.0, 50.0));
    stopped(f, "boundary", "from the yard");
    stopped(field("new", "tower ", 10.0), "name", "already a field");
    stopped(field("New field", "New", 10.0), "id", "small letters");
}

#[test]
fn soil_layers_follow_one_another() {
    let layers = |json: serde_json::Value| {
        let mut f = field("tower", "Tower", 64.7);
        f.soil = serde_json::from_value(json).unwrap();
        f
    };
    let good = json!({"by": "layers", "layers": [
        {"top_cm": 0.0, "bottom_cm": 15.0, "sand_pct": 30.0, "clay_pct": 35.0, "organic_matter_pct": 4.5},
        {"top_cm": 15.0, "bottom_cm": 90.0, "sand_pct": 30.0, "clay_pct": 40.0}]});
    assert_eq!(at(layers(good.clone())), []);
    let mut gap = good.clone();
    gap["layers"][1]["top_cm"] = json!(30.0);
    stopped(layers(gap), "soil.layers.1.top_cm", "begin at 15 cm");
    let mut over = good;
    over["layers"][0]["sand_pct"] = json!(70.0);
    stopped(layers(over), "soil.layers.0.clay_pct", "100 %");
    let mut none = field("tower", "Tower", 64.7);
    none.soil = SoilDescription::NotKnown;
    assert_eq!(at(none), []);
}

#[test]
fn soil_tests_name_the_value() {
    let test = |json: serde_json::Value| serde_json::from_value::<SoilTest>(json).unwrap();
    let good = json!({"field": "tower", "sampled": "2025-10-20", "layers": [{"top_cm": 0.0, "bottom_cm": 15.0, "values": [
        {"what": "nitrate_n", "value": 12.0, "unit": "ppm"},
        {"what": "p", "value": 9.0, "unit": "ppm", "extractant": "Olsen", "basis": "P"},
        {"what": "ph", "value": 7.8, "unit": "1"}]}]});
    assert_eq!(at(test(good.clone())), []);
    let mut bad = good.clone();
    bad["layers"][0]["values"][2]["value"] = json!(78.0);
    stopped(test(bad), "layers.0.values.2.value", "3 to 11");
    let mut bad = good.clone();
    bad["layers"][0]["values"][1]["unit"] = json!(" ");
    stopped(test(bad), "layers.0.values.1.unit", "unit as on the sheet");
    let mut bad = good;
    bad["sampled"] = json!("2027-10-20");
    stopped(test(bad), "sampled", "future");
}

#[test]
fn dates_fields_and_writers() {
    stopped(seeding("towr", true), "field", "the fields are Long 90, Tower");
    // The farm's clock is six hours behind: the grace of a day is counted on it.
    let mut e = entry(100, date(2026, 9, 11).at(9, 0, 0, 0), 1, rain(1.0));
    assert_eq!(check(&e), [], "a day's grace");
    e.happened = date(2026, 9, 11).at(9, 1, 0, 0);
    assert!(check(&e)[0].1.contains("future"));
    e.happened = date(1926, 5, 5).at(0, 0, 0, 0);
    assert!(check(&e)[0].1.contains("Check the year"));
    e.happened = may(5, 5);
    e.who = " ".into();
    assert_eq!(check(&e)[0].0, "who");
    let mut s = seeding("tower", true);
    s.finished = Some(may(19, 8));
    stopped(s, "finished", "before it began");
    stopped(Withdrawn { why: "twice".into() }, "replaces", "which entry");
    stopped(note("  "), "text", "Write the note");
    let unknown: Entry = serde_json::from_value(json!({
        "id": "01900000-0000-7000-8000-000000000009", "happened": "2026-05-05T06:00:00",
        "written": "2026-01-01T00:01:00Z", "who": "Ada", "kind": "rainn", "data": {}
    }))
    .unwrap();
    assert_eq!(check(&unknown)[0].0, "kind");
}

#[test]
fn own_numbers_stay_in_their_range() {
    let own = |name: &str, value| LocalNumber { name: name.into(), value, why: "our own log".into() };
    stopped(own("no.such", 1.0), "name", "no coefficient named");
    let shipped = Reference::shipped();
    if let Some(some) = shipped.all().find(|c| c.high.is_some()) {
        stopped(own(&some.name, some.high.unwrap() + 1.0), "value", "must be between");
        assert_eq!(at(own(&some.name, some.value)), []);
    }
}

#[test]
fn a_cut_inside_the_interval_is_stopped_unless_it_is_explained() {
    let pass = SprayPass {
        pre_harvest_days: Some(7),
        re_entry_hours: Some(12),
        ..SprayPass::new("tower".into(), SprayPurpose::PreHarvest, "Product A")
    };
    let mut entries = set_up();
    entries.push(entry(90, date(2026, 8, 10).at(9, 0, 0, 0), 1, pass));
    let farm = Farm::fold(&entries);
    let reference = Reference::shipped();
    let problems = validate(&cut(16), &farm, &reference, now()).unwrap_err();
    assert_eq!(problems[0].at, "inside_interval_why");
    assert!(
        problems[0].sentence.contains("Product A") && problems[0].sentence.contains("2026-08-17"),
        "{problems:?}"
    );
    assert_eq!(validate(&cut(17), &farm, &reference, now()), Ok(()));
    let mut explained = cut(16);
    if let stook_book::Body::Known(Payload::Cut(c)) = &mut explained.body {
        c.inside_interval_why = Some("cut a strip for the fire guard, kept apart".into());
    }
    assert_eq!(validate(&explained, &farm, &reference, now()), Ok(()));
}

#[test]
fn nobody_enters_inside_the_re_entry_interval_without_a_named_reason() {
    use stook_book::payload::{EnteredEarly, StageSeen};
    let at = |h, m| date(2026, 6, 28).at(h, m, 0, 0);
    let pass = SprayPass {
        finished: Some(at(19, 0)),
        re_entry_hours: Some(24),
        ..SprayPass::new("tower".into(), SprayPurpose::Fungicide, "Product A")
    };
    let sprayed = entry(90, at(17, 0), 1, pass.clone());
    let mut entries = set_up();
    entries.push(sprayed.clone());
    let farm = Farm::fold(&entries);
    let reference = Reference::shipped();
    let walk = |when, n| {
        let seen = StageSeen { field: "tower".into(), stage: CropStage::Words("flowering".into()) };
        entry(n, when, 2, seen)
    };
    let ask = |farm: &Farm, e: &stook_book::Entry| validate(e, farm, &reference, now());
    let problems = ask(&farm, &walk(date(2026, 6, 29).at(18, 59, 0, 0), 91)).unwrap_err();
    // Whoever counts insects, heads or hail damage has walked in too.
    let inside = date(2026, 6, 29).at(8, 0, 0, 0);
    for (kind, data) in [
        ("insects_seen", r#"{"field":"tower","insect":"aphid","count":4,"unit":"per_stem"}"#),
        ("yield_count", r#"{"field":"tower","heads_per_m2":420,"kernels_per_head":30}"#),
        ("damage_seen", r#"{"field":"tower","cause":"hail"}"#),
    ] {
        let mut json = serde_json::Deserializer::from_str(data);
        let payload = Payload::read(kind, &mut json).expect("a known kind").expect("readable");
        let stopped = ask(&farm, &entry(101, inside, 2, payload)).unwrap_err();
        assert!(
            stopped.iter().any(|p| p.at == "field" && p.sentence.contains("nobody may enter")),
            "{kind}: {stopped:?}"
        );
    }
    assert_eq!(problems[0].at, "field");
    assert!(problems[0].sentence.contains("19:00 on 2026-06-29"), "{problems:?}");
    // Before the pass, and when the interval is over, the field is open.
    assert_eq!(ask(&farm, &walk(at(9, 0), 92)), Ok(()));
    assert_eq!(ask(&farm, &walk(date(2026, 6, 29).at(19, 0, 0, 0), 93)), Ok(()));
    // The same tank goes on; another product waits; a correction of the pass itself does not wait for itself.
    assert_eq!(ask(&farm, &entry(94, at(19, 30), 2, SprayPass { finished: None, ..pass.clone() })), Ok(()));
    let other = SprayPass { product: "Product B".into(), finished: None, ..pass };
    assert_eq!(ask(&farm, &entry(95, at(20, 0), 2, other.clone())).unwrap_err()[0].at, "field");
    assert_eq!(ask(&farm, &entry(96, at(17, 30), 2, other).replacing(sprayed.id)), Ok(()));

    let early = |why: &str| EnteredEarly {
        field: "tower".into(),
        why: why.into(),
        protection: "coverall, gloves, as the label asks".into(),
    };
    let reason = entry(97, at(20, 0), 3, early("a heifer was in the crop"));
    assert_eq!(ask(&farm, &reason), Ok(()));
    assert_eq!(ask(&farm, &entry(98, at(20, 0), 3, early(" "))).unwrap_err()[0].at, "why");
    let mut nameless = reason.clone();
    nameless.who = "me".into();
    assert_eq!(ask(&farm, &nameless).unwrap_err()[0].at, "who");
    let idle = entry(99, at(9, 0), 3, early("nothing was running"));
    assert_eq!(ask(&farm, &idle).unwrap_err()[0].at, "happened");
    entries.push(reason);
    assert_eq!(ask(&Farm::fold(&entries), &walk(at(20, 5), 100)), Ok(()));
}

#[test]
fn a_field_inside_its_interval_is_neither_planned_nor_let_go_for_cutting() {
    use stook_book::payload::{Answer, DecisionAnswer, GoNoGo, Operation};
    let pass = SprayPass {
        pre_harvest_days: Some(36),
        ..SprayPass::new("tower".into(), SprayPurpose::Fungicide, "Product A")
    };
    let mut entries = set_up();
    entries.push(entry(90, date(2026, 7, 10).at(9, 0, 0, 0), 1, pass));
    let farm = Farm::fold(&entries);
    let reference = Reference::shipped();
    let go = |go, operation| GoNoGo { field: "tower".into(), operation, go, reason: None };
    let yes = DecisionAnswer {
        decision: "cut/tower/2026".into(),
        answer: Answer::Accepted,
        reason: None,
        field: Some("tower".into()),
    };
    let on = date(2026, 8, 14).at(9, 0, 0, 0);
    let ask = |when, payload: Payload| validate(&entry(91, when, 2, payload), &farm, &reference, now());
    assert_eq!(ask(on, go(true, Operation::Cut).into()).unwrap_err()[0].at, "go");
    assert_eq!(ask(on, go(false, Operation::Cut).into()), Ok(()));
    assert_eq!(ask(on, go(true, Operation::Haul).into()), Ok(()));
    assert_eq!(ask(on, yes.clone().into()).unwrap_err()[0].at, "answer");
    let after = date(2026, 8, 15).at(9, 0, 0, 0);
    assert_eq!(ask(after, go(true, Operation::Cut).into()), Ok(()));
    assert_eq!(ask(after, yes.into()), Ok(()));
    // A pass after the cut holds nothing up.
    assert_eq!(validate(&cut(1), &Farm::fold(&entries), &reference, now()).unwrap_err().len(), 1);
    let late = SprayPass {
        pre_harvest_days: Some(7),
        ..SprayPass::new("tower".into(), SprayPurpose::Stubble, "Product C")
    };
    let mut entries = set_up();
    entries.push(entry(92, date(2026, 8, 20).at(9, 0, 0, 0), 1, late));
    assert_eq!(validate(&cut(19), &Farm::fold(&entries), &reference, now()), Ok(()));
}

#[test]
fn a_pass_keeps_to_the_longest_wait_of_the_labels_in_its_tank() {
    use stook_book::payload::{SprayProduct, TankPart};
    let product = |id: &str, days, hours| SprayProduct {
        pre_harvest_days: days,
        re_entry_hours: hours,
        ..serde_json::from_value(serde_json::json!({"id": id, "name": id, "purpose": "herbicide"})).unwrap()
    };
    let mut entries = set_up();
    let on = date(2026, 6, 1).at(9, 0, 0, 0);
    entries.push(entry(90, on, 1, product("a", Some(60), Some(12))));
    entries.push(entry(91, on, 1, product("b", Some(30), Some(24))));
    let farm = Farm::fold(&entries);
    let pass = |days, hours| SprayPass {
        product_id: Some("a".into()),
        mix: vec![TankPart { product: "b".into(), product_id: Some("b".into()), rate: None }],
        pre_harvest_days: days,
        re_entry_hours: hours,
        ..SprayPass::new("tower".into(), SprayPurpose::Herbicide, "a")
    };
    let ask = |p: SprayPass| validate(&entry(92, on, 2, p), &farm, &Reference::shipped(), now());
    assert_eq!(ask(pass(Some(60), Some(24))), Ok(()));
    let both: Vec<String> = ask(pass(None, Some(12))).unwrap_err().into_iter().map(|p| p.at).collect();
    assert_eq!(both, ["pre_harvest_days", "re_entry_hours"]);
    let unknown = SprayPass { product_id: Some("c".into()), ..pass(Some(60), Some(24)) };
    assert_eq!(ask(unknown).unwrap_err()[0].at, "product_id");

    let of = |p: SprayProduct| {
        validate(&entry(93, on, 2, p), &farm, &Reference::shipped(), now()).err().map(|e| e[0].at.clone())
    };
    let good = product("c", Some(60), Some(12));
    assert_eq!(of(good.clone()), None);
    assert_eq!(of(SprayProduct { rate: Some(0.5), ..good.clone() }).as_deref(), Some("rate_unit"));
    let rate = |rate, unit| SprayProduct { rate: Some(rate), rate_unit: Some(unit), ..good.clone() };
    assert_eq!(of(rate(500.0, stook_book::payload::SprayRateUnit::LAc)).as_deref(), Some("rate"));
    assert_eq!(of(rate(500.0, stook_book::payload::SprayRateUnit::MlAc)), None);
    let turned = SprayProduct { leaf_from: Some(6.0), leaf_to: Some(2.0), ..good.clone() };
    assert_eq!(of(turned).as_deref(), Some("leaf_to"));
    let fahrenheit = SprayProduct { temp_high_c: Some(82.0), ..good };
    assert_eq!(of(fahrenheit).as_deref(), Some("temp_high_c"));
}
