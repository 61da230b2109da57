//! What may roll on the road: a warning, never a certificate. Limits differ by road, season and state; the sign and the
//! law rule.

/// Most a group of axles may weigh by the US bridge formula, lb: `500 (L N / (N - 1) + 12 N + 36)`, rounded to 500.
/// Length in feet between the outer axles of the group. From memory of the FHWA brochure.
pub fn bridge_formula_lb(length_ft: f64, axles: u8) -> f64 {
    let n = f64::from(axles);
    let lb = 500.0 * (length_ft * n / (n - 1.0) + 12.0 * n + 36.0);
    (lb / 500.0).round() * 500.0
}

/// Sum of axle group limits, kg.
pub fn axle_sum_kg(groups_kg: &[f64]) -> f64 {
    groups_kg.iter().sum()
}

/// Feet drawn in before a person can react: why a turning shaft cannot be let go of.
pub fn reaction_distance_ft(speed_ft_s: f64, reaction_s: f64) -> f64 {
    speed_ft_s * reaction_s
}
