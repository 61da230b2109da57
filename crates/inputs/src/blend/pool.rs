//! Mixes worth making, in whole steps of the blender.

use std::collections::BTreeSet;

use stook_fertility::product::conflict;
use stook_fertility::{Nutrient, Nutrients};
use stook_optimise::{Problem, SolveError};

use super::{Carrier, Job, Land, Mix, NOTHING, Offer, Own};

/// The mixes to choose among.
///
/// # Errors
/// When the solver gives up.
pub fn pool(job: &Job, own: &[Own]) -> Result<Vec<Mix>, SolveError> {
    let mut mixes = Vec::new();
    let mut seen = BTreeSet::new();
    let mut add = |amounts: &[f64]| {
        for mix in both_ways(&job.offers, amounts, job.settings.part_step_kg_t) {
            if seen.insert(key(&mix)) {
                mixes.push(mix);
            }
        }
    };
    for i in 0..job.offers.len() {
        let alone: Vec<f64> = (0..job.offers.len()).map(|j| if i == j { 1.0 } else { 0.0 }).collect();
        add(&alone);
    }
    // A liquid or ammonia is never part of a blend; its field's own answer then shows what goes dry beside it.
    let dry = |amounts: &[f64]| -> Vec<f64> {
        let is = |o: &Offer| o.carrier == Carrier::Dry;
        amounts.iter().zip(&job.offers).map(|(a, o)| if is(o) { *a } else { 0.0 }).collect()
    };
    for o in own {
        add(&dry(&o.with_seed));
        add(&dry(&o.band));
    }
    let n_fluid = job.offers.iter().any(|o| o.carrier != Carrier::Dry && is_n_alone(o));
    // Fields next to each other when put in the order of a ratio are those a common recipe suits.
    for n in [Nutrient::P2O5, Nutrient::K2O, Nutrient::S] {
        let mut order: Vec<usize> = (0..job.lands.len()).collect();
        let ratio = |i: usize| job.lands[i].need_kg_ha[n] / job.lands[i].need_kg_ha.n.max(1.0);
        order.sort_by(|a, b| ratio(*a).total_cmp(&ratio(*b)));
        for from in 0..order.len() {
            for to in from + 1..order.len() {
                let group: Vec<usize> = order[from..=to].to_vec();
                let by_total: Vec<f64> = group.iter().map(|i| own[*i].band.iter().sum()).collect();
                let by_n: Vec<f64> = group.iter().map(|i| job.lands[*i].need_kg_ha.n.max(1.0)).collect();
                for (rates, but_n) in [(&by_total, false), (&by_n, false), (&by_total, true)] {
                    if but_n && !n_fluid {
                        continue;
                    }
                    let members: Vec<Member> = group
                        .iter()
                        .zip(rates)
                        .map(|(land, rate)| Member { land: *land, rate: *rate, but_n })
                        .collect();
                    if let Some(amounts) = recipe(job, own, &members)? {
                        add(&amounts);
                    }
                }
            }
        }
    }
    Ok(mixes)
}

fn is_n_alone(o: &Offer) -> bool {
    let g = o.grade_pct;
    g.n > 0.0 && g.p2o5 + g.k2o + g.s <= 0.0
}

/// A field that shares a recipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// Place in [`Job::lands`].
    pub land: usize,
    /// Rate in proportion to the others'.
    pub rate: f64,
    /// Whether its nitrogen comes from a liquid or ammonia.
    pub but_n: bool,
}

/// The cheapest amounts of dry products such that, given in proportion to their rates, they meet the need of every field
/// of the group that is left after its seed row. None when there is none.
///
/// # Errors
/// When the solver gives up.
pub fn recipe(job: &Job, own: &[Own], group: &[Member]) -> Result<Option<Vec<f64>>, SolveError> {
    let mut p = Problem::minimise();
    let weight: f64 = group.iter().map(|m| job.lands[m.land].area_ha * m.rate).sum();
    if group.iter().any(|m| m.rate <= NOTHING) || weight <= 0.0 {
        return Ok(None);
    }
    let columns: Vec<_> = job
        .offers
        .iter()
        .map(|o| {
            let most = if o.carrier == Carrier::Dry { f64::INFINITY } else { 0.0 };
            p.column(&o.name, o.per_kg * weight, 0.0, most)
        })
        .collect();
    for m in group {
        let mut left = left_for_band(&job.lands[m.land], &job.offers, &own[m.land]);
        if m.but_n {
            left.n = 0.0;
        }
        for n in Nutrient::ALL.into_iter().filter(|n| left[*n] > NOTHING) {
            let terms: Vec<_> =
                columns.iter().zip(&job.offers).map(|(c, o)| (*c, o.of_kg()[n] * m.rate)).collect();
            p.at_least(n.name(), left[n], &terms);
        }
    }
    let s = p.solve()?;
    Ok(s.found().then_some(s.x))
}

/// What a field's own seed row leaves for the band, kg/ha.
fn left_for_band(land: &Land, offers: &[Offer], own: &Own) -> Nutrients {
    let with_seed =
        own.with_seed.iter().zip(offers).fold(Nutrients::NONE, |sum, (kg, o)| sum + o.of_kg().times(*kg));
    with_seed.short_of(land.need_kg_ha)
}

