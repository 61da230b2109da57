//! Speed of rations and of the plan: `cargo bench -p stook-feed`. Prints what it measured on this machine; nothing here is
//! a test. As ratios to SciPy's solver on the same models: `checks/speed.py`.

use std::time::Instant;

use stook_feed::plan::{self, Planned};
use stook_feed::{Phase, market, ration};

fn main() {
    // Cargo's test runner passes --test when it only wants to see that benches build and run.
    let quick = std::env::args().any(|a| a == "--test");
    let need = market::needs(Phase::Grower1);
    let mut offers = market::offers(Phase::Grower1);
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
    let ask = market::farm(lots, rations, buyers, months);
    let start = Instant::now();
    let Planned::Found(a) = plan::plan(&ask).expect("figures are numbers") else { panic!("there is a plan") };
    println!(
        "{lots} lots x {rations} rations x {months} months, {buyers} buyers: planned in {:.3} s, worth {:.0}",
        start.elapsed().as_secs_f64(),
        a.worth
    );
}
