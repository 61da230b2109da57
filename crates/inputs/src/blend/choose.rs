//! Which few mixes, and which field gets which at what rate.

use serde::{Deserialize, Serialize};
use stook_fertility::drill::to_step;
use stook_fertility::{Nutrient, Nutrients};
use stook_optimise::{Col, Options, Problem, SolveError, Status};

use super::{Job, Land, Mix, NOTHING, Own, OwnError, is_nothing, own, pool};

/// Seconds after which the best plan so far is taken.
const TIME_LIMIT_S: f64 = 8.0;
/// Rounds of looking for better mixes.
const ROUNDS: usize = 4;
/// A new round is worth it when it saves this share.
const WORTH_A_ROUND: f64 = 1e-4;

/// A blend to order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Blend {
    /// What is in it.
    pub mix: Mix,
    /// Analysis, %.
    pub grade_pct: Nutrients,
    /// Of it, kg.
    pub kg: f64,
    /// Money.
    pub money: f64,
}

/// What one field gets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FieldMix {
    /// Place in [`Job::lands`].
    pub land: usize,
    /// With the seed: place in [`Plan::blends`] and rate, kg/ha.
    pub with_seed: Option<(usize, f64)>,
    /// In the band.
    pub band: Option<(usize, f64)>,
    /// Nutrients it gets, kg/ha.
    pub supplied_kg_ha: Nutrients,
    /// Beyond the need, kg/ha.
    pub over_kg_ha: Nutrients,
    /// The nutrient that sets the rate, if one does.
    pub sets: Option<Nutrient>,
    /// Whether the seed row bears less than was wanted in it, so that the band gets the rest.
    pub capped: bool,
    /// Money a ha.
    pub per_ha: f64,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Blends to order, the largest first.
    pub blends: Vec<Blend>,
    /// Fields in the order of the job.
    pub fields: Vec<FieldMix>,
    /// What it costs.
    pub money: f64,
    /// What every field's own best would cost, were there no end to blends: no plan is cheaper.
    pub floor: f64,
    /// Of each product, kg.
    pub product_kg: Vec<f64>,
    /// When the time ran out: by how much a better choice of these mixes might still be cheaper, as a share.
    pub gap: f64,
    /// How many mixes it chose among.
    pub mixes: usize,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A field by itself cannot be served.
    #[error(transparent)]
    Own(#[from] OwnError),
    /// So few blends cannot serve all.
    #[error("no {blends} blends serve all {fields} fields within the limits{why}; allow one more blend")]
    TooFew {
        /// Blends allowed.
        blends: usize,
        /// Fields.
        fields: usize,
        /// What stands against it.
        why: String,
    },
    /// The solver.
    #[error(transparent)]
    Solver(#[from] SolveError),
}

/// Rates of one field with a mix in the seed row and one in the band.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Fit {
    seed_kg_ha: f64,
    band_kg_ha: f64,
    per_ha: f64,
    sets: Option<Nutrient>,
    capped: bool,
}

/// A way of serving a field.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Way {
    seed: Option<usize>,
    band: Option<usize>,
    fit: Fit,
}

/// The best plan.
///
/// # Errors
/// When a field cannot be served at all, or so few blends cannot serve all.
pub fn plan(job: &Job) -> Result<Plan, PlanError> {
    let most = job.settings.most_blends;
    let (plans, _) = plans(job, most)?;
    plans.into_iter().next_back().flatten().ok_or_else(|| too_few(job, String::new()))
}

/// The best plan with one blend, with two, and so on to `most`, none where so few cannot serve all; and every mix looked
/// at. What was found with fewer is there to choose with more, so that one more never costs more.
///
/// # Errors
/// When a field cannot be served at all.
pub fn plans(job: &Job, most: usize) -> Result<(Vec<Option<Plan>>, Vec<Mix>), PlanError> {
    let owns = owns(job)?;
    let mut mixes = pool::pool(job, &owns)?;
    let mut out = Vec::new();
    let mut job = job.clone();
    for blends in 1..=most {
        job.settings.most_blends = blends;
        out.push(match improved(&job, &owns, &mut mixes) {
            Ok(p) => Some(p),
            Err(PlanError::TooFew { .. }) => None,
            Err(e) => return Err(e),
        });
    }
    Ok((out, mixes))
}

