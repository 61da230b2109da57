use super::*;
use proptest::prelude::*;
use stook_weather::Day;

fn p() -> CropParams {
    *CropParams::shipped()
}

fn day(vpd_kpa: f64, rain_mm: f64) -> Forcing {
    Forcing {
        day: Day {
            tmax_c: 25.0,
            tmin_c: 12.0,
            precip_mm: rain_mm,
            rs_mj_m2: 20.0,
            ea_kpa: 1.2,
            wind_2m_ms: 3.0,
        },
        tmean_c: 18.5,
        rain_mm,
        snow_mm: 0.0,
        eto_mm: 4.5,
        vpd_kpa,
        rh_min_pct: 45.0,
        rh_max_pct: 92.0,
        daylight_h: 14.0,
    }
}

#[test]
fn forty_five_to_twenty_in_a_fortnight() {
    let p = p();
    let d = day(0.8, 0.0);
    let mut m = KernelMoisture::measured(45.0);
    let mut days = 0;
    while m.pct() > 20.0 {
        m.dry(&DryingDay::of(&d, &p), &p.ripening);
        days += 1;
    }
    assert!((13..=15).contains(&days), "{days}");
}

#[test]
fn fill_ends_at_thirty_seven_percent() {
    let r = p().ripening;
    assert!((filling_moisture_pct(dry_matter_pct(1.0, &r), &r) - 37.0).abs() < 1e-9);
    let early = filling_moisture_pct(dry_matter_pct(0.0, &r), &r);
    assert!((74.0..77.0).contains(&early), "{early}");
}

#[test]
fn rain_water_leaves_faster_than_the_kernels_own() {
    let p = p();
    let wet_day = DryingDay::of(&day(0.8, 10.0), &p);
    let dry_day = DryingDay::of(&day(0.8, 0.0), &p);
    let mut m = KernelMoisture::measured(15.0);
    m.dry(&wet_day, &p.ripening);
    assert!((m.rain_pct - 8.0).abs() < 1e-12);
    m.dry(&wet_day, &p.ripening);
    assert!(m.pct() <= p.ripening.rain_ceiling_pct + 1e-12);
    let before = m.pct();
    let mut own = KernelMoisture::measured(before);
    m.dry(&dry_day, &p.ripening);
    own.dry(&dry_day, &p.ripening);
    assert!(m.pct() < own.pct());
}

#[test]
fn thumb_ranges_hold_their_middle_and_fall() {
    let tests = [Thumb::Juice, Thumb::Mashes, Thumb::Dents, Thumb::Marks, Thumb::Cracks];
    for t in tests {
        let (middle, low, high) = thumb_moisture_pct(t);
        assert!(low < middle && middle < high);
    }
    for pair in tests.windows(2) {
        assert!(thumb_moisture_pct(pair[0]).0 > thumb_moisture_pct(pair[1]).0);
    }
}

proptest! {
    #[test]
    fn dries_to_equilibrium(start in 12.0..45.0f64, rain in 0.0..10.0f64, vpd in 0.0..3.0f64) {
        let p = p();
        let d = DryingDay::of(&day(vpd, 0.0), &p);
        let mut m = KernelMoisture { own_pct: start, rain_pct: rain };
        let mut gap = (m.pct() - d.equilibrium_pct).abs();
        for _ in 0..400 {
            m.dry(&d, &p.ripening);
            prop_assert!(m.rain_pct >= 0.0);
            if start >= d.equilibrium_pct {
                // never below the air's own moisture, never away from it
                prop_assert!(m.pct() >= d.equilibrium_pct - 1e-9);
                let now = (m.pct() - d.equilibrium_pct).abs();
                prop_assert!(now <= gap + 1e-12);
                gap = now;
            }
        }
        prop_assert!((m.pct() - d.equilibrium_pct).abs() < 0.01);
    }

    #[test]
    fn rain_never_lifts_above_the_ceiling(start in 10.0..27.9f64, rains in proptest::collection::vec(0.0..60.0f64, 1..20)) {
        let p = p();
        let mut m = KernelMoisture::measured(start);
        for mm in rains {
            m.dry(&DryingDay::of(&day(0.1, mm), &p), &p.ripening);
            prop_assert!(m.pct() <= p.ripening.rain_ceiling_pct + 1e-9);
        }
    }

    #[test]
    fn moisture_falls_as_the_kernel_fills(a in 0.0..1.0f64, more in 0.0..0.5f64) {
        let r = p().ripening;
        let b = (a + more).min(1.0);
        prop_assert!(dry_matter_pct(b, &r) >= dry_matter_pct(a, &r) - 1e-12);
        prop_assert!((0.0..=100.0).contains(&dry_matter_pct(a, &r)));
    }
}
