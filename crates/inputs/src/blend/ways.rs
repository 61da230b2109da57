//! The ways of serving one field with given mixes, each at rates the drill can be set to and within every limit.

use stook_fertility::drill::to_step;
use stook_fertility::{Nutrient, Nutrients};

use super::{Carrier, Job, Land, Meter, Mix, NOTHING, Offer, is_nothing};

/// Rates of one field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fit {
    pub seed_kg_ha: f64,
    pub band_kg_ha: f64,
    pub fluid_kg_ha: f64,
    pub per_ha: f64,
    pub sets: Option<Nutrient>,
    pub capped: bool,
}

/// A way of serving a field: a mix with the seed, one in the band, and a liquid or ammonia in a band of its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    pub seed: Option<usize>,
    pub band: Option<usize>,
    pub fluid: Option<usize>,
    pub fit: Fit,
}

impl Way {
    /// Each mix with its rate, kg/ha.
    pub fn streams(&self) -> [(Option<usize>, f64); 3] {
        let f = &self.fit;
        [(self.seed, f.seed_kg_ha), (self.band, f.band_kg_ha), (self.fluid, f.fluid_kg_ha)]
    }
}

/// Every way of serving a field.
pub(super) fn ways(job: &Job, land: &Land, mixes: &[Mix]) -> Vec<Way> {
    let wants = !is_nothing(land.wanted_with_seed());
    let carrier: Vec<Carrier> = mixes.iter().map(|m| m.carrier(&job.offers)).collect();
    let seeds: Vec<Option<usize>> = if wants {
        let near = |m: &Mix| m.parts.iter().all(|(o, _)| job.offers[*o].near_seed);
        (0..mixes.len()).filter(|i| near(&mixes[*i])).map(Some).collect()
    } else {
        vec![None]
    };
    let banded = |dry: bool| -> Vec<Option<usize>> {
        let fits = |c: Carrier| match c {
            Carrier::Dry => dry,
            Carrier::Liquid => !dry,
            Carrier::Gas => !dry && !land.no_gas,
        };
        let all = (0..mixes.len()).filter(|i| land.band && fits(carrier[*i])).map(Some);
        std::iter::once(None).chain(all).collect()
    };
    let (bands, fluids) = (banded(true), banded(false));
    let mut out = Vec::new();
    for seed in seeds {
        let liquid_in_row = seed.is_some_and(|i| carrier[i] == Carrier::Liquid);
        'way: for band in &bands {
            for fluid in &fluids {
                // One liquid tank holds one liquid, and it runs to one place.
                if liquid_in_row && fluid.is_some_and(|i| carrier[i] == Carrier::Liquid) {
                    continue;
                }
                let of = |i: Option<usize>| i.map(|i| &mixes[i]);
                if let Some(fit) = fit(job, land, of(seed), of(*band), of(*fluid)) {
                    out.push(Way { seed, band: *band, fluid: *fluid, fit });
                    // Nothing in the band is the whole way where the seed row gives all.
                    if band.is_none() && fluid.is_none() {
                        break 'way;
                    }
                }
            }
        }
    }
    out
}

/// The nutrient a liquid or ammonia is bought for: nitrogen where it holds nothing else.
fn lead(fluid: &Mix, offers: &[Offer]) -> Nutrient {
    let g = fluid.of_kg(offers);
    Nutrient::ALL.into_iter().find(|n| *n != Nutrient::N && g[*n] > 0.0).unwrap_or(Nutrient::N)
}

/// Whether the dry band beside this liquid need not bring nitrogen.
pub(super) fn fluid_leaves_n_out(fluid: &Mix, offers: &[Offer]) -> bool {
    lead(fluid, offers) == Nutrient::N
}

/// Sizes each stream in its turn.
struct Sizing<'a> {
    job: &'a Job,
    land: &'a Land,
    given: Nutrients,
}

impl Sizing<'_> {
    /// What is still wanted. A step of the seed row that stops just below its limit does not call for phosphate in every
    /// band.
    fn left(&self) -> Nutrients {
        let short = self.job.settings.short_kg_ha;
        self.given.short_of(self.land.need_kg_ha).map(|x| if x > short { x } else { 0.0 })
    }

    fn up(&self, kg: f64) -> f64 {
        let step = self.job.settings.rate_step_kg_ha;
        (kg / step - 1e-9).ceil().max(0.0) * step
    }

    /// The rate of a mix in a band that meets all of `left`, raised to the least its meter and its products hold.
    fn band(&mut self, mix: Option<&Mix>, left: Nutrients, meter: &Meter) -> Option<(f64, Option<Nutrient>)> {
        let Some(mix) = mix else { return is_nothing(left).then_some((0.0, None)) };
        if is_nothing(left) {
            return None;
        }
        let offers = &self.job.offers;
        let (asked, n) = rate_for(left, mix.of_kg(offers))?;
        let rate = self.up(asked.max(mix.least_kg_ha(offers)).max(meter.least_kg_ha));
        let most = meter.most_kg_ha.unwrap_or(f64::INFINITY).min(self.job.settings.rate_max_kg_ha);
        if rate > most + 1e-9 {
            return None;
        }
        self.given += mix.of_kg(offers).times(rate);
        Some((rate, Some(n)))
    }
}

