//! The coefficients of `reference/harvest.csv`, read once and passed to the models.

use std::sync::LazyLock;

use serde::Serialize;
use stook_measure::Reference;

use crate::capacity::Typical;
use crate::combine::CombineParams;
use crate::costs::CostParams;
use crate::drying::DryingParams;
use crate::haul::HaulParams;
use crate::hours::HoursParams;
use crate::night::NightParams;
use crate::straw::{SpreadParams, StrawParams};

/// All coefficients of the harvest models. Copy it, change a field, and the models use the changed one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HarvestParams {
    /// Hours fit for work.
    pub hours: HoursParams,
    /// Drying.
    pub drying: DryingParams,
    /// Usual efficiency and speed by machine.
    pub machines: [Typical; 9],
    /// Owning and mending.
    pub costs: CostParams,
    /// The combine.
    pub combine: CombineParams,
    /// The evening.
    pub night: NightParams,
    /// Straw.
    pub straw: StrawParams,
    /// Spreading it.
    pub spread: SpreadParams,
    /// Hauling where the book is silent.
    pub haul: HaulParams,
    /// Share of crop value lost per day of late wheat harvest.
    pub late_harvest_per_day: f64,
    /// Share of crop value lost per day of late seeding.
    pub late_seeding_per_day: f64,
}

impl HarvestParams {
    /// The shipped coefficients, read once: what the calculators use.
    pub fn shipped() -> &'static Self {
        static SHIPPED: LazyLock<HarvestParams> =
            LazyLock::new(|| HarvestParams::from_reference(&Reference::shipped()));
        &SHIPPED
    }

    /// Reads `harvest.*` of the reference.
    pub fn from_reference(r: &Reference) -> Self {
        Self {
            hours: HoursParams::from_reference(r),
            drying: DryingParams::from_reference(r),
            machines: Typical::from_reference(r),
            costs: CostParams::from_reference(r),
            combine: CombineParams::from_reference(r),
            night: NightParams::from_reference(r),
            straw: StrawParams::from_reference(r),
            spread: SpreadParams::from_reference(r),
            haul: HaulParams::from_reference(r),
            late_harvest_per_day: r.get("harvest.timeliness.wheat_harvest_per_day"),
            late_seeding_per_day: r.get("harvest.timeliness.wheat_seeding_per_day"),
        }
    }
}
