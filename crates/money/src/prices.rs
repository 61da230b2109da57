//! Prices the money page reads beside those of other subjects, and what stands in.

use jiff::civil::Date;
use stook_book::Farm;
use stook_book::payload::Crop;
use stook_measure::{Reference, units};

/// Keys with what they are and per what, for forms.
pub const KEYS: [(&str, &str, &str); 8] = [
    ("diesel", "diesel, a litre", "l"),
    ("wage", "an hour of work, your own too", "h"),
    ("market_pig", "a market pig, a head", "head"),
    ("insecticide_pass", "an insect spray, product and pass", "ac"),
    ("seed_barley", "barley seed", "bu"),
    ("seed_oats", "oat seed", "bu"),
    ("seed_canola", "canola seed, a pound", "lb"),
    ("seed_peas", "pea seed", "bu"),
];

/// A price and whether it is ours because the farm has entered none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Priced {
    /// Money.
    pub value: f64,
    /// Whether ours stands in.
    pub ours: bool,
}

fn or_ours(own: Option<f64>, r: &Reference, name: &str) -> Priced {
    match own {
        Some(value) => Priced { value, ours: false },
        None => Priced {
            value: r.get(name),
            ours: r.coefficient(name).is_none_or(|c| c.sure != stook_measure::Sure::Local),
        },
    }
}

/// Diesel, money a litre.
pub fn diesel(farm: &Farm, r: &Reference, on: Date) -> Priced {
    let own = farm.price("diesel", on).and_then(|p| match p.unit.as_str() {
        "l" => Some(p.value),
        "us_gal" => Some(p.value / units::L_PER_US_GALLON),
        _ => None,
    });
    or_ours(own, r, "money.price.diesel_l")
}

/// An hour of work.
pub fn wage(farm: &Farm, r: &Reference, on: Date) -> Priced {
    or_ours(farm.price("wage", on).filter(|p| p.unit == "h").map(|p| p.value), r, "money.price.wage_h")
}

/// Key of a crop's seed.
pub fn seed_key(crop: &Crop) -> String {
    match crop {
        Crop::SpringWheat | Crop::Durum => "seed".into(),
        c => format!("seed_{}", c.key()),
    }
}

/// Seed, money a kg; only the farm's own price.
pub fn seed_per_kg(farm: &Farm, crop: &Crop, on: Date) -> Option<f64> {
    let p = farm.price(&seed_key(crop), on)?;
    let lb = units::lb_per_bushel(if crop.key().contains("wheat") { "wheat" } else { crop.key() })?;
    match p.unit.as_str() {
        "bu" => Some(p.value / (lb * units::KG_PER_LB)),
        "t" => Some(p.value / 1000.0),
        "kg" => Some(p.value),
        "lb" => Some(p.value / units::KG_PER_LB),
        _ => None,
    }
}

/// The key of the price a crop is sold at.
pub fn crop_key(crop: &Crop) -> &str {
    match crop {
        Crop::SpringWheat => "wheat",
        c => c.key(),
    }
}

/// A pass by the area, money/ha; only the farm's own price.
pub fn pass_per_ha(farm: &Farm, key: &str, on: Date) -> Option<f64> {
    let p = farm.price(key, on)?;
    match p.unit.as_str() {
        "ha" => Some(p.value),
        "ac" => Some(p.value / units::HA_PER_ACRE),
        _ => None,
    }
}
