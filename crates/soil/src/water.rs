//! The field's water, one day at a time.
//!
//! Three stores lie on top of one another: the surface layer (10 cm), the upper store (from there to the roots' end,
//! at least 30 cm), and the store below the roots. They do not overlap, so the balance is exact. The dual crop
//! coefficient of FAO-56 draws evaporation from the surface layer and transpiration from the surface layer and the
//! upper store together. Unlike FAO-56, which drops everything above field capacity on the day it falls, each store
//! can stand above field capacity and drains a share of the excess a day: a field is judged fit or not on that water.
//!
//! The surface layer is one area: under a crop, evaporation comes from the exposed share but dries the whole layer.
//! Want of water is judged after the day's evaporation. Water does not rise from below, and ice lenses and open
//! cracks in frozen ground are not modelled.

use serde::{Deserialize, Serialize};
use stook_weather::Forcing;

use crate::field_soil::{Capacity, FieldSoil, SURFACE_M};
use crate::params::SoilParams;
use crate::{dual, frost, runoff};

/// Depth of the soil whose wetness at freeze-up governs melt, m (Granger and others 1984).
const FREEZE_DEPTH_M: f64 = 0.30;

/// The water of a field and what it remembers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WaterState {
    /// In the top 10 cm, mm.
    pub surface_mm: f64,
    /// From there to `depth_m`, mm.
    pub upper_mm: f64,
    /// From `depth_m` to the bottom of the profile, mm.
    pub below_mm: f64,
    /// Lower end of the upper store, m: the roots' end or a floor.
    pub depth_m: f64,
    /// Frost index, C d.
    pub frost_index_cd: f64,
    /// Whether the ground is frozen.
    pub frozen: bool,
    /// Share of pores filled in the top 30 cm when it froze.
    pub freeze_saturation: f64,
    melt_pack_mm: f64,
    melt_share: f64,
    pub(crate) loose_from_mm: f64,
    pub(crate) loose_left_mm: f64,
    pub(crate) loose_days: u8,
}

/// What stands on the field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cover {
    /// Basal crop coefficient; 0 without a crop.
    pub kcb: f64,
    /// Height, m.
    pub height_m: f64,
    /// Rooting depth, m.
    pub root_depth_m: f64,
    /// Share of the ground shaded, 0-1; `None` works it out from `kcb`.
    pub cover_fraction: Option<f64>,
    /// Share of the ground under dead residue, 0-1.
    pub residue_cover: f64,
    /// Share of available water taken without stress at 5 mm/d (FAO-56 Table 22: 0.60 for canola); `None` takes
    /// `soil.depletion_p`, that of cereals.
    pub depletion_p: Option<f64>,
}

impl Cover {
    /// No crop, with `residue_cover` of the ground under residue.
    pub const fn bare(residue_cover: f64) -> Self {
        Self {
            kcb: 0.0,
            height_m: 0.0,
            root_depth_m: 0.0,
            cover_fraction: None,
            residue_cover,
            depletion_p: None,
        }
    }
}

/// Water that reaches the ground, and the snow on it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct DayWater {
    /// Rain that falls on the ground itself, mm; rain the pack takes up belongs to `melt_mm` when it leaves.
    pub rain_mm: f64,
    /// Water out of the snowpack, mm.
    pub melt_mm: f64,
    /// Water left in the pack at the end of the day, mm.
    pub swe_mm: f64,
    /// Whether snow lies.
    pub snow_on_ground: bool,
}

impl DayWater {
    /// The day's rain on ground without snow.
    pub fn rain_only(forcing: &Forcing) -> Self {
        Self { rain_mm: forcing.rain_mm, ..Self::default() }
    }
}

/// What moved in a day.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Fluxes {
    /// Into the soil, mm.
    pub infiltration_mm: f64,
    /// Off the field, mm.
    pub runoff_mm: f64,
    /// From the surface, mm.
    pub evaporation_mm: f64,
    /// Through the crop, mm.
    pub transpiration_mm: f64,
    /// What the crop would have taken without want of water, mm.
    pub potential_transpiration_mm: f64,
    /// Out of the bottom, mm.
    pub drainage_mm: f64,
    /// Stress coefficient, 1 without stress to 0.
    pub stress: f64,
}

