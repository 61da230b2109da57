//! Spraying on the test farm: hours by label and guidance, intervals that hold the season's cut back, stubble and burn-off.

mod common;

use common::{YEAR, entries};
use jiff::civil::{Date, date};
use stook_book::payload::{Cut, LocalNumber, Seeding, SprayPass, SprayProduct, SprayPurpose};
use stook_book::{Entry, Farm, Payload};
use stook_season::answer::Job;
use stook_season::carry::carry;
use stook_season::run::Policy;
use stook_season::spraying::intervals::{self, IntervalKind};
use stook_season::spraying::{SprayAsk, spray};
use stook_season::{Question, WeatherFacts, today};
use stook_weather::spray::Grade;

fn add(list: &mut Vec<Entry>, on: Date, hour: i8, payload: impl Into<Payload>) {
    list.push(Entry::new(on.at(hour, 0, 0, 0), "Ada", payload));
}

/// Two fields seeded on 5 May, with what else is given.
fn farm(more: &[(Date, i8, Payload)]) -> Farm {
    let mut list = entries(2);
    for f in ["field-0", "field-1"] {
        let seeding = Seeding {
            field: f.into(),
            lot: None,
            finished: None,
            rate_kg_ha: None,
            depth_mm: None,
            area_ha: None,
            done: true,
        };
        add(&mut list, date(YEAR, 5, 5), 9, seeding);
    }
    for (on, hour, payload) in more {
        add(&mut list, *on, *hour, payload.clone());
    }
    Farm::fold(&list)
}

fn product(name: &str, purpose: SprayPurpose, days: u16) -> SprayProduct {
    let blank = serde_json::json!({"id": name, "name": name, "purpose": purpose.key()});
    SprayProduct { pre_harvest_days: Some(days), ..serde_json::from_value(blank).unwrap() }
}

fn question<'a>(farm: &'a Farm, weather: &'a WeatherFacts, as_of: Date) -> Question<'a> {
    Question { farm, weather, before: None, as_of, members: 40, seed: 7 }
}

#[test]
fn a_head_spray_of_the_run_holds_the_cut_back_by_its_label() {
    let weather = WeatherFacts::default();
    let gain = LocalNumber {
        name: "season.fungicide.expected_gain_kg_ha".into(),
        value: 300.0,
        why: "a wet year".into(),
    };
    let on = date(YEAR, 1, 5);
    let shut = 70;
    let farm = farm(&[(on, 9, gain.into()), (on, 9, product("heads", SprayPurpose::Fungicide, shut).into())]);
    let c = carry(&question(&farm, &weather, date(YEAR, 6, 20))).unwrap();
    let seasons = c.seasons(&Policy::default(), None);
    let mut seen = 0;
    for field in seasons.iter().flatten() {
        let (Some(sprayed), Some(cut)) = (field.done[Job::Fungicide as usize], field.done[Job::Cut as usize])
        else {
            continue;
        };
        seen += 1;
        assert!(cut >= sprayed + shut, "sprayed on day {sprayed}, cut on day {cut}");
    }
    assert!(seen > 10, "{seen} seasons were sprayed and cut");
}

#[test]
fn a_pass_on_record_is_never_cut_into() {
    let weather = WeatherFacts::default();
    let pass = SprayPass {
        pre_harvest_days: Some(75),
        ..SprayPass::new("field-0".into(), SprayPurpose::Fungicide, "heads")
    };
    let farm = farm(&[(date(YEAR, 7, 1), 18, pass.into())]);
    let as_of = date(YEAR, 7, 5);
    let c = carry(&question(&farm, &weather, as_of)).unwrap();
    let first = (date(YEAR, 9, 14) - as_of).get_days() as u16;
    let f = c.model.field_index("field-0").unwrap();
    for season in c.seasons(&Policy::default(), None) {
        let day = season[f].first_fit[Job::Cut as usize];
        assert!(day.is_none_or(|d| d >= first), "{day:?} is before day {first}");
    }
}

