//! The coefficients of the soil models that are data.

use stook_measure::Reference;

use crate::fitness::Limits;

/// Number of steps of the table behind [`SoilParams::height_term`].
const HEIGHT_STEPS: usize = 64;

/// All coefficients of `reference/soil.csv`, read once.
#[derive(Debug, Clone, PartialEq)]
pub struct SoilParams {
    /// Lowest basal coefficient, of dry bare soil.
    pub kc_min: f64,
    /// Upper limit of the coefficient after wetting, before wind and humidity.
    pub kcmax_base: f64,
    /// Share of available water taken without stress at 5 mm/d, for a cover that states none.
    pub depletion_p: f64,
    /// Share of soil evaporation a full cover of residue takes away.
    pub residue_ke_cut: f64,
    /// Depth of the upper store when roots are shallower, m.
    pub root_floor_m: f64,
    /// Water above field capacity drains before the day's evapotranspiration.
    pub drain_before_et: bool,
    /// Shares of the excess that drain in a day: sand, loam, clay.
    pub drain_fraction: [f64; 3],
    /// What poorer drainage leaves of those: well, moderate, imperfect, poor.
    pub drain_class: [f64; 4],
    /// Curve numbers of hydrologic groups A to D.
    pub curve_number: [f64; 4],
    /// Share of the frost index kept from day to day.
    pub frost_decay: f64,
    /// What one mm of snow water takes off the logarithm of the air's effect on the frost index.
    pub frost_snow_per_mm: f64,
    /// Frost index above which the ground is frozen, C d.
    pub frost_threshold_cd: f64,
    /// Days in the weighted running mean at 10 cm.
    pub temp_window_days: usize,
    /// Days in the weighted running mean at seed depth.
    pub temp_seed_window_days: usize,
    /// Shift toward the annual mean without snow.
    pub temp_shift_bare: f64,
    /// Shift toward the annual mean with snow.
    pub temp_shift_snow: f64,
    /// Share of residue cover left by a harrow pass.
    pub harrow_residue_left: f64,
    /// Most a pass adds to evaporation, mm.
    pub harrow_extra_loss_mm: f64,
    /// Days over which it can.
    pub harrow_days: u8,
    /// Limits of fitness by operation.
    pub limits: Limits,
    /// What the starting limit is worth in go or no-go days.
    pub learn_prior_weight: f64,
    /// Lowest and highest limit the log can teach.
    pub learn_bounds: (f64, f64),
    height: [f64; HEIGHT_STEPS + 2],
}

impl SoilParams {
    /// Reads them by name.
    ///
    /// # Panics
    /// When a name is missing from the reference: a fault of the shipped file.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |name: &str| r.get(&format!("soil.{name}"));
        let mut height = [0.0; HEIGHT_STEPS + 2];
        for (i, h) in height.iter_mut().enumerate() {
            *h = (i as f64 / HEIGHT_STEPS as f64).powf(0.6);
        }
        Self {
            kc_min: get("kc_min"),
            kcmax_base: get("kcmax_base"),
            depletion_p: get("depletion_p"),
            residue_ke_cut: get("residue_ke_cut"),
            root_floor_m: get("root_floor_m"),
            drain_before_et: get("drain_before_et") > 0.5,
            drain_fraction: ["sand", "loam", "clay"].map(|t| get(&format!("drain.{t}_fraction"))),
            drain_class: [
                1.0,
                get("drain.moderate_factor"),
                get("drain.imperfect_factor"),
                get("drain.poor_factor"),
            ],
            curve_number: ["a", "b", "c", "d"].map(|g| get(&format!("cn.small_grain_{g}"))),
            frost_decay: get("frost.decay"),
            // Depth in cm is snow water in mm over ten times the pack's density; the index damps by 0.4 K depth.
            frost_snow_per_mm: 0.04 * get("frost.snow_k_cm") / get("frost.pack_density"),
            frost_threshold_cd: get("frost.threshold_cd"),
            temp_window_days: get("temp.window_days") as usize,
            temp_seed_window_days: get("temp.seed_window_days") as usize,
            temp_shift_bare: get("temp.shift_bare"),
            temp_shift_snow: get("temp.shift_snow"),
            harrow_residue_left: get("harrow.residue_left"),
            harrow_extra_loss_mm: get("harrow.extra_loss_mm"),
            harrow_days: get("harrow.days") as u8,
            limits: Limits::from_reference(r),
            learn_prior_weight: get("learn.prior_weight"),
            learn_bounds: (get("learn.low"), get("learn.high")),
            height,
        }
    }

    /// (h/3)^0.3 of the FAO-56 climate adjustment for a cover `height_m` tall (0 to 3 m), from a table: it is asked
    /// for on every field-day. Within 0.002 of the power from 5 mm up.
    pub fn height_term(&self, height_m: f64) -> f64 {
        // Spaced in the square root, where the curve is nearly straight: (h/3)^0.3 = sqrt(h/3)^0.6.
        let place = (height_m.clamp(0.0, 3.0) / 3.0).sqrt() * HEIGHT_STEPS as f64;
        let i = place as usize;
        self.height[i] + (place - i as f64) * (self.height[i + 1] - self.height[i])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fitness::Operation;

    #[test]
    fn table_of_heights_is_the_power() {
        let p = SoilParams::from_reference(&Reference::shipped());
        for h in [0.005, 0.03, 0.1, 0.3, 0.5, 1.0, 2.0, 3.0] {
            assert!((p.height_term(h) - (h / 3.0f64).powf(0.3)).abs() < 0.002, "{h}");
        }
        assert_eq!(p.height_term(0.0), 0.0);
    }

    #[test]
    fn the_shipped_file_holds_what_it_should() {
        let r = Reference::shipped();
        let p = SoilParams::from_reference(&r);
        // Order of the limits: light work loosest, all near field capacity.
        assert!(p.limits.of(Operation::Spray).limit > p.limits.of(Operation::Seed).limit);
        assert!(p.limits.of(Operation::Combine).depth_m > p.limits.of(Operation::Seed).depth_m);
        // A local number reaches the model.
        let own = r.with_local("soil.fit.seed.limit", 1.01, "sandy knolls").unwrap();
        assert_eq!(SoilParams::from_reference(&own).limits.of(Operation::Seed).limit, 1.01);
    }
}
