//! Rain that runs off: the SCS curve number.
//!
//! Source: USDA-SCS (1985); wetness after the ASCE irrigation manual (2016) equations 14-14, 14-15 and 14-18 to 20.

/// What the ground can hold back, mm, for a curve number.
pub fn retention_mm(curve_number: f64) -> f64 {
    254.0 * (100.0 / curve_number - 1.0)
}

/// Runoff, mm, from a day's rain; the first fifth of the retention is lost before any runs.
pub fn runoff_mm(rain_mm: f64, retention_mm: f64) -> f64 {
    let over = rain_mm - 0.2 * retention_mm;
    if over <= 0.0 { 0.0 } else { over * over / (rain_mm + 0.8 * retention_mm) }
}

/// The curve number of dry ground (condition 1).
pub fn dry(cn2: f64) -> f64 {
    cn2 / (2.281 - 0.01281 * cn2)
}

/// The curve number of wet ground (condition 3).
pub fn wet(cn2: f64) -> f64 {
    cn2 / (0.427 + 0.00573 * cn2)
}

/// The curve number at a depletion of the surface layer: wet to half the readily evaporable water, dry from
/// 0.7 REW + 0.3 TEW, a straight line between.
pub fn at_depletion(cn2: f64, depletion_mm: f64, rew_mm: f64, tew_mm: f64) -> f64 {
    let (from, to) = (0.5 * rew_mm, 0.7 * rew_mm + 0.3 * tew_mm);
    let share = ((depletion_mm - from) / (to - from)).clamp(0.0, 1.0);
    wet(cn2) + share * (dry(cn2) - wet(cn2))
}

/// Hydrologic group of a texture: 0 for A (soaks up) to 3 for D (sheds).
///
/// Source: USDA Technical Release 55 (1986) appendix A, textures by group, from memory.
pub fn group(class: crate::TextureClass) -> usize {
    use crate::TextureClass as T;
    match class {
        T::Sand | T::LoamySand | T::SandyLoam => 0,
        T::Loam | T::SiltLoam | T::Silt => 1,
        T::SandyClayLoam => 2,
        T::ClayLoam | T::SiltyClayLoam | T::SandyClay | T::SiltyClay | T::Clay | T::HeavyClay => 3,
    }
}