#[test]
fn hours_are_judged_by_the_label_before_the_guidance() {
    let weather = WeatherFacts::default();
    let calm = SprayProduct { wind_high_ms: Some(1.0), ..product("calm-air", SprayPurpose::Herbicide, 60) };
    let farm = farm(&[(date(YEAR, 1, 5), 9, calm.into())]);
    let q = question(&farm, &weather, date(YEAR, 6, 10));
    let t = today(&q).unwrap();
    let guide = spray(&q, &t, &SprayAsk::default()).unwrap();
    let label = spray(&q, &t, &SprayAsk { product: Some("calm-air".into()), ..SprayAsk::default() }).unwrap();
    assert_eq!(guide.days.len(), 7);
    assert_eq!(guide, spray(&q, &t, &SprayAsk::default()).unwrap(), "the same question, the same answer");
    let fit = |s: &stook_season::spraying::SprayAnswer| s.days.iter().map(|d| d.fit.len()).sum::<usize>();
    assert!(fit(&guide) > fit(&label), "{} against {}", fit(&guide), fit(&label));
    assert!(label.limits.iter().any(|l| l.by_label) && guide.limits.iter().all(|l| !l.by_label));
    for h in guide.days.iter().flat_map(|d| &d.hours) {
        assert!((0.0..=1.0).contains(&h.share_fit) && h.rh_pct > 0.0 && h.rh_pct <= 100.0);
        assert!(h.grade != Grade::Fit || (!h.dark && h.share_fit >= 0.5 && h.because.is_none()));
        assert!(h.grade == Grade::Fit || h.because.is_some());
    }
    for d in &guide.days {
        assert!(d.fit.iter().all(|(a, b)| a < b && *b <= 24));
        let hours: u8 = d.fit.iter().map(|(a, b)| b - a).sum();
        assert!(d.area_ha <= f64::from(hours) * guide.ha_per_h + 1e-9);
    }
    // What is over is not offered.
    let now = q.as_of.at(15, 30, 0, 0);
    let late = spray(&q, &t, &SprayAsk { now: Some(now), ..SprayAsk::default() }).unwrap();
    assert!(late.days[0].hours.iter().all(|h| h.hour >= 16) && late.days[1].hours[0].hour == 0);
    // The fields share today's hours, never more than there are.
    let given: f64 = guide.fields.iter().map(|f| f.today_ha).sum();
    assert!(given <= guide.days[0].area_ha + 1e-9);
}

#[test]
fn a_forecast_by_the_hour_goes_before_what_is_reckoned_from_days() {
    use stook_book::readings::{ForecastHour, HourReading};
    let farm = farm(&[]);
    let as_of = date(YEAR, 6, 10);
    // Good air all day but for wind from noon by the station's clock and rain at seven in the evening.
    let hours = (0..24_i8)
        .map(|h| {
            let hour = HourReading {
                temp_c: Some(19.0),
                rh_pct: Some(60.0),
                wind_ms: Some(if (12..15).contains(&h) { 8.0 } else { 2.5 }),
                wind_height_m: Some(2.0),
                precip_mm: Some(if h == 19 { 4.0 } else { 0.0 }),
                ..HourReading::blank(as_of.at(h, 0, 0, 0))
            };
            ForecastHour { hour, rain_chance_pct: None }
        })
        .collect();
    let weather = WeatherFacts { forecast_hours: hours, ..WeatherFacts::default() };
    let q = question(&farm, &weather, as_of);
    let s = spray(&q, &today(&q).unwrap(), &SprayAsk::default()).unwrap();
    let at = |hour: u8| s.days[0].hours.iter().find(|h| h.hour == hour).unwrap();
    // Summer's clock is an hour ahead of the station's.
    assert_eq!(at(12).grade, Grade::Fit);
    assert_eq!((at(13).because, at(15).because), (Some("too windy"), Some("too windy")));
    assert_eq!(at(16).grade, Grade::Fit);
    assert_eq!(at(20).because, Some("rain now or too soon after"));
    assert_eq!(at(18).because, at(20).because, "two hours without rain are wanted");
    assert_eq!(at(12).share_fit, 1.0);
    assert!(s.weather.starts_with("Hours to 10 Jun are the forecast's own"), "{}", s.weather);
}

#[test]
fn a_labels_leaf_window_goes_before_the_usual_one() {
    let weather = WeatherFacts::default();
    let of = |name: &str, from, to| SprayProduct {
        leaf_from: Some(from),
        leaf_to: Some(to),
        ..product(name, SprayPurpose::Herbicide, 60)
    };
    let on = date(YEAR, 1, 5);
    let farm = farm(&[(on, 9, of("early", 1.0, 3.0).into()), (on, 9, of("late", 4.0, 6.0).into())]);
    let q = question(&farm, &weather, date(YEAR, 5, 25));
    let t = today(&q).unwrap();
    let ask = |name: &str| {
        spray(&q, &t, &SprayAsk { product: Some(name.into()), ..SprayAsk::default() }).unwrap().fields
    };
    let windows = |from, to| stook_season::spraying::stage::windows(&q, from, to).unwrap();
    let (early, late) = (windows(1.0, 3.0), windows(4.0, 6.0));
    assert_eq!((early.len(), late.len()), (2, 2));
    for (a, b) in early.iter().zip(&late) {
        assert!(a.opens.middle <= a.closes.middle && a.closes.middle < b.opens.middle, "{a:?} {b:?}");
        let wide = windows(1.0, 6.0).into_iter().find(|w| w.field == a.field).unwrap();
        assert!(wide.opens.middle == a.opens.middle && wide.closes.middle == b.closes.middle);
    }
    assert!(ask("early").iter().all(|f| f.job == Job::Herbicide && f.cut_from.is_some()));
}

