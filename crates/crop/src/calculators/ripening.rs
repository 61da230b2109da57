//! Kernels, moisture and what waiting costs.

use stook_measure::units::moisture_db_to_wb_pct;
use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::CropParams;
use crate::ripening::{self, Thumb};
use crate::waiting::{self, Shatter, SproutRisk};

fn from() -> Input {
    Input::number("from_pct", "% wb", 8.0, 60.0, "moisture now, wet basis")
}
fn to() -> Input {
    Input::number("to_pct", "% wb", 8.0, 45.0, "moisture wanted or reached, wet basis")
}
fn equilibrium() -> Input {
    Input::number("equilibrium_pct", "% wb", 5.0, 25.0, "moisture the air would bring grain to").or(12.0)
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "crop.kernel_growth",
            title: "Kernel weight after flowering",
            about: "Dry weight of a kernel by degree-days after flowering. The base of the published degree-days is not \
                    stated.",
            inputs: vec![
                Input::list("sum_cd", "C d", 0.0, 1200.0, "degree-days after flowering"),
                Input::number("wmax_mg", "mg", 10.0, 70.0, "full weight").or(35.0),
                Input::number("b", "1", 1.0, 6.0, "place of the curve").or(3.3),
                Input::number("c", "1/(C d)", 0.005, 0.03, "steepness").or(0.0135),
            ],
            outputs: vec![
                out("kernel_mg", "mg", "dry weight of a kernel"),
                out("sum_95_cd", "C d", "degree-days to 95 % of full weight"),
            ],
            source: "Darroch and Baker 1990, Crop Sci. 30:525; defaults fitted between two years of Neepawa",
            run: kernel_growth,
        },
        Calculator {
            name: "crop.filling_moisture",
            title: "Moisture of filling kernels",
            about: "Moisture by the share of final dry matter: a straight line to 37 % at full weight.",
            inputs: vec![Input::number("dry_matter_pct", "%", 0.0, 100.0, "share of final dry matter")],
            outputs: vec![out("moisture_pct", "% wb", "moisture, wet basis")],
            source: "Calderini, Abeledo and Slafer 2000",
            run: filling_moisture,
        },
        Calculator {
            name: "crop.drydown_days",
            title: "Days to dry in the field",
            about: "Days for ripe grain to dry without rain. Good to about 1.5 points at three days and 3 at seven.",
            inputs: vec![
                from(),
                to(),
                equilibrium(),
                Input::number("k_per_day", "1/d", 0.01, 0.5, "drying rate").or(0.10),
            ],
            outputs: vec![
                out("days", "d", "days to get there"),
                out("first_day_points", "%", "points lost on day one"),
            ],
            source: "exponential drying, judgement; rate from 45 to 20 % in 14 days (AHDB growth guide)",
            run: drydown_days,
        },
        Calculator {
            name: "crop.drydown_rate",
            title: "Drying rate from two readings",
            about: "Your own drying rate from two moistures some dry days apart.",
            inputs: vec![from(), to(), Input::number("days", "d", 0.1, 60.0, "days between"), equilibrium()],
            outputs: vec![out("k_per_day", "1/d", "drying rate, wet basis")],
            source: "exponential drying",
            run: drydown_rate,
        },
        Calculator {
            name: "crop.wet_basis",
            title: "Moisture from dry basis to wet basis",
            about: "Grams of water per kilogram of dry matter in percent of wet weight.",
            inputs: vec![Input::number("water_g_kg_dry", "g/kg", 0.0, 3000.0, "water per kg of dry matter")],
            outputs: vec![out("moisture_pct", "% wb", "moisture, wet basis")],
            source: "definition",
            run: wet_basis,
        },
        Calculator {
            name: "crop.thumb_test",
            title: "Thumb and teeth",
            about: "Moisture to expect from how a kernel feels. Only the dent is published; the rest from memory.",
            inputs: vec![Input::choice(
                "kernel",
                &["juice", "mashes", "dents", "marks", "cracks"],
                "what it does",
            )],
            outputs: vec![
                out("moisture_pct", "% wb", "middle"),
                out("low_pct", "% wb", "low"),
                out("high_pct", "% wb", "high"),
            ],
            source: "hard dough dents at about 30 %; the rest from memory and common practice",
            run: thumb_test,
        },
        Calculator {
            name: "crop.waiting_loss",
            title: "What a ripe crop loses by standing",
            about: "Grain shed, test weight, sprouting risk and grade steps to expect. Mostly judgement: your own \
                    grades should replace it.",
            inputs: vec![
                Input::number("days", "d", 0.0, 90.0, "days since ripe"),
                Input::choice("cultivar", &["holds", "sheds"], "how it holds its kernels").or("holds"),
                Input::number("wettings", "rains", 0.0, 30.0, "rains over 5 mm on ripe grain").or(0.0),
                Input::number("wet_h", "h", 0.0, 1000.0, "hours over 20 % after first being dry").or(0.0),
                Input::choice("sprouting", &["ordinary", "prone"], "sprouting-prone, or ripened hot")
                    .or("ordinary"),
            ],
            outputs: vec![
                out("shatter_pct", "%", "yield shed"),
                out("test_weight_loss_lb_bu", "lb/bu", "test weight lost"),
                out("sprout_risk", "", "low, moderate, high or severe"),
                out("grade_steps", "steps", "grade steps expected lost"),
            ],
            source: "Clarke 1985; Farrer et al. 2006; North Dakota column 2012; classes and steps: judgement",
            run: waiting_loss,
        },
    ]
}