impl WaterState {
    /// Every store filled to `share` (0-1) between wilting point and field capacity.
    pub fn at_fraction(soil: &FieldSoil, share: f64) -> Self {
        let depth_m = FREEZE_DEPTH_M.min(soil.deepest_roots_m());
        let fill = |c: Capacity| c.wp_mm + share.clamp(0.0, 1.0) * (c.fc_mm - c.wp_mm);
        let to_depth = soil.capacity_to(depth_m);
        Self {
            surface_mm: fill(soil.surface),
            upper_mm: fill(to_depth.less(soil.surface)),
            below_mm: fill(soil.whole.less(to_depth)),
            depth_m,
            frost_index_cd: 0.0,
            frozen: false,
            freeze_saturation: 0.0,
            melt_pack_mm: 0.0,
            melt_share: 1.0,
            loose_from_mm: 0.0,
            loose_left_mm: 0.0,
            loose_days: 0,
        }
    }

    /// Freezes the ground as it now is, to start a run in winter.
    pub fn freeze(&mut self, soil: &FieldSoil, frost_index_cd: f64) {
        self.frost_index_cd = frost_index_cd;
        self.frozen = true;
        self.freeze_saturation = self.saturation(soil, FREEZE_DEPTH_M);
        self.melt_pack_mm = 0.0;
        self.melt_share = 1.0;
    }

    /// All water in the profile, mm.
    pub fn total_mm(&self) -> f64 {
        self.surface_mm + self.upper_mm + self.below_mm
    }

    /// Water from the surface to a depth, mm.
    pub fn water_to_mm(&self, soil: &FieldSoil, depth_m: f64) -> f64 {
        let part = soil.capacity_to(depth_m);
        if depth_m <= SURFACE_M {
            return soil.surface.share(self.surface_mm, part);
        }
        let end = soil.capacity_to(self.depth_m);
        if depth_m <= self.depth_m {
            let upper = end.less(soil.surface);
            return self.surface_mm + upper.share(self.upper_mm, part.less(soil.surface));
        }
        let below = soil.whole.less(end);
        self.surface_mm + self.upper_mm + below.share(self.below_mm, part.less(end))
    }

    /// Water above wilting point from the surface to a depth, mm; a surface drier than that counts against it.
    pub fn available_mm(&self, soil: &FieldSoil, to_depth_m: f64) -> f64 {
        (self.water_to_mm(soil, to_depth_m) - soil.capacity_to(to_depth_m).wp_mm).max(0.0)
    }

    /// Water over that at field capacity, from the surface to a depth: 1 at field capacity, more when wetter.
    pub fn surface_relative_to_fc(&self, soil: &FieldSoil, depth_m: f64) -> f64 {
        if depth_m == SURFACE_M {
            return self.surface_mm / soil.surface.fc_mm;
        }
        self.water_to_mm(soil, depth_m) / soil.capacity_to(depth_m).fc_mm
    }

    /// Share of pores filled from the surface to a depth.
    pub fn saturation(&self, soil: &FieldSoil, depth_m: f64) -> f64 {
        self.water_to_mm(soil, depth_m) / soil.capacity_to(depth_m).sat_mm
    }

    /// Depletion of the surface layer below field capacity, mm; none when wetter.
    pub fn surface_depletion_mm(&self, soil: &FieldSoil) -> f64 {
        (soil.surface.fc_mm - self.surface_mm).max(0.0)
    }

    /// Moves the end of the upper store with the roots; the soil between changes hands with its water.
    fn follow_roots(&mut self, soil: &FieldSoil, params: &SoilParams, root_depth_m: f64) -> Capacity {
        let depth_m = root_depth_m.max(params.root_floor_m).min(soil.deepest_roots_m());
        let new_end = soil.capacity_to(depth_m);
        if depth_m != self.depth_m {
            let old_end = soil.capacity_to(self.depth_m);
            if depth_m > self.depth_m {
                let below = soil.whole.less(old_end);
                let moved = below.share(self.below_mm, new_end.less(old_end));
                self.below_mm -= moved;
                self.upper_mm += moved;
            } else {
                let upper = old_end.less(soil.surface);
                let moved = upper.share(self.upper_mm, old_end.less(new_end));
                self.upper_mm -= moved;
                self.below_mm += moved;
            }
            self.depth_m = depth_m;
        }
        new_end
    }

