//! What a load weighed, however it was said, and how sure that is.

use stook_book::payload::Load;

use crate::crops::CropFacts;
use crate::params::YardParams;

/// A weight with its spread.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Weight {
    /// Mass, kg.
    pub kg: f64,
    /// One standard deviation, kg.
    pub sd_kg: f64,
}

/// The mass of a load. A volume takes the load's own test weight, else `known_kg_hl` (of the bin it came from), else
/// the usual weight of the crop; loose grain in a box is not packed.
pub fn of_load(load: &Load, known_kg_hl: Option<f64>, crop: &CropFacts, p: &YardParams) -> Weight {
    let volume_m3 = load.volume_m3.or_else(|| Some(load.tanks? * load.tank_m3?));
    let kg = load.mass_kg.unwrap_or_else(|| {
        let kg_m3 = load.test_weight_kg_hl.or(known_kg_hl).map_or(crop.density_kg_m3, |kg_hl| kg_hl * 10.0);
        volume_m3.unwrap_or(0.0) * kg_m3
    });
    Weight { kg, sd_kg: kg * p.sd_share(load.weighed) }
}

/// Two sayings of one weight, put together by how sure each is.
pub fn reconciled(a: Weight, b: Weight) -> Weight {
    let (va, vb) = (a.sd_kg * a.sd_kg, b.sd_kg * b.sd_kg);
    if va + vb <= 0.0 {
        return b;
    }
    Weight { kg: (a.kg * vb + b.kg * va) / (va + vb), sd_kg: (va * vb / (va + vb)).sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stook_book::payload::{Crop, LoadFrom, LoadTo, Weighed};
    use stook_measure::Reference;

    #[test]
    fn the_surer_saying_counts_for_more() {
        let scale = Weight { kg: 100_000.0, sd_kg: 300.0 };
        let tape = Weight { kg: 104_000.0, sd_kg: 3_000.0 };
        let both = reconciled(scale, tape);
        assert!((both.kg - 100_039.6).abs() < 0.1, "{both:?}");
        assert!(both.sd_kg < scale.sd_kg);
    }

    #[test]
    fn tank_fulls_take_the_test_weight() {
        let r = Reference::shipped();
        let (p, wheat) = (YardParams::new(&r), CropFacts::of(&r, &Crop::SpringWheat));
        let mut load =
            Load::new(LoadFrom::Field("a".into()), LoadTo::Bin("b".into()), Weighed::TankCount, None);
        (load.tanks, load.tank_m3) = (Some(2.0), Some(12.0));
        assert!((of_load(&load, None, &wheat, &p).kg - 24.0 * 772.0).abs() < 1e-6);
        assert!((of_load(&load, Some(79.0), &wheat, &p).kg - 24.0 * 790.0).abs() < 1e-6);
        load.test_weight_kg_hl = Some(80.0);
        let w = of_load(&load, Some(79.0), &wheat, &p);
        assert!((w.kg - 24.0 * 800.0).abs() < 1e-6 && (w.sd_kg - 0.06 * w.kg).abs() < 1e-6);
    }
}