fn kernel_growth(a: &Args) -> Answer {
    let (wmax, b, c) = (a.number("wmax_mg"), a.number("b"), a.number("c"));
    let sums = a.list("sum_cd");
    let mg: Vec<f64> = sums.iter().map(|s| ripening::kernel_mg(*s, wmax, b, c)).collect();
    let at_95 = ripening::kernel_sum_cd(0.95, b, c);
    let mut w = Working::new("Kernel weight");
    for (s, m) in sums.iter().zip(&mg) {
        w = w.line(Op::Note, format!("At {s:.0} degree-days"), *m, "mg", 1);
    }
    let w = w.line(Op::Note, "95 % of full weight at", at_95, "C d", 0).source("Darroch and Baker 1990");
    Ok(Outcome::new(w).with("kernel_mg", mg).with("sum_95_cd", at_95))
}

fn filling_moisture(a: &Args) -> Answer {
    let p = &CropParams::shipped().ripening;
    let x = a.number("dry_matter_pct");
    let m = ripening::filling_moisture_pct(x, p);
    let w = Working::new("Moisture of filling kernels")
        .line(Op::Start, "Dry matter still to come", 100.0 - x, "%", 1)
        .line(Op::Times, "Points for each percent", p.line_slope, "", 2)
        .line(Op::Plus, "At full weight", p.pm_moisture_pct, "% wb", 1)
        .sum("Moisture", m, "% wb", 1)
        .source("Calderini, Abeledo and Slafer 2000");
    Ok(Outcome::new(w).with("moisture_pct", m))
}

fn drydown_days(a: &Args) -> Answer {
    let (from, to, me, k) =
        (a.number("from_pct"), a.number("to_pct"), a.number("equilibrium_pct"), a.number("k_per_day"));
    let days = ripening::days_to_dry(from, to, me, k).ok_or_else(|| {
        CalcError::Together(format!(
            "the air brings grain to {me} % and no drier, so it never reaches {to} %; give a moisture above {me}"
        ))
    })?;
    let first = (from - me) * (1.0 - (-k).exp());
    let w = Working::new("Days to dry")
        .line(Op::Start, "Logarithm of the distances to equilibrium", days * k, "", 4)
        .line(Op::Over, "Drying rate", k, "1/d", 4)
        .sum("Days", days, "d", 1)
        .note(format!("From {from:.1} to {to:.1} % with {me:.1} % in balance with the air, no rain."))
        .source("AHDB wheat growth guide for the rate")
        .would_change("rain, dew and the afternoon's humidity");
    Ok(Outcome::new(w).with("days", days).with("first_day_points", first))
}

