//! `stook demo`: writes the invented farm.

use std::path::PathBuf;
use std::process::ExitCode;

use crate::{demo, output};

/// Writes the invented demo farm, as it stands on a chosen morning.
#[derive(Debug, clap::Args)]
pub struct Demo {
    /// The file to make
    file: PathBuf,
    /// The morning: 01-15, 05-05, 06-28, 08-20 or 09-03
    #[arg(long, default_value = "05-05")]
    day: String,
}

/// Does it.
pub fn run(a: &Demo) -> anyhow::Result<ExitCode> {
    let morning = demo::write(&a.file, &a.day)?;
    output::line(format!(
        "Made {0}, an invented farm on the morning of {morning}.\nLook: stook today --as-of {morning} --book {0}\nOr:   stook desk --demo {0}",
        a.file.display()
    ))?;
    Ok(ExitCode::SUCCESS)
}
