//! Seed, fertilizer, the drill's rows and tanks, labels and premiums.

use serde_json::{Map, Value as Json, json};
use stook_book::SeedLotId;
use stook_book::payload::{AreaUnit, Crop, DepthUnit, FertilizerPlacement, RateUnit};
use stook_measure::units;

use super::ask::{AREA, FIELD, PERCENT, RAIN, RATE, WIDTH, first, maybe, needed, pairs, plain};
use super::{Ask, Form, Input, Values};

const CROP: Ask =
    Ask::Choice(|| Crop::NAMED.iter().map(|c| (c.key().to_string(), c.words().to_string())).collect());
const PRODUCTS: Ask = Ask::Choice(|| {
    stook_fertility::product::Product::shipped().iter().map(|p| (p.key.clone(), p.name.clone())).collect()
});
/// A weight; the book keeps kg.
const WEIGHT: Ask = Ask::Number {
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
const YEAR: Input = needed("crop_year", "Year of the harvest", "", plain(|_| "", 1.0));

/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "fertilizer_applied",
        title: "Fertilizer put on",
        glove: false,
        set_up: false,
        inputs: &[
            FIELD,
            YEAR,
            maybe("seed_product", "With the seed, if any: product", "", PRODUCTS),
            maybe(
                "seed_kg",
                "With the seed, if any: weight",
                "By the tank's scale or the bags, for the whole area.",
                WEIGHT,
            ),
            maybe("band1_product", "In the band, if any: product", "", PRODUCTS),
            maybe("band1_kg", "In the band, if any: weight", "", WEIGHT),
            maybe("band2_product", "Second in the band, if any: product", "", PRODUCTS),
            maybe("band2_kg", "Second in the band, if any: weight", "", WEIGHT),
            maybe("band3_product", "Third in the band, if any: product", "", PRODUCTS),
            maybe("band3_kg", "Third in the band, if any: weight", "", WEIGHT),
            maybe("area_ha", "Area, if not the whole field", "", AREA),
        ],
    },
    Form {
        kind: "seed_lot",
        title: "Seed lot",
        glove: false,
        set_up: false,
        inputs: &[
            needed(
                "name",
                "What you call it",
                "As on the bag tag or the bin, such as wheat bin 3.",
                Ask::Text,
            ),
            first(needed("crop", "Crop", "", CROP), "spring_wheat"),
            maybe("cultivar", "Cultivar", "", Ask::Text),
            maybe(
                "tkw_g",
                "Weight of a thousand kernels",
                "Count and weigh, or the laboratory.",
                plain(|_| "g", 0.5),
            ),
            maybe("germination_pct", "Germination", "", PERCENT),
            maybe("vigour_pct", "Vigour", "", PERCENT),
            maybe("fusarium_pct", "Seeds with fusarium", "", PERCENT),
            first(
                needed(
                    "treated",
                    "Treated?",
                    "Treated seed never goes into feed or a load.",
                    Ask::YesNo("treated", "not treated"),
                ),
                "false",
            ),
            maybe("on_hand_kg", "On hand", "", GRAIN),
        ],
    },
    Form {
        kind: "plant_back",
        title: "Plant-back limit from a label",
        glove: false,
        set_up: false,
        inputs: &[
            FIELD,
            needed("product", "Product, as on the label", "", Ask::Text),
            needed("applied", "Applied on", "", Ask::Date),
            first(needed("crop", "The limit is on", "", CROP), "peas"),
            needed(
                "months",
                "Months before it may be seeded",
                "From the label, for your soil zone and pH.",
                plain(|_| "months", 1.0),
            ),
            maybe("june_to_august_mm", "Rain from 1 June to 31 August, if the label asks it", "", RAIN),
        ],
    },
    Form {
        kind: "protein_premium",
        title: "Protein premium",
        glove: false,
        set_up: false,
        inputs: &[
            needed("buyer", "Buyer", "", Ask::Text),
            first(needed("base_pct", "Protein of the base price", "", PERCENT), "13.5"),
            needed("up_per_t_point", "Added for each point above, a tonne", "", plain(|_| "a tonne", 1.0)),
            needed(
                "down_per_t_point",
                "Taken off for each point below, a tonne",
                "",
                plain(|_| "a tonne", 1.0),
            ),
            first(needed("cap_pct", "Nothing more is added above", "", PERCENT), "15"),
            first(
                needed(
                    "step_pct",
                    "A step of the schedule",
                    "0.1 where every tenth is paid.",
                    plain(|_| "points", 0.1),
                ),
                "0.1",
            ),
        ],
    },
    Form {
        kind: "rate_table",
        title: "Rate table of your guide",
        glove: false,
        set_up: false,
        inputs: &[
            needed("name", "What you call it", "", Ask::Text),
            needed(
                "source",
                "Where it is from, with its year",
                "The laboratory's report or the local guide.",
                Ask::Text,
            ),
            needed(
                "text",
                "The table, as CSV",
                "Its first line: table,crop,nutrient,extractant,unit,from,below,rate_lb_ac,sure,source,note. A row: guide,spring_wheat,P2O5,olsen,ppm,0,5,40,published,our guide 2025,",
                Ask::LongText,
            ),
        ],
    },
    Form {
        kind: "drill_catch",
        title: "Drill catch",
        glove: false,
        set_up: false,
        inputs: &[
            needed("what", "What was caught", "A product or a seed lot, as you call it.", Ask::Text),
            needed("catch1", "First catch", "", plain(|_| "kg", 0.1)),
            maybe("catch2", "Second catch, if any was taken", "", plain(|_| "kg", 0.1)),
            maybe("catch3", "Third catch, if any was taken", "", plain(|_| "kg", 0.1)),
            needed("width_m", "Width it stands for", "Openers caught times the row spacing.", WIDTH),
            needed(
                "distance_m",
                "Distance it stands for",
                "Driven, or turns times the distance of a turn.",
                WIDTH,
            ),
            needed("wanted_kg_ha", "Rate wanted", "", RATE),
            needed("setting", "Setting in use", "As the meter or the box shows it.", plain(|_| "", 1.0)),
        ],
    },
    Form {
        kind: "drill_set_up",
        title: "Drill: rows and tanks",
        glove: false,
        set_up: true,
        inputs: &[
            first(needed("machine", "The drill's key", "As in set-up.", Ask::Text), "drill"),
            needed("row_spacing_cm", "Between rows", "", ROWS),
            needed(
                "spread_cm",
                "Spread of seed and fertilizer in the row",
                "Dig behind the drill and measure.",
                ROWS,
            ),
            first(needed("double_disc", "Openers", "", Ask::YesNo("double disc", "other")), "false"),
            first(
                needed("band", "Fertilizer apart from the seed goes", "", pairs!(FertilizerPlacement)),
                "side_band",
            ),
            first(needed("tank1_name", "First tank, for seed", "", Ask::Text), "seed"),
            needed("tank1_m3", "Its volume", "", TANK),
            maybe("tank2_name", "Second tank, if any, for what goes with the seed", "", Ask::Text),
            maybe("tank2_m3", "Volume of the second, if any tank", "", TANK),
            maybe("tank3_name", "Third tank, if any, for the band", "", Ask::Text),
            maybe("tank3_m3", "Volume of the third, if any tank", "", TANK),
            maybe("refill_min", "A refill takes", "", plain(|_| "minutes", 5.0)),
        ],
    },
];

