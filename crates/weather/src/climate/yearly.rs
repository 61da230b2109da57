//! Whole seasons wetter or drier than the chain and its slow months make them.

use jiff::civil::Date;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;

use super::Climate;
use crate::day::{Day, Site};
use crate::generator::Generator;

/// Years generated to see how much seasons vary without the term.
const TRIAL_YEARS: usize = 100;
/// Fewer seasons of record than this say too little.
const LEAST_SEASONS: usize = 8;
/// A season with fewer days on record is left out.
const LEAST_DAYS: usize = 85;
/// The most the term may be.
const MOST: f64 = 0.6;

/// Standard deviation of the logarithm of a factor on a whole year's rain that makes seasonal totals vary as much as
/// the record's do. `climate` is fitted but for this term.
///
/// Months that stay wet or dry are in the slow term already; on records of the plains and the Midwest whole summers
/// still vary more than that makes them, and ranges of a summer's rain come out too narrow.
pub(super) fn yearly_rain(days: &[(Date, Day)], climate: &Climate, site: &Site) -> f64 {
    let seen = relative_variances(days.iter().map(|(d, x)| (*d, x.precip_mm)));
    let start = Date::constant(2001, 1, 1);
    let mut rng = ChaCha12Rng::seed_from_u64(20_010_101);
    let trial = Generator::new(climate, site).generate(start, TRIAL_YEARS * 36_525 / 100, &mut rng);
    let mut date = start;
    let made = relative_variances(trial.iter().map(|x| {
        let this = (date, x.precip_mm);
        date = date.tomorrow().expect("inside the calendar");
        this
    }));
    let pairs: Vec<(f64, f64, f64)> =
        seen.into_iter().zip(made).filter_map(|(a, b)| Some((a?.0, b?.0, a?.1))).collect();
    if pairs.is_empty() {
        return 0.0;
    }
    let n = pairs.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / n;
    let extra = mean(&|p| (1.0 + p.0) / (1.0 + p.1) - 1.0).max(0.0);
    // A variance from few years is little known: what could be chance is taken down.
    let years = mean(&|p| p.2);
    let error = mean(&|p| p.0) * (2.0 / (years - 1.0) + 2.0 / (TRIAL_YEARS as f64 - 1.0)).sqrt() / n.sqrt();
    let kept = extra * extra * extra / (extra * extra + error * error).max(1e-12);
    kept.ln_1p().sqrt().min(MOST)
}

/// Variance of seasonal totals over the square of their mean, and how many there were: winter, spring, summer, fall.
fn relative_variances(days: impl Iterator<Item = (Date, f64)>) -> [Option<(f64, f64)>; 4] {
    let mut totals: [std::collections::BTreeMap<i16, (usize, f64)>; 4] = Default::default();
    for (date, mm) in days {
        let month = date.month();
        // December belongs to the winter that follows.
        let year = if month == 12 { date.year() + 1 } else { date.year() };
        let season = usize::from((month % 12).unsigned_abs()) / 3;
        let t = totals[season].entry(year).or_default();
        t.0 += 1;
        t.1 += mm;
    }
    totals.map(|years| {
        let sums: Vec<f64> =
            years.into_values().filter(|(n, _)| *n >= LEAST_DAYS).map(|(_, mm)| mm).collect();
        if sums.len() < LEAST_SEASONS {
            return None;
        }
        let n = sums.len() as f64;
        let mean = sums.iter().sum::<f64>() / n;
        let variance = sums.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0);
        (mean > 1.0).then(|| (variance / (mean * mean), n))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seasons_that_differ_are_seen_and_like_ones_are_not() {
        let site = Site { lat_deg: 50.0, lon_deg: -101.0, elev_m: 500.0 };
        let climate = Climate::plains(&site);
        let start = Date::constant(1981, 1, 1);
        let mut rng = ChaCha12Rng::seed_from_u64(5);
        let made = Generator::new(&climate, &site).generate(start, 30 * 36_525 / 100, &mut rng);
        let dated = |factor: &dyn Fn(i16) -> f64| -> Vec<(Date, Day)> {
            let mut date = start;
            made.iter()
                .map(|d| {
                    let this = (date, Day { precip_mm: d.precip_mm * factor(date.year()), ..*d });
                    date = date.tomorrow().unwrap();
                    this
                })
                .collect()
        };
        let alike = Climate::fit(&dated(&|_| 1.0), &site).unwrap().slow.year_rain_sd;
        let apart =
            Climate::fit(&dated(&|y| if y % 2 == 0 { 0.6 } else { 1.4 }), &site).unwrap().slow.year_rain_sd;
        assert!(alike < 0.3, "{alike}");
        assert!(apart > 0.12 && apart > alike + 0.1, "{apart} {alike}");
    }
}
