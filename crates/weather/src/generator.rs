//! Made-up weather that behaves like a place's.
//!
//! Wet and dry days by a two-state chain, amounts by gamma, Tmax, Tmin and radiation as joined residuals
//! (Richardson 1981, WRR 17:182; Richardson and Wright 1984), humidity and wind by simple draws that depend on the
//! state. Slow terms give months and seasons their own character, and one for the whole run what a short record leaves
//! open. What is still wrong stands in [`crate::climate::FAILINGS`]: past years come first in an ensemble.

use jiff::civil::Date;
use rand::Rng;

use crate::climate::{Climate, Level, Matrix, Month, WET_DAY_MM};
use crate::day::{Day, Site};
use crate::random::{Normal, before_holding, gamma, uniform};
use crate::{humidity, matrix, solar};

/// Least difference between Tmax and Tmin, C.
const LEAST_RANGE_C: f64 = 0.1;
/// Darkest day, share of the radiation above the air.
const DARKEST: f64 = 0.05;
/// Days the residuals run before the first one is used.
const WARM_UP: usize = 15;

/// What one day of the year needs. Pairs are dry, wet.
#[derive(Debug, Clone, Copy)]
struct DayOdds {
    wet_after: [f64; 2],
    wet_fraction: f64,
    amount_mm: f64,
    amount_shape: f64,
    tmax: [Level; 2],
    tmin: [Level; 2],
    rs: [Level; 2],
    rs_low: f64,
    rs_high: f64,
    dew: [Level; 2],
    /// Mean and deviation of the logarithm of wind.
    ln_wind: [Level; 2],
}

/// A generator for one climate, made once.
#[derive(Debug, Clone)]
pub struct Generator {
    days: Vec<DayOdds>,
    a: Matrix,
    b: Matrix,
    slow: [SlowTerm; 2],
    /// Held for a whole run: share of temperature variance, and spread of the logarithm of rain.
    doubt_share: f64,
    doubt_sd: f64,
}

/// A slow term: what it keeps from day to day, its share of temperature variance, its spread of the logarithm of rain.
#[derive(Debug, Clone, Copy)]
struct SlowTerm {
    keep: f64,
    share: f64,
    rain_sd: f64,
}

/// What carries over from day to day.
#[derive(Debug, Clone, Copy, Default)]
struct Carry {
    wet: bool,
    chi: [f64; 3],
    warm: [f64; 2],
    moist: [f64; 2],
    /// The whole run's.
    held: [f64; 2],
    normal: Normal,
}

impl Generator {
    /// Prepares a climate for a site's sun.
    pub fn new(climate: &Climate, site: &Site) -> Self {
        let (a, b, slow) = fast_part(climate);
        // The slow factors spread amounts too; the gamma keeps the rest so that the total spread is as fitted.
        let factor_variance = slow.iter().map(|t| t.rain_sd * t.rain_sd).sum::<f64>().exp_m1();
        let days = daily_odds(climate, site, factor_variance);
        let (doubt_share, doubt_sd) = (climate.slow.doubt_temp_share.max(0.0), climate.slow.doubt_rain_sd);
        Self { days, a, b, slow, doubt_share, doubt_sd }
    }

    /// `days` days from `start`. The same bits give the same weather.
    ///
    /// ```
    /// use jiff::civil::date;
    /// use rand::SeedableRng;
    /// use stook_weather::{Site, climate::Climate, generator::Generator};
    /// let site = Site { lat_deg: 50.0, lon_deg: -105.0, elev_m: 580.0 };
    /// let generator = Generator::new(&Climate::plains(&site), &site);
    /// let mut rng = rand_chacha::ChaCha12Rng::seed_from_u64(1);
    /// let year = generator.generate(date(2026, 1, 1), 365, &mut rng);
    /// assert!(year.iter().all(|d| d.tmax_c > d.tmin_c && d.precip_mm >= 0.0));
    /// ```
    pub fn generate(&self, start: Date, days: usize, rng: &mut impl Rng) -> Vec<Day> {
        let mut carry = self.begin(crate::climate::leap_day(start), rng);
        let mut at = crate::climate::leap_day(start);
        let mut year = start.year();
        let mut out = Vec::with_capacity(days);
        for _ in 0..days {
            out.push(self.day(&self.days[at], &mut carry, rng));
            at += 1;
            if at == 59 && !is_leap(year) {
                at += 1;
            }
            if at == 366 {
                at = 0;
                year += 1;
            }
        }
        out
    }

