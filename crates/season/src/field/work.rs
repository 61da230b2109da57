//! What is done on a field: which jobs it wants, how many hours fit, and what a pass changes.

use stook_crop::observe::Seen;
use stook_crop::waiting::Weathering;
use stook_crop::windows::fungicide_response_share;
use stook_crop::{WheatState, weeds, yield_};
use stook_soil::{Conditions, Operation, fitness, harrow_pass};

use super::{Air, FieldState, soil};
use crate::answer::Job;
use crate::model::{FieldModel, Model};
use crate::money::Part;

impl FieldState {
    /// Whether the job is still to do and its window is open. `pressed` also takes it at the edge of its window:
    /// grain up to the wettest that is cut, a fungicide that the weather so far does not pay for.
    pub fn wants(&self, model: &Model, field: &FieldModel, job: Job, pressed: bool) -> bool {
        if self.left_ha[job as usize] <= 0.0 {
            return false;
        }
        let s = &model.season;
        match job {
            Job::Harrow => self.wheat.is_none() && self.since_harrow >= s.harrow_days_between,
            Job::Seed => true,
            Job::Herbicide => self.herbicide_window(field).is_open(),
            Job::Fungicide => {
                (pressed
                    || s.fungicide_gain_kg_ha > 0.0
                    || f64::from(self.blight_h) >= field.blight.spray_from_h)
                    && self.fungicide_window(field).is_open()
            }
            Job::Cut => {
                let limit = if pressed { s.cut_moisture_max } else { s.cut_moisture_start };
                self.kernel.is_some_and(|k| k.pct() <= limit) && self.is_ripe(field)
            }
        }
    }

    /// Hours of the day fit for the job; 0 outside its season.
    pub fn fit_hours(&self, model: &Model, field: &FieldModel, air: &Air, job: Job, pressed: bool) -> f64 {
        let Some(machine) = model.machine(job) else { return 0.0 };
        let s = &model.season;
        let day = machine.hours_per_day;
        let soil_share = |op| {
            let c = Conditions {
                snow_on_ground: air.water.snow_on_ground,
                rain_today_mm: air.forcing.rain_mm,
                days_above_zero: air.days_thawed,
            };
            fitness(op, &self.water, soil(field, self.variant), &c, &field.limits)
        };
        match job {
            Job::Harrow | Job::Seed => {
                if air.doy < s.sow_first_doy || air.doy > field.last_doy {
                    return 0.0;
                }
                if job == Job::Seed {
                    if air.soil_c < s.sow_min_soil_temp_c {
                        return 0.0;
                    }
                    return day * soil_share(Operation::Seed);
                }
                let share = soil_share(Operation::Harrow);
                // A pass is for drying: a field fit to drill needs none, unless it is asked for.
                if pressed || soil_share(Operation::Seed) < 0.5 { day * share } else { 0.0 }
            }
            Job::Herbicide | Job::Fungicide => air.spray_h.min(day) * soil_share(Operation::Spray),
            Job::Cut => {
                if air.doy < field.earliest_cut_doy.max(self.cut_from_doy) {
                    return 0.0;
                }
                let hours =
                    stook_harvest::hours::combine_hours(&air.forcing, self.moisture(), &model.harvest);
                hours.min(day) * soil_share(Operation::Combine)
            }
        }
    }

    /// Works `hours` on the job and returns the hours used.
    pub fn work(&mut self, model: &Model, field: &FieldModel, air: &Air, job: Job, hours: f64) -> f64 {
        let Some(machine) = model.machine(job) else { return 0.0 };
        let i = job as usize;
        let ha = (hours * machine.ha_per_h).min(self.left_ha[i]);
        if ha <= 0.0 {
            return 0.0;
        }
        self.left_ha[i] -= ha;
        if self.left_ha[i] < 1e-9 {
            self.left_ha[i] = 0.0;
        }
        self.done_ha[i] += ha;
        let s = &model.season;
        match job {
            Job::Harrow => {
                self.purse.add(Part::Passes, -ha * s.harrow_per_ha);
                if self.left_ha[i] <= 0.5 * field.area_ha {
                    self.harrow(model, field);
                }
            }
            Job::Seed => self.seed(field, f64::from(air.doy), ha),
            Job::Herbicide => {
                self.purse.add(Part::Passes, -ha * s.herbicide_per_ha);
                self.weed_loss_ha += ha * self.weed_loss(model, field, true);
            }
            Job::Fungicide => {
                self.cut_from_doy = self.cut_from_doy.max(air.doy.saturating_add(model.fungicide_wait_d));
                self.purse.add(Part::Passes, -ha * s.fungicide_per_ha);
                self.response_ha +=
                    ha * fungicide_response_share(self.days_from_flowering(field), &field.params.window);
            }
            Job::Cut => self.cut(model, field, ha),
        }
        ha / machine.ha_per_h
    }

