//! Work done in a field.

use stook_book::payload::Operation;

use super::ask::{AREA, DEPTH, FIELD, PART, PERCENT, RATE, YIELD, first, maybe, needed, pairs};
use super::{Ask, Form};

/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "go_no_go",
        title: "Go or no at the gate",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("operation", "Work", "", pairs!(Operation)), "seed"),
            needed("go", "Fit?", "It teaches Stook your own limit.", Ask::YesNo("GO", "NO")),
            maybe("reason", "Why, if you like", "", Ask::Text),
        ],
    },
    Form { kind: "harrowed", title: "Harrowed", glove: true, set_up: false, inputs: &[FIELD, PART] },
    Form {
        kind: "seeding",
        title: "Seeded",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("done", "Whole field in?", "", Ask::YesNo("done", "not yet")), "true"),
            maybe("depth_mm", "Depth", "", DEPTH),
            maybe("rate_kg_ha", "Rate", "", RATE),
            maybe("area_ha", "Area, if not the whole field", "", AREA),
        ],
    },
    Form {
        kind: "cut",
        title: "Cut",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("done", "Whole field off?", "", Ask::YesNo("done", "not yet")), "true"),
            maybe("moisture_wb_pct", "Moisture", "", PERCENT),
            maybe("yield_kg_ha", "Yield, as weighed", "", YIELD),
            maybe("area_ha", "Area, if not the whole field", "", AREA),
            maybe(
                "inside_interval_why",
                "If inside a pre-harvest interval: why all the same",
                "The label and the law rule.",
                Ask::Text,
            ),
        ],
    },
];
