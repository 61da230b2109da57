//! Seed lots.

use super::super::ask::{PERCENT, first, maybe, needed, plain};
use super::super::{Ask, Form};
use super::{CROP, GRAIN};

/// The forms.
pub const FORMS: &[Form] = &[Form {
    kind: "seed_lot",
    title: "Seed lot",
    glove: false,
    set_up: false,
    inputs: &[
        needed("name", "What you call it", "As on the bag tag or the bin, such as wheat bin 3.", Ask::Text),
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
}];
