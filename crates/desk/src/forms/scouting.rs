//! A walk through the crop: insects, damage, heads and kernels.

use stook_book::payload::{AreaUnit, CountUnit, DamageCause, Insect};
use stook_measure::units;

use super::ask::{AREA, FIELD, PERCENT, maybe, needed, pairs, plain};
use super::{Ask, Form};

/// Heads on an area; the book keeps them per m2.
const HEADS: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "heads/ft2" } else { "heads/m2" },
    to_si: |u, x| if u.area == AreaUnit::Acres { units::per_ft2_to_per_m2(x) } else { x },
    from_si: |u, x| if u.area == AreaUnit::Acres { units::per_m2_to_per_ft2(x) } else { x },
    step: 1.0,
};

/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "insects_seen",
        title: "Insects counted",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            needed("insect", "Which", "", pairs!(Insect)),
            needed(
                "count",
                "How many",
                "The mean of several places: one in five heads is 0.2.",
                plain(|_| "", 1.0),
            ),
            needed(
                "unit",
                "For",
                "Sources count for different things; say which you did.",
                pairs!(CountUnit),
            ),
            maybe("area_ha", "Area they are on, if not the whole field", "", AREA),
            maybe("note", "Where, or what else", "", Ask::Text),
        ],
    },
    Form {
        kind: "damage_seen",
        title: "Damage seen",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            needed("cause", "By", "", pairs!(DamageCause)),
            maybe(
                "lost_pct",
                "Yield you take as lost",
                "Leave it until it can be judged: hail and frost show after 7 to 10 days.",
                PERCENT,
            ),
            maybe("area_ha", "Area hit, if not the whole field", "", AREA),
            maybe(
                "insurer_told",
                "Insurer told?",
                "Tell them at once; destroy nothing without written leave.",
                Ask::YesNo("told", "not yet"),
            ),
            maybe("note", "What you saw", "", Ask::Text),
        ],
    },
    Form {
        kind: "yield_count",
        title: "Heads and kernels",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            needed("heads_per_m2", "Heads", "Several places, the mean.", HEADS),
            needed(
                "kernels_per_head",
                "Kernels a head",
                "Several heads, the mean.",
                plain(|_| "kernels", 1.0),
            ),
            maybe(
                "tkw_g",
                "Weight of a thousand kernels",
                "Not known? Leave it: the usual is taken.",
                plain(|_| "g", 1.0),
            ),
        ],
    },
];
