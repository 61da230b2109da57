//! Insects against thresholds, midge by warmth, and a thin stand.

use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::CropParams;
use crate::insects::{for_insect, in_table_unit};
use crate::stand::{ThinStand, choose};

const INSECTS: [&str; 7] = [
    "pale_western_cutworm",
    "red_backed_cutworm",
    "army_cutworm",
    "armyworm",
    "grasshopper",
    "aphid",
    "midge",
];

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "crop.insect_threshold",
            title: "Insects counted against published thresholds",
            about: "The low and the high threshold of the insect's own kind, for a stage, and the least and the most \
                    that any source gives for it. Sources count different things: say which you counted.",
            inputs: vec![
                Input::choice("insect", &INSECTS, "which"),
                Input::number("count", "1", 0.0, 5000.0, "how many"),
                Input::choice("unit", &["as in the table", "a square foot"], "for what")
                    .or("as in the table"),
            ],
            outputs: vec![
                out("count", "1", "the count in the table's unit (a m2, a stem or a head)"),
                out("low", "1", "low threshold of the first source"),
                out("high", "1", "its high one"),
                out("least", "1", "the least any source gives"),
                out("most", "1", "the most any source gives"),
            ],
            source: "Alberta Agriculture, Agdex 606-1; North Dakota Crop and Pest Report, 6 May 2004",
            run: insect,
        },
        Calculator {
            name: "crop.midge_out",
            title: "Wheat midge by warmth",
            about: "Share of the females out at a sum of degree-days over 40 F, from 1 March.",
            inputs: vec![Input::number("sum_fd", "F d", 0.0, 4000.0, "degree-days over 40 F")],
            outputs: vec![out("out_pct", "%", "females out")],
            source: "North Dakota Crop and Pest Report 2019 and 2020; Univ. Minnesota 2009",
            run: midge,
        },
        Calculator {
            name: "crop.thin_stand",
            title: "A thin stand: keep, patch or seed again",
            about: "What each way leaves, for a hectare. The curve of yield on stand is a judgement.",
            inputs: vec![
                Input::number("stand_m2", "plants/m2", 0.0, 800.0, "plants counted where the crop stands"),
                Input::number("bare_pct", "%", 0.0, 100.0, "share of the field bare").or(0.0),
                Input::number("full_kg_ha", "kg/ha", 500.0, 12_000.0, "yield of a full stand").or(3500.0),
                Input::number("reseed_share", "1", 0.0, 1.0, "share left for seeding now").or(0.8),
                Input::number("reseed_kept", "1", 0.0, 1.0, "share of its worth kept from frost").or(0.95),
                Input::number("price_t", "money/t", 0.0, 2000.0, "price").or(276.0),
                Input::number("cost_ha", "money/ha", 0.0, 600.0, "seed and pass").or(120.0),
            ],
            outputs: vec![
                out("keep_ha", "money/ha", "keep"),
                out("patch_ha", "money/ha", "seed the bare part again"),
                out("reseed_ha", "money/ha", "seed it all again"),
                out("standing_pct", "%", "share of a full yield that the standing part makes"),
                out("best", "", "keep, patch or reseed"),
            ],
            source: "trials flat from 26 to 41 plants/ft2 (North Dakota); below that our judgement",
            run: thin_stand,
        },
    ]
}

fn insect(a: &Args) -> Answer {
    let rows = for_insect(a.text("insect"));
    let count = in_table_unit(a.number("count"), a.text("unit") == "a square foot");
    let mut w = Working::new("Insects against published thresholds").line(Op::Note, "Counted", count, "", 2);
    for r in &rows {
        w = w
            .line(Op::Note, format!("{} for {}, from", r.insect.replace('_', " "), r.what_for), r.low, "", 3)
            .line(Op::Note, "to", r.high, "", 3)
            .source(r.source.clone());
    }
    let least = rows.iter().map(|r| r.low).fold(f64::INFINITY, f64::min);
    let most = rows.iter().map(|r| r.high).fold(0.0, f64::max);
    let own = rows[0];
    Ok(Outcome::new(w)
        .with("count", count)
        .with("low", own.low)
        .with("high", own.high)
        .with("least", least)
        .with("most", most))
}

fn midge(a: &Args) -> Answer {
    let p = &CropParams::shipped().scout;
    let share = 100.0 * p.midge_out(a.number("sum_fd") / 1.8);
    let w = Working::new("Wheat midge by warmth")
        .line(Op::Note, "Degree-days over 40 F", a.number("sum_fd"), "F d", 0)
        .line(Op::Note, "A tenth out at", 1.8 * p.midge_out_cd[0], "F d", 0)
        .line(Op::Note, "Half at", 1.8 * p.midge_out_cd[1], "F d", 0)
        .line(Op::Note, "Nine tenths at", 1.8 * p.midge_out_cd[2], "F d", 0)
        .sum("Females out", share, "%", 0)
        .source("North Dakota Crop and Pest Report 2019 and 2020");
    Ok(Outcome::new(w).with("out_pct", share))
}

fn thin_stand(a: &Args) -> Answer {
    let x = ThinStand {
        stand_m2: a.number("stand_m2"),
        bare_share: a.number("bare_pct") / 100.0,
        full_kg_ha: a.number("full_kg_ha"),
        reseed_share: a.number("reseed_share"),
        reseed_kept: a.number("reseed_kept"),
        price_per_kg: a.number("price_t") / 1000.0,
        reseed_cost: a.number("cost_ha"),
    };
    let c = choose(&x, &CropParams::shipped().yield_);
    let w = Working::new("Seed it all again, a hectare")
        .line(Op::Note, "Keep", c.keep, "", 0)
        .line(Op::Note, "Patch", c.patch, "", 0)
        .line(Op::Start, "Full yield's worth", x.full_kg_ha * x.price_per_kg, "", 2)
        .line(Op::Times, "Share left for the date", x.reseed_share, "", 2)
        .line(Op::Times, "Share kept from frost", x.reseed_kept, "", 2)
        .line(Op::Minus, "Seed and pass", x.reseed_cost, "", 0)
        .sum("Seed it all again", c.reseed, "", 0)
        .source("stand and yield: our judgement below 26 plants/ft2");
    Ok(Outcome::new(w)
        .with("keep_ha", c.keep)
        .with("patch_ha", c.patch)
        .with("reseed_ha", c.reseed)
        .with("standing_pct", 100.0 * c.standing_share)
        .with("best", c.best()))
}
