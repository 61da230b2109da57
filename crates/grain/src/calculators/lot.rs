//! Blending, falling number and DON.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{output, refuse};
use crate::don::{in_diet, max_inclusion_pct};
use crate::lot::{Lot, Quality, liquefaction_number, max_share_low};

/// A list of the same length as the weights, or a plain refusal.
fn same_length<'a>(a: &'a Args, key: &str, count: usize) -> Result<&'a [f64], CalcError> {
    let list = a.list(key);
    if list.len() == count {
        Ok(list)
    } else {
        Err(refuse(format!("{key} has {} values for {count} lots; give one for each lot", list.len())))
    }
}

fn optional<'a>(a: &'a Args, key: &str, count: usize) -> Result<Option<&'a [f64]>, CalcError> {
    if a.used().iter().any(|u| u.0 == key) { same_length(a, key, count).map(Some) } else { Ok(None) }
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.blend",
            title: "What a blend comes to",
            about: "Lots put together by weight: moisture, protein by dry matter, DON, falling number by liquefaction numbers, test weight as an estimate. Blending is lawful only where the buyer and the law allow; treated seed is never blended away.",
            inputs: vec![
                Input::list("kg", "kg", 0.0, 1e9, "weight of each lot, in any one unit"),
                Input::list("m_wb_pct", "% wb", 0.0, 50.0, "moisture of each"),
                Input::list("protein_pct", "%", 0.0, 60.0, "protein of each").optional(),
                Input::number("protein_basis_pct", "% wb", 0.0, 30.0, "moisture basis of the protein")
                    .or(13.5),
                Input::list("don_ppm", "mg/kg", 0.0, 1000.0, "DON of each").optional(),
                Input::list("falling_number_s", "s", 62.0, 700.0, "falling number of each").optional(),
                Input::list("test_weight_kg_hl", "kg/hL", 20.0, 90.0, "test weight of each").optional(),
            ],
            outputs: vec![
                output("kg", "kg", "weight"),
                output("m_wb_pct", "% wb", "moisture"),
                output("protein_pct", "%", "protein on the same basis"),
                output("don_ppm", "mg/kg", "DON"),
                output("falling_number_s", "s", "falling number; have a blend with a low lot tested"),
                output("test_weight_kg_hl", "kg/hL", "test weight, an estimate"),
            ],
            source: "mass and dry matter balance; falling number by the USDA/FGIS equations",
            run: |a| {
                let kg = a.list("kg");
                let n = kg.len();
                let moisture = same_length(a, "m_wb_pct", n)?;
                let protein = optional(a, "protein_pct", n)?;
                let don = optional(a, "don_ppm", n)?;
                let falling = optional(a, "falling_number_s", n)?;
                let tw = optional(a, "test_weight_kg_hl", n)?;
                let mut mix = Lot::default();
                let mut w = Working::new("Blend");
                for i in 0..n {
                    let q = Quality {
                        protein_pct: protein.map(|l| l[i]),
                        protein_basis_pct: a.number("protein_basis_pct"),
                        don_ppm: don.map(|l| l[i]),
                        falling_number_s: falling.map(|l| l[i]),
                        test_weight_kg_hl: tw.map(|l| l[i]),
                        dockage_pct: None,
                    };
                    let lot = Lot::new(kg[i], moisture[i], &q, &format!("lot {}", i + 1)).map_err(refuse)?;
                    let op = if i == 0 { Op::Start } else { Op::Plus };
                    w = w.line(op, format!("Water in lot {}", i + 1), lot.water_kg(), "kg", 2);
                    mix.add(&lot);
                }
                let m = mix.moisture_pct().ok_or_else(|| refuse("nothing to blend: every weight is 0"))?;
                let known = |x: Option<f64>| x.unwrap_or(f64::NAN);
                w = w
                    .line(Op::Over, "Weight", mix.mass_kg() / 100.0, "hundred kg", 4)
                    .sum("Moisture", m, "% wb", 2)
                    .source("mass and dry matter balance");
                Ok(Outcome::new(w)
                    .with("kg", mix.mass_kg())
                    .with("m_wb_pct", m)
                    .with("protein_pct", known(mix.protein_pct(a.number("protein_basis_pct"))))
                    .with("don_ppm", known(mix.don_ppm()))
                    .with("falling_number_s", known(mix.falling_number_s()))
                    .with("test_weight_kg_hl", known(mix.test_weight_kg_hl())))
            },
        },
        Calculator {
            name: "grain.liquefaction_number",
            title: "Liquefaction number",
            about: "The form of the falling number that mixes by weight.",
            inputs: vec![Input::number("falling_number_s", "s", 62.0, 700.0, "falling number")],
            outputs: vec![output("liquefaction_number", "1", "liquefaction number")],
            source: "USDA/FGIS equations, as carried in an agronomist's note",
            run: |a| {
                let s = a.number("falling_number_s");
                let w = Working::new("Liquefaction number")
                    .line(Op::Start, "", 6000.0, "", 0)
                    .line(Op::Over, "Falling number less 50", s - 50.0, "s", 1)
                    .sum("Liquefaction number", liquefaction_number(s), "", 2);
                Ok(Outcome::new(w).with("liquefaction_number", liquefaction_number(s)))
            },
        },
        Calculator {
            name: "grain.low_lot_share",
            title: "How much of a low falling number a blend can take",
            about: "Largest share by weight of a low lot that still reaches the falling number wanted. Have the blend tested before it is sold on.",
            inputs: vec![
                Input::number("high_s", "s", 62.0, 700.0, "falling number of the good lot"),
                Input::number("low_s", "s", 62.0, 700.0, "falling number of the low lot"),
                Input::number("target_s", "s", 62.0, 500.0, "falling number wanted").or(300.0),
            ],
            outputs: vec![output("share", "1", "share of the low lot")],
            source: "USDA/FGIS equations, solved for the share",
            run: |a| {
                let (high, low, target) = (a.number("high_s"), a.number("low_s"), a.number("target_s"));
                let share = max_share_low(high, low, target)
                    .ok_or_else(|| refuse("even the good lot is below the falling number wanted"))?;
                let w = Working::new("Share of the low lot")
                    .line(Op::Note, "Liquefaction number, good", liquefaction_number(high), "", 2)
                    .line(Op::Note, "Liquefaction number, low", liquefaction_number(low), "", 2)
                    .line(Op::Note, "Liquefaction number, wanted", liquefaction_number(target), "", 2)
                    .sum("Share", 100.0 * share, "%", 1);
                Ok(Outcome::new(w).with("share", share))
            },
        },
        Calculator {
            name: "grain.don_in_diet",
            title: "DON in a diet",
            about: "DON of a diet from its parts. One part per million for pigs is a ceiling with cost below it, not a safe step.",
            inputs: vec![
                Input::list("share_pct", "%", 0.0, 1e9, "share of each part"),
                Input::list("ppm", "mg/kg", 0.0, 1000.0, "DON of each part"),
            ],
            outputs: vec![output("ppm", "mg/kg", "DON of the diet")],
            source: "mass balance",
            run: |a| {
                let shares = a.list("share_pct");
                let ppm = same_length(a, "ppm", shares.len())?;
                let parts: Vec<(f64, f64)> = shares.iter().copied().zip(ppm.iter().copied()).collect();
                let don = in_diet(&parts);
                let mut w = Working::new("DON in the diet");
                for (i, (s, p)) in parts.iter().enumerate() {
                    let op = if i == 0 { Op::Start } else { Op::Plus };
                    w = w.line(op, format!("Part {}", i + 1), s * p / shares.iter().sum::<f64>(), "mg/kg", 3);
                }
                Ok(Outcome::new(w.sum("Diet", don, "mg/kg", 2)).with("ppm", don))
            },
        },
        Calculator {
            name: "grain.don_share",
            title: "How much of a tainted lot a diet can take",
            about: "Most of an ingredient that keeps the diet within a limit. Sampling error dominates: use the high end of what the bin may hold.",
            inputs: vec![
                Input::number("ingredient_ppm", "mg/kg", 0.0, 1000.0, "DON of the lot"),
                Input::number("rest_ppm", "mg/kg", 0.0, 1000.0, "DON of the rest of the diet").or(0.0),
                Input::number("limit_ppm", "mg/kg", 0.01, 50.0, "limit for the diet").or(1.0),
            ],
            outputs: vec![output("share_pct", "%", "most of the diet")],
            source: "mass balance",
            run: |a| {
                let (i, rest, limit) =
                    (a.number("ingredient_ppm"), a.number("rest_ppm"), a.number("limit_ppm"));
                let share = max_inclusion_pct(i, rest, limit);
                let mut w = Working::new("Share of the lot")
                    .line(Op::Note, "Lot", i, "mg/kg", 2)
                    .line(Op::Note, "Rest of the diet", rest, "mg/kg", 2)
                    .line(Op::Note, "Limit", limit, "mg/kg", 2)
                    .sum("Most of the diet", share, "%", 1);
                if i <= limit {
                    w = w.note("The lot alone is within the limit.");
                }
                Ok(Outcome::new(w).with("share_pct", share))
            },
        },
    ]
}
