//! State of moist air for drying, barns and bins, after the ASHRAE Handbook of Fundamentals (2017), ch. 1.
//!
//! Convention: saturation over **ice** below 0.01 C (Hyland and Wexler 1983). Relative humidity from a weather
//! station below freezing is over water: turn it into vapour pressure with [`crate::humidity`] first. Pressures in
//! kPa, humidity ratio in kg of water per kg of dry air.

/// Triple point of water, C: the two saturation curves meet here.
const TRIPLE_C: f64 = 0.01;
/// Molecular weight of water over that of dry air.
const RATIO: f64 = 0.621945;

/// Pressure of the standard atmosphere, kPa (Eq. 3), -5,000 to 11,000 m.
pub fn standard_pressure(elev_m: f64) -> f64 {
    101.325 * (1.0 - 2.25577e-5 * elev_m).powf(5.2559)
}

/// Saturation vapour pressure, kPa (Eq. 5 and 6), -100 to 200 C.
pub fn saturation(temp_c: f64) -> f64 {
    let t = temp_c + 273.15;
    let ln_pa = if temp_c <= TRIPLE_C {
        -5.6745359e3 / t + 6.3925247 - 9.677843e-3 * t + 6.2215701e-7 * t * t + 2.0747825e-9 * t.powi(3)
            - 9.484024e-13 * t.powi(4)
            + 4.1635019 * t.ln()
    } else {
        -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t * t - 1.4452093e-8 * t.powi(3)
            + 6.5459673 * t.ln()
    };
    ln_pa.exp() / 1000.0
}

/// Humidity ratio from vapour pressure (Eq. 20).
pub fn humidity_ratio(vapour_kpa: f64, pressure_kpa: f64) -> f64 {
    RATIO * vapour_kpa / (pressure_kpa - vapour_kpa)
}

/// Vapour pressure from humidity ratio, kPa.
pub fn vapour_pressure(w: f64, pressure_kpa: f64) -> f64 {
    pressure_kpa * w / (RATIO + w)
}

/// Humidity ratio of saturated air.
pub fn saturation_ratio(temp_c: f64, pressure_kpa: f64) -> f64 {
    humidity_ratio(saturation(temp_c), pressure_kpa)
}

/// Humidity ratio from relative humidity (0 to 1).
pub fn ratio_from_rh(temp_c: f64, rh: f64, pressure_kpa: f64) -> f64 {
    humidity_ratio(rh * saturation(temp_c), pressure_kpa)
}

/// Relative humidity (0 to 1) from humidity ratio.
pub fn rh_from_ratio(temp_c: f64, w: f64, pressure_kpa: f64) -> f64 {
    vapour_pressure(w, pressure_kpa) / saturation(temp_c)
}

/// Humidity ratio from a thermodynamic wet bulb (Eq. 33 above freezing, Eq. 35 below).
pub fn ratio_from_wet_bulb(temp_c: f64, wet_c: f64, pressure_kpa: f64) -> f64 {
    let ws = saturation_ratio(wet_c, pressure_kpa);
    if wet_c >= 0.0 {
        ((2501.0 - 2.326 * wet_c) * ws - 1.006 * (temp_c - wet_c)) / (2501.0 + 1.86 * temp_c - 4.186 * wet_c)
    } else {
        ((2830.0 - 0.24 * wet_c) * ws - 1.006 * (temp_c - wet_c)) / (2830.0 + 1.86 * temp_c - 2.1 * wet_c)
    }
}

/// Thermodynamic wet bulb, C, by bisection between dew point and air temperature.
pub fn wet_bulb(temp_c: f64, w: f64, pressure_kpa: f64) -> f64 {
    let (mut low, mut high) = (dew_point(vapour_pressure(w, pressure_kpa)).min(temp_c), temp_c);
    for _ in 0..50 {
        let mid = 0.5 * (low + high);
        if ratio_from_wet_bulb(temp_c, mid, pressure_kpa) > w {
            high = mid;
        } else {
            low = mid;
        }
    }
    0.5 * (low + high)
}

/// Dew point (frost point below freezing), C: the temperature whose saturation pressure is `vapour_kpa`, by
/// bisection between -100 and 200 C.
pub fn dew_point(vapour_kpa: f64) -> f64 {
    let (mut low, mut high) = (-100.0, 200.0);
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if saturation(mid) > vapour_kpa {
            high = mid;
        } else {
            low = mid;
        }
    }
    0.5 * (low + high)
}

/// Enthalpy, kJ per kg of dry air, from 0 C (Eq. 30).
pub fn enthalpy(temp_c: f64, w: f64) -> f64 {
    1.006 * temp_c + w * (2501.0 + 1.86 * temp_c)
}

/// Temperature of air with enthalpy `h_kj_kg` and humidity ratio `w`, C.
pub fn temp_from_enthalpy(h_kj_kg: f64, w: f64) -> f64 {
    (h_kj_kg - 2501.0 * w) / (1.006 + 1.86 * w)
}

/// Volume, m3 per kg of dry air (Eq. 26).
pub fn volume(temp_c: f64, w: f64, pressure_kpa: f64) -> f64 {
    0.287042 * (temp_c + 273.15) * (1.0 + 1.607858 * w) / pressure_kpa
}