    /// A state as if the weather had run for long.
    fn begin(&self, at: usize, rng: &mut impl Rng) -> Carry {
        let mut carry = Carry { wet: uniform(rng) < self.days[at].wet_fraction, ..Carry::default() };
        for (i, term) in self.slow.iter().enumerate() {
            if i == 0 || term.share > 0.0 || term.rain_sd > 0.0 {
                carry.warm[i] = carry.normal.next(rng);
                carry.moist[i] = carry.normal.next(rng);
            }
        }
        if self.doubt_share > 0.0 || self.doubt_sd > 0.0 {
            carry.held = [carry.normal.next(rng), carry.normal.next(rng)];
        }
        for _ in 0..WARM_UP {
            self.move_chi(&mut carry, rng);
        }
        carry
    }

    fn move_chi(&self, carry: &mut Carry, rng: &mut impl Rng) {
        let e: [f64; 3] = std::array::from_fn(|_| carry.normal.next(rng));
        let (a, b, x) = (&self.a, &self.b, carry.chi);
        carry.chi = std::array::from_fn(|i| {
            a[i][0] * x[0]
                + a[i][1] * x[1]
                + a[i][2] * x[2]
                + b[i][0] * e[0]
                + b[i][1] * e[1]
                + b[i][2] * e[2]
        });
    }

    fn day(&self, odds: &DayOdds, carry: &mut Carry, rng: &mut impl Rng) -> Day {
        carry.wet = uniform(rng) < odds.wet_after[usize::from(carry.wet)];
        let state = usize::from(carry.wet);
        let mut wetness = self.doubt_sd * carry.held[0] - 0.5 * self.doubt_sd * self.doubt_sd;
        for (term, moist) in self.slow.iter().zip(&mut carry.moist).filter(|(t, _)| t.rain_sd > 0.0) {
            *moist = term.on(*moist, carry.normal.next(rng));
            wetness += term.rain_sd * *moist - 0.5 * term.rain_sd * term.rain_sd;
        }
        let precip_mm = if carry.wet {
            WET_DAY_MM
                + wetness.exp() * odds.amount_mm * gamma(odds.amount_shape, &mut carry.normal, rng)
                    / odds.amount_shape
        } else {
            0.0
        };

        self.move_chi(carry, rng);
        let mut slow = self.doubt_share.sqrt() * carry.held[1];
        for (term, warm) in self.slow.iter().zip(&mut carry.warm).filter(|(t, _)| t.share > 0.0) {
            *warm = term.on(*warm, carry.normal.next(rng));
            slow += term.share.sqrt() * *warm;
        }
        let mut tmax_c = odds.tmax[state].mean + odds.tmax[state].sd * (carry.chi[0] + slow);
        let mut tmin_c = odds.tmin[state].mean + odds.tmin[state].sd * (carry.chi[1] + slow);
        if tmax_c - tmin_c < LEAST_RANGE_C {
            // Crossed: put both at their common mean, so that neither gains warmth by the repair.
            let mean = 0.5 * (tmax_c + tmin_c);
            tmax_c = mean + 0.5 * LEAST_RANGE_C;
            tmin_c = mean - 0.5 * LEAST_RANGE_C;
        }
        let rs = odds.rs[state].mean + odds.rs[state].sd * carry.chi[2];
        let below = odds.dew[state].mean + odds.dew[state].sd * carry.normal.next(rng);
        let ln_wind = odds.ln_wind[state].mean + odds.ln_wind[state].sd * carry.normal.next(rng);
        Day {
            tmax_c,
            tmin_c,
            precip_mm,
            rs_mj_m2: rs.clamp(odds.rs_low, odds.rs_high),
            // The mean dew point of a day cannot lie above its mean temperature.
            ea_kpa: humidity::e0((tmin_c - below).min(0.5 * (tmax_c + tmin_c))),
            wind_2m_ms: ln_wind.exp(),
        }
    }
}

impl SlowTerm {
    /// A day on.
    fn on(&self, was: f64, shock: f64) -> f64 {
        self.keep * was + (1.0 - self.keep * self.keep).sqrt() * shock
    }
}

fn is_leap(year: i16) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

