//! The least-cost ration: a linear program over the ingredients on offer, its answer and what it says.
//!
//! Amounts are shares of the diet, so the objective is money for a tonne. Every row is in figures near one: energy in Mcal,
//! amino acids in g/kg. Ratios are written as sums that must not be below nought.

mod batch;
mod words;

pub use batch::{Batch, BatchItem, Scale, round_batch};
pub use words::{conflict_words, price_words};

use serde::Serialize;
use stook_optimise::{Col, Conflict, Options, Problem, Row, SolveError, Span, Status};

use crate::diet::{self, Standing};
use crate::need::{Need, Phase};
use crate::nutrient::{Composition, Nutrient};

/// An ingredient or a lot on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// Its key: an ingredient's, or a bin's.
    pub key: String,
    /// As a person reads it.
    pub name: String,
    /// The ingredient it is one of, for limits that hold over several lots together.
    pub class: String,
    /// Money a tonne at the mill.
    pub price_t: f64,
    /// What it holds.
    pub holds: Composition,
    /// DON, its upper bound, ppm.
    pub don_ppm: f64,
    /// Most of it in the diet, as a share.
    pub max: f64,
    /// Least of it.
    pub min: f64,
    /// One standard deviation of its lysine, % of the diet's unit (as-fed %).
    pub lys_sd: f64,
}

impl Offer {
    /// As the shipped table has it, with the usual limits of the phase.
    pub fn of_table(i: &crate::Ingredient, phase: Phase, price_t: f64) -> Self {
        let limit = crate::limits::inclusion(&i.key, phase);
        Self {
            key: i.key.clone(),
            name: i.name.clone(),
            class: i.key.clone(),
            price_t,
            holds: i.holds,
            don_ppm: 0.0,
            max: limit.as_ref().map_or(1.0, |l| l.max),
            min: limit.as_ref().map_or(0.0, |l| l.min),
            lys_sd: 0.0,
        }
    }
}

/// How much safety is asked of the diet's lysine against the ingredients' scatter.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Safety {
    /// Standard deviations kept: 0 as the means, 0.842 for four batches in five, 1.645 for 19 in 20.
    pub z: f64,
}

/// Something in the ration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// Key of the offer.
    pub key: String,
    /// Name.
    pub name: String,
    /// Share of the diet.
    pub share: f64,
    /// Money a tonne of it.
    pub price_t: f64,
    /// Prices between which the ration stays as it is.
    pub stays: Option<Span>,
}

/// Something left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Money a tonne now.
    pub price_t: f64,
    /// The price at which it would come in; none when no price would bring it in (its limit is none of it).
    pub comes_in_at: Option<f64>,
}

/// A limit that holds the ration back, and what a little less of it would save.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Binding {
    /// What.
    pub what: String,
    /// One step of it, in words: `0.01 % of the diet`.
    pub step_words: String,
    /// Money a tonne for one step more of it asked (or, of a most, one step more allowed: negative).
    pub per_step: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ration {
    /// Phase.
    pub phase: Phase,
    /// Money a tonne.
    pub cost_t: f64,
    /// What is in it, largest first.
    pub parts: Vec<Part>,
    /// What is not.
    pub left_out: Vec<LeftOut>,
    /// What binds, dearest first.
    pub binding: Vec<Binding>,
    /// How it stands to every limit.
    #[serde(skip)]
    pub standing: Vec<Standing>,
    /// What it holds.
    #[serde(skip)]
    pub holds: Composition,
    /// DON, ppm.
    pub don_ppm: f64,
    /// Rounds of cuts the safety took.
    pub rounds: usize,
}

/// What came of asking.
#[derive(Debug, Clone, PartialEq)]
pub enum Formulated {
    /// A ration.
    Found(Box<Ration>),
    /// None meets all limits: which few do not go together.
    Impossible(Option<Conflict>),
}

/// One row with how it is said.
pub(crate) struct Said {
    pub row: Row,
    pub what: String,
    /// Size of one step in the row's unit.
    pub step: f64,
    pub step_words: String,
}

/// A ration as a problem.
pub(crate) struct Built {
    pub problem: Problem,
    pub columns: Vec<Col>,
    pub rows: Vec<Said>,
}

