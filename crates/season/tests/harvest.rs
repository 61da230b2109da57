//! What must hold of the harvest answers, whatever the weather.

mod common;

use jiff::civil::date;
use stook_book::payload::{LossMeasure, PanTest, Seeding};
use stook_book::{Entry, Farm, FieldId, Payload};
use stook_season::harvest;
use stook_season::harvest::straw::StrawAsked;
use stook_season::{Question, WeatherFacts};

fn ask<'a>(farm: &'a Farm, weather: &'a WeatherFacts, month: i8, day: i8) -> Question<'a> {
    Question { farm, weather, before: None, as_of: date(common::YEAR, month, day), members: 40, seed: 7 }
}

/// Three fields seeded on 5 May, and a loss counted on 22 August.
fn farm() -> Farm {
    let mut all = common::entries(3);
    for i in 0..3 {
        let seeding = Seeding {
            field: FieldId(format!("field-{i}")),
            lot: None,
            finished: None,
            rate_kg_ha: None,
            depth_mm: None,
            area_ha: None,
            done: true,
        };
        all.push(Entry::new(date(common::YEAR, 5, 5).at(9, 0, 0, 0), "test", Payload::from(seeding)));
    }
    let test = PanTest {
        field: FieldId("field-1".into()),
        measure: LossMeasure::Kernels,
        area_m2: 0.092_903_04,
        behind: 130.0,
        cut_ground: Some(10.0),
        standing: None,
        from_separator: None,
        from_shoe: None,
        discharge_m: Some(12.2 / 6.0),
        speed_kmh: Some(7.2),
        yield_kg_ha: Some(3362.6),
        tkw_g: None,
        seen: None,
    };
    all.push(Entry::new(date(common::YEAR, 8, 22).at(14, 0, 0, 0), "test", Payload::from(test)));
    Farm::fold(&all)
}

#[test]
fn the_order_holds_every_standing_field_once_and_its_gain_has_a_range() {
    let (farm, weather) = (farm(), WeatherFacts::default());
    let a = harvest::order(&ask(&farm, &weather, 8, 25)).unwrap();
    let mut names: Vec<&str> = a.stops.iter().map(|s| s.field.as_str()).collect();
    names.sort_unstable();
    assert_eq!(names, ["field-0", "field-1", "field-2"]);
    assert!(a.gains.iter().any(|g| g.against == "ripest first"));
    for g in &a.gains {
        assert!(g.money.range.p10 <= g.money.range.p50 && g.money.range.p50 <= g.money.range.p90);
    }
    assert!((14.5..=20.0).contains(&a.start_pct));
    assert!(a.working.unwrap().adds_up(0.5));
}

#[test]
fn before_anything_is_seeded_nothing_is_cut() {
    let (farm, weather) = (Farm::fold(&common::entries(2)), WeatherFacts::default());
    let a = harvest::order(&ask(&farm, &weather, 1, 15)).unwrap();
    assert!(a.stops.is_empty() && a.headline.starts_with("No wheat"));
}

#[test]
fn hofmans_count_comes_out_of_the_book() {
    let (farm, weather) = (farm(), WeatherFacts::default());
    let a = harvest::combine(&ask(&farm, &weather, 8, 25)).unwrap();
    let t = &a.tests[0];
    // 130 behind and 10 on cut ground, six times concentrated, 20 kernels a bushel, 50 bu/ac: Hofman's steps.
    assert!((t.by_source.machine - 1.0).abs() < 0.005, "{:?}", t.by_source);
    assert!((t.total_bu_ac - 1.5).abs() < 0.005 && (t.total_pct - 2.91).abs() < 0.02);
    assert!(a.speed.as_ref().is_some_and(|s| !s.exponent_is_own && s.best.total() <= s.now.total() + 1e-9));
}

#[test]
fn hauling_and_straw_answer_without_their_machines_and_say_what_stands_in() {
    let (farm, weather) = (farm(), WeatherFacts::default());
    let q = ask(&farm, &weather, 8, 25);
    let h = harvest::haul(&q, Some("field-2")).unwrap();
    let f = h.field.unwrap();
    assert_eq!(f.field, "field-2");
    assert!(f.bu_h > 0.0 && h.assumed.iter().any(|x| x.contains("No truck")));
    let s = harvest::straw(&q, StrawAsked { goats: 50.0, ..StrawAsked::default() }).unwrap();
    assert!(s.needed > 0.0);
    let made: f64 = s.fields.iter().map(|f| f.for_bedding).sum();
    assert!((made - s.needed.ceil()).abs() <= 1.0, "{made} of {}", s.needed);
}