    fn follow_frost(&mut self, soil: &FieldSoil, params: &SoilParams, tmean_c: f64, water: &DayWater) {
        self.frost_index_cd = frost::index_after(
            self.frost_index_cd,
            tmean_c,
            water.swe_mm,
            params.frost_decay,
            params.frost_snow_per_mm,
        );
        let cold = self.frost_index_cd > params.frost_threshold_cd;
        if cold && !self.frozen {
            let index = self.frost_index_cd;
            self.freeze(soil, index);
        } else if !cold && self.frozen && !water.snow_on_ground {
            // Under snow the index fades although the ground stays frozen, so the thaw waits for bare ground.
            self.frozen = false;
        }
    }

    /// Puts `mm` in from the top, each store up to its limit in turn, and returns what found no room.
    fn fill(&mut self, mut mm: f64, surface_to: f64, upper_to: f64, below_to: f64) -> f64 {
        for (store, limit) in [
            (&mut self.surface_mm, surface_to),
            (&mut self.upper_mm, upper_to),
            (&mut self.below_mm, below_to),
        ] {
            let put = mm.min((limit - *store).max(0.0));
            *store += put;
            mm -= put;
        }
        mm
    }

    fn drain(&mut self, soil: &FieldSoil, upper: Capacity, below: Capacity) -> f64 {
        let (upper_share, below_share) = soil.drains_at(self.depth_m);
        // From the bottom up: water moves one store a day, and room made today is used today.
        let out = below_share * (self.below_mm - below.fc_mm).max(0.0);
        self.below_mm -= out;
        let down = (upper_share * (self.upper_mm - upper.fc_mm).max(0.0))
            .min((below.sat_mm - self.below_mm).max(0.0));
        self.upper_mm -= down;
        self.below_mm += down;
        let down = (soil.surface_drain * (self.surface_mm - soil.surface.fc_mm).max(0.0))
            .min((upper.sat_mm - self.upper_mm).max(0.0));
        self.surface_mm -= down;
        self.upper_mm += down;
        out
    }

    fn frozen_day(&mut self, soil: &FieldSoil, water: &DayWater, upper: Capacity, below: Capacity) -> Fluxes {
        let supply = water.rain_mm + water.melt_mm;
        if supply <= 0.0 {
            return Fluxes { stress: 1.0, ..Fluxes::default() };
        }
        let pack = water.swe_mm + supply;
        if pack > self.melt_pack_mm {
            // The equation gives the whole melt's share; each day of it takes the same one.
            self.melt_pack_mm = pack;
            self.melt_share = frost::granger_infiltration_mm(self.freeze_saturation, pack) / pack;
        }
        let entering = self.melt_share * supply;
        // Melt wets the whole frozen depth before it saturates the top.
        let left = self.fill(entering, soil.surface.fc_mm, upper.fc_mm, 0.0);
        let left = self.fill(left, soil.surface.sat_mm, upper.sat_mm, below.sat_mm);
        let infiltration_mm = entering - left;
        Fluxes { infiltration_mm, runoff_mm: supply - infiltration_mm, stress: 1.0, ..Fluxes::default() }
    }

    fn evaporate(&mut self, soil: &FieldSoil, params: &SoilParams, forcing: &Forcing, cover: &Cover) -> f64 {
        let climate = dual::climate_term(forcing.day.wind_2m_ms, forcing.rh_min_pct);
        let height_term = if cover.height_m > 0.0 { params.height_term(cover.height_m) } else { 0.0 };
        let kc_max = dual::kc_max(params.kcmax_base, cover.kcb, climate, height_term);
        let shaded = cover.cover_fraction.unwrap_or_else(|| {
            if cover.kcb > params.kc_min {
                dual::cover_fraction(cover.kcb, params.kc_min, kc_max, cover.height_m)
            } else {
                0.0
            }
        });
        let demand =
            forcing.eto_mm.max(0.0) * (1.0 - params.residue_ke_cut * cover.residue_cover.clamp(0.0, 1.0));
        let unhindered = (kc_max - cover.kcb) * demand;
        let exposed = (1.0 - shaded.clamp(0.0, 0.99)) * kc_max * demand;
        let evaporable = (self.surface_mm - soil.surface_dry_mm).max(0.0);
        // Kr times the demand, written so that no more than the layer holds can leave: equation 74 with its
        // slope held at 1.
        let slope = (unhindered * soil.per_falling_mm).min(1.0);
        let mut e = (slope * evaporable).min(unhindered).min(exposed);
        if self.loose_days > 0 {
            self.loose_days -= 1;
            // As if the layer had been at field capacity when it was stirred.
            let fresh_evaporable = (self.surface_mm - self.loose_from_mm + soil.tew_mm).max(0.0);
            let fresh = (slope * fresh_evaporable).min(unhindered).min(exposed).min(evaporable);
            let extra = (fresh - e).clamp(0.0, self.loose_left_mm);
            self.loose_left_mm -= extra;
            e += extra;
        }
        self.surface_mm -= e;
        e
    }

