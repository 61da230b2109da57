//! What must hold of the season engine, whatever the weather.

mod common;

use jiff::civil::date;
use stook_book::payload::{CropStage, KernelMoisture, MoistureMethod, Price, Seeding, StageSeen};
use stook_book::{Entry, Farm, FieldId, Payload};
use stook_season::answer::{Advice, Job};
use stook_season::carry::carry;
use stook_season::run::{Directive, Policy};
use stook_season::waiting::{two_runs, waiting};
use stook_season::{Before, Question, WeatherFacts, today};

const MEMBERS: usize = 60;

fn ask<'a>(farm: &'a Farm, weather: &'a WeatherFacts, month: i8, day: i8) -> Question<'a> {
    Question { farm, weather, before: None, as_of: date(common::YEAR, month, day), members: MEMBERS, seed: 7 }
}

fn seeded(month: i8, day: i8) -> Vec<Entry> {
    let mut all = common::entries(3);
    for i in 0..3 {
        let at = date(common::YEAR, month, day).at(9, 0, 0, 0);
        all.push(Entry::new(
            at,
            "test",
            Payload::from(Seeding {
                field: FieldId(format!("field-{i}")),
                lot: None,
                finished: None,
                rate_kg_ha: None,
                depth_mm: None,
                area_ha: None,
                done: true,
            }),
        ));
    }
    all
}

#[test]
fn the_same_seed_gives_the_same_answer_on_any_number_of_threads() {
    let farm = Farm::fold(&common::entries(3));
    let weather = WeatherFacts::default();
    let on = |threads: usize| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| serde_json::to_string(&today(&ask(&farm, &weather, 5, 6)).unwrap()).unwrap())
    };
    let one = on(1);
    assert_eq!(one, on(2));
    assert_eq!(one, on(3));
}

#[test]
fn money_is_the_sum_of_its_parts_and_the_working_adds_up() {
    let farm = Farm::fold(&common::entries(3));
    let weather = WeatherFacts::default();
    let c = carry(&ask(&farm, &weather, 5, 6)).unwrap();
    for outcomes in c.seasons(&Policy::default(), None) {
        for o in outcomes {
            let sum: f64 = o.purse.0.iter().sum();
            assert!((sum - o.purse.total()).abs() < 1e-9 * sum.abs().max(1.0));
            assert!(o.yield_kg_ha >= 0.0);
        }
    }
    for f in 0..3 {
        let w = waiting(&c, f, Job::Seed, &two_runs(&c, f, Job::Seed)).unwrap();
        assert!(w.working.adds_up(0.5), "{:#?}", w.working);
        let sum = w.working.sum.as_ref().unwrap().value;
        assert!((sum - w.money.mean).abs() <= 0.5);
        assert!(w.money.range.p10 <= w.money.range.p50 && w.money.range.p50 <= w.money.range.p90);
    }
}

#[test]
fn the_second_workable_day_comes_after_the_first() {
    let farm = Farm::fold(&common::entries(3));
    let weather = WeatherFacts::default();
    let c = carry(&ask(&farm, &weather, 5, 6)).unwrap();
    let runs = two_runs(&c, 0, Job::Seed);
    let i = Job::Seed as usize;
    let both =
        runs.later.iter().filter(|m| m[0].first_fit[i].zip(m[0].second_fit[i]).is_some_and(|(a, b)| b > a));
    assert!(both.count() * 10 > MEMBERS * 9, "nearly every spring has a second day");
    // The job is begun on the first in one run and on the second in the other, so it is never finished sooner by
    // waiting, and mostly later; a short first day may leave both to end on the same one.
    let done: Vec<(u16, u16)> =
        runs.now.iter().zip(&runs.later).filter_map(|(a, b)| a[0].done[i].zip(b[0].done[i])).collect();
    assert!(done.iter().all(|(a, b)| b >= a), "{done:?}");
    assert!(done.iter().filter(|(a, b)| b > a).count() * 10 > done.len() * 7, "{done:?}");
}

#[test]
fn letting_no_day_go_costs_nothing() {
    let farm = Farm::fold(&common::entries(3));
    let weather = WeatherFacts::default();
    let c = carry(&ask(&farm, &weather, 5, 12)).unwrap();
    let d = Directive { field: 1, job: Job::Seed, skip: 0 };
    assert_eq!(c.seasons(&Policy::default(), Some(d)), c.seasons(&Policy::default(), Some(d)));
}

