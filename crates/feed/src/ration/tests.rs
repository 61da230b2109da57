use super::*;
use crate::ingredient;
use crate::market::{needs, offers};
use crate::need::{self, Choices, RatioSet};
use crate::{FeedParams, Phase};
use proptest::prelude::*;
use stook_optimise::Problem;

fn found(f: Formulated) -> Ration {
    match f {
        Formulated::Found(r) => *r,
        Formulated::Impossible(c) => panic!("no ration: {c:?}"),
    }
}

#[test]
fn every_growing_phase_has_a_ration_that_meets_its_need() {
    for phase in [
        Phase::Starter3,
        Phase::Grower1,
        Phase::Grower2,
        Phase::Finisher1,
        Phase::Finisher2,
        Phase::Gestation,
        Phase::Lactation,
    ] {
        let need = needs(phase);
        let r = found(formulate(&need, &offers(phase), Safety::default()).unwrap());
        assert!((r.parts.iter().map(|p| p.share).sum::<f64>() - 1.0).abs() < 1e-6);
        for s in &r.standing {
            assert!(s.miss() < 1e-5, "{}: {} {:?} {:?} {}", phase.words(), s.what, s.least, s.most, s.has);
        }
        assert!((150.0..600.0).contains(&r.cost_t), "{} {}", phase.words(), r.cost_t);
    }
}

#[test]
fn the_first_starter_is_not_made_of_wheat_and_soybean_meal() {
    let need = needs(Phase::Starter1);
    let Formulated::Impossible(conflict) =
        formulate(&need, &offers(Phase::Starter1), Safety::default()).unwrap()
    else {
        panic!("a starter without milk or fish meal was made")
    };
    let words = conflict_words(&conflict.expect("it is explained"));
    assert!(words[0].contains("cannot all be met") || words[0].starts_with("Nothing on offer"), "{words:?}");
    let with: Vec<Offer> = offers(Phase::Starter1)
        .into_iter()
        .chain(
            [("whey_dried", 1400.0), ("fish_meal", 2300.0), ("soy_fullfat", 700.0)]
                .map(|(k, p)| Offer::of_table(ingredient::find(k).unwrap(), Phase::Starter1, p)),
        )
        .chain(
            [("corn", 240.0), ("oats", 210.0)]
                .map(|(k, p)| Offer::of_table(ingredient::find(k).unwrap(), Phase::Starter1, p)),
        )
        .collect();
    let r = found(formulate(&need, &with, Safety::default()).unwrap());
    assert!(r.parts.iter().any(|p| p.key == "whey_dried" && p.share >= 0.1 - 1e-9));
}

#[test]
fn a_conflict_names_few_limits_and_what_each_would_cost() {
    let mut need = needs(Phase::Grower1);
    need.ca_max_pct = need.ca_min_pct - 0.05;
    let Formulated::Impossible(Some(c)) =
        formulate(&need, &offers(Phase::Grower1), Safety::default()).unwrap()
    else {
        panic!("not explained")
    };
    let names: Vec<_> = c.limits.iter().map(|l| l.name.as_str()).collect();
    assert_eq!(names.len(), 2, "{names:?}");
    assert!(names.contains(&"calcium, least") && names.contains(&"calcium, most"));
    let words = conflict_words(&c);
    assert!(
        words.iter().any(|w| w.contains("Give way on calcium, most: up") && w.contains("a tonne")),
        "{words:?}"
    );
}

#[test]
fn a_price_of_entry_brings_the_ingredient_in() {
    let need = needs(Phase::Finisher2);
    let mut all = offers(Phase::Finisher2);
    all.push(Offer::of_table(ingredient::find("corn").unwrap(), Phase::Finisher2, 400.0));
    let r = found(formulate(&need, &all, Safety::default()).unwrap());
    let corn = r.left_out.iter().find(|l| l.key == "corn").expect("dear corn stays out");
    let at = corn.comes_in_at.unwrap();
    assert!(at < 400.0);
    for (price, comes) in [(at + 0.5, false), (at - 0.5, true)] {
        all.last_mut().unwrap().price_t = price;
        let r = found(formulate(&need, &all, Safety::default()).unwrap());
        assert_eq!(r.parts.iter().any(|p| p.key == "corn"), comes, "at {price}");
    }
}

