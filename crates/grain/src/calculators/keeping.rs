//! Whether grain keeps until a day, malting barley, and what an auger moves.

use stook_measure::{Calculator, Input, Op, Outcome, Working};

use super::{grain_input, grain_of, moisture_input, output, refuse, shipped, yes_no};
use crate::auger;
use crate::life::{LifeParams, Spent};
use crate::malting::malting_life;

fn temperature() -> Input {
    Input::number("t_c", "C", -40.0, 60.0, "temperature of the grain")
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![keeps_till(), life_malting(), auger()]
}

fn keeps_till() -> Calculator {
    Calculator {
        name: "grain.keeps_till",
        title: "Will it keep till then?",
        about: "Share of the storage life that a stay at steady moisture and temperature spends, and how wet grain may be to be kept through winter or longer.",
        inputs: vec![
            grain_input(),
            moisture_input(),
            temperature(),
            Input::number("days", "d", 0.0, 2000.0, "days it is to lie").or(150.0),
            Input::number("spent", "1", 0.0, 1.0, "share of its life already spent").or(0.0),
        ],
        outputs: vec![
            output("spent", "1", "share of its life spent by then, likely"),
            output("spent_at_most", "1", "at the short end of life"),
            output("keeps", "", "whether it keeps"),
            output("winter_pct", "% wb", "wettest for about nine months; not known for every grain"),
            output("long_pct", "% wb", "wettest for longer; not known for every grain"),
        ],
        source: "Hellevang, NDSU, slides 2019 and 2020; Fraser and Muir 1981; Small Grains Field Guide, NDSU and Univ. of Minnesota 2005",
        run: |a| {
            let g = grain_of(a);
            let p = LifeParams::from_reference(shipped());
            let (m, t, days, before) =
                (a.number("m_wb_pct"), a.number("t_c"), a.number("days"), a.number("spent"));
            if p.verdict(g, m, t).is_none() {
                return Err(refuse(format!(
                    "no storage life of {} could be confirmed; keep it dry and cool, and watch it",
                    g.words()
                )));
            }
            let mut s = Spent { least: before, likely: before, most: before };
            s.spend(&p, g, m, t, days);
            let known = |what: &str| {
                let name = format!("grain.life.{}.{what}", g.family());
                shipped().coefficient(&name).map_or(f64::NAN, |c| c.value)
            };
            let keeps = s.likely < 1.0;
            let w = Working::new("Life spent by then")
                .line(Op::Start, "Spent before", before, "", 3)
                .line(Op::Plus, "Spent in the stay", s.likely - before, "", 3)
                .sum("Spent", s.likely, "", 3)
                .note(if keeps {
                    "Less than all of it: it should keep."
                } else {
                    "All of it and more: it will not keep."
                })
                .note(
                    "A little spoilt grain in one place spoils the rest: it is the worst layer that counts.",
                )
                .source("Hellevang, NDSU, slides 2019 and 2020");
            Ok(Outcome::new(w)
                .with("spent", s.likely)
                .with("spent_at_most", s.most)
                .with("keeps", yes_no(keeps))
                .with("winter_pct", known("winter_moisture"))
                .with("long_pct", known("long_moisture")))
        },
    }
}

fn life_malting() -> Calculator {
    Calculator {
        name: "grain.life_malting",
        title: "How long malting barley keeps its germination",
        about: "Days before barley no longer grows well enough to malt: shorter than the life of feed barley.",
        inputs: vec![moisture_input(), temperature()],
        outputs: vec![
            output("days", "d", "days"),
            output("at_least", "", "whether it is a floor"),
            output("outside", "", "outside 14 to 17 % or above 80 F"),
        ],
        source: "Hellevang, NDSU, 2009, 2019 and 2020",
        run: |a| {
            let life = malting_life(a.number("m_wb_pct"), a.number("t_c"));
            let w = Working::new("Malting barley")
                .line(Op::Note, "Moisture", a.number("m_wb_pct"), "% wb", 1)
                .line(Op::Note, "Temperature", a.number("t_c"), "C", 1)
                .sum("Days", life.days, "d", 0)
                .note("17 % at 70 F is printed as about 30 and as 25 days: the shorter is used.")
                .source("Hellevang, NDSU, 2009, 2019 and 2020");
            Ok(Outcome::new(w)
                .with("days", life.days)
                .with("at_least", yes_no(life.at_least))
                .with("outside", yes_no(life.outside)))
        },
    }
}

fn auger() -> Calculator {
    Calculator {
        name: "grain.auger",
        title: "What an auger moves",
        about: "Capacity by geometry, what is moved in practice, and what an incline leaves. Wet grain moves 25 to 40 % slower. Guards on, power locked out before anyone reaches in.",
        inputs: vec![
            Input::number("tube_in", "in", 2.0, 24.0, "inside diameter of the tube"),
            Input::number("shaft_in", "in", 0.0, 10.0, "diameter of the shaft").or(2.0),
            Input::number("pitch_in", "in", 2.0, 24.0, "pitch of the flighting"),
            Input::number("rpm", "1/min", 10.0, 1500.0, "turns a minute"),
            Input::number("incline_deg", "deg", 0.0, 90.0, "incline").or(0.0),
        ],
        outputs: vec![
            output("theory_ft3_h", "ft3/h", "by geometry, flat"),
            output("incline_share", "1", "share left at the incline"),
            output("low_bu_h", "bu/h", "in practice, low"),
            output("high_bu_h", "bu/h", "in practice, high"),
        ],
        source: "course slides; unsigned handling notes for the incline",
        run: |a| {
            let (tube, shaft) = (a.number("tube_in"), a.number("shaft_in"));
            if shaft >= tube {
                return Err(refuse("the shaft must be thinner than the tube"));
            }
            let theory = auger::theory_ft3_h(tube, shaft, a.number("pitch_in"), a.number("rpm"));
            let share = auger::incline_share(a.number("incline_deg"));
            let bu = theory * share / 1.24446;
            let w = Working::new("Auger, at the high end")
                .line(Op::Start, "By geometry", theory, "ft3/h", 0)
                .line(Op::Times, "Left at the incline", share, "", 3)
                .line(Op::Times, "Moved in practice, at most", auger::ACTUAL[1], "", 2)
                .line(Op::Over, "A bushel", 1.24446, "ft3", 5)
                .sum("Moved", bu * auger::ACTUAL[1], "bu/h", 0)
                .note("Wet grain: take off 25 to 40 %.")
                .source("course slides; unsigned handling notes for the incline");
            Ok(Outcome::new(w)
                .with("theory_ft3_h", theory)
                .with("incline_share", share)
                .with("low_bu_h", bu * auger::ACTUAL[0])
                .with("high_bu_h", bu * auger::ACTUAL[1]))
        },
    }
}
