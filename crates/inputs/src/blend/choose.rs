//! Which few mixes, and which field gets which at what rate.

use serde::{Deserialize, Serialize};
use stook_fertility::{Nutrient, Nutrients};
use stook_optimise::{Col, Options, Problem, SolveError, Status};

use super::ways::{Way, fluid_leaves_n_out, ways};
use super::{Carrier, Job, Land, Mix, Own, OwnError, own, pool};

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
    /// Liquid or ammonia in a band of its own.
    #[serde(default)]
    pub fluid: Option<(usize, f64)>,
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
    /// A least rate stands in the way.
    #[error(
        "{field}: the least rates of the meters or of a product stand in the way; without them it could be served. Lower \
         them if they are not right, or ask for more of that nutrient or none of it"
    )]
    Least {
        /// Field.
        field: String,
    },
    /// The solver.
    #[error(transparent)]
    Solver(#[from] SolveError),
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
            if best.blends[b].mix.carrier(&job.offers) != Carrier::Dry {
                continue;
            }
            let members: Vec<&FieldMix> =
                best.fields.iter().filter(|f| f.band.is_some_and(|(i, _)| i == b)).collect();
            let group: Vec<pool::Member> = members
                .iter()
                .map(|f| pool::Member {
                    land: f.land,
                    rate: f.band.map_or(0.0, |(_, rate)| rate),
                    but_n: f.fluid.is_some_and(|(i, _)| fluid_leaves_n_out(&best.blends[i].mix, &job.offers)),
                })
                .collect();
            let Some(amounts) = pool::recipe(job, owns, &group)? else { continue };
            for mix in pool::both_ways(&job.offers, &amounts, job.settings.part_step_kg_t) {
                if !mixes.contains(&mix) {
                    mixes.push(mix);
                }
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
        if let Some(i) = dumb
            && !super::ways::ways(&without_least(job), &job.lands[i], mixes).is_empty()
        {
            return Err(PlanError::Least { field: job.lands[i].name.clone() });
        }
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

/// The same with every meter and product going down to nothing.
fn without_least(job: &Job) -> Job {
    let mut job = job.clone();
    (job.settings.seed_meter.least_kg_ha, job.settings.band_meter.least_kg_ha) = (0.0, 0.0);
    job.offers.iter_mut().for_each(|o| o.least_kg_ha = 0.0);
    job
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
            let uses = |w: &Way| [w.seed, w.band, w.fluid].contains(&Some(i));
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
        let [seed, band, fluid] = w.streams();
        land.area_ha * (part(seed.0, seed.1) + part(band.0, band.1) + part(fluid.0, fluid.1))
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
        for (mix, rate) in w.streams() {
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
            let supplied =
                w.streams().into_iter().fold(Nutrients::NONE, |sum, (m, rate)| sum + of(m).times(rate));
            FieldMix {
                land,
                with_seed: place(w.seed, w.fit.seed_kg_ha),
                band: place(w.band, w.fit.band_kg_ha),
                fluid: place(w.fluid, w.fit.fluid_kg_ha),
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
