//! The command line. Each command is a file in `commands/`; answers go to standard output, errors in one sentence
//! to standard error.

mod commands;
mod demo;
mod output;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    let cli = commands::Cli::parse();
    match commands::run(cli) {
        Ok(code) => code,
        // `stook ... | head` closes the pipe: that is a normal end.
        Err(e) if output::is_broken_pipe(&e) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("stook: {e:#}");
            ExitCode::from(2)
        }
    }
}
