//! Times drawn about their means: one stream of numbers for each purpose, so that two set-ups draw alike.

use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use stook_weather::random::{Normal, gamma};

/// What a time is for.
#[derive(Debug, Clone, Copy)]
pub enum For {
    /// Filling a tank.
    Fill,
    /// Moving in the field.
    Field,
    /// The road.
    Road,
    /// Pouring in the yard.
    Yard,
}

/// The streams of one day.
pub struct Streams {
    streams: [(ChaCha12Rng, Normal); 4],
    cv: [f64; 4],
}

impl Streams {
    pub fn new(seed: u64, day: u64, v: &super::Variation) -> Self {
        let stream = |k: u64| {
            let mut rng = ChaCha12Rng::seed_from_u64(seed);
            rng.set_stream(4 * day + k);
            (rng, Normal::default())
        };
        Self { streams: [0, 1, 2, 3].map(stream), cv: [v.fill, v.field, v.road, v.yard] }
    }

    /// A time with the given mean.
    pub fn time(&mut self, what: For, mean: f64) -> f64 {
        let cv = self.cv[what as usize];
        if cv <= 0.0 || mean <= 0.0 {
            return mean.max(0.0);
        }
        let shape = 1.0 / (cv * cv);
        let (rng, normal) = &mut self.streams[what as usize];
        mean * gamma(shape, normal, rng) / shape
    }
}