/// Whether flat values of this kind are put together here.
pub fn shapes(kind: &str) -> bool {
    matches!(
        kind,
        "fertilizer_applied" | "seed_lot" | "drill_catch" | "drill_set_up" | "rate_table" | "plant_back"
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
            for (name_key, volume_key) in
                [("tank1_name", "tank1_m3"), ("tank2_name", "tank2_m3"), ("tank3_name", "tank3_m3")]
            {
                let (name, volume) = (take(name_key), take(volume_key));
                match (name, volume) {
                    (name, Some(v)) => tanks.push(json!({"name": name.unwrap_or_else(|| json!(format!("tank {}", tanks.len() + 1))), "volume_m3": v})),
                    (Some(_), None) => return Err((volume_key, "Give the volume of this tank, or leave its name empty.".into())),
                    (None, None) => {}
                }
            }
            flat.insert("tanks".into(), json!(tanks));
        }
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
mod tests {
    use super::*;
    use crate::forms::{find, prefill as whole, read};

    #[test]
    fn every_form_reads_what_it_shows() {
        let u = stook_book::payload::UnitChoice::default();
        assert_eq!(weight_unit(&u), "lb");
        let values = |v: &[(&str, &str)]| -> Values {
            v.iter().map(|(k, t)| ((*k).to_string(), (*t).to_string())).collect()
        };
        for (kind, typed) in [
            (
                "seed_lot",
                values(&[
                    ("name", "Wheat bin 3"),
                    ("crop", "spring_wheat"),
                    ("treated", "true"),
                    ("tkw_g", "36.5"),
                    ("on_hand_kg", "900"),
                ]),
            ),
            (
                "drill_set_up",
                values(&[
                    ("machine", "drill"),
                    ("row_spacing_cm", "10"),
                    ("spread_cm", "1.5"),
                    ("double_disc", "false"),
                    ("band", "side_band"),
                    ("tank1_name", "seed"),
                    ("tank1_m3", "150"),
                    ("tank3_name", "band"),
                    ("tank3_m3", "200"),
                ]),
            ),
            (
                "drill_catch",
                values(&[
                    ("what", "urea"),
                    ("catch1", "5.1"),
                    ("catch2", "5.2"),
                    ("width_m", "10"),
                    ("distance_m", "300"),
                    ("wanted_kg_ha", "90"),
                    ("setting", "42"),
                ]),
            ),
            (
                "fertilizer_applied",
                values(&[
                    ("field", "a"),
                    ("crop_year", "2026"),
                    ("seed_product", "map"),
                    ("seed_kg", "6000"),
                    ("band1_product", "urea"),
                    ("band1_kg", "15000"),
                ]),
            ),
        ] {
            let form = find(kind).unwrap();
            let payload = read(form, &typed, &u, None).unwrap_or_else(|e| panic!("{kind}: {e:?}"));
            let back = whole(form, &payload.data().unwrap(), &u);
            for (k, v) in &typed {
                let (a, b) = (back.get(k).map_or("", String::as_str), v.as_str());
                let same = a == b
                    || a.parse::<f64>()
                        .ok()
                        .zip(b.parse::<f64>().ok())
                        .is_some_and(|(x, y)| (x - y).abs() < 1e-2)
                    || k == "name"
                    || k == "tank3_name"
                    || k == "tank3_m3";
                assert!(same, "{kind} {k}: {a} {b}");
            }
        }
        let half = values(&[("field", "a"), ("crop_year", "2026"), ("seed_product", "map")]);
        assert_eq!(read(find("fertilizer_applied").unwrap(), &half, &u, None).unwrap_err()[0].at, "seed_kg");
        let table = values(&[("name", "g"), ("source", "s"), ("text", "a,b\n1,2\n")]);
        assert_eq!(read(find("rate_table").unwrap(), &table, &u, None).unwrap_err()[0].at, "text");
    }
}
