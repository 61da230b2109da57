//! A field's money by hand: bills shared by area, fertilizer by nutrients, what is not known asked for, fed grain at its
//! worth from the plan, and the year before where the coming one is silent.

use jiff::civil::{DateTime, date};
use stook_barn::{Facts, plan};
use stook_book::payload::{
    Bin, BinFloor, BinJob, Cost, CostKind, Crop, CropPlan, FertilizerApplied, Field, GroupKind, HerdGroup,
    Load, LoadFrom, LoadTo, Machine, MachineKind, MachineValue, Price, ProductUsed, Seeding, SoilDescription,
    SprayPass, SprayPurpose, Weighed,
};
use stook_book::{Entry, Farm, Payload, validate};
use stook_measure::Reference;
use stook_money::said::{How, Part};
use stook_money::uses::Use;
use stook_money::{FieldMoney, Money, answer};

fn entry(at: DateTime, p: impl Into<Payload>) -> Entry {
    Entry::new(at, "Ada", p)
}

fn cost(kind: CostKind, year: i16) -> Cost {
    Cost { kind, what: None, crop_year: year, field: None, crop: None, per_ha: None, amount: None, due: None }
}

fn story() -> Vec<Entry> {
    let start = date(2024, 7, 1).at(8, 0, 0, 0);
    let mut all = Vec::new();
    for (f, area_ha, crop) in [("east", 60.0, Crop::SpringWheat), ("hill", 40.0, Crop::Barley)] {
        all.push(entry(
            start,
            Field {
                id: f.into(),
                name: f.into(),
                area_ha,
                boundary: None,
                soil: SoilDescription::NotKnown,
                drainage: None,
                cover: None,
                distance_km: None,
                lie: None,
            },
        ));
        for crop_year in [2025, 2026] {
            all.push(entry(
                start,
                CropPlan {
                    field: f.into(),
                    crop_year,
                    crop: crop.clone(),
                    cultivar_class: None,
                    cultivar: None,
                    target_yield_kg_ha: None,
                    best_seeding_until: None,
                    head_blight: None,
                    last_seeding_day: None,
                },
            ));
        }
    }
    for b in ["bin-1", "bin-2"] {
        all.push(entry(
            start,
            Bin {
                id: b.into(),
                name: b.into(),
                diameter_m: 9.0,
                wall_m: 7.0,
                floor: BinFloor::FLAT,
                fan: None,
                job: BinJob::Any,
                crop: None,
                capacity_m3: None,
                cleaned: None,
            },
        ));
    }
    for (field, bin, n) in [("east", "bin-1", 10), ("hill", "bin-2", 8)] {
        for k in 0..n {
            let mut l = Load::new(
                LoadFrom::Field(field.into()),
                LoadTo::Bin(bin.into()),
                Weighed::TruckScale,
                Some(18_000.0),
            );
            l.moisture_wb_pct = Some(14.5);
            l.protein_pct = Some(13.0);
            l.protein_basis_pct = Some(13.5);
            all.push(entry(date(2025, 8, 20).at(9 + k, 0, 0, 0), l));
        }
    }
    // A tenth of the wheat to the mill.
    all.push(entry(
        date(2025, 12, 20).at(9, 0, 0, 0),
        Load::new(LoadFrom::Bin("bin-1".into()), LoadTo::Mill, Weighed::CartScale, Some(18_000.0)),
    ));
    all
}

fn money(more: Vec<Entry>, year: i16) -> Money {
    let mut all = story();
    all.extend(more);
    let farm = Farm::fold(&all);
    assert!(farm.warnings.is_empty(), "{:?}", farm.warnings);
    let facts = Facts::new(&farm, date(2026, 1, 15));
    let whole = plan::answer(&facts).unwrap();
    answer(&facts, Some(&whole), &|_| None, Some(year))
}

fn field<'a>(m: &'a Money, id: &str) -> &'a FieldMoney {
    m.fields.iter().find(|f| f.field.as_str() == id).unwrap()
}

fn of(f: &FieldMoney, part: Part) -> f64 {
    f.lines.iter().filter(|l| l.part == part).map(|l| l.per_ha).sum()
}

const WINTER: DateTime = date(2025, 12, 28).at(20, 0, 0, 0);

#[test]
fn nothing_written_is_nothing_guessed() {
    let m = money(Vec::new(), 2025);
    let east = field(&m, "east");
    // Only the months in the bin, at a price of ours that is named.
    assert!(
        east.lines.iter().all(|l| l.part == Part::Storage && matches!(l.how, How::OurPrice(_))),
        "{:?}",
        east.lines
    );
    for word in ["seed", "fertilizer", "sprays", "land", "drill", "combine"] {
        assert!(east.asked.iter().any(|a| a.0.contains(word)), "{word}: {:?}", east.asked);
    }
    assert!(m.asked.iter().any(|a| a.form == "cost" && a.fields.len() == 2));
}

