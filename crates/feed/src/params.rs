//! The coefficients of `reference/feed.csv`, read once and passed to the models.

use std::sync::LazyLock;

use serde::Serialize;
use stook_measure::Reference;

macro_rules! params {
    ($($(#[$about:meta])* $field:ident = $name:literal;)+) => {
        /// All coefficients of the feed models. Copy it, change a field, and the models use the changed one.
        #[derive(Debug, Clone, Copy, PartialEq, Serialize)]
        pub struct FeedParams { $($(#[$about])* pub $field: f64,)+ }

        impl FeedParams {
            /// Reads `feed.*` of the reference.
            pub fn from_reference(r: &Reference) -> Self {
                Self { $($field: r.get(concat!("feed.", $name)),)+ }
            }
        }
    };
}

params! {
    /// Straw for a housed goat (kg/d).
    goat_bedding_kg_d = "goat.bedding_kg_d";
    /// Mean size of ground grain aimed at (um).
    grind_aim_um = "grind.aim_um";
    /// Size below which dust, bridging and ulcers begin (um).
    grind_least_um = "grind.least_um";
    /// How far a scale may read off and pass (1).
    scale_pass = "scale.pass";
    /// Below this wheat is weaker for pigs; 50 lb/bu (kg/m3).
    low_test_weight_kg_m3 = "own_wheat.low_test_weight_kg_m3";
    /// Share of the energy lost below it (1).
    low_test_weight_energy_loss = "own_wheat.low_test_weight_energy_loss";
    /// Taken as linear from none (1).
    sprouted_energy_loss_at_40 = "own_wheat.sprouted_energy_loss_at_40_pct";
    /// Own wheat, sprouted energy loss above 40 pct (1).
    sprouted_energy_loss_above_40 = "own_wheat.sprouted_energy_loss_above_40_pct";
    /// Added to lysine and digestible phosphorus (1).
    margin_growing = "margin.growing";
    /// Added to lysine and digestible phosphorus (1).
    margin_young_and_sows = "margin.young_and_sows";
    /// Lowest net energy asked for, under 75 kg and in milk (kcal/kg).
    ne_young = "need.ne_young_kcal_kg";
    /// From 75 kg on (kcal/kg).
    ne_finisher = "need.ne_finisher_kcal_kg";
    /// Gestating sows (kcal/kg).
    ne_gestation = "need.ne_gestation_kcal_kg";
    /// Most calcium above the least (%).
    calcium_room_pct = "need.calcium_room_pct";
    /// Need, calcium per phosphorus max (1).
    ca_p_max = "need.calcium_per_phosphorus_max";
    /// Need, sodium growing pct (%).
    sodium_growing_pct = "need.sodium_growing_pct";
    /// Vitamin and mineral premix in the diet (1).
    premix_share = "need.premix_share";
    /// Digestible phosphorus released (%).
    phytase_sttd_p_pct = "need.phytase_sttd_p_pct";
    /// Energy intake = a (1 - exp(-exp(-b) kg^c)) (kcal/d).
    mixed_a = "intake.mixed_a";
    /// Intake, mixed b (1).
    mixed_b = "intake.mixed_b";
    /// Intake, mixed c (1).
    mixed_c = "intake.mixed_c";
    /// Intake, gilt a (kcal/d).
    gilt_a = "intake.gilt_a";
    /// Intake, gilt b (1).
    gilt_b = "intake.gilt_b";
    /// Intake, gilt c (1).
    gilt_c = "intake.gilt_c";
    /// Intake, barrow a (kcal/d).
    barrow_a = "intake.barrow_a";
    /// Intake, barrow b (1).
    barrow_b = "intake.barrow_b";
    /// Intake, barrow c (1).
    barrow_c = "intake.barrow_c";
    /// Intake, wasted share (1).
    wasted_share = "intake.wasted_share";
    /// Own gain over the table's (1).
    gain_factor = "growth.gain_factor";
    /// Own feed for gain over the table's (1).
    feed_factor = "growth.feed_factor";
    /// One standard deviation of feed taken over the curve (1).
    growth_spread = "growth.spread";
    /// Sow, gestation days (d).
    gestation_days = "sow.gestation_days";
    /// Sow, lactation days (d).
    lactation_days = "sow.lactation_days";
    /// Sow, empty days (d).
    empty_days = "sow.empty_days";
    /// To day 90 (kg/d).
    early_kg_d = "sow.early_kg_d";
    /// After day 90 (kg/d).
    late_kg_d = "sow.late_kg_d";
    /// Sow, lactation kg d (kg/d).
    lactation_kg_d = "sow.lactation_kg_d";
    /// Sow, empty kg d (kg/d).
    empty_kg_d = "sow.empty_kg_d";
    /// Gain lost for each ppm in the diet, whole period (%/ppm).
    don_gain = "don.gain_pct_per_ppm";
    /// Intake lost (%/ppm).
    don_intake = "don.intake_pct_per_ppm";
    /// Don, young gain pct per ppm (%/ppm).
    don_young_gain = "don.young_gain_pct_per_ppm";
    /// Don, young intake pct per ppm (%/ppm).
    don_young_intake = "don.young_intake_pct_per_ppm";
    /// Don, finisher gain pct per ppm (%/ppm).
    don_finisher_gain = "don.finisher_gain_pct_per_ppm";
    /// Don, finisher intake pct per ppm (%/ppm).
    don_finisher_intake = "don.finisher_intake_pct_per_ppm";
    /// Upper bound over a single result (1).
    don_one_sample = "don.one_sample_factor";
    /// Taken for wheat with no test (ppm).
    don_no_test = "don.no_test_factor";
    /// Graduation of the mixer scale (kg).
    bulk_step_kg = "mill.bulk_step_kg";
    /// Graduation of the hand-add scale (kg).
    hand_step_kg = "mill.hand_step_kg";
    /// Graduation of the small scale (kg).
    micro_step_kg = "mill.micro_step_kg";
    /// An item under this many graduations is mixed with carrier first (1).
    fewest_steps = "mill.fewest_steps";
    /// After rounding; maxima get none (1).
    round_tolerance = "mill.round_tolerance";
    /// Weighed against asked: bulk items (1).
    miss_bulk = "mill.miss_bulk";
    /// Hand-added items; any miss on the premix counts (1).
    miss_hand = "mill.miss_hand";
    /// Mixer test (%).
    cv_good_pct = "mill.cv_good_pct";
    /// Mill, cv complete feed pct (%).
    cv_complete_pct = "mill.cv_complete_feed_pct";
    /// Mill, flush share (1).
    flush_share = "mill.flush_share";
    /// Mill, flush least kg (kg).
    flush_least_kg = "mill.flush_least_kg";
    /// Mill, particle um (um).
    particle_um = "mill.particle_um";
    /// Mill, feed per 100 um (1).
    feed_per_100_um = "mill.feed_per_100_um";
    /// Goat, maintenance kcal (kcal/kg^0.75).
    goat_maintenance = "goat.maintenance_kcal";
    /// Goat, gain kcal g (kcal/g).
    goat_gain = "goat.gain_kcal_g";
    /// Goat, milk kcal kg (kcal/kg).
    goat_milk = "goat.milk_kcal_kg";
    /// Goat, fat kcal per half pct (kcal).
    goat_fat = "goat.fat_kcal_per_half_pct";
    /// Goat, me of de (1).
    goat_me_of_de = "goat.me_of_de";
    /// Goat, tdn mcal kg (Mcal/kg).
    goat_tdn = "goat.tdn_mcal_kg";
    /// Goat, protein g mcal (g/Mcal).
    goat_protein = "goat.protein_g_mcal";
    /// Goat, late pregnancy tdn kg (kg/d).
    goat_late_tdn = "goat.late_pregnancy_tdn_kg";
    /// Goat, late pregnancy protein kg (kg/d).
    goat_late_protein = "goat.late_pregnancy_protein_kg";
    /// Goat, grain feeding kg (kg).
    goat_grain_feeding = "goat.grain_feeding_kg";
    /// Goat, forage share of weight (1).
    goat_forage = "goat.forage_share_of_weight";
    /// Goat, wheat share (1).
    goat_wheat = "goat.wheat_share";
    /// From 2 weeks before breeding to 3 weeks into it (kg/d).
    goat_flush_low = "goat.flush_low_kg";
    /// Goat, flush high kg (kg/d).
    goat_flush_high = "goat.flush_high_kg";
    /// Bedding, kg per pig (kg).
    bedding_kg_pig = "bedding.kg_per_pig";
    /// One ingredient, lot to lot (1).
    protein_cv = "variation.protein_cv";
    /// Variation, lysine cv (1).
    lysine_cv = "variation.lysine_cv";
    /// Variation, meal lysine cv (1).
    meal_lysine_cv = "variation.meal_lysine_cv";
    /// Became, flour share (1).
    flour_share = "became.flour_share";
    /// Became, flour per loaf kg (kg).
    flour_per_loaf_kg = "became.flour_per_loaf_kg";
    /// Became, carcass share (1).
    carcass_share = "became.carcass_share";
    /// Became, kernels per kg (1/kg).
    kernels_per_kg = "became.kernels_per_kg";
    /// Day of the year (d).
    harvest_day = "hold.harvest_day";
    /// Step in, days (d).
    step_in_days = "step_in.days";
}

impl FeedParams {
    /// The shipped coefficients, read once: what the calculators use.
    pub fn shipped() -> &'static Self {
        static SHIPPED: LazyLock<FeedParams> =
            LazyLock::new(|| FeedParams::from_reference(&Reference::shipped()));
        &SHIPPED
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A coefficient that no model reads would let a farm set its own number to no effect.
    #[test]
    fn every_coefficient_is_read() {
        let shipped = Reference::shipped();
        assert!(shipped.all().filter(|c| c.name.starts_with("feed.")).count() > 60);
        assert_eq!(shipped.unread("feed.", FeedParams::from_reference), Vec::<String>::new());
    }
}
