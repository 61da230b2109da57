//! A whole season against what is known of dates on the northern plains.

use proptest::prelude::*;
use stook_crop::cover::cover;
use stook_crop::observe::Seen;
use stook_crop::ripening::KernelMoisture;
use stook_crop::{CropParams, Phase, WheatState};
use stook_weather::{Day, Forcing};

fn params() -> CropParams {
    *CropParams::shipped()
}

fn weather(tmax_c: f64, tmin_c: f64, rain_mm: f64) -> Forcing {
    Forcing {
        day: Day { tmax_c, tmin_c, precip_mm: rain_mm, rs_mj_m2: 20.0, ea_kpa: 1.2, wind_2m_ms: 3.0 },
        tmean_c: 0.5 * (tmax_c + tmin_c),
        rain_mm,
        snow_mm: 0.0,
        eto_mm: 4.0,
        vpd_kpa: 0.8,
        rh_min_pct: 45.0,
        rh_max_pct: 92.0,
        daylight_h: 15.0,
    }
}

/// Monthly mean extremes, C, April to September, from memory of published 30-year normals, to about a degree.
const FARGO: [(f64, f64); 6] =
    [(13.0, 0.5), (20.5, 7.5), (25.5, 13.5), (28.0, 15.5), (27.5, 14.0), (22.0, 9.0)];
const BRANDON: [(f64, f64); 6] =
    [(11.0, -2.5), (18.5, 4.0), (23.5, 10.0), (26.0, 12.5), (25.5, 11.0), (19.0, 5.5)];

/// Days of the months April to September.
const LENGTHS: [u32; 6] = [30, 31, 30, 31, 31, 30];

/// Weather on day `n` from 1 April (day 0), in a straight line between mid-months.
fn normal(months: &[(f64, f64); 6], n: u32) -> Forcing {
    let mut middle = 0.0;
    let mut middles = [0.0; 6];
    for (m, length) in middles.iter_mut().zip(LENGTHS) {
        *m = middle + 0.5 * f64::from(length);
        middle += f64::from(length);
    }
    let x = f64::from(n) + 0.5;
    let i = middles.iter().rposition(|m| *m <= x).unwrap_or(0).min(4);
    let share = (x - middles[i]) / (middles[i + 1] - middles[i]);
    let at = |a: f64, b: f64| a + share * (b - a);
    weather(at(months[i].0, months[i + 1].0), at(months[i].1, months[i + 1].1), 2.0)
}

/// First day after seeding on which each phase is reached, seeding on day `from` after 31 March.
fn dates(months: &[(f64, f64); 6], from: u32, p: &CropParams) -> Vec<(Phase, u32)> {
    let mut w = WheatState::sown(4.0, p);
    let mut seen = vec![];
    for n in from..183 {
        let f = normal(months, n);
        let phase = w.step(p, &f, f.tmean_c, true);
        if seen.last().is_none_or(|(last, _)| *last != phase) {
            seen.push((phase, n - from + 1));
        }
    }
    seen
}

fn days_to(phase: Phase, dates: &[(Phase, u32)]) -> f64 {
    f64::from(dates.iter().find(|(p, _)| *p == phase).expect("phase is reached").1)
}

#[test]
fn seeded_on_the_first_of_april_near_fargo_heads_about_the_tenth_of_june() {
    // Univ. Minnesota 2018: 70 days; the normals here are from memory, so six days either way.
    let d = days_to(Phase::Heading, &dates(&FARGO, 0, &params()));
    assert!((64.0..=76.0).contains(&d), "{d}");
}

#[test]
fn seeding_to_maturity_takes_83_to_98_days_in_manitoba() {
    // Prairie Grains 2006, hard red spring wheat, seeded about 8 May.
    let d = days_to(Phase::HardDough, &dates(&BRANDON, 37, &params()));
    assert!((83.0..=98.0).contains(&d), "{d}");
}

#[test]
fn every_phase_comes_once_and_in_order() {
    let seen = dates(&BRANDON, 37, &params());
    let phases: Vec<Phase> = seen.iter().map(|(p, _)| *p).collect();
    assert_eq!(phases, Phase::ALL);
}

