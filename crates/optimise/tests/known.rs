//! Problems whose answers are known, prices by finite difference, and what is said when nothing fits.

use stook_optimise::{Options, Problem, Side, SolveError, Status};

const INF: f64 = f64::INFINITY;

/// Two products, three shops: the textbook example of F. S. Hillier and G. J. Lieberman, "Introduction to Operations
/// Research" (the Wyndor problem): 2 and 6, 36 in all, prices 0, 1.5 and 1.
fn shops() -> Problem {
    let mut p = Problem::maximise();
    let a = p.column("doors", 3.0, 0.0, INF);
    let b = p.column("windows", 5.0, 0.0, INF);
    p.at_most("shop 1", 4.0, &[(a, 1.0)]);
    p.at_most("shop 2", 12.0, &[(b, 2.0)]);
    p.at_most("shop 3", 18.0, &[(a, 3.0), (b, 2.0)]);
    p
}

#[test]
fn the_textbook_answer_prices_and_ranges() {
    let s = shops().solve_ranged().unwrap();
    assert_eq!(s.status, Status::Optimal);
    assert!((s.objective - 36.0).abs() < 1e-9 && (s.x[0] - 2.0).abs() < 1e-9 && (s.x[1] - 6.0).abs() < 1e-9);
    for (price, known) in s.dual.iter().zip([0.0, 1.5, 1.0]) {
        assert!((price - known).abs() < 1e-9, "{:?}", s.dual);
    }
    // The same book: the first profit may move between 0 and 7.5, the second from 2 up; shop 2 between 6 and 18
    // hours, shop 3 between 12 and 24.
    let r = s.ranges.unwrap();
    let near = |x: Option<f64>, y: f64| x.is_some_and(|x| (x - y).abs() < 1e-9);
    assert!(near(r.cost[0].low, 0.0) && near(r.cost[0].high, 7.5), "{r:?}");
    assert!(near(r.cost[1].low, 2.0) && r.cost[1].high.is_none(), "{r:?}");
    assert!(r.limit[0].is_none(), "shop 1 does not bind");
    let shop = |i: usize| r.limit[i].unwrap();
    assert!(near(shop(1).low, 6.0) && near(shop(1).high, 18.0), "{r:?}");
    assert!(near(shop(2).low, 12.0) && near(shop(2).high, 24.0), "{r:?}");
    assert!(shop(2).holds(18.0) && !shop(2).holds(25.0));
}

/// The sign of a price, least and most, floor, ceiling and equal: a small move of the limit moves the objective so.
#[test]
fn a_price_is_what_a_small_move_of_the_limit_does() {
    let mut least = Problem::minimise();
    let barley = least.column("barley", 0.18, 0.0, INF);
    let wheat = least.column("wheat", 0.22, 0.0, 0.7);
    let meal = least.column("meal", 0.45, 0.0, INF);
    least.equal("whole", 1.0, &[(barley, 1.0), (wheat, 1.0), (meal, 1.0)]);
    least.at_least("protein", 16.0, &[(barley, 11.0), (wheat, 13.5), (meal, 46.0)]);
    least.at_most("fibre", 4.2, &[(barley, 5.5), (wheat, 2.6), (meal, 3.5)]);
    for p in [least, shops()] {
        let base = p.solve().unwrap();
        for r in 0..p.rows.len() {
            let h = 1e-4;
            let mut moved = p.clone();
            moved.rows[r].low = moved.rows[r].low.map(|l| l + h);
            moved.rows[r].high = moved.rows[r].high.map(|l| l + h);
            let rate = (moved.solve().unwrap().objective - base.objective) / h;
            assert!((rate - base.dual[r]).abs() < 1e-6, "{}: {rate} and {}", p.rows[r].name, base.dual[r]);
        }
        assert!(base.dual.iter().any(|d| d.abs() > 1e-3), "nothing binds, so nothing was tested");
    }
}

