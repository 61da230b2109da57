//! Nitrogen by budget, credits, protein.

use stook_measure::units::{bu_ac_to_kg_ha, kg_ha_to_lb_ac, lb_ac_to_kg_ha};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, named, out, p, refused};
use crate::nitrogen::{
    Budget, Credit, Need, Placement, budget, placement_factor, tillage_and_organic_matter_kg_ha,
};
use crate::protein;

const NEEDS: &[&str] =
    &["minnesota", "manitoba_traditional", "manitoba_high_yield", "pacific_northwest", "montana"];
const CREDITS: &[&str] =
    &["none", "soybean_minnesota", "legume_south_dakota", "pea_minnesota", "pea_by_yield", "pulse_manitoba"];
const PLACEMENTS: [(&str, Placement); 4] = [
    ("spring broadcast", Placement::SpringBroadcast),
    ("spring band", Placement::SpringBand),
    ("fall band", Placement::FallBand),
    ("fall broadcast", Placement::FallBroadcast),
];

fn amount(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "lb/ac", 0.0, 500.0, about).or(0.0)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.n_budget",
            title: "Nitrogen by budget",
            about: "Need a bushel times the yield, less what the land and the barn give. Good to about 30 lb/ac either way. \
                    Fits 30 to 70 bu/ac; above 110 it refuses. Give no credit twice: ask whether the laboratory took it off.",
            inputs: vec![
                Input::number("yield_bu_ac", "bu/ac", 1.0, 200.0, "yield aimed at"),
                Input::choice("need", NEEDS, "whose need per bushel").or("minnesota"),
                Input::number(
                    "need_lb_bu",
                    "lb/bu",
                    0.5,
                    6.0,
                    "your own need per bushel, in place of a published one",
                )
                .optional(),
                amount("nitrate_lb_ac", "nitrate-N in 0-24 in, fall"),
                amount("previous_crop_lb_ac", "credit for the crop before"),
                amount("manure_lb_ac", "from manure, this year's and the carry-over"),
                Input::number(
                    "other_lb_ac",
                    "lb/ac",
                    -200.0,
                    200.0,
                    "anything else; above zero lowers the rate",
                )
                .or(0.0),
                Input::number(
                    "supply_cap_lb_ac",
                    "lb/ac",
                    10.0,
                    500.0,
                    "most nitrogen in all, soil and fertilizer",
                )
                .optional(),
            ],
            outputs: vec![
                out("n_lb_ac", "lb/ac", "nitrogen to buy"),
                out("n_kg_ha", "kg/ha", "the same"),
                out("need_lb_ac", "lb/ac", "need of the crop"),
                out("surplus_lb_ac", "lb/ac", "there beyond the need"),
                out("in_range", "", "yes when the yield is one the need was made for"),
            ],
            source: "Univ. of Minnesota Extension, Fertilizing wheat; needs as named in the table of needs",
            run: n_budget,
        },
        Calculator {
            name: "fertility.previous_crop_credit",
            title: "Nitrogen from the crop before",
            about: "Published credits differ between regions; a fall nitrate test may hold the credit already.",
            inputs: vec![
                Input::choice("crop", CREDITS, "crop before, and whose figure"),
                Input::number(
                    "yield_lb_ac",
                    "lb/ac",
                    0.0,
                    8000.0,
                    "its yield, where the figure goes by yield",
                )
                .or(0.0),
            ],
            outputs: vec![out("credit_lb_ac", "lb/ac", "credit"), out("credit_kg_ha", "kg/ha", "the same")],
            source: "Univ. of Minnesota; South Dakota State Univ.; Barker 2007",
            run: credit,
        },
        Calculator {
            name: "fertility.n_adjustment_nd",
            title: "Nitrogen: years without tillage and organic matter",
            about: "What a North Dakota wheat rate is changed by.",
            inputs: vec![
                Input::number("no_till_years", "years", 0.0, 60.0, "years without tillage; 0 when tilled")
                    .or(0.0),
                Input::number("organic_matter_pct", "%", 0.0, 30.0, "organic matter in the top 6 in").or(3.0),
            ],
            outputs: vec![out("change_lb_ac", "lb/ac", "added to the rate; below zero is taken off")],
            source: "North Dakota State Univ., summaries of the December 2009 release",
            run: adjustment,
        },
        Calculator {
            name: "fertility.n_placement",
            title: "Nitrogen rate for another placement",
            about: "A rate made for spring broadcast, for another way and time. The values are from memory: leave it until \
                    the local table is confirmed.",
            inputs: vec![
                Input::number("rate_lb_ac", "lb/ac", 0.0, 500.0, "rate made for spring broadcast"),
                Input::choice(
                    "placement",
                    &["spring broadcast", "spring band", "fall band", "fall broadcast"],
                    "how it is put on",
                )
                .or("spring band"),
            ],
            outputs: vec![out("rate_lb_ac", "lb/ac", "rate for that way")],
            source: "form: Manitoba Soil Fertility Guide, point 4; values of its Table 8 from memory",
            run: placement,
        },
        Calculator {
            name: "fertility.grain_nitrogen",
            title: "Nitrogen and protein of grain",
            about: "Nitrogen that wheat carries off, and its protein at another moisture basis. Low protein says that \
                    nitrogen held the yield back, not by how much.",
            inputs: vec![
                Input::number("protein_pct", "%", 5.0, 25.0, "protein"),
                Input::number("from_moisture_pct", "%", 0.0, 25.0, "moisture it is quoted at").or(13.5),
                Input::number("to_moisture_pct", "%", 0.0, 25.0, "moisture wanted").or(13.5),
                Input::number(
                    "signal_pct",
                    "%",
                    8.0,
                    16.0,
                    "protein below which nitrogen was short in your region",
                )
                .optional(),
            ],
            outputs: vec![
                out("n_lb_bu", "lb/bu", "nitrogen in a bushel at the first basis"),
                out("n_pct", "%", "nitrogen at the first basis"),
                out("protein_pct", "%", "protein at the other basis"),
                out("nitrogen_was_short", "", "yes when the protein is below the signal"),
            ],
            source: "nitrogen x 5.7; Flaten and Racz 1997 for the signal of 13.5 %",
            run: grain,
        },
    ]
}