/// The rates with these mixes, in the drill's steps; none when they do not meet the need within the limits.
fn fit(job: &Job, land: &Land, seed: Option<&Mix>, band: Option<&Mix>, fluid: Option<&Mix>) -> Option<Fit> {
    let offers = &job.offers;
    let mut s = Sizing { job, land, given: Nutrients::NONE };
    let (seed_kg_ha, capped, mut sets) = with_seed(&mut s, seed)?;
    let (no_meter, meter) = (Meter::default(), job.settings.band_meter);
    let (band_kg_ha, fluid_kg_ha);
    match fluid {
        None => {
            let left = s.left();
            let (rate, n) = s.band(band, left, &meter)?;
            (band_kg_ha, fluid_kg_ha) = (rate, 0.0);
            sets = n.or(sets);
        }
        // The dry band brings what the liquid does not hold, and the liquid makes up the nitrogen.
        Some(f) if lead(f, offers) == Nutrient::N => {
            let left = Nutrients { n: 0.0, ..s.left() };
            let (rate, n) = s.band(band, left, &meter)?;
            band_kg_ha = rate;
            let left = s.left();
            let (rate, m) = s.band(fluid, left, &no_meter)?;
            fluid_kg_ha = rate;
            sets = m.or(n).or(sets);
        }
        // The liquid brings the nutrient it is bought for, and the dry band the rest.
        Some(f) => {
            let n = lead(f, offers);
            let mut only = Nutrients::NONE;
            only[n] = s.left()[n];
            let (rate, m) = s.band(fluid, only, &no_meter)?;
            fluid_kg_ha = rate;
            let left = s.left();
            let (rate, k) = s.band(band, left, &meter)?;
            band_kg_ha = rate;
            sets = k.or(m).or(sets);
        }
    }
    // The step of the rate may add a little nitrogen of its own.
    let last = fluid.or(band).or(seed);
    let grace = job.settings.rate_step_kg_ha * last.map_or(0.0, |m| m.of_kg(offers).n);
    if s.given.n > land.need_kg_ha.n + job.settings.n_over_kg_ha + grace {
        return None;
    }
    let price = |m: Option<&Mix>| m.map_or(0.0, |m| m.per_kg(offers));
    let per_ha = seed_kg_ha * price(seed) + band_kg_ha * price(band) + fluid_kg_ha * price(fluid);
    Some(Fit { seed_kg_ha, band_kg_ha, fluid_kg_ha, per_ha, sets, capped })
}

/// The rate with the seed, whether the limit cut it, and the nutrient that set it.
fn with_seed(s: &mut Sizing<'_>, seed: Option<&Mix>) -> Option<(f64, bool, Option<Nutrient>)> {
    let (job, land) = (s.job, s.land);
    let wanted = land.wanted_with_seed();
    let Some(mix) = seed else { return is_nothing(wanted).then_some((0.0, false, None)) };
    let (step, offers) = (job.settings.rate_step_kg_ha, &job.offers);
    // The liquid's pump is not the starter tank's meter.
    let meter = if mix.carrier(offers) == Carrier::Dry { job.settings.seed_meter } else { Meter::default() };
    let g = mix.of_kg(offers);
    let (asked, n) = rate_for(wanted, g)?;
    let asked = asked.max(mix.least_kg_ha(offers)).max(meter.least_kg_ha);
    let limit = row_limit(land, mix, job)?;
    let capped = asked > limit + NOTHING;
    let rate = if land.band { to_step(s.up(asked), step, Some(limit)) } else { s.up(asked) };
    // Only the phosphate limit excuses a short seed row; a mix held back by its nitrogen is the wrong mix for it.
    let bears = wanted.p2o5.min(land.limits.p2o5_kg_ha.unwrap_or(0.0));
    if land.band && g.p2o5 * (rate + step) < bears - 1e-9 {
        return None;
    }
    let least = mix.least_kg_ha(offers).max(meter.least_kg_ha);
    let most = meter.most_kg_ha.unwrap_or(f64::INFINITY).min(job.settings.rate_max_kg_ha);
    if rate <= 0.0 || rate < least - 1e-9 || rate > most + 1e-9 || (!land.band && rate > limit + 1e-9) {
        return None;
    }
    s.given += g.times(rate);
    Some((rate, capped, (!land.band).then_some(n)))
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