#[test]
fn the_ration_holds_over_the_price_range_it_names() {
    let need = needs(Phase::Grower2);
    let all = offers(Phase::Grower2);
    let base = found(formulate(&need, &all, Safety::default()).unwrap());
    for part in base.parts.iter().filter(|p| p.key != "premix") {
        let span = part.stays.unwrap();
        for price in [span.low.map(|x| x + 0.01), span.high.map(|x| x - 0.01)].into_iter().flatten() {
            let moved: Vec<Offer> = all
                .iter()
                .map(|o| if o.key == part.key { Offer { price_t: price, ..o.clone() } } else { o.clone() })
                .collect();
            let r = found(formulate(&need, &moved, Safety::default()).unwrap());
            for p in &base.parts {
                let now = r.parts.iter().find(|q| q.key == p.key).map_or(0.0, |q| q.share);
                assert!((now - p.share).abs() < 1e-5, "{} at {price} moves {}", part.key, p.key);
            }
        }
    }
}

#[test]
fn safety_costs_and_is_kept() {
    let need = needs(Phase::Grower1);
    let all: Vec<Offer> = offers(Phase::Grower1)
        .into_iter()
        .map(|o| {
            let cv = if o.class == "wheat_hrs" || o.class == "barley" { 0.1 } else { 0.04 };
            let lys_sd = if o.class == "lys_hcl" { 0.0 } else { cv * o.holds.of(Nutrient::Lys) };
            Offer { lys_sd, ..o }
        })
        .collect();
    let mut last = 0.0;
    for z in [0.0, 0.5, 0.842, 1.645] {
        let r = found(formulate(&need, &all, Safety { z }).unwrap());
        let shares: Vec<f64> =
            all.iter().map(|o| r.parts.iter().find(|p| p.key == o.key).map_or(0.0, |p| p.share)).collect();
        let over = r.holds.of(Nutrient::Lys) - need.lys_pct(r.holds.of(Nutrient::Ne));
        assert!(over >= z * lysine_sd(&all, &shares) - 1e-5, "z {z}: {over}");
        assert!(r.cost_t > last && r.rounds <= 12);
        last = r.cost_t;
    }
}

#[test]
fn a_batch_is_rounded_and_looked_at_again() {
    let p = FeedParams::shipped();
    for phase in [Phase::Starter3, Phase::Grower1, Phase::Finisher2, Phase::Lactation] {
        let (need, all) = (needs(phase), offers(phase));
        let r = found(formulate(&need, &all, Safety::default()).unwrap());
        let b = round_batch(p, &need, &all, &r, 2000.0);
        assert!(b.missed.is_empty(), "{}: {:?}", phase.words(), b.missed);
        assert!(
            (b.total_kg - 2000.0).abs() <= 2.0
                && (b.items.last().unwrap().runs_to_kg - b.total_kg).abs() < 1e-6
        );
        assert!((b.cost_t - r.cost_t).abs() < 2.0);
        for i in &b.items {
            let steps = i.kg / i.scale.step_kg(p);
            assert!((steps - steps.round()).abs() < 1e-6, "{} {}", i.name, i.kg);
        }
        assert_eq!(b.items[0].scale, Scale::Mixer, "the main grain goes in first");
        if let Some(oil) = b.items.iter().position(|i| i.key == "canola_oil") {
            assert_eq!(oil, b.items.len() - 1, "liquids last");
        }
    }
}