#[test]
fn a_late_cultivar_heads_and_ripens_later() {
    let p = params();
    let (early, late) =
        (dates(&BRANDON, 37, &p.for_cultivar(-3.0)), dates(&BRANDON, 37, &p.for_cultivar(3.0)));
    let heads = days_to(Phase::Heading, &late) - days_to(Phase::Heading, &early);
    let ripe = days_to(Phase::Ripe, &late) - days_to(Phase::Ripe, &early);
    assert!((3.0..=5.0).contains(&heads), "{heads}");
    assert!((5.0..=8.0).contains(&ripe), "{ripe}");
    let same = p.for_cultivar(0.0);
    assert_eq!(same, p);
}

#[test]
fn grain_is_ready_about_two_weeks_after_fill_ends() {
    let p = params();
    let mut w = WheatState::sown(4.0, &p);
    w.re_anchor(Seen::Begun(Phase::Flowering), &p);
    let mut m = KernelMoisture::filling(&w, &p);
    let (mut full, mut ready) = (None, None);
    for day in 0..90 {
        let f = weather(26.0, 12.0, 0.0);
        w.step(&p, &f, 15.0, true);
        m.step(&w, &f, &p);
        if w.is_mature(&p) && full.is_none() {
            full = Some(day);
        }
        if m.pct() <= 18.0 && ready.is_none() {
            ready = Some(day);
        }
    }
    let days = ready.expect("dries") - full.expect("fills");
    assert!((10..=16).contains(&days), "{days}");
}

#[test]
fn a_measured_moisture_is_believed() {
    let p = params();
    let mut w = WheatState::sown(4.0, &p);
    w.re_anchor(Seen::Begun(Phase::SoftDough), &p);
    let mut m = KernelMoisture::measured(30.0);
    m.step(&w, &weather(26.0, 12.0, 0.0), &p);
    assert!((26.0..30.0).contains(&m.pct()), "{}", m.pct());
}

#[test]
fn days_since_flowering_count_from_the_day() {
    let p = params();
    let mut w = WheatState::sown(4.0, &p);
    w.re_anchor(Seen::Begun(Phase::Flowering), &p);
    assert_eq!(w.days_flowering, 0);
    for n in 1..=5 {
        w.step(&p, &weather(24.0, 12.0, 0.0), 15.0, true);
        assert_eq!(w.days_flowering, n);
    }
    assert_eq!(w.days_ripe, 0);
}

proptest! {
    #[test]
    fn warmer_is_never_behind(tmax in 5.0..30.0f64, range in 5.0..18.0f64, warmer in 0.0..5.0f64) {
        let p = params();
        let (mut a, mut b) = (WheatState::sown(4.0, &p), WheatState::sown(4.0, &p));
        for _ in 0..120 {
            let (fa, fb) = (weather(tmax, tmax - range, 0.0), weather(tmax + warmer, tmax + warmer - range, 0.0));
            let (pa, pb) = (a.step(&p, &fa, fa.tmean_c, true), b.step(&p, &fb, fb.tmean_c, true));
            prop_assert!(pb >= pa);
            prop_assert!(b.leaves(&p) >= a.leaves(&p) - 1e-9);
            let c = cover(&a, &p);
            prop_assert!((0.0..=p.cover.kcb_mid).contains(&c.kcb));
            prop_assert!((0.0..=p.cover.height_max_m).contains(&c.height_m));
            prop_assert!((p.cover.root_min_m..=p.cover.root_max_m).contains(&c.root_depth_m));
        }
    }

    #[test]
    fn kernels_never_gain_water_while_filling_and_dry(t in 15.0..32.0f64) {
        let p = params();
        let mut w = WheatState::sown(4.0, &p);
        w.re_anchor(Seen::Begun(Phase::Flowering), &p);
        let mut m = KernelMoisture::filling(&w, &p);
        for _ in 0..100 {
            let before = m.pct();
            let f = weather(t, t - 12.0, 0.0);
            w.step(&p, &f, 15.0, true);
            m.step(&w, &f, &p);
            prop_assert!(m.pct() <= before + 1e-9 && m.pct() > 8.0);
        }
    }
}
