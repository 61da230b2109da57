//! The drill: its rows, tanks and meters, catches, and what was left.

use stook_book::payload::FertilizerPlacement;

use super::super::ask::{AREA, FIELD, RATE, WIDTH, first, maybe, needed, pairs, plain};
use super::super::{Ask, Form};
use super::{LIQUID, ROWS, TANK, WEIGHT, YEAR};

fn tanks(farm: &stook_book::Farm) -> Vec<(String, String)> {
    let all = farm.drills.values().flat_map(|d| d.is.carried());
    all.map(|(name, _)| (name.to_string(), name.to_string())).collect()
}

/// The forms.
pub const FORMS: &[Form] = &[
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
        kind: "tank_left",
        title: "Left in a tank",
        glove: false,
        set_up: false,
        inputs: &[
            FIELD,
            YEAR,
            needed("tank", "Tank", "One entry for each.", Ask::Of(tanks)),
            needed(
                "filled_kg",
                "All that was in it for this field",
                "What stood in it at the start and every fill, by the tote scale, the bags or the truck's ticket.",
                WEIGHT,
            ),
            needed("left_kg", "Left in it", "By the scale, or emptied and weighed.", WEIGHT),
            maybe("area_ha", "Area by the drill's counter", "Empty for the whole field.", AREA),
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
            maybe("tank1_least", "Lowest rate its meter holds, if known: first tank", "", RATE),
            maybe("tank2_least", "Lowest rate, if known: second tank", "", RATE),
            maybe("tank2_most", "Highest rate, if known: second tank", "", RATE),
            maybe("tank3_least", "Lowest rate, if known: third tank", "", RATE),
            maybe("tank3_most", "Highest rate, if known: third tank", "", RATE),
            maybe(
                "liquid_m3",
                "Liquid tank, if it carries one",
                "Without one the order leaves liquids out.",
                LIQUID,
            ),
            maybe(
                "liquid_with_seed",
                "The liquid runs",
                "",
                Ask::YesNo("to the seed row or the band", "to the band only"),
            ),
            maybe(
                "anhydrous_m3",
                "Nurse tank for anhydrous ammonia, if it pulls one",
                "Only with shanks of its own, apart from the seed.",
                LIQUID,
            ),
            maybe("refill_min", "A refill takes", "", plain(|_| "minutes", 5.0)),
        ],
    },
];
