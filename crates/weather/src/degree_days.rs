//! Degree-days: warmth above a base, summed.

/// Degree-days of one day, C d: the mean of the two ends above the base, never below zero.
pub fn of_day(tmax_c: f64, tmin_c: f64, base_c: f64) -> f64 {
    (0.5 * (tmax_c + tmin_c) - base_c).max(0.0)
}
