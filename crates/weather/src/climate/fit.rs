//! Fitting a climate to a station's days.

use jiff::civil::Date;

use super::year::{leap_day, month_of};
use super::{Climate, Level, Matrix, Month, Slow, WET_DAY_MM};
use crate::day::{Day, Site};
use crate::humidity;

/// Least record, days: five years.
const LEAST_DAYS: usize = 5 * 365;
/// Fewer wet (or dry) days than this in a month, over all years, and the state borrows the whole month's level.
const LEAST_STATE_DAYS: usize = 8;

/// Why a climate cannot be fitted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ClimateError {
    /// Too little record.
    #[error(
        "a climate needs five years of days and there are {years:.1}; load more of the station's record, or use the general plains climate until then"
    )]
    TooShort {
        /// Years given.
        years: f64,
    },
    /// A month that is hardly there.
    #[error(
        "the record has only {days} days in month {month}; load whole years so that every month is covered"
    )]
    MonthMissing {
        /// Month, 1 to 12.
        month: usize,
        /// Days.
        days: usize,
    },
    /// Something that is not a number.
    #[error("the day {0} has a value that is not a number; mend or remove it first")]
    NotANumber(Date),
}

/// Sums for a mean and a deviation.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    n: usize,
    sum: f64,
    squares: f64,
}

impl Sums {
    fn add(&mut self, x: f64) {
        self.n += 1;
        self.sum += x;
        self.squares += x * x;
    }
    fn with(self, other: Self) -> Self {
        Self { n: self.n + other.n, sum: self.sum + other.sum, squares: self.squares + other.squares }
    }
    fn mean(self) -> f64 {
        if self.n == 0 { 0.0 } else { self.sum / self.n as f64 }
    }
    fn sd(self) -> f64 {
        if self.n < 2 {
            return 0.0;
        }
        let n = self.n as f64;
        ((self.squares - self.sum * self.sum / n) / (n - 1.0)).max(0.0).sqrt()
    }
}

/// A quantity of a day and where it lives in a month.
type Quantity = (fn(&Day) -> f64, fn(&mut Month) -> &mut [Level; 2]);

const QUANTITIES: [Quantity; 5] = [
    (|d| d.tmax_c, |m| &mut m.tmax_c),
    (|d| d.tmin_c, |m| &mut m.tmin_c),
    (|d| d.rs_mj_m2, |m| &mut m.rs_mj_m2),
    (|d| d.tmin_c - humidity::e0_inverse(d.ea_kpa), |m| &mut m.dew_below_tmin_c),
    (|d| d.wind_2m_ms, |m| &mut m.wind_2m_ms),
];

fn is_wet(day: &Day) -> usize {
    usize::from(day.precip_mm >= WET_DAY_MM)
}

fn follows(a: Date, b: Date) -> bool {
    a.tomorrow().is_ok_and(|t| t == b)
}

impl Climate {
    /// Fits a climate to a station's complete days, in order of date; gaps between years are allowed.
    ///
    /// # Errors
    /// When there are fewer than five years, a month is missing or a value is not a number.
    pub fn fit(days: &[(Date, Day)], site: &Site) -> Result<Self, ClimateError> {
        if days.len() < LEAST_DAYS {
            return Err(ClimateError::TooShort { years: days.len() as f64 / 365.25 });
        }
        for (date, d) in days {
            let all = [d.tmax_c, d.tmin_c, d.precip_mm, d.rs_mj_m2, d.ea_kpa, d.wind_2m_ms];
            if all.iter().any(|x| !x.is_finite()) {
                return Err(ClimateError::NotANumber(*date));
            }
        }
        let mut months = [Month::default(); 12];
        fit_rain(days, &mut months)?;
        fit_levels(days, &mut months);
        let mut climate = Self {
            site: *site,
            source: format!("fitted to {:.0} years of the station's own record", days.len() as f64 / 365.25),
            years: days.len() as f64 / 365.25,
            months,
            m0: [[0.0; 3]; 3],
            m1: [[0.0; 3]; 3],
            slow: Slow::default(),
        };
        let residuals = residuals(days, &climate);
        (climate.m0, climate.m1) = correlations(days, &residuals);
        climate.slow = super::slow::fit(days, &residuals, &climate, site);
        Ok(climate)
    }
}

/// Chances and amounts of rain by month.
fn fit_rain(days: &[(Date, Day)], months: &mut [Month; 12]) -> Result<(), ClimateError> {
    for (m, month) in months.iter_mut().enumerate() {
        let here = |d: &Date| usize::from(d.month().unsigned_abs()) == m + 1;
        let count = days.iter().filter(|(d, _)| here(d)).count();
        if count < 100 {
            return Err(ClimateError::MonthMissing { month: m + 1, days: count });
        }
        // [yesterday dry, wet] -> (days, wet days); half a day is lent to each so that no chance is 0 or 1.
        let mut seen = [[1.0, 0.5]; 2];
        let mut above = Sums::default();
        for (i, (date, day)) in days.iter().enumerate().filter(|(_, (d, _))| here(d)) {
            if is_wet(day) == 1 {
                above.add(day.precip_mm - WET_DAY_MM);
            }
            if i > 0 && follows(days[i - 1].0, *date) {
                let row = &mut seen[is_wet(&days[i - 1].1)];
                row[0] += 1.0;
                row[1] += is_wet(day) as f64;
            }
        }
        month.wet_after_dry = seen[0][1] / seen[0][0];
        month.wet_after_wet = seen[1][1] / seen[1][0];
        let mean = above.mean().max(0.05);
        month.wet_mean_mm = WET_DAY_MM + mean;
        // By the variance, because water balances feel the large falls; kept where a gamma can follow.
        let variance = above.sd().powi(2);
        month.wet_shape = if variance > 0.0 { (mean * mean / variance).clamp(0.2, 5.0) } else { 0.7 };
    }
    Ok(())
}

