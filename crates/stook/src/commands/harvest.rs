//! `stook harvest`: which field, what hour, at what moisture.

use std::process::ExitCode;

use serde_json::json;

use super::{calc, season::Asked};
use crate::output;

/// The order of fields for the combine, the hour to stop, what the loss tests say and the straw.
#[derive(Debug, clap::Args)]
pub struct Harvest {
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Harvest) -> anyhow::Result<ExitCode> {
    let (order, combine) =
        a.asked.ask(|q| Ok((stook_season::harvest::order(q)?, stook_season::harvest::combine(q)?)))?;
    if a.asked.json {
        output::json(&json!({"order": order, "combine": combine}))?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(output::strong(&order.headline))?;
    output::folded(&order.why, 0)?;
    let rows: Vec<Vec<String>> = order
        .stops
        .iter()
        .enumerate()
        .map(|(i, s)| {
            vec![
                format!("{}. {}", i + 1, s.name),
                format!("{:.1} %", s.moisture.p50),
                format!("{:.0} h", s.hours),
                format!("{:.0}", s.waiting.mean),
                s.expected.map_or_else(String::new, |e| e.middle.strftime("%-d %b").to_string()),
                s.parts.clone(),
            ]
        })
        .collect();
    if !rows.is_empty() {
        output::line("")?;
        output::table(&["field", "moisture", "work", "a fit day's wait", "off about", "of that"], rows)?;
    }
    for g in &order.gains {
        output::folded(&format!("The order is {}.", g.words), 2)?;
    }
    if let Some(t) = &order.tonight {
        output::line("\nTonight")?;
        output::folded(&t.words, 0)?;
    }
    if let Some(w) = &order.working {
        output::line("")?;
        calc::working(w)?;
    }
    output::line("\nThe combine")?;
    output::folded(&combine.headline, 0)?;
    output::folded(&combine.why, 0)?;
    for x in &order.assumed {
        output::folded(&format!("Taken as: {x}"), 2)?;
    }
    Ok(ExitCode::SUCCESS)
}