#[test]
fn waiting_costs_more_after_the_best_day_than_before() {
    let farm = Farm::fold(&common::entries(3));
    let weather = WeatherFacts::default();
    let cost = |month, day| {
        let c = carry(&ask(&farm, &weather, month, day)).unwrap();
        waiting(&c, 0, Job::Seed, &two_runs(&c, 0, Job::Seed)).unwrap().money.mean
    };
    let (early, late) = (cost(4, 20), cost(5, 20));
    assert!(late > early, "{early} on 20 April, {late} on 20 May");
    // 1 % a day of the crop's worth, and more where rain keeps the drill out.
    assert!(late > 50.0, "{late}");
}

#[test]
fn a_field_seen_ripe_is_offered_for_cutting_and_a_green_one_is_not() {
    let mut entries = seeded(5, 6);
    let field = FieldId("field-0".into());
    entries.push(Entry::new(
        date(common::YEAR, 8, 18).at(15, 0, 0, 0),
        "test",
        Payload::from(KernelMoisture {
            field: field.clone(),
            moisture_wb_pct: 15.5,
            method: MoistureMethod::Meter,
        }),
    ));
    entries.push(Entry::new(
        date(common::YEAR, 8, 18).at(15, 0, 0, 0),
        "test",
        Payload::from(StageSeen { field: FieldId("field-1".into()), stage: CropStage::Zadoks(73.0) }),
    ));
    let farm = Farm::fold(&entries);
    let weather = WeatherFacts::default();
    let t = today(&ask(&farm, &weather, 8, 19)).unwrap();
    let cut = |id: &str| t.open.iter().find(|d| d.field == id && d.job == Job::Cut);
    assert!(cut("field-0").is_some(), "{:#?}", t.open);
    assert!(cut("field-1").is_none());
}

#[test]
fn emergence_follows_the_warmth_of_the_seedbed() {
    let farm = Farm::fold(&seeded(5, 7));
    let weather = WeatherFacts::default();
    let c = carry(&ask(&farm, &weather, 5, 8)).unwrap();
    let need = stook_crop::emergence::requirement_cd(c.model.fields[0].depth_cm, &c.model.crop.emergence);
    let mut on_time = 0;
    for (m, outcomes) in c.seasons(&Policy::default(), None).iter().enumerate() {
        let day = usize::from(outcomes[0].emerged.expect("seed of May comes up"));
        let growing = |to: usize| {
            let days = c.air[m][..to].iter().map(|a| a.soil_c);
            days.skip_while(|t| *t < c.model.crop.emergence.min_soil_c).map(|t| t.max(0.0)).sum::<f64>()
        };
        let warmth = growing(day + 1);
        // Seeded the evening before the run: never sooner than its warmth, later only where the seedbed is dry.
        assert!(warmth >= need - 1e-9, "up after {day} days with {warmth:.0} of {need:.0} C d");
        let before = growing(day);
        on_time += usize::from(before < need);
    }
    assert!(on_time * 2 > MEMBERS, "only {on_time} of {MEMBERS} came up on time");
}

#[test]
fn winter_has_nothing_to_do_and_says_what_comes() {
    let farm = Farm::fold(&common::entries(3));
    let weather = WeatherFacts::default();
    let t = today(&ask(&farm, &weather, 1, 15)).unwrap();
    assert!(t.open.is_empty());
    assert!(t.headline.starts_with("Nothing to do in the wheat today"), "{}", t.headline);
    assert!(!t.coming.is_empty());
    assert!(t.open.iter().all(|d| d.advice != Advice::Now));
}

#[test]
fn from_november_the_next_harvest_is_meant() {
    // The test farm plans wheat for YEAR; in November before it, that is the crop year.
    let farm = Farm::fold(&common::entries(2));
    let weather = WeatherFacts::default();
    let q = Question { as_of: date(common::YEAR - 1, 11, 25), ..ask(&farm, &weather, 1, 1) };
    let t = today(&q).unwrap();
    assert_eq!(t.fields.len(), 2);
    assert!(t.open.is_empty(), "{:#?}", t.open);
    let seed = t.coming.iter().find(|c| c.job == Job::Seed).expect("seeding comes");
    assert_eq!(seed.opens.middle.year(), common::YEAR);
    assert!(
        t.fields.iter().all(|f| f.yield_kg_ha.is_some_and(|y| y.p50 > 300.0)),
        "{:#?}",
        t.fields[0].yield_kg_ha
    );
}

