//! The growing crop: what must hold of disease money, sightings, looks, late choices and the look back.

mod common;

use jiff::civil::{Date, date};
use stook_book::payload::{
    BlightRating, CountUnit, Crop, CropPlan, CropStage, CultivarClass, DamageCause, DamageSeen,
    EmergenceSeen, Insect, InsectsSeen, Seeding, StageSeen, YieldCount,
};
use stook_book::{Entry, Farm, FieldId, Payload};
use stook_season::answer::Job;
use stook_season::calibration::{self, scores};
use stook_season::carry::carry;
use stook_season::growing::growing;
use stook_season::late::{RainAsked, before_rain, late};
use stook_season::{Question, WeatherFacts, alone, today};
use stook_weather::series::Record;

const MEMBERS: usize = 60;

fn ask<'a>(farm: &'a Farm, weather: &'a WeatherFacts, month: i8, day: i8) -> Question<'a> {
    Question { farm, weather, as_of: date(common::YEAR, month, day), before: None, members: MEMBERS, seed: 7 }
}

fn on(d: Date, payload: impl Into<Payload>) -> Entry {
    Entry::new(d.at(9, 0, 0, 0), "test", payload.into())
}

fn id(i: usize) -> FieldId {
    FieldId(format!("field-{i}"))
}

fn seeding(i: usize) -> Seeding {
    Seeding {
        field: id(i),
        lot: None,
        finished: None,
        rate_kg_ha: None,
        depth_mm: None,
        area_ha: None,
        done: true,
    }
}

fn plan(i: usize, year: i16, class: Option<CultivarClass>, rating: Option<BlightRating>) -> CropPlan {
    CropPlan {
        field: id(i),
        crop_year: year,
        crop: Crop::SpringWheat,
        cultivar_class: class,
        cultivar: None,
        head_blight: rating,
        target_yield_kg_ha: None,
        best_seeding_until: None,
        last_seeding_day: None,
    }
}

/// Two whole years of the same mild weather up to `last`, damp enough for head blight when `damp`.
fn weather(last: Date, damp: bool) -> WeatherFacts {
    let mut day = date(common::YEAR - 2, 10, 1);
    let mut observed = Vec::new();
    while day <= last {
        let season = (f64::from(day.day_of_year()) - 200.0).to_radians().cos();
        let mean = 4.0 + 15.0 * season;
        let dew = if damp { mean - 2.0 } else { mean - 9.0 };
        observed.push(Record {
            tmax_c: Some(mean + 6.0),
            tmin_c: Some(mean - 6.0),
            precip_mm: Some(if day.day() % 4 == 0 { 6.0 } else { 0.0 }),
            tdew_c: Some(dew),
            ..Record::on(day)
        });
        day = day.tomorrow().unwrap();
    }
    WeatherFacts { observed, ..WeatherFacts::default() }
}

#[test]
fn a_susceptible_cultivar_gains_more_from_a_spray_than_a_resistant_one() {
    let mut all = common::entries(1);
    let seeded = on(date(common::YEAR, 5, 6), seeding(0));
    all.push(seeded);
    let seen =
        on(date(common::YEAR, 7, 4), StageSeen { field: id(0), stage: CropStage::Words("flowering".into()) });
    all.push(seen);
    let w = weather(date(common::YEAR, 7, 4), true);
    let net = |rating| {
        let mut entries = all.clone();
        entries.push(on(date(common::YEAR - 1, 12, 1), plan(0, common::YEAR, None, Some(rating))));
        let farm = Farm::fold(&entries);
        let t = today(&ask(&farm, &w, 7, 5)).unwrap();
        let d = t.open.into_iter().find(|d| d.job == Job::Fungicide).expect("the window is open");
        let s = d.spray.expect("a spray is weighed");
        assert!(s.working.adds_up(0.5), "{:#?}", s.working);
        assert!(s.index_pct.p10 <= s.index_pct.p90 && (0.0..=1.0).contains(&s.pays_in));
        assert!(d.why.contains("warm wet hours"), "{}", d.why);
        s
    };
    let (weak, strong) = (net(BlightRating::Susceptible), net(BlightRating::ModeratelyResistant));
    assert!(weak.hours == strong.hours, "the weather is the same");
    assert!(weak.index_pct.p50 > strong.index_pct.p50);
    assert!(weak.net.mean > strong.net.mean, "{} {}", weak.net.mean, strong.net.mean);
    assert!(weak.pays_from_h.unwrap() < strong.pays_from_h.unwrap());
}

