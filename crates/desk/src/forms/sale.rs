//! Forms of a sale: a buyer's prices, and a ticket settled.

use serde_json::{Map, Value as Json, json};
use stook_book::payload::{Crop, MoistureSettled};

use super::ask::{PERCENT, first, maybe, needed, pairs, plain};
use super::{Ask, Form, Input};

fn crops() -> Vec<(String, String)> {
    Crop::NAMED[..7].iter().map(|c| (c.key().to_string(), c.words().to_string())).collect()
}

const MONEY: Ask = plain(|u| if u.money == "$" { "$ a tonne" } else { "a tonne" }, 1.0);
const CASH: Ask = plain(|u| if u.money == "$" { "$" } else { "" }, 100.0);
const KG: Ask = plain(|_| "kg", 100.0);

/// The forms.
pub const FORMS: &[Form] = &[
    Form { kind: "buyer", title: "Buyer's offer", glove: false, set_up: false, inputs: BUYER },
    Form { kind: "settlement", title: "Buyer's ticket", glove: false, set_up: false, inputs: SETTLEMENT },
    Form { kind: "contact", title: "Number to ring", glove: false, set_up: true, inputs: CONTACT },
    Form { kind: "entrance", title: "Entrance of a field", glove: false, set_up: true, inputs: ENTRANCE },
];

const CONTACT: &[Input] = &[
    needed("name", "Who", "Emergency line, neighbour, power line, gas, doctor, veterinarian.", Ask::Text),
    needed("phone", "Number", "", Ask::Text),
    maybe("words", "What to say", "For the emergency line: where the yard is, in their words.", Ask::Text),
];

const ENTRANCE: &[Input] = &[
    needed("field", "Field", "", Ask::Field),
    needed("words", "The way in", "Road, grid position, gate, which side.", Ask::Text),
    maybe(
        "lat_deg",
        "Latitude of the gate",
        "Degrees north, as a telephone shows it at the gate.",
        plain(|_| "degrees", 0.001),
    ),
    maybe(
        "lon_deg",
        "Longitude of the gate",
        "West of Greenwich it is negative, such as -101.31.",
        plain(|_| "degrees", 0.001),
    ),
];

const BUYER: &[Input] = &[
    needed("name", "Buyer", "", Ask::Text),
    first(needed("crop", "Crop", "", Ask::Choice(crops)), "spring_wheat"),
    needed(
        "prices",
        "Price of each grade, a tonne",
        "A grade a line, best first, such as: No. 1 CWRS 300. A price alone is for any grade. Dollars a bushel of wheat times 36.74 is dollars a tonne.",
        Ask::LongText,
    ),
    maybe("from", "Delivery from", "", Ask::Date),
    maybe("until", "Delivery until", "", Ask::Date),
    maybe("tonnes", "Tonnes in all", "A contract's, or the most they take.", plain(|_| "t", 10.0)),
    maybe(
        "contract",
        "Contract number, if one",
        "Its tonnes are then to be delivered; what goes from today on counts.",
        Ask::Text,
    ),
    maybe("most_t_month", "Most they take in a month", "", plain(|_| "t", 10.0)),
    maybe("base_protein_pct", "Protein of the price", "At 13.5 % moisture.", PERCENT),
    maybe("premium_per_t_point", "Added for each point above", "", MONEY),
    maybe("dock_per_t_point", "Taken off for each point below", "", MONEY),
    maybe("premium_to_pct", "Premium paid up to", "", PERCENT),
    maybe("lowest_protein_pct", "Lowest protein taken", "At 13.5 % moisture.", PERCENT),
    maybe("lowest_falling_number_s", "Lowest falling number taken", "", plain(|_| "s", 10.0)),
    maybe("most_don_ppm", "Most DON taken", "", plain(|_| "ppm", 0.5)),
    maybe(
        "don_steps",
        "Taken off for DON",
        "A step a line: above how many ppm, money a tonne, such as: 1.0 8",
        Ask::LongText,
    ),
    maybe(
        "average",
        "Lowest protein and most DON hold for",
        "Only where the contract says so: loads are then blended to it, openly.",
        Ask::YesNo("the average of all delivered", "each load"),
    ),
    maybe("tough_off_per_t", "Taken off for tough", "Left empty, tough is not taken.", MONEY),
    maybe("damp_off_per_t", "Taken off for damp", "Left empty, damp is not taken.", MONEY),
    maybe("freight_per_t", "Cost of the haul", "", MONEY),
];