/// The best plan where some mixes are known already, as after a change of price.
///
/// # Errors
/// As [`plan`].
pub fn plan_again(job: &Job, known: &[Mix]) -> Result<Plan, PlanError> {
    let owns = owns(job)?;
    let mut mixes = pool::pool(job, &owns)?;
    mixes.extend(known.iter().filter(|m| !mixes.contains(m)).cloned().collect::<Vec<_>>());
    improved(job, &owns, &mut mixes)
}

fn owns(job: &Job) -> Result<Vec<Own>, OwnError> {
    job.lands.iter().map(|l| own::own(l, &job.offers, &job.settings)).collect()
}

fn too_few(job: &Job, why: String) -> PlanError {
    PlanError::TooFew { blends: job.settings.most_blends, fields: job.lands.len(), why }
}

/// The best plan from the mixes, and from the recipes for just the fields that share a blend in it, at the rates they
/// have of it, as long as that saves something.
fn improved(job: &Job, owns: &[Own], mixes: &mut Vec<Mix>) -> Result<Plan, PlanError> {
    let mut best = plan_from(job, owns, mixes)?;
    for _ in 0..ROUNDS {
        let before = mixes.len();
        for b in 0..best.blends.len() {
            let (group, rates): (Vec<usize>, Vec<f64>) = best
                .fields
                .iter()
                .filter_map(|f| f.band.filter(|(i, _)| *i == b).map(|(_, rate)| (f.land, rate)))
                .unzip();
            if let Some(mix) = pool::recipe(job, owns, &group, &rates)?
                .and_then(|a| pool::stepped(&job.offers, &a, job.settings.part_step_kg_t))
                && !mixes.contains(&mix)
            {
                mixes.push(mix);
            }
        }
        if mixes.len() == before {
            break;
        }
        let next = plan_from(job, owns, mixes)?;
        let saved = best.money - next.money;
        if saved > 0.0 {
            best = next;
        }
        if saved < WORTH_A_ROUND * best.money {
            break;
        }
    }
    Ok(best)
}

/// The best plan from given mixes.
///
/// # Errors
/// As [`plan`].
pub fn plan_from(job: &Job, owns: &[Own], mixes: &[Mix]) -> Result<Plan, PlanError> {
    let ways: Vec<Vec<Way>> = job.lands.iter().map(|l| ways(job, l, mixes)).collect();
    let floor = job.lands.iter().zip(owns).map(|(l, o)| l.area_ha * o.per_ha).sum();
    let (p, chosen) = program(job, mixes, &ways);
    let s = p.solve_with(Options { time_limit_s: TIME_LIMIT_S, ..Options::default() })?;
    if !s.found() {
        let dumb = ways.iter().position(Vec::is_empty);
        let why = dumb.map_or_else(String::new, |i| {
            format!(": no mix in whole steps fits {} without too much N", job.lands[i].name)
        });
        return Err(too_few(job, why));
    }
    let picked: Vec<Way> = ways
        .iter()
        .zip(&chosen)
        .map(|(ways, cols)| {
            let best = cols.iter().enumerate().max_by(|a, b| s.amount(*a.1).total_cmp(&s.amount(*b.1)));
            best.map_or_else(|| unreachable!("every field has a way, or nothing was found"), |(i, _)| ways[i])
        })
        .collect();
    let gap = if s.status == Status::StoppedEarly { s.gap } else { 0.0 };
    Ok(told(job, mixes, &picked, floor, gap))
}

