//! The blends of a whole farm: nutrients close, nothing is negative, no limit is passed, more blends never cost more.

use proptest::prelude::*;
use stook_fertility::product::Product;
use stook_fertility::{Nutrient, Nutrients};
use stook_inputs::blend::{Carrier, Job, Land, Meter, Offer, Plan, PlanError, RowLimits, Settings, plan};

fn offers(prices: [f64; 5]) -> Vec<Offer> {
    ["urea", "map", "potash", "ams", "dap"]
        .iter()
        .zip(prices)
        .map(|(key, per_kg)| {
            let p = Product::of(key).unwrap();
            Offer {
                key: p.key.clone(),
                name: p.name.clone(),
                grade_pct: p.grade_pct(),
                per_kg,
                near_seed: p.key != "dap",
                least_kg: 0.0,
                least_kg_ha: 0.0,
                carrier: Carrier::Dry,
            }
        })
        .collect()
}

/// A solution, ammonia and a liquid phosphate beside the dry ones, and a least rate on ammonium sulphate.
fn with_fluids(mut dry: Vec<Offer>, least: f64) -> Vec<Offer> {
    for (key, carrier, near_seed) in [
        ("uan28", Carrier::Liquid, false),
        ("anhydrous", Carrier::Gas, false),
        ("app10_34", Carrier::Liquid, true),
    ] {
        let p = Product::of(key).unwrap();
        dry.push(Offer {
            key: p.key.clone(),
            name: p.name.clone(),
            grade_pct: p.grade_pct(),
            per_kg: 0.011 * (p.n_pct + p.p2o5_pct),
            near_seed,
            least_kg: 0.0,
            least_kg_ha: 0.0,
            carrier,
        });
    }
    dry[3].least_kg_ha = least;
    dry
}

fn jobs() -> impl Strategy<Value = Job> {
    let land = (
        30.0..110.0f64,
        40.0..130.0f64,
        0.0..50.0f64,
        0.0..40.0f64,
        0.0..18.0f64,
        0.0..40.0f64,
        any::<bool>(),
    );
    let prices = prop::array::uniform5(0.4..1.1f64);
    let limits = (any::<bool>(), 0.0..40.0f64, 0.0..60.0f64, prop::option::of(200.0..500.0f64), 0.0..30.0f64);
    let steps = prop::sample::select(vec![0.5, 1.0, 2.0, 5.0]);
    (prop::collection::vec(land, 1..6), prices, 1usize..5, steps, limits).prop_map(
        |(lands, prices, most_blends, step, (wet, seed_least, band_least, band_most, least))| Job {
            lands: lands
                .into_iter()
                .enumerate()
                .map(|(i, (area_ha, n, p, k, s, seed, some))| Land {
                    key: format!("f{i}"),
                    name: format!("Field {i}"),
                    area_ha,
                    need_kg_ha: Nutrients::new(n, p, if some { k } else { 0.0 }, s),
                    with_seed_kg_ha: Nutrients::new(0.0, if some { seed.min(p) } else { 0.0 }, 0.0, 0.0),
                    limits: RowLimits { urea_n_kg_ha: 22.0, p2o5_kg_ha: Some(33.0), n_k_kg_ha: 20.0 },
                    band: true,
                    no_gas: i % 2 == 0,
                })
                .collect(),
            offers: if wet { with_fluids(offers(prices), least) } else { offers(prices) },
            settings: Settings {
                most_blends,
                rate_step_kg_ha: step,
                part_step_kg_t: 10.0,
                rate_max_kg_ha: 800.0,
                short_kg_ha: 0.5,
                n_over_kg_ha: 25.0,
                blend_least_kg: 0.0,
                seed_meter: Meter { least_kg_ha: seed_least, most_kg_ha: None },
                band_meter: Meter { least_kg_ha: band_least, most_kg_ha: band_most },
            },
        },
    )
}

