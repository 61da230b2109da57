//! Forms of money: a cost, what a machine is worth and burns, money to come in.

use stook_book::Farm;
use stook_book::payload::{AreaUnit, CostKind, Crop, UnitChoice};
use stook_measure::units;

use super::ask::{first, maybe, needed, pairs, plain};
use super::{Ask, Form};

/// Horsepower of a kilowatt.
const HP_PER_KW: f64 = 1.341_022_09;

fn acres(u: &UnitChoice) -> bool {
    u.area == AreaUnit::Acres
}

const AN_AREA: Ask = Ask::Number {
    unit: |u| if acres(u) { "an acre" } else { "a hectare" },
    to_si: |u, x| if acres(u) { x / units::HA_PER_ACRE } else { x },
    from_si: |u, x| if acres(u) { x * units::HA_PER_ACRE } else { x },
    step: 1.0,
};
const MONEY: Ask = plain(|u| if u.money == "$" { "$" } else { "" }, 500.0);
const POWER: Ask = Ask::Number {
    unit: |u| if acres(u) { "hp" } else { "kW" },
    to_si: |u, x| if acres(u) { x / HP_PER_KW } else { x },
    from_si: |u, x| if acres(u) { x * HP_PER_KW } else { x },
    step: 10.0,
};
const YEAR: Ask = plain(|_| "", 1.0);
const HOURS: Ask = plain(|_| "h", 10.0);

fn machines(farm: &Farm) -> Vec<(String, String)> {
    farm.machines
        .values()
        .filter(|m| m.is.kind.works_land() || m.is.kind == stook_book::payload::MachineKind::Cart)
        .map(|m| (m.is.id.to_string(), m.is.name.clone()))
        .collect()
}
fn crops() -> Vec<(String, String)> {
    Crop::NAMED[..8].iter().map(|c| (c.key().to_string(), c.words().to_string())).collect()
}

/// The forms.
pub const FORMS: &[Form] = &[
    Form {
        kind: "cost",
        title: "Cost or bill",
        glove: false,
        set_up: false,
        inputs: &[
            first(needed("kind", "What for", "", pairs!(CostKind)), "land"),
            maybe("what", "In your words", "", Ask::Text),
            needed("crop_year", "For the harvest of", "", YEAR),
            maybe("field", "Field", "", Ask::FieldOr("all fields, shared by area")),
            maybe("crop", "Crop", "Leave it for all crops, or for a cost of one field.", Ask::Choice(crops)),
            maybe("per_ha", "Money by the area", "This or the money in all.", AN_AREA),
            maybe("amount", "Money in all", "", MONEY),
            maybe(
                "due",
                "To be paid on",
                "Goes into the cash by month. Leave it when it is paid, or when it stands under payments due.",
                Ask::Date,
            ),
        ],
    },
    Form {
        kind: "machine_value",
        title: "Machine: worth and fuel",
        glove: false,
        set_up: false,
        inputs: &[
            needed("machine", "Machine", "", Ask::Of(machines)),
            needed("new_price", "Price of a like new one today", "Not what you paid.", MONEY),
            needed("built", "Year it was built", "", YEAR),
            maybe("power_kw", "Power", "Its own, or the tractor's in front of it.", POWER),
            maybe("fuel_l_h", "Fuel by your own fills", "Goes before the reckoned.", plain(|_| "L/h", 1.0)),
            maybe(
                "repairs_a_year",
                "Repairs by your own bills, a year",
                "Go before the published factors.",
                MONEY,
            ),
            maybe("hours_a_year", "Hours a year", "Left out: what your own acres take.", HOURS),
            maybe("tractor_new_price", "Price of a like new tractor, if pulled", "", MONEY),
            maybe("tractor_built", "Year the tractor was built", "", YEAR),
            maybe("tractor_hours_a_year", "Hours a year of the tractor", "All its work together.", HOURS),
        ],
    },
    Form {
        kind: "money_in",
        title: "Money to come in",
        glove: false,
        set_up: false,
        inputs: &[
            needed("what", "What for", "Not grain or pigs: those are reckoned.", Ask::Text),
            needed("amount", "Money", "", MONEY),
            needed("due", "When", "", Ask::Date),
        ],
    },
];
