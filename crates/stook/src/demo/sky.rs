//! Thirty years of made weather, and a season with a wet spring.

use jiff::civil::Date;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use stook_book::Store;
use stook_book::readings::{DayReading, ForecastReading, HourReading};
use stook_weather::Day;
use stook_weather::climate::Climate;
use stook_weather::forcing::SiteTable;
use stook_weather::generator::Generator;
use stook_weather::hourly;

use super::YEAR;
use super::farm::{SITE, STANDARD_H, weather_start};

/// Any seed would do; this one has a summer with rain for the crop.
const SEED: u64 = 31;

const SPRING: &str = include_str!("../../../../demo/spring.csv");

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
    let start = weather_start();
    let end = Date::new(YEAR, 12, 31).expect("a date");
    let days = (end - start).get_days() as usize + 1;
    let climate = Climate::plains(&SITE);
    let mut rng = ChaCha12Rng::seed_from_u64(SEED);
    let mut truth = Truth { start, days: Generator::new(&climate, &SITE).generate(start, days, &mut rng) };
    wet_spring(&mut truth);
    truth
}

/// Puts the wet spring in: its rain and no other from the first to the last day of the list, its wet days cool and dull.
fn wet_spring(truth: &mut Truth) {
    let rows: Vec<(Date, f64, f64)> = SPRING
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |i: usize| cells[i].parse::<f64>().expect("the spring is numbers");
            (format!("{YEAR}-{}", cells[0]).parse().expect("the spring has dates"), number(1), number(2))
        })
        .collect();
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return };
    let (mut date, end) = (first.0, last.0);
    while date <= end {
        let i = (date - truth.start).get_days() as usize;
        let day = &mut truth.days[i];
        day.precip_mm = 0.0;
        // Rain, not snow: the spring is wet, not late.
        let warm = (3.0 - day.tmin_c).max(0.0);
        day.tmin_c += warm;
        day.tmax_c = day.tmax_c.max(day.tmin_c + 6.0);
        if let Some((_, rain, cooler)) = rows.iter().find(|r| r.0 == date) {
            day.precip_mm = *rain;
            day.tmax_c = (day.tmax_c - cooler).max(day.tmin_c + 2.0);
            day.rs_mj_m2 *= 0.5;
        }
        date = date.tomorrow().expect("inside the calendar");
    }
}

/// Puts the weather known on `morning` into the store: every day before it, and a forecast of seven days.
pub fn put(store: &mut Store, truth: &Truth, morning: Date) -> anyhow::Result<()> {
    let known = (morning - truth.start).get_days() as usize;
    let days = stook_season::facts::readings(truth.start, &truth.days[..known]);
    let imported = jiff::Timestamp::now();
    store.put_days("Alder Bend", "made for the demo", imported, &days)?;
    store.put_hours("Alder Bend", "made for the demo", imported, &hours(truth, morning))?;
    store.put_forecast(morning.at(4, 0, 0, 0), "made for the demo", imported, &forecast(truth, morning))?;
    Ok(())
}

/// Days of hours a farm station still holds.
const HOURS_KEPT: i64 = 90;

/// The station's hours of the last weeks: temperature, humidity and wind, in standard time.
fn hours(truth: &Truth, morning: Date) -> Vec<HourReading> {
    let table = SiteTable::with_offset(&SITE, STANDARD_H);
    let mut out = Vec::new();
    for k in (1..=HOURS_KEPT).rev() {
        let date = morning.saturating_sub(jiff::Span::new().days(k));
        let Some(day) = truth.day(date) else { continue };
        let course = hourly::course(day, date.day_of_year() as u16, &table);
        let tenth = |x: f64| Some((x * 10.0).round() / 10.0);
        for h in 0..24_i8 {
            let i = h.unsigned_abs() as usize;
            out.push(HourReading {
                temp_c: tenth(course.temp_c[i]),
                rh_pct: Some(course.rh_pct[i].round()),
                wind_ms: tenth(course.wind_2m_ms[i]),
                wind_height_m: Some(2.0),
                ..HourReading::blank(date.at(h, 0, 0, 0))
            });
        }
    }
    out
}

/// A forecast as a public office would give it: smoothed, and less sure with every day.
fn forecast(truth: &Truth, morning: Date) -> Vec<ForecastReading> {
    (0..7)
        .filter_map(|k| {
            let date = morning.saturating_add(jiff::Span::new().days(k));
            let day = truth.day(date)?;
            let wet = day.precip_mm >= 1.0;
            let sure = 1.0 - 0.1 * k as f64;
            let chance = 30.0 + (if wet { 100.0 } else { 0.0 } - 30.0) * sure;
            Some(ForecastReading {
                day: DayReading {
                    tmax_c: Some(day.tmax_c.round()),
                    tmin_c: Some(day.tmin_c.round()),
                    precip_mm: Some(if wet { day.precip_mm.round() } else { 3.0 }),
                    ..DayReading::blank(date)
                },
                rain_chance_pct: Some((chance / 10.0).round() * 10.0),
            })
        })
        .collect()
}
