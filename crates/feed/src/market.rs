//! An invented market and farm: what tests, benches and the checks against other solvers share.

use crate::need::{self, Choices, Need};
use crate::own_grain::{self, Tested};
use crate::plan::{Buyer, Lot, PlanAsk, Wanted};
use crate::ration::Offer;
use crate::{FeedParams, Phase, ingredient, limits};

/// Grain and bought ingredients with a price a tonne.
pub const PRICES: [(&str, f64); 15] = [
    ("wheat_hrs", 230.0),
    ("barley", 200.0),
    ("field_pea", 300.0),
    ("sbm_dehulled", 520.0),
    ("canola_meal", 380.0),
    ("canola_oil", 1300.0),
    ("limestone", 120.0),
    ("monocal", 900.0),
    ("salt", 150.0),
    ("lys_hcl", 2200.0),
    ("dl_met", 4000.0),
    ("l_thr", 2400.0),
    ("l_trp", 12_000.0),
    ("l_val", 7000.0),
    ("premix", 3000.0),
];

const PHASES: [Phase; 8] = [
    Phase::Grower1,
    Phase::Grower2,
    Phase::Finisher1,
    Phase::Finisher2,
    Phase::Gestation,
    Phase::Lactation,
    Phase::Starter3,
    Phase::Grower1,
];

/// Everything in the market, with the usual limits of a phase.
///
/// # Panics
/// Never: every key is in the shipped table, which a test holds.
pub fn offers(phase: Phase) -> Vec<Offer> {
    PRICES
        .iter()
        .map(|(k, t)| Offer::of_table(ingredient::find(k).expect("in the table"), phase, *t))
        .collect()
}

/// What is bought: the market without the grain.
pub fn bought(phase: Phase) -> Vec<Offer> {
    offers(phase).into_iter().filter(|o| !matches!(o.class.as_str(), "wheat_hrs" | "barley")).collect()
}

/// Need of a phase with a phytase that frees 0.1 % of phosphorus.
pub fn needs(phase: Phase) -> Need {
    need::need(FeedParams::shipped(), phase, Choices { phytase_p_pct: Some(0.1), ..Choices::default() })
}

/// A lot of `wheat` or `barley` by its tests.
///
/// # Panics
/// When the crop is not in the table.
pub fn lot(k: usize, crop: &str, protein_pct: f64, don_ppm: f64, tonnes: f64) -> Lot {
    let like = own_grain::like_crop(crop).expect("in the table");
    let t = Tested { protein_pct: Some(protein_pct), moisture_pct: Some(13.5), ..Tested::default() };
    Lot {
        offer: Offer {
            key: format!("bin-{k}"),
            name: format!("Bin {k}"),
            class: like.key.clone(),
            price_t: 180.0,
            holds: own_grain::holds(FeedParams::shipped(), like, &t).0,
            don_ppm,
            max: 1.0,
            min: 0.0,
            lys_sd: 0.0,
        },
        tonnes,
        protein_pct: Some(protein_pct),
        storage_t_month: 0.6,
        gone_by: None,
        never_fed: false,
    }
}

/// A farm of so many lots, rations, buyers and months.
pub fn farm(lots: usize, rations: usize, buyers: usize, months: usize) -> PlanAsk {
    let lots: Vec<Lot> = (0..lots)
        .map(|k| match k % 5 {
            0 => lot(k, "wheat", 14.2, 0.2, 190.0),
            1 => lot(k, "wheat", 12.4, 0.8, 170.0),
            2 => lot(k, "barley", 11.5, 0.5, 150.0),
            3 => lot(k, "wheat", 13.3, 2.4, 120.0),
            _ => lot(k, "wheat", 13.6, 0.4, 200.0),
        })
        .collect();
    let rations = (0..rations)
        .map(|r| {
            let phase = PHASES[r % PHASES.len()];
            Wanted {
                name: format!("{} {r}", phase.words()),
                need: needs(phase),
                lot_max: lots
                    .iter()
                    .map(|l| limits::inclusion(&l.offer.class, phase).map_or(1.0, |i| i.max))
                    .collect(),
                tonnes: vec![10.0 + r as f64; months],
                bought: bought(phase),
            }
        })
        .collect();
    let buyers = (0..buyers)
        .map(|b| Buyer {
            name: format!("Buyer {b}"),
            price_t: lots
                .iter()
                .map(|l| {
                    let wheat = l.offer.class == "wheat_hrs";
                    let protein = l.protein_pct.unwrap_or(12.0);
                    match (b % 3, wheat) {
                        (0, true) if l.offer.don_ppm < 1.0 => {
                            Some(240.0 + 12.0 * (protein - 12.0) - 2.0 * b as f64)
                        }
                        (1, true) => Some(225.0),
                        (2, false) => Some(205.0),
                        _ => None,
                    }
                })
                .collect(),
            by_month: (0..months).map(|m| 1.5 * m as f64).collect(),
            open: Vec::new(),
            most_month_t: 160.0,
            most_t: None,
            contracts: Vec::new(),
            averages: Vec::new(),
        })
        .collect();
    PlanAsk {
        months,
        lots,
        rations,
        buyers,
        interest_month: 0.006,
        cash_by: vec![0.0; months],
        cash_pays_feed: false,
        truck_t: None,
        keep: Vec::new(),
        grind_t: 12.0,
    }
}
