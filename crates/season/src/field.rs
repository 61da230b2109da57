//! One field: its soil, crop and the work done on it, a day at a time.

use stook_crop::cover::cover;
use stook_crop::observe::Seen;
use stook_crop::ripening::{DryingDay, KernelMoisture};
use stook_crop::waiting::{Shatter, SproutRisk, Weathering, expected_grade_steps, shatter_loss, sprout_risk};
use stook_crop::weeds;
use stook_crop::windows::{WeedSpray, Window, fungicide, fungicide_response_share, herbicide};
use stook_crop::{Phase, WheatState, frost, yield_};
use stook_soil::{Conditions, Cover, DayWater, FieldSoil, Operation, WaterState, fitness, harrow_pass};
use stook_weather::Forcing;

use crate::answer::Job;
use crate::disease;
use crate::model::{FieldModel, Model};
use crate::money::{Part, Purse};
use crate::run::{FieldOutcome, Track};

/// A day of one weather with all that is the same for every field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Day of the year.
    pub doy: u16,
    /// The weather.
    pub forcing: Forcing,
    /// Rain and melt that reach the ground.
    pub water: DayWater,
    /// Soil at seed depth, C.
    pub soil_c: f64,
    /// Days in a row the soil was above freezing.
    pub days_thawed: u16,
    /// Hours fit to spray, by weather alone.
    pub spray_h: f64,
    /// Drying of ripe grain.
    pub drying: DryingDay,
    /// Hours of head blight weather in the seven days to this one, h.
    pub blight_7d_h: f32,
    /// Whether the day was wet and warm enough for tan spot to infect, 0 or 1.
    pub leaf_spot: f32,
}

/// A field on one evening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldState {
    /// Which of the field's soils this run is on.
    pub variant: u8,
    /// Water.
    pub water: WaterState,
    /// Crop, once seeded.
    pub wheat: Option<WheatState>,
    /// Its phase.
    pub phase: Phase,
    /// Kernel moisture, once kernels fill.
    pub kernel: Option<KernelMoisture>,
    /// What weather has done to the ripe crop.
    weathering: Weathering,
    /// Days it has stood ripe.
    days_ripe: f64,
    /// Area still to do by job, ha.
    left_ha: [f64; 5],
    /// Area done today by job, ha.
    done_ha: [f64; 5],
    /// Sum over seeded area of its date factor.
    date_factor_ha: f64,
    /// Sum over sprayed area of its weed loss.
    weed_loss_ha: f64,
    /// Sum over sprayed area of its fungicide response.
    response_ha: f64,
    /// Share of yield that frost has left.
    frost_kept: f64,
    /// Most hours of head blight weather in seven days, from heading to the end of flowering.
    blight_h: f32,
    /// Days of tan spot infection from the flag leaf to milk.
    leaf_days: f32,
    /// Available water on 1 May and rain since, to 31 July, mm.
    crop_water_mm: f64,
    /// Crop water use so far: as it was, and with plenty, before flowering, at it, after, mm.
    et_mm: [[f64; 3]; 2],
    /// Residue cover.
    residue: f64,
    /// Days since the last harrow pass.
    since_harrow: u16,
    /// First day of the year it may be cut after a spray of this run.
    cut_from_doy: u16,
    /// Money so far.
    purse: Purse,
    /// Grain carried off, kg at the moisture paid for.
    carried_kg: f64,
}

const MAY_1: u16 = 121;
const JULY_31: u16 = 212;
/// Depth over which stored water counts for the yield line, m.
pub const CROP_DEPTH_M: f64 = 1.2;

