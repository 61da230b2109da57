//! `stook pays`: would a wider drill, a faster combine, a drier or a truck pay?

use std::process::ExitCode;

use super::season::Asked;
use crate::output;

/// The season run again with a wider drill, a faster combine, a drier, a truck: money a year, and the price that pays.
#[derive(Debug, clap::Args)]
pub struct Pays {
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Pays) -> anyhow::Result<ExitCode> {
    let answer = a.asked.ask(|q| Ok(stook_season::harvest::pays(q)?))?;
    if a.asked.json {
        output::json(&answer)?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(output::strong(&answer.headline))?;
    output::folded(&answer.why, 0)?;
    output::line("")?;
    let rows = answer.changes.iter().map(|p| vec![p.what.clone(), p.words.clone()]).collect();
    output::table(&["change", "a year"], rows)?;
    for p in answer.changes.iter().filter(|p| !p.own_years.is_empty()) {
        let years: Vec<String> =
            p.own_years.iter().map(|(y, x)| format!("{y} {}", stook_measure::money(*x))).collect();
        output::folded(&format!("{}, your own seasons again: {}.", p.what, years.join(", ")), 2)?;
    }
    Ok(ExitCode::SUCCESS)
}
