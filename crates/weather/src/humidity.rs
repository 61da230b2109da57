//! Moisture of the air as FAO-56 and the ASCE standard reckon it.
//!
//! Convention: saturation over **water** at every temperature, also below freezing. Weather stations report relative
//! humidity so; use this set for anything that comes from a station. For drying and barn air, where ice matters, use
//! [`crate::psychro`] and pass vapour pressure between the two. Pressures in kPa.
//!
//! Source: FAO-56 (Allen and others 1998), ch. 3 and Annex 3.

/// Psychrometer coefficient of an aspirated wet bulb (about 5 m/s), 1/C (FAO-56 Eq. 16).
pub const ASPIRATED: f64 = 0.000662;

/// Saturation vapour pressure over water, kPa (Eq. 11).
pub fn e0(temp_c: f64) -> f64 {
    0.6108 * (17.27 * temp_c / (temp_c + 237.3)).exp()
}

/// The temperature at which [`e0`] is `e_kpa`, C: its exact inverse.
pub fn e0_inverse(e_kpa: f64) -> f64 {
    let x = (e_kpa.max(1e-6) / 0.6108).ln();
    237.3 * x / (17.27 - x)
}

/// Slope of the saturation curve, kPa/C (Eq. 13).
pub fn slope(temp_c: f64) -> f64 {
    4098.0 * e0(temp_c) / (temp_c + 237.3).powi(2)
}

/// Mean pressure of the air at an elevation, kPa (Eq. 7).
pub fn pressure(elev_m: f64) -> f64 {
    101.3 * ((293.0 - 0.0065 * elev_m) / 293.0).powf(5.26)
}

/// Psychrometric constant, kPa/C (Eq. 8).
pub fn gamma(pressure_kpa: f64) -> f64 {
    0.665e-3 * pressure_kpa
}

/// Mean saturation pressure of a day, kPa (Eq. 12): of the two ends, never of the mean temperature.
pub fn es_mean(tmax_c: f64, tmin_c: f64) -> f64 {
    0.5 * (e0(tmax_c) + e0(tmin_c))
}

/// Vapour pressure from both ends of relative humidity, kPa (Eq. 17).
pub fn ea_from_rh_range(tmax_c: f64, tmin_c: f64, rh_max_pct: f64, rh_min_pct: f64) -> f64 {
    (e0(tmin_c) * rh_max_pct + e0(tmax_c) * rh_min_pct) / 200.0
}

/// Vapour pressure from the highest relative humidity alone, kPa (Eq. 18).
pub fn ea_from_rh_max(tmin_c: f64, rh_max_pct: f64) -> f64 {
    e0(tmin_c) * rh_max_pct / 100.0
}

/// Vapour pressure from mean relative humidity, kPa (Eq. 19): the least sure of the rules.
pub fn ea_from_rh_mean(tmax_c: f64, tmin_c: f64, rh_mean_pct: f64) -> f64 {
    rh_mean_pct / 100.0 * es_mean(tmax_c, tmin_c)
}

/// Vapour pressure from a wet and dry bulb, kPa (Eq. 15). `a_psy` 0.000662 aspirated, 0.000800 in free wind of about
/// 1 m/s, 0.001200 in still indoor air.
pub fn ea_from_wet_bulb(dry_c: f64, wet_c: f64, pressure_kpa: f64, a_psy: f64) -> f64 {
    e0(wet_c) - a_psy * pressure_kpa * (dry_c - wet_c)
}

/// Dew point, C, as printed (Eq. 3-11 of Annex 3); [`e0_inverse`] is the exact form, within 0.02 C of it.
pub fn dew_point(ea_kpa: f64) -> f64 {
    let l = ea_kpa.max(1e-6).ln();
    (116.91 + 237.3 * l) / (16.78 - l)
}

/// Vapour pressure deficit of a day, kPa.
pub fn vpd_daily(tmax_c: f64, tmin_c: f64, ea_kpa: f64) -> f64 {
    es_mean(tmax_c, tmin_c) - ea_kpa
}

/// Relative humidity at a temperature, %, held to 100.
pub fn rh_pct(temp_c: f64, ea_kpa: f64) -> f64 {
    (100.0 * ea_kpa / e0(temp_c)).min(100.0)
}

/// Latent heat of vaporization, MJ/kg (Annex 3). FAO-56 itself uses 2.45 throughout.
pub fn latent_heat(temp_c: f64) -> f64 {
    2.501 - 2.361e-3 * temp_c
}

/// Specific humidity, kg/kg, and back.
pub fn specific_humidity(ea_kpa: f64, pressure_kpa: f64) -> f64 {
    0.622 * ea_kpa / (pressure_kpa - 0.378 * ea_kpa)
}

/// Vapour pressure from specific humidity, kPa.
pub fn ea_from_specific(q_kg_kg: f64, pressure_kpa: f64) -> f64 {
    q_kg_kg * pressure_kpa / (0.622 + 0.378 * q_kg_kg)
}

/// Wet bulb of an aspirated thermometer, C, by bisection between dew point and air temperature.
pub fn wet_bulb(temp_c: f64, ea_kpa: f64, pressure_kpa: f64) -> f64 {
    let (mut low, mut high) = (e0_inverse(ea_kpa).min(temp_c), temp_c);
    for _ in 0..50 {
        let mid = 0.5 * (low + high);
        if ea_from_wet_bulb(temp_c, mid, pressure_kpa, ASPIRATED) > ea_kpa {
            high = mid;
        } else {
            low = mid;
        }
    }
    0.5 * (low + high)
}

/// Delta T, C: air temperature less wet bulb.
pub fn delta_t(temp_c: f64, ea_kpa: f64, pressure_kpa: f64) -> f64 {
    temp_c - wet_bulb(temp_c, ea_kpa, pressure_kpa)
}

/// The air temperature at which Delta T reaches `delta_t_c` while vapour pressure stays `ea_kpa`, C: warmer air has
/// a larger Delta T. Exact, without a search, because the wet-bulb balance is linear in vapour pressure.
pub fn temp_at_delta_t(delta_t_c: f64, ea_kpa: f64, pressure_kpa: f64) -> f64 {
    delta_t_c + e0_inverse(ea_kpa + ASPIRATED * pressure_kpa * delta_t_c)
}

/// Wind at 2 m over short grass from a reading at `height_m`, m/s (FAO-56 Eq. 47). Airport masts are 10 m.
pub fn wind_at_2m(wind_ms: f64, height_m: f64) -> f64 {
    wind_ms * wind_factor(height_m)
}

/// The factor of [`wind_at_2m`]; valid from 0.5 m up.
pub fn wind_factor(height_m: f64) -> f64 {
    4.87 / (67.8 * height_m - 5.42).ln()
}
