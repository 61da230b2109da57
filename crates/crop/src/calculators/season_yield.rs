//! Yield from water, date, stand and parts.

use stook_measure::units::{in_to_mm, kg_ha_to_bu_ac, per_ft2_to_per_m2};
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::CropParams;
use crate::seeding::component_yield_kg_ha;
use crate::yield_::{
    YieldInputs, deficit_factor, deficit_factor_by_phase, expected, seeding_date_factor, stand_factor,
};

const LINES: [&str; 5] = ["default", "Manitoba", "Alberta", "Montana high", "Montana low"];

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "crop.water_yield",
            title: "Yield from water",
            about: "What a published straight line makes of the water: stored at seeding plus rain to the end of fill. \
                    It explains about 60 % of the differences between years.",
            inputs: vec![
                Input::number("water_mm", "mm", 0.0, 900.0, "stored water at seeding plus rain"),
                Input::choice("line", &LINES, "whose line").or("default"),
            ],
            outputs: vec![out("yield_kg_ha", "kg/ha", "yield"), out("yield_bu_ac", "bu/ac", "yield")],
            source: "Manitoba Agriculture; Alberta Agriculture after Campbell et al. 1988; north-central Montana (Brown)",
            run: water_yield,
        },
        Calculator {
            name: "crop.expected_yield",
            title: "Expected yield",
            about: "Water line, held at the field's best, less lateness, a thin stand and other losses.",
            inputs: vec![
                Input::number(
                    "water_at_seeding_mm",
                    "mm",
                    0.0,
                    400.0,
                    "available water in the root zone at seeding",
                ),
                Input::number("rain_mm", "mm", 0.0, 700.0, "rain from seeding to the end of fill"),
                Input::number("best_kg_ha", "kg/ha", 500.0, 12_000.0, "the field's best yield").or(5500.0),
                Input::number("seeding_day", "day of year", 60.0, 200.0, "day of the year seeded").or(128.0),
                Input::number("stand_ft2", "plants/ft2", 1.0, 80.0, "plants counted").or(26.0),
                Input::number("nutrient_share", "1", 0.0, 1.0, "share of full yield the nutrients allow")
                    .or(1.0),
                Input::number("weed_loss_pct", "%", 0.0, 100.0, "lost to weeds").or(0.0),
                Input::number("frost_loss_pct", "%", 0.0, 100.0, "lost to frost").or(0.0),
            ],
            outputs: vec![
                out("yield_kg_ha", "kg/ha", "expected yield"),
                out("yield_bu_ac", "bu/ac", "expected yield"),
                out("by_water_kg_ha", "kg/ha", "what the water allows"),
            ],
            source: "water line: judgement between Manitoba and Alberta; date: 1 % a day; stand: judgement",
            run: expected_yield,
        },
        Calculator {
            name: "crop.deficit_yield",
            title: "Yield left after a dry spell",
            about: "Share of full yield by the FAO response factor, for the season and by phase. Valid for deficits up \
                    to about half.",
            inputs: vec![
                Input::list(
                    "et_actual_mm",
                    "mm",
                    0.0,
                    600.0,
                    "crop water use: before flowering, flowering, filling",
                ),
                Input::list("et_potential_mm", "mm", 0.0, 600.0, "the same with plenty of water"),
            ],
            outputs: vec![
                out("share_by_phase", "1", "share of full yield, phases multiplied"),
                out("share_by_season", "1", "share of full yield, whole season"),
            ],
            source: "FAO-33 and FAO-56 table 24, from memory",
            run: deficit_yield,
        },
        Calculator {
            name: "crop.late_seeding",
            title: "Yield lost by late seeding",
            about: "A straight line after the best day, down to a floor. A long open fall is kinder.",
            inputs: vec![
                Input::number("yield_bu_ac", "bu/ac", 1.0, 200.0, "yield when seeded in time"),
                Input::number("days_late", "d", 0.0, 120.0, "days past the best date"),
                Input::number("per_day_pct", "%/d", 0.0, 3.0, "loss for each day").or(1.0),
            ],
            outputs: vec![out("loss_bu_ac", "bu/ac", "lost"), out("yield_left_bu_ac", "bu/ac", "left")],
            source: "Manitoba insurance records, North Dakota and Minnesota: 1 % a day",
            run: late_seeding,
        },
        Calculator {
            name: "crop.yield_components",
            title: "Yield from heads and kernels",
            about: "Yield from heads a square foot, kernels a head and the weight of a thousand.",
            inputs: vec![
                Input::number("heads_ft2", "heads/ft2", 1.0, 150.0, "heads a square foot"),
                Input::number("kernels_per_head", "kernels", 1.0, 80.0, "kernels a head").or(31.0),
                Input::number("tkw_g", "g", 10.0, 60.0, "weight of a thousand kernels").or(33.0),
            ],
            outputs: vec![out("yield_bu_ac", "bu/ac", "yield"), out("yield_kg_ha", "kg/ha", "yield")],
            source: "arithmetic: 0.0016006 bu/ac for each; western Canada averages 30-32 kernels",
            run: yield_components,
        },
        Calculator {
            name: "crop.kernel_weight",
            title: "Thousand-kernel weight from dry kernels",
            about: "Weight of a thousand kernels at a moisture from the dry weight of one.",
            inputs: vec![
                Input::number("dry_mg", "mg", 5.0, 80.0, "dry weight of a kernel"),
                Input::number("moisture_pct", "% wb", 0.0, 45.0, "moisture, wet basis").or(15.0),
            ],
            outputs: vec![out("tkw_g", "g", "weight of a thousand at that moisture")],
            source: "arithmetic; benchmark: AHDB wheat growth guide",
            run: kernel_weight,
        },
        Calculator {
            name: "crop.ground_loss",
            title: "Grain on the ground",
            about: "Grain lost, in the usual units and as kernels to count.",
            inputs: vec![
                Input::number("loss_g_m2", "g/m2", 0.0, 500.0, "grain on the ground"),
                Input::number("tkw_g", "g", 10.0, 60.0, "weight of a thousand kernels").or(31.2),
            ],
            outputs: vec![
                out("loss_kg_ha", "kg/ha", "lost"),
                out("loss_bu_ac", "bu/ac", "lost"),
                out("kernels_ft2", "kernels/ft2", "kernels to count"),
            ],
            source: "arithmetic; 20 kernels a square foot is a bushel an acre (Univ. of Kentucky)",
            run: ground_loss,
        },
    ]
}

