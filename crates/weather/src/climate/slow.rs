//! What whole months and seasons have of their own, beyond what a chain of days brings.
//!
//! A generator fitted to days loses part of the variance between years, because its days forget within a week and the
//! weather does not. Two slow terms give it back: one that forgets over two weeks, so that months differ, and one over
//! four months, so that seasons do. Both are found together from how much the totals and means of months and of seasons
//! vary on the record against a trial run without them: with one term alone, what makes months differ enough makes
//! seasons differ too much on one record and too little on another.

use jiff::civil::Date;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;

use super::fit::residuals;
use super::{Climate, Slow};
use crate::day::{Day, Site};
use crate::generator::Generator;

/// Time over which the monthly term forgets, d.
pub(super) const MONTH_TERM_DAYS: f64 = 15.0;
/// Time over which the seasonal term forgets, d.
pub(super) const SEASON_TERM_DAYS: f64 = 120.0;
/// Years of the trial run.
const TRIAL_YEARS: usize = 200;
/// Fewer of a month or season than this say nothing of how they vary.
const LEAST: usize = 5;
/// The most either rain term may be, standard deviation of the logarithm.
const MOST_RAIN_SD: f64 = 0.6;
/// The most of the temperature's variance that either term may be.
const MOST_SHARE: f64 = 0.35;

/// Windows in which sums are taken: a month and a season.
const WINDOWS: [Window; 2] = [
    Window { days: 30, least: 28, of: |month| usize::from(month.unsigned_abs()) - 1, many: 12 },
    // Winter, spring, summer, fall; December belongs to the winter that follows.
    Window { days: 91, least: 85, of: |month| usize::from((month % 12).unsigned_abs()) / 3, many: 4 },
];

#[derive(Clone, Copy)]
struct Window {
    days: usize,
    least: usize,
    of: fn(i8) -> usize,
    many: usize,
}

/// How a quantity varies between the years of a window, month by month or season by season.
#[derive(Debug, Clone, Copy, Default)]
struct Spread {
    /// Variance of the sums over the square of their mean.
    relative: f64,
    /// Mean square of the means, with the fitted mean's own error put back.
    square: f64,
    years: f64,
}

/// Fits the slow terms. `climate` is fitted but for them, and `z` are the residuals of its temperatures and radiation.
pub(super) fn fit(days: &[(Date, Day)], z: &[[f64; 3]], climate: &Climate, site: &Site) -> Slow {
    let start = Date::constant(2001, 1, 1);
    let mut rng = ChaCha12Rng::seed_from_u64(20_010_101);
    let mut date = start;
    let trial: Vec<(Date, Day)> = Generator::new(climate, site)
        .generate(start, TRIAL_YEARS * 36_525 / 100, &mut rng)
        .into_iter()
        .map(|day| {
            let this = (date, day);
            date = date.tomorrow().expect("inside the calendar");
            this
        })
        .collect();
    let trial_z = residuals(&trial, climate);
    let seen = WINDOWS.map(|w| spreads(&w, days, z));
    let made = WINDOWS.map(|w| spreads(&w, &trial, &trial_z));
    let years = seen[1].iter().flatten().map(|s| s.years).fold(0.0, f64::max);
    let (month, season, rain_doubt) = rain(&seen, &made);
    let (month_share, season_share, temp_doubt) = temperature(&seen, &made, z);
    let doubt = |variance: f64| if years > 1.0 { (variance / years).max(0.0) } else { 0.0 };
    Slow {
        temp_share: month_share,
        rain_sd: month.ln_1p().sqrt().min(MOST_RAIN_SD),
        days: MONTH_TERM_DAYS,
        season_temp_share: season_share,
        season_rain_sd: season.ln_1p().sqrt().min(MOST_RAIN_SD),
        season_days: SEASON_TERM_DAYS,
        doubt_temp_share: doubt(temp_doubt).min(MOST_SHARE),
        doubt_rain_sd: doubt(rain_doubt).ln_1p().sqrt().min(MOST_RAIN_SD),
    }
}

