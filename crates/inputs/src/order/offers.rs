//! The products on offer: those with a price, and of the usual ones those without; and what the drill can carry.

use jiff::civil::Date;
use stook_book::Farm;
use stook_fertility::product::Product;
use stook_measure::Reference;

use super::gather::WhatIf;
use crate::blend::{Carrier, Offer};
use crate::prices::{money_per_kg_of, nutrient_prices};
use crate::propose;

/// The products most farms are offered; where one has no price, that of its nutrients stands in.
const USUAL: [&str; 4] = ["urea", "map", "potash", "ams"];

/// How a product is carried.
pub fn carrier(p: &Product) -> Carrier {
    match p.form.as_str() {
        "granular" | "prill" => Carrier::Dry,
        "gas" => Carrier::Gas,
        _ => Carrier::Liquid,
    }
}

/// The offers, and the keys of those whose price is ours. What is left out is said in `notes`.
pub(super) fn offers(
    farm: &Farm,
    reference: &Reference,
    on: Date,
    what_if: &WhatIf,
    all_with_seed: bool,
    notes: &mut Vec<String>,
) -> (Vec<Offer>, Vec<String>) {
    let ours = nutrient_prices(farm, reference, on).per_kg;
    let drill = propose::drill(farm);
    let (liquid_tank, ammonia) =
        (drill.is_some_and(|d| d.liquid_m3.is_some()), drill.is_some_and(|d| d.anhydrous_m3.is_some()));
    let liquid_with_seed = drill.is_some_and(|d| d.liquid_with_seed);
    let (mut no_liquid, mut no_gas) = (Vec::new(), Vec::new());
    let (mut out, mut assumed) = (Vec::new(), Vec::new());
    for p in Product::shipped() {
        let own = what_if.per_t.get(&p.key).map(|per_t| per_t / 1000.0);
        let price = own.or_else(|| farm.price(&p.key, on).and_then(|x| money_per_kg_of(x, p)));
        let per_kg = match price {
            Some(x) => x,
            None if USUAL.contains(&p.key.as_str()) => {
                assumed.push(p.key.clone());
                p.in_mass(1.0).worth(ours)
            }
            None => continue,
        };
        let carrier = carrier(p);
        if carrier == Carrier::Liquid && !liquid_tank {
            no_liquid.push(p.name.clone());
            continue;
        }
        if carrier == Carrier::Gas && !ammonia {
            no_gas.push(p.name.clone());
            continue;
        }
        if p.key == "elemental_s" {
            notes.push(
                "Elemental sulphur acts the year after at the earliest, so it is not counted for this crop."
                    .into(),
            );
            continue;
        }
        // Beside a band only the phosphate that is known as mild lies with the seed. Solutions of nitrogen and ammonia never.
        let near_seed = match carrier {
            Carrier::Dry => {
                p.key == "map" || (all_with_seed && !matches!(p.key.as_str(), "dap" | "ammonium_nitrate"))
            }
            Carrier::Liquid => p.key == "app10_34" && liquid_with_seed,
            Carrier::Gas => false,
        };
        let least = farm.product_least.get(&p.key).map(|x| &x.is);
        out.push(Offer {
            key: p.key.clone(),
            name: p.name.clone(),
            grade_pct: p.grade_pct(),
            per_kg,
            near_seed,
            least_kg: least.and_then(|x| x.least_kg).unwrap_or(0.0),
            least_kg_ha: least.and_then(|x| x.least_kg_ha).unwrap_or(0.0),
            carrier,
        });
    }
    for (left_out, why) in [
        (no_liquid, "the drill in the book has no liquid tank; give its volume under Drill: rows and tanks"),
        (
            no_gas,
            "the drill in the book pulls no nurse tank; give its volume under Drill: rows and tanks if it has shanks for it",
        ),
    ] {
        if !left_out.is_empty() {
            let names = stook_season::model::list(&left_out);
            notes.push(format!("Priced but left out, since {why}: {names}."));
        }
    }
    (out, assumed)
}