#[test]
fn a_missed_weed_window_is_remarked_on() {
    let farm = Farm::fold(&seeded(5, 6));
    let weather = WeatherFacts::default();
    let said = |month, day| today(&ask(&farm, &weather, month, day)).unwrap().warnings.join(" ");
    assert!(said(7, 20).contains("Field 0: the window for weeds has passed"));
    assert!(!said(5, 20).contains("window for weeds"));
}

#[test]
fn a_farm_without_a_place_is_told_so() {
    let farm = Farm::default();
    let weather = WeatherFacts::default();
    let e = today(&ask(&farm, &weather, 5, 5)).unwrap_err();
    assert!(e.to_string().contains("latitude"));
}

#[test]
fn what_was_written_today_is_news_and_not_hindsight() {
    let weather = WeatherFacts::default();
    let mut entries = common::entries(3);
    let day = date(common::YEAR, 5, 28);
    let midnight = Farm::fold(&entries).time_zone().to_timestamp(day.at(0, 0, 0, 0)).unwrap();
    for e in &mut entries {
        e.written = midnight - jiff::SignedDuration::from_hours(240);
    }
    // The price doubled two days ago; it was written down only this morning.
    let price = Price { what: "wheat".into(), value: 560.0, unit: "t".into() };
    let mut late = Entry::new(date(common::YEAR, 5, 26).at(8, 0, 0, 0), "test", Payload::from(price));
    late.written = midnight + jiff::SignedDuration::from_hours(7);
    entries.push(late);
    let farm = Farm::fold(&entries);
    let before = Before::evening(&entries, &farm, day);
    assert_eq!(before.written_about("field-1"), ["Price"]);
    assert!(!before.farm.fields.is_empty());
    let q = Question { before: Some(&before), members: 400, ..ask(&farm, &weather, 5, 28) };
    let said: Vec<String> = today(&q).unwrap().open.into_iter().filter_map(|d| d.moved).collect();
    assert!(said.iter().any(|s| s.contains("written since: price")), "{said:?}");
    // With today's book taken for yesterday's, the price is no news.
    let said: Vec<String> =
        today(&Question { before: None, ..q }).unwrap().open.into_iter().filter_map(|d| d.moved).collect();
    assert!(!said.iter().any(|s| s.contains("waiting a day read")), "{said:?}");
}

#[test]
fn a_reading_far_from_the_weather_is_taken_and_remarked_on() {
    // Cold winters and a summer warm and dry enough to ripen wheat by the end of August.
    let mut day = date(common::YEAR - 1, 11, 1);
    let mut observed = Vec::new();
    while day < date(common::YEAR, 9, 4) {
        let season = ((f64::from(day.day_of_year()) - 105.0) / 365.0 * std::f64::consts::TAU).sin();
        observed.push(stook_weather::series::Record {
            tmax_c: Some(10.0 + 18.0 * season),
            tmin_c: Some(-2.0 + 14.0 * season),
            precip_mm: Some(if day.day() % 9 == 0 { 6.0 } else { 0.0 }),
            ..stook_weather::series::Record::on(day)
        });
        day = day.tomorrow().unwrap();
    }
    let weather = WeatherFacts { observed, ..WeatherFacts::default() };
    let remarks = |pct: f64| {
        let mut entries = seeded(5, 7);
        entries.push(Entry::new(
            date(common::YEAR, 9, 3).at(18, 0, 0, 0),
            "test",
            Payload::from(KernelMoisture {
                field: FieldId("field-0".into()),
                moisture_wb_pct: pct,
                method: MoistureMethod::Meter,
            }),
        ));
        let t = today(&ask(&Farm::fold(&entries), &weather, 9, 4)).unwrap();
        let said = t.warnings.iter().find(|w| w.contains("The reading is taken")).cloned();
        (said, t.fields[0].clone())
    };
    let (said, _) = remarks(38.0);
    let said = said.expect("38 % where the weather dried the crop");
    let reckoned: f64 =
        said.split("had made ").nth(1).and_then(|s| s.split(' ').next()).unwrap().parse().unwrap();
    assert!((10.0..30.0).contains(&reckoned), "{said}");
    assert!(remarks(reckoned).0.is_none());
}