#[test]
fn a_column_left_out_comes_in_at_its_cost_less_its_reduced_cost() {
    let mut p = Problem::minimise();
    let a = p.column("a", 1.0, 0.0, INF);
    let b = p.column("b", 3.0, 0.0, INF);
    p.at_least("need", 10.0, &[(a, 1.0), (b, 2.0)]);
    let s = p.solve().unwrap();
    assert!(s.amount(b).abs() < 1e-12 && (s.reduced_cost[1] - 1.0).abs() < 1e-9);
    let at = |cost: f64| {
        let mut q = p.clone();
        q.columns[1].cost = cost;
        q.solve().unwrap().x[1]
    };
    assert!(at(2.01).abs() < 1e-9 && (at(1.99) - 5.0).abs() < 1e-9);
}

#[test]
fn whole_numbers_are_whole_and_have_prices_with_them_held() {
    // Six things in a sack: every choice tried, the best is worth 26.
    let (weight, worth) = ([4.0, 3.0, 5.0, 6.0, 2.0, 7.0], [9.0, 6.0, 10.0, 11.0, 3.0, 13.0]);
    let mut p = Problem::maximise();
    let cols: Vec<_> = worth.iter().enumerate().map(|(i, w)| p.yes_no(format!("thing {i}"), *w)).collect();
    let terms: Vec<_> = cols.iter().copied().zip(weight).collect();
    p.at_most("sack", 13.0, &terms);
    let best = (0..64u32)
        .map(|m| {
            (0..6).filter(|i| m >> i & 1 == 1).fold((0.0, 0.0), |(a, b), i| (a + weight[i], b + worth[i]))
        })
        .filter(|(w, _)| *w <= 13.0)
        .fold(0.0, |best: f64, (_, v)| best.max(v));
    let s = p.solve().unwrap();
    assert_eq!((s.status, s.objective), (Status::Optimal, best));
    assert!(s.x.iter().all(|x| *x == 0.0 || *x == 1.0));
    assert_eq!((s.dual.len(), s.gap), (1, 0.0));
}

#[test]
fn infeasible_and_without_end_are_told_apart() {
    let mut p = Problem::minimise();
    let a = p.column("a", 1.0, 0.0, 3.0);
    p.at_least("too much", 4.0, &[(a, 1.0)]);
    assert_eq!(p.solve().unwrap().status, Status::Infeasible);
    assert!(p.solve().unwrap().x.is_empty());

    let mut p = Problem::maximise();
    let a = p.column("a", 1.0, 0.0, INF);
    p.at_least("some", 1.0, &[(a, 1.0)]);
    assert_eq!(p.solve().unwrap().status, Status::Unbounded);
    let whole = {
        p.columns[0].whole = true;
        p.solve().unwrap().status
    };
    assert_eq!(whole, Status::Unbounded);

    let mut p = Problem::minimise();
    p.column("crossed", 1.0, 5.0, 4.0);
    assert_eq!(p.solve().unwrap().status, Status::Infeasible);
    assert_eq!(Problem::minimise().solve().unwrap().status, Status::Optimal);
}

#[test]
fn a_figure_that_is_no_number_is_named() {
    let mut p = Problem::minimise();
    let a = p.column("peas", f64::NAN, 0.0, INF);
    assert_eq!(p.solve().unwrap_err(), SolveError::NotANumber("peas".into()));
    p.columns[0].cost = 1.0;
    p.at_least("protein", f64::NAN, &[(a, 1.0)]);
    assert!(p.solve().unwrap_err().to_string().starts_with("protein holds a figure that is not a number"));
    p.rows[0].low = Some(1.0);
    p.rows[0].terms[0].0 = 7;
    assert_eq!(p.solve().unwrap_err(), SolveError::NoSuchColumn("protein".into()));
}

#[test]
fn a_column_given_twice_in_a_row_is_added_up() {
    let mut p = Problem::minimise();
    let a = p.column("a", 1.0, 0.0, INF);
    p.at_least("need", 6.0, &[(a, 1.0), (a, 2.0)]);
    assert!((p.solve().unwrap().x[0] - 2.0).abs() < 1e-9);
}

