//! The products of a plan: those written in it, or the usual four by hand.

use stook_book::payload::{FertilizerPlacement, FertilizerPlan, NutrientRates};
use stook_fertility::Nutrients;
use stook_fertility::blend::{self, by_hand};
use stook_fertility::fills::packages;
use stook_fertility::product::{Product, conflict};

use super::Line;
use crate::propose;
use crate::words::sentence;

/// Products of a plan: those written in it, or the usual four by hand, what goes with the seed first.
pub(super) fn products(plan: Option<&FertilizerPlan>, area_ha: f64) -> (Vec<Line>, String) {
    let Some(p) = plan else { return (Vec::new(), "No plan is accepted for this field and year.".into()) };
    let line = |key: &str, name: &str, kg_ha: f64, with_seed: bool| Line {
        key: key.into(),
        name: name.into(),
        kg_ha,
        with_seed,
        total_kg: kg_ha * area_ha,
        totes: packages(kg_ha * area_ha, 1000.0),
    };
    if !p.products.is_empty() {
        let all = p
            .products
            .iter()
            .map(|x| {
                line(
                    &x.product,
                    Product::of(&x.product).map_or(x.product.as_str(), |k| k.name.as_str()),
                    x.kg_ha,
                    x.with_seed,
                )
            })
            .collect();
        return (all, "As the plan names them, from the order.".into());
    }
    let usual = blend::usual();
    let seed = if p.placement == FertilizerPlacement::SeedRow { None } else { p.seed_row };
    let whole = Nutrients::new(p.n_kg_ha, p.p2o5_kg_ha, p.k2o_kg_ha, p.s_kg_ha);
    let all_with_seed = p.placement == FertilizerPlacement::SeedRow;
    let mut out: Vec<Line> = Vec::new();
    let mut put = |need: Nutrients, with_seed: bool| -> Nutrients {
        let Ok(b) = by_hand(need, &usual) else { return Nutrients::NONE };
        for (product, kg) in [
            (usual.p2o5, b.p2o5_product),
            (usual.s, b.s_product),
            (usual.k2o, b.k2o_product),
            (usual.n, b.n_product),
        ] {
            if kg > 0.05 {
                out.push(line(&product.key, &product.name, kg, with_seed));
            }
        }
        b.supplied
    };
    let mut given = Nutrients::NONE;
    if let Some(s) = seed {
        // phosphate brings its own nitrogen; urea is for what is asked beyond it
        given = put(Nutrients::new(beyond_along(&s), s.p2o5_kg_ha, s.k2o_kg_ha, s.s_kg_ha), true);
    }
    put(given.short_of(whole), all_with_seed);
    (out, "Urea, monoammonium phosphate, potash and ammonium sulphate by hand; a cheaper blend may be on the order page.".into())
}

/// Nitrogen with the seed, unless it is only what rides along with the phosphate.
fn beyond_along(s: &NutrientRates) -> f64 {
    let along = propose::along_n_kg_ha(s);
    if s.n_kg_ha <= along + 1.2 { 0.0 } else { s.n_kg_ha }
}

pub(super) fn conflicts(products: &[Line]) -> Vec<String> {
    let mut out = Vec::new();
    for (i, a) in products.iter().enumerate() {
        for b in &products[i + 1..] {
            if let Some(why) = conflict(&a.key, &b.key) {
                out.push(sentence(why));
            }
        }
    }
    out
}