fn n_budget(a: &Args) -> Answer {
    let lb = |key| lb_ac_to_kg_ha(a.number(key));
    let published = Need::of(a.text("need")).expect("the choice lists the shipped needs");
    let need = a.maybe_number("need_lb_bu").unwrap_or(published.lb_n_per_bu);
    let bushels = a.number("yield_bu_ac");
    let b = Budget {
        yield_kg_ha: bu_ac_to_kg_ha(bushels, 60.0),
        need_kg_per_kg: need / 60.0,
        soil_nitrate_kg_ha: lb("nitrate_lb_ac"),
        previous_crop_kg_ha: lb("previous_crop_lb_ac"),
        manure_kg_ha: lb("manure_lb_ac"),
        other_kg_ha: lb("other_lb_ac"),
        supply_cap_kg_ha: a.maybe_number("supply_cap_lb_ac").map(lb_ac_to_kg_ha),
    };
    let r = budget(&b, &p().nitrogen).map_err(refused)?;
    let (rate, surplus) = (kg_ha_to_lb_ac(r.fertilizer_kg_ha), kg_ha_to_lb_ac(r.surplus_kg_ha));
    let mut w = Working::new("Nitrogen by budget")
        .line(Op::Note, "Need of a bushel", need, "lb/bu", 2)
        .line(Op::Note, "Yield aimed at", bushels, "bu/ac", 1)
        .line(
            Op::Start,
            if r.capped { "Need, cut to your cap" } else { "Need" },
            kg_ha_to_lb_ac(r.need_kg_ha),
            "lb/ac",
            1,
        )
        .line(Op::Minus, "Nitrate in the soil", a.number("nitrate_lb_ac"), "lb/ac", 1)
        .line(Op::Minus, "Crop before", a.number("previous_crop_lb_ac"), "lb/ac", 1)
        .line(Op::Minus, "Manure", a.number("manure_lb_ac"), "lb/ac", 1)
        .line(Op::Minus, "Other", a.number("other_lb_ac"), "lb/ac", 1)
        .source(if a.maybe_number("need_lb_bu").is_some() {
            "your own need per bushel".into()
        } else {
            published.source.clone()
        })
        .source("Form: Univ. of Minnesota Extension, Fertilizing wheat; good to about 30 lb/ac (IPNI 2009)")
        .would_change("the yield aimed at, and the choice between 2.0 and 2.5 lb a bushel");
    if surplus > 0.0 {
        w = w
            .line(Op::Plus, "There beyond the need", surplus, "lb/ac", 1)
            .note("There is more nitrogen than the crop needs: buy none.");
    }
    if r.outside_range {
        w = w.note("This yield is outside 30 to 70 bu/ac, where the need per bushel was found.");
    }
    Ok(Outcome::new(w.sum("Nitrogen to buy", rate, "lb/ac", 1))
        .with("n_lb_ac", rate)
        .with("n_kg_ha", r.fertilizer_kg_ha)
        .with("need_lb_ac", kg_ha_to_lb_ac(r.need_kg_ha))
        .with("surplus_lb_ac", surplus)
        .with("in_range", if r.outside_range { "no" } else { "yes" }))
}

