//! What one field gets from the pits, and how a load on it is worth it.

use serde::Serialize;
use stook_book::FieldId;
use stook_book::payload::UnitChoice;
use stook_fertility::Nutrients;
use stook_fertility::manure::rate::{Ask, Binds, Rates, rates};
use stook_fertility::manure::worth;
use stook_measure::units::KG_PER_LB;
use stook_measure::{Op, Reference, Working, figure};

use super::answer::volume;
use super::gather;
use super::plan::{Ground, Job, Spread};
use crate::prices::NutrientPrices;

/// Manure for a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Haul {
    /// Key.
    pub field: FieldId,
    /// Name.
    pub name: String,
    /// Road distance, km.
    pub km: f64,
    /// How much, m3.
    pub m3: f64,
    /// From each pit by its key, m3.
    pub from: Vec<(String, f64)>,
    /// On this area, ha.
    pub area_ha: f64,
    /// Rate, m3/ha.
    pub rate_m3_ha: f64,
    /// Loads, whole.
    pub loads: f64,
    /// A load covers, ha.
    pub ha_per_load: f64,
    /// Rates by nitrogen, by phosphate and by potash, m3/ha.
    pub rates: Option<Rates>,
    /// What sets the rate, in words.
    pub sets: String,
    /// The crop gets, kg/ha of that area.
    pub available_kg_ha: Nutrients,
    /// All that goes on, kg/ha of that area.
    pub whole_kg_ha: Nutrients,
    /// The crop still needs from fertilizer, kg/ha of that area.
    pub top_up_kg_ha: Nutrients,
    /// Fertilizer saved, money.
    pub saved: f64,
    /// Haul, money.
    pub haul: f64,
    /// What a load brings over its haul, money.
    pub net_per_load: f64,
    /// Road distance at which a load brings nothing, km.
    pub break_even_km: Option<f64>,
    /// What was taken for granted.
    pub taken: Vec<String>,
    /// How a load is worth it.
    pub working: Working,
}

pub(super) fn haul(
    u: &UnitChoice,
    reference: &Reference,
    job: &Job,
    found: &[(FieldId, gather::Found, f64)],
    s: &Spread,
    prices: &NutrientPrices,
) -> Haul {
    let get = |what: &str| reference.get(&format!("order.manure.{what}"));
    let load = get("load_m3");
    let (id, f, km) = &found[s.ground];
    let g = &f.ground;
    let m3: f64 = s.m3.iter().sum();
    let per_m3 = |n: Nutrients| n.times(1.0 / s.rate_m3_ha);
    let rates = rates(&Ask {
        available: per_m3(s.available_kg_ha),
        whole: per_m3(s.whole_kg_ha),
        n_kg_ha: g.need_kg_ha.n,
        p2o5_max_kg_ha: g.p2o5_most_kg_ha,
        k2o_kg_ha: (g.need_kg_ha.k2o > 0.5).then_some(g.need_kg_ha.k2o),
    })
    .ok();
    let sets = match s.binds {
        Some(Binds::Nitrogen) => "the nitrogen the crop needs".to_string(),
        Some(Binds::Phosphate) => "the phosphate the law lets on".to_string(),
        _ if s.rate_m3_ha > job.most_m3_ha - 0.5 => "what soaks in".to_string(),
        _ if s.rate_m3_ha < job.least_m3_ha + 0.5 => "the least that can be spread".to_string(),
        _ if (s.available_kg_ha.p2o5 - g.need_kg_ha.p2o5).abs() < 0.1 => {
            "the phosphate the crop needs".to_string()
        }
        _ if (s.available_kg_ha.k2o - g.need_kg_ha.k2o).abs() < 0.1 => {
            "the potash the crop needs".to_string()
        }
        _ => "what is in the pit".to_string(),
    };
    let haul = worth::Haul { load, fixed: get("load_fixed"), per_km: get("load_per_km") };
    let loads = worth::loads(m3, load);
    let per_load = load / m3;
    let counted = used(g, s.available_kg_ha).times(1.0 / s.rate_m3_ha);
    let pass = g.pass_per_ha * s.area_ha * per_load;
    let break_even_km =
        (haul.per_km > 0.0).then(|| ((s.saved * per_load - haul.fixed - pass) / haul.per_km).max(0.0));
    Haul {
        field: id.clone(),
        name: g.name.clone(),
        km: *km,
        m3,
        from: job
            .stores
            .iter()
            .zip(&s.m3)
            .filter(|(_, m3)| **m3 > 0.5)
            .map(|(store, m3)| (store.key.clone(), *m3))
            .collect(),
        area_ha: s.area_ha,
        rate_m3_ha: s.rate_m3_ha,
        loads,
        ha_per_load: worth::ha_per_load(load, s.rate_m3_ha),
        rates,
        sets,
        available_kg_ha: s.available_kg_ha,
        whole_kg_ha: s.whole_kg_ha,
        top_up_kg_ha: s.available_kg_ha.short_of(g.need_kg_ha),
        saved: s.saved,
        haul: s.haul,
        net_per_load: (s.saved - s.haul) * per_load,
        break_even_km,
        taken: f.taken.clone(),
        working: working(u, &g.name, counted, s, g, prices, &haul, *km, load, per_load),
    }
}