/// The few limits that quarrel, among many that do not.
#[test]
fn a_quarrel_is_named_with_what_giving_way_takes() {
    let mut p = Problem::minimise();
    let wheat = p.column("wheat", 0.2, 0.0, INF);
    let meal = p.column("meal", 0.5, 0.0, 0.15);
    let oats = p.column("oats", 0.1, 0.0, INF);
    p.equal("whole mix", 1.0, &[(wheat, 1.0), (meal, 1.0), (oats, 1.0)]);
    p.at_least("protein", 20.0, &[(wheat, 13.0), (meal, 46.0), (oats, 11.0)]);
    p.at_most("fibre", 9.0, &[(wheat, 3.0), (meal, 4.0), (oats, 11.0)]);
    assert_eq!(p.solve().unwrap().status, Status::Infeasible);
    let conflict = p.explain_infeasible().unwrap().unwrap();
    let said: Vec<_> = conflict.limits.iter().map(|l| (l.name.as_str(), l.side)).collect();
    assert_eq!(said, [("whole mix", Side::AtMost), ("protein", Side::AtLeast), ("meal", Side::AtMost)]);
    let protein = &conflict.limits[1];
    // The richest mix has 15 % meal and 85 % wheat: 17.95, at 0.245.
    assert!((protein.give_way_to.unwrap() - 17.95).abs() < 1e-6, "{protein:?}");
    assert!((protein.objective.unwrap() - 0.245).abs() < 1e-6, "{protein:?}");
    let meal = &conflict.limits[2];
    assert!(meal.of_column && (meal.give_way_to.unwrap() - 7.0 / 33.0).abs() < 1e-6, "{meal:?}");
    // With the answer taken, it can be met.
    p.columns[1].high = Some(meal.give_way_to.unwrap() + 1e-9);
    assert_eq!(p.explain_infeasible().unwrap(), None);
}

#[test]
fn two_quarrels_at_once_are_not_mended_by_one() {
    let mut p = Problem::minimise();
    let a = p.column("a", 1.0, 0.0, 1.0);
    let b = p.column("b", 1.0, 0.0, 1.0);
    p.at_least("first", 2.0, &[(a, 1.0)]);
    p.at_least("second", 3.0, &[(b, 1.0)]);
    let conflict = p.explain_infeasible().unwrap().unwrap();
    assert_eq!(conflict.limits.len(), 2);
    assert!(conflict.limits.iter().all(|l| l.give_way_to.is_none() && l.objective.is_none()));
}

#[test]
fn a_quarrel_of_whole_numbers_is_found_too() {
    let mut p = Problem::minimise();
    let loads = p.whole("loads", 1.0, 0.0, 9.0);
    p.row("tonnes", 50.0, 55.0, &[(loads, 40.0)]);
    let conflict = p.explain_infeasible().unwrap().unwrap();
    let said: Vec<_> = conflict.limits.iter().map(|l| (l.name.as_str(), l.give_way_to)).collect();
    assert_eq!(said, [("tonnes", Some(40.0)), ("tonnes", Some(80.0))]);
}

#[test]
fn out_of_time_is_said() {
    // Five sacks and sixty things: no answer can be proved best in no time.
    let mut p = Problem::maximise();
    let things: Vec<_> = (0..60).map(|i| p.yes_no("thing", 50.0 + f64::from((i * 31) % 17))).collect();
    for sack in 0..5 {
        let terms: Vec<_> =
            things.iter().zip(0..).map(|(c, i)| (*c, 40.0 + f64::from((i * 37 + sack * 53) % 29))).collect();
        p.at_most("sack", 1_111.5, &terms);
    }
    match p.solve_with(Options { time_limit_s: 0.0, ..Options::default() }) {
        Err(e) => assert!(e.to_string().contains("out of time"), "{e}"),
        Ok(s) => {
            assert!(s.status == Status::StoppedEarly && s.gap > 0.0 && p.worst_miss(&s.x) < 1e-9, "{s:?}")
        }
    }
}

#[test]
fn it_runs_on_many_threads() {
    let answers: Vec<f64> = std::thread::scope(|s| {
        let threads: Vec<_> = (0..4).map(|_| s.spawn(|| shops().solve().unwrap().objective)).collect();
        threads.into_iter().map(|t| t.join().unwrap()).collect()
    });
    assert!(answers.iter().all(|x| (x - 36.0).abs() < 1e-9));
}