#[test]
fn an_own_saving_stands_in_for_the_reckoned_one() {
    let mut all = common::entries(1);
    all.push(on(date(common::YEAR, 5, 6), seeding(0)));
    all.push(on(
        date(common::YEAR, 7, 4),
        StageSeen { field: id(0), stage: CropStage::Words("flowering".into()) },
    ));
    all.push(on(
        date(common::YEAR - 1, 12, 1),
        stook_book::payload::LocalNumber {
            name: "season.fungicide.expected_gain_kg_ha".into(),
            value: 600.0,
            why: "strips".into(),
        },
    ));
    let farm = Farm::fold(&all);
    let w = weather(date(common::YEAR, 7, 4), false);
    let t = today(&ask(&farm, &w, 7, 5)).unwrap();
    let s = t.open.into_iter().find(|d| d.job == Job::Fungicide).unwrap().spray.unwrap();
    assert!(s.own_saving && s.clear && s.net.mean > 0.0, "{s:#?}");
}

#[test]
fn seeded_later_is_never_ripe_sooner_and_an_earlier_cultivar_is() {
    let farm = Farm::fold(&common::entries(1));
    let none = WeatherFacts::default();
    let c = carry(&ask(&farm, &none, 5, 20)).unwrap();
    let field = &c.model.fields[0];
    let (early, later) = (alone::seeded(&c, 0, field, 2), alone::seeded(&c, 0, field, 25));
    let mut quick = field.clone();
    quick.params = c.model.crop.for_cultivar(-6.0);
    let quick = alone::seeded(&c, 0, &quick, 25);
    let (mut frozen_early, mut frozen_later) = (0, 0);
    for ((a, b), q) in early.iter().zip(&later).zip(&quick) {
        if let (Some(x), Some(y)) = (a.ripe, b.ripe) {
            assert!(y >= x, "{x} {y}");
        }
        if let (Some(x), Some(y)) = (q.ripe, b.ripe) {
            assert!(x <= y);
        }
        frozen_early += u16::from(a.fails());
        frozen_later += u16::from(b.fails());
        assert!(b.yield_kg_ha <= b.unfrozen_kg_ha + 1e-9);
    }
    assert!(frozen_later >= frozen_early, "{frozen_early} {frozen_later}");
}

#[test]
fn a_late_spring_lists_every_way_best_first() {
    let farm = Farm::fold(&common::entries(2));
    let none = WeatherFacts::default();
    assert!(late(&ask(&farm, &none, 5, 10)).unwrap().is_empty(), "not late yet");
    let all = late(&ask(&farm, &none, 6, 18)).unwrap();
    assert_eq!(all.len(), 2);
    for l in &all {
        let keys: Vec<&str> = l.ways.iter().map(|w| w.key.as_str()).collect();
        for key in ["as_planned", "earlier", "barley", "oats", "greenfeed", "leave"] {
            assert!(keys.contains(&key), "{keys:?}");
        }
        assert!(l.ways.windows(2).all(|p| p[0].mean >= p[1].mean));
        let way = |k: &str| l.ways.iter().find(|w| w.key == k).unwrap();
        assert!(way("earlier").fails_in <= way("as_planned").fails_in);
        assert!(way("barley").fails_in <= way("as_planned").fails_in);
        assert_eq!(way("greenfeed").fails_in, 0.0);
    }
    // Today carries it as a line.
    let t = today(&ask(&farm, &none, 6, 18)).unwrap();
    assert_eq!(t.looks.iter().filter(|l| l.about == "late").count(), 2);
}

