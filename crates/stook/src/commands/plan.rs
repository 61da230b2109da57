//! `stook plan`: the order of work by machine.

use std::process::ExitCode;

use super::{calc, season::Asked};
use crate::output;

/// The order of work for each machine, what it gains, and what a lost day costs the farm.
#[derive(Debug, clap::Args)]
pub struct Plan {
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Plan) -> anyhow::Result<ExitCode> {
    let plan = a.asked.ask(|q| Ok(stook_season::plan(q)?))?;
    if a.asked.json {
        output::json(&plan)?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(format!("{}, {}", plan.today.farm, plan.today.as_of.strftime("%A %-d %B %Y")))?;
    for o in &plan.orders {
        output::line("")?;
        output::line(output::strong(&format!("The {}", o.machine)))?;
        let rows = o
            .stops
            .iter()
            .enumerate()
            .map(|(i, s)| {
                vec![
                    format!("{}. {}", i + 1, s.name),
                    format!("{:.0} h", s.hours),
                    format!("{:.0} an hour", s.per_hour),
                    format!("done about {}", s.expected.middle.strftime("%-d %b")),
                ]
            })
            .collect();
        output::table(&["field", "work", "cost of waiting", "expected"], rows)?;
        output::folded(&o.words, 0)?;
        calc::working(&o.working)?;
    }
    for m in &plan.machine_day {
        output::line("")?;
        output::folded(&m.words, 0)?;
    }
    if plan.orders.is_empty() && plan.machine_day.is_empty() {
        output::line("No field work is waiting.")?;
    }
    if !plan.today.coming.is_empty() {
        output::line("\nComing")?;
        for c in &plan.today.coming {
            output::folded(&format!("  {}", c.words), 4)?;
        }
    }
    Ok(ExitCode::SUCCESS)
}
