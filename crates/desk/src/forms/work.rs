//! Work done in a field.

use stook_book::payload::{Operation, SprayPurpose};

use super::ask::{AREA, DEPTH, FIELD, PART, PERCENT, RATE, YIELD, first, maybe, needed, pairs, plain};
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
        kind: "spray_pass",
        title: "Sprayed",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(needed("purpose", "For", "", pairs!(SprayPurpose)), "herbicide"),
            needed("product", "Product, as on the label", "", Ask::Text),
            maybe("rate", "Rate, as on the label", "", Ask::Text),
            maybe(
                "pre_harvest_days",
                "Days to harvest, from the label",
                "The field is blocked for cutting until then.",
                plain(|_| "days", 1.0),
            ),
            maybe("re_entry_hours", "Hours before anyone may enter, from the label", "", plain(|_| "h", 1.0)),
            PART,
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