#[test]
fn before_rain_the_acres_left_fall_by_the_hour_and_the_stop_is_before_the_rain() {
    let farm = Farm::fold(&common::entries(1));
    let none = WeatherFacts::default();
    let q = ask(&farm, &none, 5, 6);
    let asked =
        |left_ha, rain_at_h| RainAsked { now_h: 18.0, left_ha, rain_at_h, chance: Some(0.8), close_h: 0.5 };
    let a = before_rain(&q, "field-0", &asked(60.0, Some(23.0))).unwrap().unwrap();
    assert!(a.what.starts_with("Stop by 22:30"), "{}", a.what);
    assert!(a.hours.windows(2).all(|p| p[1].left_ha <= p[0].left_ha && p[1].rain >= p[0].rain));
    let b = before_rain(&q, "field-0", &asked(5.0, Some(23.0))).unwrap().unwrap();
    assert!(b.what.starts_with("Finish it"), "{}", b.what);
    let c = before_rain(&q, "field-0", &asked(60.0, Some(18.2))).unwrap().unwrap();
    assert!(c.what.starts_with("Stop now"), "{}", c.what);
    assert!(before_rain(&q, "no-such", &asked(5.0, None)).unwrap().is_none());
}

#[test]
fn heading_seen_late_last_year_is_remembered_by_field_and_class() {
    let mut all = common::entries(3);
    let mid = Some(CultivarClass::Mid);
    for i in 0..3 {
        let class = if i == 2 { Some(CultivarClass::Early) } else { mid };
        for year in [common::YEAR - 1, common::YEAR] {
            all.push(on(date(year - 1, 12, 1), plan(i, year, class, None)));
        }
    }
    all.push(on(date(common::YEAR - 1, 5, 5), seeding(0)));
    // The model has heading about ten days before this in that weather.
    let w = weather(date(common::YEAR, 6, 1), false);
    let seen = date(common::YEAR - 1, 7, 16);
    all.push(on(seen, StageSeen { field: id(0), stage: CropStage::Words("heading".into()) }));
    let farm = Farm::fold(&all);
    let c = carry(&ask(&farm, &w, 6, 2)).unwrap();
    let days = |i: usize| c.model.fields[i].correction.as_ref().map_or(0.0, |x| x.days);
    assert!(days(0) > 1.0, "{}", days(0));
    assert!(days(1) > 0.0 && days(1) < days(0), "its own field counts more: {} {}", days(0), days(1));
    assert_eq!(days(2), 0.0, "another class is left alone");
    let heading = |i: usize| c.model.fields[i].params.stage.heading_cd;
    assert!(heading(0) > heading(1));
}

#[test]
fn looks_say_both_sources_and_when_to_judge_hail() {
    let y = common::YEAR;
    let mut all = common::entries(1);
    all.push(on(date(y, 5, 6), seeding(0)));
    all.push(on(
        date(y, 5, 20),
        EmergenceSeen { field: id(0), plants_per_m2: Some(90.0), bare_pct: Some(10.0) },
    ));
    all.push(on(
        date(y, 5, 24),
        InsectsSeen {
            field: id(0),
            insect: Insect::PaleWesternCutworm,
            count: 6.0,
            unit: CountUnit::PerM2,
            area_ha: Some(10.0),
            note: None,
        },
    ));
    all.push(on(
        date(y, 5, 24),
        DamageSeen {
            field: id(0),
            cause: DamageCause::Hail,
            lost_pct: None,
            area_ha: None,
            insurer_told: Some(false),
            note: None,
        },
    ));
    let farm = Farm::fold(&all);
    let w = weather(date(y, 5, 25), false);
    let g = growing(&ask(&farm, &w, 5, 26)).unwrap().remove(0);
    let look = |about: &str| {
        g.looks.iter().find(|l| l.about == about).unwrap_or_else(|| panic!("{about}: {:#?}", g.looks))
    };
    let bugs = look("insects");
    assert!(
        bugs.what.contains("disagree") && bugs.why.contains("Agdex") && bugs.why.contains("North Dakota"),
        "{}",
        bugs.why
    );
    let hail = look("hail");
    assert!(hail.what.contains("between 31 May and 3 Jun") && hail.today, "{}", hail.what);
    let stand = look("stand");
    assert!(stand.working.is_some() && stand.why.contains("keep"), "{}", stand.why);
    assert!(!g.looks.iter().any(|l| l.about == "midge"), "no heads, no midge");
}

