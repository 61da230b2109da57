//! Harvest forms: grain found behind the combine, and what hauling machines hold and move.

use stook_book::payload::{AreaUnit, LossMeasure, YieldUnit};
use stook_measure::units;

use super::ask::{FIELD, SPEED, WIDTH, YIELD, first, maybe, needed, pairs, plain};
use super::inputs::WEIGHT;
use super::{Ask, Form, Input};

/// Grain as the farm says it: bushels of wheat, or tonnes.
const GRAIN: Ask = Ask::Number {
    unit: |u| if u.grain_yield == YieldUnit::BuAc { "bu of wheat" } else { "t" },
    to_si: |u, x| {
        if u.grain_yield == YieldUnit::BuAc { units::lb_to_kg(60.0 * x) } else { 1000.0 * x }
    },
    from_si: |u, x| {
        if u.grain_yield == YieldUnit::BuAc { units::kg_to_lb(x) / 60.0 } else { x / 1000.0 }
    },
    step: 50.0,
};
const GRAIN_H: Ask = Ask::Number {
    unit: |u| if u.grain_yield == YieldUnit::BuAc { "bu an hour" } else { "t an hour" },
    to_si: |u, x| {
        if u.grain_yield == YieldUnit::BuAc { units::lb_to_kg(60.0 * x) } else { 1000.0 * x }
    },
    from_si: |u, x| {
        if u.grain_yield == YieldUnit::BuAc { units::kg_to_lb(x) / 60.0 } else { x / 1000.0 }
    },
    step: 500.0,
};
/// Square feet where acres are used, else square metres.
const SMALL_AREA: Ask = Ask::Number {
    unit: |u| if u.area == AreaUnit::Acres { "ft2" } else { "m2" },
    to_si: |u, x| {
        if u.area == AreaUnit::Acres { x * units::M_PER_FT * units::M_PER_FT } else { x }
    },
    from_si: |u, x| {
        if u.area == AreaUnit::Acres { x / (units::M_PER_FT * units::M_PER_FT) } else { x }
    },
    step: 1.0,
};
const FOUND: Ask = plain(|_| "", 1.0);

pub(super) const HOLDS: Input =
    maybe("holds_kg", "What it holds", "Combine tank, cart, truck box, wet bin before the drier.", GRAIN);
pub(super) const MOVES: Input = maybe(
    "moves_kg_h",
    "What it moves",
    "Unloading auger of a combine or cart, auger or pit in the yard, drier at 5 points.",
    GRAIN_H,
);
pub(super) const GOING: Input =
    maybe("unloads_going", "A combine's unloading", "", Ask::YesNo("on the go", "stopped"));

/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "pan_test",
        title: "Loss behind the combine",
        glove: true,
        set_up: false,
        inputs: &[
            FIELD,
            first(
                needed(
                    "measure",
                    "Measured by",
                    "Drop the pan from the machine, chopper and spreader off. Nobody behind a running combine.",
                    pairs!(LossMeasure),
                ),
                "kernels",
            ),
            needed("behind", "Found behind, under the straw and chaff", "", FOUND),
            maybe("cut_ground", "Found on cut ground the straw has not reached", "", FOUND),
            maybe("standing", "Found in the standing crop ahead", "", FOUND),
            needed("area_m2", "On an area of", "The same for all. A square foot is usual.", SMALL_AREA),
            maybe("from_separator", "Of that behind: in the long straw", "From the rotor or walkers.", FOUND),
            maybe("from_shoe", "Of that behind: in the chaff", "From the shoe.", FOUND),
            maybe("discharge_m", "Width the straw fell on", "", WIDTH),
            maybe("speed_kmh", "Ground speed", "", SPEED),
            maybe("yield_kg_ha", "Yield there", "", YIELD),
            maybe("tkw_g", "Weight of a thousand kernels", "", plain(|_| "g", 1.0)),
            maybe(
                "seen",
                "What else did you see",
                "",
                Ask::Choice(|| {
                    stook_harvest::adjust::table().iter().map(|r| (r.key.clone(), r.seen.clone())).collect()
                }),
            ),
        ],
    },
    Form {
        kind: "straw_baled",
        title: "Straw baled",
        glove: false,
        set_up: false,
        inputs: &[
            FIELD,
            needed("bales", "Bales taken off", "", plain(|_| "bales", 1.0)),
            needed(
                "bale_kg",
                "One weighs",
                "Weigh a few; a round bale is often 450 to 600 kg (1,000 to 1,300 lb).",
                WEIGHT,
            ),
        ],
    },
];