#[test]
fn bills_lie_on_their_fields_by_area() {
    let m = money(
        vec![
            entry(WINTER, Cost { amount: Some(10_000.0), ..cost(CostKind::Overhead, 2025) }),
            entry(
                WINTER,
                Cost { crop: Some(Crop::Barley), amount: Some(2_000.0), ..cost(CostKind::Seed, 2025) },
            ),
            entry(
                WINTER,
                Cost { field: Some("east".into()), per_ha: Some(150.0), ..cost(CostKind::Land, 2025) },
            ),
            entry(WINTER, Cost { amount: Some(9_000.0), ..cost(CostKind::Living, 2025) }),
        ],
        2025,
    );
    let (east, hill) = (field(&m, "east"), field(&m, "hill"));
    assert!(
        (of(east, Part::Overhead) - 100.0).abs() < 1e-9 && (of(hill, Part::Overhead) - 100.0).abs() < 1e-9
    );
    assert!((of(hill, Part::Seed) - 50.0).abs() < 1e-9 && of(east, Part::Seed) == 0.0);
    assert!((of(east, Part::Land) - 150.0).abs() < 1e-9);
    assert!(
        !east.asked.iter().any(|a| a.0.starts_with("land"))
            && hill.asked.iter().any(|a| a.0.starts_with("land"))
    );
    // Living is not carried by the fields; the sum of the fields is all that was laid on them.
    let laid: f64 = m.fields.iter().map(|f| (f.cost_ha - of(f, Part::Storage)) * f.area_ha).sum();
    assert!((laid - (10_000.0 + 2_000.0 + 150.0 * 60.0)).abs() < 1e-6, "{laid}");
}

#[test]
fn what_was_done_is_priced_by_the_farms_own_prices() {
    let m = money(
        vec![
            entry(
                date(2025, 5, 4).at(9, 0, 0, 0),
                Seeding {
                    field: "east".into(),
                    lot: None,
                    finished: None,
                    rate_kg_ha: Some(120.0),
                    depth_mm: None,
                    area_ha: None,
                    done: true,
                },
            ),
            entry(WINTER, Price { what: "seed".into(), value: 500.0, unit: "t".into() }),
            entry(WINTER, Price { what: "urea".into(), value: 700.0, unit: "t".into() }),
            entry(WINTER, Price { what: "herbicide_pass".into(), value: 60.0, unit: "ha".into() }),
            entry(
                date(2025, 5, 4).at(21, 0, 0, 0),
                FertilizerApplied {
                    field: "east".into(),
                    crop_year: 2025,
                    products: vec![ProductUsed {
                        product: "urea".into(),
                        kg: 9_000.0,
                        with_seed: false,
                        grade: None,
                    }],
                    area_ha: None,
                    placement: None,
                },
            ),
            entry(
                date(2025, 6, 8).at(9, 0, 0, 0),
                SprayPass {
                    area_ha: Some(30.0),
                    ..SprayPass::new("east".into(), SprayPurpose::Herbicide, "x")
                },
            ),
        ],
        2025,
    );
    let east = field(&m, "east");
    assert!((of(east, Part::Seed) - 60.0).abs() < 1e-9);
    assert!((of(east, Part::Fertilizer) - 105.0).abs() < 1e-9);
    assert!((of(east, Part::Spray) - 30.0).abs() < 1e-9, "half the field");
    assert!(east.lines.iter().filter(|l| l.part != Part::Storage).all(|l| l.how == How::YourPrice));
}

#[test]
fn a_machine_by_its_factors_and_the_working_adds_up() {
    let machine = |id: &str, kind, width_m: f64| Machine {
        id: id.into(),
        kind,
        name: id.into(),
        width_m,
        speed_kmh: 7.0,
        field_efficiency: Some(0.7),
        hours_per_day: 10.0,
        holds_kg: None,
        moves_kg_h: None,
        unloads_going: None,
        tank_l: None,
    };
    let start = date(2025, 1, 5).at(8, 0, 0, 0);
    let m = money(
        vec![
            entry(start, machine("combine", MachineKind::Combine, 12.0)),
            entry(
                WINTER,
                MachineValue {
                    machine: "combine".into(),
                    new_price: 800_000.0,
                    built: 2020,
                    hours_a_year: Some(200.0),
                    power_kw: None,
                    fuel_l_h: Some(60.0),
                    repairs_a_year: Some(8_000.0),
                    tractor_new_price: None,
                    tractor_built: None,
                    tractor_hours_a_year: None,
                },
            ),
            entry(WINTER, Price { what: "diesel".into(), value: 1.0, unit: "l".into() }),
            entry(WINTER, Price { what: "wage".into(), value: 30.0, unit: "h".into() }),
        ],
        2025,
    );
    let east = field(&m, "east");
    let line = east.lines.iter().find(|l| l.part == Part::Machines).unwrap();
    // By hand: worth (1.1318 - 0.1654 root n - 0.0079 root 200)^2 from 5 to 6 years.
    let share = |n: f64| (1.1318 - 0.1654 * n.sqrt() - 0.0079 * 200f64.sqrt()).powi(2);
    let own = (800_000.0 * (share(5.0) - share(6.0))
        + 0.04 * 800_000.0 * (share(5.0) + share(6.0)) / 2.0
        + 8_000.0
        + 8_000.0)
        / 200.0;
    let an_hour = own + 60.0 * 1.15 + 1.2 * 30.0;
    let rate = 12.0 * 7.0 * 0.7 / 10.0;
    assert!((line.per_ha - an_hour / rate).abs() < 1e-6, "{} {}", line.per_ha, an_hour / rate);
    assert_eq!(line.how, How::Reckoned);
    assert!(line.working.as_ref().unwrap().adds_up(0.05));
    assert!(east.asked.iter().any(|a| a.0.contains("drill")), "the drill is still asked for");
}