/// The rows of a ration over `columns` whose amounts sum to `total`, put into `problem`. Shared by the single ration and
/// the plan of the whole farm, where `total` is tonnes.
pub(crate) fn rows(
    problem: &mut Problem,
    need: &Need,
    offers: &[Offer],
    columns: &[Col],
    total: f64,
    prefix: &str,
) -> Vec<Said> {
    let mut said = Vec::new();
    let sum = |f: &dyn Fn(&Offer) -> f64| -> Vec<(Col, f64)> {
        columns.iter().zip(offers).map(|(c, o)| (*c, f(o))).collect()
    };
    let name = |what: &str| if prefix.is_empty() { what.to_string() } else { format!("{prefix}: {what}") };
    let mut put = |problem: &mut Problem,
                   what: &str,
                   low: f64,
                   high: f64,
                   terms: Vec<(Col, f64)>,
                   step: f64,
                   words: &str| {
        let row = problem.row(name(what), low, high, &terms);
        said.push(Said { row, what: what.into(), step, step_words: words.into() });
    };
    let inf = f64::INFINITY;
    let of = |n: Nutrient| move |o: &Offer| o.holds.of(n);
    put(problem, "the whole", total, total, sum(&|_| 1.0), 0.0, "");
    put(
        problem,
        "net energy",
        need.ne_kcal_kg / 1000.0 * total,
        inf,
        sum(&|o| o.holds.of(Nutrient::Ne) / 1000.0),
        0.01,
        "10 kcal/kg",
    );
    let q = need.lys_g_mcal;
    put(
        problem,
        "lysine for energy",
        0.0,
        inf,
        sum(&|o| 10.0 * o.holds.of(Nutrient::Lys) - q * o.holds.of(Nutrient::Ne) / 1000.0),
        0.1,
        "0.01 % of the diet",
    );
    for (n, rho) in Nutrient::RATIOED.into_iter().zip(need.ratios) {
        let what = format!("{} to lysine", n.words());
        put(
            problem,
            &what,
            0.0,
            inf,
            sum(&|o| 10.0 * (o.holds.of(n) - rho * o.holds.of(Nutrient::Lys))),
            0.1,
            "0.01 % of the diet",
        );
    }
    put(
        problem,
        "digestible phosphorus",
        (need.sttd_p_pct - need.phytase_p_pct) * total,
        inf,
        sum(&of(Nutrient::SttdP)),
        0.01,
        "0.01 %",
    );
    put(problem, "calcium, least", need.ca_min_pct * total, inf, sum(&of(Nutrient::Ca)), 0.01, "0.01 %");
    put(problem, "calcium, most", -inf, need.ca_max_pct * total, sum(&of(Nutrient::Ca)), 0.01, "0.01 %");
    put(problem, "sodium", need.na_min_pct * total, inf, sum(&of(Nutrient::Na)), 0.01, "0.01 %");
    if let Some(r) = need.ca_per_p_max {
        put(
            problem,
            "calcium to phosphorus",
            -inf,
            0.0,
            sum(&|o| o.holds.of(Nutrient::Ca) - r * o.holds.of(Nutrient::P)),
            0.01,
            "0.01 % of calcium",
        );
    }
    if let Some(most) = need.don_max_ppm
        && offers.iter().any(|o| o.don_ppm > 0.0)
    {
        put(problem, "DON", -inf, most * total, sum(&|o| o.don_ppm), 0.1, "0.1 ppm");
    }
    // One feed in several lots: the limit holds over all of them.
    let mut classes: Vec<&str> = offers.iter().map(|o| o.class.as_str()).collect();
    classes.sort_unstable();
    classes.dedup();
    for class in classes {
        let of: Vec<usize> = (0..offers.len()).filter(|i| offers[*i].class == class).collect();
        let max = of.iter().map(|i| offers[*i].max).fold(0.0, f64::max);
        if of.len() > 1 && max < 1.0 {
            let terms: Vec<_> = of.iter().map(|i| (columns[*i], 1.0)).collect();
            let what =
                format!("{} in all", crate::ingredient::find(class).map_or(class, |i| i.name.as_str()));
            put(problem, &what, -inf, max * total, terms, 0.01, "1 % of the diet");
        }
    }
    said
}

fn build(need: &Need, offers: &[Offer]) -> Built {
    let mut problem = Problem::minimise();
    let columns: Vec<Col> = offers
        .iter()
        .map(|o| {
            let (low, high) =
                if o.class == "premix" { (need.premix_share, need.premix_share) } else { (o.min, o.max) };
            problem.column(o.name.clone(), o.price_t, low, high)
        })
        .collect();
    let rows = rows(&mut problem, need, offers, &columns, 1.0, "");
    Built { problem, columns, rows }
}

/// The spread of the diet's lysine, % of the diet: ingredients scatter apart from each other.
pub fn lysine_sd(offers: &[Offer], shares: &[f64]) -> f64 {
    offers.iter().zip(shares).map(|(o, x)| (o.lys_sd * x).powi(2)).sum::<f64>().sqrt()
}