/// A mix of these amounts in whole steps: the nearest one, and the one whose small parts are all rounded up, so that none
/// of them drives up the rate of the whole.
pub fn both_ways(offers: &[Offer], amounts: &[f64], step_kg_t: f64) -> Vec<Mix> {
    let Some(exact) = in_steps(amounts, step_kg_t) else { return Vec::new() };
    let steps = (1000.0 / step_kg_t).round();
    [nearest(&exact, steps), small_parts_up(&exact, steps)]
        .into_iter()
        .filter_map(|whole| mix_of(offers, &whole, steps))
        .collect()
}

/// Amounts as exact numbers of steps. None for nothing at all.
fn in_steps(amounts: &[f64], step_kg_t: f64) -> Option<Vec<f64>> {
    let total: f64 = amounts.iter().sum();
    let steps = (1000.0 / step_kg_t).round();
    (total > NOTHING).then(|| amounts.iter().map(|a| a / total * steps).collect())
}

/// The largest remainders get what is left over.
fn nearest(exact: &[f64], steps: f64) -> Vec<f64> {
    let mut whole: Vec<f64> = exact.iter().map(|x| x.floor()).collect();
    let mut order: Vec<usize> = (0..exact.len()).collect();
    order.sort_by(|a, b| (exact[*b] - whole[*b]).total_cmp(&(exact[*a] - whole[*a])));
    let missing = steps - whole.iter().sum::<f64>();
    for i in order.into_iter().take(missing.max(0.0) as usize) {
        whole[i] += 1.0;
    }
    whole
}

/// Every part but the largest is rounded up, and the largest has the rest.
fn small_parts_up(exact: &[f64], steps: f64) -> Vec<f64> {
    let Some(largest) = (0..exact.len()).max_by(|a, b| exact[*a].total_cmp(&exact[*b])) else {
        return Vec::new();
    };
    // A grain of a part that the solver left behind is no part.
    let mut whole: Vec<f64> = exact.iter().map(|x| if *x < 1e-6 { 0.0 } else { (x - 1e-9).ceil() }).collect();
    whole[largest] = 0.0;
    whole[largest] = (steps - whole.iter().sum::<f64>()).max(0.0);
    whole
}

/// A mix of whole steps. None for products that must not lie together.
fn mix_of(offers: &[Offer], whole: &[f64], steps: f64) -> Option<Mix> {
    let parts: Vec<(usize, f64)> =
        whole.iter().enumerate().filter(|(_, w)| **w > 0.0).map(|(i, w)| (i, w / steps)).collect();
    let quarrel = parts.iter().any(|(a, _)| {
        parts.iter().any(|(b, _)| a < b && conflict(&offers[*a].key, &offers[*b].key).is_some())
    });
    let whole_one = (parts.iter().map(|p| p.1).sum::<f64>() - 1.0).abs() < 1e-9;
    (!quarrel && whole_one).then_some(Mix { parts })
}

fn key(mix: &Mix) -> Vec<(usize, u64)> {
    mix.parts.iter().map(|(i, s)| (*i, s.to_bits())).collect()
}

#[cfg(test)]
mod tests {
    use super::super::own::tests::{land, offers, settings};
    use super::*;
    use crate::blend::own::own;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn shares_are_whole_steps_and_add_up(a in prop::collection::vec(0.0..200.0f64, 4), step in prop::sample::select(vec![1.0, 5.0, 10.0, 25.0])) {
            prop_assume!(a.iter().sum::<f64>() > 1.0);
            let mixes = both_ways(&offers(), &a, step);
            let total: f64 = a.iter().sum();
            for mix in &mixes {
                prop_assert!((mix.parts.iter().map(|p| p.1).sum::<f64>() - 1.0).abs() < 1e-12);
            }
            // Rounded up, no small part is short.
            let largest = a.iter().copied().fold(0.0, f64::max);
            for (i, x) in a.iter().enumerate().filter(|(_, x)| **x < largest) {
                prop_assert!(mixes.get(1).is_none_or(|m| m.share(i) >= x / total - 1e-8));
            }
            let mix = &mixes[0];
            for (i, x) in a.iter().enumerate() {
                prop_assert!((mix.share(i) - x / total).abs() <= step / 1000.0 + 1e-12);
                prop_assert!(mix.share(i) >= 0.0 && (mix.share(i) * 1000.0 / step).fract().min(1.0 - (mix.share(i) * 1000.0 / step).fract()) < 1e-9);
            }
        }
    }

    #[test]
    fn what_must_not_lie_together_is_no_mix() {
        let mut o = offers();
        o[1].key = "ammonium_nitrate".into();
        assert!(both_ways(&o, &[50.0, 50.0, 0.0, 0.0], 10.0).is_empty());
        assert!(!both_ways(&o, &[0.0, 50.0, 50.0, 0.0], 10.0).is_empty());
        assert!(both_ways(&o, &[0.0; 4], 10.0).is_empty());
    }

    #[test]
    fn no_mix_comes_twice() {
        let job = Job {
            lands: vec![land("A", [90.0, 30.0, 0.0, 10.0], 0.0), land("B", [60.0, 20.0, 0.0, 7.0], 0.0)],
            offers: offers(),
            settings: settings(),
        };
        let owns: Vec<_> = job.lands.iter().map(|l| own(l, &job.offers, &job.settings).unwrap()).collect();
        let mixes = pool(&job, &owns).unwrap();
        let keys: BTreeSet<_> = mixes.iter().map(key).collect();
        assert_eq!(keys.len(), mixes.len());
        assert!(mixes.len() > job.offers.len());
    }
}
