//! Moist air as the bed models need it: ASHRAE saturation pressure over water and ice, mixing ratio and enthalpy.

use std::sync::LazyLock;

/// Ratio of the molar masses of water and dry air.
const EPSILON: f64 = 0.621_945;
/// Specific heat of dry air, kJ/kg K.
pub const CP_AIR: f64 = 1.006;
/// Specific heat of water vapour, kJ/kg K.
pub const CP_VAPOUR: f64 = 1.86;
/// Heat of vapour at 0 C, kJ/kg.
pub const H_VAPOUR: f64 = 2501.0;

/// Saturation pressure, Pa, over water at 0 C and above, over ice below (Hyland and Wexler, as in the ASHRAE
/// Handbook). Valid from -100 to 200 C.
pub fn saturation_pa(t_c: f64) -> f64 {
    let k = t_c + 273.15;
    let ln = if t_c >= 0.0 {
        -5_800.220_6 / k + 1.391_499_3 + k * (-0.048_640_239 + k * (4.176_476_8e-5 - k * 1.445_209_3e-8))
            + 6.545_967_3 * k.ln()
    } else {
        -5_674.535_9 / k
            + 6.392_524_7
            + k * (-0.009_677_843 + k * (6.221_570_1e-7 + k * (2.074_782_5e-9 - k * 9.484_024e-13)))
            + 4.163_501_9 * k.ln()
    };
    ln.exp()
}

/// d ln(saturation pressure)/dT, 1/K: the derivative of [`saturation_pa`].
pub fn dln_saturation(t_c: f64) -> f64 {
    let k = t_c + 273.15;
    if t_c >= 0.0 {
        5_800.220_6 / (k * k) - 0.048_640_239 + k * (8.352_953_6e-5 - k * 4.335_627_9e-8) + 6.545_967_3 / k
    } else {
        5_674.535_9 / (k * k) - 0.009_677_843
            + k * (1.244_314_02e-6 + k * (6.224_347_5e-9 - k * 3.793_609_6e-12))
            + 4.163_501_9 / k
    }
}

/// First degree of the table behind [`saturation_fast`], C.
const TABLE_FROM_C: i32 = -60;
/// Degrees in the table.
const TABLE_DEGREES: usize = 180;

/// Cubic pieces, one a degree, through ln(saturation pressure) and its slope at both ends.
static PIECES: LazyLock<Vec<[f64; 4]>> = LazyLock::new(|| {
    (0..TABLE_DEGREES)
        .map(|i| {
            let t = f64::from(TABLE_FROM_C) + i as f64;
            // Just inside the degree, so that the piece ending at 0 C is ice at both ends.
            let (t0, t1) = (t + 1e-9, t + 1.0 - 1e-9);
            let (y0, y1) = (saturation_pa(t0).ln(), saturation_pa(t1).ln());
            let (d0, d1) = (dln_saturation(t0), dln_saturation(t1));
            [y0, d0, 3.0 * (y1 - y0) - 2.0 * d0 - d1, 2.0 * (y0 - y1) + d0 + d1]
        })
        .collect()
});

/// [`saturation_pa`] and [`dln_saturation`] by a table, within 1e-7 of the former from -60 to 120 C; for loops that
/// run many times.
pub fn saturation_fast(t_c: f64) -> (f64, f64) {
    let pieces: &[[f64; 4]] = &PIECES;
    let place = t_c - f64::from(TABLE_FROM_C);
    let i = (place.max(0.0) as usize).min(TABLE_DEGREES - 1);
    let x = place - i as f64;
    let [a, b, c, d] = pieces[i];
    ((a + x * (b + x * (c + x * d))).exp(), b + x * (2.0 * c + x * 3.0 * d))
}

/// Pressure at an altitude, Pa.
pub fn pressure_pa(altitude_m: f64) -> f64 {
    101_325.0 * (1.0 - 2.255_77e-5 * altitude_m).powf(5.2559)
}

/// Kilograms of water for each kilogram of dry air.
pub fn humidity_ratio(t_c: f64, rh: f64, pressure_pa: f64) -> f64 {
    let vapour = rh * saturation_pa(t_c);
    EPSILON * vapour / (pressure_pa - vapour)
}

/// Relative humidity, 0 to 1 (above 1 in fog), of air with a humidity ratio.
pub fn relative_humidity(t_c: f64, w: f64, pressure_pa: f64) -> f64 {
    pressure_pa * w / ((EPSILON + w) * saturation_pa(t_c))
}

/// Enthalpy, kJ for each kg of dry air.
pub fn enthalpy(t_c: f64, w: f64) -> f64 {
    CP_AIR * t_c + w * (H_VAPOUR + CP_VAPOUR * t_c)
}

/// Volume, m3 for each kg of dry air.
pub fn volume_m3_kg(t_c: f64, w: f64, pressure_pa: f64) -> f64 {
    287.042 * (t_c + 273.15) * (1.0 + 1.607_858 * w) / pressure_pa
}

/// Humidity ratio on a line of constant enthalpy.
pub fn w_at_enthalpy(h: f64, t_c: f64) -> f64 {
    (h - CP_AIR * t_c) / (H_VAPOUR + CP_VAPOUR * t_c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slope_is_the_derivative() {
        for t in [-35.0, -12.0, -0.5, 0.5, 18.0, 60.0] {
            let h = 1e-4;
            let by_step = (saturation_pa(t + h).ln() - saturation_pa(t - h).ln()) / (2.0 * h);
            assert!((by_step - dln_saturation(t)).abs() < 1e-7, "{t}");
        }
    }

    #[test]
    fn the_table_is_as_good_as_the_equation() {
        for i in 0..18_000 {
            let t = -60.0 + 0.01 * f64::from(i) + 0.003;
            let (fast, slope) = saturation_fast(t);
            assert!((fast / saturation_pa(t) - 1.0).abs() < 1e-7, "{t}");
            assert!((slope - dln_saturation(t)).abs() < 1e-6, "{t}");
        }
    }

    #[test]
    fn there_and_back() {
        let w = humidity_ratio(17.0, 0.63, 94_300.0);
        assert!((relative_humidity(17.0, w, 94_300.0) - 0.63).abs() < 1e-12);
        assert!((w_at_enthalpy(enthalpy(17.0, w), 17.0) - w).abs() < 1e-15);
    }
}
