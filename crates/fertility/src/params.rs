//! The coefficients of `reference/fertility.csv`, read once and passed to the models.

use std::sync::LazyLock;

use serde::Serialize;
use stook_measure::Reference;

use crate::drill::DrillParams;
use crate::manure::ManureParams;
use crate::micronutrients::MicronutrientParams;
use crate::nitrogen::NitrogenParams;
use crate::phosphate_potash::PhosphatePotashParams;
use crate::protein::ProteinParams;
use crate::seed_row::SeedRowParams;
use crate::soil_test::layer::LayerParams;
use crate::soil_test::quality::QualityParams;
use crate::sulphur_chloride::SulphurChlorideParams;
use crate::surface_urea::SurfaceUreaParams;

/// All coefficients of the fertility models. Copy it, change a field, and the models use the changed one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FertilityParams {
    /// Concentration to amount.
    pub layer: LayerParams,
    /// Sampling.
    pub quality: QualityParams,
    /// Nitrogen budget.
    pub nitrogen: NitrogenParams,
    /// Protein.
    pub protein: ProteinParams,
    /// Phosphate and potash.
    pub phosphate_potash: PhosphatePotashParams,
    /// Sulphur and chloride.
    pub sulphur_chloride: SulphurChlorideParams,
    /// Copper and zinc.
    pub micronutrients: MicronutrientParams,
    /// Manure.
    pub manure: ManureParams,
    /// Fertilizer beside the seed.
    pub seed_row: SeedRowParams,
    /// Urea left on the surface.
    pub surface_urea: SurfaceUreaParams,
    /// Drill and tanks.
    pub drill: DrillParams,
}

impl FertilityParams {
    /// Reads `fertility.*` of the reference.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            layer: LayerParams::from_reference(r),
            quality: QualityParams::from_reference(r),
            nitrogen: NitrogenParams::from_reference(r),
            protein: ProteinParams::from_reference(r),
            phosphate_potash: PhosphatePotashParams::from_reference(r),
            sulphur_chloride: SulphurChlorideParams::from_reference(r),
            micronutrients: MicronutrientParams::from_reference(r),
            manure: ManureParams::from_reference(r),
            seed_row: SeedRowParams::from_reference(r),
            surface_urea: SurfaceUreaParams::from_reference(r),
            drill: DrillParams::from_reference(r),
        }
    }

    /// The shipped coefficients, read once: what the calculators use.
    pub fn shipped() -> &'static Self {
        static SHIPPED: LazyLock<FertilityParams> =
            LazyLock::new(|| FertilityParams::from_reference(&Reference::shipped()));
        &SHIPPED
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A coefficient that no model reads would let a farm set its own number to no effect.
    #[test]
    fn every_coefficient_is_read() {
        let shipped = Reference::shipped();
        assert!(shipped.all().filter(|c| c.name.starts_with("fertility.")).count() > 60);
        assert_eq!(shipped.unread("fertility.", FertilityParams::from_reference), Vec::<String>::new());
    }
}