/// `A` and `B` of the fast part, scaled so that fast and slow together have the fitted correlations, and the slow
/// terms used. When the shares asked for do not leave a possible process they are halved until they do.
fn fast_part(climate: &Climate) -> (Matrix, Matrix, [SlowTerm; 2]) {
    let together: Matrix = [[1.0, 1.0, 0.0], [1.0, 1.0, 0.0], [0.0, 0.0, 0.0]];
    let s = &climate.slow;
    let term = |share: f64, rain_sd: f64, days: f64| SlowTerm {
        keep: if days > 0.0 { (-1.0 / days).exp() } else { 0.0 },
        share: share.clamp(0.0, 0.5),
        rain_sd,
    };
    let mut slow =
        [term(s.temp_share, s.rain_sd, s.days), term(s.season_temp_share, s.season_rain_sd, s.season_days)];
    for _ in 0..12 {
        let (share, kept) = slow.iter().fold((0.0, 0.0), |(a, b), t| (a + t.share, b + t.share * t.keep));
        let m0 = matrix::plus(&climate.m0, -share, &together);
        let m1 = matrix::plus(&climate.m1, -kept, &together);
        let made = matrix::inverse(&m0).and_then(|inverse| {
            let a = matrix::times(&m1, &inverse);
            let shock = matrix::plus(&m0, -1.0, &matrix::times(&a, &matrix::transposed(&m1)));
            matrix::cholesky(&shock).map(|b| (a, b))
        });
        if let Some((a, b)) = made {
            return (a, b, slow);
        }
        for t in &mut slow {
            t.share = if t.share > 0.01 { 0.5 * t.share } else { 0.0 };
        }
    }
    // Correlations no process can have (a few days of record repeated): independent days are all that is left.
    let one: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for t in &mut slow {
        t.share = 0.0;
    }
    ([[0.0; 3]; 3], one, slow)
}

fn daily_odds(climate: &Climate, site: &Site, factor_variance: f64) -> Vec<DayOdds> {
    let pair = |of: fn(&Month) -> &[Level; 2]| -> [(Vec<f64>, Vec<f64>); 2] {
        std::array::from_fn(|s| (climate.by_day(|m| of(m)[s].mean), climate.by_day(|m| of(m)[s].sd)))
    };
    let tmax = pair(|m| &m.tmax_c);
    let tmin = pair(|m| &m.tmin_c);
    let rs = pair(|m| &m.rs_mj_m2);
    let dew = pair(|m| &m.dew_below_tmin_c);
    let wind = pair(|m| &m.wind_2m_ms);
    let after_dry = climate.by_day(|m| m.wet_after_dry);
    let after_wet = climate.by_day(|m| m.wet_after_wet);
    let amount = climate.by_day(|m| m.wet_mean_mm - WET_DAY_MM);
    let shape = climate.by_day(|m| m.wet_shape);
    (0..366)
        .map(|d| {
            let level = |of: &[(Vec<f64>, Vec<f64>); 2]| -> [Level; 2] {
                std::array::from_fn(|s| Level { mean: of[s].0[d], sd: of[s].1[d].max(0.0) })
            };
            let ra = solar::extraterrestrial_daily(site.lat_deg, d as u16 + 1);
            let (rs_low, rs_high) = (DARKEST * ra, solar::clear_sky(ra, site.elev_m));
            let wet_after = [after_dry[d].clamp(0.005, 0.95), after_wet[d].clamp(0.01, 0.97)];
            DayOdds {
                wet_after,
                wet_fraction: crate::climate::wet_fraction(wet_after[0], wet_after[1]),
                amount_mm: amount[d].max(0.05),
                amount_shape: shape_beside(shape[d].clamp(0.2, 5.0), factor_variance),
                tmax: level(&tmax),
                tmin: level(&tmin),
                rs: level(&rs).map(|l| {
                    let (mean, sd) = before_holding(l.mean, l.sd, rs_low, rs_high);
                    Level { mean, sd }
                }),
                rs_low,
                rs_high,
                dew: level(&dew),
                ln_wind: level(&wind).map(|l| {
                    let mean = l.mean.max(0.1);
                    let variance = (l.sd / mean).powi(2).ln_1p();
                    Level { mean: mean.ln() - 0.5 * variance, sd: variance.sqrt() }
                }),
            }
        })
        .collect()
}

/// Gamma shape that, with a factor of the given variance beside it, has the spread of `shape` alone.
fn shape_beside(shape: f64, factor_variance: f64) -> f64 {
    let own = (1.0 / shape + 1.0) / (1.0 + factor_variance) - 1.0;
    if own > 0.05 { 1.0 / own } else { 20.0 }
}