fn water_yield(a: &Args) -> Answer {
    let p = &CropParams::shipped().yield_;
    let water = a.number("water_mm");
    let line = match a.text("line") {
        "Manitoba" => p.manitoba,
        "Alberta" => p.alberta,
        "Montana high" => p.montana_high,
        "Montana low" => p.montana_low,
        _ => p.line,
    };
    let kg = line.at(water);
    let mut w = Working::new("Yield from water").line(Op::Start, "Water", water, "mm", 1).line(
        Op::Minus,
        "Water that yields nothing",
        line.intercept_mm,
        "mm",
        2,
    );
    w = if kg > 0.0 {
        w.line(Op::Times, "Yield for each mm", line.slope_kg_ha_mm, "kg/ha/mm", 4)
    } else {
        w.line(Op::Times, "Too little water for any yield", 0.0, "kg/ha/mm", 0)
    };
    let w = w
        .sum("Yield", kg, "kg/ha", 0)
        .note(format!("An inch of water is {:.1} mm.", in_to_mm(1.0)))
        .source(format!("line: {}", a.text("line")))
        .would_change("your own yields and water, which can fit your own line");
    Ok(Outcome::new(w).with("yield_kg_ha", kg).with("yield_bu_ac", kg_ha_to_bu_ac(kg, 60.0)))
}

fn expected_yield(a: &Args) -> Answer {
    let p = &CropParams::shipped().yield_;
    let date = seeding_date_factor(a.number("seeding_day"), p.best_day, p.late_per_day, p.late_floor);
    let stand = stand_factor(per_ft2_to_per_m2(a.number("stand_ft2")), p);
    let x = YieldInputs {
        date_factor: date,
        stand_factor: stand,
        nutrient_factor: a.number("nutrient_share"),
        weed_loss: a.number("weed_loss_pct") / 100.0,
        frost_loss: a.number("frost_loss_pct") / 100.0,
        ..YieldInputs::water_only(
            a.number("water_at_seeding_mm"),
            a.number("rain_mm"),
            a.number("best_kg_ha"),
        )
    };
    let y = expected(&x, p);
    let w = Working::new("Expected yield")
        .line(
            Op::Note,
            "Water at seeding and rain",
            x.water_at_seeding_mm + x.rain_seeding_to_fill_mm,
            "mm",
            0,
        )
        .line(Op::Start, "What the water allows, up to the field's best", y.by_water_kg_ha, "kg/ha", 0)
        .line(Op::Times, "Seeding date", date, "", 3)
        .line(Op::Times, "Stand", stand, "", 3)
        .line(Op::Times, "Nutrients", x.nutrient_factor, "", 3)
        .line(Op::Times, "Kept from weeds", 1.0 - x.weed_loss, "", 3)
        .line(Op::Times, "Kept from frost", 1.0 - x.frost_loss, "", 3)
        .sum("Expected yield", y.expected_kg_ha, "kg/ha", 0)
        .source("water line, judgement between Manitoba and Alberta; 1 % a day late")
        .would_change("rain to come, and your own line fitted from records");
    Ok(Outcome::new(w)
        .with("yield_kg_ha", y.expected_kg_ha)
        .with("yield_bu_ac", kg_ha_to_bu_ac(y.expected_kg_ha, 60.0))
        .with("by_water_kg_ha", y.by_water_kg_ha))
}

