//! One field: its soil, crop and the work done on it, a day at a time.

mod read;
mod work;
mod worth;

use stook_crop::cover::cover;
use stook_crop::ripening::{DryingDay, KernelMoisture};
use stook_crop::waiting::Weathering;
use stook_crop::{Phase, WheatState, frost};
use stook_soil::{Cover, DayWater, FieldSoil, WaterState};
use stook_weather::Forcing;

use crate::answer::Job;
use crate::model::{FieldModel, Model};
use crate::money::Purse;
use crate::run::Track;

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
    /// Share of yield that heat at flowering and in early fill has left.
    heat_kept: f64,
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
            heat_kept: 1.0,
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
        if (Phase::Heading..Phase::SoftDough).contains(&self.phase)
            && air.forcing.day.tmax_c >= p.scout.heat_from_c
        {
            self.heat_kept *= 1.0 - p.scout.heat_loss_per_day;
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

    /// Adds today to a track.
    pub fn record(&self, field: &FieldModel, track: &mut Track) {
        let soil = soil(field, self.variant);
        track.water_mm.push(self.water.available_mm(soil, CROP_DEPTH_M) as f32);
        track.zadoks.push(self.wheat.map_or(f32::NAN, |w| f32::from(w.zadoks(&field.params))));
        let standing = self.left_ha[Job::Cut as usize] > 0.0;
        track.moisture.push(self.kernel.filter(|_| standing).map_or(f32::NAN, |k| k.pct() as f32));
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
