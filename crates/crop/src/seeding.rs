//! Seed rate and stand.

use serde::{Deserialize, Serialize};
use stook_measure::Reference;
use stook_measure::units::{KG_PER_LB, M2_PER_ACRE, kg_ha_to_lb_ac, per_ft2_to_per_m2, per_m2_to_per_ft2};

/// Coefficients `crop.seeding.*`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SeedingParams {
    /// Share lost in warm soil.
    pub loss_warm: f64,
    /// Share lost in cool soil.
    pub loss_cool: f64,
    /// Share lost in cold soil.
    pub loss_cold: f64,
    /// Added for untreated seed.
    pub loss_untreated: f64,
    /// Warm from, C.
    pub soil_warm_c: f64,
    /// Cold below, C.
    pub soil_cold_c: f64,
    /// Target stands by [`Region`], plants/m2.
    pub stand_m2: [f64; 4],
    /// Added for each week past the best date, plants/m2.
    pub stand_per_week_late_m2: f64,
}

impl SeedingParams {
    /// Reads the reference.
    pub fn from_reference(r: &Reference) -> Self {
        let get = |what: &str| r.get(&format!("crop.seeding.{what}"));
        Self {
            loss_warm: get("loss_warm"),
            loss_cool: get("loss_cool"),
            loss_cold: get("loss_cold"),
            loss_untreated: get("loss_untreated"),
            soil_warm_c: get("soil_warm_c"),
            soil_cold_c: get("soil_cold_c"),
            stand_m2: [
                get("stand_manitoba_m2"),
                get("stand_saskatchewan_m2"),
                get("stand_north_dakota_m2"),
                get("stand_south_dakota_m2"),
            ],
            stand_per_week_late_m2: get("stand_per_week_late_m2"),
        }
    }
}

/// Where a target stand was published for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Region {
    /// Manitoba.
    Manitoba,
    /// Saskatchewan and Alberta.
    Saskatchewan,
    /// North Dakota and Minnesota.
    NorthDakota,
    /// South Dakota.
    SouthDakota,
}

/// Default target stand, plants/m2, `weeks_late` past the best seeding date (negative counts as none).
pub fn target_stand_m2(region: Region, weeks_late: f64, p: &SeedingParams) -> f64 {
    p.stand_m2[region as usize] + p.stand_per_week_late_m2 * weeks_late.max(0.0)
}

/// Default share of live seed that gives no plant, by soil temperature at seed depth.
pub fn expected_loss(soil_c: f64, treated: bool, p: &SeedingParams) -> f64 {
    let by_soil = match soil_c {
        t if t >= p.soil_warm_c => p.loss_warm,
        t if t >= p.soil_cold_c => p.loss_cool,
        _ => p.loss_cold,
    };
    by_soil + if treated { 0.0 } else { p.loss_untreated }
}

/// Share of seeds that become plants, as a product. Cannot go negative.
pub fn survival_product(germination: f64, loss: f64) -> f64 {
    germination * (1.0 - loss)
}

/// Share of seeds that become plants, as a difference: the form printed for cereals on the prairies.
pub fn survival_difference(germination: f64, loss: f64) -> f64 {
    (germination - loss).max(0.0)
}

/// Seed to sow, kg/ha, for a stand: exact.
///
/// `plants/m2 * thousand-kernel weight in g / (100 * survival)`. Source: Saskatchewan form, which is exact.
pub fn rate_kg_ha(stand_m2: f64, tkw_g: f64, survival: f64) -> f64 {
    stand_m2 * tkw_g / (100.0 * survival)
}

/// The same in lb/ac from plants/ft2.
pub fn rate_lb_ac(stand_ft2: f64, tkw_g: f64, survival: f64) -> f64 {
    kg_ha_to_lb_ac(rate_kg_ha(per_ft2_to_per_m2(stand_ft2), tkw_g, survival))
}

/// The prairie short form, lb/ac: `plants/ft2 * TKW / survival% * 10`. Gives 4.1 % too much seed.
pub fn rate_lb_ac_short(stand_ft2: f64, tkw_g: f64, survival: f64) -> f64 {
    stand_ft2 * tkw_g / (100.0 * survival) * 10.0
}

/// Stand, plants/m2, that a rate gives: the other way round from [`rate_kg_ha`].
pub fn stand_from_rate_m2(rate_kg_ha: f64, tkw_g: f64, survival: f64) -> f64 {
    100.0 * rate_kg_ha * survival / tkw_g
}