impl FieldState {
    /// Bare, with the soil filled to `available` (0 to 1) of what the crop can take.
    pub fn bare(field: &FieldModel, variant: u8, available: f64) -> Self {
        let soil = soil(field, variant);
        let water = WaterState::at_fraction(soil, available);
        Self {
            variant,
            crop_water_mm: water.available_mm(soil, CROP_DEPTH_M),
            water,
            wheat: None,
            phase: Phase::Seeded,
            kernel: None,
            weathering: Weathering::default(),
            days_ripe: 0.0,
            left_ha: [field.area_ha; 5],
            done_ha: [0.0; 5],
            date_factor_ha: 0.0,
            weed_loss_ha: 0.0,
            response_ha: 0.0,
            frost_kept: 1.0,
            blight_h: 0.0,
            leaf_days: 0.0,
            et_mm: [[0.0; 3]; 2],
            residue: field.residue,
            since_harrow: u16::MAX,
            cut_from_doy: 0,
            purse: Purse::default(),
            carried_kg: 0.0,
        }
    }

    /// A new crop year: last year's crop is off, the water stays.
    pub fn new_year(&mut self, field: &FieldModel) {
        *self = Self { water: self.water, ..Self::bare(field, self.variant, 0.0) };
    }

    /// One day of weather.
    pub fn step(&mut self, model: &Model, field: &FieldModel, air: &Air) {
        let soil = soil(field, self.variant);
        self.done_ha = [0.0; 5];
        self.since_harrow = self.since_harrow.saturating_add(1);
        let cover = self.cover(field, air.doy);
        let flux = stook_soil::step(&mut self.water, soil, &model.soil, &air.forcing, &air.water, &cover);
        if air.doy == MAY_1 {
            self.crop_water_mm = self.water.available_mm(soil, CROP_DEPTH_M);
        } else if air.doy > MAY_1 && air.doy <= JULY_31 {
            self.crop_water_mm += air.water.rain_mm + air.water.melt_mm;
        } else if air.doy < MAY_1 {
            // Until 1 May comes, what is there now stands for it.
            self.crop_water_mm = self.water.available_mm(soil, CROP_DEPTH_M);
        }
        let Some(wheat) = &mut self.wheat else { return };
        let p = &field.params;
        let moist = wheat.emerged || seedbed_is_moist(&self.water, soil, model.season.sow_moist_share);
        self.phase = wheat.step(p, &air.forcing, air.soil_c, moist);
        if wheat.emerged {
            let loss = frost::loss(self.phase, air.forcing.day.tmin_c, &p.frost);
            self.frost_kept *= 1.0 - loss;
            let part = match self.phase {
                x if x < Phase::Heading => 0,
                x if x < Phase::Milk => 1,
                _ => 2,
            };
            self.et_mm[0][part] += flux.transpiration_mm + flux.evaporation_mm;
            self.et_mm[1][part] += flux.potential_transpiration_mm + flux.evaporation_mm;
        }
        if (Phase::FlagLeaf..Phase::SoftDough).contains(&self.phase) {
            self.leaf_days += air.leaf_spot;
            if (Phase::Heading..=Phase::Flowering).contains(&self.phase) {
                self.blight_h = self.blight_h.max(air.blight_7d_h);
            }
        }
        if self.phase < Phase::Flowering {
            return;
        }
        let kernel = self.kernel.get_or_insert_with(|| KernelMoisture::filling(wheat, p));
        if wheat.is_mature(p) || kernel.own_pct <= p.ripening.pm_moisture_pct {
            kernel.dry(&air.drying, &p.ripening);
            let pct = kernel.pct();
            self.weathering.step(pct, air.forcing.rain_mm, &p.waiting);
            if self.weathering.has_been_dry {
                self.days_ripe += 1.0;
            }
        } else {
            *kernel = KernelMoisture::filling(wheat, p);
        }
    }

