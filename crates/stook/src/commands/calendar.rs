//! `stook calendar`: windows and intervals as an iCalendar file.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Context;
use stook_season::spraying::calendar;

use super::season::Asked;
use crate::output;

/// The windows to come and this year's spray intervals as a calendar (RFC 5545)
///
/// The desk answers on this machine only, so a phone cannot subscribe to it: write the file and send it to the phone. Each
/// event keeps its number, so a newer file moves it instead of doubling it.
#[derive(Debug, clap::Args)]
pub struct Calendar {
    /// Where to write it; to the terminal when left out
    file: Option<PathBuf>,
    #[command(flatten)]
    asked: Asked,
}

/// Does it.
pub fn run(a: &Calendar) -> anyhow::Result<ExitCode> {
    let (events, text) = a.asked.ask_with_entries(|q, entries| {
        let today = stook_season::today(q)?;
        let events = calendar::events(q.farm, &today);
        let name = q.farm.set_up.as_ref().map_or("Stook", |f| f.is.name.as_str());
        let stamp = calendar::stamp(entries, q.as_of);
        let text = calendar::text(name, &events, &q.farm.time_zone(), stamp);
        Ok((events, text))
    })?;
    if a.asked.json {
        output::json(&events)?;
        return Ok(ExitCode::SUCCESS);
    }
    match &a.file {
        None => output::line(text.trim_end())?,
        Some(path) => {
            std::fs::write(path, text).with_context(|| format!("{} cannot be written", path.display()))?;
            output::line(format!("Wrote {} events to {}.", events.len(), path.display()))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}
