//! Degree-days, leaf number and stages.

use stook_measure::units::c_to_f;
use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};
use stook_weather::{Day, Forcing};

use super::{Answer, out, paired};
use crate::thermal::{degree_days_clipped, degree_days_mean, haun, haun_sum, pacific_northwest_stage};
use crate::{CropParams, Phase, WheatState};

const STAGES: [Phase; 5] = [Phase::Seedling, Phase::Heading, Phase::Flowering, Phase::HardDough, Phase::Ripe];

fn extremes() -> [Input; 2] {
    [
        Input::list("tmax_c", "C", -50.0, 55.0, "highest temperature of each day"),
        Input::list("tmin_c", "C", -60.0, 45.0, "lowest temperature of each day"),
    ]
}

pub(super) fn calculators() -> Vec<Calculator> {
    let [tmax, tmin] = extremes();
    vec![
        Calculator {
            name: "crop.degree_days",
            title: "Degree-days",
            about: "Degree-days of each day and their running sum, by either published method. They differ when nights \
                    fall below the base; use a threshold table with the method it was made with.",
            inputs: vec![
                tmax.clone(),
                tmin.clone(),
                Input::number("base_c", "C", -5.0, 15.0, "lower limit").or(0.0),
                Input::number("cap_c", "C", 15.0, 60.0, "upper limit").or(35.0),
                Input::choice(
                    "method",
                    &["clip first", "mean first"],
                    "clip the extremes first, or the mean",
                )
                .or("clip first"),
            ],
            outputs: vec![
                out("daily_cd", "C d", "each day"),
                out("sum_cd", "C d", "running sum"),
                out("tmax_used_c", "C", "highest temperature after the limits"),
                out("tmin_used_c", "C", "lowest temperature after the limits"),
            ],
            source: "McMaster and Wilhelm 1997, Agric. For. Meteorol. 87:291",
            run: degree_days,
        },
        Calculator {
            name: "crop.leaf_stage",
            title: "Leaf stage from degree-days",
            about: "Leaves on the main stem (Haun) after so many degree-days from emergence, up to the flag leaf.",
            inputs: vec![Input::number("sum_cd", "C d", 0.0, 2000.0, "degree-days since emergence")],
            outputs: vec![out("leaves", "leaves", "leaves fully out and the fraction of the next")],
            source: "143 F d a leaf, first at 72 F d: North Dakota and Minnesota extension, from memory",
            run: leaf_stage,
        },
        Calculator {
            name: "crop.leaf_stage_sum",
            title: "Degree-days to a leaf stage",
            about: "Degree-days from emergence to a number of leaves.",
            inputs: vec![Input::number("leaves", "leaves", 0.0, 9.0, "leaves on the main stem")],
            outputs: vec![
                out("sum_cd", "C d", "degree-days, base 0 C"),
                out("sum_fd", "F d", "degree-days, base 32 F"),
            ],
            source: "143 F d a leaf, first at 72 F d: North Dakota and Minnesota extension, from memory",
            run: leaf_stage_sum,
        },
        Calculator {
            name: "crop.seedling_stage_pacific_northwest",
            title: "Seedling stage, Pacific Northwest form",
            about: "A published model to compare with: 80 C d to germination, 50 C d an inch to emergence, 100 C d a \
                    leaf. The season uses a faster emergence, fitted to the plains.",
            inputs: vec![
                Input::number("sum_fd", "F d", 0.0, 3000.0, "degree-days since seeding, base 32 F"),
                Input::number("depth_in", "in", 0.5, 4.0, "seeding depth").or(2.0),
            ],
            outputs: vec![out("stage", "", "stage in words")],
            source: "Oregon State Univ. after Karow et al. 1993; constants from memory, confirmed by printed outputs",
            run: seedling_stage,
        },
        Calculator {
            name: "crop.stage_dates",
            title: "Days to each stage",
            about: "Days from seeding to each stage over a list of daily temperatures, starting with the day of \
                    seeding, in a moist seedbed whose temperature follows the air. 0: not reached.",
            inputs: vec![
                tmax,
                tmin,
                Input::number("depth_mm", "mm", 10.0, 100.0, "seeding depth").or(40.0),
                Input::number("days_late", "d", -8.0, 8.0, "days the cultivar ripens after the check")
                    .or(0.0),
            ],
            outputs: vec![
                out("emergence_d", "d", "days to emergence"),
                out("heading_d", "d", "days to heading"),
                out("flowering_d", "d", "days to flowering"),
                out("hard_dough_d", "d", "days to hard dough, when fill is over"),
                out("ripe_d", "d", "days to ripe"),
                out("leaves", "leaves", "leaves at the end of the list"),
                out("sum_cd", "C d", "degree-days at the end of the list"),
                out("stage", "", "stage at the end of the list"),
            ],
            source: "Montana State Univ. MT200103AG thresholds, from memory; give a stage you saw to move them",
            run: stage_dates,
        },
    ]
}

