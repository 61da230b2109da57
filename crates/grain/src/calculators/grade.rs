//! Grades and moisture classes.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Output, Working};

use super::{output, refuse};
use crate::grade::GradeTables;
use crate::moisture_class::{CLASS_KEYS, ClassLimits};

/// Calculators have no clock: the schedule is the newest one shipped.
const TODAY: &str = "9999-12-31";

fn pct(key: &'static str, about: &'static str) -> Input {
    Input::number(key, "%", 0.0, 100.0, about).optional()
}

fn outputs() -> Vec<Output> {
    vec![
        output("grade", "", "highest grade the table allows"),
        output("held_by", "", "the factor that holds it there"),
        output("without_it", "", "the grade were that factor no hindrance"),
        output("not_tested", "", "factors not given: the grade may be lower"),
    ]
}

/// Grades by every input that is a factor of the schedule; `extra` adds factors reckoned from others.
fn grade(a: &Args, schedule: &str, extra: &[(&str, f64)]) -> Result<Outcome, CalcError> {
    let s = GradeTables::shipped().on(schedule, TODAY).map_err(refuse)?;
    let known: Vec<String> = s.factors().iter().map(|f| (*f).to_string()).collect();
    let mut given: Vec<(&str, f64)> = known
        .iter()
        .filter(|k| !extra.iter().any(|e| e.0 == k.as_str()))
        .filter_map(|k| a.maybe_number(k).map(|v| (k.as_str(), v)))
        .collect();
    given.extend(extra);
    if given.is_empty() {
        return Err(refuse("give at least one factor to grade by"));
    }
    let g = s.grade(&given).map_err(refuse)?;
    let mut w = Working::new(format!("Grade by the table {schedule}, in force from {}", s.from));
    for f in &g.factors {
        w = w.line(Op::Note, format!("{}: {}", f.factor.replace('_', " "), f.grade), f.used, "", 2);
    }
    if let Some(l) = s.limits.first() {
        w = w.source(l.source.clone());
    }
    let worst = &g.factors[0];
    let (held_by, without) = if g.rank == 1 {
        (String::new(), g.grade.clone())
    } else {
        (worst.factor.clone(), worst.without.clone())
    };
    Ok(Outcome::new(w.note("The table alone: soundness and smell are for the inspector."))
        .with("grade", g.grade)
        .with("held_by", held_by)
        .with("without_it", without)
        .with("not_tested", g.not_tested.join(", ")))
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "grain.grade_cwrs",
            title: "Grade of Canada Western Red Spring by the table",
            about: "Highest grade the statutory table allows. Damage, fusarium, sprouts and ergot are in the grading guide and for the inspector. Test weight is rounded to a whole kg/hL.",
            inputs: vec![
                Input::number("test_weight_kg_hl", "kg/hL", 30.0, 95.0, "test weight").optional(),
                pct("hvk_pct", "hard vitreous kernels"),
                pct("protein_pct", "protein at 13.5 %"),
                pct("other_than_cereal_pct", "matter other than cereal grains"),
                pct("foreign_pct", "foreign material in all"),
                pct("contrasting_pct", "contrasting classes"),
                pct("other_classes_pct", "wheats of other classes in all"),
            ],
            outputs: outputs(),
            source: "Canada Grain Regulations, C.R.C. c. 889, Schedule 3, amended 2024-08-01",
            run: |a| grade(a, "CWRS", &[]),
        },
        Calculator {
            name: "grain.grade_cwad",
            title: "Grade of Canada Western Amber Durum by the table",
            about: "Highest grade by test weight, vitreous kernels and protein; the other factors were not read.",
            inputs: vec![
                Input::number("test_weight_kg_hl", "kg/hL", 30.0, 95.0, "test weight").optional(),
                pct("hvk_pct", "hard vitreous kernels"),
                pct("protein_pct", "protein at 13.5 %"),
            ],
            outputs: outputs(),
            source: "Canada Grain Regulations, C.R.C. c. 889, Schedule 3, amended 2024-08-01",
            run: |a| grade(a, "CWAD", &[]),
        },
        Calculator {
            name: "grain.grade_us_hrs",
            title: "Grade of United States hard red spring",
            about: "Grade by the table. Defects are damage, foreign material and shrunken and broken together. Moisture and protein are reported, not graded. The text read is a reprint: check the current one.",
            inputs: vec![
                Input::number("test_weight_lb_bu", "lb/bu", 20.0, 80.0, "test weight").optional(),
                pct("heat_damage_pct", "heat-damaged kernels"),
                pct("total_damage_pct", "damaged kernels in all"),
                pct("foreign_pct", "foreign material"),
                pct("shrunken_broken_pct", "shrunken and broken kernels"),
                pct("contrasting_pct", "contrasting classes"),
                pct("other_classes_pct", "wheats of other classes in all"),
            ],
            outputs: outputs(),
            source: "7 CFR 810.2204, read in a reprint",
            run: |a| {
                let parts = ["total_damage_pct", "foreign_pct", "shrunken_broken_pct"];
                let defects: Option<f64> = parts.iter().map(|k| a.maybe_number(k)).sum();
                let extra: Vec<(&str, f64)> = defects.map(|d| ("defects_pct", d)).into_iter().collect();
                grade(a, "US HRS", &extra)
            },
        },
        Calculator {
            name: "grain.moisture_class_ca",
            title: "Straight, tough or damp (Canada)",
            about: "The word added to the grade for moisture, reported to a tenth first. A class of trade, not a limit of safe storage.",
            inputs: vec![
                Input::choice("grain", &CLASS_KEYS, "grain").or("CWRS"),
                Input::number("m_wb_pct", "% wb", 0.0, 50.0, "moisture"),
            ],
            outputs: vec![
                output("class", "", "straight, tough, damp, moist or wet"),
                output("points_over", "% wb", "points over straight"),
            ],
            source: "Off Grades of Grain and Grades of Screenings Order, C.R.C. c. 890",
            run: |a| {
                let all = ClassLimits::shipped();
                let limits = ClassLimits::on(&all, a.text("grain"), TODAY)
                    .ok_or_else(|| refuse("no moisture classes for this grain"))?;
                let m = (a.number("m_wb_pct") * 10.0).round() / 10.0;
                let over = (m - limits.straight_to).max(0.0);
                let w = Working::new("Moisture class")
                    .line(Op::Note, "Moisture, to a tenth", m, "% wb", 1)
                    .line(Op::Note, "Straight up to", limits.straight_to, "% wb", 1)
                    .line(Op::Note, "Tough up to", limits.tough_to, "% wb", 1)
                    .note(format!("{}.", limits.class(m).word()))
                    .source(limits.source.clone());
                Ok(Outcome::new(w).with("class", limits.class(m).word()).with("points_over", over))
            },
        },
    ]
}