/// Every way of serving a field, those it cannot be better than left out.
fn ways(job: &Job, land: &Land, mixes: &[Mix]) -> Vec<Way> {
    let wants = !is_nothing(land.wanted_with_seed());
    let seeds: Vec<Option<usize>> = if wants {
        let near = |m: &Mix| m.parts.iter().all(|(o, _)| job.offers[*o].near_seed);
        (0..mixes.len()).filter(|i| near(&mixes[*i])).map(Some).collect()
    } else {
        vec![None]
    };
    let mut out = Vec::new();
    for seed in seeds {
        let bands: Vec<Option<usize>> = if land.band {
            std::iter::once(None).chain((0..mixes.len()).map(Some)).collect()
        } else {
            vec![None]
        };
        for band in bands {
            if let Some(fit) = fit(job, land, seed.map(|i| &mixes[i]), band.map(|i| &mixes[i])) {
                // Nothing in the band is the whole way where the seed row gives all.
                let done = band.is_none();
                out.push(Way { seed, band, fit });
                if done {
                    break;
                }
            }
        }
    }
    out
}

/// The rates with these mixes, in the drill's steps; none when they do not meet the need within the limits.
fn fit(job: &Job, land: &Land, seed: Option<&Mix>, band: Option<&Mix>) -> Option<Fit> {
    let step = job.settings.rate_step_kg_ha;
    let offers = &job.offers;
    let most = job.settings.rate_max_kg_ha;
    let up = |kg: f64| (kg / step - 1e-9).ceil().max(0.0) * step;
    let (mut seed_kg_ha, mut capped, mut from_seed) = (0.0, false, Nutrients::NONE);
    let mut sets = None;
    let wanted = land.wanted_with_seed();
    if let Some(mix) = seed {
        let g = mix.of_kg(offers);
        let (asked, n) = rate_for(wanted, g)?;
        let limit = row_limit(land, mix, job)?;
        capped = asked > limit + NOTHING;
        seed_kg_ha = if land.band { to_step(up(asked), step, Some(limit)) } else { up(asked) };
        // Only the phosphate limit excuses a short seed row; a mix held back by its nitrogen is the wrong mix for it.
        let bears = wanted.p2o5.min(land.limits.p2o5_kg_ha.unwrap_or(0.0));
        if land.band && g.p2o5 * (seed_kg_ha + step) < bears - 1e-9 {
            return None;
        }
        if seed_kg_ha <= 0.0 || seed_kg_ha > most || (!land.band && seed_kg_ha > limit + 1e-9) {
            return None;
        }
        sets = (!land.band).then_some(n);
        from_seed = g.times(seed_kg_ha);
    } else if !is_nothing(wanted) {
        return None;
    }
    // A step of the seed row that stops just below its limit does not call for phosphate in every band.
    let left =
        from_seed.short_of(land.need_kg_ha).map(|x| if x > job.settings.short_kg_ha { x } else { 0.0 });
    let mut band_kg_ha = 0.0;
    if let Some(mix) = band {
        if is_nothing(left) {
            return None;
        }
        let (asked, n) = rate_for(left, mix.of_kg(offers))?;
        band_kg_ha = up(asked);
        sets = Some(n);
        if band_kg_ha > most {
            return None;
        }
        from_seed += mix.of_kg(offers).times(band_kg_ha);
    } else if !is_nothing(left) {
        return None;
    }
    // The step of the rate may add a little nitrogen of its own.
    let grace = step * band.or(seed).map_or(0.0, |m| m.of_kg(offers).n);
    if from_seed.n > land.need_kg_ha.n + job.settings.n_over_kg_ha + grace {
        return None;
    }
    let price = |m: Option<&Mix>| m.map_or(0.0, |m| m.per_kg(offers));
    let per_ha = seed_kg_ha * price(seed) + band_kg_ha * price(band);
    Some(Fit { seed_kg_ha, band_kg_ha, per_ha, sets, capped })
}

