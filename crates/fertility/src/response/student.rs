//! Student's t for whole degrees of freedom.

/// Share of the distribution between -t and t.
///
/// Source: the finite series of Abramowitz and Stegun 1964, 26.7.3 and 26.7.4; exact for whole degrees of freedom.
fn within(t: f64, df: u32) -> f64 {
    let theta = (t / f64::from(df).sqrt()).atan();
    let (sin, cos) = theta.sin_cos();
    let odd = df % 2 == 1;
    let (mut term, mut sum, mut k) = if odd { (cos, 0.0, 3) } else { (1.0, 0.0, 2) };
    let last = if odd { df.saturating_sub(2) } else { df - 2 };
    // sum of 1 (or cos) with each further term times cos^2 (k - 1) / k
    let mut power = i64::from(odd);
    while power <= i64::from(last) {
        sum += term;
        term *= cos * cos * f64::from(k - 1) / f64::from(k);
        k += 2;
        power += 2;
    }
    if odd { (theta + sin * sum) * std::f64::consts::FRAC_2_PI } else { sin * sum }
}

/// The t that holds `share` (such as 0.95) between -t and t.
pub(super) fn two_sided(share: f64, df: u32) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while within(high, df) < share {
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if within(middle, df) < share { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn printed_table() {
        // Abramowitz and Stegun 1964, table 26.10, and every statistics book.
        for (df, t) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (10, 2.228),
            (41, 2.020),
            (60, 2.000),
        ] {
            assert!((two_sided(0.95, df) - t).abs() < 6e-4, "{df}: {}", two_sided(0.95, df));
        }
        assert!((two_sided(0.99, 10) - 3.169).abs() < 6e-4);
    }
}
