//! Seed, fertilizer, the drill's rows and tanks, labels and premiums: one file of forms a subject; here what they share and
//! how flat values become an entry.

pub mod drill;
pub mod guide;
pub mod put_on;
pub mod seed;

use serde_json::{Map, Value as Json, json};
use stook_book::SeedLotId;
use stook_book::payload::{AreaUnit, Crop, DepthUnit, RateUnit};
use stook_measure::units;

use super::ask::{needed, plain};
use super::{Ask, Input, Values};

const CROP: Ask =
    Ask::Choice(|| Crop::NAMED.iter().map(|c| (c.key().to_string(), c.words().to_string())).collect());
const PRODUCTS: Ask = Ask::Choice(|| {
    stook_fertility::product::Product::shipped().iter().map(|p| (p.key.clone(), p.name.clone())).collect()
});
/// A weight; the book keeps kg.
pub(super) const WEIGHT: Ask = Ask::Number {
    unit: |u| if u.rate == RateUnit::LbAc { "lb" } else { "kg" },
    to_si: |u, x| if u.rate == RateUnit::LbAc { units::lb_to_kg(x) } else { x },
    from_si: |u, x| if u.rate == RateUnit::LbAc { units::kg_to_lb(x) } else { x },
    step: 100.0,
};
/// Row spacing and spread; the book keeps cm.
const ROWS: Ask = Ask::Number {
    unit: |u| if u.depth == DepthUnit::Inches { "in" } else { "cm" },
    to_si: |u, x| if u.depth == DepthUnit::Inches { units::in_to_mm(x) / 10.0 } else { x },
    from_si: |u, x| if u.depth == DepthUnit::Inches { units::mm_to_in(x * 10.0) } else { x },
    step: 0.5,
};
/// A tank; the book keeps m3. Bushels are US bushels of volume.
const TANK: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "bu" } else { "m3" },
    to_si: |u, x| if u.area == AreaUnit::Acres { x * units::L_PER_US_BUSHEL / 1000.0 } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { x * 1000.0 / units::L_PER_US_BUSHEL } else { x },
    step: 10.0,
};
/// Grain on hand; the book keeps kg. Bushels of 60 lb.
const GRAIN: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "bu of 60 lb" } else { "kg" },
    to_si: |u, x| if u.area == AreaUnit::Acres { units::lb_to_kg(x * 60.0) } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { units::kg_to_lb(x) / 60.0 } else { x },
    step: 50.0,
};
/// A liquid tank; the book keeps m3.
const LIQUID: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "US gal" } else { "m3" },
    to_si: |u, x| if u.area == AreaUnit::Acres { x * units::L_PER_US_GALLON / 1000.0 } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { x * 1000.0 / units::L_PER_US_GALLON } else { x },
    step: 100.0,
};
/// A dealer's amount; the book keeps kg.
const TONNES: Ask =
    Ask::Number { unit: |_| "t", to_si: |_, x| 1000.0 * x, from_si: |_, x| x / 1000.0, step: 1.0 };
const YEAR: Input = needed("crop_year", "Year of the harvest", "", plain(|_| "", 1.0));

/// Whether flat values of this kind are put together here.
pub fn shapes(kind: &str) -> bool {
    matches!(
        kind,
        "fertilizer_applied"
            | "fertilizer_plan"
            | "seed_lot"
            | "drill_catch"
            | "drill_set_up"
            | "tank_left"
            | "rate_table"
            | "plant_back"
    )
}

