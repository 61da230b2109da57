//! `stook haul`: who waits for whom.

use std::process::ExitCode;

use super::{calc, season::Asked};
use crate::output;

/// A day's hauling played many times: who waits for whom, and what one more truck or a bigger auger would buy.
#[derive(Debug, clap::Args)]
pub struct Haul {
    /// Field by its key; the driest that stands when left out
    #[arg(long)]
    field: Option<String>,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Haul) -> anyhow::Result<ExitCode> {
    let h = a.asked.ask(|q| {
        if let Some(f) = &a.field
            && !q.farm.fields.contains_key(&stook_book::FieldId::from(f.as_str()))
        {
            let have: Vec<&str> = q.farm.fields.keys().map(stook_book::FieldId::as_str).collect();
            anyhow::bail!("there is no field \"{f}\"; the fields are {}", have.join(", "));
        }
        Ok(stook_season::harvest::haul(q, a.field.as_deref())?)
    })?;
    if a.asked.json {
        output::json(&h)?;
        return Ok(ExitCode::SUCCESS);
    }
    output::line(output::strong(&h.headline))?;
    output::folded(&h.why, 0)?;
    if let Some(f) = &h.field {
        output::line("")?;
        let rows = f.changes.iter().map(|b| vec![b.what.clone(), b.words.clone()]).collect();
        output::table(&["change", "buys"], rows)?;
        output::line("")?;
        calc::working(&f.working)?;
    }
    for x in &h.assumed {
        output::folded(&format!("Taken as: {x}"), 2)?;
    }
    Ok(ExitCode::SUCCESS)
}
