//! Goats: hay, grain and straw by group.

use serde::Serialize;
use stook_book::payload::GroupKind;
use stook_feed::goat::{self, Goat};

use crate::Facts;

/// Weight of a doe when the group does not say, kg; hay she eats, share of her weight; digestible nutrients of hay and grain.
const DOE_KG: f64 = 60.0;
const HAY_SHARE: f64 = 0.022;
const HAY_SHARE_MILK: f64 = 0.03;
const HAY_TDN: f64 = 0.52;
const GRAIN_TDN: f64 = 0.84;
/// Milk of a meat doe with twins, kg a day.
const MILK_KG: f64 = 1.6;

/// A group of goats today.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GoatsToday {
    /// Name.
    pub name: String,
    /// Kind in words.
    pub kind: &'static str,
    /// Head.
    pub head: u32,
    /// Digestible nutrients for each, kg a day.
    pub tdn_kg: f64,
    /// Protein for each, kg a day.
    pub protein_kg: f64,
    /// Hay for each, kg a day.
    pub hay_kg: f64,
    /// Whole grain (barley or oats) for each, kg a day.
    pub grain_kg: f64,
    /// The same if the grain is wheat: held lower.
    pub wheat_kg: f64,
    /// Whether grain within the limit leaves her short: better hay is the answer.
    pub short: bool,
    /// Sentences of caution.
    pub cautions: Vec<String>,
}

/// Every group of goats.
pub fn today(f: &Facts<'_>) -> Vec<GoatsToday> {
    f.farm
        .barn
        .groups_on(f.on)
        .into_iter()
        .filter_map(|g| {
            let set = &g.set_up.is;
            let (late, milk) = match set.kind {
                GroupKind::GoatsDry => (false, 0.0),
                GroupKind::GoatsLate => (true, 0.0),
                GroupKind::GoatsInMilk => (false, MILK_KG),
                _ => return None,
            };
            let kg = g.kg.unwrap_or(DOE_KG);
            let need = goat::need(&f.params, &Goat { kg, milk_kg_d: milk, fat_pct: 4.0, activity: 1.25, late_pregnant: late, gain_g_d: 0.0 });
            let hay = (kg * if milk > 0.0 { HAY_SHARE_MILK } else { HAY_SHARE }).max(need.forage_kg);
            let (grain, short) = goat::grain_kg(&f.params, &need, hay, HAY_TDN, GRAIN_TDN, false);
            let (wheat, _) = goat::grain_kg(&f.params, &need, hay, HAY_TDN, GRAIN_TDN, true);
            let mut cautions = vec![
                "Hay first, grain whole, no more than a pound at a feeding, changed over one to two weeks: a gut turned acid kills within a day.".to_string(),
                "Never pig feed, pig premix or medicated pig feed to goats or sheep.".to_string(),
            ];
            if late {
                cautions.push("A doe that goes off her feed now may have twin-lamb disease: ring the veterinarian.".into());
            }
            Some(GoatsToday {
                name: set.name.clone(),
                kind: set.kind.words(),
                head: g.head,
                tdn_kg: need.tdn_kg,
                protein_kg: need.protein_kg,
                hay_kg: hay,
                grain_kg: grain,
                wheat_kg: wheat,
                short,
                cautions,
            })
        })
        .collect()
}
