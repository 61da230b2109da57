//! Yield limited by water, seeding date and stand.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::{MM_PER_IN, bu_ac_to_kg_ha};

/// A published straight line of yield on water.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WaterLine {
    /// Yield for each mm above the intercept, kg/ha.
    pub slope_kg_ha_mm: f64,
    /// Water that yields nothing, mm.
    pub intercept_mm: f64,
}

impl WaterLine {
    /// From the units they are printed in: bu/ac an inch, and inches.
    pub fn from_bu_ac_in(slope_bu_ac_in: f64, intercept_in: f64) -> Self {
        Self {
            slope_kg_ha_mm: bu_ac_to_kg_ha(slope_bu_ac_in, 60.0) / MM_PER_IN,
            intercept_mm: intercept_in * MM_PER_IN,
        }
    }

    /// Yield, kg/ha, never below zero.
    #[inline]
    pub fn at(&self, water_mm: f64) -> f64 {
        (self.slope_kg_ha_mm * (water_mm - self.intercept_mm)).max(0.0)
    }
}

/// Coefficients `crop.yield.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct YieldParams {
    /// The line used.
    pub line: WaterLine,
    /// Manitoba.
    pub manitoba: WaterLine,
    /// Alberta.
    pub alberta: WaterLine,
    /// North-central Montana, high.
    pub montana_high: WaterLine,
    /// North-central Montana, low.
    pub montana_low: WaterLine,
    /// Best yield where the field has none of its own, kg/ha.
    pub cap_kg_ha: f64,
    /// Yield response factor, whole season.
    pub ky_season: f64,
    /// Yield response factors: before flowering, flowering, filling.
    pub ky_phase: [f64; 3],
    /// Last day of the year on which seeding loses nothing.
    pub best_day: f64,
    /// Share lost a day after it.
    pub late_per_day: f64,
    /// Lowest share.
    pub late_floor: f64,
    /// Stand of full yield, plants/m2.
    pub stand_full_m2: f64,
    /// How hard a thin stand bites, plants/m2.
    pub stand_half_m2: f64,
}

impl YieldParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.yield.{what}"));
        let line = |place: &str| {
            WaterLine::from_bu_ac_in(
                get(&format!("{place}_slope_bu_ac_in")),
                get(&format!("{place}_intercept_in")),
            )
        };
        Self {
            line: WaterLine { slope_kg_ha_mm: get("slope_kg_ha_mm"), intercept_mm: get("intercept_mm") },
            manitoba: line("manitoba"),
            alberta: WaterLine {
                slope_kg_ha_mm: get("alberta_slope_kg_ha_mm"),
                intercept_mm: get("alberta_intercept_mm"),
            },
            montana_high: line("montana_high"),
            montana_low: line("montana_low"),
            cap_kg_ha: get("cap_kg_ha"),
            ky_season: get("ky_season"),
            ky_phase: [get("ky_vegetative"), get("ky_flowering"), get("ky_filling")],
            best_day: get("best_day"),
            late_per_day: get("late_per_day"),
            late_floor: get("late_floor"),
            stand_full_m2: get("stand_full_m2"),
            stand_half_m2: get("stand_half_m2"),
        }
    }
}

/// What the yield depends on. Factors are 1 and losses 0 where nothing is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct YieldInputs {
    /// Available water in the root zone at seeding, mm.
    pub water_at_seeding_mm: f64,
    /// Rain from seeding to the end of fill, mm.
    pub rain_seeding_to_fill_mm: f64,
    /// Crop water use with the water there was: before flowering, flowering, filling, mm.
    pub et_actual_mm: [f64; 3],
    /// Crop water use with plenty, mm.
    pub et_potential_mm: [f64; 3],
    /// The field's best yield, kg/ha.
    pub cap_kg_ha: f64,
    /// From [`seeding_date_factor`].
    pub date_factor: f64,
    /// From [`stand_factor`].
    pub stand_factor: f64,
    /// Nitrogen or anything else that holds yield back, as a share of full.
    pub nutrient_factor: f64,
    /// Share lost to weeds.
    pub weed_loss: f64,
    /// Share lost to frost.
    pub frost_loss: f64,
    /// Lost to disease, kg/ha.
    pub disease_loss_kg_ha: f64,
}

impl YieldInputs {
    /// Nothing but water and a cap.
    pub fn water_only(water_at_seeding_mm: f64, rain_seeding_to_fill_mm: f64, cap_kg_ha: f64) -> Self {
        Self {
            water_at_seeding_mm,
            rain_seeding_to_fill_mm,
            et_actual_mm: [0.0; 3],
            et_potential_mm: [0.0; 3],
            cap_kg_ha,
            date_factor: 1.0,
            stand_factor: 1.0,
            nutrient_factor: 1.0,
            weed_loss: 0.0,
            frost_loss: 0.0,
            disease_loss_kg_ha: 0.0,
        }
    }

    fn share_kept(&self) -> f64 {
        self.date_factor
            * self.stand_factor
            * self.nutrient_factor
            * (1.0 - self.weed_loss)
            * (1.0 - self.frost_loss)
    }
}

