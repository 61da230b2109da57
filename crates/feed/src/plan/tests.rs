use super::*;
use crate::market::farm as ask;

fn found(a: &PlanAsk) -> PlanAnswer {
    match plan(a).unwrap() {
        Planned::Found(x) => *x,
        Planned::Impossible(c) => panic!("no plan: {c:?}"),
    }
}

#[test]
fn the_mass_of_every_lot_closes_and_every_ration_is_whole() {
    let a = ask(7, 4, 3, 6);
    let x = found(&a);
    for l in &x.lots {
        assert!((l.fed_t() + l.sold_t() + l.left_t - l.tonnes).abs() < 1e-5, "{}", l.name);
    }
    for r in &x.rations {
        let sum: f64 = r.parts.iter().map(|p| p.1).sum();
        assert!((sum - a.rations[r.ration].tonnes[r.month]).abs() < 1e-5);
    }
}

#[test]
fn the_low_protein_bin_goes_to_the_pigs() {
    let a = ask(5, 4, 3, 6);
    let x = found(&a);
    let (high, low) = (&x.lots[0], &x.lots[1]);
    assert!(low.fed_t() > high.fed_t(), "{} {}", low.fed_t(), high.fed_t());
    assert!(high.mill_t.unwrap() > low.mill_t.unwrap());
    // Where a lot is fed and not at a limit, its worth is its worth in the trough.
    for l in &x.lots {
        let best = l.trough_t.unwrap_or(f64::NEG_INFINITY).max(l.mill_t.unwrap_or(f64::NEG_INFINITY));
        if l.left_t < 1e-6 {
            assert!(l.worth_t <= best + 1e-4, "{} {} {best}", l.name, l.worth_t);
        }
    }
}

#[test]
fn a_tonne_more_is_worth_what_it_says() {
    let mut a = ask(5, 3, 3, 4);
    let base = found(&a);
    for k in 0..a.lots.len() {
        a.lots[k].tonnes += 0.01;
        let more = found(&a);
        a.lots[k].tonnes -= 0.01;
        assert!(
            (more.worth - base.worth - 0.01 * base.lots[k].worth_t).abs() < 1e-4,
            "{}",
            base.lots[k].name
        );
    }
}

#[test]
fn contracts_cash_and_averages_are_kept() {
    let mut a = ask(5, 3, 3, 6);
    a.buyers[1].contracts.push(Contract { from: 1, to: 2, tonnes: 90.0 });
    a.cash_by[1] = 20_000.0;
    let protein: Vec<f64> = a.lots.iter().map(|l| l.protein_pct.unwrap()).collect();
    a.buyers[0].averages.push(Average {
        what: "protein".into(),
        of_lot: protein.clone(),
        least: Some(13.5),
        most: None,
        window: None,
        had: None,
    });
    let x = found(&a);
    let sold = |b: usize, from: usize, to: usize| -> f64 {
        x.lots
            .iter()
            .flat_map(|l| &l.sold)
            .filter(|s| s.buyer == b && (from..=to).contains(&s.month))
            .map(|s| s.tonnes)
            .sum()
    };
    assert!(sold(1, 1, 2) >= 90.0 - 1e-5);
    assert!(x.cash[..2].iter().map(|c| c.sales).sum::<f64>() >= 20_000.0 - 1e-3);
    for m in 0..6 {
        let (mut t, mut p) = (0.0, 0.0);
        for (l, lot) in x.lots.iter().enumerate() {
            for s in lot.sold.iter().filter(|s| s.buyer == 0 && s.month == m) {
                t += s.tonnes;
                p += s.tonnes * protein[l];
            }
        }
        assert!(t < 1e-6 || p / t >= 13.5 - 1e-6);
    }
    a.cash_by[1] = 9e9;
    let Planned::Impossible(Some(c)) = plan(&a).unwrap() else { panic!("nobody has that money") };
    assert!(c.limits.iter().any(|l| l.name.contains("cash")), "{c:?}");
}