#[test]
fn three_yields_stand_side_by_side_and_the_count_is_by_hand() {
    let y = common::YEAR;
    let mut all = common::entries(1);
    all.push(on(date(y, 5, 6), seeding(0)));
    all.push(on(
        date(y, 7, 20),
        YieldCount { field: id(0), heads_per_m2: 500.0, kernels_per_head: 30.0, tkw_g: Some(33.0) },
    ));
    // Last year's wheat made half of what the line says.
    all.push(on(date(y - 2, 12, 1), plan(0, y - 1, None, None)));
    all.push(on(date(y - 1, 5, 6), seeding(0)));
    all.push(on(
        date(y - 1, 8, 25),
        stook_book::payload::Cut {
            field: id(0),
            finished: None,
            area_ha: None,
            yield_kg_ha: Some(1200.0),
            moisture_wb_pct: None,
            inside_interval_why: None,
            done: true,
        },
    ));
    let farm = Farm::fold(&all);
    let w = weather(date(y, 7, 21), false);
    let g = growing(&ask(&farm, &w, 7, 22)).unwrap().remove(0);
    let three = g.yields.expect("a standing crop has yields");
    assert!((three.by_count.unwrap() - 4950.0).abs() < 1e-6);
    assert!(three.by_line.p10 <= three.by_line.p90 && three.by_deficit.p50 > 0.0);
    let corrected = three.corrected.expect("a past year is on file");
    assert!(corrected.p50 < three.by_line.p50, "{corrected:?} {:?}", three.by_line);
    assert!(g.stage.is_some() && g.water.hold_mm > 0.0);
    assert!(!g.changed.is_empty() && g.yield_fan.start.is_some());
}

#[test]
fn no_herbicide_before_harvest_while_the_least_ripe_part_is_wet() {
    let y = common::YEAR;
    let mut all = common::entries(1);
    all.push(on(date(y, 5, 6), seeding(0)));
    all.push(on(
        date(y, 8, 9),
        stook_book::payload::KernelMoisture {
            field: id(0),
            moisture_wb_pct: 33.0,
            method: stook_book::payload::MoistureMethod::Meter,
        },
    ));
    let farm = Farm::fold(&all);
    let w = weather(date(y, 8, 9), false);
    let r = growing(&ask(&farm, &w, 8, 10)).unwrap().remove(0).ripe.expect("ripening");
    assert!(r.greenest_pct > r.moisture_pct && r.greenest_pct >= 30.0);
    assert!(r.preharvest_words.starts_with("No herbicide"), "{}", r.preharvest_words);
    assert!(r.preharvest.is_some_and(|d| d.middle > date(y, 8, 10)));
    for h in &r.hours {
        assert!(h.chance == 0.0 || (h.from_h >= 8.0 && h.to_h > h.from_h && h.to_h <= 24.0), "{h:?}");
    }
    assert!(r.wait_lines.windows(2).all(|p| p[1].lost_per_ha.p50 >= p[0].lost_per_ha.p50 - 1e-9));
}