    /// Transpiration, its potential and the stress coefficient.
    fn transpire(
        &mut self,
        soil: &FieldSoil,
        params: &SoilParams,
        to_depth: Capacity,
        forcing: &Forcing,
        cover: &Cover,
        evaporated_mm: f64,
    ) -> (f64, f64, f64) {
        let potential = cover.kcb.max(0.0) * forcing.eto_mm.max(0.0);
        if potential <= 0.0 {
            return (0.0, 0.0, 1.0);
        }
        let taw = to_depth.fc_mm - to_depth.wp_mm;
        // After the day's evaporation: FAO-56 takes the depletion of the morning, but then a wetter surface could
        // lose more in a day than it had more.
        let depletion = (to_depth.fc_mm - self.surface_mm - self.upper_mm).max(0.0);
        let p = dual::depletion_fraction(
            cover.depletion_p.unwrap_or(params.depletion_p),
            potential + evaporated_mm,
        );
        let stress = dual::stress(depletion, taw, p * taw);
        let from_surface = (self.surface_mm - soil.surface.wp_mm).max(0.0);
        let from_upper = (self.upper_mm - (to_depth.wp_mm - soil.surface.wp_mm)).max(0.0);
        let takeable = from_surface + from_upper;
        let taken = (stress * potential).min((taw - depletion).max(0.0)).min(takeable);
        if taken > 0.0 {
            let share = taken / takeable;
            self.surface_mm -= share * from_surface;
            self.upper_mm -= share * from_upper;
        }
        (taken, potential, stress)
    }
}

/// Carries a field's water through one day.
///
/// Order of work: frost, roots, runoff, water in, evapotranspiration, drainage (FAO-56 equation 88 takes
/// evapotranspiration before the excess drains; `soil.drain_before_et` turns that round). Rain is taken to fall
/// before the day's evaporation. Frozen ground: melt and rain enter by the Granger equation, all else stands still.
/// Under snow the soil gives off nothing.
///
/// Sources: FAO-56 chapters 7, 8 and 11; USDA-SCS (1985); Granger and others (1984); Molnau and Bissell (1983).
pub fn step(
    state: &mut WaterState,
    soil: &FieldSoil,
    params: &SoilParams,
    forcing: &Forcing,
    water: &DayWater,
    cover: &Cover,
) -> Fluxes {
    state.follow_frost(soil, params, forcing.tmean_c, water);
    let to_depth = state.follow_roots(soil, params, cover.root_depth_m);
    let upper = to_depth.less(soil.surface);
    let below = soil.whole.less(to_depth);
    if state.frozen {
        return state.frozen_day(soil, water, upper, below);
    }

    let mut runoff_mm = 0.0;
    let supply = water.rain_mm + water.melt_mm;
    if supply > 0.0 {
        if water.rain_mm > 0.0 {
            let depletion = state.surface_depletion_mm(soil).clamp(soil.cn_from_mm, soil.cn_to_mm);
            let cn = soil.cn_wet + (depletion - soil.cn_from_mm) * soil.cn_per_mm;
            runoff_mm = runoff::runoff_mm(water.rain_mm, runoff::retention_mm(cn));
        }
        runoff_mm += state.fill(supply - runoff_mm, soil.surface.sat_mm, upper.sat_mm, below.sat_mm);
    }
    let mut drainage_mm = 0.0;
    if params.drain_before_et {
        drainage_mm = state.drain(soil, upper, below);
    }
    let (mut evaporation_mm, mut transpiration) = (0.0, (0.0, 0.0, 1.0));
    if !water.snow_on_ground {
        evaporation_mm = state.evaporate(soil, params, forcing, cover);
        transpiration = state.transpire(soil, params, to_depth, forcing, cover, evaporation_mm);
    }
    if !params.drain_before_et {
        drainage_mm = state.drain(soil, upper, below);
    }
    let (transpiration_mm, potential_transpiration_mm, stress) = transpiration;
    Fluxes {
        infiltration_mm: supply - runoff_mm,
        runoff_mm,
        evaporation_mm,
        transpiration_mm,
        potential_transpiration_mm,
        drainage_mm,
        stress,
    }
}
