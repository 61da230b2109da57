//! Bushels, test weight and other measures of grain.

use stook_measure::units::{HA_PER_ACRE, KG_PER_LB, bushels_per_tonne};
use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{grain_input, grain_of, moisture_input, output, refuse, shipped};
use crate::grain::{Properties, nelson_density};
use crate::test_weight::{TEST_WEIGHT_KEYS, from_half_litre, kg_hl_from_us};

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.bushels",
            title: "Weight bushels and tonnes",
            about: "Bushels in a tonne, and yield from one measure to the other. Oats are 34 lb in Canada and 32 in the United States: carry the bushel with the crop.",
            inputs: vec![Input::number("lb_per_bu", "lb", 10.0, 80.0, "pounds in a bushel").or(60.0)],
            outputs: vec![
                output("bu_per_t", "bu/t", "bushels in a tonne"),
                output("t_ha_per_bu_ac", "t/ha", "tonnes a hectare for a bushel an acre"),
                output("bu_ac_per_t_ha", "bu/ac", "bushels an acre for a tonne a hectare"),
            ],
            source: "exact factors",
            run: |a| {
                let lb = a.number("lb_per_bu");
                let t_ha = lb * KG_PER_LB / 1000.0 / HA_PER_ACRE;
                let w = Working::new("Bushels in a tonne")
                    .line(Op::Start, "A tonne", 1000.0, "kg", 0)
                    .line(Op::Over, "Kilograms in a pound", KG_PER_LB, "kg", 8)
                    .line(Op::Over, "Pounds in a bushel", lb, "lb", 1)
                    .sum("Bushels", bushels_per_tonne(lb), "bu", 3);
                Ok(Outcome::new(w)
                    .with("bu_per_t", bushels_per_tonne(lb))
                    .with("t_ha_per_bu_ac", t_ha)
                    .with("bu_ac_per_t_ha", 1.0 / t_ha))
            },
        },
        Calculator {
            name: "grain.test_weight_ca",
            title: "Test weight from half a litre (Canada)",
            about: "kg/hL and both bushels from grams in half a litre, dockage removed. The two bushels are not the same quantity. For grading kg/hL is rounded to a whole number.",
            inputs: vec![
                Input::choice("grain", &TEST_WEIGHT_KEYS, "grain").or("wheat"),
                Input::number("g_half_litre", "g", 100.0, 500.0, "grams in half a litre"),
            ],
            outputs: vec![
                output("kg_hl", "kg/hL", "test weight, not rounded"),
                output("graded_kg_hl", "kg/hL", "as graded"),
                output("lb_bu_avery", "lb/bu", "imperial bushel"),
                output("lb_bu_winchester", "lb/bu", "Winchester bushel, no packing"),
            ],
            source: "Canadian Grain Commission, test weight equations page, as read 2025",
            run: |a| {
                let g = a.number("g_half_litre");
                let t = from_half_litre(shipped(), a.text("grain"), g)
                    .ok_or_else(|| refuse("no regression for this grain"))?;
                let r = shipped();
                let slope = r.get(&format!("grain.test_weight.{}.b", a.text("grain")));
                let w = Working::new("Test weight")
                    .line(Op::Start, "Grams", g, "g", 1)
                    .line(Op::Times, "For each gram", slope, "kg/hL", 4)
                    .line(Op::Plus, "At no grams", t.kg_hl - slope * g, "kg/hL", 4)
                    .sum("Test weight", t.kg_hl, "kg/hL", 2);
                Ok(Outcome::new(w)
                    .with("kg_hl", t.kg_hl)
                    .with("graded_kg_hl", (t.kg_hl + 0.5).floor())
                    .with("lb_bu_avery", t.lb_bu_avery)
                    .with("lb_bu_winchester", t.lb_bu_winchester))
            },
        },
        Calculator {
            name: "grain.test_weight_us",
            title: "Test weight from pounds a bushel (United States)",
            about: "kg/hL from the pounds a bushel that the United States measures.",
            inputs: vec![
                Input::number("lb_bu", "lb/bu", 20.0, 80.0, "pounds a bushel"),
                Input::choice("durum", &["yes", "no"], "durum").or("no"),
            ],
            outputs: vec![output("kg_hl", "kg/hL", "test weight")],
            source: "FGIS-PN-97-5",
            run: |a| {
                let durum = a.text("durum") == "yes";
                let kg = kg_hl_from_us(a.number("lb_bu"), durum);
                let w = Working::new("Test weight")
                    .line(Op::Start, "Pounds a bushel", a.number("lb_bu"), "lb/bu", 1)
                    .line(Op::Times, "", 1.292, "", 3)
                    .line(Op::Plus, "", if durum { 0.630 } else { 1.419 }, "kg/hL", 3)
                    .sum("Test weight", kg, "kg/hL", 2);
                Ok(Outcome::new(w).with("kg_hl", kg))
            },
        },
        Calculator {
            name: "grain.properties",
            title: "Heat and weight of grain",
            about: "Specific heat and bulk density at a moisture. Density by moisture is known for wheat and corn; for the rest the nominal one is given.",
            inputs: vec![grain_input(), moisture_input()],
            outputs: vec![
                output("heat_kj_kg_k", "kJ/kg K", "specific heat"),
                output("density_kg_m3", "kg/m3", "bulk density"),
            ],
            source: "ASAE D241 and D243, Nelson 1980, from memory",
            run: |a| {
                let g = grain_of(a);
                let p = Properties::from_reference(shipped(), g);
                let m = a.number("m_wb_pct");
                let density = nelson_density(g, m).unwrap_or(p.density_kg_m3);
                let w = Working::new("Specific heat")
                    .line(Op::Start, "For each percent of moisture", p.heat_per_pct, "kJ/kg K", 4)
                    .line(Op::Times, "Moisture", m, "% wb", 1)
                    .line(Op::Plus, "At no moisture", p.heat_dry_kj_kg_k, "kJ/kg K", 3)
                    .sum("Specific heat", p.heat_kj_kg_k(m), "kJ/kg K", 3);
                Ok(Outcome::new(w).with("heat_kj_kg_k", p.heat_kj_kg_k(m)).with("density_kg_m3", density))
            },
        },
        Calculator {
            name: "grain.moisture_basis",
            title: "Protein and the like on another moisture basis",
            about: "Any share of weight (protein, oil, ash, toxin) from one moisture basis to another. Wheat protein is at 13.5 % in Canada, 12 in the United States, 0 in the ration.",
            inputs: vec![
                Input::number("value", "%", 0.0, 1e6, "value, in any unit"),
                Input::number("from_pct", "% wb", 0.0, 60.0, "moisture basis it is on"),
                Input::number("to_pct", "% wb", 0.0, 60.0, "moisture basis wanted"),
            ],
            outputs: vec![output("value", "%", "the same on the other basis")],
            source: "dry matter balance",
            run: |a| {
                let (v, from, to) = (a.number("value"), a.number("from_pct"), a.number("to_pct"));
                let out = crate::lot::change_basis(v, from, to);
                let w = Working::new("Another basis")
                    .line(Op::Start, "Value", v, "", 3)
                    .line(Op::Times, "Dry share wanted", 100.0 - to, "%", 2)
                    .line(Op::Over, "Dry share it is on", 100.0 - from, "%", 2)
                    .sum("Value", out, "", 3);
                Ok(Outcome::new(w).with("value", out))
            },
        },
        Calculator {
            name: "grain.over_dry",
            title: "What selling too dry costs",
            about: "Share of the value lost by selling grain drier than the market's moisture: about one percent a point.",
            inputs: vec![
                Input::number("actual_pct", "% wb", 5.0, 20.0, "moisture"),
                Input::number("market_pct", "% wb", 8.0, 20.0, "the market's moisture").or(14.5),
            ],
            outputs: vec![output("loss_pct", "%", "value lost")],
            source: "dry matter balance; Hellevang, NDSU 2017",
            run: |a| {
                let (m, market) = (a.number("actual_pct"), a.number("market_pct"));
                let loss = crate::price::over_dry_loss_pct(m, market);
                let w = Working::new("Sold short")
                    .line(Op::Start, "Points too dry", market - m, "points", 2)
                    .line(Op::Times, "", 100.0, "%", 0)
                    .line(Op::Over, "Dry share", 100.0 - m, "%", 2)
                    .sum("Value lost", loss, "%", 2);
                Ok(Outcome::new(w).with("loss_pct", loss))
            },
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Grain;

    #[test]
    fn density_falls_with_moisture_in_wheat() {
        let at = |m| nelson_density(Grain::HardWheat, m).unwrap();
        assert!(at(12.0) > at(16.0));
        assert_eq!(nelson_density(Grain::Oats, 13.0), None);
    }
}
