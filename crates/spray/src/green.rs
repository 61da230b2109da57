//! What green on bare ground takes from the crop to come: before the drill in spring, on the stubble in fall.

use crate::SprayParams;

/// Share of yield lost to green left `days` longer in spring. The trial saw three weeks; more is not reckoned.
pub fn burn_off_loss(days: f64, p: &SprayParams) -> f64 {
    p.burnoff_gain_share * (days.max(0.0) / p.burnoff_over_days).min(1.0)
}

/// Water for the next crop that green on stubble takes over `days` of good leaf, mm.
pub fn stubble_water_mm(days: f64, p: &SprayParams) -> f64 {
    p.stubble_water_kept * (p.stubble_water_mm_d * days.max(0.0)).min(p.stubble_water_most_mm)
}

/// What a spray on stubble saves of next year's yield, kg/ha of the whole field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saved {
    /// By the water it keeps.
    pub by_water_kg_ha: f64,
    /// By the thistle it takes out.
    pub by_thistle_kg_ha: f64,
}

/// `patch_share` of the field is in thistle patches, `yield_kg_ha` is what it would make without them and
/// `kg_ha_per_mm` what a millimetre makes.
pub fn stubble_saved(
    days: f64,
    patch_share: f64,
    yield_kg_ha: f64,
    kg_ha_per_mm: f64,
    p: &SprayParams,
) -> Saved {
    Saved {
        by_water_kg_ha: stubble_water_mm(days, p) * kg_ha_per_mm,
        by_thistle_kg_ha: patch_share * yield_kg_ha * p.patch_loss * p.patch_control,
    }
}

/// Share of the field in patches from which the pass pays by itself; `None` where even a full field would not pay, 0
/// where the water alone pays.
pub fn pays_from_patch_share(
    days: f64,
    yield_kg_ha: f64,
    kg_ha_per_mm: f64,
    money_per_kg: f64,
    p: &SprayParams,
) -> Option<f64> {
    let full = stubble_saved(days, 1.0, yield_kg_ha, kg_ha_per_mm, p);
    let short = p.stubble_per_ha - full.by_water_kg_ha * money_per_kg;
    let share = short.max(0.0) / (full.by_thistle_kg_ha * money_per_kg);
    (share <= 1.0).then_some(share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_published() {
        let p = SprayParams::shipped();
        assert!((burn_off_loss(21.0, p) - 0.08).abs() < 1e-12);
        assert_eq!(burn_off_loss(60.0, p), burn_off_loss(21.0, p));
        // Eight weeks: 0.8 inches less, of which the kept share.
        assert!((stubble_water_mm(56.0, p) - 0.7 * 0.8 * 25.4).abs() < 0.05);
        assert_eq!(stubble_water_mm(-3.0, p), 0.0);
    }

    #[test]
    fn the_share_it_pays_from_is_where_it_breaks_even() {
        let p = SprayParams::shipped();
        let (days, kg, mm, money) = (20.0, 2600.0, 11.0, 0.276);
        let share = pays_from_patch_share(days, kg, mm, money, p).unwrap();
        let s = stubble_saved(days, share, kg, mm, p);
        assert!(((s.by_water_kg_ha + s.by_thistle_kg_ha) * money - p.stubble_per_ha).abs() < 1e-9);
        assert_eq!(pays_from_patch_share(days, kg, mm, 0.001, p), None);
    }
}
