//! Manure entries in a sentence, in the farm's units.

use stook_book::payload::{AreaUnit, UnitChoice};
use stook_book::{FieldId, Payload};
use stook_measure::figure;
use stook_measure::units::{KG_PER_LB, L_PER_IMPERIAL_GALLON};
use stook_season::words;

/// `240,000 gal` or `1,090 m3`.
pub fn volume(u: &UnitChoice, m3: f64) -> String {
    if u.area == AreaUnit::Acres {
        let gallons = m3 * 1000.0 / L_PER_IMPERIAL_GALLON;
        // To three figures: nobody reads a pit closer.
        let step = 10f64.powf((gallons.abs().max(1.0).log10().floor() - 2.0).max(0.0));
        format!("{} gal", figure((gallons / step).round() * step, 0))
    } else {
        format!("{} m3", figure(m3, 0))
    }
}

/// Content of a nutrient in the farm's unit.
pub fn content(u: &UnitChoice, kg_m3: f64) -> f64 {
    if u.area == AreaUnit::Acres { kg_m3 * L_PER_IMPERIAL_GALLON / KG_PER_LB } else { kg_m3 }
}

/// What it says, part by part.
pub fn parts(p: &Payload, u: &UnitChoice, name: &dyn Fn(&FieldId) -> String) -> Vec<Option<String>> {
    match p {
        Payload::ManureStore(x) => {
            vec![Some(x.name.clone()), Some(format!("holds {}", volume(u, x.capacity_m3)))]
        }
        Payload::ManureLevel(x) => {
            vec![Some(x.store.to_string()), Some(format!("{} in it", volume(u, x.held_m3)))]
        }
        Payload::ManureTest(x) => {
            let unit = if u.area == AreaUnit::Acres { "lb in 1,000 gal" } else { "kg/m3" };
            let f = |v: f64| figure(content(u, v), 1);
            vec![
                Some(x.store.to_string()),
                Some(format!("N {}, P {}, K {} {unit}", f(x.total_n_kg_m3), f(x.p_kg_m3), f(x.k_kg_m3))),
                x.ammonium_n_kg_m3.map(|a| format!("ammonium {}", f(a))),
                (!x.agitated).then(|| "not stirred".into()),
            ]
        }
        Payload::BarnCount(x) => {
            vec![Some(x.store.to_string()), Some(format!("{} head, {}", figure(x.head, 0), x.barn))]
        }
        Payload::ManureHauled(x) => vec![
            Some(name(&x.field)),
            Some(volume(u, x.volume_m3)),
            x.area_ha.map(|a| words::area(u, a)),
            Some(x.method.words().into()),
        ],
        Payload::ManurePlan(x) => vec![
            Some(name(&x.field)),
            Some(format!("{} for {}", volume(u, x.volume_m3), x.crop_year)),
            x.area_ha.map(|a| words::area(u, a)),
            Some(x.method.words().into()),
        ],
        Payload::ManureRules(x) => vec![Some(x.name.clone()), Some(x.source.clone())],
        _ => Vec::new(),
    }
}
