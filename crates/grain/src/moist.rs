//! Moist air for loops that run many times: a table over [`stook_weather::psychro`], in Pa, and the line of constant
//! enthalpy. The equations themselves are in the weather crate.
//!
//! Relative humidity here is over ice below freezing. A weather station reports it over water: turn it into vapour
//! pressure first.

use std::sync::LazyLock;

use stook_weather::psychro;

/// Specific heat of dry air, kJ/kg K.
pub const CP_AIR: f64 = 1.006;
/// Specific heat of water vapour, kJ/kg K.
pub const CP_VAPOUR: f64 = 1.86;
/// Heat of vapour at 0 C, kJ/kg.
pub const H_VAPOUR: f64 = 2501.0;
/// Ratio of the molar masses of water and dry air.
pub(crate) const EPSILON: f64 = 0.621_945;

/// First degree of the table behind [`saturation_fast`], C. The pieces meet at the triple point, where water turns ice.
const TABLE_FROM_C: f64 = -59.99;
/// Degrees in the table.
const TABLE_DEGREES: usize = 180;

/// Cubic pieces, one a degree, through ln(saturation pressure, Pa) and its slope at both ends.
static PIECES: LazyLock<Vec<[f64; 4]>> = LazyLock::new(|| {
    let ln = |t: f64| (1000.0 * psychro::saturation(t)).ln();
    // One-sided slopes that stay inside the piece: the curve has a kink at the triple point.
    let slope = |t: f64, h: f64| (-3.0 * ln(t) + 4.0 * ln(t + h) - ln(t + 2.0 * h)) / (2.0 * h);
    (0..TABLE_DEGREES)
        .map(|i| {
            let (t0, t1) = (TABLE_FROM_C + i as f64 + 1e-9, TABLE_FROM_C + i as f64 + 1.0 - 1e-9);
            let (y0, y1) = (ln(t0), ln(t1));
            let (d0, d1) = (slope(t0, 1e-3), slope(t1, -1e-3));
            [y0, d0, 3.0 * (y1 - y0) - 2.0 * d0 - d1, 2.0 * (y0 - y1) + d0 + d1]
        })
        .collect()
});

/// Saturation pressure, Pa, and the slope of its logarithm, 1/K, within 1e-7 of the equation from -59 to 120 C.
pub fn saturation_fast(t_c: f64) -> (f64, f64) {
    let pieces: &[[f64; 4]] = &PIECES;
    let place = t_c - TABLE_FROM_C;
    let i = (place.max(0.0) as usize).min(TABLE_DEGREES - 1);
    let x = place - i as f64;
    let [a, b, c, d] = pieces[i];
    ((a + x * (b + x * (c + x * d))).exp(), b + x * (2.0 * c + x * 3.0 * d))
}

/// Pressure at an altitude, Pa.
pub fn pressure_pa(altitude_m: f64) -> f64 {
    1000.0 * psychro::standard_pressure(altitude_m)
}

/// Kilograms of water for each kilogram of dry air.
pub fn humidity_ratio(t_c: f64, rh: f64, pressure_pa: f64) -> f64 {
    psychro::ratio_from_rh(t_c, rh, pressure_pa / 1000.0)
}

/// Relative humidity, 0 to 1 (above 1 in fog), of air with a humidity ratio.
pub fn relative_humidity(t_c: f64, w: f64, pressure_pa: f64) -> f64 {
    psychro::rh_from_ratio(t_c, w, pressure_pa / 1000.0)
}

/// Volume, m3 for each kg of dry air.
pub fn volume_m3_kg(t_c: f64, w: f64, pressure_pa: f64) -> f64 {
    psychro::volume(t_c, w, pressure_pa / 1000.0)
}

/// Humidity ratio on a line of constant enthalpy.
pub fn w_at_enthalpy(h: f64, t_c: f64) -> f64 {
    (h - CP_AIR * t_c) / (H_VAPOUR + CP_VAPOUR * t_c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_as_good_as_the_equation() {
        for i in 0..17_900 {
            let t = -59.0 + 0.01 * f64::from(i) + 0.003;
            let (fast, slope) = saturation_fast(t);
            assert!((fast / (1000.0 * psychro::saturation(t)) - 1.0).abs() < 1e-7, "{t}");
            let h = 1e-4;
            if (t - 0.01).abs() > 2.0 * h {
                let by_step = (psychro::saturation(t + h).ln() - psychro::saturation(t - h).ln()) / (2.0 * h);
                assert!((slope - by_step).abs() < 1e-6, "{t}");
            }
        }
    }

    #[test]
    fn the_line_keeps_its_enthalpy() {
        let w = humidity_ratio(17.0, 0.63, 94_300.0);
        let h = psychro::enthalpy(17.0, w);
        assert!((psychro::enthalpy(9.0, w_at_enthalpy(h, 9.0)) - h).abs() < 1e-12);
    }
}
