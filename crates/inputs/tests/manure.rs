//! The manure plan: nutrients close, limits hold, and no shuffling of loads beats it.

use proptest::prelude::*;
use stook_fertility::Nutrients;
use stook_inputs::manure::plan::{Ground, Job, Plan, Store, plan};

fn store(name: &str, held: f64, must: f64) -> Store {
    Store {
        key: name.into(),
        name: name.into(),
        held_m3: held,
        must_m3: must,
        available_kg_m3: Nutrients::new(1.775, 0.48, 1.73, 0.0),
        whole_kg_m3: Nutrients::new(3.5, 0.69, 1.93, 0.0),
    }
}

fn ground(name: &str, need: [f64; 3], haul: f64) -> Ground {
    Ground {
        key: name.into(),
        name: name.into(),
        area_ha: 40.0,
        need_kg_ha: Nutrients::new(need[0], need[1], need[2], 0.0),
        p2o5_most_kg_ha: None,
        later_p_share: 0.5,
        pass_per_ha: 0.0,
        haul_per_m3: vec![haul],
    }
}

fn job(grounds: Vec<Ground>, held: f64, must: f64) -> Job {
    Job {
        stores: vec![store("pit", held, must)],
        grounds,
        per_kg: Nutrients::new(1.4, 1.3, 0.8, 0.0),
        least_m3_ha: 20.0,
        most_m3_ha: 110.0,
    }
}

#[test]
fn the_near_field_that_needs_phosphate_comes_first_and_nitrogen_binds() {
    let j = job(
        vec![ground("far", [90.0, 30.0, 20.0], 3.0), ground("near", [90.0, 30.0, 20.0], 2.0)],
        3000.0,
        0.0,
    );
    let p = plan(&j).unwrap();
    let first = &p.spreads[0];
    assert_eq!(j.grounds[first.ground].name, "near");
    // All of it at the nitrogen rate: 90 / 1.775 m3/ha.
    assert!(
        (first.rate_m3_ha - 90.0 / 1.775).abs() < 1e-6 && (first.area_ha - 40.0).abs() < 1e-6,
        "{first:?}"
    );
    assert!((first.m3[0] + p.spreads[1].m3[0] - 3000.0).abs() < 1e-6);
    // One m3 more would go to the far field.
    let more = plan(&job(j.grounds.clone(), 3001.0, 0.0)).unwrap();
    assert!((more.net - p.net - p.worth_per_m3[0]).abs() < 1e-6 && p.worth_per_m3[0] > 0.0);
}

#[test]
fn what_is_not_worth_its_haul_stays_unless_it_must_leave() {
    let grounds = vec![ground("far", [90.0, 30.0, 20.0], 60.0)];
    let p = plan(&job(grounds.clone(), 1000.0, 0.0)).unwrap();
    assert!(p.spreads.is_empty() && (p.left_m3[0] - 1000.0).abs() < 1e-9);
    let p = plan(&job(grounds.clone(), 1000.0, 400.0)).unwrap();
    assert!((p.left_m3[0] - 600.0).abs() < 1e-6 && p.net < 0.0);
    // More than the land takes: said, with how much would fit.
    let e = plan(&job(grounds, 9000.0, 9000.0)).unwrap_err().to_string();
    assert!(e.contains("what must leave pit") && e.contains("would fit at 2028"), "{e}");
}

#[test]
fn the_law_on_phosphate_binds_before_nitrogen() {
    let mut g = ground("rich", [90.0, 0.0, 0.0], 1.0);
    g.p2o5_most_kg_ha = Some(20.0);
    let p = plan(&job(vec![g], 3000.0, 0.0)).unwrap();
    let s = &p.spreads[0];
    assert_eq!(s.binds, Some(stook_fertility::manure::rate::Binds::Phosphate));
    assert!((s.whole_kg_ha.p2o5 - 20.0).abs() < 1e-6);
}