#[test]
fn the_look_back_leaves_the_year_out_and_counts() {
    let y = common::YEAR;
    let mut all = common::entries(1);
    all.push(on(date(y - 1, 12, 1), plan(0, y - 1, None, None)));
    let farm = Farm::fold(&all);
    let mut w = weather(date(y, 10, 31), false);
    // Five years are needed to fit a climate.
    let shifted: Vec<Record> = w
        .observed
        .iter()
        .flat_map(|r| {
            (1..=2_i16).filter_map(|k| {
                let d =
                    Date::new(r.date.year() - 2 * k - i16::from(k > 1), r.date.month(), r.date.day()).ok()?;
                Some(Record { date: d, tmax_c: r.tmax_c.map(|t| t + f64::from(k)), ..r.clone() })
            })
        })
        .collect();
    w.observed.extend(shifted);
    w.observed.sort_by_key(|r| r.date);
    w.observed.dedup_by_key(|r| r.date);
    let found = calibration::trials(&calibration::Asked {
        farm: &farm,
        weather: &w,
        years: vec![y],
        seeded: (4, 25),
        from: vec![(5, 1), (7, 1)],
        members: 40,
        seed: 3,
    })
    .unwrap();
    assert!(found.iter().any(|t| t.what == "ripe") && found.iter().any(|t| t.what == "yield"), "{found:#?}");
    for t in &found {
        assert!((0.0..=1.0).contains(&t.rank) && t.range.p10 <= t.range.p90);
        assert_eq!(t.inside, t.truth >= t.range.p10 && t.truth <= t.range.p90);
    }
    let s = scores(&found);
    assert!(s.iter().all(|x| (x.inside_pct + x.below_pct + x.above_pct - 100.0).abs() < 1e-9));
}

/// The same mild weather with hours for the last days: humid or dry whatever the day's own humidity says.
fn with_hours(last: Date, damp_days: bool, rh_pct: f64, count: i64) -> WeatherFacts {
    use stook_book::readings::HourReading;
    let mut w = weather(last, damp_days);
    let first = last.saturating_sub(jiff::Span::new().days(count - 1));
    let hours = (0..count * 24).map(|h| HourReading {
        temp_c: Some(19.0),
        rh_pct: Some(rh_pct),
        wind_ms: Some(2.5),
        wind_height_m: Some(2.0),
        precip_mm: Some(0.0),
        ..HourReading::blank(first.at(0, 0, 0, 0).saturating_add(jiff::Span::new().hours(h)))
    });
    w.hours = hours.collect();
    w
}

#[test]
fn measured_hours_go_before_hours_made_from_days() {
    let mut all = common::entries(1);
    all.push(on(date(common::YEAR, 5, 6), seeding(0)));
    let seen = StageSeen { field: id(0), stage: CropStage::Words("flowering".into()) };
    all.push(on(date(common::YEAR, 7, 1), seen));
    let farm = Farm::fold(&all);
    let last = date(common::YEAR, 7, 4);
    let spot = |w: &WeatherFacts| {
        let g = growing(&ask(&farm, w, 7, 5)).unwrap().remove(0);
        (g.leaf.iter().map(|l| u32::from(l.last_10_days)).sum::<u32>(), g.leaf_basis)
    };
    let hours_so_far = |w: &WeatherFacts| {
        let t = today(&ask(&farm, w, 7, 5)).unwrap();
        let d = t.open.into_iter().find(|d| d.job == Job::Fungicide).expect("the window is open");
        let s = d.spray.expect("weighed");
        let said = s.working.notes.join(" ");
        (s.hours_now.expect("in flower"), said)
    };
    // Damp by the day, dry by the hour.
    let (made, dry) = (weather(last, true), with_hours(last, true, 50.0, 10));
    assert!(spot(&made).0 > 0 && spot(&dry).0 == 0, "{:?} {:?}", spot(&made), spot(&dry));
    assert!(spot(&dry).1.contains("your station's own") && spot(&made).1.contains("reckoned from each day"));
    assert!(hours_so_far(&made).0 > 0.0 && hours_so_far(&dry).0 == 0.0);
    assert!(hours_so_far(&dry).1.contains("10 of the last ten days are by your station's own hours"));
    // Dry by the day, wet all day by the hour.
    let wet = with_hours(last, false, 97.0, 10);
    assert!(hours_so_far(&wet).0 >= 24.0, "{:?}", hours_so_far(&wet));
    assert!(hours_so_far(&weather(last, false)).1.contains("No hours of your station"));
}

