//! What drying costs in money, and whether natural air is enough.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{grain_input, moisture_input, output, refuse, shipped};
use crate::drier::{DrierParams, water_per_wet_kg};
use crate::natural::NaturalParams;

pub(super) fn calculators() -> Vec<Calculator> {
    vec![drying_money(), natural_air_fit()]
}

fn drying_money() -> Calculator {
    Calculator {
        name: "grain.drying_money",
        title: "What heated-air drying costs, all told",
        about: "Fuel, electricity, and the worth of the water and handling loss, for a weight of wet grain and for a tonne. Labour and the drier itself are not in it.",
        inputs: vec![
            grain_input(),
            Input::number("wet_kg", "kg", 0.1, 1e9, "wet weight").or(1000.0),
            Input::number("from_pct", "% wb", 5.0, 45.0, "moisture before"),
            Input::number("to_pct", "% wb", 4.0, 30.0, "moisture after"),
            Input::number("mj_kg", "MJ/kg", 2.5, 12.0, "fuel heat for each kg of water; left out, the usual")
                .optional(),
            Input::number("propane_l_price", "a litre", 0.0, 5.0, "price of propane").or(0.5),
            Input::number("kwh_t_point", "kWh/t", 0.0, 10.0, "electricity for a wet tonne and a point")
                .or(0.35),
            Input::number("kwh_price", "a kWh", 0.0, 2.0, "price of electricity").or(0.12),
            Input::number(
                "grain_t_price",
                "a tonne",
                0.0,
                2000.0,
                "price of the grain as it would be sold wet",
            )
            .or(0.0),
            Input::number("handling_pct", "%", 0.0, 5.0, "lost in handling, of the wet weight").or(0.0),
        ],
        outputs: vec![
            output("fuel", "", "money for fuel"),
            output("power", "", "money for electricity"),
            output("energy", "", "both"),
            output("shrink", "", "worth of the weight lost"),
            output("total", "", "all told"),
            output("total_t", "a tonne", "all told, for a wet tonne"),
        ],
        source: "water balance; Iowa State and North Dakota propane figures; MWPS handbook: 10 kWh for 100 bu and ten points",
        run: |a| {
            let p = DrierParams::from_reference(shipped());
            let (m1, m2) = (a.number("from_pct"), a.number("to_pct"));
            if m1 <= m2 {
                return Err(refuse("the moisture after must be below the moisture before"));
            }
            let wet_t = a.number("wet_kg") / 1000.0;
            let share = water_per_wet_kg(m1, m2);
            let mj = a.maybe_number("mj_kg").unwrap_or(p.mj_per_kg_water);
            let fuel = a.number("wet_kg") * share * mj / p.propane_mj_l * a.number("propane_l_price");
            let power = wet_t * (m1 - m2) * a.number("kwh_t_point") * a.number("kwh_price");
            let lost = share + a.number("handling_pct") / 100.0;
            let shrink = wet_t * lost * a.number("grain_t_price");
            let total = fuel + power + shrink;
            let w = Working::new("Drying, all told")
                .line(Op::Start, "Fuel", fuel, "", 2)
                .line(Op::Plus, "Electricity", power, "", 2)
                .line(Op::Plus, "Weight lost", shrink, "", 2)
                .sum("All told", total, "", 2)
                .note("Most drier fires start in plugged grain and trash: clean it, watch it, and keep people out of fumes.")
                .source("water balance; MWPS handbook for electricity");
            Ok(Outcome::new(w)
                .with("fuel", fuel)
                .with("power", power)
                .with("energy", fuel + power)
                .with("shrink", shrink)
                .with("total", total)
                .with("total_t", total / wet_t))
        },
    }
}

fn natural_air_fit() -> Calculator {
    Calculator {
        name: "grain.natural_air_fit",
        title: "Is natural air enough for this wheat?",
        about: "The rules for drying wheat with air as it comes: wettest, least air, deepest.",
        inputs: vec![
            moisture_input(),
            Input::number("cfm_bu", "cfm/bu", 0.0, 5.0, "airflow for each US volume bushel"),
            Input::number("depth_m", "m", 0.1, 15.0, "depth of grain"),
        ],
        outputs: vec![
            output("objections", "1", "how many rules stand against it"),
            output("words", "", "which"),
        ],
        source: "Hellevang, NDSU, June 2020; Wilcke and Hellevang 2002",
        run: |a| {
            let n = NaturalParams::from_reference(shipped());
            let (m, q, depth) = (a.number("m_wb_pct"), a.number("cfm_bu"), a.number("depth_m"));
            let found = n.wheat_objections(m, q, depth);
            let mut w = Working::new("Natural air")
                .line(Op::Note, "Moisture, at most", n.wheat_max_pct, "% wb", 1)
                .line(Op::Note, "Airflow, at least", n.wheat_min_cfm_bu, "cfm/bu", 2)
                .line(Op::Note, "Depth, at most", n.deep_m, "m", 1)
                .sum("Rules against it", found.len() as f64, "", 0)
                .source("Hellevang, NDSU, June 2020; Wilcke and Hellevang 2002");
            for f in &found {
                w = w.note(f.clone());
            }
            let words = if found.is_empty() { "natural air fits".to_string() } else { found.join("; ") };
            Ok(Outcome::new(w).with("objections", found.len() as f64).with("words", words))
        },
    }
}
