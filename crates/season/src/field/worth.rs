//! What a field makes and what that is worth, with every loss as a part of its own.

use stook_crop::waiting::{Shatter, SproutRisk, expected_grade_steps, shatter_loss, sprout_risk};
use stook_crop::{weeds, yield_};

use super::FieldState;
use crate::answer::Job;
use crate::disease;
use crate::model::{FieldModel, Model};
use crate::money::{Part, Purse};
use crate::run::FieldOutcome;

impl FieldState {
    /// What a hectare would come to if it were cut today: money by part, and grain, kg.
    pub fn if_cut(&self, model: &Model, field: &FieldModel) -> (Purse, f64) {
        let mut s = Self { purse: Purse::default(), carried_kg: 0.0, ..*self };
        s.cut(model, field, 1.0);
        (s.purse, s.carried_kg)
    }

    /// Money of cutting `ha` today, by part.
    pub(super) fn cut(&mut self, model: &Model, field: &FieldModel, ha: f64) {
        let s = &model.season;
        let by_water = self.by_water_kg_ha(field);
        let area = field.area_ha;
        let price = s.wheat_per_t / 1000.0;
        let mut kg = by_water;
        self.purse.add(Part::Crop, ha * kg * price);
        let seeded = (area - self.left_ha[Job::Seed as usize]).max(1e-9);
        let mut lose = |kg: &mut f64, part: Part, share: f64| {
            let lost = *kg * share;
            self.purse.add(part, -ha * lost * price);
            *kg -= lost;
        };
        lose(&mut kg, Part::LateSeeding, 1.0 - (self.date_factor_ha / seeded).min(1.0));
        let unsprayed = self.left_ha[Job::Herbicide as usize];
        let never = weeds::loss(None, weeds::Pressure::Heavy, &field.params.weeds).middle * s.weed_pressure;
        lose(&mut kg, Part::Weeds, (self.weed_loss_ha + unsprayed * never) / area);
        lose(&mut kg, Part::Frost, 1.0 - self.frost_kept);
        lose(&mut kg, Part::Heat, 1.0 - self.heat_kept);
        let d = disease::of(model, field, self, kg);
        self.purse.add(Part::Disease, -ha * d.lost_kg_ha * price);
        self.purse.add(Part::Fungicide, ha * d.saved_kg_ha * price);
        self.purse.add(Part::Don, -ha * d.discount);
        kg += d.saved_kg_ha - d.lost_kg_ha;
        let shed = shatter_loss(self.days_ripe, Shatter::Resistant, &field.params.waiting);
        let lost = kg * shed;
        self.purse.add(Part::Standing, -ha * lost * price);
        kg -= lost;
        let per_t = self.grade_loss_per_t(model, field);
        self.purse.add(Part::Grade, -ha * kg / 1000.0 * per_t);
        let points = (self.moisture() - s.cut_moisture_dry).max(0.0);
        self.purse.add(Part::Drying, -ha * kg / 1000.0 * points * s.drying_per_t_point);
        self.purse.add(Part::Passes, -ha * s.cut_per_ha);
        self.carried_kg += ha * kg;
    }

    /// Yield by the water line, as the field's own past yields correct it, kg/ha.
    pub fn by_water_kg_ha(&self, field: &FieldModel) -> f64 {
        field.by_water_kg_ha(self.crop_water_mm)
    }

    /// Yield by the deficit function, kg/ha: the second opinion.
    pub fn by_deficit_kg_ha(&self, field: &FieldModel) -> f64 {
        field.cap_kg_ha
            * yield_::deficit_factor_by_phase(&self.et_mm[0], &self.et_mm[1], &field.params.yield_.ky_phase)
    }

    /// Settles the year: what still stands is counted at its share.
    pub fn settle(&self, model: &Model, field: &FieldModel, out: &mut FieldOutcome) {
        let mut s = *self;
        let standing = s.left_ha[Job::Cut as usize];
        if standing > 0.0 && s.wheat.is_some() {
            let before = s.purse;
            s.cut(model, field, standing);
            let worth = (s.purse - before).total().max(0.0);
            s.purse.add(Part::Uncut, -(1.0 - model.season.uncut_share) * worth);
        }
        out.purse = s.purse;
        out.yield_kg_ha = s.carried_kg / field.area_ha;
        out.by_deficit_kg_ha = s.by_deficit_kg_ha(field);
        out.crop_water_mm = s.crop_water_mm;
        out.blight_h = s.blight_h;
        out.leaf_days = s.leaf_days;
    }

    /// Lost by standing ripe so far, in shatter and grade, money/ha.
    pub fn standing_loss_per_ha(&self, model: &Model, field: &FieldModel) -> f64 {
        let s = &model.season;
        let kg = self.by_water_kg_ha(field);
        let shed = kg * shatter_loss(self.days_ripe, Shatter::Resistant, &field.params.waiting);
        shed * s.wheat_per_t / 1000.0 + (kg - shed) / 1000.0 * self.grade_loss_per_t(model, field)
    }

    /// Grade lost to weathering, money/t.
    fn grade_loss_per_t(&self, model: &Model, field: &FieldModel) -> f64 {
        let s = &model.season;
        let steps = expected_grade_steps(
            f64::from(self.weathering.wettings),
            self.sprout_risk(field),
            &field.params.waiting,
        );
        (steps * s.grade_step_per_t).min((s.wheat_per_t - s.feed_wheat_per_t).max(0.0))
    }

    /// Sprouting risk of the ripe crop so far.
    pub fn sprout_risk(&self, field: &FieldModel) -> SproutRisk {
        sprout_risk(self.weathering.wet_hours, false, &field.params.waiting)
    }
}