/// What must hold of any plan.
fn sound(job: &Job, plan: &Plan) -> Result<(), TestCaseError> {
    prop_assert!(plan.blends.len() <= job.settings.most_blends);
    // A step of the drill may leave a little out that the floor counts.
    let step = job.settings.rate_step_kg_ha.max(job.settings.short_kg_ha);
    let borne: f64 = job.lands.iter().map(|l| l.area_ha * 2.0 * step * 1.1).sum();
    prop_assert!(plan.money >= plan.floor - borne, "{} below the floor {}", plan.money, plan.floor);
    let mut kg = vec![0.0; job.offers.len()];
    let mut money = 0.0;
    for f in &plan.fields {
        let land = &job.lands[f.land];
        let mut supplied = Nutrients::NONE;
        for (blend, rate) in [f.with_seed, f.band, f.fluid].into_iter().flatten() {
            prop_assert!(rate > 0.0 && rate <= job.settings.rate_max_kg_ha);
            let steps = rate / job.settings.rate_step_kg_ha;
            prop_assert!((steps - steps.round()).abs() < 1e-6, "{rate} is no step");
            for (o, share) in &plan.blends[blend].mix.parts {
                prop_assert!(*share > 0.0);
                prop_assert!(
                    rate * share >= job.offers[*o].least_kg_ha - 1e-6,
                    "below the least of a product"
                );
                prop_assert!(job.offers[*o].carrier == Carrier::Dry || *share == 1.0, "a liquid goes alone");
                supplied += job.offers[*o].of_kg().times(rate * share);
                kg[*o] += rate * share * land.area_ha;
                money += rate * share * land.area_ha * job.offers[*o].per_kg;
            }
        }
        for n in Nutrient::ALL {
            prop_assert!((supplied[n] - f.supplied_kg_ha[n]).abs() < 1e-9);
            prop_assert!(
                supplied[n] >= land.need_kg_ha[n] - job.settings.short_kg_ha - 1e-5,
                "{} short of {}",
                land.name,
                n.name()
            );
        }
        if let Some((blend, rate)) = f.with_seed {
            let g = plan.blends[blend].mix.of_kg(&job.offers);
            let urea = plan.blends[blend].mix.urea_n_of_kg(&job.offers);
            prop_assert!(rate * (g.n - urea) <= land.limits.n_k_kg_ha + 1e-9);
            prop_assert!(rate * urea <= land.limits.urea_n_kg_ha + 1e-9);
            prop_assert!(rate * g.p2o5 <= land.limits.p2o5_kg_ha.unwrap() + 1e-9, "{rate} of {g:?}");
            prop_assert!(g.k2o == 0.0 || !land.band);
        }
        for (stream, meter) in [(f.with_seed, job.settings.seed_meter), (f.band, job.settings.band_meter)] {
            let Some((b, rate)) = stream else { continue };
            if plan.blends[b].mix.carrier(&job.offers) == Carrier::Dry {
                prop_assert!(rate >= meter.least_kg_ha - 1e-9, "{rate} below the meter's least");
                prop_assert!(meter.most_kg_ha.is_none_or(|most| rate <= most + 1e-9));
            }
        }
        let carried = |x: Option<(usize, f64)>| x.map(|(b, _)| plan.blends[b].mix.carrier(&job.offers));
        prop_assert!(carried(f.band).is_none_or(|c| c == Carrier::Dry));
        prop_assert!(
            carried(f.fluid).is_none_or(|c| c != Carrier::Dry && !(land.no_gas && c == Carrier::Gas))
        );
        prop_assert!(carried(f.with_seed) != Some(Carrier::Gas), "ammonia with the seed");
        let liquid = Some(Carrier::Liquid);
        prop_assert!(
            !(carried(f.with_seed) == liquid && carried(f.fluid) == liquid),
            "one liquid, two places"
        );
        let most = land.need_kg_ha.n + job.settings.n_over_kg_ha + 0.82 * job.settings.rate_step_kg_ha;
        prop_assert!(supplied.n <= most + 1e-6);
    }
    for (ours, theirs) in kg.iter().zip(&plan.product_kg) {
        prop_assert!((ours - theirs).abs() < 1e-6 * ours.max(1.0) && *ours >= 0.0);
    }
    prop_assert!((money - plan.money).abs() < 1e-6 * money.max(1.0));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn every_plan_is_sound_and_one_more_blend_never_costs_more(job in jobs()) {
        let first = plan(&job);
        let mut more = job.clone();
        more.settings.most_blends += 1;
        let second = plan(&more);
        match (first, second) {
            (Ok(a), Ok(b)) => {
                sound(&job, &a)?;
                sound(&more, &b)?;
                prop_assert!(b.money <= a.money + 1e-6, "{} and {}", a.money, b.money);
            }
            (Err(PlanError::TooFew { .. }), Ok(b)) => sound(&more, &b)?,
            (Err(PlanError::TooFew { .. }), Err(PlanError::TooFew { .. })) => {}
            // However many blends: a least rate is in the way.
            (Err(PlanError::Least { field: a }), Err(PlanError::Least { field: b })) => prop_assert_eq!(a, b),
            (a, b) => prop_assert!(false, "{a:?} {b:?}"),
        }
    }
}

