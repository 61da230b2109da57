//! Records with holes and oddities, filled and judged.

use jiff::civil::{Date, date};
use stook_measure::Reference;
use stook_weather::Site;
use stook_weather::humidity;
use stook_weather::params::WeatherParams;
use stook_weather::quality::{self, What};
use stook_weather::series::{Record, Rule, fill};

const SITE: Site = Site { lat_deg: 50.4, lon_deg: -104.6, elev_m: 577.0 };

fn params() -> WeatherParams {
    WeatherParams::from_reference(&Reference::shipped())
}

/// Days that change a little, so that no sensor looks stuck.
fn run(from: Date, n: usize) -> Vec<Record> {
    let mut on = from;
    (0..n)
        .map(|i| {
            let wave = (i as f64 * 0.9).sin();
            let r = Record {
                tmax_c: Some(20.0 + 4.0 * wave),
                tmin_c: Some(8.0 + 2.0 * wave),
                precip_mm: Some(if i % 4 == 0 { 3.0 } else { 0.0 }),
                ..Record::on(on)
            };
            on = on.tomorrow().unwrap();
            r
        })
        .collect()
}

#[test]
fn short_gaps_are_bridged_and_marked() {
    let mut days = run(date(2024, 6, 1), 20);
    days.drain(5..8);
    let f = fill(&days, &SITE, &params());
    assert_eq!((f.start, f.days.len(), f.marks.len()), (date(2024, 6, 1), 20, 20));
    assert!(f.gaps.is_empty());
    for i in 5..8 {
        assert_eq!(
            (f.marks[i].tmax, f.marks[i].tmin, f.marks[i].precip),
            (Rule::Bridged, Rule::Bridged, Rule::AssumedDry)
        );
        assert_eq!(f.days[i].precip_mm, 0.0);
    }
    let step = (f.days[8].tmax_c - f.days[4].tmax_c) / 4.0;
    assert!((f.days[5].tmax_c - f.days[4].tmax_c - step).abs() < 1e-12);
    assert_eq!(f.marks[4].tmax, Rule::Measured);
}

#[test]
fn long_gaps_are_reported_and_rest_on_climate() {
    let mut days = run(date(2023, 6, 1), 60);
    let mut second = run(date(2024, 6, 1), 60);
    second.drain(20..35);
    days.extend(second);
    let f = fill(&days, &SITE, &params());
    let gap = f.gaps.iter().find(|g| g.from == date(2024, 6, 21) && g.what == "highest temperature").unwrap();
    assert_eq!((gap.to, gap.days), (date(2024, 7, 5), 15));
    let at = (date(2024, 6, 25) - f.start).get_days() as usize;
    assert_eq!((f.marks[at].tmax, f.marks[at].precip), (Rule::OtherYears, Rule::OtherYears));
    assert!((15.0..25.0).contains(&f.days[at].tmax_c));
    assert!(f.days[at].precip_mm > 0.3 && f.days[at].precip_mm < 1.5);
    let winter = (date(2024, 1, 15) - f.start).get_days() as usize;
    assert_eq!(f.marks[winter].tmin, Rule::GeneralClimate);
    assert!(f.days[winter].tmin_c < -10.0);
    assert!(!f.marks[winter].tmin.rests_on_the_day());
}

#[test]
fn the_best_rule_at_hand_is_used() {
    let mut d = run(date(2024, 7, 1), 6);
    d[1].rh_max_pct = Some(90.0);
    d[1].rh_min_pct = Some(40.0);
    d[2].rh_mean_pct = Some(65.0);
    d[3].tdew_c = Some(6.0);
    d[3].rh_mean_pct = Some(20.0);
    d[4].ea_kpa = Some(1.1);
    d[4].sunshine_h = Some(12.0);
    d[5].rs_mj_m2 = Some(21.0);
    d[5].wind_2m_ms = Some(4.5);
    let f = fill(&d, &SITE, &params());
    let rules: Vec<Rule> = f.marks.iter().map(|m| m.humidity).collect();
    assert_eq!(
        rules,
        [
            Rule::FromTmin,
            Rule::FromRhRange,
            Rule::FromRhMean,
            Rule::FromDewPoint,
            Rule::Measured,
            Rule::FromTmin
        ]
    );
    assert!((f.days[3].ea_kpa - humidity::e0(6.0)).abs() < 1e-12);
    assert_eq!(
        (f.marks[0].radiation, f.marks[4].radiation, f.marks[5].radiation),
        (Rule::FromTempRange, Rule::FromSunshine, Rule::Measured)
    );
    assert_eq!((f.marks[0].wind, f.days[0].wind_2m_ms), (Rule::UsualWind, 2.0));
    assert_eq!(f.days[5].wind_2m_ms, 4.5);
}

#[test]
fn impossible_values_are_holes_not_weather() {
    let mut d = run(date(2024, 7, 1), 9);
    d[2].tmax_c = Some(-9999.0);
    d[3].precip_mm = Some(-9900.0);
    d[5].tmin_c = Some(35.0);
    d[6].rs_mj_m2 = Some(90.0);
    let f = fill(&d, &SITE, &params());
    assert_eq!((f.marks[2].tmax, f.marks[3].precip), (Rule::Bridged, Rule::AssumedDry));
    assert_eq!(
        (f.marks[5].tmax, f.marks[5].tmin, f.marks[6].radiation),
        (Rule::Bridged, Rule::Bridged, Rule::FromTempRange)
    );
    assert!(f.days.iter().all(|x| x.tmax_c >= x.tmin_c && x.tmax_c > 10.0 && x.precip_mm >= 0.0));
    let all_out: Vec<_> = fill(&[], &SITE, &params()).days;
    assert!(all_out.is_empty());
}

#[test]
fn odd_things_are_said_in_sentences() {
    let mut d = run(date(2024, 7, 1), 30);
    d[1].tmax_c = Some(99.0);
    d[2].tmin_c = Some(30.0);
    d[3].precip_mm = Some(-9900.0);
    d[4].rs_mj_m2 = Some(36.0);
    d[5].tdew_c = Some(27.0);
    for r in &mut d[10..17] {
        r.tmin_c = Some(9.5);
    }
    let twice = d[20];
    d.push(twice);
    d.remove(25);
    let notes = quality::check(&d, &SITE);
    for (what, on) in [
        (What::OutOfRange, date(2024, 7, 2)),
        (What::Crossed, date(2024, 7, 3)),
        (What::Sentinel, date(2024, 7, 4)),
        (What::TooMuchSun, date(2024, 7, 5)),
        (What::Humidity, date(2024, 7, 6)),
        (What::Stuck, date(2024, 7, 11)),
        (What::Duplicate, date(2024, 7, 21)),
        (What::MissingDays, date(2024, 7, 25)),
    ] {
        assert_eq!(
            notes.iter().filter(|n| n.what == what && n.date == on).count(),
            1,
            "{what:?}: {notes:#?}"
        );
    }
    assert_eq!(notes.len(), 8, "{notes:#?}");
    assert!(notes.iter().all(|n| n.sentence.ends_with('.')));
    assert!(quality::check(&run(date(2024, 5, 1), 60), &SITE).is_empty(), "a sound record has nothing odd");
}

#[test]
fn a_typical_year_files_rain_is_refused() {
    let mut d = run(date(2024, 1, 1), 366);
    for r in d.iter_mut().step_by(20) {
        r.precip_mm = Some(380.0);
    }
    let notes = quality::check(&d, &SITE);
    assert_eq!(notes.iter().filter(|n| n.what == What::AbsurdTotal).count(), 1);
}