fn degree_days(a: &Args) -> Answer {
    let (tmax, tmin) = paired(a, "tmax_c", "tmin_c")?;
    let (base, cap) = (a.number("base_c"), a.number("cap_c"));
    let clip = a.text("method") == "clip first";
    let one = |(&hi, &lo): (&f64, &f64)| {
        if clip { degree_days_clipped(hi, lo, base, cap) } else { degree_days_mean(hi, lo, base) }
    };
    let daily: Vec<f64> = tmax.iter().zip(tmin).map(one).collect();
    let sum: Vec<f64> = daily
        .iter()
        .scan(0.0, |s, d| {
            *s += d;
            Some(*s)
        })
        .collect();
    let used =
        |t: &[f64]| -> Vec<f64> { t.iter().map(|x| if clip { x.clamp(base, cap) } else { *x }).collect() };
    let total = sum.last().copied().unwrap_or(0.0);
    let mut w = Working::new("Degree-days");
    for (i, d) in daily.iter().enumerate() {
        w = w.line(if i == 0 { Op::Start } else { Op::Plus }, format!("Day {}", i + 1), *d, "C d", 2);
    }
    let w = w.sum("Degree-days", total, "C d", 1).source("McMaster and Wilhelm 1997");
    Ok(Outcome::new(w)
        .with("daily_cd", daily)
        .with("sum_cd", sum)
        .with("tmax_used_c", used(tmax))
        .with("tmin_used_c", used(tmin)))
}

fn leaf_stage(a: &Args) -> Answer {
    let s = &CropParams::shipped().stage;
    let sum = a.number("sum_cd");
    let leaves = haun(sum, s.first_leaf_cd, s.per_leaf_cd, s.final_leaves);
    let mut w = Working::new("Leaf stage");
    w = if sum < s.first_leaf_cd {
        w.line(Op::Start, "Degree-days since emergence", sum, "C d", 1).line(
            Op::Over,
            "To the first leaf",
            s.first_leaf_cd,
            "C d",
            1,
        )
    } else if leaves < s.final_leaves {
        w.line(Op::Start, "Degree-days since emergence", sum, "C d", 1)
            .line(Op::Minus, "To the first leaf", s.first_leaf_cd, "C d", 1)
            .line(Op::Over, "A leaf", s.per_leaf_cd, "C d/leaf", 1)
            .line(Op::Plus, "The first leaf", 1.0, "leaves", 0)
    } else {
        w.note("All leaves are out; later stages follow the stage table.")
    };
    let w = w
        .sum("Leaves", leaves, "leaves", 1)
        .note("Good to about half a leaf.")
        .source("North Dakota and Minnesota extension, from memory")
        .would_change("a leaf count in the field");
    Ok(Outcome::new(w).with("leaves", leaves))
}

