//! `stook desk`: the pages.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

use jiff::civil::Date;

use crate::output;

/// Opens the desk on this machine; the address is printed.
#[derive(Debug, clap::Args)]
pub struct Desk {
    /// The farm's file; made empty when it is not there
    file: PathBuf,
    /// Where to listen; this machine only
    #[arg(long, default_value = "127.0.0.1:7345")]
    address: SocketAddr,
    /// Answer for this day instead of today
    #[arg(long, value_name = "DATE")]
    as_of: Option<Date>,
    /// A demo farm: answer for the day after its last weather
    #[arg(long)]
    demo: bool,
    /// How many weathers to run
    #[arg(long, default_value_t = 300)]
    members: u32,
}

/// Does it.
pub fn run(a: Desk) -> anyhow::Result<ExitCode> {
    if !a.file.exists() {
        stook_book::Store::create(&a.file)?;
        output::line(format!("Made {}.", a.file.display()))?;
    }
    let as_of = match a.as_of {
        Some(day) => Some(day),
        None if a.demo => stook_season::facts::day_after_weather(&stook_book::Store::open(&a.file)?)?,
        None => None,
    };
    stook_desk::serve(stook_desk::DeskConfig {
        book: a.file,
        address: a.address,
        as_of,
        members: a.members as usize,
        seed: 1,
    })?;
    Ok(ExitCode::SUCCESS)
}
