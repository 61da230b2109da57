//! Speed of rations and of the plan: `cargo bench -p stook-feed`. Prints what it measured on this machine; nothing here is
//! a test.

use std::time::Instant;

use stook_feed::need::{self, Choices};
use stook_feed::own_grain::{self, Tested};
use stook_feed::plan::{self, Buyer, Lot, PlanAsk, Planned, Wanted};
use stook_feed::ration::{self, Offer};
use stook_feed::{FeedParams, Phase, ingredient, limits};

const BOUGHT: [(&str, f64); 13] = [
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
const PHASES: [Phase; 8] = [
    Phase::Starter3,
    Phase::Grower1,
    Phase::Grower2,
    Phase::Finisher1,
    Phase::Finisher2,
    Phase::Gestation,
    Phase::Lactation,
    Phase::Grower1,
];

fn main() {
    // Cargo's test runner passes --test when it only wants to see that benches build and run.
    let quick = std::env::args().any(|a| a == "--test");
    let p = FeedParams::shipped();
    let bought = |phase: Phase| -> Vec<Offer> {
        BOUGHT
            .iter()
            .map(|(k, t)| Offer::of_table(ingredient::find(k).expect("in the table"), phase, *t))
            .collect()
    };
    let choices = Choices { phytase_p_pct: Some(0.1), ..Choices::default() };
    let need = need::need(p, Phase::Grower1, choices);
    let mut offers = bought(Phase::Grower1);
    for (k, t) in [("wheat_hrs", 230.0), ("barley", 200.0)] {
        offers.push(Offer::of_table(ingredient::find(k).expect("in the table"), Phase::Grower1, t));
    }
    let n = if quick { 3 } else { 1000 };
    let start = Instant::now();
    for k in 0..n {
        let price = 180.0 + 0.1 * f64::from(k);
        offers.iter_mut().filter(|o| o.key == "wheat_hrs").for_each(|o| o.price_t = price);
        let cost = ration::cost_t(&need, &offers).expect("figures are numbers");
        assert!(cost.is_some());
    }
    println!("{n} rations solved again in {:.3} s", start.elapsed().as_secs_f64());

    let (lots, rations, buyers, months) = if quick { (4, 2, 2, 3) } else { (15, 8, 6, 12) };
    let lots: Vec<Lot> = (0..lots)
        .map(|k| {
            let crop = if k % 4 == 3 { "barley" } else { "wheat" };
            let like = own_grain::like_crop(crop).expect("in the table");
            let protein = 11.5 + 0.22 * k as f64;
            let t = Tested { protein_pct: Some(protein), moisture_pct: Some(13.5), ..Tested::default() };
            Lot {
                offer: Offer {
                    key: format!("bin-{k}"),
                    name: format!("Bin {k}"),
                    class: like.key.clone(),
                    price_t: 200.0,
                    holds: own_grain::holds(p, like, &t).0,
                    don_ppm: 0.1 + 0.15 * k as f64,
                    max: 1.0,
                    min: 0.0,
                    lys_sd: 0.0,
                },
                tonnes: 180.0,
                protein_pct: Some(protein),
                storage_t_month: 0.6,
                gone_by: None,
                never_fed: false,
            }
        })
        .collect();
    let ask = PlanAsk {
        months,
        rations: (0..rations)
            .map(|r| {
                let phase = PHASES[r % PHASES.len()];
                Wanted {
                    name: format!("{} {r}", phase.words()),
                    need: need::need(p, phase, choices),
                    lot_max: lots
                        .iter()
                        .map(|l| limits::inclusion(&l.offer.class, phase).map_or(1.0, |i| i.max))
                        .collect(),
                    tonnes: vec![9.0 + r as f64; months],
                    bought: bought(phase),
                }
            })
            .collect(),
        buyers: (0..buyers)
            .map(|b| Buyer {
                name: format!("Buyer {b}"),
                price_t: lots
                    .iter()
                    .map(|l| Some(220.0 + (3 + b) as f64 * (l.protein_pct.unwrap_or(12.0) - 12.0)))
                    .collect(),
                by_month: (0..months).map(|m| (1.0 + 0.2 * b as f64) * m as f64).collect(),
                open: Vec::new(),
                most_month_t: 120.0,
                contracts: Vec::new(),
                averages: Vec::new(),
            })
            .collect(),
        lots,
        interest_month: 0.006,
        cash_by: vec![0.0; months],
        truck_t: None,
        grind_t: 12.0,
    };
    let start = Instant::now();
    let Planned::Found(a) = plan::plan(&ask).expect("figures are numbers") else { panic!("there is a plan") };
    println!(
        "{} lots x {rations} rations x {months} months, {buyers} buyers: planned in {:.3} s, worth {:.0}",
        ask.lots.len(),
        start.elapsed().as_secs_f64(),
        a.worth
    );
}
