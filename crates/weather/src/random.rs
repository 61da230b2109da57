//! Draws the generator and the forecast need, on top of any source of random bits. All reproducible: the same bits
//! give the same weather on every machine that rounds as IEEE 754 asks.

use rand::Rng;

/// A number from 0 up to, not including, 1.
pub fn uniform(rng: &mut impl Rng) -> f64 {
    (rng.next_u64() >> 11) as f64 * (1.0 / (1u64 << 53) as f64)
}

/// Standard normal numbers by Marsaglia's polar method; every second one is free.
#[derive(Debug, Clone, Copy, Default)]
pub struct Normal {
    spare: Option<f64>,
}

impl Normal {
    /// The next one.
    pub fn next(&mut self, rng: &mut impl Rng) -> f64 {
        if let Some(z) = self.spare.take() {
            return z;
        }
        loop {
            let u = 2.0 * uniform(rng) - 1.0;
            let v = 2.0 * uniform(rng) - 1.0;
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                let f = (-2.0 * s.ln() / s).sqrt();
                self.spare = Some(v * f);
                return u * f;
            }
        }
    }
}

/// A gamma number of the given shape and unit scale (Marsaglia and Tsang 2000, ACM Trans. Math. Softw. 26:363).
pub fn gamma(shape: f64, normal: &mut Normal, rng: &mut impl Rng) -> f64 {
    if shape < 1.0 {
        let boost = (1.0 - uniform(rng)).powf(1.0 / shape);
        return gamma(shape + 1.0, normal, rng) * boost;
    }
    let d = shape - 1.0 / 3.0;
    let c = 1.0 / (9.0 * d).sqrt();
    loop {
        let x = normal.next(rng);
        let v = 1.0 + c * x;
        if v <= 0.0 {
            continue;
        }
        let v = v * v * v;
        let u = 1.0 - uniform(rng);
        if u.ln() < 0.5 * x * x + d - d * v + d * v.ln() {
            return d * v;
        }
    }
}

/// Standard normal density.
fn density(x: f64) -> f64 {
    (-0.5 * x * x).exp() * 0.398_942_280_401_432_7
}

/// Standard normal distribution (Abramowitz and Stegun 26.2.17, error below 7.5e-8).
pub fn normal_below(x: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * x.abs());
    let poly = t
        * (0.319_381_530
            + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = density(x) * poly;
    if x > 0.0 { 1.0 - tail } else { tail }
}

/// Mean and standard deviation of a normal number held between two bounds.
pub fn held_moments(mean: f64, sd: f64, low: f64, high: f64) -> (f64, f64) {
    let (a, b) = ((low - mean) / sd, (high - mean) / sd);
    let (fa, fb) = (normal_below(a), normal_below(b));
    let (da, db) = (density(a), density(b));
    let inside = fb - fa;
    let first = low * fa + high * (1.0 - fb) + mean * inside + sd * (da - db);
    let second = low * low * fa
        + high * high * (1.0 - fb)
        + (mean * mean + sd * sd) * inside
        + 2.0 * mean * sd * (da - db)
        + sd * sd * (a * da - b * db);
    (first, (second - first * first).max(0.0).sqrt())
}

/// The mean and deviation a normal number must have so that, held between two bounds, it shows the mean and
/// deviation wanted; as near as the bounds allow.
pub fn before_holding(mean: f64, sd: f64, low: f64, high: f64) -> (f64, f64) {
    let span = high - low;
    if span <= 1e-9 || sd <= 1e-9 {
        return (mean, sd.max(0.0));
    }
    let goal = mean.clamp(low + 0.02 * span, high - 0.02 * span);
    let (mut m, mut s) = (goal, sd);
    for _ in 0..40 {
        let (shown_mean, shown_sd) = held_moments(m, s, low, high);
        m = (m + goal - shown_mean).clamp(low - 2.0 * span, high + 2.0 * span);
        s = (s * (sd / shown_sd.max(1e-6)).clamp(0.7, 1.4)).min(1.5 * span);
    }
    (m, s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    fn moments(xs: &[f64]) -> (f64, f64) {
        let n = xs.len() as f64;
        let mean = xs.iter().sum::<f64>() / n;
        (mean, (xs.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt())
    }

    #[test]
    fn draws_have_the_moments_they_claim() {
        let mut rng = ChaCha12Rng::seed_from_u64(7);
        let mut normal = Normal::default();
        let z: Vec<f64> = (0..100_000).map(|_| normal.next(&mut rng)).collect();
        let (m, s) = moments(&z);
        assert!(m.abs() < 0.012 && (s - 1.0).abs() < 0.01, "{m} {s}");
        for shape in [0.4, 0.8, 2.5] {
            let g: Vec<f64> = (0..100_000).map(|_| gamma(shape, &mut normal, &mut rng)).collect();
            let (m, s) = moments(&g);
            assert!(
                (m / shape - 1.0).abs() < 0.02 && (s / shape.sqrt() - 1.0).abs() < 0.03,
                "{shape}: {m} {s}"
            );
        }
    }

    #[test]
    fn holding_is_undone() {
        assert!((normal_below(1.959_964) - 0.975).abs() < 1e-6);
        let mut rng = ChaCha12Rng::seed_from_u64(8);
        let mut normal = Normal::default();
        let (m, s) = before_holding(24.0, 6.0, 2.0, 31.0);
        let held: Vec<f64> = (0..200_000).map(|_| (m + s * normal.next(&mut rng)).clamp(2.0, 31.0)).collect();
        let (mean, sd) = moments(&held);
        assert!((mean - 24.0).abs() < 0.05 && (sd - 6.0).abs() < 0.05, "{mean} {sd}");
    }
}