/// Means and deviations by month and state. Deviations are about the mean drawn out over the days, so that a month's
/// own warming is not counted as weather.
fn fit_levels(days: &[(Date, Day)], months: &mut [Month; 12]) {
    for (of, place) in QUANTITIES {
        let mut sums = [[Sums::default(); 2]; 12];
        for (date, day) in days {
            sums[month_of(leap_day(*date))][is_wet(day)].add(of(day));
        }
        for (month, pair) in months.iter_mut().zip(&sums) {
            let all = pair[0].with(pair[1]);
            for (level, own) in place(month).iter_mut().zip(pair) {
                level.mean = if own.n >= LEAST_STATE_DAYS { own.mean() } else { all.mean() };
            }
        }
        let smooth: [Vec<f64>; 2] = std::array::from_fn(|state| {
            super::smooth_year(&std::array::from_fn(|m| place(&mut months[m])[state].mean))
        });
        let mut spread = [[Sums::default(); 2]; 12];
        for (date, day) in days {
            let at = leap_day(*date);
            let state = is_wet(day);
            spread[month_of(at)][state].add(of(day) - smooth[state][at]);
        }
        for (month, pair) in months.iter_mut().zip(&spread) {
            let all = pair[0].with(pair[1]);
            for (level, own) in place(month).iter_mut().zip(pair) {
                level.sd = if own.n >= LEAST_STATE_DAYS { own.sd() } else { all.sd() };
            }
        }
    }
}

/// Residuals of Tmax, Tmin and radiation in units of their deviation.
pub(super) fn residuals(days: &[(Date, Day)], climate: &Climate) -> Vec<[f64; 3]> {
    let levels: [fn(&Month) -> &[Level; 2]; 3] = [|m| &m.tmax_c, |m| &m.tmin_c, |m| &m.rs_mj_m2];
    let daily: [[(Vec<f64>, Vec<f64>); 2]; 3] = std::array::from_fn(|q| {
        std::array::from_fn(|s| {
            (climate.by_day(|m| levels[q](m)[s].mean), climate.by_day(|m| levels[q](m)[s].sd))
        })
    });
    days.iter()
        .map(|(date, day)| {
            let (at, state) = (leap_day(*date), is_wet(day));
            let x = [day.tmax_c, day.tmin_c, day.rs_mj_m2];
            std::array::from_fn(|q| {
                let (mean, sd) = &daily[q][state];
                (x[q] - mean[at]) / sd[at].max(1e-3)
            })
        })
        .collect()
}

/// Same-day and next-day correlations.
fn correlations(days: &[(Date, Day)], z: &[[f64; 3]]) -> (Matrix, Matrix) {
    let (mut m0, mut m1) = ([[0.0; 3]; 3], [[0.0; 3]; 3]);
    let mut pairs = 0.0;
    for (i, today) in z.iter().enumerate() {
        for r in 0..3 {
            for c in 0..3 {
                m0[r][c] += today[r] * today[c];
            }
        }
        if i > 0 && follows(days[i - 1].0, days[i].0) {
            pairs += 1.0;
            for r in 0..3 {
                for c in 0..3 {
                    m1[r][c] += today[r] * z[i - 1][c];
                }
            }
        }
    }
    let n = z.len() as f64;
    let sd: [f64; 3] = std::array::from_fn(|i| (m0[i][i] / n).sqrt().max(1e-6));
    (
        std::array::from_fn(|r| std::array::from_fn(|c| m0[r][c] / n / (sd[r] * sd[c]))),
        std::array::from_fn(|r| std::array::from_fn(|c| m1[r][c] / f64::max(pairs, 1.0) / (sd[r] * sd[c]))),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn too_little_is_refused_in_a_sentence() {
        let day =
            Day { tmax_c: 1.0, tmin_c: 0.0, precip_mm: 0.0, rs_mj_m2: 1.0, ea_kpa: 0.5, wind_2m_ms: 1.0 };
        let site = Site { lat_deg: 50.0, lon_deg: -105.0, elev_m: 500.0 };
        let e = Climate::fit(&vec![(date(2020, 1, 1), day); 400], &site).unwrap_err();
        assert!(e.to_string().starts_with("a climate needs five years of days and there are 1.1"));
        let many = vec![(date(2020, 1, 1), day); 2000];
        assert!(matches!(Climate::fit(&many, &site), Err(ClimateError::MonthMissing { month: 2, .. })));
        let bad = Day { ea_kpa: f64::NAN, ..day };
        assert!(matches!(
            Climate::fit(&vec![(date(2020, 1, 1), bad); 2000], &site),
            Err(ClimateError::NotANumber(_))
        ));
    }
}