#[test]
fn a_solution_makes_up_the_nitrogen_beside_dry_blends() {
    let mut job = three();
    job.offers = with_fluids(job.offers, 0.0);
    job.offers[6].per_kg = 9.0; // ammonia too dear
    job.offers[5].per_kg = 0.2;
    let p = plan(&job).unwrap();
    for f in &p.fields {
        let (b, rate) = f.fluid.unwrap();
        assert_eq!(p.blends[b].mix.parts, [(5, 1.0)]);
        assert!(rate > 100.0 && f.supplied_kg_ha.n >= job.lands[f.land].need_kg_ha.n - 0.5);
    }
    // Ammonia when it is the cheaper, but not where the band lies on the surface.
    job.offers[6].per_kg = 0.3;
    job.lands[1].no_gas = true;
    let p = plan(&job).unwrap();
    let gas = |i: usize| p.fields[i].fluid.is_some_and(|(b, _)| p.blends[b].mix.parts == [(6, 1.0)]);
    assert!(gas(0) && !gas(1), "{:#?}", p.fields);
}

/// Three fields and the products of a dealer; only MAP lies with the seed, as on most farms with a band.
fn three() -> Job {
    let mut offers = offers([0.64, 0.86, 0.58, 0.50, 0.88]);
    for o in &mut offers {
        o.near_seed = o.key == "map";
    }
    let land = |name: &str, need: [f64; 4], seed: f64| Land {
        key: name.into(),
        name: name.into(),
        area_ha: 64.0,
        need_kg_ha: Nutrients::new(need[0], need[1], need[2], need[3]),
        with_seed_kg_ha: Nutrients::new(0.0, seed, 0.0, 0.0),
        limits: RowLimits { urea_n_kg_ha: 22.0, p2o5_kg_ha: Some(56.0), n_k_kg_ha: 20.0 },
        band: true,
        no_gas: false,
    };
    Job {
        lands: vec![
            land("North", [95.0, 34.0, 0.0, 11.0], 34.0),
            land("South", [70.0, 28.0, 17.0, 11.0], 28.0),
            land("Creek", [105.0, 34.0, 0.0, 0.0], 34.0),
        ],
        offers,
        settings: Settings {
            most_blends: 4,
            rate_step_kg_ha: 1.0,
            part_step_kg_t: 10.0,
            rate_max_kg_ha: 600.0,
            short_kg_ha: 0.5,
            n_over_kg_ha: 20.0,
            blend_least_kg: 0.0,
            seed_meter: Meter::default(),
            band_meter: Meter::default(),
        },
    }
}