/// What of it the crop of this year is spared in fertilizer.
fn used(g: &Ground, available: Nutrients) -> Nutrients {
    Nutrients::new(
        available.n.min(g.need_kg_ha.n),
        available.p2o5.min(g.need_kg_ha.p2o5),
        available.k2o.min(g.need_kg_ha.k2o),
        0.0,
    )
}

#[allow(clippy::too_many_arguments)]
fn working(
    u: &UnitChoice,
    name: &str,
    counted: Nutrients,
    s: &Spread,
    g: &Ground,
    prices: &NutrientPrices,
    haul: &worth::Haul,
    km: f64,
    load: f64,
    per_load: f64,
) -> Working {
    let lb = |kg: f64| kg / KG_PER_LB;
    let mut w = Working::new(format!("A load on {name}")).line(
        Op::Note,
        format!("A load is {}", volume(u, load)),
        load,
        "m3",
        1,
    );
    let parts = [
        ("N", counted.n, prices.per_kg.n),
        ("phosphate", counted.p2o5, prices.per_kg.p2o5),
        ("potash", counted.k2o, prices.per_kg.k2o),
    ];
    let mut first = true;
    for (what, kg_m3, price) in parts {
        let money = kg_m3 * load * price;
        if money.abs() < 0.005 {
            continue;
        }
        let label = format!(
            "{what} the crop is spared: {} lb at {}{} a lb",
            figure(lb(kg_m3 * load), 0),
            u.money,
            figure(price * KG_PER_LB, 2)
        );
        w = w.line(if first { Op::Start } else { Op::Plus }, label, money, "", 2);
        first = false;
    }
    let beyond = s.saved * per_load - counted.worth(prices.per_kg) * load;
    if beyond.abs() >= 0.005 {
        let share = figure(100.0 * g.later_p_share, 0);
        w = w.line(Op::Plus, format!("Phosphate beyond this year, at {share} % of its price"), beyond, "", 2);
    }
    w.line(Op::Minus, "Loading and spreading", haul.fixed, "", 2)
        .line(Op::Minus, format!("Road, {} km", figure(km, 1)), haul.per_km * km, "", 2)
        .line(Op::Minus, "Pass over the land it covers", g.pass_per_ha * s.area_ha * per_load, "", 2)
        .sum("A load brings", (s.saved - s.haul) * per_load, "", 2)
        .note("Sulphur, organic matter and the nitrogen of later years are not counted; nor are compaction and a delayed seeding.")
        .source("Ammonium kept and nitrogen freed: Alberta Nutrient Management Planning Guide 2007; reference/fertility-manure-*.csv")
        .source("Cost of a load: order.manure.* in reference/order.csv, a judgement until you write your own")
        .would_change("a stirred sample, fertilizer prices, the wait until it is worked in, your own cost of a load")
}
