//! Thirty years of made weather, and a season with a wet spring.

use jiff::civil::Date;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use stook_book::Store;
use stook_weather::Day;
use stook_weather::climate::Climate;
use stook_weather::generator::Generator;

use super::farm::{SITE, weather_start};
use super::YEAR;

/// Chosen among a few hundred because its last two weeks of April are wet and the first days of May dry up.
const SEED: u64 = 1;

/// The weather from the first year on file to the end of the season.
#[derive(Debug)]
pub struct Truth {
    /// First day.
    pub start: Date,
    /// Days.
    pub days: Vec<Day>,
}

impl Truth {
    /// The weather of a day.
    pub fn day(&self, date: Date) -> Option<&Day> {
        let i = (date - self.start).get_days();
        usize::try_from(i).ok().and_then(|i| self.days.get(i))
    }
}

/// Makes it.
pub fn truth() -> Truth {
    make(SEED)
}

fn make(seed: u64) -> Truth {
    let start = weather_start();
    let end = Date::new(YEAR, 12, 31).expect("a date");
    let days = (end - start).get_days() as usize + 1;
    let climate = Climate::plains(&SITE);
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    Truth { start, days: Generator::new(&climate, &SITE).generate(start, days, &mut rng) }
}

/// Puts the weather known on `morning` into the store: every day before it, and a forecast of seven days.
pub fn put(store: &mut Store, truth: &Truth, morning: Date) -> anyhow::Result<()> {
    let known = (morning - truth.start).get_days() as usize;
    stook_season::facts::put_days(store, "Alder Bend (made)", truth.start, &truth.days[..known])?;
    stook_season::facts::put_forecast(store, morning, &forecast(truth, morning))?;
    Ok(())
}

/// A forecast as a public office would give it: smoothed, and less sure with every day.
fn forecast(truth: &Truth, morning: Date) -> Vec<stook_weather::ensemble::ForecastDay> {
    (0..7)
        .filter_map(|k| {
            let date = morning.saturating_add(jiff::Span::new().days(k));
            let mut day = *truth.day(date)?;
            let sure = 1.0 - 0.1 * k as f64;
            let wet = if day.precip_mm >= 1.0 { 1.0 } else { 0.0 };
            let rain_chance = (100.0 * (0.3 + (wet - 0.3) * sure)).round() / 100.0;
            day.tmax_c = day.tmax_c.round();
            day.tmin_c = day.tmin_c.round();
            day.precip_mm = if wet > 0.0 { day.precip_mm.round() } else { 3.0 };
            Some(stook_weather::ensemble::ForecastDay { date, day, rain_chance: Some(rain_chance.clamp(0.05, 0.95)) })
        })
        .collect()
}
