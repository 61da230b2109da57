//! The root zone.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Days, out};
use crate::dual;

pub(super) fn calculators() -> Vec<Calculator> {
    vec![stress_series()]
}

fn stress_series() -> Calculator {
    Calculator {
        name: "soil.root_zone",
        title: "Root zone depletion and stress, day by day",
        about: "Depletion, stress coefficient and deep percolation over one or more days, with the share taken without \
                stress held steady. Lists hold one value a day, or one for all days. Roots do not grow here.",
        inputs: vec![
            Input::number("fc_pct", "%", 3.0, 60.0, "field capacity, by volume").or(36.0),
            Input::number("wp_pct", "%", 1.0, 45.0, "wilting point, by volume").or(22.0),
            Input::number("root_depth_m", "m", 0.1, 3.0, "rooting depth").or(1.0),
            Input::number("p", "1", 0.1, 0.8, "share taken without stress").or(0.55),
            Input::number("depletion_mm", "mm", 0.0, 600.0, "depletion at the start").or(60.0),
            Input::list("etc_mm", "mm", 0.0, 20.0, "crop evapotranspiration without stress")
                .or(vec![6.0, 6.0, 6.0, 6.0]),
            Input::list("water_mm", "mm", 0.0, 300.0, "rain less runoff, irrigation").or(vec![0.0]),
            Input::choice(
                "excess_leaves",
                &["after drinking", "before drinking"],
                "when excess water drains",
            )
            .or("after drinking"),
        ],
        outputs: vec![
            out("total_mm", "mm", "total available water"),
            out("readily_mm", "mm", "taken without stress"),
            out("ks", "1", "stress coefficient: 1 without stress"),
            out("percolation_mm", "mm", "deep percolation"),
            out("depletion_end_mm", "mm", "depletion at the day's end"),
        ],
        source: "FAO-56 equations 82-85 and 88",
        run: |a| {
            let (fc, wp) = (a.number("fc_pct"), a.number("wp_pct"));
            if fc <= wp {
                return Err(CalcError::Together("fc_pct must be above wp_pct".into()));
            }
            let total = 10.0 * (fc - wp) * a.number("root_depth_m");
            let readily = a.number("p") * total;
            let days = Days::of(a, &["etc_mm", "water_mm"])?;
            let drain_first = a.text("excess_leaves") == "before drinking";
            let mut depletion = a.number("depletion_mm").min(total);
            let start = depletion;
            let (mut ks, mut dps, mut ends) = (Vec::new(), Vec::new(), Vec::new());
            let (mut came, mut went, mut drunk) = (0.0, 0.0, 0.0);
            for i in 0..days.count {
                let stress = dual::stress(depletion, total, readily);
                let (etc, inflow) = (stress * days.get(0, i), days.get(1, i));
                let before = depletion;
                let (end, percolated) = dual::root_zone_day(depletion, inflow, etc, total, drain_first);
                depletion = end;
                came += inflow;
                went += percolated;
                drunk += end - before + inflow - percolated;
                ks.push(stress);
                dps.push(percolated);
                ends.push(end);
            }
            let working = Working::new("Root zone depletion")
                .line(Op::Note, "total available water", total, "mm", 0)
                .line(Op::Note, "of it taken without stress", readily, "mm", 0)
                .line(Op::Start, "depletion at the start", start, "mm", 1)
                .line(Op::Minus, "water in", came, "mm", 1)
                .line(Op::Plus, "percolated", went, "mm", 1)
                .line(Op::Plus, "evapotranspiration", drunk, "mm", 1)
                .sum("depletion at the end", depletion, "mm", 1)
                .source("FAO-56 chapter 8");
            Ok(Outcome::new(working)
                .with("total_mm", total)
                .with("readily_mm", readily)
                .with("ks", ks)
                .with("percolation_mm", dps)
                .with("depletion_end_mm", ends))
        },
    }
}
