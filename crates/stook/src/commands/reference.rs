//! `stook reference`: every coefficient with its value, source and how sure we are.

use std::process::ExitCode;

use stook_measure::Reference;

use crate::output;

/// Lists coefficients; a farm may put its own number in place of any.
#[derive(Debug, clap::Args)]
pub struct ReferenceCommand {
    /// Only names that contain this
    #[arg(value_name = "NAME")]
    only: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Does it.
pub fn run(a: &ReferenceCommand) -> anyhow::Result<ExitCode> {
    let all = Reference::shipped();
    let wanted: Vec<_> =
        all.all().filter(|c| a.only.as_ref().is_none_or(|o| c.name.contains(o.as_str()))).collect();
    if a.json {
        output::json(&wanted)?;
    } else {
        let rows = wanted
            .iter()
            .map(|c| {
                vec![
                    c.name.clone(),
                    format!("{} {}", c.value, c.unit),
                    c.sure.words().into(),
                    format!("{}. {}", c.note, c.source),
                ]
            })
            .collect();
        output::table(&["name", "value", "how sure", "what and where from"], rows)?;
    }
    Ok(ExitCode::SUCCESS)
}
