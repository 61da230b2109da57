//! What others say that the rates are reckoned by: labels, buyers, the local guide, the dealer and the meter.

use super::super::ask::{FIELD, PERCENT, RAIN, RATE, first, maybe, needed, plain};
use super::super::{Ask, Form};
use super::{CROP, PRODUCTS, TONNES};

/// The forms.
pub const FORMS: &[Form] = &[
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
        kind: "product_least",
        title: "Least of a product",
        glove: false,
        set_up: true,
        inputs: &[
            needed("product", "Product", "", PRODUCTS),
            maybe(
                "least_kg_ha",
                "Least rate it can be spread evenly at",
                "Alone or in a blend. The order never goes below it on a field that gets any.",
                RATE,
            ),
            maybe("least_kg", "Least the dealer sells", "Empty for any amount.", TONNES),
        ],
    },
];