/// The cheapest diet that meets the need, or why there is none.
///
/// With safety, the square root of the summed variances is replaced by its tangent where the last answer stands, again and
/// again: it is convex, so the tangents close in on it from below. Few rounds are needed.
///
/// # Errors
/// When a figure is not a number.
pub fn formulate(need: &Need, offers: &[Offer], safety: Safety) -> Result<Formulated, SolveError> {
    let Built { mut problem, columns, rows } = build(need, offers);
    let options = Options { ranges: true, ..Options::default() };
    let mut rounds = 0;
    let solution = loop {
        let s = problem.solve_with(options)?;
        if s.status != Status::Optimal {
            return Ok(Formulated::Impossible(problem.explain_infeasible()?));
        }
        let sd = lysine_sd(offers, &s.x);
        if safety.z <= 0.0 || sd < 1e-12 || rounds >= 25 {
            break s;
        }
        // Lysine over need at this answer, % of the diet.
        let over: f64 = offers
            .iter()
            .zip(&s.x)
            .map(|(o, x)| x * (o.holds.of(Nutrient::Lys) - need.lys_g_mcal * o.holds.of(Nutrient::Ne) / 1e4))
            .sum();
        if over >= safety.z * sd - 1e-7 {
            break s;
        }
        let terms: Vec<(Col, f64)> = columns
            .iter()
            .zip(offers)
            .zip(&s.x)
            .map(|((c, o), x)| {
                let plain =
                    10.0 * o.holds.of(Nutrient::Lys) - need.lys_g_mcal * o.holds.of(Nutrient::Ne) / 1000.0;
                (*c, plain - 10.0 * safety.z * o.lys_sd * o.lys_sd * x / sd)
            })
            .collect();
        problem.at_least("lysine with safety", 0.0, &terms);
        rounds += 1;
    };
    let shares = &solution.x;
    let stays = solution.ranges.as_ref();
    let mut parts = Vec::new();
    let mut left_out = Vec::new();
    for (i, o) in offers.iter().enumerate() {
        if shares[i] > 1e-7 {
            parts.push(Part {
                key: o.key.clone(),
                name: o.name.clone(),
                share: shares[i],
                price_t: o.price_t,
                stays: stays.map(|r| r.cost[i]),
            });
        } else {
            let comes_in_at = (o.max > 0.0).then(|| o.price_t - solution.reduced_cost[i]);
            left_out.push(LeftOut {
                key: o.key.clone(),
                name: o.name.clone(),
                price_t: o.price_t,
                comes_in_at,
            });
        }
    }
    parts.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut binding: Vec<Binding> = rows
        .iter()
        .filter(|r| r.step > 0.0)
        .map(|r| Binding {
            what: r.what.clone(),
            step_words: r.step_words.clone(),
            per_step: solution.price(r.row) * r.step,
        })
        .chain(
            offers
                .iter()
                .enumerate()
                .filter(|(i, o)| {
                    o.class != "premix" && o.max > 0.0 && shares[*i] > o.max - 1e-7
                        || o.class != "premix" && o.min > 0.0 && shares[*i] < o.min + 1e-7
                })
                .map(|(i, o)| Binding {
                    what: format!("the limit on {}", o.name),
                    step_words: "1 % of the diet".into(),
                    per_step: 0.01 * solution.reduced_cost[i],
                }),
        )
        .filter(|b| b.per_step.abs() > 5e-4)
        .collect();
    binding.sort_by(|a, b| b.per_step.abs().total_cmp(&a.per_step.abs()));
    let holds = Composition::mix(shares.iter().copied().zip(offers.iter().map(|o| &o.holds)));
    let don_ppm = offers.iter().zip(shares).map(|(o, x)| o.don_ppm * x).sum();
    Ok(Formulated::Found(Box::new(Ration {
        phase: need.phase,
        cost_t: solution.objective,
        parts,
        left_out,
        binding,
        standing: diet::stand(need, &holds, don_ppm),
        holds,
        don_ppm,
        rounds,
    })))
}

/// Cost of a diet alone, for many solves: no ranges, no explanation.
///
/// # Errors
/// As [`formulate`].
pub fn cost_t(need: &Need, offers: &[Offer]) -> Result<Option<f64>, SolveError> {
    let s = build(need, offers).problem.solve()?;
    Ok((s.status == Status::Optimal).then_some(s.objective))
}

#[cfg(test)]
mod tests;