const SETTLEMENT: &[Input] = &[
    needed("buyer", "Buyer", "", Ask::Text),
    maybe("ticket", "Ticket number", "", Ask::Text),
    first(needed("crop", "Crop", "", Ask::Choice(crops)), "spring_wheat"),
    maybe("grade", "Grade given", "", Ask::Text),
    needed("gross_kg", "Truck full", "", KG),
    needed("tare_kg", "Truck empty", "", KG),
    maybe("dockage_pct", "Dockage", "", PERCENT),
    maybe("moisture_wb_pct", "Moisture", "", PERCENT),
    maybe("protein_pct", "Protein, at 13.5 % moisture", "", PERCENT),
    first(
        needed(
            "moisture",
            "Moisture settled by",
            "Once only: never a discount and shrink both.",
            pairs!(MoistureSettled),
        ),
        "straight",
    ),
    maybe("moisture_per_t", "If by discount or drying: how much", "", MONEY),
    maybe("shrink_to_pct", "If by shrink: down to", "", PERCENT),
    needed("price_t", "Price for the grade", "", MONEY),
    maybe("protein_t", "Protein premium", "Below nothing for a discount.", MONEY),
    maybe("discount_t", "Other discounts", "DON, falling number, test weight.", MONEY),
    maybe("freight_t", "Freight", "", MONEY),
    maybe("elevation_t", "Elevation", "", MONEY),
    maybe("cleaning_t", "Cleaning", "", MONEY),
    maybe("inspection_t", "Inspection", "", MONEY),
    maybe("levy_t", "Levies", "", MONEY),
    maybe("advance", "Advance already had", "", CASH),
    maybe(
        "theirs.net_scale_kg",
        "Their net scale weight",
        "What the ticket prints; leave out what it does not.",
        KG,
    ),
    maybe("theirs.dockage_kg", "Their dockage", "", KG),
    maybe("theirs.net_t", "Their clean weight", "", plain(|_| "t", 1.0)),
    maybe("theirs.price_t", "Their price after adjustments", "", MONEY),
    maybe("theirs.gross_value", "Their value before deductions", "", CASH),
    maybe("theirs.deductions", "Their deductions", "", CASH),
    maybe("theirs.levy", "Their levies", "", CASH),
    maybe("theirs.payable", "What they paid", "", CASH),
];

type Wrong = (&'static str, String);

/// Puts lines of text into lists; the rest is kept as asked.
pub fn assemble(flat: &mut Map<String, Json>) -> Result<(), Wrong> {
    if let Some(text) = flat.get("prices").and_then(Json::as_str) {
        let mut prices = Vec::new();
        for line in text.lines().map(str::trim).filter(|l| !l.is_empty()) {
            let (grade, price) = line.rsplit_once(char::is_whitespace).unwrap_or(("", line));
            let price: f64 = price.trim_start_matches('$').replace(',', ".").parse().map_err(|_| {
                ("prices", format!("\"{line}\" does not end in a price, such as: No. 1 CWRS 300"))
            })?;
            prices.push(json!({"grade": grade.trim(), "price_per_t": price}));
        }
        flat.insert("prices".into(), json!(prices));
    }
    if let Some(text) = flat.get("don_steps").and_then(Json::as_str) {
        let mut steps = Vec::new();
        for line in text.lines().map(str::trim).filter(|l| !l.is_empty()) {
            let numbers: Vec<f64> = line
                .split_whitespace()
                .filter_map(|t| t.trim_start_matches('$').replace(',', ".").parse().ok())
                .collect();
            let [above, off] = numbers.as_slice() else {
                return Err(("don_steps", format!("\"{line}\" is not a step, such as: 1.0 8")));
            };
            steps.push(json!({"above_ppm": above, "off_per_t": off}));
        }
        flat.insert("don_steps".into(), json!(steps));
    }
    Ok(())
}

/// The lists as lines of text.
pub fn prefill(data: &Json, key: &str) -> Option<String> {
    let lines = |f: &dyn Fn(&Json) -> String| {
        data[key].as_array().map(|l| l.iter().map(f).collect::<Vec<_>>().join("\n"))
    };
    match key {
        "prices" => lines(&|p| {
            format!("{} {}", p["grade"].as_str().unwrap_or(""), p["price_per_t"]).trim().to_string()
        }),
        "don_steps" => lines(&|s| format!("{} {}", s["above_ppm"], s["off_per_t"])),
        _ => None,
    }
}
