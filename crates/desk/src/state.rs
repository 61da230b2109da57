//! What the desk holds between requests: where the file is, and the last answer while nothing has changed.

use std::collections::{BTreeMap, VecDeque};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::SystemTime;

use jiff::civil::{Date, DateTime};
use stook_barn::plan::Life;
use stook_book::{BinId, Entry, Farm, Store, StoreError};
use stook_measure::Reference;
use stook_season::ceiling::{Ceiling, ceilings};
use stook_season::growing::Growing;
use stook_season::late::{BeforeRain, Late, RainAsked};
use stook_season::spraying::{SprayAnswer, SprayAsk};
use stook_season::{Before, Plan, Question, SeasonError, Today, WeatherFacts};
use stook_yard::Yard;

use crate::config::DeskConfig;

/// Uploaded weather files kept until they are brought in.
const UPLOADS_KEPT: usize = 4;

/// The desk.
#[derive(Debug)]
pub struct Desk {
    /// How it was started.
    pub config: DeskConfig,
    /// Where it listens.
    pub bound: SocketAddr,
    cache: Mutex<Option<(Fingerprint, Arc<Known>)>>,
    uploads: Mutex<VecDeque<Arc<Upload>>>,
}

/// A weather file that was sent and not yet brought in.
#[derive(Debug)]
pub struct Upload {
    /// Its number.
    pub token: String,
    /// Its name on the sender's machine.
    pub name: String,
    /// Whether it is a forecast.
    pub forecast: bool,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// Everything known at one state of the file.
#[derive(Debug)]
pub struct Known {
    /// Every entry.
    pub entries: Vec<Entry>,
    /// Their fold.
    pub farm: Farm,
    /// Weather on file.
    pub weather: WeatherFacts,
    /// The day answered for.
    pub as_of: Date,
    /// The book as it stood the evening before; not asked when the day was chosen.
    before: Option<Before>,
    members: usize,
    seed: u64,
    today: Mutex<Option<Arc<Today>>>,
    plan: Mutex<Option<Arc<Plan>>>,
    whole: Mutex<Option<Arc<stook_barn::Whole>>>,
    /// The farm's file, for what is read from it once it is asked for.
    book: PathBuf,
    lives: OnceLock<BTreeMap<BinId, Life>>,
    yard: OnceLock<Arc<Yard>>,
    /// Harvest answers, reckoned once.
    pub harvest: crate::pages::harvest::Kept,
    /// Bins being reckoned.
    pub air: crate::pages::air::Jobs,
    ceilings: Mutex<Option<(i16, Arc<Vec<Ceiling>>)>>,
    growing: Mutex<Option<Arc<Crops>>>,
}

/// The growing crop by field, and the fields that are late.
#[derive(Debug)]
pub struct Crops {
    /// Closer than Today.
    pub growing: Vec<Growing>,
    /// Unseeded past the best days.
    pub late: Vec<Late>,
}

/// The state of the file and the day: when it is the same, so is every answer.
type Fingerprint = (Vec<Option<(u64, SystemTime)>>, Date);

fn lock<T>(m: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    m.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Desk {
    /// Opens.
    pub fn new(config: DeskConfig, bound: SocketAddr) -> Arc<Self> {
        Arc::new(Self { config, bound, cache: Mutex::default(), uploads: Mutex::default() })
    }

    /// Opens the file for writing.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub fn store(&self) -> Result<Store, StoreError> {
        Store::open(&self.config.book)
    }

    /// What the file says now.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn known(&self) -> Result<Arc<Known>, StoreError> {
        let print = |as_of| (fingerprint(&self.config.book), as_of);
        let mut cache = lock(&self.cache);
        if let Some((old, known)) = cache.as_ref()
            && *old == print(self.day(&known.farm))
        {
            return Ok(Arc::clone(known));
        }
        let store = self.store()?;
        let entries = store.entries()?;
        let farm = Farm::fold(&entries);
        let as_of = self.day(&farm);
        let farm = match self.config.as_of {
            Some(_) => Farm::fold(entries.iter().filter(|e| e.on() <= as_of)),
            None => farm,
        };
        let weather = WeatherFacts::load(&store, as_of)?;
        let before = self.config.as_of.is_none().then(|| Before::evening(&entries, &farm, as_of));
        let known = Arc::new(Known {
            before,
            entries,
            farm,
            weather,
            as_of,
            members: self.config.members,
            seed: self.config.seed,
            today: Mutex::default(),
            plan: Mutex::default(),
            growing: Mutex::default(),
            whole: Mutex::default(),
            book: self.config.book.clone(),
            lives: OnceLock::new(),
            yard: OnceLock::new(),
            harvest: crate::pages::harvest::Kept::default(),
            air: crate::pages::air::Jobs::default(),
            ceilings: Mutex::default(),
        });
        *cache = Some((print(as_of), Arc::clone(&known)));
        Ok(known)
    }

