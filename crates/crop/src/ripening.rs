//! Kernels filling, ripening and drying in the field.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_weather::Forcing;

use crate::emc::equilibrium_pct;
use crate::params::CropParams;
use crate::stage::WheatState;

/// Coefficients `crop.ripening.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RipeningParams {
    /// Kernel curve, place.
    pub kernel_b: f64,
    /// Kernel curve, steepness, 1/(C d).
    pub kernel_c: f64,
    /// Share of the curve's end taken as full weight.
    pub pm_share: f64,
    /// Moisture at full weight, % wet basis.
    pub pm_moisture_pct: f64,
    /// Points of moisture for each percent of final dry matter.
    pub line_slope: f64,
    /// Drying rate, 1/d.
    pub k_per_day: f64,
    /// Vapour pressure deficit at which it holds, kPa.
    pub vpd_ref_kpa: f64,
    /// Lowest share of the rate.
    pub vpd_low: f64,
    /// Highest share of the rate.
    pub vpd_high: f64,
    /// Points taken up per mm of rain.
    pub rain_points_per_mm: f64,
    /// Most points a day.
    pub rain_points_max: f64,
    /// Rain does not lift above, % wet basis.
    pub rain_ceiling_pct: f64,
    /// Rain water leaves this much faster.
    pub rewet_factor: f64,
    /// Points higher at dawn after dew.
    pub dew_points: f64,
    /// Night humidity that leaves dew, %.
    pub dew_rh_pct: f64,
}

impl RipeningParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.ripening.{what}"));
        Self {
            kernel_b: get("kernel_b"),
            kernel_c: get("kernel_c"),
            pm_share: get("pm_share"),
            pm_moisture_pct: get("pm_moisture_pct"),
            line_slope: get("line_slope"),
            k_per_day: get("k_per_day"),
            vpd_ref_kpa: get("vpd_ref_kpa"),
            vpd_low: get("vpd_low"),
            vpd_high: get("vpd_high"),
            rain_points_per_mm: get("rain_points_per_mm"),
            rain_points_max: get("rain_points_max"),
            rain_ceiling_pct: get("rain_ceiling_pct"),
            rewet_factor: get("rewet_factor"),
            dew_points: get("dew_points"),
            dew_rh_pct: get("dew_rh_pct"),
        }
    }
}

/// Dry weight of a kernel, mg, `sum_cd` degree-days after flowering: `Wmax / (1 + exp(B - C DD))`.
///
/// Darroch and Baker 1990 (Crop Sci. 30:525). The base temperature of their degree-days is not stated.
pub fn kernel_mg(sum_cd: f64, wmax_mg: f64, b: f64, c: f64) -> f64 {
    wmax_mg / (1.0 + (b - c * sum_cd).exp())
}

/// Degree-days after flowering at which the kernel has `share` of its end weight.
pub fn kernel_sum_cd(share: f64, b: f64, c: f64) -> f64 {
    (b + (share / (1.0 - share)).ln()) / c
}

/// Moisture, % wet basis, of a filling kernel with `dry_matter_pct` percent of its final dry matter.
///
/// Calderini, Abeledo and Slafer 2000: one straight line of slope -0.4 to 37 % at full weight, so `77 - 0.4 x`.
#[inline]
pub fn filling_moisture_pct(dry_matter_pct: f64, p: &RipeningParams) -> f64 {
    p.pm_moisture_pct + p.line_slope * (100.0 - dry_matter_pct)
}

/// Percent of final dry matter at a share (0 to 1) of the way from flowering to the end of fill.
///
/// The kernel curve, stretched so that its `pm_share` falls where the stage table puts hard dough: the published
/// curve's degree-days and the stage table's are not the same clock, and heading to ripe follows the table.
#[inline]
pub fn dry_matter_pct(fill_share: f64, p: &RipeningParams) -> f64 {
    let end = p.kernel_b + (p.pm_share / (1.0 - p.pm_share)).ln();
    (100.0 / p.pm_share / (1.0 + (p.kernel_b - end * fill_share).exp())).min(100.0)
}

/// Share of the way from flowering to the end of fill at which kernels have `moisture_pct`: the other way round from
/// [`dry_matter_pct`] and [`filling_moisture_pct`] together.
pub fn fill_share_at_moisture(moisture_pct: f64, p: &RipeningParams) -> f64 {
    let end = p.kernel_b + (p.pm_share / (1.0 - p.pm_share)).ln();
    let dry_matter = 1.0 - (moisture_pct - p.pm_moisture_pct) / (100.0 * p.line_slope);
    let x = (p.pm_share * dry_matter).clamp(1e-6, p.pm_share);
    ((p.kernel_b + (x / (1.0 - x)).ln()) / end).clamp(0.0, 1.0)
}

/// A day's drying weather: the same for every ripe field of the farm, so reckoned once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryingDay {
    /// Moisture the afternoon air would bring grain to, % wet basis.
    pub equilibrium_pct: f64,
    /// Share of the kernel's own distance to it that is left after the day.
    pub left: f64,
    /// Share of rain water left after the day.
    pub rain_left: f64,
    /// Points of moisture the day's rain brings, before the ceiling.
    pub rain_points: f64,
}