/// The spread of rain and of temperature residuals over each month or season that has years enough.
fn spreads(w: &Window, days: &[(Date, Day)], z: &[[f64; 3]]) -> Vec<Option<Spread>> {
    let mut sums: Vec<std::collections::BTreeMap<i16, (usize, f64, f64)>> = vec![Default::default(); w.many];
    for ((date, day), z) in days.iter().zip(z) {
        let month = date.month();
        let year = if w.many == 4 && month == 12 { date.year() + 1 } else { date.year() };
        let sum = sums[(w.of)(month)].entry(year).or_default();
        *sum = (sum.0 + 1, sum.1 + day.precip_mm, sum.2 + 0.5 * (z[0] + z[1]));
    }
    sums.into_iter()
        .map(|years| {
            let whole: Vec<_> = years.into_values().filter(|s| s.0 >= w.least).collect();
            let n = whole.len() as f64;
            let mean = whole.iter().map(|s| s.1).sum::<f64>() / n.max(1.0);
            if whole.len() < LEAST || mean <= 1.0 {
                return None;
            }
            let variance = whole.iter().map(|s| (s.1 - mean).powi(2)).sum::<f64>() / (n - 1.0);
            let warm = |s: &(usize, f64, f64)| s.2 / s.0 as f64;
            let warm_mean = whole.iter().map(warm).sum::<f64>() / n;
            let square = whole.iter().map(|s| (warm(s) - warm_mean).powi(2)).sum::<f64>() / (n - 1.0);
            Some(Spread { relative: variance / (mean * mean), square, years: n })
        })
        .collect()
}

type Both = [Vec<Option<Spread>>; 2];

/// Variances of the two factors on rain, and the relative variance of a season's total.
fn rain(seen: &Both, made: &Both) -> (f64, f64, f64) {
    let mut excess = [0.0; 2];
    let mut weight = [0.0; 2];
    let mut level = [0.0; 2];
    for w in 0..2 {
        let pairs: Vec<(f64, f64)> = seen[w]
            .iter()
            .zip(&made[w])
            .filter_map(|(a, b)| Some((a.as_ref()?.relative, b.as_ref()?.relative)))
            .collect();
        if pairs.is_empty() {
            return (0.0, 0.0, 0.0);
        }
        let n = pairs.len() as f64;
        excess[w] = pairs.iter().map(|(a, b)| (1.0 + a) / (1.0 + b) - 1.0).sum::<f64>() / n;
        level[w] = pairs.iter().map(|p| p.0).sum::<f64>() / n;
        // A variance is known to within a share of itself: the more windows, the better.
        weight[w] = n / (level[w] * level[w]).max(1e-9);
    }
    let kept = |term: f64| WINDOWS.map(|w| mean_keeps(w.days, (-1.0 / term).exp()));
    let (month, season) = two_terms(kept(MONTH_TERM_DAYS), kept(SEASON_TERM_DAYS), excess, weight);
    (month, season, level[1])
}

/// Least squares over two equations with neither unknown below 0.
fn two_terms(a: [f64; 2], b: [f64; 2], wanted: [f64; 2], weight: [f64; 2]) -> (f64, f64) {
    let det = a[0] * b[1] - a[1] * b[0];
    let both = ((wanted[0] * b[1] - wanted[1] * b[0]) / det, (a[0] * wanted[1] - a[1] * wanted[0]) / det);
    if both.0 >= 0.0 && both.1 >= 0.0 {
        return both;
    }
    let alone = |c: [f64; 2]| {
        let over: f64 = (0..2).map(|i| weight[i] * c[i] * wanted[i]).sum();
        let under: f64 = (0..2).map(|i| weight[i] * c[i] * c[i]).sum();
        (over / under).max(0.0)
    };
    let miss = |x: f64, c: [f64; 2]| (0..2).map(|i| weight[i] * (x * c[i] - wanted[i]).powi(2)).sum::<f64>();
    let (x, y) = (alone(a), alone(b));
    if miss(x, a) <= miss(y, b) { (x, 0.0) } else { (0.0, y) }
}

