//! Generator identities and frost.

use stook_measure::{CalcError, Calculator, Input, Op, Outcome, Output, Range, Working};

use crate::climate::{Matrix, wet_fraction};
use crate::matrix;

pub fn all() -> Vec<Calculator> {
    vec![wet(), residuals(), frost()]
}

fn wet() -> Calculator {
    Calculator {
        name: "weather.wet_fraction",
        title: "Share of wet days",
        about: "What a chain of wet and dry days settles to, and how long its spells last on average.",
        inputs: vec![
            Input::number("wet_after_dry", "1", 0.001, 0.999, "chance of a wet day after a dry one"),
            Input::number("wet_after_wet", "1", 0.001, 0.999, "chance of a wet day after a wet one"),
        ],
        outputs: vec![
            Output { key: "wet_fraction", unit: "1", about: "share of wet days" },
            Output { key: "dry_spell_d", unit: "d", about: "mean dry spell" },
            Output { key: "wet_spell_d", unit: "d", about: "mean wet spell" },
        ],
        source: "identity of a two-state Markov chain (Richardson 1981, WRR 17:182)",
        run: |a| {
            let (d, w) = (a.number("wet_after_dry"), a.number("wet_after_wet"));
            let f = wet_fraction(d, w);
            Ok(Outcome::new(
                Working::new("Share of wet days")
                    .line(Op::Start, "chance of wet after dry", d, "", 4)
                    .line(Op::Over, "1 and that less chance of wet after wet", 1.0 + d - w, "", 4)
                    .sum("share of wet days", f, "", 4)
                    .source("two-state Markov chain"),
            )
            .with("wet_fraction", f)
            .with("dry_spell_d", 1.0 / d)
            .with("wet_spell_d", 1.0 / (1.0 - w)))
        },
    }
}

fn residuals() -> Calculator {
    Calculator {
        name: "weather.generator_residuals",
        title: "What generated residuals settle to",
        about: "Variances and correlations of Tmax, Tmin and radiation that matrices A and B give. All variances must come out as 1; misprints in circulation do not.",
        inputs: vec![
            Input::list("a", "1", -1.0, 1.0, "A by rows, nine numbers")
                .or(vec![0.567, 0.086, -0.002, 0.253, 0.504, -0.050, -0.006, -0.039, 0.244]),
            Input::list("b", "1", -1.5, 1.5, "B by rows, nine numbers")
                .or(vec![0.781, 0.0, 0.0, 0.328, 0.637, 0.0, 0.238, -0.341, 0.873]),
        ],
        outputs: vec![
            Output { key: "variances", unit: "1", about: "of Tmax, Tmin, radiation" },
            Output {
                key: "correlations",
                unit: "1",
                about: "Tmax with Tmin, Tmax with radiation, Tmin with radiation",
            },
        ],
        source: "Richardson and Wright (1984) USDA ARS-8, matrices secondary",
        run: |args| {
            let read = |key: &str| -> Result<Matrix, CalcError> {
                let l = args.list(key);
                if l.len() != 9 {
                    return Err(CalcError::Together(format!(
                        "{key} needs nine numbers; {} were given",
                        l.len()
                    )));
                }
                Ok(std::array::from_fn(|i| std::array::from_fn(|j| l[3 * i + j])))
            };
            let v = matrix::settled(&read("a")?, &read("b")?);
            if v.iter().flatten().any(|x| !x.is_finite() || x.abs() > 1e6) {
                return Err(CalcError::Together(
                    "with this A the residuals grow without end; check its signs and sizes".into(),
                ));
            }
            let r = |i: usize, j: usize| v[i][j] / (v[i][i] * v[j][j]).sqrt();
            Ok(Outcome::new(
                Working::new("What the residuals settle to")
                    .line(Op::Note, "variance of Tmax", v[0][0], "", 3)
                    .line(Op::Note, "variance of Tmin", v[1][1], "", 3)
                    .line(Op::Note, "variance of radiation", v[2][2], "", 3)
                    .source("V = A V A' + B B'"),
            )
            .with("variances", vec![v[0][0], v[1][1], v[2][2]])
            .with("correlations", vec![r(0, 1), r(0, 2), r(1, 2)]))
        },
    }
}

fn frost() -> Calculator {
    Calculator {
        name: "weather.frost_chance",
        title: "Chance of a later spring frost",
        about: "From the last frost date of each of your years: how often frost came on or after a date, and the early, middle and late date. With few years the ends are loose.",
        inputs: vec![
            Input::list("last_frost_days", "1", 1.0, 212.0, "day of the year of each year's last frost"),
            Input::number(
                "years",
                "1",
                1.0,
                200.0,
                "years looked at, with those that had no frost; the number of dates when not given",
            )
            .optional(),
            Input::number("day_of_year", "1", 1.0, 212.0, "the date asked about"),
        ],
        outputs: vec![
            Output { key: "chance", unit: "1", about: "share of years with frost on or after the date" },
            Output { key: "early_day", unit: "1", about: "10th percentile" },
            Output { key: "middle_day", unit: "1", about: "50th percentile" },
            Output { key: "late_day", unit: "1", about: "90th percentile" },
        ],
        source: "empirical frequencies; early and late as 10th and 90th percentile (Midwestern Regional Climate Center)",
        run: |a| {
            let dates = a.list("last_frost_days");
            let years = a.maybe_number("years").unwrap_or(dates.len() as f64);
            if years < dates.len() as f64 {
                return Err(CalcError::Together(
                    "there are more frost dates than years; check the count".into(),
                ));
            }
            let later = dates.iter().filter(|d| **d >= a.number("day_of_year")).count() as f64;
            let range =
                Range::of(dates).ok_or_else(|| CalcError::Together("give at least one frost date".into()))?;
            Ok(Outcome::new(
                Working::new("Chance of a later frost")
                    .line(Op::Start, "years with frost on or after the date", later, "", 0)
                    .line(Op::Over, "years looked at", years, "", 0)
                    .sum("chance", later / years, "", 2)
                    .source("frequencies of the years given"),
            )
            .with("chance", later / years)
            .with("early_day", range.p10)
            .with("middle_day", range.p50)
            .with("late_day", range.p90))
        },
    }
}
