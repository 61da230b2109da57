//! The expected-profit optimum: exact with a certain yield, and moved by spread as theory says.

use proptest::prelude::*;
use stook_fertility::response::expected::{at_ceiling, curves, expected_profit, profit_band};
use stook_fertility::response::optimum::NoOptimum;
use stook_fertility::response::{Ceiling, Curve, Follow, expected_optimum, optimum};

const GRAIN: f64 = 7.5;
const N: f64 = 0.65;
const TRIED_TO: f64 = 400.0;
const ALL: [Follow; 3] = [Follow::NeedPerYield, Follow::SameNeed, Follow::SameApproach];

fn shapes() -> [Curve; 4] {
    [
        Curve::QuadraticPlateau { plateau: 60.0, bend: 0.004, from: 120.0 },
        Curve::LinearPlateau { plateau: 60.0, slope: 0.3, from: 110.0 },
        Curve::Mitscherlich { ceiling: 60.0, c: 0.02, soil: 30.0 },
        Curve::Quadratic { b0: 32.0, b1: 0.46, b2: -0.0019 },
    ]
}

fn best(base: &Curve, soil: f64, yields: &[f64], follow: Follow, n_price: f64) -> f64 {
    let c = curves(base, soil, &Ceiling::equal(yields), follow).unwrap();
    expected_optimum(&c, GRAIN, n_price, TRIED_TO).unwrap().rate
}