/// Shares of the temperature's variance that forget slowly, and the variance of a season's mean, in units of a day's.
fn temperature(seen: &Both, made: &Both, z: &[[f64; 3]]) -> (f64, f64, f64) {
    let both: Vec<f64> = z.iter().map(|z| 0.5 * (z[0] + z[1])).collect();
    let n = both.len() as f64;
    let variance = (both.iter().map(|x| x * x).sum::<f64>() / n).max(1e-9);
    let lag = both.windows(2).map(|w| w[0] * w[1]).sum::<f64>() / (n - 1.0) / variance;
    let mean = |s: &[Option<Spread>]| {
        let all: Vec<f64> = s.iter().flatten().map(|x| x.square).collect();
        (all.iter().sum::<f64>() / all.len().max(1) as f64 / variance, all.len() as f64)
    };
    let slow = [MONTH_TERM_DAYS, SEASON_TERM_DAYS].map(|t| (-1.0 / t).exp());
    let mut kept = [[0.0; 2]; 2];
    let (mut wanted, mut weight, mut bias) = ([0.0; 2], [0.0; 2], [1.0; 2]);
    for (w, window) in WINDOWS.iter().enumerate() {
        let (level, windows) = mean(&seen[w]);
        if windows == 0.0 {
            return (0.0, 0.0, 0.0);
        }
        wanted[w] = level;
        weight[w] = windows / (level * level).max(1e-9);
        kept[w] = slow.map(|k| mean_keeps(window.days, k));
        // The trial against a plain chain of the same lag: three quantities joined do not forget quite as one alone.
        bias[w] = mean(&made[w]).0 / mean_keeps(window.days, lag.clamp(0.0, 0.99)).max(1e-9);
    }
    let miss = |f: f64, g: f64| {
        let left = 1.0 - f - g;
        let fast = ((lag - f * slow[0] - g * slow[1]) / left).clamp(0.0, 0.99);
        (0..2)
            .map(|w| {
                let plain = bias[w] * mean_keeps(WINDOWS[w].days, fast);
                let got = left * plain + f * kept[w][0] + g * kept[w][1];
                weight[w] * (got - wanted[w]).powi(2)
            })
            .sum::<f64>()
    };
    let steps = (MOST_SHARE * 100.0) as u32;
    let mut best = (0.0, 0.0, f64::MAX);
    for f in 0..=steps {
        for g in 0..=steps.min(50 - f.min(50)) {
            let (f, g) = (f64::from(f) / 100.0, f64::from(g) / 100.0);
            let m = miss(f, g);
            if m < best.2 {
                best = (f, g, m);
            }
        }
    }
    (best.0, best.1, wanted[1])
}

/// Variance of the mean of `days` in a row, as a share of one day's, where each keeps `keep` of the day before.
fn mean_keeps(days: usize, keep: f64) -> f64 {
    let n = days as f64;
    let mut sum = 1.0;
    let mut power = 1.0;
    for k in 1..days {
        power *= keep;
        sum += 2.0 * (1.0 - k as f64 / n) * power;
    }
    sum / n
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_keeps_what_the_formula_says() {
        // Independent days: 1/n. Days all alike: 1.
        assert!((mean_keeps(30, 0.0) - 1.0 / 30.0).abs() < 1e-12);
        assert!((mean_keeps(91, 1.0) - 1.0).abs() < 1e-12);
        // Two days by hand: (1 + keep) / 2.
        assert!((mean_keeps(2, 0.4) - 0.7).abs() < 1e-12);
    }

    #[test]
    fn two_terms_are_found_and_never_below_nothing() {
        let (a, b) = ([0.57, 0.28], [0.92, 0.79]);
        let wanted = [0.1 * a[0] + 0.05 * b[0], 0.1 * a[1] + 0.05 * b[1]];
        let (x, y) = two_terms(a, b, wanted, [12.0, 4.0]);
        assert!((x - 0.1).abs() < 1e-9 && (y - 0.05).abs() < 1e-9, "{x} {y}");
        // Months that vary and seasons that do not: the seasonal term would be below 0.
        let (x, y) = two_terms(a, b, [0.06, 0.0], [12.0, 4.0]);
        assert!(x > 0.05 && y == 0.0, "{x} {y}");
        assert_eq!(two_terms(a, b, [-0.1, -0.2], [12.0, 4.0]), (0.0, 0.0));
    }
}
