//! How much a season differs from year to year, on a record and in weather made after it.

use jiff::civil::Date;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use serde::{Deserialize, Serialize};

use super::Climate;
use crate::day::{Day, Site};
use crate::generator::Generator;

/// Made-up years behind the comparison.
const MADE: u64 = 1000;

/// One quantity of one season.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BetweenYears {
    /// `rain` (mm) or `warmth` (mean temperature, C).
    pub what: String,
    /// First and last month.
    pub months: (i8, i8),
    /// Years on record.
    pub years: usize,
    /// Standard deviation between the years of the record.
    pub record_sd: f64,
    /// The same between made-up years.
    pub made_sd: f64,
    /// The second over the first.
    pub ratio: f64,
    /// Standard error of the ratio, from the number of years on record.
    pub ratio_se: f64,
}

/// Compares the months `from` to `to` of a record with made-up years of a climate fitted to it.
pub fn between_years(
    days: &[(Date, Day)],
    climate: &Climate,
    site: &Site,
    from: i8,
    to: i8,
) -> Vec<BetweenYears> {
    let mut years: std::collections::BTreeMap<i16, (usize, f64, f64)> = Default::default();
    let add = |s: &mut (usize, f64, f64), d: &Day| {
        *s = (s.0 + 1, s.1 + d.precip_mm, s.2 + 0.5 * (d.tmax_c + d.tmin_c));
    };
    for (date, day) in days.iter().filter(|(d, _)| (from..=to).contains(&d.month())) {
        add(years.entry(date.year()).or_default(), day);
    }
    let first = Date::new(2001, from, 1).expect("a month has a first day");
    let last = Date::new(2001, to, 1).expect("a month has a first day").last_of_month();
    let whole = (last - first).get_days() as usize + 1;
    years.retain(|_, s| s.0 + 3 >= whole);
    let seen: Vec<_> = years.into_values().collect();
    let generator = Generator::new(climate, site);
    let made: Vec<_> = (0..MADE)
        .map(|k| {
            let mut rng = ChaCha12Rng::seed_from_u64(20_010_102);
            rng.set_stream(k);
            let mut s = (0, 0.0, 0.0);
            for d in generator.generate(first, whole, &mut rng) {
                add(&mut s, &d);
            }
            s
        })
        .collect();
    type Of = fn(&(usize, f64, f64)) -> f64;
    let of: [(&str, Of); 2] = [("rain", |s| s.1), ("warmth", |s| s.2 / s.0 as f64)];
    of.into_iter()
        .filter(|_| seen.len() >= 3)
        .map(|(what, of)| {
            let (record_sd, made_sd) = (sd(&seen, of), sd(&made, of));
            let ratio = made_sd / record_sd.max(1e-9);
            let ratio_se = ratio / (2.0 * (seen.len() as f64 - 1.0)).sqrt();
            let years = seen.len();
            BetweenYears { what: what.into(), months: (from, to), years, record_sd, made_sd, ratio, ratio_se }
        })
        .collect()
}

fn sd<T>(all: &[T], of: fn(&T) -> f64) -> f64 {
    let n = all.len() as f64;
    let mean = all.iter().map(of).sum::<f64>() / n;
    (all.iter().map(|x| (of(x) - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt()
}
