//! The dual crop coefficient of FAO-56: basal transpiration and evaporation from the exposed surface.
//!
//! Source of all of it: Allen, Pereira, Raes and Smith (1998), FAO Irrigation and Drainage Paper 56, chapters 6-8.

/// What wind and dryness of the air add to a coefficient (equations 62, 65, 70 and 72), per unit of
/// (height/3)^0.3. Wind at 2 m is held within 1-6 m/s and the lowest humidity within 20-80 %, as the source asks.
pub fn climate_term(wind_2m_ms: f64, rh_min_pct: f64) -> f64 {
    0.04 * (wind_2m_ms.clamp(1.0, 6.0) - 2.0) - 0.004 * (rh_min_pct.clamp(20.0, 80.0) - 45.0)
}

/// A tabulated coefficient of 0.45 or more moved to the site's wind and humidity (equations 62, 65, 70).
pub fn adjust_for_climate(k: f64, wind_2m_ms: f64, rh_min_pct: f64, height_m: f64) -> f64 {
    if k < 0.45 {
        return k;
    }
    k + climate_term(wind_2m_ms, rh_min_pct) * (height_m.clamp(0.0, 10.0) / 3.0).powf(0.3)
}

/// Upper limit of evaporation and transpiration together (equation 72); `height_term` is (h/3)^0.3.
pub fn kc_max(base: f64, kcb: f64, climate: f64, height_term: f64) -> f64 {
    (base + climate * height_term).max(kcb + 0.05)
}

/// Share of the ground the crop shades (equation 76), 0 to 0.99.
pub fn cover_fraction(kcb: f64, kc_min: f64, kc_max: f64, height_m: f64) -> f64 {
    let above = (kcb - kc_min).max(0.01);
    (above / (kc_max - kc_min).max(0.02)).powf(1.0 + 0.5 * height_m).clamp(0.0, 0.99)
}

/// Water that can evaporate from the surface layer, mm (equation 73): from field capacity to half wilting point.
pub fn total_evaporable_mm(theta_fc: f64, theta_wp: f64, ze_m: f64) -> f64 {
    1000.0 * (theta_fc - 0.5 * theta_wp) * ze_m
}

/// Water that evaporates unhindered, mm, from texture in percent.
///
/// Source: the form of Allen and others (2005), from memory; it stays inside FAO-56 Table 19 for all classes there.
pub fn readily_evaporable_mm(sand_pct: f64, clay_pct: f64) -> f64 {
    if sand_pct >= 80.0 {
        20.0 - 0.15 * sand_pct
    } else if clay_pct >= 50.0 {
        11.0 - 0.06 * clay_pct
    } else {
        8.0 + 0.08 * clay_pct
    }
}

/// How far a drying surface holds evaporation back (equation 74), 1 to 0.
pub fn reduction(depletion_mm: f64, tew_mm: f64, rew_mm: f64) -> f64 {
    if depletion_mm <= rew_mm { 1.0 } else { ((tew_mm - depletion_mm) / (tew_mm - rew_mm)).clamp(0.0, 1.0) }
}

/// Evaporation coefficient (equation 71): the energy left over, not more than the exposed wet share can give.
pub fn ke(kr: f64, kc_max: f64, kcb: f64, exposed_wet: f64) -> f64 {
    (kr * (kc_max - kcb)).min(exposed_wet * kc_max).max(0.0)
}

/// Share of available water a crop takes without stress at `etc_mm` a day (FAO-56 Table 22, note).
pub fn depletion_fraction(p_at_5_mm: f64, etc_mm: f64) -> f64 {
    (p_at_5_mm + 0.04 * (5.0 - etc_mm)).clamp(0.1, 0.8)
}

/// Stress coefficient (equation 84), 1 without stress to 0.
pub fn stress(depletion_mm: f64, taw_mm: f64, raw_mm: f64) -> f64 {
    if depletion_mm <= raw_mm { 1.0 } else { ((taw_mm - depletion_mm) / (taw_mm - raw_mm)).clamp(0.0, 1.0) }
}

/// One day of the surface layer as FAO-56 keeps it (equation 77): depletion at the end of the day and what
/// percolates, mm. `in_mm` is rain less runoff plus irrigation over its wetted share; evaporation is per exposed
/// wetted area.
pub fn surface_day(depletion_mm: f64, in_mm: f64, evaporated_mm: f64, tew_mm: f64) -> (f64, f64) {
    let percolated = (in_mm - depletion_mm).max(0.0);
    ((depletion_mm - in_mm + evaporated_mm + percolated).clamp(0.0, tew_mm), percolated)
}

/// One day of the root zone as FAO-56 keeps it (equations 85 and 88): depletion at the end of the day and deep
/// percolation, mm. With `drain_before_et` the excess leaves before the crop drinks.
pub fn root_zone_day(
    depletion_mm: f64,
    in_mm: f64,
    etc_mm: f64,
    taw_mm: f64,
    drain_before_et: bool,
) -> (f64, f64) {
    let drunk_first = if drain_before_et { 0.0 } else { etc_mm };
    let percolated = (in_mm - drunk_first - depletion_mm).max(0.0);
    ((depletion_mm - in_mm + etc_mm + percolated).clamp(0.0, taw_mm), percolated)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::texture::TextureClass;

    #[test]
    fn readily_evaporable_water_lies_in_the_published_table() {
        // FAO-56 Table 19: low and high of REW, mm.
        for (class, low, high) in [
            (TextureClass::Sand, 2.0, 7.0),
            (TextureClass::LoamySand, 4.0, 8.0),
            (TextureClass::SandyLoam, 6.0, 10.0),
            (TextureClass::Loam, 8.0, 10.0),
            (TextureClass::SiltLoam, 8.0, 11.0),
            (TextureClass::Silt, 8.0, 11.0),
            (TextureClass::SiltyClayLoam, 8.0, 11.0),
            (TextureClass::SiltyClay, 8.0, 12.0),
            (TextureClass::Clay, 8.0, 12.0),
        ] {
            let (sand, clay) = class.centre();
            let rew = readily_evaporable_mm(100.0 * sand, 100.0 * clay);
            assert!((low..=high).contains(&rew), "{} {rew}", class.words());
        }
    }
}
