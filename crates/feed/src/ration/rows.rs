//! The rows of a ration, for one diet or inside the plan of the whole farm.

use stook_optimise::{Col, Problem, Row};

use super::Offer;
use crate::need::Need;
use crate::nutrient::Nutrient;

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

/// The single ration: shares that sum to one.
pub(super) fn build(need: &Need, offers: &[Offer]) -> Built {
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
