//! Which farm's book a command works on.

use std::path::PathBuf;

use anyhow::{Context, bail};
use stook_book::{Entry, Farm, Store};

/// The farm's file.
#[derive(Debug, Clone, clap::Args)]
pub struct BookFile {
    /// The farm's file; else the only *.stook file in this folder
    #[arg(long, env = "STOOK_BOOK", value_name = "FILE", global = true)]
    book: Option<PathBuf>,
}

impl BookFile {
    /// Where it is.
    pub fn path(&self) -> anyhow::Result<PathBuf> {
        if let Some(p) = &self.book {
            return Ok(p.clone());
        }
        let mut found: Vec<PathBuf> = std::fs::read_dir(".")
            .context("this folder cannot be read")?
            .filter_map(|e| Some(e.ok()?.path()))
            .filter(|p| p.extension().is_some_and(|x| x == "stook"))
            .collect();
        found.sort();
        match found.as_slice() {
            [one] => Ok(one.clone()),
            [] => bail!(
                "there is no farm file (*.stook) in this folder; name one with --book FILE, or make one with `stook new FILE` or `stook demo FILE`"
            ),
            many => bail!("there are {} farm files in this folder; say which with --book FILE", many.len()),
        }
    }

    /// Opens it.
    pub fn open(&self) -> anyhow::Result<Store> {
        Ok(Store::open(self.path()?)?)
    }

    /// Opens it and folds every entry.
    pub fn farm(&self) -> anyhow::Result<(Store, Vec<Entry>, Farm)> {
        let store = self.open()?;
        let entries = store.entries()?;
        let farm = Farm::fold(&entries);
        Ok((store, entries, farm))
    }
}
