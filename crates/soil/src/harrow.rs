//! What a harrow pass does to drying.

use crate::params::SoilParams;
use crate::water::WaterState;

/// A harrow pass: returns the residue cover left, and lets the stirred surface dry like fresh moist soil for a few
/// days.
///
/// No water is created or destroyed: burying residue lets more of the day's demand through, and evaporation counts
/// its readily evaporable water from the pass again. What the stirring alone adds is bounded in mm and days.
///
/// Sources: about 6 mm lost by a pass, USDA-NRCS Iowa; the mechanism is our judgement (`soil.harrow.*`).
pub fn harrow_pass(state: &mut WaterState, params: &SoilParams, residue_cover: f64) -> f64 {
    state.loose_from_mm = state.surface_mm;
    state.loose_left_mm = params.harrow_extra_loss_mm;
    state.loose_days = params.harrow_days;
    residue_cover.clamp(0.0, 1.0) * params.harrow_residue_left
}
