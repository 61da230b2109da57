//! What lateness costs.

/// Yield lost by working `days` off the best day at a share `k_per_day` a day, in the unit of `yield_`.
///
/// Schuler, Univ. of Wisconsin, 2005, after ASABE. Linear, dated and local: a prior until the farm's own delays speak.
pub fn loss(yield_: f64, k_per_day: f64, days: f64) -> f64 {
    yield_ * k_per_day * days.max(0.0)
}

/// A season's work for [`season_cost`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonWork {
    /// Share of value lost per day.
    pub k_per_day: f64,
    /// Area, ha.
    pub area_ha: f64,
    /// Yield, t/ha.
    pub yield_t_ha: f64,
    /// Price, money/t.
    pub price_t: f64,
    /// Whether the work straddles the best date instead of starting or ending at it.
    pub straddles: bool,
    /// Hours worked on a fit day.
    pub hours_per_day: f64,
    /// Capacity, ha/h.
    pub capacity_ha_h: f64,
    /// Share of days that are fit.
    pub fit_share: f64,
}

/// Days on the calendar that the work takes.
pub fn days_needed(w: &SeasonWork) -> f64 {
    w.area_ha / (w.hours_per_day * w.capacity_ha_h * w.fit_share)
}

/// Cost of a season's lateness, money: `K A^2 Y V / (Z G Ci pwd)`.
///
/// ASAE EP496 form, re-derived: the mean delay is half the days needed, or a quarter when the work straddles the best
/// date.
pub fn season_cost(w: &SeasonWork) -> f64 {
    let z = if w.straddles { 4.0 } else { 2.0 };
    w.k_per_day * w.area_ha * w.yield_t_ha * w.price_t * days_needed(w) / z
}