#[test]
fn uses_close_and_fed_wheat_is_at_its_worth_in_the_trough() {
    let pigs = HerdGroup {
        id: "pen".into(),
        name: "pen".into(),
        kind: GroupKind::Growing,
        head: 200,
        mean_kg: Some(40.0),
        sex: None,
        sold_at_kg: None,
        feed_bin: None,
        bedded: false,
    };
    let m = money(
        vec![
            entry(date(2026, 1, 10).at(8, 0, 0, 0), pigs),
            entry(WINTER, Price { what: "wheat".into(), value: 275.0, unit: "t".into() }),
        ],
        2025,
    );
    let east = field(&m, "east");
    let all: f64 = east.uses.iter().map(|u| u.tonnes).sum();
    assert!((all - 180.0).abs() < 0.1, "{all}");
    let fed = east.uses.iter().find(|u| u.to == Use::Fed).unwrap();
    assert!((fed.tonnes - 18.0).abs() < 0.1 && fed.by.contains("joint plan"), "{fed:?}");
    let value = east.uses.iter().map(|u| u.tonnes * u.worth_t.unwrap()).sum::<f64>();
    assert!((east.price_t.unwrap() - value / all).abs() < 1e-9);
    assert!((east.margin_ha.unwrap() - (east.value_ha.unwrap() - east.cost_ha)).abs() < 1e-9);
    assert!(east.working.adds_up(1.0), "{:?}", east.working);
    let by_use: f64 = m.uses.iter().filter(|u| u.crop == Crop::SpringWheat).map(|u| u.margin).sum();
    assert!((by_use - (value - all * east.break_even_t.unwrap())).abs() < 1.0);
}

#[test]
fn the_coming_year_takes_what_is_not_yet_known_from_the_last_and_says_so() {
    let m = money(
        vec![
            entry(
                WINTER,
                Cost { per_ha: Some(64.0), crop: Some(Crop::SpringWheat), ..cost(CostKind::Seed, 2025) },
            ),
            entry(WINTER, Cost { per_ha: Some(150.0), ..cost(CostKind::Land, 2025) }),
            entry(WINTER, Cost { per_ha: Some(155.0), ..cost(CostKind::Land, 2026) }),
        ],
        2026,
    );
    let east = field(&m, "east");
    let seed = east.lines.iter().find(|l| l.part == Part::Seed).unwrap();
    assert_eq!((seed.per_ha, &seed.how), (64.0, &How::AsIn(2025)));
    let land = east.lines.iter().find(|l| l.part == Part::Land).unwrap();
    assert_eq!((land.per_ha, &land.how), (155.0, &How::Bill));
    assert!(
        field(&m, "hill").asked.iter().any(|a| a.0.contains("barley seed")),
        "another crop's seed says nothing of barley"
    );
    // Looked for: the farm's own year.
    assert!((east.yield_kg_ha.unwrap().p50 - east.usual_kg_ha.unwrap()).abs() < 1e-6);
}

#[test]
fn wrong_input_is_stopped_in_a_sentence() {
    let farm = Farm::fold(&story());
    let now: jiff::Timestamp = "2026-01-15T12:00:00Z".parse().unwrap();
    let stop = |p: Payload| {
        validate(&entry(date(2026, 1, 14).at(9, 0, 0, 0), p), &farm, &Reference::shipped(), now)
            .unwrap_err()
            .remove(0)
            .sentence
    };
    assert!(stop(cost(CostKind::Land, 2026).into()).contains("Give the money"));
    assert!(
        stop(Cost { per_ha: Some(3.0), amount: Some(2.0), ..cost(CostKind::Land, 2026) }.into())
            .contains("not both")
    );
    assert!(stop(Cost { amount: Some(5.0), ..cost(CostKind::Land, 1926) }.into()).contains("far from"));
    assert!(
        stop(Cost { amount: Some(5.0), field: Some("x".into()), ..cost(CostKind::Land, 2026) }.into())
            .contains("no field")
    );
}
