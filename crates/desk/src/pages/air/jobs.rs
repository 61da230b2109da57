//! Long reckonings beside the pages: begun once for each state of the book, looked at while they run.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

use stook_book::{BinId, Store};
use stook_keep::{AirFacts, BinAir, Keeping, Silent};

use crate::state::{Desk, Known};

/// Weathers for one bin.
const ONE_BIN: usize = 100;
/// Weathers when every bin is looked at.
const ALL_BINS: usize = 60;

/// The reckonings of one state of the book: by bin, or of all bins.
#[derive(Debug, Default)]
pub struct Jobs(Mutex<BTreeMap<Option<BinId>, Arc<Job>>>);

/// A reckoning.
#[derive(Debug, Default)]
pub struct Job {
    said: Mutex<Said>,
    changed: Condvar,
}

/// What is known so far.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// Bins, as far as each is reckoned.
    pub bins: Vec<Arc<BinAir>>,
    /// Bins of which nothing can be reckoned.
    pub silent: Vec<Silent>,
    /// How the weathers were made.
    pub weather: String,
    /// Steps taken and to take.
    pub steps: (usize, usize),
    /// Whether it is finished.
    pub done: bool,
    /// What went wrong.
    pub trouble: Option<String>,
}

impl Jobs {
    /// The reckoning of a bin, or of all; begun if it is not.
    pub fn of(desk: &Desk, known: &Arc<Known>, bin: Option<&BinId>) -> Arc<Job> {
        let mut jobs = known.air.0.lock().unwrap_or_else(PoisonError::into_inner);
        let job = jobs.entry(bin.cloned()).or_insert_with(|| {
            let job = Arc::new(Job::default());
            let (work, known, book, bin) =
                (Arc::clone(&job), Arc::clone(known), desk.config.book.clone(), bin.cloned());
            std::thread::spawn(move || {
                let ending = Ending(&work);
                if let Err(why) = reckon(&work, known, &book, bin.as_ref()) {
                    work.say(|s| s.trouble = Some(why));
                }
                drop(ending);
            });
            job
        });
        Arc::clone(job)
    }
}

/// Marks a reckoning as finished however it ends.
struct Ending<'a>(&'a Job);

impl Drop for Ending<'_> {
    fn drop(&mut self) {
        self.0.say(|s| {
            s.done = true;
            if std::thread::panicking() {
                s.trouble = Some(
                    "Something went wrong in the reckoning; what was written is safe in the book.".into(),
                );
            }
        });
    }
}

impl Job {
    fn say(&self, change: impl FnOnce(&mut Said)) {
        change(&mut self.said.lock().unwrap_or_else(PoisonError::into_inner));
        self.changed.notify_all();
    }

    /// What is known, after at most `wait` for the end of it.
    pub fn look(&self, wait: Duration) -> Said {
        let said = self.said.lock().unwrap_or_else(PoisonError::into_inner);
        let (said, _) =
            self.changed.wait_timeout_while(said, wait, |s| !s.done).unwrap_or_else(PoisonError::into_inner);
        said.clone()
    }
}

fn reckon(job: &Arc<Job>, known: Arc<Known>, book: &PathBuf, bin: Option<&BinId>) -> Result<(), String> {
    let store = Store::open(book).map_err(|e| super::super::sentence(&e))?;
    let air = AirFacts::load(&store, known.as_of).map_err(|e| super::super::sentence(&e))?;
    drop(store);
    let most = if bin.is_some() { ONE_BIN } else { ALL_BINS };
    let q = stook_season::Question { members: known.members().min(most), ..known.question() };
    let Keeping { mut works, silent, weather } =
        Keeping::new(&q, &air, bin).map_err(|e| super::super::sentence(&e))?;
    // What presses most is reckoned first.
    works.sort_by(|a, b| a.days_left().total_cmp(&b.days_left()));
    let all = works.iter().map(stook_keep::Work::steps).sum();
    // What is known without any weather ahead stands at once.
    let first: Vec<Arc<BinAir>> = works.iter().map(|w| Arc::new(w.answer())).collect();
    // From here on nothing of the book is held: when it has changed, only this thread knows the reckoning, and it ends.
    drop(known);
    job.say(|s| (s.bins, s.silent, s.weather, s.steps) = (first, silent, weather, (0, all)));
    for (i, work) in works.iter_mut().enumerate() {
        while Arc::strong_count(job) > 1 && work.step() {
            let answer = Arc::new(work.answer());
            job.say(|s| {
                s.bins[i] = answer;
                s.steps.0 += 1;
            });
        }
    }
    Ok(())
}