#[test]
fn trucks_are_whole_and_cost_little() {
    let mut a = ask(5, 2, 3, 4);
    let plain = found(&a);
    a.truck_t = Some(40.0);
    let x = found(&a);
    assert!(x.whole_trucks);
    for s in x.lots.iter().flat_map(|l| &l.sold) {
        let trucks = s.tonnes / 40.0;
        assert!((trucks - trucks.round()).abs() < 1e-4, "{}", s.tonnes);
    }
    assert!(x.worth <= plain.worth + 1e-3 && x.worth > 0.9 * plain.worth, "{} {}", x.worth, plain.worth);
    for l in &x.lots {
        assert!((l.fed_t() + l.sold_t() + l.left_t - l.tonnes).abs() < 1e-4);
    }
}

#[test]
fn a_lot_that_may_not_be_fed_is_not_fed() {
    let mut a = ask(5, 3, 3, 4);
    a.lots[1].never_fed = true;
    a.lots[2].gone_by = Some(1);
    let x = found(&a);
    assert!(x.lots[1].fed.is_empty() && x.lots[1].trough_t.is_none());
    assert!(x.lots[2].left_t < 1e-9 && x.lots[2].fed.iter().all(|f| f.month <= 1));
}

#[test]
fn a_contract_keeps_its_average_with_what_was_delivered_before() {
    let mut a = ask(5, 3, 3, 6);
    let protein: Vec<f64> = a.lots.iter().map(|l| l.protein_pct.unwrap()).collect();
    a.buyers[1].price_t = protein.iter().map(|_| Some(400.0)).collect();
    a.buyers[1].contracts.push(Contract { from: 0, to: 2, tonnes: 200.0 });
    // A hundred tonnes of 12 % went already: the rest must lift the whole to 13.
    a.buyers[1].averages.push(Average {
        what: "protein".into(),
        of_lot: protein.clone(),
        least: Some(13.0),
        most: None,
        window: Some((0, 2)),
        had: Some((100.0, 12.0)),
    });
    let x = found(&a);
    let (mut t, mut p) = (100.0, 1200.0);
    for (l, lot) in x.lots.iter().enumerate() {
        for s in lot.sold.iter().filter(|s| s.buyer == 1 && s.month <= 2) {
            t += s.tonnes;
            p += s.tonnes * protein[l];
        }
    }
    assert!(t >= 300.0 - 1e-4 && p / t >= 13.0 - 1e-6, "{t} {}", p / t);
}

#[test]
fn what_is_kept_in_hand_is_there_at_the_end_and_costs_something() {
    let mut a = ask(5, 3, 3, 6);
    let free = found(&a);
    a.keep.push(Keep { name: "wheat in hand".into(), lots: vec![0, 1, 4], month: 5, tonnes: 60.0 });
    a.buyers[0].most_t = Some(100.0);
    let x = found(&a);
    let left: f64 = [0, 1, 4].iter().map(|l: &usize| x.lots[*l].left_t).sum();
    assert!(left >= 60.0 - 1e-6, "{left}");
    let sold: f64 = x.lots.iter().flat_map(|l| &l.sold).filter(|s| s.buyer == 0).map(|s| s.tonnes).sum();
    assert!(sold <= 100.0 + 1e-6 && x.worth <= free.worth + 1e-6);
}

#[test]
fn feed_bought_is_paid_from_the_same_cash() {
    let mut a = ask(5, 3, 3, 6);
    a.cash_by[1] = 20_000.0;
    a.cash_pays_feed = true;
    let x = found(&a);
    let net: f64 = x.cash[..2].iter().map(|c| c.sales - c.bought - c.storage).sum();
    assert!(net >= 20_000.0 - 1e-2, "{net}");
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(12))]
    #[test]
    fn mass_closes_whatever_the_prices(prices in proptest::collection::vec(120.0..360.0_f64, 5), tonnes in proptest::collection::vec(1.0..300.0_f64, 5)) {
        let mut a = ask(5, 2, 2, 3);
        for (k, l) in a.lots.iter_mut().enumerate() {
            l.tonnes = tonnes[k];
            a.buyers[0].price_t[k] = Some(prices[k]);
        }
        let x = found(&a);
        for l in &x.lots {
            proptest::prop_assert!((l.fed_t() + l.sold_t() + l.left_t - l.tonnes).abs() < 1e-5);
        }
    }
}