/// The rate at which a mix of content `g` meets all of a need, and the nutrient that sets it.
fn rate_for(need: Nutrients, g: Nutrients) -> Option<(f64, Nutrient)> {
    let mut most: Option<(f64, Nutrient)> = None;
    for n in Nutrient::ALL.into_iter().filter(|n| need[*n] > NOTHING) {
        if g[n] <= 0.0 {
            return None;
        }
        let rate = need[n] / g[n];
        if most.is_none_or(|(m, _)| rate > m) {
            most = Some((rate, n));
        }
    }
    most
}

/// The most of a mix that may lie with the seed, kg/ha; none when it must not lie there at all.
fn row_limit(land: &Land, mix: &Mix, job: &Job) -> Option<f64> {
    let g = mix.of_kg(&job.offers);
    let l = &land.limits;
    let per = |limit: f64, content: f64| if content > 0.0 { limit / content } else { f64::INFINITY };
    // Beside a band there is no cause to lay potash by the seed.
    let potash = match (g.k2o > 0.0, land.band) {
        (false, _) => f64::INFINITY,
        (true, true) => return None,
        (true, false) => per(l.n_k_kg_ha, g.n + g.k2o),
    };
    let urea_n = mix.urea_n_of_kg(&job.offers);
    let limit = per(l.urea_n_kg_ha, urea_n)
        .min(per(l.n_k_kg_ha, g.n - urea_n))
        .min(per(l.p2o5_kg_ha.unwrap_or(0.0), g.p2o5))
        .min(potash);
    (limit > 0.0).then_some(limit)
}

/// The whole-number program: one way for each field, of few mixes.
fn program(job: &Job, mixes: &[Mix], ways: &[Vec<Way>]) -> (Problem, Vec<Vec<Col>>) {
    let mut p = Problem::minimise();
    let least = job.settings.blend_least_kg > 0.0 || job.offers.iter().any(|o| o.least_kg > 0.0);
    let made: Vec<Col> = (0..mixes.len()).map(|i| p.yes_no(format!("mix {i} is made"), 0.0)).collect();
    let mut chosen = Vec::new();
    for (land, ways) in job.lands.iter().zip(ways) {
        let cols: Vec<Col> = ways
            .iter()
            .map(|w| {
                let cost = land.area_ha * w.fit.per_ha;
                // Once the mixes are picked each field simply takes its cheapest way, unless a least amount ties them.
                if least { p.yes_no(&land.name, cost) } else { p.column(&land.name, cost, 0.0, 1.0) }
            })
            .collect();
        let all: Vec<_> = cols.iter().map(|c| (*c, 1.0)).collect();
        p.equal(format!("{} is served", land.name), 1.0, &all);
        for (i, made) in made.iter().enumerate() {
            let uses = |w: &Way| w.seed == Some(i) || w.band == Some(i);
            let mut terms: Vec<_> =
                ways.iter().zip(&cols).filter(|(w, _)| uses(w)).map(|(_, c)| (*c, 1.0)).collect();
            if !terms.is_empty() {
                terms.push((*made, -1.0));
                p.at_most(format!("mix {i} for {}", land.name), 0.0, &terms);
            }
        }
        chosen.push(cols);
    }
    let all: Vec<_> = made.iter().map(|c| (*c, 1.0)).collect();
    p.at_most("blends", job.settings.most_blends as f64, &all);
    if least {
        least_amounts(&mut p, job, mixes, ways, &chosen, &made);
    }
    (p, chosen)
}

