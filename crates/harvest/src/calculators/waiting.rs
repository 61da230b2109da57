//! What lateness costs, and which field comes first.

use stook_measure::{Args, CalcError, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out};
use crate::order::{self, Job};
use crate::timeliness::{self, SeasonWork};

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "harvest.timeliness_loss",
            title: "Yield lost by lateness",
            about: "A straight line from the best day. Dated and local figures: a prior until your own delays speak.",
            inputs: vec![
                Input::number("yield_", "bu/ac", 0.0, 500.0, "yield, any unit"),
                Input::number("k_per_day", "1/d", 0.0, 0.05, "share lost for each day").or(0.005),
                Input::number("days", "d", 0.0, 120.0, "days late"),
            ],
            outputs: vec![out("loss", "bu/ac", "lost, same unit")],
            source: "Schuler, Univ. of Wisconsin, 2005; wheat harvest 0.005: ASAE D497, from memory",
            run: timeliness_loss,
        },
        Calculator {
            name: "harvest.timeliness_season",
            title: "What a season's lateness costs",
            about: "Money lost in a season because the machine needs days for the whole area.",
            inputs: vec![
                Input::number("k_per_day", "1/d", 0.0, 0.05, "share of value lost for each day").or(0.005),
                Input::number("area_ha", "ha", 1.0, 100_000.0, "area"),
                Input::number("yield_t_ha", "t/ha", 0.1, 15.0, "yield"),
                Input::number("price_t", "money/t", 0.0, 2000.0, "price"),
                Input::choice("start", &["at the best date", "straddles it"], "when the work starts")
                    .or("at the best date"),
                Input::number("hours_per_day", "h", 0.5, 24.0, "hours on a fit day").or(10.0),
                Input::number("ha_h", "ha/h", 0.1, 100.0, "capacity"),
                Input::number("fit_share", "1", 0.05, 1.0, "share of days that are fit").or(0.6),
            ],
            outputs: vec![out("cost", "money", "lost in a season"), out("days", "d", "days on the calendar")],
            source: "ASAE EP496 form, re-derived",
            run: timeliness_season,
        },
        Calculator {
            name: "harvest.order",
            title: "Which field first",
            about: "The order that loses least with steady losses and no weather: most lost for each hour of work goes \
                    first. Fields are numbered from 1 as given.",
            inputs: vec![
                Input::list("hours", "h", 0.01, 1000.0, "hours of work in each field"),
                Input::list(
                    "loss_per_h",
                    "money/h",
                    -1e6,
                    1e6,
                    "lost for each hour (or day) each field waits",
                ),
            ],
            outputs: vec![
                out("order", "1", "fields in order"),
                out("total", "money", "loss rate times completion time, summed"),
                out("as_given", "money", "the same in the order given"),
            ],
            source: "ratio rule of Smith 1956; brute force agrees",
            run: field_order,
        },
    ]
}

fn timeliness_loss(a: &Args) -> Answer {
    let (y, k, days) = (a.number("yield_"), a.number("k_per_day"), a.number("days"));
    let loss = timeliness::loss(y, k, days);
    let w = Working::new("Yield lost by lateness")
        .line(Op::Start, "Yield", y, "", 2)
        .line(Op::Times, "Share lost a day", k, "1/d", 4)
        .line(Op::Times, "Days late", days, "d", 1)
        .sum("Lost", loss, "", 2)
        .source("Schuler, Univ. of Wisconsin, 2005");
    Ok(Outcome::new(w).with("loss", loss))
}

fn timeliness_season(a: &Args) -> Answer {
    let work = SeasonWork {
        k_per_day: a.number("k_per_day"),
        area_ha: a.number("area_ha"),
        yield_t_ha: a.number("yield_t_ha"),
        price_t: a.number("price_t"),
        straddles: a.text("start") == "straddles it",
        hours_per_day: a.number("hours_per_day"),
        capacity_ha_h: a.number("ha_h"),
        fit_share: a.number("fit_share"),
    };
    let (days, cost) = (timeliness::days_needed(&work), timeliness::season_cost(&work));
    let value = work.area_ha * work.yield_t_ha * work.price_t;
    let w = Working::new("What a season's lateness costs")
        .line(Op::Start, "Value of the crop", value, "", 0)
        .line(Op::Times, "Share lost a day", work.k_per_day, "1/d", 4)
        .line(Op::Times, "Days on the calendar", days, "d", 3)
        .line(Op::Over, "Mean delay is the days over", if work.straddles { 4.0 } else { 2.0 }, "", 0)
        .sum("Lost", cost, "", 0)
        .source("ASAE EP496 form, re-derived")
        .would_change("more hours, a wider machine, help");
    Ok(Outcome::new(w).with("cost", cost).with("days", days))
}

fn field_order(a: &Args) -> Answer {
    let (hours, rates) = (a.list("hours"), a.list("loss_per_h"));
    if hours.len() != rates.len() || hours.is_empty() {
        return Err(CalcError::Together(format!(
            "hours has {} fields and loss_per_h {}; give one of each for every field",
            hours.len(),
            rates.len()
        )));
    }
    let jobs: Vec<Job> =
        hours.iter().zip(rates).map(|(&hours, &loss_rate)| Job { hours, loss_rate }).collect();
    let best = order::order(&jobs);
    let given: Vec<usize> = (0..jobs.len()).collect();
    let total = order::total_loss(&jobs, &best);
    let done = order::completion_h(&jobs, &best, 0.0);
    let mut w = Working::new("Which field first");
    for (n, &i) in best.iter().enumerate() {
        w = w
            .line(
                Op::Note,
                format!("Field {}: lost for each hour of work", i + 1),
                order::index(&jobs[i]),
                "",
                2,
            )
            .line(
                if n == 0 { Op::Start } else { Op::Plus },
                format!("Field {} done after {:.1} h, times its loss", i + 1, done[i]),
                jobs[i].loss_rate * done[i],
                "",
                1,
            );
    }
    let w = w
        .sum("Total", total, "", 1)
        .source("ratio rule of Smith 1956")
        .would_change("rain, which changes the losses; the season runs it over many weathers");
    Ok(Outcome::new(w)
        .with("order", best.iter().map(|i| *i as f64 + 1.0).collect::<Vec<_>>())
        .with("total", total)
        .with("as_given", order::total_loss(&jobs, &given)))
}
