//! What the season commands share: the book, the weather, the day asked for.

use jiff::civil::Date;
use stook_book::{Entry, Farm};
use stook_season::{Before, Question, WeatherFacts};

use super::book_file::BookFile;

/// Which farm, which day, how many weathers.
#[derive(Debug, Clone, clap::Args)]
pub struct Asked {
    /// Answer for this day instead of today, such as 2026-05-05
    #[arg(long, value_name = "DATE")]
    as_of: Option<Date>,
    /// How many weathers to run
    #[arg(long, default_value_t = 300, value_parser = clap::value_parser!(u32).range(30..=5000))]
    members: u32,
    /// Seed of the weathers; the same seed gives the same answer
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Answer in JSON (described in docs/json.md)
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    book: BookFile,
}

impl Asked {
    /// The time by the farm's clock, when it is today that is asked about.
    pub fn now(&self, farm: &Farm) -> Option<jiff::civil::DateTime> {
        self.as_of.is_none().then(|| farm.local(jiff::Timestamp::now()))
    }

    /// Opens the book and hands the question over.
    pub fn ask<T>(&self, f: impl FnOnce(&Question<'_>) -> anyhow::Result<T>) -> anyhow::Result<T> {
        self.ask_with_entries(|q, _| f(q))
    }

    /// The same with every entry of the book.
    pub fn ask_with_entries<T>(
        &self,
        f: impl FnOnce(&Question<'_>, &[Entry]) -> anyhow::Result<T>,
    ) -> anyhow::Result<T> {
        self.ask_with_store(|q, entries, _| f(q, entries))
    }

    /// The same with the open book beside them.
    pub fn ask_with_store<T>(
        &self,
        f: impl FnOnce(&Question<'_>, &[Entry], &stook_book::Store) -> anyhow::Result<T>,
    ) -> anyhow::Result<T> {
        let (store, entries, farm) = self.book.farm()?;
        let now = jiff::Timestamp::now();
        let as_of = self.as_of.unwrap_or_else(|| farm.local(now).date());
        // A past day is answered from what happened by then; entries keep their own days.
        let farm =
            if self.as_of.is_some() { Farm::fold(entries.iter().filter(|e| e.on() <= as_of)) } else { farm };
        let weather = WeatherFacts::load(&store, as_of)?;
        // Of a past day it is not asked when each thing was written.
        let before = self.as_of.is_none().then(|| Before::evening(&entries, &farm, as_of));
        let question = Question {
            farm: &farm,
            weather: &weather,
            before: before.as_ref(),
            as_of,
            members: self.members as usize,
            seed: self.seed,
        };
        f(&question, &entries, &store)
    }
}
