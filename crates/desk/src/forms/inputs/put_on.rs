//! Fertilizer planned and put on.

use stook_book::payload::FertilizerPlacement;

use super::super::ask::{AREA, FIELD, RATE, YIELD, first, maybe, needed, pairs};
use super::super::{Ask, Form};
use super::{PRODUCTS, WEIGHT, YEAR};

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
        kind: "fertilizer_plan",
        title: "Fertilizer plan",
        glove: false,
        set_up: false,
        inputs: &[
            FIELD,
            YEAR,
            needed(
                "n_kg_ha",
                "Nitrogen, in all",
                "To buy: what manure in the book gives is beside it. The field's soil page proposes a rate and draws the profit.",
                RATE,
            ),
            needed("p2o5_kg_ha", "Phosphate, in all", "", RATE),
            needed("k2o_kg_ha", "Potash, in all", "", RATE),
            needed("s_kg_ha", "Sulphur, in all", "", RATE),
            maybe(
                "seed_row.n_kg_ha",
                "Of it with the seed, if any: nitrogen",
                "With MAP comes a fifth of its phosphate in nitrogen.",
                RATE,
            ),
            maybe("seed_row.p2o5_kg_ha", "With the seed, if any: phosphate", "", RATE),
            maybe("seed_row.k2o_kg_ha", "With the seed, if any: potash", "", RATE),
            maybe("seed_row.s_kg_ha", "With the seed, if any: sulphur", "", RATE),
            first(needed("placement", "The rest goes", "", pairs!(FertilizerPlacement)), "side_band"),
            first(
                maybe(
                    "dry",
                    "If you know it: the seedbed",
                    "A dry one, or a warm drying wind, halves what the seed bears.",
                    Ask::YesNo("dry", "moist"),
                ),
                "false",
            ),
            maybe("target_yield_kg_ha", "Yield it is for", "", YIELD),
            maybe("why", "Why, in your words", "", Ask::Text),
        ],
    },
];