fn drydown_rate(a: &Args) -> Answer {
    let (from, to, me, days) =
        (a.number("from_pct"), a.number("to_pct"), a.number("equilibrium_pct"), a.number("days"));
    if !(from > to && to > me) {
        return Err(CalcError::Together(
            "the grain must have dried, and still be above the moisture in balance with the air".into(),
        ));
    }
    let k = ripening::fit_k_per_day(from, to, days, me);
    let w = Working::new("Drying rate")
        .line(Op::Start, "Logarithm of the distances to equilibrium", k * days, "", 4)
        .line(Op::Over, "Days", days, "d", 2)
        .sum("Drying rate", k, "1/d", 4)
        .source("exponential drying");
    Ok(Outcome::new(w).with("k_per_day", k))
}

fn wet_basis(a: &Args) -> Answer {
    let water = a.number("water_g_kg_dry");
    let m = moisture_db_to_wb_pct(water / 10.0);
    let w = Working::new("Moisture, wet basis")
        .line(Op::Start, "Water", 100.0 * water, "", 0)
        .line(Op::Over, "Water and dry matter", 1000.0 + water, "g", 1)
        .sum("Moisture", m, "% wb", 1)
        .source("definition");
    Ok(Outcome::new(w).with("moisture_pct", m))
}

fn thumb_test(a: &Args) -> Answer {
    let test = match a.text("kernel") {
        "juice" => Thumb::Juice,
        "mashes" => Thumb::Mashes,
        "dents" => Thumb::Dents,
        "marks" => Thumb::Marks,
        _ => Thumb::Cracks,
    };
    let (middle, low, high) = ripening::thumb_moisture_pct(test);
    let w = Working::new("Thumb and teeth")
        .line(Op::Note, "Middle", middle, "% wb", 1)
        .line(Op::Note, "Low", low, "% wb", 0)
        .line(Op::Note, "High", high, "% wb", 0)
        .source("hard dough dents at about 30 %; the rest from memory");
    Ok(Outcome::new(w).with("moisture_pct", middle).with("low_pct", low).with("high_pct", high))
}

fn waiting_loss(a: &Args) -> Answer {
    let p = &CropParams::shipped().waiting;
    let class = if a.text("cultivar") == "holds" { Shatter::Resistant } else { Shatter::Susceptible };
    let shed = 100.0 * waiting::shatter_loss(a.number("days"), class, p);
    let test_weight = waiting::test_weight_loss_lb_bu(a.number("wettings"), p);
    let risk = waiting::sprout_risk(a.number("wet_h"), a.text("sprouting") == "prone", p);
    let steps = waiting::expected_grade_steps(a.number("wettings"), risk, p);
    let words = match risk {
        SproutRisk::Low => "low",
        SproutRisk::Moderate => "moderate",
        SproutRisk::High => "high",
        SproutRisk::Severe => "severe",
    };
    let w = Working::new("What standing costs")
        .line(Op::Note, "Yield shed", shed, "%", 1)
        .line(Op::Note, "Test weight lost", test_weight, "lb/bu", 1)
        .line(
            Op::Start,
            "Grade steps from rains",
            p.grade_steps_per_wetting * a.number("wettings"),
            "steps",
            2,
        )
        .line(Op::Plus, "Grade steps from sprouting", p.grade_steps_sprout[risk as usize], "steps", 2);
    let w = w
        .line(
            Op::Minus,
            "Beyond the lowest grade",
            p.grade_steps_per_wetting * a.number("wettings") + p.grade_steps_sprout[risk as usize] - steps,
            "steps",
            2,
        )
        .sum("Grade steps", steps, "steps", 2)
        .note(format!("Sprouting risk: {words}."))
        .source("Clarke 1985; Farrer et al. 2006; classes and steps: judgement")
        .would_change("your own grades after wet falls");
    Ok(Outcome::new(w)
        .with("shatter_pct", shed)
        .with("test_weight_loss_lb_bu", test_weight)
        .with("sprout_risk", words)
        .with("grade_steps", steps))
}