    /// The day answered for.
    fn day(&self, farm: &Farm) -> Date {
        self.config.as_of.unwrap_or_else(|| farm.local(jiff::Timestamp::now()).date())
    }

    /// The farm's wall clock; on a chosen day, that day at the present time of day.
    pub fn now(&self, farm: &Farm) -> DateTime {
        let now = farm.local(jiff::Timestamp::now());
        let Some(day) = self.config.as_of else { return now };
        // The wall's clock means little on a chosen day: it is never before the last pass written down for that day, or
        // an interval just begun would not show.
        let passes = farm.fields.values().flat_map(|r| &r.sprays).map(|s| s.ended());
        let last = passes.filter(|t| t.date() == day).max();
        let at = day.to_datetime(now.time());
        last.map_or(at, |t| t.max(at))
    }

    /// Keeps an uploaded file until it is brought in.
    pub fn keep_upload(&self, upload: Upload) {
        let mut uploads = lock(&self.uploads);
        uploads.push_back(Arc::new(upload));
        while uploads.len() > UPLOADS_KEPT {
            uploads.pop_front();
        }
    }

    /// A kept file.
    pub fn upload(&self, token: &str) -> Option<Arc<Upload>> {
        lock(&self.uploads).iter().find(|u| u.token == token).map(Arc::clone)
    }
}

impl Known {
    /// How many weathers.
    pub fn members(&self) -> usize {
        self.members
    }