#[test]
fn with_a_certain_yield_it_is_the_textbook_optimum() {
    for base in shapes() {
        let textbook = optimum(&base, N / GRAIN, TRIED_TO).unwrap();
        let own = base.ceiling().unwrap();
        for follow in ALL {
            for count in [1, 7] {
                let yields = vec![own; count];
                let c = curves(&base, 35.0, &Ceiling::equal(&yields), follow).unwrap();
                let e = expected_optimum(&c, GRAIN, N, TRIED_TO).unwrap();
                assert!(
                    (e.rate - textbook.rate).abs() < 1e-9,
                    "{base:?} {follow:?}: {} {}",
                    e.rate,
                    textbook.rate
                );
                assert!((e.yield_ - textbook.at_yield).abs() < 1e-9);
                assert!((e.profit - GRAIN * e.yield_ + N * e.rate).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn a_straight_rise_to_a_ceiling_takes_the_quantile_of_the_ceilings() {
    // Y = min(line, ceiling): the last unit pays with the chance that the ceiling is not reached yet, so the best rate
    // serves the year at quantile 1 - ratio / slope.
    let base = Curve::LinearPlateau { plateau: 50.0, slope: 0.25, from: 200.0 };
    let yields: Vec<f64> = (0..100).map(|i| 30.0 + 0.4 * f64::from(i)).collect();
    for ratio in [0.05, 0.1, 0.15, 0.2] {
        let n = best(&base, 0.0, &yields, Follow::NeedPerYield, ratio * GRAIN);
        let served = yields.iter().filter(|y| **y / 0.25 <= n + 1e-9).count();
        let wanted = (100.0 * (1.0 - ratio / 0.25)).round();
        assert!((served as f64 - wanted).abs() <= 1.0, "{ratio}: {served} {wanted}");
    }
}

#[test]
fn refusals_carry_over() {
    let upward = Curve::Quadratic { b0: 96.655, b1: 0.037, b2: 1.3e-4 };
    let one = Ceiling::equal(&[60.0]);
    assert_eq!(
        curves(&upward, 0.0, &one, Follow::SameNeed).unwrap_err().to_string(),
        NoOptimum::OpensUpward.to_string()
    );
    assert!(curves(&shapes()[0], 0.0, &[], Follow::SameNeed).is_err());
    assert!(curves(&shapes()[0], 0.0, &Ceiling::equal(&[50.0, 0.0]), Follow::SameNeed).is_err());
    let c = curves(&shapes()[0], 0.0, &one, Follow::SameNeed).unwrap();
    let e = expected_optimum(&c, GRAIN, N, 60.0).unwrap_err();
    assert!(e.to_string().contains("still rising at the highest rate tried (60.0)"), "{e}");
    assert!(expected_optimum(&c, GRAIN, 0.0, 60.0).is_err());
    let dear = expected_optimum(&c, GRAIN, 10.0 * N, 200.0).unwrap();
    assert!(dear.does_not_pay && dear.rate == 0.0);
}

#[test]
fn the_band_holds_the_expected_profit() {
    let yields: Vec<f64> = (0..40).map(|i| 35.0 + f64::from(i)).collect();
    let c = curves(&shapes()[0], 35.0, &Ceiling::equal(&yields), Follow::NeedPerYield).unwrap();
    for n in [0.0, 60.0, 120.0] {
        let band = profit_band(&c, n, GRAIN, N).unwrap();
        let mean = expected_profit(&c, n, GRAIN, N);
        assert!(band.p10 < mean && mean < band.p90);
    }
}

proptest! {
    #[test]
    fn spread_moves_the_rate_as_theory_says(mean in 45.0..75.0f64, spread in 0.0..0.5f64, wider in 0.0..0.3f64, soil in 0.0..60.0f64) {
        // two years as likely, the mean kept: a wider pair is a mean-preserving spread of a narrower one
        let base = shapes()[0];
        let pair = |s: f64| [mean * (1.0 - s), mean * (1.0 + s)];
        let (near, far) = (pair(spread), pair(spread + wider));
        let at = |y: &[f64], f: Follow, price: f64| best(&base, soil, y, f, price);
        // the last pounds are worth the same in any year: what is short in good years pulls up
        prop_assert!(at(&far, Follow::SameApproach, N) >= at(&near, Follow::SameApproach, N) - 1e-9);
        // the need is the same in any year: nothing moves
        prop_assert!((at(&far, Follow::SameNeed, N) - at(&near, Follow::SameNeed, N)).abs() < 1e-9);
        // the need follows the yield: short in both years, it falls
        let both_short = |y: &[f64; 2], n: f64| {
            let Some(Curve::QuadraticPlateau { from, .. }) = at_ceiling(&base, soil, y[0], Follow::NeedPerYield) else { unreachable!() };
            n < from
        };
        let (a, b) = (at(&near, Follow::NeedPerYield, N), at(&far, Follow::NeedPerYield, N));
        if both_short(&near, a) && both_short(&far, b) {
            prop_assert!(b <= a + 1e-9, "{} {}", a, b);
        }
        // nitrogen that costs next to nothing serves the better year, which is better the wider the spread
        let cheap = N / 500.0;
        prop_assert!(at(&far, Follow::NeedPerYield, cheap) >= at(&near, Follow::NeedPerYield, cheap) - 1e-9);
    }

    #[test]
    fn no_other_rate_is_expected_to_pay_more(yields in proptest::collection::vec(20.0..90.0f64, 1..12), n in 0.0..400.0f64, soil in 0.0..60.0f64) {
        for base in shapes() {
            for follow in ALL {
                let c = curves(&base, soil, &Ceiling::equal(&yields), follow).unwrap();
                if let Ok(e) = expected_optimum(&c, GRAIN, N, TRIED_TO) {
                    prop_assert!(expected_profit(&c, n, GRAIN, N) <= e.profit + 1e-6, "{:?} {:?}", base, follow);
                }
            }
        }
    }

    #[test]
    fn at_another_ceiling_the_shape_is_kept(ceiling in 20.0..100.0f64, n in 0.0..300.0f64, soil in 0.0..60.0f64) {
        for base in shapes() {
            let l = ceiling / base.ceiling().unwrap();
            for follow in ALL {
                let c = at_ceiling(&base, soil, ceiling, follow).unwrap();
                prop_assert!((c.ceiling().unwrap() - ceiling).abs() < 1e-9);
            }
            // the need follows the yield: scaled in both directions from where all supply is nothing
            let c = at_ceiling(&base, soil, ceiling, Follow::NeedPerYield).unwrap();
            prop_assert!((c.at(l * (n + soil) - soil) - l * base.at(n)).abs() < 1e-9 * l.max(1.0) * 100.0);
            let c = at_ceiling(&base, soil, ceiling, Follow::SameNeed).unwrap();
            prop_assert!((c.at(n) - l * base.at(n)).abs() < 1e-9 * 100.0);
        }
    }
}