fn deficit_yield(a: &Args) -> Answer {
    let p = &CropParams::shipped().yield_;
    let three = |key: &'static str| -> Result<[f64; 3], stook_measure::CalcError> {
        a.list(key).try_into().map_err(|_| {
            stook_measure::CalcError::Together(format!(
                "{key} needs three values: before flowering, flowering, filling"
            ))
        })
    };
    let (actual, potential) = (three("et_actual_mm")?, three("et_potential_mm")?);
    let share = deficit_factor_by_phase(&actual, &potential, &p.ky_phase);
    let season = deficit_factor(actual.iter().sum(), potential.iter().sum(), p.ky_season);
    let mut w = Working::new("Yield left after a dry spell").line(Op::Start, "Full yield", 1.0, "", 0);
    for (i, phase) in ["Before flowering", "Flowering", "Filling"].into_iter().enumerate() {
        w = w.line(Op::Times, phase, deficit_factor(actual[i], potential[i], p.ky_phase[i]), "", 3);
    }
    let w = w
        .sum("Share of full yield", share, "", 3)
        .note(format!("By the whole season at once: {season:.3}."))
        .source("FAO-33, FAO-56 table 24, from memory");
    Ok(Outcome::new(w).with("share_by_phase", share).with("share_by_season", season))
}

fn late_seeding(a: &Args) -> Answer {
    let (base, days, pct) = (a.number("yield_bu_ac"), a.number("days_late"), a.number("per_day_pct"));
    let kept = seeding_date_factor(days, 0.0, pct / 100.0, CropParams::shipped().yield_.late_floor);
    let loss = base * (1.0 - kept);
    let w = Working::new("Yield lost by late seeding")
        .line(Op::Start, "Yield in time", base, "bu/ac", 1)
        .line(Op::Times, "Share lost", 1.0 - kept, "", 4)
        .sum("Lost", loss, "bu/ac", 2)
        .source("1 % a day: Manitoba insurance records, North Dakota, Minnesota");
    Ok(Outcome::new(w).with("loss_bu_ac", loss).with("yield_left_bu_ac", base * kept))
}

fn yield_components(a: &Args) -> Answer {
    let (heads, kernels, tkw) = (a.number("heads_ft2"), a.number("kernels_per_head"), a.number("tkw_g"));
    let kg = component_yield_kg_ha(per_ft2_to_per_m2(heads), kernels, tkw);
    let bu = kg_ha_to_bu_ac(kg, 60.0);
    let w = Working::new("Yield from heads and kernels")
        .line(Op::Start, "Heads", heads, "heads/ft2", 1)
        .line(Op::Times, "Kernels a head", kernels, "", 1)
        .line(Op::Times, "Weight of a thousand", tkw, "g", 1)
        .line(Op::Times, "To bushels an acre", bu / (heads * kernels * tkw), "", 7)
        .sum("Yield", bu, "bu/ac", 1)
        .source("arithmetic");
    Ok(Outcome::new(w).with("yield_bu_ac", bu).with("yield_kg_ha", kg))
}

fn kernel_weight(a: &Args) -> Answer {
    let (dry, moisture) = (a.number("dry_mg"), a.number("moisture_pct"));
    let tkw = dry / (1.0 - moisture / 100.0);
    let w = Working::new("Weight of a thousand kernels")
        .line(Op::Start, "Dry weight of a thousand", dry, "g", 2)
        .line(Op::Over, "Dry share", 1.0 - moisture / 100.0, "", 4)
        .sum("Weight of a thousand", tkw, "g", 1)
        .source("arithmetic");
    Ok(Outcome::new(w).with("tkw_g", tkw))
}

fn ground_loss(a: &Args) -> Answer {
    let (g, tkw) = (a.number("loss_g_m2"), a.number("tkw_g"));
    let kg = 10.0 * g;
    let kernels_m2 = g / tkw * 1000.0;
    let w = Working::new("Grain on the ground")
        .line(Op::Start, "On the ground", g, "g/m2", 2)
        .line(Op::Times, "To kilograms a hectare", 10.0, "", 0)
        .sum("Lost", kg, "kg/ha", 1)
        .source("arithmetic");
    Ok(Outcome::new(w)
        .with("loss_kg_ha", kg)
        .with("loss_bu_ac", kg_ha_to_bu_ac(kg, 60.0))
        .with("kernels_ft2", stook_measure::units::per_m2_to_per_ft2(kernels_m2)))
}
