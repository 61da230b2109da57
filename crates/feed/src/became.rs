//! What a field became: loaves, kilograms of pork, days of feed. For visitors.

use crate::FeedParams;

/// Loaves of white bread from clean wheat.
pub fn loaves(p: &FeedParams, wheat_kg: f64) -> f64 {
    wheat_kg * p.flour_share / p.flour_per_loaf_kg
}

/// Kilograms of pork on the rail from feed, at so much feed for a kilogram of live gain.
pub fn pork_kg(p: &FeedParams, feed_kg: f64, feed_per_gain: f64) -> f64 {
    feed_kg / feed_per_gain * p.carcass_share
}

/// Kernels, near enough.
pub fn kernels(p: &FeedParams, wheat_kg: f64) -> f64 {
    wheat_kg * p.kernels_per_kg
}
