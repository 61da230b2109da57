//! A field's sheet from the book: what the tests come to, what stands in, the plan, the balance, the drill card.

use jiff::civil::{Date, date};
use stook_book::payload::{
    Crop, CropPlan, Cut, DrillCatch, DrillSetUp, DrillTank, EmergenceSeen, FertilizerApplied,
    FertilizerPlacement, FertilizerPlan, Field, Machine, NutrientRates, Price, ProductUsed, RateTable,
    SampleKind, SeedLot, Seeding, SoilDescription, SoilTest, SoilTestLayer, SoilTestValue, TextureClass,
};
use stook_book::{Entry, Farm, FieldId, Payload};
use stook_inputs::drill_card::{Card, CardAsked, card};
use stook_inputs::report::{Choices, FieldReport, field_report};
use stook_measure::Reference;
use stook_measure::units::{kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_season::ceiling::Ceiling;

fn at(d: Date, payload: impl Into<Payload>) -> Entry {
    Entry::new(d.at(12, 0, 0, 0), "Ada", payload)
}

fn value(what: &str, value: f64, unit: &str, extractant: Option<&str>, basis: Option<&str>) -> SoilTestValue {
    SoilTestValue {
        what: what.into(),
        value,
        unit: unit.into(),
        extractant: extractant.map(Into::into),
        basis: basis.map(Into::into),
    }
}

fn test(sampled: Date, layers: Vec<(f64, f64, Vec<SoilTestValue>)>) -> SoilTest {
    SoilTest {
        field: "a".into(),
        sampled,
        lab: None,
        layers: layers
            .into_iter()
            .map(|(top_cm, bottom_cm, values)| SoilTestLayer { top_cm, bottom_cm, values })
            .collect(),
        sample: Some(SampleKind::Composite),
        number: None,
        zone: None,
        cores: Some(20),
        soil_temp_c: Some(5.0),
        points: vec![],
        text: String::new(),
    }
}

fn plan(year: i16, crop: Crop) -> CropPlan {
    CropPlan {
        field: "a".into(),
        crop_year: year,
        crop,
        cultivar_class: None,
        cultivar: None,
        head_blight: None,
        target_yield_kg_ha: None,
        best_seeding_until: None,
        last_seeding_day: None,
    }
}

fn base() -> Vec<Entry> {
    let d = date(2024, 1, 1);
    vec![
        at(
            d,
            Field {
                id: "a".into(),
                name: "A".into(),
                area_ha: 40.0,
                boundary: None,
                soil: SoilDescription::Class { class: TextureClass::ClayLoam },
                drainage: None,
                cover: None,
                distance_km: None,
                lie: None,
            },
        ),
        at(d, plan(2025, Crop::Canola)),
        at(d, plan(2026, Crop::SpringWheat)),
        at(d, Price { what: "wheat".into(), value: 7.5, unit: "bu".into() }),
        at(d, Price { what: "n".into(), value: 0.65, unit: "lb".into() }),
    ]
}

fn report(entries: &[Entry], on: Date) -> FieldReport {
    let farm = Farm::fold(entries);
    let ceilings = vec![Ceiling {
        field: "a".into(),
        yields_kg_ha: (0..60).map(|i| 2200.0 + 40.0 * f64::from(i)).collect(),
        soil_temp_c: 4.0,
    }];
    field_report(&farm, &Reference::shipped(), &ceilings, &FieldId::from("a"), on, 2026, &Choices::default())
        .unwrap()
}

const ON: Date = date(2026, 1, 15);

/// The card of field "a" for 2026 as it stands on `day`, nothing typed.
fn plain_card(farm: &Farm, day: Date) -> Card {
    card(farm, &Reference::shipped(), &FieldId::from("a"), day, 2026, None, &CardAsked::default()).unwrap()
}

#[test]
fn layers_add_up_and_bases_are_turned() {
    let mut e = base();
    e.push(at(
        date(2025, 10, 20),
        test(
            date(2025, 10, 20),
            vec![
                (
                    0.0,
                    15.24,
                    vec![
                        value("nitrate_n", 10.0, "ppm", None, Some("N")),
                        value("p", 22.913, "ppm", Some("Olsen"), Some("P2O5")),
                        value("k", 0.6, "meq/100 g", None, Some("K")),
                    ],
                ),
                (15.24, 60.96, vec![value("nitrate_n", 8.0, "ppm", None, Some("N"))]),
                (
                    0.0,
                    60.96,
                    vec![
                        value("s", 90.0, "lb/ac", None, Some("SO4")),
                        value("cl", 20.0, "lb/ac", None, None),
                    ],
                ),
            ],
        ),
    ));
    let r = report(&e, ON);
    let used = &r.soil.used;
    // 10 ppm in six inches is 20 lb/ac and 8 ppm in eighteen 48 (the reference page's own checks)
    assert!((kg_ha_to_lb_ac(used.nitrate_kg_ha.unwrap()) - 68.0).abs() < 0.1);
    assert!(used.nitrate_complete && !used.nitrate_stale);
    assert!((used.p_ppm.as_ref().unwrap().0 - 10.0).abs() < 0.01, "P2O5 is turned into P");
    assert!((used.k_ppm.unwrap() - 234.6).abs() < 0.1);
    assert!(
        (kg_ha_to_lb_ac(used.sulphur_kg_ha.unwrap()) - 90.0 * 0.3338).abs() < 0.1,
        "sulphate is turned into sulphur"
    );
    let cl = r.nutrients.iter().find(|n| n.key == "cl").unwrap();
    assert!(
        (kg_ha_to_lb_ac(cl.sufficiency_kg_ha.unwrap()) - 40.0).abs() < 0.1
            && cl.notes[0].contains("88 lb/ac"),
        "{:?}",
        cl.notes
    );
}

#[test]
fn what_is_not_known_stands_in_and_is_said() {
    let r = report(&base(), ON);
    assert!(r.assumed.iter().any(|a| a.starts_with("Nitrate: there is no test")), "{:?}", r.assumed);
    assert!(r.assumed.iter().any(|a| a.contains("P2O5, K2O and S")), "{:?}", r.assumed);
    let mut e = base();
    // a figure without basis or in the extract's unit cannot be used, and says why
    e.push(at(
        date(2025, 10, 20),
        test(
            date(2025, 10, 20),
            vec![(
                0.0,
                15.0,
                vec![
                    value("p", 9.0, "ppm", Some("Olsen"), None),
                    value("nitrate_n", 9.0, "mg/L", None, Some("N")),
                ],
            )],
        ),
    ));
    let r = report(&e, ON);
    let problems: Vec<_> = r.soil.lines.iter().filter_map(|l| l.problem.clone()).collect();
    assert!(problems.iter().any(|p| p.contains("The form is missing")), "{problems:?}");
    assert!(problems.iter().any(|p| p.contains("figure of the extract")), "{problems:?}");
    assert!(r.soil.used.p_ppm.is_none());
}

#[test]
fn old_nitrate_is_not_used_but_old_phosphorus_is() {
    let mut e = base();
    e.push(at(
        date(2024, 10, 20),
        test(
            date(2024, 10, 20),
            vec![
                (0.0, 60.0, vec![value("nitrate_n", 50.0, "lb/ac", None, Some("N"))]),
                (0.0, 15.0, vec![value("p", 8.0, "ppm", Some("Olsen"), Some("P"))]),
            ],
        ),
    ));
    let cut = Cut {
        field: "a".into(),
        finished: None,
        area_ha: None,
        yield_kg_ha: Some(2000.0),
        moisture_wb_pct: None,
        inside_interval_why: None,
        done: true,
    };
    e.push(at(date(2025, 9, 1), cut));
    let r = report(&e, ON);
    assert!(r.soil.used.nitrate_stale);
    assert!(r.nitrate_taken.1.contains("before the last crop"));
    assert!(r.soil.used.p_ppm.is_some());
    assert!(r.soil.warnings.iter().any(|w| w.contains("a crop was taken since")), "{:?}", r.soil.warnings);
    // the canola cut last fall is on the balance
    let last = r.balance.last().unwrap();
    assert_eq!((last.year, last.crop.as_str()), (2025, "canola"));
    assert!(last.removed_kg_ha.n > 60.0 && last.sum_kg_ha.n < 0.0);
}

#[test]
fn methods_are_never_mixed() {
    let of = |method: &str| {
        let mut e = base();
        e.push(at(
            date(2025, 10, 20),
            test(
                date(2025, 10, 20),
                vec![(0.0, 15.0, vec![value("p", 9.0, "ppm", Some(method), Some("P"))])],
            ),
        ));
        let r = report(&e, ON);
        r.nutrients.into_iter().find(|n| n.key == "p2o5").unwrap()
    };
    assert!(of("Olsen").sufficiency_kg_ha.is_some());
    let kelowna = of("modified Kelowna");
    assert!(
        kelowna.sufficiency_kg_ha.is_none()
            && kelowna.notes.iter().any(|n| n.contains("equation is for Olsen"))
    );
    let mehlich = of("Mehlich 3");
    assert!(
        mehlich.sufficiency_kg_ha.is_none()
            && mehlich.notes.iter().any(|n| n.contains("Ask the laboratory for Olsen"))
    );
}

#[test]
fn the_farms_own_table_stands_beside() {
    let mut e = base();
    e.push(at(
        date(2025, 10, 20),
        test(date(2025, 10, 20), vec![(0.0, 15.0, vec![value("p", 9.0, "ppm", Some("Olsen"), Some("P"))])]),
    ));
    let text = "table,crop,nutrient,extractant,unit,from,below,rate_lb_ac,sure,source,note\ng,spring_wheat,P2O5,olsen,ppm,0,10,40,published,g,\ng,spring_wheat,P2O5,olsen,ppm,10,,15,published,g,\n";
    e.push(at(
        date(2025, 12, 1),
        RateTable { name: "our guide".into(), source: "local guide 2025".into(), text: text.into() },
    ));
    let r = report(&e, ON);
    let row = r.nutrients.iter().find(|n| n.key == "p2o5").unwrap();
    let (name, rate) = row.own_table.clone().unwrap().unwrap();
    assert!(name.contains("local guide 2025") && (kg_ha_to_lb_ac(rate) - 40.0).abs() < 1e-9);
}

fn accepted() -> FertilizerPlan {
    let kg = lb_ac_to_kg_ha;
    FertilizerPlan {
        field: "a".into(),
        crop_year: 2026,
        n_kg_ha: kg(80.0),
        p2o5_kg_ha: kg(30.0),
        k2o_kg_ha: kg(10.0),
        s_kg_ha: kg(10.0),
        seed_row: Some(NutrientRates { n_kg_ha: kg(6.0), p2o5_kg_ha: kg(30.0), ..NutrientRates::default() }),
        placement: FertilizerPlacement::SideBand,
        products: vec![],
        target_yield_kg_ha: None,
        manure: None,
        why: None,
    }
}

fn drilled() -> Vec<Entry> {
    let mut e = base();
    let d = date(2025, 11, 1);
    e.push(at(
        d,
        serde_json::from_value::<Machine>(serde_json::json!({
            "id": "drill", "kind": "drill", "name": "drill", "width_m": 15.24, "speed_kmh": 7.2,
            "field_efficiency": 0.7, "hours_per_day": 12.0
        }))
        .unwrap(),
    ));
    let tank = DrillTank::new;
    e.push(at(
        d,
        DrillSetUp {
            machine: "drill".into(),
            row_spacing_cm: 25.4,
            spread_cm: 3.8,
            double_disc: false,
            band: FertilizerPlacement::SideBand,
            tanks: vec![tank("seed", 5.0), tank("starter", 2.5), tank("band", 7.0)],
            refill_min: Some(30.0),
            liquid_m3: None,
            liquid_with_seed: false,
            anhydrous_m3: None,
        },
    ));
    e.push(at(
        d,
        SeedLot {
            id: "bin-3".into(),
            crop: Crop::SpringWheat,
            cultivar: None,
            tkw_g: Some(36.0),
            germination_pct: Some(94.0),
            vigour_pct: None,
            treated: true,
            bin: None,
            fusarium_pct: Some(6.0),
            on_hand_kg: Some(1000.0),
        },
    ));
    e.push(at(date(2026, 1, 10), accepted()));
    e
}

#[test]
fn the_card_closes_on_the_plan() {
    let farm = Farm::fold(&drilled());
    let c = card(
        &farm,
        &Reference::shipped(),
        &FieldId::from("a"),
        date(2026, 4, 20),
        2026,
        Some(9.0),
        &CardAsked::default(),
    )
    .unwrap();
    // the nutrients of the products are those of the plan, whatever comes along
    let mut sum = stook_fertility::Nutrients::NONE;
    for p in &c.products {
        sum += stook_inputs::balance::nutrients_of(&p.key, None, p.kg_ha).unwrap();
    }
    let want = accepted();
    for (got, asked) in
        [(sum.n, want.n_kg_ha), (sum.p2o5, want.p2o5_kg_ha), (sum.k2o, want.k2o_kg_ha), (sum.s, want.s_kg_ha)]
    {
        assert!((got - asked).abs() < 1e-6, "{got} {asked}");
    }
    assert!(c.products.iter().all(|p| p.with_seed == (p.key == "map")));
    let fills = c.fills.as_ref().unwrap();
    let seed = c.seed.as_ref().unwrap();
    assert!((fills.total_kg[0] - seed.total_kg).abs() < 1e-6);
    assert!((fills.fills.iter().map(|f| f.area_ha).sum::<f64>() - 40.0).abs() < 1e-9);
    assert!((seed.short_kg_ha / seed.exact_kg_ha - 1.041).abs() < 5e-4, "the short form is 4 % over");
    assert!(seed.notes.iter().any(|n| n.contains("over 5, find other seed")));
    assert!(seed.notes.iter().any(|n| n.contains("On hand 1.0 t")));
    assert!(seed.working.adds_up(1.0), "{:?}", seed.working);
    assert!(c.refused.is_empty(), "{:?}", c.refused);
    // a week later and colder takes more seed
    let later = card(
        &farm,
        &Reference::shipped(),
        &FieldId::from("a"),
        date(2026, 4, 20),
        2026,
        Some(9.0),
        &CardAsked { weeks_late: Some(2.0), soil_c: Some(3.0), ..CardAsked::default() },
    )
    .unwrap();
    assert!(later.seed.unwrap().exact_kg_ha > seed.exact_kg_ha);
}

#[test]
fn catches_what_went_on_and_the_stand() {
    let mut e = drilled();
    let d = date(2026, 5, 8);
    e.push(at(
        date(2026, 5, 1),
        DrillCatch {
            what: "urea".into(),
            caught_kg: vec![9.0, 11.0],
            width_m: 10.0,
            distance_m: 100.0,
            wanted_kg_ha: 110.0,
            setting: 40.0,
        },
    ));
    e.push(at(
        d,
        Seeding {
            field: "a".into(),
            lot: Some("bin-3".into()),
            finished: None,
            rate_kg_ha: Some(120.0),
            depth_mm: None,
            area_ha: None,
            done: true,
        },
    ));
    let used =
        |product: &str, kg: f64| ProductUsed { product: product.into(), kg, with_seed: false, grade: None };
    e.push(at(
        d,
        FertilizerApplied {
            field: "a".into(),
            crop_year: 2026,
            products: vec![used("map", 40.0 * 65.0), used("urea", 40.0 * 100.0), used("our own brew", 10.0)],
            area_ha: None,
            placement: None,
        },
    ));
    e.push(at(
        date(2026, 5, 24),
        EmergenceSeen { field: "a".into(), plants_per_m2: Some(120.0), bare_pct: None },
    ));
    let farm = Farm::fold(&e);
    let c = plain_card(&farm, date(2026, 6, 1));
    let k = c.catches[0].is.as_ref().unwrap();
    assert!((k.rate_kg_ha - 100.0).abs() < 1e-9 && (k.setting - 44.0).abs() < 1e-9 && k.catch_again);
    let a = c.applied.unwrap();
    assert!(a.said.iter().any(|s| s.contains("our own brew has no grade")), "{:?}", a.said);
    assert!(a.said.iter().any(|s| s.starts_with("N: ") && s.contains("less than planned")), "{:?}", a.said);
    let s = c.stand.unwrap();
    assert!(
        s.said.contains("keeping, patching or reseeding") && s.said.contains("did not come up"),
        "{}",
        s.said
    );
}

#[test]
fn what_is_missing_for_a_card_is_said() {
    let farm = Farm::fold(&base());
    let c = plain_card(&farm, date(2026, 4, 20));
    assert!(c.seed.unwrap_err().contains("no lot of this crop's seed"));
    assert!(c.fills.unwrap_err().contains("drill's tanks"));
    assert!(c.products_from.contains("No plan is accepted"));
    let mut e = drilled();
    // far too much urea beside the seed, written past the page
    let mut wrong = accepted();
    wrong.placement = FertilizerPlacement::SeedRow;
    e.push(at(date(2026, 2, 1), wrong));
    let c = card(
        &Farm::fold(&e),
        &Reference::shipped(),
        &FieldId::from("a"),
        date(2026, 4, 20),
        2026,
        None,
        &CardAsked::default(),
    )
    .unwrap();
    assert!(c.refused.iter().any(|r| r.contains("side or mid-row band")), "{:?}", c.refused);
}