    /// What stands on the field: the crop, or stubble and volunteers by the season.
    fn cover(&self, field: &FieldModel, doy: u16) -> Cover {
        match &self.wheat {
            Some(w) => {
                let c = cover(w, &field.params);
                Cover {
                    kcb: c.kcb,
                    height_m: c.height_m,
                    root_depth_m: c.root_depth_m,
                    residue_cover: self.residue * (1.0 - (c.kcb / field.params.cover.kcb_mid).min(1.0)),
                    ..Cover::bare(0.0)
                }
            }
            // Last summer's crop, when the book does not say which: it used water as wheat does.
            None if (152..=243).contains(&doy) && self.left_ha[Job::Cut as usize] > 0.0 => Cover {
                kcb: if doy < 213 { 1.0 } else { 0.5 },
                height_m: 0.8,
                root_depth_m: 1.1,
                residue_cover: 0.0,
                ..Cover::bare(0.0)
            },
            None => Cover::bare(self.residue),
        }
    }

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

    /// What a hectare would come to if it were cut today: money by part, and grain, kg.
    pub fn if_cut(&self, model: &Model, field: &FieldModel) -> (Purse, f64) {
        let mut s = Self { purse: Purse::default(), carried_kg: 0.0, ..*self };
        s.cut(model, field, 1.0);
        (s.purse, s.carried_kg)
    }

    /// Money of cutting `ha` today, by part.
    fn cut(&mut self, model: &Model, field: &FieldModel, ha: f64) {
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

    /// Yield by the water line, kg/ha.
    pub fn by_water_kg_ha(&self, field: &FieldModel) -> f64 {
        field.params.yield_.line.at(self.crop_water_mm).min(field.cap_kg_ha)
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

    /// Adds today to a track.
    pub fn record(&self, field: &FieldModel, track: &mut Track) {
        let soil = soil(field, self.variant);
        track.water_mm.push(self.water.available_mm(soil, CROP_DEPTH_M) as f32);
        track.zadoks.push(self.wheat.map_or(f32::NAN, |w| f32::from(w.zadoks(&field.params))));
        let standing = self.left_ha[Job::Cut as usize] > 0.0;
        track.moisture.push(self.kernel.filter(|_| standing).map_or(f32::NAN, |k| k.pct() as f32));
    }

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
    fn days_from_flowering(&self, field: &FieldModel) -> f64 {
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

    /// Water used and water it would have used with plenty, so far, mm.
    pub fn et_mm(&self) -> (f64, f64) {
        (self.et_mm[0].iter().sum(), self.et_mm[1].iter().sum())
    }

    /// The same before heading, at heading and flowering, and after.
    pub fn et_by_phase(&self) -> [(f64, f64); 3] {
        std::array::from_fn(|i| (self.et_mm[0][i], self.et_mm[1][i]))
    }

    /// The same ground with nothing seeded.
    #[must_use]
    pub fn unseeded(&self, field: &FieldModel) -> Self {
        Self {
            water: self.water,
            crop_water_mm: self.crop_water_mm,
            residue: self.residue,
            ..Self::bare(field, self.variant, 0.0)
        }
    }

    /// Seeds the whole field.
    pub fn seed_all(&mut self, field: &FieldModel, doy: f64) {
        self.left_ha[Job::Seed as usize] = 0.0;
        self.seed(field, doy, field.area_ha);
    }

    /// Sprouting risk of the ripe crop so far.
    pub fn sprout_risk(&self, field: &FieldModel) -> SproutRisk {
        sprout_risk(self.weathering.wet_hours, false, &field.params.waiting)
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

/// Whether seed finds water: in the surface layer, or below its dry crust.
pub(crate) fn seedbed_is_moist(water: &WaterState, soil: &FieldSoil, share: f64) -> bool {
    const BELOW_M: f64 = 0.3;
    let full = |wp: f64, fc: f64, mm: f64| (mm - wp) / (fc - wp) > share;
    let top = soil.surface;
    if full(top.wp_mm, top.fc_mm, water.surface_mm) {
        return true;
    }
    let below = soil.capacity_to(BELOW_M).less(top);
    full(below.wp_mm, below.fc_mm, water.water_to_mm(soil, BELOW_M) - water.surface_mm)
}

/// The soil a run is on.
#[inline]
pub fn soil(field: &FieldModel, variant: u8) -> &FieldSoil {
    &field.soils[usize::from(variant) % field.soils.len()]
}
