//! Settlement of a load.

use stook_measure::{Args, Calculator, Input, Outcome};

use super::{output, refuse};
use crate::settle::{LineKey, MoistureTerm, Sale};

fn money(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "a tonne", -500.0, 5_000.0, about).or(0.0)
}

const THEIR_KEYS: [&str; 8] = [
    "their_net_scale_kg",
    "their_dockage_kg",
    "their_net_t",
    "their_price_t",
    "their_gross_value",
    "their_deductions",
    "their_levy",
    "their_payable",
];

fn inputs() -> Vec<Input> {
    let mut v = vec![
        Input::number("gross_kg", "kg", 0.0, 200_000.0, "scale, full"),
        Input::number("tare_kg", "kg", 0.0, 100_000.0, "scale, empty"),
        Input::number("dockage_pct", "%", 0.0, 60.0, "dockage").or(0.0),
        Input::number("price_t", "a tonne", 0.0, 5_000.0, "price for the grade"),
        money("protein_t", "protein premium; below nothing for a discount"),
        money("discount_t", "other discounts"),
        money("moisture_discount_t", "discount for tough or damp"),
        money("drying_t", "drying charge"),
        Input::number("shrink_from_pct", "% wb", 5.0, 40.0, "moisture the weight is shrunk from").optional(),
        Input::number("shrink_to_pct", "% wb", 5.0, 30.0, "moisture the weight is shrunk to").optional(),
        money("freight_t", "freight"),
        money("elevation_t", "elevation"),
        money("cleaning_t", "cleaning"),
        money("inspection_t", "inspection"),
        money("levy_t", "levies"),
        Input::number("advance", "", 0.0, 1e8, "advances and other money already had").or(0.0),
    ];
    for (key, line) in THEIR_KEYS.into_iter().zip(LineKey::ALL) {
        v.push(Input::number(key, line.unit(), -1e9, 1e9, "the buyer's figure for this line").optional());
    }
    v
}

fn sale(a: &Args) -> Result<Sale, stook_measure::CalcError> {
    let (discount, drying) = (a.number("moisture_discount_t"), a.number("drying_t"));
    let shrink = a.maybe_number("shrink_from_pct").zip(a.maybe_number("shrink_to_pct"));
    let terms = usize::from(discount != 0.0) + usize::from(drying != 0.0) + usize::from(shrink.is_some());
    if terms > 1 {
        return Err(refuse(
            "moisture is settled once: by a discount, a drying charge or shrink, not by two of them; ask the buyer which",
        ));
    }
    let moisture = match shrink {
        Some((from_pct, to_pct)) => MoistureTerm::Shrink { from_pct, to_pct },
        None if discount != 0.0 => MoistureTerm::Discount(discount),
        None if drying != 0.0 => MoistureTerm::Drying(drying),
        None => MoistureTerm::Straight,
    };
    if a.number("tare_kg") > a.number("gross_kg") {
        return Err(refuse("the empty truck weighs more than the full one; check the ticket"));
    }
    Ok(Sale {
        gross_kg: a.number("gross_kg"),
        tare_kg: a.number("tare_kg"),
        dockage_pct: a.number("dockage_pct"),
        moisture,
        price_t: a.number("price_t"),
        protein_t: a.number("protein_t"),
        discount_t: a.number("discount_t"),
        freight_t: a.number("freight_t"),
        elevation_t: a.number("elevation_t"),
        cleaning_t: a.number("cleaning_t"),
        inspection_t: a.number("inspection_t"),
        levy_t: a.number("levy_t"),
        advance: a.number("advance"),
    })
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![Calculator {
        name: "grain.settlement",
        title: "Settlement of a load, and where it goes wrong",
        about: "Works a settlement from the ticket and the terms, line by line. With the buyer's figures given it names the first line that does not follow from the lines above it, and what seems to have been done.",
        inputs: inputs(),
        outputs: vec![
            output("net_scale_kg", "kg", "net scale weight"),
            output("net_t", "t", "clean weight"),
            output("price", "a tonne", "price after adjustments"),
            output("gross_value", "", "value before deductions"),
            output("deductions", "", "freight, elevation, cleaning, inspection, drying"),
            output("levy", "", "levies"),
            output("payable", "", "to be paid"),
            output("wrong_line", "", "first line of the buyer's that is wrong; empty when none"),
            output("likely", "", "what the buyer seems to have done"),
            output(
                "short",
                "",
                "money the buyer's payable is short of ours; not known when it was not given",
            ),
        ],
        source: "order of the steps from the Canada Grain Regulations",
        run: |a| {
            let s = sale(a)?;
            let theirs: Vec<(LineKey, f64)> = LineKey::ALL
                .into_iter()
                .zip(THEIR_KEYS)
                .filter_map(|(line, key)| a.maybe_number(key).map(|v| (line, v)))
                .collect();
            let found = s.compare(&theirs);
            let fault = found.iter().find(|d| d.at_fault);
            let mut w = s.working();
            for d in &found {
                let carried = if d.at_fault { "is wrong" } else { "carries the error from above" };
                w = w.note(format!(
                    "{}: {:.2} against {:.2} {carried}{}",
                    d.line.words(),
                    d.theirs,
                    d.ours,
                    d.likely.map_or(String::from("."), |l| format!("; {l}."))
                ));
            }
            let short = a.maybe_number("their_payable").map_or(f64::NAN, |p| s.line(LineKey::Payable) - p);
            Ok(Outcome::new(w)
                .with("net_scale_kg", s.line(LineKey::NetScaleKg))
                .with("net_t", s.line(LineKey::NetT))
                .with("price", s.line(LineKey::PriceT))
                .with("gross_value", s.line(LineKey::GrossValue))
                .with("deductions", s.line(LineKey::Deductions))
                .with("levy", s.line(LineKey::Levy))
                .with("payable", s.line(LineKey::Payable))
                .with("wrong_line", fault.map_or("", |d| d.line.words()))
                .with("likely", fault.and_then(|d| d.likely).unwrap_or(""))
                .with("short", short))
        },
    }]
}