#[test]
fn with_enough_blends_each_field_has_its_own_within_the_steps() {
    let p = plan(&three()).unwrap();
    assert!(p.money < p.floor * 1.01, "{} {}", p.money, p.floor);
    // Phosphate goes with the seed as MAP alone, the same for all three.
    let map = p.fields[0].with_seed.unwrap().0;
    assert!(p.fields.iter().all(|f| f.with_seed.unwrap().0 == map), "{p:#?}");
    assert_eq!(p.blends[map].mix.parts, [(1, 1.0)]);
}

#[test]
fn fewer_blends_cost_more_and_one_cannot_do() {
    let with = |k: usize| {
        let mut job = three();
        job.settings.most_blends = k;
        plan(&job)
    };
    let money: Vec<f64> = (2..=4).map(|k| with(k).unwrap().money).collect();
    assert!(money[0] > money[1] && money[1] > money[2], "{money:?}");
    let e = with(1).unwrap_err().to_string();
    assert!(e.starts_with("no 1 blends serve all 3 fields") && e.ends_with("allow one more blend"), "{e}");
}

#[test]
fn the_dealers_least_is_kept() {
    // A small field whose own blend would be four tonnes.
    let mut job = three();
    job.lands[1].area_ha = 20.0;
    let free = plan(&job).unwrap();
    job.settings.blend_least_kg = 9_000.0;
    let p = plan(&job).unwrap();
    assert!(p.blends.iter().all(|b| b.kg >= 9_000.0 - 1e-6), "{:?}", p.blends);
    assert!(
        free.blends.iter().any(|b| b.kg < 9_000.0) && p.money > free.money,
        "the least must bite to be tested"
    );
    let mut job = three();
    job.settings.most_blends = 3;
    let free = plan(&job).unwrap();
    job.offers[2].least_kg = free.product_kg[2] + 100.0;
    // Either another set of mixes takes up so much potash, or it cannot be had at all: never a little of it.
    match plan(&job) {
        Ok(p) => assert!(p.product_kg[2] >= job.offers[2].least_kg - 1e-6, "{:?}", p.product_kg),
        Err(e) => assert!(matches!(e, PlanError::TooFew { .. }), "{e}"),
    }
    job.offers[2].least_kg = free.product_kg[2] - 1.0;
    assert!((plan(&job).unwrap().money - free.money).abs() < 1e-3 * free.money);
}

#[test]
fn a_seed_row_over_its_limit_is_capped_and_the_band_makes_it_up() {
    let mut job = three();
    job.lands[0].need_kg_ha.p2o5 = 80.0;
    job.lands[0].with_seed_kg_ha.p2o5 = 70.0;
    let p = plan(&job).unwrap();
    let f = &p.fields[0];
    let (b, rate) = f.with_seed.unwrap();
    assert!(f.capped && rate * p.blends[b].mix.of_kg(&job.offers).p2o5 <= 56.0, "{p:#?}");
    assert!(f.supplied_kg_ha.p2o5 >= 79.5 - 1e-6);
}

#[test]
fn where_all_goes_with_the_seed_the_limits_hold_or_it_is_refused() {
    let mut job = three();
    for o in &mut job.offers {
        o.near_seed = o.key != "dap";
    }
    for l in &mut job.lands {
        l.band = false;
        l.need_kg_ha = Nutrients::new(15.0, 30.0, 0.0, 0.0);
    }
    let p = plan(&job).unwrap();
    for f in &p.fields {
        assert!(f.band.is_none());
        let (b, rate) = f.with_seed.unwrap();
        assert!(rate * p.blends[b].mix.urea_n_of_kg(&job.offers) <= 22.0);
    }
    job.lands[1].need_kg_ha.n = 90.0;
    let e = plan(&job).unwrap_err().to_string();
    assert!(e.contains("South") && e.contains("urea N with the seed at most 22"), "{e}");
}
