//! The coefficients of `reference/crop.csv`, read once and passed to the models.

use std::sync::LazyLock;

use serde::Serialize;
use stook_measure::Reference;

use crate::cover::CoverParams;
use crate::disease::DiseaseParams;
use crate::disease::leaf::LeafParams;
use crate::emc::EmcParams;
use crate::emergence::EmergenceParams;
use crate::frost::FrostParams;
use crate::insects::ScoutParams;
use crate::ripening::RipeningParams;
use crate::seeding::SeedingParams;
use crate::stage::StageParams;
use crate::waiting::WaitingParams;
use crate::weeds::WeedParams;
use crate::windows::WindowParams;
use crate::yield_::YieldParams;

/// All coefficients of the crop models. Copy it, change a field, and the models use the changed one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CropParams {
    /// Stand and seed rate.
    pub seeding: SeedingParams,
    /// Seed to shoot.
    pub emergence: EmergenceParams,
    /// Development.
    pub stage: StageParams,
    /// Ground cover, height and roots.
    pub cover: CoverParams,
    /// Water, date and stand.
    pub yield_: YieldParams,
    /// Weeds.
    pub weeds: WeedParams,
    /// Frost.
    pub frost: FrostParams,
    /// Spray windows.
    pub window: WindowParams,
    /// Kernel growth and drying.
    pub ripening: RipeningParams,
    /// Losses of a ripe crop.
    pub waiting: WaitingParams,
    /// Head blight.
    pub disease: DiseaseParams,
    /// Leaf diseases.
    pub leaf: LeafParams,
    /// Midge and heat.
    pub scout: ScoutParams,
    /// Equilibrium moisture.
    pub emc: EmcParams,
}

impl CropParams {
    /// Reads `crop.*` of the reference.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            seeding: SeedingParams::from_reference(r),
            emergence: EmergenceParams::from_reference(r),
            stage: StageParams::from_reference(r),
            cover: CoverParams::from_reference(r),
            yield_: YieldParams::from_reference(r),
            weeds: WeedParams::from_reference(r),
            frost: FrostParams::from_reference(r),
            window: WindowParams::from_reference(r),
            ripening: RipeningParams::from_reference(r),
            waiting: WaitingParams::from_reference(r),
            disease: DiseaseParams::from_reference(r),
            leaf: LeafParams::from_reference(r),
            scout: ScoutParams::from_reference(r),
            emc: EmcParams::from_reference(r),
        }
    }

    /// The shipped coefficients, read once: what the calculators use.
    pub fn shipped() -> &'static Self {
        static SHIPPED: LazyLock<CropParams> =
            LazyLock::new(|| CropParams::from_reference(&Reference::shipped()));
        &SHIPPED
    }

    /// The same for a cultivar that ripens `days_late` days after the check (negative: earlier).
    ///
    /// The heading thresholds move by the share that comes before heading, the ripening ones by the whole, and the
    /// leaf number by a leaf for each 4.5 days of late heading, between 7 and 9. A judgement: heading dates rank ripeness (r 0.76 to 0.86).
    #[must_use]
    pub fn for_cultivar(mut self, days_late: f64) -> Self {
        self.stage = self.stage.for_cultivar(days_late);
        self.cover = self.cover.shifted(&self.stage, days_late);
        self
    }
}
