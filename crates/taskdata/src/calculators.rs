//! Units of the data dictionary as calculators.

// Every calculator has the same signature, whether or not its inputs can be at odds with each other.
#![allow(clippy::unnecessary_wraps)]

use stook_measure::units::bu_ac_to_kg_ha;
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Output, Working};

use crate::units::{at_reference, bu_ac_to_mg_m2, grid_bytes, pct_to_ppm};

const SOURCE: &str =
    "ISO 11783-11, public data dictionary export of 2025: entries 84, 99, 181, 184; grids of ISO 11783-10";

/// The calculators.
pub fn calculators() -> Vec<Calculator> {
    let out = |key, unit, about| Output { key, unit, about };
    vec![
        Calculator {
            name: "taskdata.yield",
            title: "Yield in task data",
            about: "A yield in bushels an acre as a terminal writes it, milligrams on a square metre.",
            inputs: vec![
                Input::number("bu_ac", "bu/ac", 0.0, 400.0, "yield"),
                Input::number("lb_per_bu", "lb/bu", 20.0, 70.0, "pounds in the bushel"),
            ],
            outputs: vec![out("mg_m2", "mg/m2", "as written")],
            source: SOURCE,
            run: |a: &Args| {
                let (bu, lb) = (a.number("bu_ac"), a.number("lb_per_bu"));
                let w = Working::new("Yield in task data")
                    .line(Op::Start, "Yield", bu_ac_to_kg_ha(bu, lb), "kg/ha", 2)
                    .line(Op::Times, "Milligrams a square metre in it", 100.0, "", 0)
                    .sum("As written", bu_ac_to_mg_m2(bu, lb), "mg/m2", 0)
                    .source(SOURCE);
                Ok::<_, CalcError>(Outcome::new(w).with("mg_m2", bu_ac_to_mg_m2(bu, lb)))
            },
        },
        Calculator {
            name: "taskdata.moisture",
            title: "Moisture in task data",
            about: "Moisture as a terminal writes it, and mass brought to a reference moisture. \"Dry\" mass of the dictionary is at \
                    that moisture, not bone dry.",
            inputs: vec![
                Input::number("moisture_pct", "%", 0.0, 60.0, "moisture, wet basis"),
                Input::number("mass", "any", 0.0, 1e9, "mass at that moisture").or(1000.0),
                Input::number("reference_pct", "%", 0.0, 30.0, "reference moisture").or(14.5),
            ],
            outputs: vec![
                out("ppm", "ppm", "as written"),
                out("dry_mass", "any", "mass at the reference moisture"),
            ],
            source: SOURCE,
            run: |a: &Args| {
                let (m, mass, to) = (a.number("moisture_pct"), a.number("mass"), a.number("reference_pct"));
                let dry = at_reference(mass, m, to);
                let w = Working::new("Mass at the reference moisture")
                    .line(Op::Start, "Mass", mass, "", 2)
                    .line(Op::Times, "Dry matter of it", 100.0 - m, "%", 2)
                    .line(Op::Over, "Dry matter at the reference", 100.0 - to, "%", 2)
                    .sum("Mass then", dry, "", 2)
                    .source(SOURCE);
                Ok::<_, CalcError>(Outcome::new(w).with("ppm", pct_to_ppm(m)).with("dry_mass", dry))
            },
        },
        Calculator {
            name: "taskdata.grid",
            title: "Length of a grid file",
            about: "Bytes a treatment grid must hold: a type 1 grid a byte a cell, a type 2 grid four for every value of a cell. A \
                    terminal refuses any other length.",
            inputs: vec![
                Input::choice("grid_type", &["type 1", "type 2"], "type of the grid").or("type 1"),
                Input::number("columns", "1", 1.0, 100_000.0, "columns"),
                Input::number("rows", "1", 1.0, 100_000.0, "rows"),
                Input::number("values", "1", 1.0, 250.0, "values a cell").or(1.0),
            ],
            outputs: vec![out("bytes", "B", "length of the file")],
            source: SOURCE,
            run: |a: &Args| {
                let (columns, rows, values) =
                    (a.number("columns").round(), a.number("rows").round(), a.number("values").round());
                let (kind, each) = if a.text("grid_type") == "type 1" { (1, 1.0) } else { (2, 4.0 * values) };
                let bytes = grid_bytes(kind, columns as usize, rows as usize, values as usize) as f64;
                let w = Working::new("Length of a grid file")
                    .line(Op::Start, "Columns", columns, "", 0)
                    .line(Op::Times, "Rows", rows, "", 0)
                    .line(Op::Times, "Bytes a cell", each, "B", 0)
                    .sum("Bytes", bytes, "B", 0)
                    .source(SOURCE);
                Ok::<_, CalcError>(Outcome::new(w).with("bytes", bytes))
            },
        },
    ]
}