/// Seeds in a pound from the weight of a thousand, g. The same function goes back.
pub fn seeds_per_lb(tkw_g: f64) -> f64 {
    1e6 * KG_PER_LB / tkw_g
}

/// Seeds in a pound from a counted sample.
pub fn seeds_per_lb_from_sample(count: f64, sample_g: f64) -> f64 {
    count * 1e3 * KG_PER_LB / sample_g
}

/// Seed, bu/ac of 60 lb, for a count of live seed an acre (South Dakota form).
pub fn rate_bu_ac_from_live_seed(live_per_ac: f64, germination: f64, purity: f64, seeds_per_lb: f64) -> f64 {
    live_per_ac / (germination * purity * seeds_per_lb * 60.0)
}

/// Seed, lb/ac, for a stand an acre with a share lost: `stand / (1 - loss) / (seeds per lb * germination)`.
pub fn rate_lb_ac_from_stand(stand_per_ac: f64, loss: f64, seeds_per_lb: f64, germination: f64) -> f64 {
    stand_per_ac / (1.0 - loss) / (seeds_per_lb * germination)
}

/// Length of row, inches, that holds a square foot.
pub fn row_length_for_ft2_in(spacing_in: f64) -> f64 {
    144.0 / spacing_in
}

/// Plants/ft2 from a count along a row.
pub fn stand_ft2_from_row(count: f64, row_ft: f64, spacing_in: f64) -> f64 {
    count / row_ft * 12.0 / spacing_in
}

/// Seeds in a foot of row for a density per ft2.
pub fn seeds_per_foot_of_row(per_ft2: f64, spacing_in: f64) -> f64 {
    per_ft2 * spacing_in / 12.0
}

/// Plants/ft2 from a count in a hoop of a given inner diameter, inches.
pub fn stand_ft2_from_hoop(count: f64, diameter_in: f64) -> f64 {
    let radius_ft = diameter_in / 24.0;
    count / (std::f64::consts::PI * radius_ft * radius_ft)
}

/// Plants/ft2 from plants an acre.
pub fn per_acre_to_per_ft2(per_ac: f64) -> f64 {
    per_m2_to_per_ft2(per_ac / M2_PER_ACRE)
}

/// Share of live seed that emerges at a rate, after two North Dakota points: 95 % at half a million an acre, 85 % at
/// one and a half. Valid between them.
pub fn emergence_share(live_million_per_ac: f64) -> f64 {
    (1.0 - 0.10 * live_million_per_ac).clamp(0.0, 1.0)
}

/// Yield, kg/ha, from heads/m2, kernels a head and the weight of a thousand, g.
pub fn component_yield_kg_ha(heads_m2: f64, kernels_per_head: f64, tkw_g: f64) -> f64 {
    heads_m2 * kernels_per_head * tkw_g / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p() -> SeedingParams {
        crate::CropParams::shipped().seeding
    }

    #[test]
    fn defaults_are_in_order() {
        let loss = |t, treated| expected_loss(t, treated, &p());
        assert!(loss(2.0, true) > loss(6.0, true) && loss(6.0, true) > loss(10.0, true));
        assert!((loss(10.0, false) - loss(10.0, true) - 0.02).abs() < 1e-12);
        let two_weeks = target_stand_m2(Region::Manitoba, 2.0, &p());
        assert!(
            (per_m2_to_per_ft2(two_weeks - target_stand_m2(Region::Manitoba, -1.0, &p())) - 2.0).abs() < 1e-3
        );
    }

    proptest! {
        #[test]
        fn rate_and_stand_are_inverse(stand in 50.0..500.0f64, tkw in 20.0..50.0f64, s in 0.3..1.0f64) {
            prop_assert!((stand_from_rate_m2(rate_kg_ha(stand, tkw, s), tkw, s) - stand).abs() < 1e-9);
            // the short form is always 4.1 % over
            let ft2 = per_m2_to_per_ft2(stand);
            prop_assert!((rate_lb_ac_short(ft2, tkw, s) / rate_lb_ac(ft2, tkw, s) - 1.041).abs() < 5e-4);
        }

        #[test]
        fn the_two_survivals_agree_for_good_seed(g in 0.9..1.0f64, loss in 0.0..0.1f64) {
            prop_assert!((survival_product(g, loss) - survival_difference(g, loss)).abs() <= 0.01 + 1e-12);
        }
    }
}