/// A yield and how it came about.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Yield {
    /// What the water allows, kg/ha, after the cap.
    pub by_water_kg_ha: f64,
    /// What is expected, kg/ha: the water's yield less all losses.
    pub expected_kg_ha: f64,
    /// The cross-check by FAO deficits from the cap, kg/ha, with the same losses.
    pub by_deficit_kg_ha: f64,
}

/// Expected yield at harvest.
///
/// `min(line(water + rain), cap)` times the factors, less disease. The line explains about 60 % of the differences
/// between years (Alberta Agriculture); it knows nothing of when the rain fell, which the deficit form beside it does.
pub fn expected(x: &YieldInputs, p: &YieldParams) -> Yield {
    let by_water_kg_ha = p.line.at(x.water_at_seeding_mm + x.rain_seeding_to_fill_mm).min(x.cap_kg_ha);
    let kept = x.share_kept();
    let after = |kg_ha: f64| (kg_ha * kept - x.disease_loss_kg_ha).max(0.0);
    Yield {
        by_water_kg_ha,
        expected_kg_ha: after(by_water_kg_ha),
        by_deficit_kg_ha: after(
            x.cap_kg_ha * deficit_factor_by_phase(&x.et_actual_mm, &x.et_potential_mm, &p.ky_phase),
        ),
    }
}

/// The yield alone, kg/ha: see [`expected`].
pub fn yield_kg_ha(x: &YieldInputs, p: &YieldParams) -> f64 {
    expected(x, p).expected_kg_ha
}

/// Share of full yield left after a water deficit: `1 - Ky (1 - ETa/ETm)`, never below zero (FAO-33). Valid for
/// deficits up to about half.
#[inline]
pub fn deficit_factor(et_actual_mm: f64, et_potential_mm: f64, ky: f64) -> f64 {
    if et_potential_mm <= 0.0 {
        return 1.0;
    }
    (1.0 - ky * (1.0 - et_actual_mm / et_potential_mm).clamp(0.0, 1.0)).max(0.0)
}

/// The factors of the phases multiplied.
#[inline]
pub fn deficit_factor_by_phase(et_actual_mm: &[f64; 3], et_potential_mm: &[f64; 3], ky: &[f64; 3]) -> f64 {
    (0..3).map(|i| deficit_factor(et_actual_mm[i], et_potential_mm[i], ky[i])).product()
}

/// Share of full yield for seeding on `day_of_year`: a straight line after the best day, down to a floor.
///
/// 1 % a day in Manitoba, North Dakota and Minnesota; a long open fall is kinder (mid-June 1997 gave 92 %).
#[inline]
pub fn seeding_date_factor(day_of_year: f64, best_day: f64, per_day: f64, floor: f64) -> f64 {
    (1.0 - per_day * (day_of_year - best_day).max(0.0)).max(floor)
}

/// Share of full yield for a stand, plants/m2.
///
/// Full at `stand_full_m2` and above, where trials are flat; below it a hyperbola, so that half a stand loses far
/// less than half. The bend is a judgement: no published curve was read.
pub fn stand_factor(stand_m2: f64, p: &YieldParams) -> f64 {
    let s = stand_m2.clamp(0.0, p.stand_full_m2);
    s / (s + p.stand_half_m2) * (p.stand_full_m2 + p.stand_half_m2) / p.stand_full_m2
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> YieldParams {
        crate::CropParams::shipped().yield_
    }

    #[test]
    fn default_line_is_five_bushels_an_inch() {
        let five = WaterLine::from_bu_ac_in(5.0, 4.0);
        assert!((p().line.slope_kg_ha_mm - five.slope_kg_ha_mm).abs() < 0.005);
        assert!((p().line.intercept_mm - five.intercept_mm).abs() < 1e-9);
    }

    #[test]
    fn stand_and_date() {
        assert_eq!(stand_factor(400.0, &p()), 1.0);
        let half = stand_factor(125.0, &p());
        assert!((0.75..0.9).contains(&half), "{half}");
        assert_eq!(seeding_date_factor(120.0, 128.0, 0.01, 0.4), 1.0);
        assert!((seeding_date_factor(138.0, 128.0, 0.01, 0.4) - 0.9).abs() < 1e-12);
        assert_eq!(seeding_date_factor(300.0, 128.0, 0.01, 0.4), 0.4);
    }

    proptest! {
        #[test]
        fn more_water_and_fewer_losses_never_hurt(
            water in 0.0..300.0f64, rain in 0.0..500.0f64, more in 0.0..100.0f64, loss in 0.0..1.0f64,
        ) {
            let x = YieldInputs { weed_loss: loss, ..YieldInputs::water_only(water, rain, 4500.0) };
            let y = yield_kg_ha(&x, &p());
            prop_assert!((0.0..=4500.0).contains(&y));
            let wetter = YieldInputs { rain_seeding_to_fill_mm: rain + more, ..x };
            let cleaner = YieldInputs { weed_loss: 0.0, ..x };
            prop_assert!(yield_kg_ha(&wetter, &p()) >= y);
            prop_assert!(yield_kg_ha(&cleaner, &p()) >= y);
        }

        #[test]
        fn a_deficit_keeps_a_share(a in 0.0..400.0f64, m in 0.0..400.0f64, ky in 0.0..1.3f64) {
            prop_assert!((0.0..=1.0).contains(&deficit_factor(a, m, ky)));
        }
    }
}
