//! The least-cost, most-worth spreading of what is in the pits: a linear program over pits and fields.
//!
//! A field gets manure on some of its area, at a rate between what the tanker can do and what soaks in, never more
//! nitrogen than it needs nor more phosphate than the law allows, all of it counted. Manure is worth the fertilizer it
//! saves: nitrogen, phosphate and potash up to the field's need, and phosphate beyond it at a share, since it serves
//! later crops. It costs the haul and a pass
//! over the land.

use serde::{Deserialize, Serialize};
use stook_fertility::Nutrients;
use stook_fertility::manure::rate::Binds;
use stook_optimise::{Col, Conflict, Problem, Row, SolveError};

/// A pit and what is in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Store {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// In it, m3.
    pub held_m3: f64,
    /// Must leave it, m3.
    pub must_m3: f64,
    /// Available to the crop this year in a m3, kg.
    pub available_kg_m3: Nutrients,
    /// All that is in a m3, kg.
    pub whole_kg_m3: Nutrients,
}

/// A field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ground {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Area that may get manure, ha.
    pub area_ha: f64,
    /// What the crop needs from fertilizer or manure, kg/ha.
    pub need_kg_ha: Nutrients,
    /// Most phosphate the law allows, all of it counted, kg/ha; none for no limit.
    pub p2o5_most_kg_ha: Option<f64>,
    /// Share of its price that phosphate beyond the need is worth here.
    pub later_p_share: f64,
    /// What a pass over a hectare costs whatever the rate: pulling the injector, money/ha.
    pub pass_per_ha: f64,
    /// Haul from each pit, money/m3, in the order of the pits.
    pub haul_per_m3: Vec<f64>,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Job {
    /// Pits.
    pub stores: Vec<Store>,
    /// Fields.
    pub grounds: Vec<Ground>,
    /// Money a kg of each nutrient in fertilizer.
    pub per_kg: Nutrients,
    /// Lowest rate that can be spread, m3/ha.
    pub least_m3_ha: f64,
    /// Highest rate that soaks in, m3/ha.
    pub most_m3_ha: f64,
}

/// Manure on a field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// Place in [`Job::grounds`].
    pub ground: usize,
    /// From each pit, m3.
    pub m3: Vec<f64>,
    /// On this area, ha.
    pub area_ha: f64,
    /// Rate, m3/ha.
    pub rate_m3_ha: f64,
    /// Available to the crop, kg/ha of that area.
    pub available_kg_ha: Nutrients,
    /// All that goes on, kg/ha of that area.
    pub whole_kg_ha: Nutrients,
    /// What sets the rate, if anything but the tanker does.
    pub binds: Option<Binds>,
    /// Fertilizer saved, money.
    pub saved: f64,
    /// Haul and the passes over the field, money.
    pub haul: f64,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Fields that get some, the most worth by the m3 first.
    pub spreads: Vec<Spread>,
    /// Left in each pit, m3.
    pub left_m3: Vec<f64>,
    /// Fertilizer saved less haul, money.
    pub net: f64,
    /// What one m3 more in each pit would add; below nought where more must leave than is worth its haul.
    pub worth_per_m3: Vec<f64>,
}

/// Why there is none.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// What must leave has nowhere to go.
    #[error("what must leave the pits has nowhere to go: {}", said(.0))]
    NoRoom(Conflict),
    /// The solver.
    #[error(transparent)]
    Solver(#[from] SolveError),
}

fn said(c: &Conflict) -> String {
    let one = |l: &stook_optimise::Limit| {
        l.give_way_to.map_or_else(
            || l.name.clone(),
            |to| format!("{} (would fit at {to:.0} instead of {:.0})", l.name, l.limit),
        )
    };
    c.limits.iter().map(one).collect::<Vec<_>>().join("; ")
}

struct Columns {
    m3: Vec<Vec<Col>>,
    area: Vec<Col>,
}

/// Finds it.
///
/// # Errors
/// When what must leave the pits has nowhere to go.
pub fn plan(job: &Job) -> Result<Plan, PlanError> {
    let (p, columns, stores) = program(job);
    let s = p.solve()?;
    if !s.found() {
        return Err(p.explain_infeasible()?.map_or(
            PlanError::Solver(SolveError::NoAnswer("no end to the worth".into())),
            PlanError::NoRoom,
        ));
    }
    let mut spreads: Vec<Spread> =
        (0..job.grounds.len()).filter_map(|g| spread(job, g, &columns, &s.x)).collect();
    let by_m3 = |x: &Spread| (x.saved - x.haul) / x.m3.iter().sum::<f64>();
    spreads.sort_by(|a, b| by_m3(b).total_cmp(&by_m3(a)));
    let left_m3 = job
        .stores
        .iter()
        .enumerate()
        .map(|(i, store)| store.held_m3 - columns.m3.iter().map(|cols| s.amount(cols[i])).sum::<f64>())
        .collect();
    let worth_per_m3 = stores.iter().map(|r| s.price(*r)).collect();
    Ok(Plan { spreads, left_m3, net: s.objective, worth_per_m3 })
}