#[test]
fn toxin_is_held_to_its_limit() {
    let need = needs(Phase::Grower1);
    let mut all = offers(Phase::Grower1);
    all[0].don_ppm = 4.0;
    let r = found(formulate(&need, &all, Safety::default()).unwrap());
    assert!(r.don_ppm <= 1.0 + 1e-9);
    assert!(r.parts.iter().find(|p| p.key == "wheat_hrs").is_none_or(|p| p.share <= 0.25 + 1e-9));
}

#[test]
fn a_thousand_rations_of_random_prices_are_never_beaten() {
    // Vertices found by random costs, mixed at random: every mix is feasible, none is cheaper.
    use std::collections::hash_map::DefaultHasher;
    use std::hash::{Hash, Hasher};
    let (need, all) = (needs(Phase::Grower1), offers(Phase::Grower1));
    let best = cost_t(&need, &all).unwrap().unwrap();
    let random = |a: u64, b: u64| {
        let mut h = DefaultHasher::new();
        (a, b, "mix").hash(&mut h);
        (h.finish() >> 11) as f64 / (1_u64 << 53) as f64
    };
    let built = build(&need, &all);
    let vertices: Vec<Vec<f64>> = (0..60)
        .map(|k| {
            let mut p: Problem = built.problem.clone();
            for (i, c) in p.columns.iter_mut().enumerate() {
                c.cost = random(k, i as u64) - 0.5;
            }
            p.solve().unwrap().x
        })
        .collect();
    let mut lowest = f64::INFINITY;
    for k in 0..1000 {
        let weights: Vec<f64> = (0..vertices.len() as u64)
            .map(|j| -random(1000 + k, j).max(1e-12).ln())
            .map(|w| w.powi(3))
            .collect();
        let sum: f64 = weights.iter().sum();
        let x: Vec<f64> = (0..all.len())
            .map(|i| vertices.iter().zip(&weights).map(|(v, w)| w / sum * v[i]).sum())
            .collect();
        assert!(built.problem.worst_miss(&x) < 1e-6, "the mix is not feasible");
        lowest = lowest.min(built.problem.objective(&x));
    }
    assert!(lowest >= best - 1e-6, "{lowest} is cheaper than {best}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn the_price_of_a_limit_foretells_a_small_change(wheat in 150.0..320.0_f64, meal in 350.0..700.0_f64, row in 0usize..10) {
        let need = needs(Phase::Grower1);
        let all: Vec<Offer> = offers(Phase::Grower1)
            .into_iter()
            .map(|o| match o.key.as_str() {
                "wheat_hrs" => Offer { price_t: wheat, ..o },
                "sbm_dehulled" => Offer { price_t: meal, ..o },
                _ => o,
            })
            .collect();
        let built = build(&need, &all);
        let base = built.problem.solve_ranged().unwrap();
        let r = built.rows[1 + row].row;
        let place = r.index();
        let price = base.price(r);
        let span = base.ranges.as_ref().unwrap().limit[place];
        let lim = built.problem.rows[place].low.or(built.problem.rows[place].high).unwrap();
        for step in [1e-4_f64, -1e-4] {
            if span.is_some_and(|s| !s.holds(lim + step)) {
                continue;
            }
            let mut moved = built.problem.clone();
            let l = &mut moved.rows[place];
            l.low = l.low.map(|x| x + step);
            l.high = l.high.map(|x| x + step);
            let s = moved.solve().unwrap();
            prop_assume!(s.found());
            prop_assert!((s.objective - base.objective - price * step).abs() < 1e-5, "{} {} {}", built.rows[1 + row].what, s.objective - base.objective, price * step);
        }
    }
}

#[test]
fn ratios_of_the_table_cost_less_than_those_of_formulators() {
    let p = FeedParams::shipped();
    let cost = |set| {
        let need =
            need::need(p, Phase::Grower1, Choices { set, phytase_p_pct: Some(0.1), ..Choices::default() });
        cost_t(&need, &offers(Phase::Grower1)).unwrap().unwrap()
    };
    assert!(cost(RatioSet::Table) < cost(RatioSet::Formulators));
}
