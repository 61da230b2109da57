//! What an auger moves: by geometry, by practice, and on an incline.

/// Share of an auger's flat capacity left at an incline, degrees (unsigned handling notes, for grain and wheat).
const INCLINE: [(f64, f64); 6] =
    [(0.0, 1.0), (15.0, 0.94), (30.0, 0.87), (45.0, 0.80), (60.0, 0.70), (90.0, 0.50)];
/// Share of the geometric capacity that is moved in practice: low and high (course slides).
pub const ACTUAL: [f64; 2] = [1.0 / 3.0, 0.5];
/// Share left with wet grain: low and high (from memory: take off 25 to 40 %).
pub const WET: [f64; 2] = [0.60, 0.75];

/// Geometric capacity, ft3/h: (D2 - d2) P rpm / 36.6, lengths in inches.
pub fn theory_ft3_h(tube_in: f64, shaft_in: f64, pitch_in: f64, rpm: f64) -> f64 {
    (tube_in * tube_in - shaft_in * shaft_in) * pitch_in * rpm / 36.6
}

/// Share of the flat capacity left at an incline, straight between the printed points.
pub fn incline_share(degrees: f64) -> f64 {
    let d = degrees.clamp(0.0, 90.0);
    INCLINE
        .windows(2)
        .find(|w| d <= w[1].0)
        .map_or(0.5, |w| w[0].1 + (d - w[0].0) / (w[1].0 - w[0].0) * (w[1].1 - w[0].1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steeper_moves_less() {
        for (d, share) in INCLINE {
            assert!((incline_share(d) - share).abs() < 1e-12);
        }
        assert!((0..90).all(|d| incline_share(f64::from(d) + 1.0) < incline_share(f64::from(d))));
    }
}