/// A dealer makes no less of a blend, and sells no less of a product, than so much.
fn least_amounts(
    p: &mut Problem,
    job: &Job,
    mixes: &[Mix],
    ways: &[Vec<Way>],
    chosen: &[Vec<Col>],
    made: &[Col],
) {
    let kg_of = |w: &Way, land: &Land, share: &dyn Fn(usize) -> f64| {
        let part = |m: Option<usize>, rate: f64| m.map_or(0.0, |i| rate * share(i));
        land.area_ha * (part(w.seed, w.fit.seed_kg_ha) + part(w.band, w.fit.band_kg_ha))
    };
    let terms = |share: &dyn Fn(usize) -> f64| -> Vec<(Col, f64)> {
        let mut terms = Vec::new();
        for ((land, ways), cols) in job.lands.iter().zip(ways).zip(chosen) {
            terms.extend(ways.iter().zip(cols).map(|(w, c)| (*c, kg_of(w, land, share))));
        }
        terms.retain(|(_, kg)| *kg > 0.0);
        terms
    };
    if job.settings.blend_least_kg > 0.0 {
        for (i, made) in made.iter().enumerate() {
            let mut all = terms(&|m| if m == i { 1.0 } else { 0.0 });
            all.push((*made, -job.settings.blend_least_kg));
            p.at_least(format!("least of mix {i}"), 0.0, &all);
        }
    }
    for (o, offer) in job.offers.iter().enumerate().filter(|(_, o)| o.least_kg > 0.0) {
        let bought = p.yes_no(format!("{} is bought", offer.name), 0.0);
        for (i, made) in made.iter().enumerate().filter(|(i, _)| mixes[*i].share(o) > 0.0) {
            p.at_most(format!("{} for mix {i}", offer.name), 0.0, &[(*made, 1.0), (bought, -1.0)]);
        }
        let mut all = terms(&|m| mixes[m].share(o));
        all.push((bought, -offer.least_kg));
        p.at_least(format!("least of {}", offer.name), 0.0, &all);
    }
}

/// The picked ways as a plan.
fn told(job: &Job, mixes: &[Mix], picked: &[Way], floor: f64, gap: f64) -> Plan {
    let mut kg = vec![0.0; mixes.len()];
    for (land, w) in job.lands.iter().zip(picked) {
        for (mix, rate) in [(w.seed, w.fit.seed_kg_ha), (w.band, w.fit.band_kg_ha)] {
            if let Some(i) = mix {
                kg[i] += rate * land.area_ha;
            }
        }
    }
    let mut used: Vec<usize> = (0..mixes.len()).filter(|i| kg[*i] > 0.0).collect();
    used.sort_by(|a, b| kg[*b].total_cmp(&kg[*a]));
    let place = |mix: Option<usize>, rate: f64| Some((used.iter().position(|u| Some(*u) == mix)?, rate));
    let fields: Vec<FieldMix> = picked
        .iter()
        .enumerate()
        .map(|(land, w)| {
            let of = |m: Option<usize>| m.map_or(Nutrients::NONE, |i| mixes[i].of_kg(&job.offers));
            let supplied = of(w.seed).times(w.fit.seed_kg_ha) + of(w.band).times(w.fit.band_kg_ha);
            FieldMix {
                land,
                with_seed: place(w.seed, w.fit.seed_kg_ha),
                band: place(w.band, w.fit.band_kg_ha),
                supplied_kg_ha: supplied,
                over_kg_ha: supplied.over(job.lands[land].need_kg_ha),
                sets: w.fit.sets,
                capped: w.fit.capped,
                per_ha: w.fit.per_ha,
            }
        })
        .collect();
    let blends: Vec<Blend> = used
        .iter()
        .map(|i| Blend {
            mix: mixes[*i].clone(),
            grade_pct: mixes[*i].of_kg(&job.offers).times(100.0),
            kg: kg[*i],
            money: kg[*i] * mixes[*i].per_kg(&job.offers),
        })
        .collect();
    let product_kg =
        (0..job.offers.len()).map(|o| blends.iter().map(|b| b.kg * b.mix.share(o)).sum()).collect();
    let money = blends.iter().map(|b| b.money).sum();
    Plan { blends, fields, money, floor, product_kg, gap, mixes: mixes.len() }
}
