//! What there is to read off a field: windows, water, disease and ripeness so far.

use stook_crop::windows::{WeedSpray, Window, fungicide, herbicide};

use super::FieldState;
use crate::model::FieldModel;

impl FieldState {
    /// Where the crop is in the weed window.
    pub fn herbicide_window(&self, field: &FieldModel) -> Window {
        let Some(w) = &self.wheat else { return Window::TooEarly };
        herbicide(w.leaves(&field.params), self.phase, WeedSpray::General, &field.params.window)
    }

    /// Where the crop is in the fungicide window.
    pub fn fungicide_window(&self, field: &FieldModel) -> Window {
        match self.wheat {
            Some(w) if w.emerged => fungicide(self.days_from_flowering(field), &field.params.window),
            _ => Window::TooEarly,
        }
    }

    /// Days since flowering began; before it, the days to come at a usual rate of heat, negative.
    pub(super) fn days_from_flowering(&self, field: &FieldModel) -> f64 {
        let Some(w) = &self.wheat else { return f64::NEG_INFINITY };
        let stage = &field.params.stage;
        let to_go = stage.flowering_cd - w.sum_cd;
        if to_go > 0.0 { -to_go / stage.late_season_cd_per_day } else { f64::from(w.days_flowering) }
    }

    /// Most hours of head blight weather in seven days so far, from heading to the end of flowering.
    pub fn blight_h(&self) -> f64 {
        f64::from(self.blight_h)
    }

    /// Days of tan spot infection so far, from the flag leaf to milk.
    pub fn leaf_days(&self) -> f64 {
        f64::from(self.leaf_days)
    }

    /// Share of the field's area sprayed against disease, each part by what is left of the response in its window.
    pub fn response(&self, field: &FieldModel) -> f64 {
        self.response_ha / field.area_ha
    }

    /// Water stored on 1 May and rain since, to 31 July, mm.
    pub fn crop_water_mm(&self) -> f64 {
        self.crop_water_mm
    }

    /// Share of yield that frost has left.
    pub fn frost_kept(&self) -> f64 {
        self.frost_kept
    }

    /// Share of yield that heat at flowering and in early fill has left.
    pub fn heat_kept(&self) -> f64 {
        self.heat_kept
    }

    /// Water used and water it would have used with plenty, so far, mm.
    pub fn et_mm(&self) -> (f64, f64) {
        (self.et_mm[0].iter().sum(), self.et_mm[1].iter().sum())
    }

    /// The same before heading, at heading and flowering, and after.
    pub fn et_by_phase(&self) -> [(f64, f64); 3] {
        std::array::from_fn(|i| (self.et_mm[0][i], self.et_mm[1][i]))
    }

    /// Development as a number that orders fields: degree-days.
    pub fn development(&self) -> f64 {
        self.wheat.map_or(0.0, |w| w.sum_cd)
    }

    /// Kernel moisture, % wet basis; very wet before there are kernels.
    pub fn moisture(&self) -> f64 {
        self.kernel.map_or(99.0, |k| k.pct())
    }

    /// Whether kernels have their full weight.
    pub fn is_ripe(&self, field: &FieldModel) -> bool {
        self.wheat.is_some_and(|w| w.is_mature(&field.params))
            || self.kernel.is_some_and(|k| k.own_pct <= field.params.ripening.pm_moisture_pct)
    }
}