impl DryingDay {
    /// From a day's weather.
    #[inline]
    pub fn of(weather: &Forcing, p: &CropParams) -> Self {
        let r = &p.ripening;
        let rate = r.k_per_day * (weather.vpd_kpa / r.vpd_ref_kpa).clamp(r.vpd_low, r.vpd_high);
        Self {
            equilibrium_pct: equilibrium_pct(weather.day.tmax_c, weather.rh_min_pct, &p.emc),
            left: (-rate).exp(),
            rain_left: (-rate * r.rewet_factor).exp(),
            rain_points: (r.rain_points_per_mm * weather.rain_mm.max(0.0)).min(r.rain_points_max),
        }
    }
}

/// Moisture of standing kernels in the afternoon.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct KernelMoisture {
    /// The kernel's own water, % wet basis.
    pub own_pct: f64,
    /// Points of rain water on top, which leave faster.
    pub rain_pct: f64,
}

impl KernelMoisture {
    /// As measured.
    pub fn measured(pct: f64) -> Self {
        Self { own_pct: pct, rain_pct: 0.0 }
    }

    /// A crop still filling: from its stage.
    #[inline]
    pub fn filling(w: &WheatState, p: &CropParams) -> Self {
        Self::measured(filling_moisture_pct(dry_matter_pct(w.fill_share(p), &p.ripening), &p.ripening))
    }

    /// Moisture, % wet basis.
    #[inline]
    pub fn pct(&self) -> f64 {
        self.own_pct + self.rain_pct
    }

    /// Moisture at dawn after a dewy night.
    #[inline]
    pub fn at_dawn_pct(&self, weather: &Forcing, p: &RipeningParams) -> f64 {
        self.pct() + if weather.rh_max_pct >= p.dew_rh_pct { p.dew_points } else { 0.0 }
    }

    /// One day on for a crop at `w` (already stepped to the end of the day): on the filling line until fill ends,
    /// then drying.
    ///
    /// A measured moisture drier than the line stays: from then on the crop dries from what was measured.
    #[inline]
    pub fn step(&mut self, w: &WheatState, weather: &Forcing, p: &CropParams) {
        if w.is_mature(p) || self.own_pct <= p.ripening.pm_moisture_pct {
            self.dry(&DryingDay::of(weather, p), &p.ripening);
        } else {
            *self = Self::filling(w, p);
        }
    }

    /// One day of drying and wetting of a mature crop.
    ///
    /// The kernel's own water goes to the afternoon's equilibrium at `k` a day (0.10 at 0.8 kPa, by the day's vapour
    /// pressure deficit); rain water leaves 2.5 times as fast; then today's rain is taken up, never above the ceiling.
    /// 45 to 20 % takes about 14 days (AHDB growth guide). Error about 1.5 points at three days and 3 at seven.
    #[inline]
    pub fn dry(&mut self, day: &DryingDay, p: &RipeningParams) {
        self.own_pct = day.equilibrium_pct + (self.own_pct - day.equilibrium_pct) * day.left;
        self.rain_pct *= day.rain_left;
        let room = (p.rain_ceiling_pct - self.pct()).max(0.0);
        self.rain_pct += day.rain_points.min(room);
    }
}

/// What thumb and teeth say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Thumb {
    /// Clear or milky juice.
    Juice,
    /// Kernel mashes to wet dough.
    Mashes,
    /// Nail dents, dent stays, kernel does not mash.
    Dents,
    /// Nail marks only with effort.
    Marks,
    /// Bites hard and cracks.
    Cracks,
}

/// Moisture (middle, low, high), % wet basis, for a thumb test. The dent (about 30 %) is published; the rest from
/// memory and common practice.
pub fn thumb_moisture_pct(test: Thumb) -> (f64, f64, f64) {
    match test {
        Thumb::Juice => (68.0, 60.0, 80.0),
        Thumb::Mashes => (45.0, 35.0, 50.0),
        Thumb::Dents => (30.0, 26.0, 34.0),
        Thumb::Marks => (22.5, 20.0, 25.0),
        Thumb::Cracks => (15.5, 12.0, 18.0),
    }
}

/// Days for ripe grain to dry from one moisture to another at a constant equilibrium; `None` when it never gets
/// there.
pub fn days_to_dry(from_pct: f64, to_pct: f64, equilibrium_pct: f64, k_per_day: f64) -> Option<f64> {
    (to_pct > equilibrium_pct && k_per_day > 0.0)
        .then(|| (((from_pct - equilibrium_pct) / (to_pct - equilibrium_pct)).ln() / k_per_day).max(0.0))
}

/// Drying rate, 1/d, from two readings.
pub fn fit_k_per_day(from_pct: f64, to_pct: f64, days: f64, equilibrium_pct: f64) -> f64 {
    ((from_pct - equilibrium_pct) / (to_pct - equilibrium_pct)).ln() / days
}

#[cfg(test)]
#[path = "ripening_tests.rs"]
mod tests;