/// Flat values into the entry's own shape.
pub fn assemble(
    kind: &str,
    mut flat: Map<String, Json>,
    values: &Values,
) -> Result<Json, (&'static str, String)> {
    let mut take = |key: &str| flat.remove(key);
    match kind {
        "seed_lot" => {
            let name = take("name").and_then(|n| n.as_str().map(str::to_string)).unwrap_or_default();
            let id = values
                .get("key")
                .filter(|k| !k.is_empty())
                .cloned()
                .unwrap_or_else(|| SeedLotId::from_name(&name).0);
            flat.insert("id".into(), json!(id));
        }
        "drill_catch" => {
            let caught: Vec<Json> = ["catch1", "catch2", "catch3"].iter().filter_map(|k| take(k)).collect();
            flat.insert("caught_kg".into(), json!(caught));
        }
        "drill_set_up" => {
            let mut tanks = Vec::new();
            for (name_key, volume_key, least_key, most_key) in [
                ("tank1_name", "tank1_m3", "tank1_least", "tank1_most"),
                ("tank2_name", "tank2_m3", "tank2_least", "tank2_most"),
                ("tank3_name", "tank3_m3", "tank3_least", "tank3_most"),
            ] {
                let (name, volume) = (take(name_key), take(volume_key));
                let (least, most) = (take(least_key), take(most_key));
                if volume.is_none() && (name.is_some() || least.is_some() || most.is_some()) {
                    return Err((
                        volume_key,
                        "Give the volume of this tank, or leave its name and rates empty.".into(),
                    ));
                }
                let Some(volume) = volume else { continue };
                let name = name.unwrap_or_else(|| json!(format!("tank {}", tanks.len() + 1)));
                let mut tank = json!({"name": name, "volume_m3": volume});
                for (key, rate) in [("least_kg_ha", least), ("most_kg_ha", most)] {
                    if let Some(rate) = rate {
                        tank[key] = rate;
                    }
                }
                tanks.push(tank);
            }
            flat.insert("tanks".into(), json!(tanks));
        }
        "fertilizer_plan" => {
            flat.remove("dry");
            let mut seed = Map::new();
            for key in ["n_kg_ha", "p2o5_kg_ha", "k2o_kg_ha", "s_kg_ha"] {
                if let Some(rate) = flat.remove(&format!("seed_row.{key}")) {
                    seed.insert(key.into(), rate);
                }
            }
            if !seed.is_empty() {
                flat.insert("seed_row".into(), Json::Object(seed));
            }
            whole_year(&mut flat);
        }
        "tank_left" => whole_year(&mut flat),
        "fertilizer_applied" => {
            let mut products = Vec::new();
            for (product_key, kg_key, with_seed) in [
                ("seed_product", "seed_kg", true),
                ("band1_product", "band1_kg", false),
                ("band2_product", "band2_kg", false),
                ("band3_product", "band3_kg", false),
            ] {
                match (take(product_key), take(kg_key)) {
                    (Some(p), Some(kg)) => {
                        products.push(json!({"product": p, "kg": kg, "with_seed": with_seed}))
                    }
                    (Some(_), None) => return Err((kg_key, "Give the weight of this product.".into())),
                    (None, Some(_)) => {
                        return Err((product_key, "Say which product this weight is of.".into()));
                    }
                    (None, None) => {}
                }
            }
            if products.is_empty() {
                return Err(("seed_product", "Give at least one product with its weight.".into()));
            }
            flat.insert("products".into(), json!(products));
            whole_year(&mut flat);
        }
        "rate_table" => {
            let text = flat.get("text").and_then(Json::as_str).unwrap_or("");
            if let Err(e) = stook_fertility::sufficiency::read("your table", text) {
                return Err(("text", format!("{e}.")));
            }
        }
        _ => {}
    }
    Ok(Json::Object(flat))
}

fn whole_year(flat: &mut Map<String, Json>) {
    if let Some(x) = flat.get("crop_year").and_then(Json::as_f64) {
        flat.insert("crop_year".into(), json!(x.round() as i64));
    }
}

/// What an earlier entry holds for an input that is not a plain field of it.
pub fn prefill(data: &Json, key: &str) -> Option<Json> {
    let tank = |i: usize, what: &str| data["tanks"].get(i).map(|t| t[what].clone());
    let banded = |i: usize, what: &str| {
        data["products"].as_array()?.iter().filter(|p| p["with_seed"] != true).nth(i).map(|p| p[what].clone())
    };
    let seed = |what: &str| {
        data["products"].as_array()?.iter().find(|p| p["with_seed"] == true).map(|p| p[what].clone())
    };
    let catch = |i: usize| data["caught_kg"].get(i).cloned();
    match key {
        "name" => data.get("id").cloned(),
        "tank1_name" => tank(0, "name"),
        "tank1_m3" => tank(0, "volume_m3"),
        "tank2_name" => tank(1, "name"),
        "tank2_m3" => tank(1, "volume_m3"),
        "tank3_name" => tank(2, "name"),
        "tank3_m3" => tank(2, "volume_m3"),
        "tank1_least" => tank(0, "least_kg_ha"),
        "tank2_least" => tank(1, "least_kg_ha"),
        "tank2_most" => tank(1, "most_kg_ha"),
        "tank3_least" => tank(2, "least_kg_ha"),
        "tank3_most" => tank(2, "most_kg_ha"),
        "seed_product" => seed("product"),
        "seed_kg" => seed("kg"),
        "band1_product" => banded(0, "product"),
        "band1_kg" => banded(0, "kg"),
        "band2_product" => banded(1, "product"),
        "band2_kg" => banded(1, "kg"),
        "band3_product" => banded(2, "product"),
        "band3_kg" => banded(2, "kg"),
        "catch1" => catch(0),
        "catch2" => catch(1),
        "catch3" => catch(2),
        _ => None,
    }
}

/// The units used here, for tests.
#[cfg(test)]
pub fn weight_unit(u: &stook_book::payload::UnitChoice) -> &'static str {
    let Ask::Number { unit, .. } = WEIGHT else { return "" };
    unit(u)
}

#[cfg(test)]
mod tests;