/// The program, its columns, and the row of each pit.
fn program(job: &Job) -> (Problem, Columns, Vec<Row>) {
    let mut p = Problem::maximise();
    let mut columns = Columns { m3: Vec::new(), area: Vec::new() };
    for g in &job.grounds {
        let m3: Vec<Col> = job
            .stores
            .iter()
            .zip(&g.haul_per_m3)
            .map(|(s, haul)| {
                // Within the limit below every kg of nitrogen is one that is needed.
                let n = s.available_kg_m3.n * job.per_kg.n;
                p.column(format!("{} on {}", s.name, g.name), n - haul, 0.0, f64::INFINITY)
            })
            .collect();
        let area = p.column(format!("area of {}", g.name), -g.pass_per_ha, 0.0, g.area_ha);
        let of = |f: &dyn Fn(&Store) -> f64| -> Vec<(Col, f64)> {
            m3.iter().zip(&job.stores).map(|(c, s)| (*c, f(s))).collect()
        };
        let with = |mut terms: Vec<(Col, f64)>, more: &[(Col, f64)]| {
            terms.extend_from_slice(more);
            terms
        };
        let ha = |k: f64| [(area, -k)];
        p.at_most(format!("N of {}", g.name), 0.0, &with(of(&|s| s.available_kg_m3.n), &ha(g.need_kg_ha.n)));
        if let Some(most) = g.p2o5_most_kg_ha {
            p.at_most(
                format!("phosphate the law allows on {}", g.name),
                0.0,
                &with(of(&|s| s.whole_kg_m3.p2o5), &ha(most)),
            );
        }
        p.at_most(format!("most that soaks in on {}", g.name), 0.0, &with(of(&|_| 1.0), &ha(job.most_m3_ha)));
        p.at_least(
            format!("least the tanker spreads on {}", g.name),
            0.0,
            &with(of(&|_| 1.0), &ha(job.least_m3_ha)),
        );
        // Phosphate and potash that the crop of this year needs, and phosphate beyond.
        let later = g.later_p_share.clamp(0.0, 1.0);
        for (name, price, content, need) in [
            ("phosphate", job.per_kg.p2o5, 1, g.need_kg_ha.p2o5),
            ("potash", job.per_kg.k2o, 2, g.need_kg_ha.k2o),
        ] {
            let used = p.column(format!("{name} used on {}", g.name), price, 0.0, f64::INFINITY);
            let from = |s: &Store| if content == 1 { s.available_kg_m3.p2o5 } else { s.available_kg_m3.k2o };
            p.at_most(format!("{name} needed on {}", g.name), 0.0, &[(used, 1.0), (area, -need)]);
            let mut terms = vec![(used, 1.0)];
            if content == 1 {
                let beyond =
                    p.column(format!("{name} for later on {}", g.name), price * later, 0.0, f64::INFINITY);
                terms.push((beyond, 1.0));
            }
            terms.extend(of(&from).into_iter().map(|(c, k)| (c, -k)));
            p.at_most(format!("{name} brought to {}", g.name), 0.0, &terms);
        }
        columns.m3.push(m3);
        columns.area.push(area);
    }
    let mut rows = Vec::new();
    for (i, s) in job.stores.iter().enumerate() {
        let terms: Vec<_> = columns.m3.iter().map(|m3| (m3[i], 1.0)).collect();
        rows.push(p.at_most(format!("what is in {}", s.name), s.held_m3, &terms));
        if s.must_m3 > 0.0 {
            p.at_least(format!("what must leave {}", s.name), s.must_m3, &terms);
        }
    }
    (p, columns, rows)
}

/// What a field gets; none when it is next to nothing.
fn spread(job: &Job, g: usize, columns: &Columns, x: &[f64]) -> Option<Spread> {
    let ground = &job.grounds[g];
    let m3: Vec<f64> = columns.m3[g].iter().map(|c| x[c.index()].max(0.0)).collect();
    let total: f64 = m3.iter().sum();
    if total < 1e-6 {
        return None;
    }
    let area_ha = x[columns.area[g].index()].max(1e-9);
    let sum = |f: &dyn Fn(&Store) -> Nutrients| {
        m3.iter().zip(&job.stores).fold(Nutrients::NONE, |sum, (m3, s)| sum + f(s).times(*m3))
    };
    let available_kg_ha = sum(&|s| s.available_kg_m3).times(1.0 / area_ha);
    let whole_kg_ha = sum(&|s| s.whole_kg_m3).times(1.0 / area_ha);
    let at = |have: f64, limit: f64| have >= limit * (1.0 - 1e-6) - 1e-9;
    let binds = if at(available_kg_ha.n, ground.need_kg_ha.n) {
        Some(Binds::Nitrogen)
    } else if ground.p2o5_most_kg_ha.is_some_and(|most| at(whole_kg_ha.p2o5, most)) {
        Some(Binds::Phosphate)
    } else {
        None
    };
    let used = Nutrients::new(
        available_kg_ha.n.min(ground.need_kg_ha.n),
        available_kg_ha.p2o5.min(ground.need_kg_ha.p2o5),
        available_kg_ha.k2o.min(ground.need_kg_ha.k2o),
        0.0,
    );
    let beyond = (available_kg_ha.p2o5 - used.p2o5) * job.per_kg.p2o5 * ground.later_p_share.clamp(0.0, 1.0);
    Some(Spread {
        ground: g,
        area_ha,
        rate_m3_ha: total / area_ha,
        available_kg_ha,
        whole_kg_ha,
        binds,
        saved: (used.worth(job.per_kg) + beyond) * area_ha,
        haul: m3.iter().zip(&ground.haul_per_m3).map(|(m3, haul)| m3 * haul).sum::<f64>()
            + ground.pass_per_ha * area_ha,
        m3,
    })
}
