//! What each tank of the drill holds and how far it goes.

use stook_book::payload::{Crop, DrillSetUp};
use stook_fertility::FertilityParams;
use stook_fertility::fills::Tank;
use stook_fertility::product::{Product, lb_ft3_to_kg_m3};
use stook_measure::units::{KG_PER_LB, L_PER_US_BUSHEL};

use super::{Line, TankLine};
use crate::blend::Carrier;
use crate::order::carrier;

/// Most of a nurse tank that may be filled (Iowa State Univ. Extension advice).
const NURSE_TANK_FILL: f64 = 0.85;

/// Density of a mix of products, kg/m3; none for nothing or for liquids.
fn density(lines: &[&Line]) -> Option<f64> {
    let mut volume = 0.0;
    let mut mass = 0.0;
    for l in lines {
        // a product that is not in the table: a usual granule, 60 lb/ft3
        let d = Product::of(&l.key)
            .and_then(Product::density_kg_m3)
            .map_or(lb_ft3_to_kg_m3(60.0), |(a, b)| 0.5 * (a + b));
        volume += l.kg_ha / d;
        mass += l.kg_ha;
    }
    (volume > 0.0).then(|| mass / volume)
}

pub(super) fn tanks(
    drill: Option<&DrillSetUp>,
    products: &[Line],
    seed_kg_ha: f64,
    crop: &Crop,
    f: &FertilityParams,
    assumed: &mut Vec<String>,
) -> (Vec<TankLine>, Vec<Tank>) {
    let Some(d) = drill else { return (Vec::new(), Vec::new()) };
    let pounds = match crop {
        Crop::Barley => 48.0,
        Crop::Canola => 50.0,
        Crop::Oats => 34.0,
        Crop::Flax => 56.0,
        _ => 60.0,
    };
    let seed_density = pounds * KG_PER_LB / (L_PER_US_BUSHEL / 1000.0);
    let form = |l: &Line| Product::of(&l.key).map_or(Carrier::Dry, carrier);
    let dry: Vec<&Line> = products.iter().filter(|p| form(p) == Carrier::Dry).collect();
    let with_seed: Vec<&Line> = dry.iter().filter(|p| p.with_seed).copied().collect();
    let banded: Vec<&Line> = dry.iter().filter(|p| !p.with_seed).copied().collect();
    let words = |lines: &[&Line]| {
        let names: Vec<String> = lines.iter().map(|l| l.name.clone()).collect();
        stook_season::model::list(&names)
    };
    // the seed tank, then what goes with the seed, then the band; a drill of two tanks has one stream for both
    let mut loads: Vec<(String, f64, String, f64, f64)> = Vec::new();
    let rest = &d.tanks[1.min(d.tanks.len())..];
    if let Some(first) = d.tanks.first() {
        loads.push((first.name.clone(), first.volume_m3, "seed".into(), seed_kg_ha, seed_density));
    }
    let sum = |lines: &[&Line]| lines.iter().map(|l| l.kg_ha).sum::<f64>();
    match rest {
        [] => {
            if !dry.is_empty() {
                assumed.push("The drill has one tank: fertilizer goes on in another pass.".into());
            }
        }
        [one] => {
            let all = dry.clone();
            if !with_seed.is_empty() && !banded.is_empty() {
                assumed.push("One fertilizer tank: all of it goes to one place, so set the plan for the seed row or for the band, not both.".into());
            }
            loads.push((
                one.name.clone(),
                one.volume_m3,
                words(&all),
                sum(&all),
                density(&all).unwrap_or(1000.0),
            ));
        }
        [one, more @ ..] => {
            let band_volume: f64 = more.iter().map(|t| t.volume_m3).sum();
            let band_name = more.iter().map(|t| t.name.as_str()).collect::<Vec<_>>().join(" and ");
            if with_seed.is_empty() {
                loads.push((
                    format!("{} and {band_name}", one.name),
                    one.volume_m3 + band_volume,
                    words(&banded),
                    sum(&banded),
                    density(&banded).unwrap_or(1000.0),
                ));
            } else {
                loads.push((
                    one.name.clone(),
                    one.volume_m3,
                    words(&with_seed),
                    sum(&with_seed),
                    density(&with_seed).unwrap_or(1000.0),
                ));
                loads.push((
                    band_name,
                    band_volume,
                    words(&banded),
                    sum(&banded),
                    density(&banded).unwrap_or(1000.0),
                ));
            }
        }
    }
    for (what, is, volume) in
        [("liquid", Carrier::Liquid, d.liquid_m3), ("anhydrous", Carrier::Gas, d.anhydrous_m3)]
    {
        let flows: Vec<&Line> = products.iter().filter(|p| form(p) == is).collect();
        match volume {
            Some(v) => {
                loads.push((what.into(), v, words(&flows), sum(&flows), density(&flows).unwrap_or(1000.0)))
            }
            None if !flows.is_empty() => assumed.push(format!(
                "The plan has {}, and the drill in the book carries none: it goes on in a pass of its own.",
                words(&flows)
            )),
            None => {}
        }
    }
    let mut lines = Vec::new();
    let mut model = Vec::new();
    for (name, volume_m3, holds, rate_kg_ha, density_kg_m3) in loads {
        // A nurse tank of ammonia is filled to 85 % and no more.
        let fill_fraction = if name == "anhydrous" {
            NURSE_TANK_FILL.min(f.drill.fill_fraction)
        } else {
            f.drill.fill_fraction
        };
        let t = Tank { volume_m3, density_kg_m3, fill_fraction, rate_kg_ha };
        lines.push(TankLine {
            name,
            holds: if holds.is_empty() { "nothing".into() } else { holds },
            rate_kg_ha,
            full_kg: t.capacity_kg(),
            ha_per_fill: Some(t.ha_per_fill()).filter(|x| x.is_finite()),
        });
        model.push(t);
    }
    if model.iter().all(|t| t.rate_kg_ha <= 0.0) {
        model.clear();
    }
    (lines, model)
}