#[test]
fn what_the_field_made_moves_every_outlook() {
    use stook_book::payload::Cut;
    let year = common::YEAR;
    let w = {
        // A year more than the others need, so that last year can be played again.
        let mut w = weather(date(year, 6, 20), false);
        let mut early = Vec::new();
        let mut day = date(year - 3, 9, 1);
        while day < date(year - 2, 10, 1) {
            let like = w.observed[(day.day_of_year() as usize) % 360].clone();
            early.push(Record { date: day, ..like });
            day = day.tomorrow().unwrap();
        }
        w.observed.splice(0..0, early);
        w
    };
    let made = |kg: Option<f64>, by_loads: bool| {
        let mut all = common::entries(2);
        for i in 0..2 {
            all.push(on(date(year, 5, 6), seeding(i)));
        }
        all.push(on(date(year - 2, 12, 1), plan(0, year - 1, None, None)));
        all.push(on(date(year - 1, 5, 6), seeding(0)));
        if let Some(kg) = kg {
            let cut = Cut {
                field: id(0),
                finished: None,
                area_ha: None,
                yield_kg_ha: (!by_loads).then_some(kg),
                moisture_wb_pct: None,
                inside_interval_why: None,
                done: true,
            };
            all.push(on(date(year - 1, 9, 5), cut));
            if by_loads {
                use stook_book::payload::{Load, LoadFrom, LoadTo, Weighed};
                // Field 0 has 40 ha; two loads at market moisture.
                for _ in 0..2 {
                    let to = LoadTo::Buyer("elevator".into());
                    let from = LoadFrom::Field(id(0));
                    let mut load = Load::new(from, to, Weighed::TruckScale, Some(20.0 * kg));
                    load.moisture_wb_pct = Some(14.5);
                    all.push(on(date(year - 1, 9, 5), load));
                }
            }
        }
        let farm = Farm::fold(&all);
        let t = today(&ask(&farm, &w, 6, 21)).unwrap();
        let of = |key: &str| t.fields.iter().find(|f| f.field == key).unwrap().clone();
        (of("field-0"), of("field-1"))
    };
    let (poor, plain, good) = (made(Some(500.0), false), made(None, false), made(Some(8000.0), false));
    let middle = |f: &stook_season::answer::FieldOutlook| f.yield_kg_ha.expect("standing").p50;
    assert!(middle(&poor.0) < 0.9 * middle(&plain.0), "{} {}", middle(&poor.0), middle(&plain.0));
    assert!(middle(&good.0) > middle(&plain.0) || middle(&plain.0) > 3900.0);
    let loads = made(Some(500.0), true);
    assert!(
        (middle(&loads.0) - middle(&poor.0)).abs() < 1.0,
        "weighed loads say the same as a yield written down"
    );
    assert_eq!(middle(&poor.1), middle(&plain.1), "another field's yields move nothing");
    let w = &poor.0.working[0];
    assert!(w.adds_up(1.0), "{w:#?}");
    assert!(w.terms.iter().any(|l| l.label.contains("Your own past yields")), "{w:#?}");
}

#[test]
fn heat_at_flowering_takes_from_the_outlook() {
    let mut all = common::entries(1);
    all.push(on(date(common::YEAR, 5, 6), seeding(0)));
    let seen = StageSeen { field: id(0), stage: CropStage::Words("flowering".into()) };
    all.push(on(date(common::YEAR, 7, 1), seen));
    let farm = Farm::fold(&all);
    let last = date(common::YEAR, 7, 8);
    let kept = |hot: f64| {
        let mut w = weather(last, false);
        for r in w.observed.iter_mut().filter(|r| r.date > date(common::YEAR, 7, 2)) {
            r.tmax_c = Some(hot);
        }
        let c = carry(&ask(&farm, &w, 7, 9)).unwrap();
        stook_season::outlook::middle_state(&c, 0).heat_kept()
    };
    assert_eq!(kept(27.0), 1.0);
    let six_days = 0.99_f64.powi(6);
    assert!((kept(36.0) - six_days).abs() < 0.011, "{}", kept(36.0));
}
