//! `stook new`, `backup`, `restore` and `verify`: making and keeping the farm's file.

use std::path::PathBuf;
use std::process::ExitCode;

use stook_book::{Store, store};

use super::book_file::BookFile;
use crate::output;

/// Makes an empty farm file.
#[derive(Debug, clap::Args)]
pub struct New {
    /// The file to make, such as my-farm.stook
    file: PathBuf,
}

/// Copies the book while it stays in use; the copy appears only when complete.
#[derive(Debug, clap::Args)]
pub struct Backup {
    /// Where to put the copy
    file: PathBuf,
    #[command(flatten)]
    book: BookFile,
}

/// Puts a backup in place as a farm file, after checking that it is whole.
#[derive(Debug, clap::Args)]
pub struct Restore {
    /// The backup
    from: PathBuf,
    /// The farm file to make; it must not exist
    to: PathBuf,
}

/// Checks the file: its integrity, every entry, the fold, references that lead nowhere.
#[derive(Debug, clap::Args)]
pub struct Verify {
    #[command(flatten)]
    book: BookFile,
}

/// Does it.
pub fn new(a: &New) -> anyhow::Result<ExitCode> {
    Store::create(&a.file)?;
    output::line(format!("Made {}. Next: stook desk {0}", a.file.display()))?;
    Ok(ExitCode::SUCCESS)
}

/// Does it.
pub fn backup(a: &Backup) -> anyhow::Result<ExitCode> {
    a.book.open()?.backup_to(&a.file)?;
    output::line(format!("Copied to {}.", a.file.display()))?;
    Ok(ExitCode::SUCCESS)
}

/// Does it.
pub fn restore(a: &Restore) -> anyhow::Result<ExitCode> {
    store::restore(&a.from, &a.to)?;
    output::line(format!("{} is whole and stands at {}.", a.from.display(), a.to.display()))?;
    Ok(ExitCode::SUCCESS)
}

/// Does it.
pub fn verify(a: &Verify) -> anyhow::Result<ExitCode> {
    let report = a.book.open()?.verify()?;
    output::line(format!("{} entries, {} fields.", report.entries, report.fields))?;
    for d in &report.damage {
        output::line(format!("damaged: {d}"))?;
    }
    for (kind, n) in &report.unknown_kinds {
        output::line(format!("{n} entries of kind \"{kind}\", from a newer version: kept, not used"))?;
    }
    for w in &report.warnings {
        output::folded(&format!("look at {}: {}", w.entry, w.sentence), 2)?;
    }
    output::line(if report.is_sound() {
        "The file is whole."
    } else {
        "The file is damaged: restore the last backup."
    })?;
    Ok(if report.is_sound() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}