#[test]
fn intervals_run_until_their_moment() {
    let pass = SprayPass {
        pre_harvest_days: Some(36),
        re_entry_hours: Some(24),
        finished: Some(date(YEAR, 6, 28).at(19, 30, 0, 0)),
        ..SprayPass::new("field-0".into(), SprayPurpose::Fungicide, "heads")
    };
    let cut = Cut {
        field: "field-0".into(),
        finished: None,
        area_ha: None,
        yield_kg_ha: None,
        moisture_wb_pct: None,
        inside_interval_why: Some("hail".into()),
        done: true,
    };
    let farm = farm(&[(date(YEAR, 6, 28), 18, pass.into()), (date(YEAR, 7, 20), 9, cut.into())]);
    let at = |on: Date, h, m| intervals::open(&farm, on.at(h, m, 0, 0));
    assert!(at(date(YEAR, 6, 28), 17, 0).is_empty());
    let both = at(date(YEAR, 6, 29), 19, 29);
    assert_eq!(
        both.iter().map(|i| i.kind).collect::<Vec<_>>(),
        [IntervalKind::ReEntry, IntervalKind::PreHarvest]
    );
    assert_eq!(both[1].until, date(YEAR, 8, 3).at(0, 0, 0, 0));
    assert_eq!(at(date(YEAR, 6, 29), 19, 30).len(), 1);
    assert!(at(date(YEAR, 7, 21), 9, 0).is_empty(), "a field that is off waits for no cut");
}

#[test]
fn stubble_has_days_of_good_leaf_and_a_burn_off_its_wait() {
    let weather = WeatherFacts::default();
    let cut = Cut {
        field: "field-0".into(),
        finished: None,
        area_ha: None,
        yield_kg_ha: None,
        moisture_wb_pct: None,
        inside_interval_why: None,
        done: true,
    };
    let fall = farm(&[(date(YEAR, 8, 20), 9, cut.into())]);
    let q = question(&fall, &weather, date(YEAR, 9, 1));
    let t = today(&q).unwrap();
    let green = spray(&q, &t, &SprayAsk::default()).unwrap().green;
    assert_eq!((green.len(), green[0].fields.len()), (1, 1));
    let until = green[0].good_leaf_until.expect("the plains freeze by November");
    assert!(until.early <= until.middle && until.middle <= until.late && until.middle > q.as_of);
    assert!(green[0].tonight.unwrap() < 0.5);
    // Money: more thistle never pays less, and from the share it names the pass breaks even.
    let at = |pct: Option<f64>| {
        let asked = SprayAsk { thistle_pct: pct, ..SprayAsk::default() };
        spray(&q, &t, &asked).unwrap().green[0].fields[0].money.clone().expect("not sprayed yet")
    };
    let (none, some) = (at(None), at(Some(30.0)));
    assert!(none.gain < some.gain && some.working.adds_up(1.0), "{some:#?}");
    let from = none.pays_from_pct.expect("thistle can pay");
    assert!((0.0..60.0).contains(&from), "{from}");
    assert!(at(Some(from + 0.01)).gain > 0.0 && none.words.contains("pays from about"), "{}", none.words);

    // Not seeded yet, and a label with two days to wait.
    let mut list = entries(2);
    let wait = SprayProduct {
        plant_back_days: Some(2),
        pre_harvest_days: None,
        ..product("burn", SprayPurpose::Burnoff, 0)
    };
    add(&mut list, date(YEAR, 1, 5), 9, wait);
    let spring = Farm::fold(&list);
    let q = question(&spring, &weather, date(YEAR, 5, 1));
    let green = spray(&q, &today(&q).unwrap(), &SprayAsk::default()).unwrap().green;
    assert_eq!(green.len(), 1);
    assert!(green[0].fields.iter().all(|f| f.words.contains("2 d by the label of burn")), "{green:?}");
    for f in &green[0].fields {
        let m = f.money.as_ref().expect("not sprayed yet");
        assert!(m.working.adds_up(1.0) && m.wait_a_day > 0.0 && m.pays_from_pct.is_none(), "{m:#?}");
    }
}

#[test]
fn the_stations_last_hour_is_judged_while_it_is_fresh() {
    use stook_book::readings::HourReading;
    let as_of = date(YEAR, 6, 10);
    let hour = |h: i8, wind: f64| HourReading {
        temp_c: Some(19.0),
        rh_pct: Some(60.0),
        wind_ms: Some(wind),
        wind_height_m: Some(2.0),
        ..HourReading::blank(as_of.at(h, 0, 0, 0))
    };
    let weather = WeatherFacts { hours: vec![hour(9, 2.5), hour(10, 8.0)], ..WeatherFacts::default() };
    let farm = farm(&[]);
    let q = question(&farm, &weather, as_of);
    let t = today(&q).unwrap();
    let said = |h: i8, m: i8| {
        let asked = SprayAsk { now: Some(as_of.at(h, m, 0, 0)), ..SprayAsk::default() };
        spray(&q, &t, &asked).unwrap().measured
    };
    // The station keeps standard time: its ten o'clock is eleven by the farm's clock in summer.
    assert!(
        said(10, 30).unwrap().contains("from 10:00")
            && said(10, 30).unwrap().ends_with("fit by these limits.")
    );
    assert!(said(11, 20).unwrap().ends_with("not fit: too windy."), "{:?}", said(11, 20));
    assert_eq!(said(15, 0), None, "three hours and more is old");
    assert_eq!(spray(&q, &t, &SprayAsk::default()).unwrap().measured, None);
}