    /// The question every answer starts from.
    pub fn question(&self) -> Question<'_> {
        Question {
            farm: &self.farm,
            weather: &self.weather,
            before: self.before.as_ref(),
            as_of: self.as_of,
            members: self.members,
            seed: self.seed,
        }
    }

    /// The coefficients with the farm's own numbers in place.
    pub fn reference(&self) -> Reference {
        self.farm.reference(&Reference::shipped()).0
    }

    /// The bin yard, folded once.
    pub fn yard(&self) -> Arc<Yard> {
        Arc::clone(self.yard.get_or_init(|| Arc::new(Yard::fold(&self.farm, &self.reference()))))
    }

    /// The day's answer, reckoned once.
    ///
    /// # Errors
    /// When the farm has no place.
    pub fn today(&self) -> Result<Arc<Today>, SeasonError> {
        let mut kept = lock(&self.today);
        if let Some(t) = kept.as_ref() {
            return Ok(Arc::clone(t));
        }
        let t = Arc::new(stook_season::today(&self.question())?);
        *kept = Some(Arc::clone(&t));
        Ok(t)
    }

    /// The hours fit to spray.
    ///
    /// # Errors
    /// When the farm has no place.
    pub fn spray(&self, ask: &SprayAsk) -> Result<SprayAnswer, SeasonError> {
        stook_season::spraying::spray(&self.question(), &*self.today()?, ask)
    }

    /// What the water would let each field make in a crop year, reckoned once.
    ///
    /// # Errors
    /// When the farm has no place.
    pub fn ceilings(&self, crop_year: i16) -> Result<Arc<Vec<Ceiling>>, SeasonError> {
        let mut kept = lock(&self.ceilings);
        if let Some((year, c)) = kept.as_ref()
            && *year == crop_year
        {
            return Ok(Arc::clone(c));
        }
        let c = Arc::new(ceilings(&self.question(), crop_year)?);
        *kept = Some((crop_year, Arc::clone(&c)));
        Ok(c)
    }

    /// The growing crop, reckoned once.
    ///
    /// # Errors
    /// When the farm has no place.
    pub fn crops(&self) -> Result<Arc<Crops>, SeasonError> {
        let mut kept = lock(&self.growing);
        if let Some(g) = kept.as_ref() {
            return Ok(Arc::clone(g));
        }
        let q = self.question();
        let g = Arc::new(Crops {
            growing: stook_season::growing::growing(&q)?,
            late: stook_season::late::late(&q)?,
        });
        *kept = Some(Arc::clone(&g));
        Ok(g)
    }

    /// Seeding before rain on a field.
    ///
    /// # Errors
    /// When the farm has no place.
    pub fn before_rain(&self, id: &str, asked: &RainAsked) -> Result<Option<BeforeRain>, SeasonError> {
        stook_season::late::before_rain(&self.question(), id, asked)
    }

    /// Mill or trough, reckoned once.
    ///
    /// # Errors
    /// When the solver cannot be used.
    pub fn whole(&self) -> Result<Arc<stook_barn::Whole>, stook_barn::BarnError> {
        let mut kept = lock(&self.whole);
        if let Some(w) = kept.as_ref() {
            return Ok(Arc::clone(w));
        }
        let w = Arc::new(self.whole_at(None)?);
        *kept = Some(Arc::clone(&w));
        Ok(w)
    }

    /// The same at another chance of running short than the farm's own, %; not kept.
    ///
    /// # Errors
    /// When the solver cannot be used.
    pub fn whole_at(&self, short_pct: Option<f64>) -> Result<stook_barn::Whole, stook_barn::BarnError> {
        let asked = stook_barn::plan::Asked { short_pct, life: std::borrow::Cow::Borrowed(self.lives()) };
        stook_barn::plan::answer_to(&stook_barn::Facts::new(&self.farm, self.as_of), &asked)
    }

    /// Days of life each bin's grain has left as it lies, reckoned once; empty where nothing can be reckoned.
    fn lives(&self) -> &BTreeMap<BinId, Life> {
        self.lives.get_or_init(|| {
            let air = Store::open(&self.book).and_then(|s| stook_keep::AirFacts::load(&s, self.as_of));
            let question = Question { members: 1, ..self.question() };
            let lives = air.ok().and_then(|air| stook_keep::lives(&question, &air).ok()).unwrap_or_default();
            lives.into_iter().map(|(b, (days, at_least))| (b, Life { days, at_least })).collect()
        })
    }

    /// The plan, reckoned once.
    ///
    /// # Errors
    /// When the farm has no place.
    pub fn plan(&self) -> Result<Arc<Plan>, SeasonError> {
        let mut kept = lock(&self.plan);
        if let Some(p) = kept.as_ref() {
            return Ok(Arc::clone(p));
        }
        let p = Arc::new(stook_season::plan(&self.question())?);
        *kept = Some(Arc::clone(&p));
        Ok(p)
    }
}

fn fingerprint(book: &Path) -> Vec<Option<(u64, SystemTime)>> {
    let mut wal = book.as_os_str().to_owned();
    wal.push("-wal");
    [book.to_path_buf(), PathBuf::from(wal)]
        .iter()
        .map(|p| {
            // A log without anything in it comes and goes with every look at the file.
            let m = std::fs::metadata(p).ok().filter(|m| m.len() > 0)?;
            Some((m.len(), m.modified().ok()?))
        })
        .collect()
}
