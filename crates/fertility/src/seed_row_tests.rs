//! Tests of the seed row.

use proptest::prelude::*;

use super::*;
use crate::seed_row::UreaCell;

fn p() -> SeedRowParams {
    crate::FertilityParams::shipped().seed_row
}

fn row() -> SeedRow {
    SeedRow {
        texture: Texture::Medium,
        spread_in: 1.0,
        spacing_in: 9.0,
        double_disc: false,
        dry: false,
        province: Province::Manitoba,
        urea_n_lb_ac: 15.0,
        other_n_lb_ac: 5.0,
        p2o5_lb_ac: 25.0,
        k2o_lb_ac: 0.0,
        anhydrous_n_lb_ac: 0.0,
    }
}

const ALL: [Texture; 3] = [Texture::Light, Texture::Medium, Texture::Heavy];

#[test]
fn the_table_is_in_order() {
    for t in ALL {
        let x: Vec<f64> = UreaCell::shipped()
            .iter()
            .filter(|c| c.texture == t)
            .map(|c| c.spread_in / c.spacing_in)
            .collect();
        assert_eq!(x.len(), 7);
        assert!(x.windows(2).all(|w| w[0] < w[1]));
    }
}

#[test]
fn every_refusal_says_limit_reason_and_way_out() {
    assert!(check(&row(), &p()).is_safe());
    let refused = |r: SeedRow| {
        let c = check(&r, &p());
        assert_eq!(c.refusals.len(), 1, "{c:?}");
        c.refusals[0].sentence()
    };
    let s = refused(SeedRow { urea_n_lb_ac: 25.0, ..row() });
    assert!(s.contains("15 is the limit on medium soil with 11 % of the seedbed used"), "{s}");
    assert!(
        s.contains("other 10 in a side or mid-row band") && s.contains("A spread of 2.0 in would"),
        "{s}"
    );
    let s = refused(SeedRow { dry: true, ..row() });
    assert!(s.contains("7 is the limit") && s.contains("halved"), "{s}");
    let disc =
        SeedRow { texture: Texture::Light, spacing_in: 6.0, double_disc: true, urea_n_lb_ac: 5.0, ..row() };
    let s = refused(disc.clone());
    assert!(s.contains("double-disc drill on light soil") && !s.contains("A spread of"), "{s}");
    assert!(check(&SeedRow { double_disc: false, ..disc }, &p()).is_safe());
    let s = refused(SeedRow { p2o5_lb_ac: 60.0, ..row() });
    assert!(s.contains("50 is the published limit") && s.contains("other 10"), "{s}");
    let s = refused(SeedRow { k2o_lb_ac: 15.0, ..row() });
    assert!(s.contains("together may be 26") && s.contains("leaves 6"), "{s}");
    assert!(refused(SeedRow { anhydrous_n_lb_ac: 1.0, ..row() }).starts_with("Anhydrous ammonia never"));
}

#[test]
fn cautions_are_there_when_due() {
    let c = check(&row(), &p()).cautions;
    assert_eq!(c, [Caution::Moisture, Caution::OtherNitrogen, Caution::Close]);
    let quiet = SeedRow { urea_n_lb_ac: 5.0, other_n_lb_ac: 0.0, dry: true, ..row() };
    assert_eq!(check(&quiet, &p()).cautions, [Caution::Dry]);
}

proptest! {
    #[test]
    fn more_seedbed_heavier_soil_or_more_water_never_bears_less(used in 0.0..1.0f64, more in 0.0..0.3f64) {
        for t in ALL {
            prop_assert!(urea_limit_lb_ac(t, used + more) >= urea_limit_lb_ac(t, used));
            let limit = urea_limit_lb_ac(t, used);
            prop_assert!(limit == limit.floor() && limit >= 0.0);
        }
        let by_texture = ALL.map(|t| urea_limit_lb_ac(t, used));
        prop_assert!(by_texture[0] <= by_texture[1] && by_texture[1] <= by_texture[2]);
    }

    #[test]
    fn what_is_within_the_limits_is_never_refused(
        t in 0..3usize, spread in 0.5..4.0f64, spacing in 6.0..15.0f64, dry in any::<bool>(), k in 0.0..1.0f64,
    ) {
        let bare = SeedRow {
            texture: ALL[t], spread_in: spread, spacing_in: spacing, dry, urea_n_lb_ac: 0.0, other_n_lb_ac: 3.0, ..row()
        };
        let urea = limits(&bare, &p()).urea_n_lb_ac;
        let with_urea = SeedRow { urea_n_lb_ac: urea, p2o5_lb_ac: 50.0, ..bare };
        let k2o = limits(&with_urea, &p()).k2o_lb_ac * k;
        let full = SeedRow { k2o_lb_ac: k2o, ..with_urea };
        prop_assert!(check(&full, &p()).is_safe());
        let over = SeedRow { urea_n_lb_ac: urea + 1.0, k2o_lb_ac: 0.0, ..full };
        prop_assert!(!check(&over, &p()).is_safe());
    }

    #[test]
    fn the_wider_spread_it_names_bears_the_rate(t in 0..3usize, n in 1.0..50.0f64, spacing in 6.0..12.0f64) {
        let r = SeedRow { texture: ALL[t], spread_in: 0.4, spacing_in: spacing, urea_n_lb_ac: n, ..row() };
        for refusal in check(&r, &p()).refusals {
            if let Refusal::Urea { spread_in: Some(s), .. } = refusal {
                let again = SeedRow { spread_in: s, ..r.clone() };
                prop_assert!(limits(&again, &p()).urea_n_lb_ac >= n - 1e-9, "{} in for {}", s, n);
            }
        }
    }
}
