//! The whole job: every field's card added up.

use serde::Serialize;
use stook_fertility::fills::packages;

use super::Card;

/// Weight of a small bag, kg, and of a tote, kg.
const BAG_KG: f64 = 25.0;
const TOTE_KG: f64 = 1000.0;

/// So much of one thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Amount {
    /// Name.
    pub name: String,
    /// All of it, kg.
    pub kg: f64,
    /// Totes of a tonne, the last one begun counted whole, and what is left in that, kg.
    pub totes: (f64, f64),
    /// Bags of 25 kg for all of it, the last one begun counted whole.
    pub bags: f64,
}

/// The whole job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WholeJob {
    /// Fields counted.
    pub fields: usize,
    /// Area, ha.
    pub area_ha: f64,
    /// Seed by lot.
    pub seed: Vec<Amount>,
    /// Fertilizer by product.
    pub products: Vec<Amount>,
    /// Fills.
    pub fills: usize,
    /// Hours with refills, of the fields whose hours are known.
    pub hours: f64,
    /// Fields that lack a seed lot, a plan or the drill's tanks.
    pub lacking: Vec<String>,
}

fn amount(name: &str, kg: f64) -> Amount {
    Amount { name: name.into(), kg, totes: packages(kg, TOTE_KG), bags: (kg / BAG_KG - 1e-9).ceil().max(0.0) }
}

fn put(list: &mut Vec<(String, f64)>, name: &str, kg: f64) {
    match list.iter_mut().find(|(n, _)| n == name) {
        Some((_, sum)) => *sum += kg,
        None => list.push((name.into(), kg)),
    }
}

/// Adds the cards up.
pub fn whole(cards: &[Card]) -> WholeJob {
    let (mut seed, mut products) = (Vec::new(), Vec::new());
    let mut out = WholeJob {
        fields: cards.len(),
        area_ha: cards.iter().map(|c| c.area_ha).sum(),
        seed: Vec::new(),
        products: Vec::new(),
        fills: 0,
        hours: 0.0,
        lacking: Vec::new(),
    };
    for c in cards {
        if let Ok(s) = &c.seed {
            put(&mut seed, &s.lot, s.total_kg);
        }
        for p in &c.products {
            put(&mut products, &p.name, p.total_kg);
        }
        out.fills += c.fills.as_ref().map_or(0, |f| f.fills.len());
        out.hours += c.hours.unwrap_or(0.0);
        if c.seed.is_err() || c.products.is_empty() || c.fills.is_err() {
            out.lacking.push(c.name.clone());
        }
    }
    let tell = |list: Vec<(String, f64)>| list.iter().map(|(n, kg)| amount(n, *kg)).collect();
    (out.seed, out.products) = (tell(seed), tell(products));
    out
}