fn jobs() -> impl Strategy<Value = Job> {
    let g = (
        20.0..100.0f64,
        0.0..130.0f64,
        0.0..50.0f64,
        0.0..40.0f64,
        prop::option::of(10.0..80.0f64),
        1.5..8.0f64,
    );
    (prop::collection::vec(g, 1..6), 300.0..6000.0f64, 40.0..110.0f64).prop_map(|(gs, held, most)| {
        let grounds = gs
            .into_iter()
            .enumerate()
            .map(|(i, (area_ha, n, p, k, law, haul))| Ground {
                area_ha,
                p2o5_most_kg_ha: law,
                pass_per_ha: 10.0 * haul,
                ..ground(&format!("f{i}"), [n, p, k], haul)
            })
            .collect();
        Job { most_m3_ha: most, ..job(grounds, held, 0.0) }
    })
}

/// What some m3 on some area of a field are worth over their haul; none where a limit is passed.
fn worth(j: &Job, g: usize, m3: f64, area: f64) -> Option<f64> {
    let (ground, store) = (&j.grounds[g], &j.stores[0]);
    let rate = m3 / area;
    let has = store.available_kg_m3.times(rate);
    let law = ground.p2o5_most_kg_ha.is_none_or(|most| store.whole_kg_m3.p2o5 * rate <= most);
    if rate < j.least_m3_ha
        || rate > j.most_m3_ha
        || has.n > ground.need_kg_ha.n
        || !law
        || area > ground.area_ha
    {
        return None;
    }
    let p_now = has.p2o5.min(ground.need_kg_ha.p2o5);
    let later = (has.p2o5 - p_now) * ground.later_p_share;
    let money = has.n * j.per_kg.n
        + (p_now + later) * j.per_kg.p2o5
        + has.k2o.min(ground.need_kg_ha.k2o) * j.per_kg.k2o;
    Some((money - ground.pass_per_ha) * area - m3 * ground.haul_per_m3[0])
}

fn sound(j: &Job, p: &Plan) -> Result<(), TestCaseError> {
    let mut out = 0.0;
    let mut money = 0.0;
    for s in &p.spreads {
        let (g, m3) = (&j.grounds[s.ground], s.m3[0]);
        out += m3;
        money += s.saved - s.haul;
        prop_assert!(m3 > 0.0 && s.area_ha <= g.area_ha + 1e-6);
        prop_assert!(s.rate_m3_ha >= j.least_m3_ha - 1e-6 && s.rate_m3_ha <= j.most_m3_ha + 1e-6);
        prop_assert!(s.available_kg_ha.n <= g.need_kg_ha.n + 1e-6);
        prop_assert!(g.p2o5_most_kg_ha.is_none_or(|most| s.whole_kg_ha.p2o5 <= most + 1e-6));
        // Mass closes: what goes on is what left the pit.
        let left = j.stores[0].whole_kg_m3.times(m3);
        prop_assert!((s.whole_kg_ha.p2o5 * s.area_ha - left.p2o5).abs() < 1e-6 * left.p2o5.max(1.0));
        prop_assert!((s.whole_kg_ha.n * s.area_ha - left.n).abs() < 1e-6 * left.n.max(1.0));
        prop_assert!(s.saved - s.haul >= -1e-6, "a load at a loss although none must leave");
    }
    prop_assert!((out + p.left_m3[0] - j.stores[0].held_m3).abs() < 1e-6 && p.left_m3[0] >= -1e-6);
    prop_assert!((money - p.net).abs() < 1e-6 * money.abs().max(1.0), "{money} {}", p.net);
    Ok(())
}

proptest! {
    #[test]
    fn it_is_sound_and_no_other_spreading_tried_beats_it(j in jobs(), tries in prop::collection::vec((0.0..1.0f64, 0.0..1.0f64), 40)) {
        let p = plan(&j).unwrap();
        sound(&j, &p)?;
        // Fields filled in turn at random rates and areas, while the pit lasts.
        for chunk in tries.chunks(5) {
            let mut left = j.stores[0].held_m3;
            let mut total = 0.0;
            for (g, (a, r)) in chunk.iter().enumerate().take(j.grounds.len()) {
                let area = j.grounds[g].area_ha * a.max(0.05);
                let m3 = area * (j.least_m3_ha + r * (j.most_m3_ha - j.least_m3_ha));
                if let Some(x) = (m3 <= left).then(|| worth(&j, g, m3, area)).flatten() {
                    left -= m3;
                    total += x;
                }
            }
            prop_assert!(total <= p.net + 1e-6, "{total} beats {}", p.net);
        }
    }
}