fn credit(a: &Args) -> Answer {
    let c = Credit::of(a.text("crop")).expect("the choice lists the shipped credits");
    let kg = c.kg_ha(lb_ac_to_kg_ha(a.number("yield_lb_ac")));
    let w = Working::new("Nitrogen from the crop before")
        .line(Op::Start, "Flat", c.lb_n_ac, "lb/ac", 1)
        .line(Op::Plus, "By its yield", c.lb_n_per_1000_lb * a.number("yield_lb_ac") / 1000.0, "lb/ac", 1)
        .sum("Credit", kg_ha_to_lb_ac(kg), "lb/ac", 1)
        .note("Ask whether the laboratory took it off already, or the fall nitrate holds it: counted twice it starves the crop.")
        .source(c.source.clone());
    Ok(Outcome::new(w).with("credit_lb_ac", kg_ha_to_lb_ac(kg)).with("credit_kg_ha", kg))
}

fn adjustment(a: &Args) -> Answer {
    let (years, om) = (a.number("no_till_years"), a.number("organic_matter_pct"));
    let all = kg_ha_to_lb_ac(tillage_and_organic_matter_kg_ha(years, om, &p().nitrogen));
    let tillage = kg_ha_to_lb_ac(tillage_and_organic_matter_kg_ha(years, 0.0, &p().nitrogen));
    let w = Working::new("Nitrogen: years without tillage and organic matter")
        .line(Op::Start, "Years without tillage", tillage, "lb/ac", 0)
        .line(Op::Plus, "Organic matter", all - tillage, "lb/ac", 0)
        .sum("Change of the rate", all, "lb/ac", 0)
        .source("North Dakota State Univ., summaries of the December 2009 release");
    Ok(Outcome::new(w).with("change_lb_ac", all))
}

fn placement(a: &Args) -> Answer {
    let factor = placement_factor(named(&PLACEMENTS, a.text("placement")), &p().nitrogen);
    let rate = a.number("rate_lb_ac") * factor;
    let w = Working::new("Nitrogen rate for another placement")
        .line(Op::Start, "Rate made for spring broadcast", a.number("rate_lb_ac"), "lb/ac", 1)
        .line(Op::Times, "Worth of spring broadcast over this way", factor, "", 4)
        .sum("Rate", rate, "lb/ac", 1)
        .note("The values are from memory; confirm them in the local guide first.")
        .source("form: Manitoba Soil Fertility Guide, point 4; values of its Table 8 from memory");
    Ok(Outcome::new(w).with("rate_lb_ac", rate))
}

fn grain(a: &Args) -> Answer {
    let (protein_pct, from, to) =
        (a.number("protein_pct"), a.number("from_moisture_pct"), a.number("to_moisture_pct"));
    let params = p().protein;
    let n = protein::grain_n_lb_per_bu(protein_pct, &params);
    let other = protein::at_moisture_pct(protein_pct, from, to);
    let signal = a.maybe_number("signal_pct").unwrap_or(params.signal_pct);
    let w = Working::new("Nitrogen and protein of grain")
        .line(Op::Start, "Bushel", 60.0, "lb", 0)
        .line(Op::Times, "Protein", protein_pct / 100.0, "", 4)
        .line(Op::Over, "Protein for a part of nitrogen", params.n_factor, "", 2)
        .sum("Nitrogen in a bushel", n, "lb/bu", 3)
        .note(format!("At {to} % moisture the protein is {other:.2} %."))
        .source("nitrogen x 5.7; Flaten and Racz 1997 for the signal");
    let short = protein_pct < signal;
    Ok(Outcome::new(w)
        .with("n_lb_bu", n)
        .with("n_pct", 100.0 * protein::grain_n_kg_per_kg(protein_pct, &params))
        .with("protein_pct", other)
        .with("nitrogen_was_short", if short { "yes" } else { "no" }))
}
