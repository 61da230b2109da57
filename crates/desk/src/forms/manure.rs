//! Forms of the pit and the barn over it.

use stook_book::payload::{AreaUnit, BarnKind, ManureMethod, UnitChoice};
use stook_measure::units::{KG_PER_LB, L_PER_IMPERIAL_GALLON};

use super::ask::{FIELD, PART, PERCENT, maybe, needed, plain};
use super::{Ask, Form, Input};

/// A thousand imperial gallons, m3.
const KGAL: f64 = L_PER_IMPERIAL_GALLON;
/// A pound in a thousand imperial gallons, kg/m3.
const LB_KGAL: f64 = KG_PER_LB / L_PER_IMPERIAL_GALLON;

fn in_gallons(u: &UnitChoice) -> bool {
    u.area == AreaUnit::Acres
}

const VOLUME: Ask = Ask::Number {
    unit: |u| if in_gallons(u) { "thousand imp. gal" } else { "m3" },
    to_si: |u, x| if in_gallons(u) { x * KGAL } else { x },
    from_si: |u, x| if in_gallons(u) { x / KGAL } else { x },
    step: 10.0,
};
const FLOW: Ask = Ask::Number {
    unit: |u| if in_gallons(u) { "thousand imp. gal a day" } else { "m3 a day" },
    to_si: |u, x| if in_gallons(u) { x * KGAL } else { x },
    from_si: |u, x| if in_gallons(u) { x / KGAL } else { x },
    step: 0.5,
};
const CONTENT: Ask = Ask::Number {
    unit: |u| if in_gallons(u) { "lb in 1,000 imp. gal" } else { "kg/m3" },
    to_si: |u, x| if in_gallons(u) { x * LB_KGAL } else { x },
    from_si: |u, x| if in_gallons(u) { x / LB_KGAL } else { x },
    step: 1.0,
};
const HOW: Ask =
    Ask::Choice(|| ManureMethod::ALL.iter().map(|c| (c.key().into(), c.words().into())).collect());
const PPM: Ask = plain(|_| "ppm Olsen P", 5.0);
const PIT: Input = Input {
    key: "store",
    label: "Pit",
    hint: "Its name, as in Set-up.",
    ask: Ask::Text,
    needed: true,
    first: "pit",
};

pub const FORMS: &[Form] = &[
    Form {
        kind: "manure_level",
        title: "How full the pit is",
        glove: true,
        set_up: false,
        inputs: &[
            PIT,
            needed(
                "held_m3",
                "In the pit now",
                "By the staff gauge or the depth from the rim. Never lean in; never go in.",
                VOLUME,
            ),
        ],
    },
    Form {
        kind: "manure_hauled",
        title: "Manure hauled",
        glove: true,
        set_up: false,
        inputs: &[
            PIT,
            FIELD,
            needed("volume_m3", "How much", "Loads times the tank, or by the flow meter.", VOLUME),
            PART,
            needed("method", "How", "", HOW),
            maybe("days_to_work_in", "Days until it was worked in", "", plain(|_| "days", 1.0)),
        ],
    },
    Form {
        kind: "manure_plan",
        title: "Manure planned",
        glove: false,
        set_up: false,
        inputs: &[
            PIT,
            FIELD,
            needed("crop_year", "Year of the harvest it is to feed", "", plain(|_| "", 1.0)),
            needed(
                "volume_m3",
                "How much in all",
                "Nothing takes an earlier plan for the field back.",
                VOLUME,
            ),
            PART,
            needed("method", "How", "", HOW),
            maybe("days_to_work_in", "Days until it will be worked in", "", plain(|_| "days", 1.0)),
        ],
    },
    Form {
        kind: "manure_test",
        title: "Manure analysis",
        glove: false,
        set_up: false,
        inputs: &[
            PIT,
            needed("total_n_kg_m3", "Total nitrogen", "", CONTENT),
            maybe(
                "ammonium_n_kg_m3",
                "Ammonium nitrogen",
                "Ask the laboratory for it: without it two thirds of the total is taken.",
                CONTENT,
            ),
            needed("p_kg_m3", "Phosphorus, as the element P", "P2O5 on the sheet? Divide by 2.29.", CONTENT),
            needed("k_kg_m3", "Potassium, as the element K", "K2O on the sheet? Divide by 1.2.", CONTENT),
            maybe("s_kg_m3", "Sulphur", "", CONTENT),
            maybe("dry_matter_pct", "Dry matter", "", PERCENT),
            Input {
                key: "agitated",
                label: "Stirred before sampling",
                hint: "",
                ask: Ask::YesNo("stirred", "not stirred"),
                needed: false,
                first: "true",
            },
        ],
    },
    Form {
        kind: "barn_count",
        title: "Head over the pit",
        glove: false,
        set_up: false,
        inputs: &[
            PIT,
            needed(
                "barn",
                "Kind of barn",
                "",
                Ask::Choice(|| BarnKind::ALL.iter().map(|c| (c.key().into(), c.words().into())).collect()),
            ),
            needed("head", "Head, or sows", "", plain(|_| "head", 10.0)),
        ],
    },
    Form {
        kind: "manure_store",
        title: "Manure pit",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "Name", "Such as Pit.", Ask::Text),
            needed("capacity_m3", "Holds", "Less the freeboard the permit asks.", VOLUME),
            maybe(
                "inflow_m3_day",
                "Flows in each day",
                "From two readings, if you have them; else by head, which leaves out wash water and rain.",
                FLOW,
            ),
        ],
    },
    Form {
        kind: "manure_rules",
        title: "Manure rules of your place",
        glove: false,
        set_up: true,
        inputs: &[
            needed("name", "Whose rule", "Province or state.", Ask::Text),
            needed("source", "Where you read it", "With its date. The law itself rules.", Ask::Text),
            maybe("twice_removal_from_ppm", "Phosphate held to twice the crop's removal from", "", PPM),
            maybe("removal_from_ppm", "Held to the removal from", "", PPM),
            maybe("none_from_ppm", "None from", "", PPM),
            maybe("closed_from", "No spreading from", "Month-day, such as 11-10.", Ask::Text),
            maybe("closed_to", "to", "Month-day, such as 04-10.", Ask::Text),
            maybe("set_backs", "Distances to keep, and the rest", "", Ask::LongText),
        ],
    },
];
