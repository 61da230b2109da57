//! The models of the benches as JSON, one a line with the seconds Stook took to solve it, for `checks/speed.py`: rations at
//! many prices of wheat, then the plan of fifteen lots, eight rations, twelve months and six buyers.

use std::io::Write;
use std::time::Instant;

use serde_json::json;
use stook_feed::{Phase, market, plan, ration};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let rations: usize = std::env::args().nth(1).map_or(Ok(1000), |n| n.parse())?;
    let mut out = std::io::stdout().lock();
    let need = market::needs(Phase::Grower1);
    for k in 0..rations {
        let mut offers = market::offers(Phase::Grower1);
        offers.iter_mut().filter(|o| o.key == "wheat_hrs").for_each(|o| o.price_t = 180.0 + 0.1 * k as f64);
        let start = Instant::now();
        let problem = ration::problem(&need, &offers);
        let objective = problem.solve()?.objective;
        let line = json!({"name": "ration", "seconds": start.elapsed().as_secs_f64(), "objective": objective, "problem": problem});
        writeln!(out, "{line}")?;
    }
    let ask = market::farm(15, 8, 6, 12);
    let start = Instant::now();
    let problem = plan::problem(&ask);
    let objective = problem.solve()?.objective;
    let line = json!({"name": "plan", "seconds": start.elapsed().as_secs_f64(), "objective": objective, "problem": problem});
    writeln!(out, "{line}")?;
    Ok(())
}
