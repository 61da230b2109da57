//! Random problems: nothing tried beats the answer, the two sides of a problem agree, and a quarrel is a smallest one.

use proptest::prelude::*;
use stook_optimise::{Col, Problem, Side, Status};

/// Costs, rows of coefficients, floors and ceilings of a mix; sized so that about half can be met.
fn problems() -> impl Strategy<Value = Problem> {
    (2usize..7, 1usize..6).prop_flat_map(|(n, m)| {
        let column = (-2.0..8.0f64, 0.5..6.0f64);
        let row = (prop::collection::vec(-1.0..5.0f64, n), 0.0..20.0f64, 0.0..15.0f64, 0u8..3);
        (prop::collection::vec(column, n), prop::collection::vec(row, m)).prop_map(|(columns, rows)| {
            let mut p = Problem::minimise();
            for (i, (cost, high)) in columns.iter().enumerate() {
                p.column(format!("c{i}"), *cost, 0.0, *high);
            }
            let cols: Vec<Col> = (0..columns.len()).map(|i| p.nth(i)).collect();
            for (i, (terms, low, width, kind)) in rows.iter().enumerate() {
                let terms: Vec<_> = cols.iter().copied().zip(terms.iter().copied()).collect();
                let (low, high) = match kind {
                    0 => (*low, f64::INFINITY),
                    1 => (f64::NEG_INFINITY, *low),
                    _ => (*low, low + width),
                };
                p.row(format!("r{i}"), low, high, &terms);
            }
            p
        })
    })
}

/// Every point of a grid over the bounds.
fn grid(p: &Problem, steps: u32) -> impl Iterator<Item = Vec<f64>> {
    let highs: Vec<f64> = p.columns.iter().map(|c| c.high.unwrap()).collect();
    let n = u32::try_from(highs.len()).unwrap();
    (0..(steps + 1).pow(n)).map(move |mut code| {
        highs
            .iter()
            .map(|h| {
                let step = code % (steps + 1);
                code /= steps + 1;
                h * f64::from(step) / f64::from(steps)
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn nothing_on_a_grid_beats_it(p in problems()) {
        let s = p.solve().unwrap();
        let best = grid(&p, 4).filter(|x| p.worst_miss(x) == 0.0).map(|x| p.objective(&x)).fold(f64::INFINITY, f64::min);
        if s.status == Status::Optimal {
            prop_assert!(p.worst_miss(&s.x) < 1e-7);
            prop_assert!(s.objective <= best + 1e-7);
        } else {
            prop_assert_eq!(s.status, Status::Infeasible);
            prop_assert!(best == f64::INFINITY, "called infeasible, but a grid point fits");
        }
    }

    /// Strong duality and complementary slackness, from the figures handed out.
    #[test]
    fn the_prices_add_up_to_the_cost(p in problems()) {
        let s = p.solve().unwrap();
        prop_assume!(s.status == Status::Optimal);
        let worth = |price: f64, low: Option<f64>, high: Option<f64>| {
            if price > 0.0 { price * low.unwrap_or(f64::NAN) } else if price < 0.0 { price * high.unwrap_or(f64::NAN) } else { 0.0 }
        };
        let rows: f64 = p.rows.iter().zip(&s.dual).map(|(r, d)| worth(if d.abs() < 1e-9 { 0.0 } else { *d }, r.low, r.high)).sum();
        let columns: f64 = p.columns.iter().zip(&s.reduced_cost).map(|(c, d)| worth(*d, c.low, c.high)).sum();
        prop_assert!((rows + columns - s.objective).abs() < 1e-6, "{rows} {columns} {}", s.objective);
        for (c, column) in p.columns.iter().enumerate() {
            let priced: f64 = p.rows.iter().zip(&s.dual).map(|(r, d)| d * r.terms.iter().filter(|t| t.0 == c).map(|t| t.1).sum::<f64>()).sum();
            prop_assert!((column.cost - priced - s.reduced_cost[c]).abs() < 1e-7);
        }
    }

    /// Whole numbers against every point.
    #[test]
    fn whole_numbers_against_every_point(p in problems()) {
        let mut p = p;
        for c in &mut p.columns {
            c.whole = true;
            c.high = c.high.map(|h| h.floor().min(3.0));
        }
        let s = p.solve().unwrap();
        let whole = |p: &Problem| {
            let highs: Vec<u32> = p.columns.iter().map(|c| (0..=3).rfind(|h| f64::from(*h) <= c.high.unwrap()).unwrap()).collect();
            (0..highs.iter().map(|h| h + 1).product::<u32>()).map(move |mut code| {
                highs.iter().map(|h| { let x = code % (h + 1); code /= h + 1; f64::from(x) }).collect::<Vec<f64>>()
            }).filter(|x| p.worst_miss(x) < 1e-9).map(|x| p.objective(&x)).fold(f64::INFINITY, f64::min)
        };
        let best = whole(&p);
        if best.is_finite() {
            prop_assert_eq!(s.status, Status::Optimal);
            prop_assert!((s.objective - best).abs() < 1e-7);
        } else {
            prop_assert_eq!(s.status, Status::Infeasible);
        }
    }

    /// What is named cannot stand together, and with any one of it gone the rest can.
    #[test]
    fn a_quarrel_is_a_smallest_one(p in problems()) {
        let said = p.explain_infeasible().unwrap();
        let status = p.solve().unwrap().status;
        prop_assert_eq!(said.is_none(), status == Status::Optimal);
        let Some(conflict) = said else { return Ok(()) };
        let with = |keep: &dyn Fn(usize) -> bool| {
            let mut q = p.clone();
            for r in &mut q.rows { (r.low, r.high) = (None, None); }
            for c in &mut q.columns { c.high = None; }
            for (_, l) in conflict.limits.iter().enumerate().filter(|(i, _)| keep(*i)) {
                if l.of_column {
                    q.columns.iter_mut().find(|c| c.name == l.name).unwrap().high = Some(l.limit);
                } else {
                    let r = q.rows.iter_mut().find(|r| r.name == l.name).unwrap();
                    match l.side { Side::AtLeast => r.low = Some(l.limit), Side::AtMost => r.high = Some(l.limit) }
                }
            }
            for c in &mut q.columns { c.cost = 0.0; }
            q.solve().unwrap().status
        };
        prop_assert_eq!(with(&|_| true), Status::Infeasible);
        for leave in 0..conflict.limits.len() {
            prop_assert_eq!(with(&|i| i != leave), Status::Optimal);
        }
    }
}