    /// A harrow pass over the whole field: the surface dries faster; another may come later.
    pub fn harrow(&mut self, model: &Model, field: &FieldModel) {
        self.residue = harrow_pass(&mut self.water, &model.soil, self.residue);
        self.since_harrow = 0;
        self.left_ha[Job::Harrow as usize] = field.area_ha;
    }

    /// Seeds `ha`; the crop's clock starts when half the field is in.
    pub fn seed(&mut self, field: &FieldModel, doy: f64, ha: f64) {
        let y = &field.params.yield_;
        self.date_factor_ha +=
            ha * yield_::seeding_date_factor(doy, field.best_doy, y.late_per_day, y.late_floor);
        if self.wheat.is_none() && self.left_ha[Job::Seed as usize] <= 0.5 * field.area_ha {
            self.wheat = Some(WheatState::sown(field.depth_cm, &field.params));
        }
    }

    /// Marks work found in the book as done, without money: it is the same on both sides of every comparison.
    pub fn mark_done(&mut self, model: &Model, field: &FieldModel, job: Job, doy: u16, ha: Option<f64>) {
        let i = job as usize;
        let ha = ha.unwrap_or(field.area_ha).min(self.left_ha[i]);
        match job {
            Job::Harrow => {
                self.harrow(model, field);
                return;
            }
            Job::Herbicide => self.weed_loss_ha += ha * self.weed_loss(model, field, true),
            Job::Fungicide => {
                self.response_ha +=
                    ha * fungicide_response_share(self.days_from_flowering(field), &field.params.window);
            }
            Job::Seed | Job::Cut => {}
        }
        self.left_ha[i] -= ha;
        if job == Job::Seed {
            self.seed(field, f64::from(doy), ha);
        }
    }

    /// Seeds the whole field.
    pub fn seed_all(&mut self, field: &FieldModel, doy: f64) {
        self.left_ha[Job::Seed as usize] = 0.0;
        self.seed(field, doy, field.area_ha);
    }

    /// Takes in a stage seen. A crop seen green has no ripe kernels, whatever the model had.
    pub fn saw(&mut self, field: &FieldModel, seen: Seen) {
        let p = &field.params;
        let wheat = self.wheat.get_or_insert_with(|| WheatState::sown(field.depth_cm, p));
        wheat.re_anchor(seen, p);
        self.phase = wheat.phase(p);
        if !wheat.is_mature(p) {
            self.kernel = None;
            self.weathering = Weathering::default();
            self.days_ripe = 0.0;
        }
    }

    /// Takes in a measured kernel moisture; the stage follows it.
    pub fn measured(&mut self, model: &Model, field: &FieldModel, doy: u16, pct: f64) {
        if self.wheat.is_none() {
            self.mark_done(model, field, Job::Seed, doy, None);
        }
        let p = &field.params;
        let wheat = self.wheat.get_or_insert_with(|| WheatState::sown(field.depth_cm, p));
        self.kernel = Some(wheat.re_anchor_moisture(pct, p));
        self.phase = wheat.phase(p);
    }

    fn weed_loss(&self, model: &Model, field: &FieldModel, sprayed: bool) -> f64 {
        let leaf = sprayed.then(|| self.wheat.map_or(0.0, |w| w.leaves(&field.params)));
        weeds::loss(leaf, weeds::Pressure::Heavy, &field.params.weeds).middle * model.season.weed_pressure
    }

    /// Whether the job on the whole field was finished today.
    pub fn finished_today(&self, job: Job) -> bool {
        let i = job as usize;
        self.done_ha[i] > 0.0 && (self.left_ha[i] <= 0.0 || (job == Job::Harrow && self.since_harrow == 0))
    }

    /// Area left for a job, ha.
    pub fn left_ha(&self, job: Job) -> f64 {
        self.left_ha[job as usize]
    }

    /// Whether any of the job is done.
    pub fn is_begun(&self, field: &FieldModel, job: Job) -> bool {
        self.left_ha[job as usize] < field.area_ha
    }
}
