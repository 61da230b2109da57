use super::*;
use crate::ingredient;
use crate::need::{self, Choices};
use crate::own_grain::{self, Tested};
use crate::{FeedParams, Phase};

pub(crate) const BOUGHT: [(&str, f64); 13] = [
    ("field_pea", 300.0),
    ("sbm_dehulled", 520.0),
    ("canola_meal", 380.0),
    ("canola_oil", 1300.0),
    ("limestone", 120.0),
    ("monocal", 900.0),
    ("salt", 150.0),
    ("lys_hcl", 2200.0),
    ("dl_met", 4000.0),
    ("l_thr", 2400.0),
    ("l_trp", 12_000.0),
    ("l_val", 7000.0),
    ("premix", 3000.0),
];

fn lot(k: usize, crop: &str, protein: f64, don: f64, tonnes: f64) -> Lot {
    let p = FeedParams::shipped();
    let like = own_grain::like_crop(crop).unwrap();
    let (holds, _) = own_grain::holds(
        p,
        like,
        &Tested { protein_pct: Some(protein), moisture_pct: Some(13.5), ..Tested::default() },
    );
    Lot {
        offer: Offer {
            key: format!("bin-{k}"),
            name: format!("Bin {k}"),
            class: like.key.clone(),
            price_t: 180.0,
            holds,
            don_ppm: don,
            max: 1.0,
            min: 0.0,
            lys_sd: 0.0,
        },
        tonnes,
        protein_pct: Some(protein),
        storage_t_month: 0.6,
        gone_by: None,
        never_fed: false,
    }
}

pub(crate) fn ask(lots: usize, rations: usize, buyers: usize, months: usize) -> PlanAsk {
    let p = FeedParams::shipped();
    let lots: Vec<Lot> = (0..lots)
        .map(|k| match k % 5 {
            0 => lot(k, "wheat", 14.2, 0.2, 190.0),
            1 => lot(k, "wheat", 12.4, 0.8, 170.0),
            2 => lot(k, "barley", 11.5, 0.5, 150.0),
            3 => lot(k, "wheat", 13.3, 2.4, 120.0),
            _ => lot(k, "wheat", 13.6, 0.4, 200.0),
        })
        .collect();
    let phases = [
        Phase::Grower1,
        Phase::Grower2,
        Phase::Finisher1,
        Phase::Finisher2,
        Phase::Gestation,
        Phase::Lactation,
        Phase::Starter3,
    ];
    let rations = (0..rations)
        .map(|r| {
            let phase = phases[r % phases.len()];
            let need = need::need(p, phase, Choices { phytase_p_pct: Some(0.1), ..Choices::default() });
            let bought = BOUGHT
                .iter()
                .map(|(k, price)| Offer::of_table(ingredient::find(k).unwrap(), phase, *price))
                .collect();
            let lot_max = lots
                .iter()
                .map(|l| crate::limits::inclusion(&l.offer.class, phase).map_or(1.0, |i| i.max))
                .collect();
            Wanted {
                name: format!("{} {r}", phase.words()),
                need,
                lot_max,
                tonnes: vec![10.0 + r as f64; months],
                bought,
            }
        })
        .collect();
    let buyers = (0..buyers)
        .map(|b| Buyer {
            name: format!("Buyer {b}"),
            price_t: lots
                .iter()
                .map(|l| {
                    let wheat = l.offer.class == "wheat_hrs";
                    let protein = l.protein_pct.unwrap_or(12.0);
                    match (b % 3, wheat) {
                        (0, true) if l.offer.don_ppm < 1.0 => {
                            Some(240.0 + 12.0 * (protein - 12.0) - 2.0 * b as f64)
                        }
                        (1, true) => Some(225.0),
                        (2, false) => Some(205.0),
                        _ => None,
                    }
                })
                .collect(),
            by_month: (0..months).map(|m| 1.5 * m as f64).collect(),
            open: Vec::new(),
            most_month_t: 160.0,
            contracts: Vec::new(),
            averages: Vec::new(),
        })
        .collect();
    PlanAsk {
        months,
        lots,
        rations,
        buyers,
        interest_month: 0.006,
        cash_by: vec![0.0; months],
        cash_pays_feed: false,
        truck_t: None,
        grind_t: 12.0,
    }
}

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
