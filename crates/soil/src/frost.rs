//! Frozen ground: the frost index and how much snowmelt a frozen soil takes in.

/// Frost index after one more day, C d (Molnau and Bissell 1983): cold adds, warmth takes away, snow damps both.
///
/// `snow_per_mm` is the damping per mm of snow water.
pub fn index_after(index_cd: f64, tmean_c: f64, swe_mm: f64, decay: f64, snow_per_mm: f64) -> f64 {
    let damp = if swe_mm > 0.0 { (-snow_per_mm * swe_mm).exp() } else { 1.0 };
    (decay * index_cd - tmean_c * damp).max(0.0)
}

/// Snowmelt that enters frozen soil, mm, of a pack of `swe_mm` at the start of melt.
///
/// `saturation` is the share of pores filled in the top 30 cm at freeze-up. Never more than the pack.
/// Source: Granger, Gray and Dyck (1984) Can. J. Earth Sci. 21:669, the limited case: no ice lens, no open cracks.
pub fn granger_infiltration_mm(saturation: f64, swe_mm: f64) -> f64 {
    if swe_mm <= 0.0 {
        return 0.0;
    }
    (5.0 * (1.0 - saturation.clamp(0.0, 1.0)) * swe_mm.powf(0.584)).min(swe_mm)
}

/// Snowmelt that enters frozen soil, mm, by the parametric form, with the hours it has to do so.
///
/// `c` is 2.1 on prairie and 1.14 in boreal forest; `surface_saturation` holds during melt, `saturation` is the
/// first one (both shares of pores), `soil_c` the soil temperature at the start (held at least 0.1 C below zero).
/// Source: Zhao and Gray (1997, 1999); Gray and others (2001) Hydrol. Process. 15:3095.
pub fn parametric_infiltration_mm(
    c: f64,
    surface_saturation: f64,
    saturation: f64,
    soil_c: f64,
    swe_mm: f64,
) -> (f64, f64) {
    let hours = (0.65 * swe_mm - 5.0).max(1.0);
    let cold = (-soil_c).max(0.1) / 273.15;
    let mm = c
        * surface_saturation.powf(2.92)
        * (1.0 - saturation).max(0.0).powf(1.64)
        * cold.powf(-0.45)
        * hours.powf(0.44);
    (mm.min(swe_mm), hours)
}
