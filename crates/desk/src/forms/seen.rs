//! What was seen, measured or said.

use stook_book::payload::{Answer, MoistureMethod, ThumbResult};

use super::ask::{FIELD, PERCENT, PLANTS, RAIN, first, maybe, needed, pairs, plain};
use super::{Ask, Form};

/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "rain",
        title: "Rain gauge",
        glove: true,
        set_up: false,
        inputs: &[
            needed(
                "rain_mm",
                "Rain since the gauge was last emptied",
                "A reading before noon counts for the day before.",
                RAIN,
            ),
            maybe("field", "Gauge", "", Ask::FieldOr("in the yard")),
        ],
    },
    Form {
        kind: "emergence_seen",
        title: "Emergence seen",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            maybe("plants_per_m2", "Plants, if counted", "Several counts, the mean.", PLANTS),
            maybe("bare_pct", "Share of the field bare", "Leave it when there is none.", PERCENT),
        ],
    },
    Form {
        kind: "stage_seen",
        title: "Stage seen",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            maybe(
                "leaves",
                "Leaves on the main stem",
                "Whole and tenths: 3.5 is three and a half.",
                plain(|_| "leaves", 0.5),
            ),
            maybe(
                "words",
                "Or the stage",
                "",
                Ask::Choice(|| {
                    stook_crop::Phase::ALL
                        .iter()
                        .skip(2)
                        .map(|p| (p.words().to_string(), p.words().to_string()))
                        .collect()
                }),
            ),
        ],
    },
    Form {
        kind: "kernel_moisture",
        title: "Kernel moisture",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            needed("moisture_wb_pct", "Moisture", "Of the wet weight, as the meter shows it.", PERCENT),
            first(needed("method", "By", "", pairs!(MoistureMethod)), "meter"),
        ],
    },
    Form {
        kind: "thumb_test",
        title: "Thumb test",
        glove: true,
        set_up: false,
        inputs: &[FIELD, needed("result", "A kernel from the greenest part", "", pairs!(ThumbResult))],
    },
    Form {
        kind: "soil_test",
        title: "Soil test",
        glove: false,
        set_up: false,
        inputs: super::soil_test::INPUTS,
    },
    Form {
        kind: "note",
        title: "Note",
        glove: false,
        set_up: false,
        inputs: &[
            needed("text", "Note", "", Ask::LongText),
            maybe("field", "About", "", Ask::FieldOr("the farm")),
        ],
    },
    Form {
        kind: "decision_answer",
        title: "No, because",
        glove: false,
        set_up: false,
        inputs: &[
            needed("decision", "Decision", "", Ask::Text),
            first(needed("answer", "Answer", "", pairs!(Answer)), "no"),
            maybe("reason", "Why", "It is kept.", Ask::Text),
            maybe("field", "Field", "", Ask::FieldOr("no one field")),
        ],
    },
];
