//! What a goat needs (NRC 1981, factorial), and how grain is stepped up to her.
//!
//! NRC 2007 replaced it with metabolizable protein and energy by class; the difference is under 15 % for this use.

use crate::FeedParams;

/// A goat's day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Goat {
    /// Weight, kg.
    pub kg: f64,
    /// Gain, g a day.
    pub gain_g_d: f64,
    /// Milk, kg a day.
    pub milk_kg_d: f64,
    /// Fat of the milk, %.
    pub fat_pct: f64,
    /// Maintenance times this for walking: 1 housed, 1.25 light, 1.5 hills, 1.75 long range.
    pub activity: f64,
    /// Last two months before kidding.
    pub late_pregnant: bool,
}

/// What she needs a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GoatNeed {
    /// Metabolizable energy, kcal.
    pub me_kcal: f64,
    /// Total digestible nutrients, kg.
    pub tdn_kg: f64,
    /// Crude protein, kg.
    pub protein_kg: f64,
    /// Least forage, kg.
    pub forage_kg: f64,
}

/// The need of a goat.
pub fn need(p: &FeedParams, g: &Goat) -> GoatNeed {
    let maintenance = p.goat_maintenance * g.kg.powf(0.75) * g.activity;
    let milk = g.milk_kg_d * (p.goat_milk + p.goat_fat * (g.fat_pct - 4.0) / 0.5);
    let me = maintenance + p.goat_gain * g.gain_g_d + milk;
    let de_mcal = me / p.goat_me_of_de / 1000.0;
    let (mut tdn, mut protein) = (de_mcal / p.goat_tdn, p.goat_protein * de_mcal / 1000.0);
    if g.late_pregnant {
        tdn += p.goat_late_tdn;
        protein += p.goat_late_protein;
    }
    GoatNeed { me_kcal: me, tdn_kg: tdn, protein_kg: protein, forage_kg: p.goat_forage * g.kg }
}

/// Grain on top of hay, kg a day, to meet energy: hay as much as she eats, grain for the rest. `hay_kg` is what she eats of hay.
/// Held to two feedings of the published most, and to wheat's own limit when the grain is wheat.
pub fn grain_kg(
    p: &FeedParams,
    need: &GoatNeed,
    hay_kg: f64,
    hay_tdn: f64,
    grain_tdn: f64,
    wheat: bool,
) -> (f64, bool) {
    let short = (need.tdn_kg - hay_kg * hay_tdn).max(0.0);
    let wanted = short / grain_tdn;
    let mut most = 2.0 * p.goat_grain_feeding;
    if wheat {
        // A quarter of the dry diet: grain / (grain + hay).
        most = most.min(hay_kg * p.goat_wheat / (1.0 - p.goat_wheat));
    }
    (wanted.min(most), wanted > most + 1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn more_work_needs_more(kg in 15.0..100.0_f64, milk in 0.0..5.0_f64) {
            let p = FeedParams::shipped();
            let at = |milk: f64, late: bool| need(p, &Goat { kg, milk_kg_d: milk, fat_pct: 4.0, activity: 1.0, late_pregnant: late, ..Goat::default() });
            prop_assert!(at(milk + 0.5, false).tdn_kg > at(milk, false).tdn_kg);
            prop_assert!(at(milk, true).protein_kg > at(milk, false).protein_kg);
        }
    }

    #[test]
    fn wheat_is_held_back() {
        let p = FeedParams::shipped();
        let n = need(p, &Goat { kg: 60.0, milk_kg_d: 4.0, fat_pct: 4.0, activity: 1.0, ..Goat::default() });
        let (wheat, short) = grain_kg(p, &n, 1.2, 0.55, 0.85, true);
        let (other, _) = grain_kg(p, &n, 1.2, 0.55, 0.85, false);
        assert!(short && wheat < other && wheat / (wheat + 1.2) <= 0.25 + 1e-9);
    }
}