fn leaf_stage_sum(a: &Args) -> Answer {
    let s = &CropParams::shipped().stage;
    let leaves = a.number("leaves");
    let sum = haun_sum(leaves, s.first_leaf_cd, s.per_leaf_cd);
    let mut w = Working::new("Degree-days to a leaf stage");
    w = if leaves < 1.0 {
        w.line(Op::Start, "To the first leaf", s.first_leaf_cd, "C d", 1).line(
            Op::Times,
            "Share of it",
            leaves,
            "",
            2,
        )
    } else {
        w.line(Op::Start, "Leaves after the first", leaves - 1.0, "leaves", 2)
            .line(Op::Times, "A leaf", s.per_leaf_cd, "C d/leaf", 1)
            .line(Op::Plus, "To the first leaf", s.first_leaf_cd, "C d", 1)
    };
    let w = w
        .sum("Degree-days since emergence", sum, "C d", 1)
        .source("North Dakota and Minnesota extension, from memory");
    // A temperature difference: 1.8 F for each C, without the 32.
    Ok(Outcome::new(w).with("sum_cd", sum).with("sum_fd", c_to_f(sum) - 32.0))
}

fn seedling_stage(a: &Args) -> Answer {
    let (sum, depth) = (a.number("sum_fd"), a.number("depth_in"));
    let stage = pacific_northwest_stage(sum, depth);
    let w = Working::new("Seedling stage, Pacific Northwest form")
        .line(Op::Note, "Degree-days since seeding", sum, "F d", 0)
        .line(Op::Note, "Emergence at", 1.8 * (80.0 + 50.0 * depth), "F d", 0)
        .note(format!("Stage: {stage}."))
        .source("Oregon State Univ. after Karow et al. 1993");
    Ok(Outcome::new(w).with("stage", stage))
}

fn stage_dates(a: &Args) -> Answer {
    let (tmax, tmin) = paired(a, "tmax_c", "tmin_c")?;
    let p = CropParams::shipped().for_cultivar(a.number("days_late"));
    let mut state = WheatState::sown(a.number("depth_mm") / 10.0, &p);
    let mut reached = [0.0; 5];
    for (day, (&tmax_c, &tmin_c)) in tmax.iter().zip(tmin).enumerate() {
        let tmean_c = 0.5 * (tmax_c + tmin_c);
        // Only temperature matters to the stage; the rest of the day is left at nothing.
        let weather = Forcing {
            day: Day { tmax_c, tmin_c, precip_mm: 0.0, rs_mj_m2: 0.0, ea_kpa: 0.0, wind_2m_ms: 0.0 },
            tmean_c,
            rain_mm: 0.0,
            snow_mm: 0.0,
            eto_mm: 0.0,
            vpd_kpa: 0.0,
            rh_min_pct: 0.0,
            rh_max_pct: 0.0,
            daylight_h: 0.0,
        };
        let phase = state.step(&p, &weather, tmean_c, true);
        for (r, s) in reached.iter_mut().zip(STAGES) {
            if *r == 0.0 && phase >= s {
                *r = day as f64 + 1.0;
            }
        }
    }
    let mut w = Working::new("Days to each stage");
    for (d, s) in reached.iter().zip(STAGES) {
        w = w.line(Op::Note, s.words(), *d, "d", 0);
    }
    let phase = state.phase(&p);
    let w = w
        .line(Op::Note, "Degree-days at the end", state.sum_cd, "C d", 0)
        .note(format!("At the end of the list: {}.", phase.words()))
        .note("Emergence is good to two days, heading and flowering to three, ripe to five.")
        .source("Montana State Univ. MT200103AG, from memory")
        .would_change("a stage seen in the field");
    Ok(Outcome::new(w)
        .with("emergence_d", reached[0])
        .with("heading_d", reached[1])
        .with("flowering_d", reached[2])
        .with("hard_dough_d", reached[3])
        .with("ripe_d", reached[4])
        .with("leaves", state.leaves(&p))
        .with("sum_cd", state.sum_cd)
        .with("stage", phase.words()))
}
