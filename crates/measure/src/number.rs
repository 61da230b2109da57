//! How numbers are written for a person.

/// Decimal places to show.
pub type Decimals = u8;

/// Writes `value` with `decimals` places and a comma every three digits: `1,234.5`.
///
/// A value that rounds to zero is written without a minus sign.
pub fn figure(value: f64, decimals: Decimals) -> String {
    if !value.is_finite() {
        return "not known".into();
    }
    let text = format!("{:.*}", usize::from(decimals), value.abs());
    let (whole, part) = text.split_once('.').map_or((text.as_str(), None), |(w, p)| (w, Some(p)));
    let mut out = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(p) = part {
        out.push('.');
        out.push_str(p);
    }
    let is_zero = text.chars().all(|c| c == '0' || c == '.');
    if value < 0.0 && !is_zero { format!("-{out}") } else { out }
}

/// Money to the nearest whole unit, rounded to two or three significant digits as an estimate deserves:
/// 7 stays 7, 734 becomes 730, 12,345 becomes 12,300.
pub fn money(value: f64) -> String {
    figure(round_for_estimate(value), 0)
}

/// The rounding behind [`money`].
pub fn round_for_estimate(value: f64) -> f64 {
    let step = match value.abs() {
        a if a < 100.0 => 1.0,
        a if a < 10_000.0 => 10.0,
        a if a < 100_000.0 => 100.0,
        _ => 1_000.0,
    };
    (value / step).round() * step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn writes_as_a_person_would() {
        assert_eq!(figure(1234.5, 1), "1,234.5");
        assert_eq!(figure(-1_234_567.0, 0), "-1,234,567");
        assert_eq!(figure(-0.04, 1), "0.0");
        assert_eq!(figure(999.0, 0), "999");
        assert_eq!(figure(f64::NAN, 0), "not known");
        assert_eq!(money(734.2), "730");
        assert_eq!(money(12_345.0), "12,300");
        assert_eq!(money(-7.4), "-7");
    }
}
