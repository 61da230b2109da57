//! A generator must give back the climate it was made from: 300 generated years are fitted again and compared.
//! Targets are those the project set itself; where a wider one is used the reason stands beside it.

use jiff::civil::{Date, date};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use stook_weather::climate::{Climate, Level, Month};
use stook_weather::generator::Generator;
use stook_weather::{Day, Site};

const SITE: Site = Site { lat_deg: 50.4, lon_deg: -104.6, elev_m: 577.0 };

fn dated(start: Date, days: Vec<Day>) -> Vec<(Date, Day)> {
    let mut on = start;
    days.into_iter()
        .map(|day| {
            let this = (on, day);
            on = on.tomorrow().unwrap();
            this
        })
        .collect()
}

fn years(climate: &Climate, n: usize, seed: u64) -> Vec<(Date, Day)> {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    let start = date(1701, 1, 1);
    dated(start, Generator::new(climate, &SITE).generate(start, n * 36525 / 100, &mut rng))
}

#[test]
fn fitted_again_it_is_the_same_climate() {
    let wanted = Climate::plains(&SITE);
    let got = Climate::fit(&years(&wanted, 300, 11), &SITE).unwrap();
    let near = |what: &str, m: usize, a: f64, b: f64, tol: f64| {
        assert!((a - b).abs() <= tol, "month {}: {what} {a:.3}, wanted {b:.3}", m + 1);
    };
    for (m, (g, w)) in got.months.iter().zip(&wanted.months).enumerate() {
        // Winter means of 300 years with slow warmth have a sampling error of 0.3 C themselves.
        let temp = if (3..10).contains(&m) { 0.4 } else { 0.8 };
        let mean = |x: &Month, of: fn(&Month) -> &[Level; 2]| x.overall(of(x));
        near("Tmax", m, mean(g, |x| &x.tmax_c), mean(w, |x| &x.tmax_c), temp);
        near("Tmin", m, mean(g, |x| &x.tmin_c), mean(w, |x| &x.tmin_c), temp);
        near("radiation", m, mean(g, |x| &x.rs_mj_m2), mean(w, |x| &x.rs_mj_m2), 0.3);
        near("wind", m, mean(g, |x| &x.wind_2m_ms), mean(w, |x| &x.wind_2m_ms), 0.1);
        near("wet share", m, g.wet_fraction(), w.wet_fraction(), 0.015);
        // Twelve wet days a month, amounts as wide as their mean and a slow factor beside: 3 % sampling error.
        near(
            "rain ratio",
            m,
            g.wet_fraction() * g.wet_mean_mm / (w.wet_fraction() * w.wet_mean_mm),
            1.0,
            0.10,
        );
        near("Tmax sd", m, g.tmax_c[0].sd / w.tmax_c[0].sd, 1.0, 0.08);
        near("Tmin sd", m, g.tmin_c[1].sd / w.tmin_c[1].sd, 1.0, 0.10);
    }
    let rain = got.annual_precip_mm() / wanted.annual_precip_mm();
    assert!((rain - 1.0).abs() < 0.03, "{rain}");
    for i in 0..3 {
        for j in 0..3 {
            // Radiation is held between dusk-dark and clear sky, which takes a little off its correlations.
            let tol = if i == 2 || j == 2 { 0.05 } else { 0.02 };
            assert!((got.m0[i][j] - wanted.m0[i][j]).abs() < tol, "M0 {:?} {:?}", got.m0, wanted.m0);
            assert!((got.m1[i][j] - wanted.m1[i][j]).abs() < tol, "M1 {:?} {:?}", got.m1, wanted.m1);
        }
    }
    // The record's slow terms forget over 30 days, the fitted two over 15 and 120: together they carry as much.
    let share = got.slow.temp_share + got.slow.season_temp_share;
    let rain = got.slow.rain_sd.hypot(got.slow.season_rain_sd);
    assert!((share - wanted.slow.temp_share).abs() < 0.04, "{:?}", got.slow);
    assert!((rain - wanted.slow.rain_sd).abs() < 0.12, "{:?}", got.slow);
}

#[test]
fn slow_terms_make_years_less_alike() {
    let with = Climate::plains(&SITE);
    let mut without = with.clone();
    without.slow = stook_weather::climate::Slow::default();
    let spread = |climate: &Climate| {
        let days = years(climate, 200, 5);
        let mut totals: Vec<f64> = Vec::new();
        for y in 1701..1900i16 {
            totals.push(
                days.iter()
                    .filter(|(d, _)| d.year() == y && (5..=8).contains(&d.month()))
                    .map(|(_, d)| d.precip_mm)
                    .sum(),
            );
        }
        let mean = totals.iter().sum::<f64>() / totals.len() as f64;
        (totals.iter().map(|t| (t - mean).powi(2)).sum::<f64>() / totals.len() as f64).sqrt() / mean
    };
    let (a, b) = (spread(&with), spread(&without));
    assert!(a > 1.1 * b, "growing-season rain varies {a:.3} with and {b:.3} without");
}

#[test]
fn every_day_is_possible_and_the_seed_rules() {
    let climate = Climate::plains(&SITE);
    let table = stook_weather::forcing::SiteTable::new(&SITE);
    let all = years(&climate, 60, 3);
    for (on, d) in &all {
        let sun = table.sun(on.day_of_year().unsigned_abs());
        assert!(
            d.tmax_c > d.tmin_c && d.precip_mm >= 0.0 && d.ea_kpa > 0.0 && d.wind_2m_ms > 0.0,
            "{on} {d:?}"
        );
        // One day's sun may be that of the day before in a table of leap years.
        assert!(d.rs_mj_m2 > 0.0 && d.rs_mj_m2 <= sun.rso_mj_m2 * 1.02, "{on} {d:?}");
        assert!(d.tmax_c < 50.0 && d.tmin_c > -60.0, "{on} {d:?}");
    }
    assert_eq!(all, years(&climate, 60, 3));
    assert_ne!(all[0].1, years(&climate, 60, 4)[0].1);
}
