//! Curves fitted to trial data, and a soil test's critical level.

use stook_measure::{Args, Calculator, Input, Op, Outcome, Working};

use super::{Answer, out, paired, refused};
use crate::response::fit::{self, Fit, FitError};
use crate::response::{Curve, critical, interval, optimum};

fn data() -> Vec<Input> {
    vec![
        Input::list("rate", "", 0.0, 1e5, "rate of each plot, in one unit"),
        Input::list("yield", "", 0.0, 1e6, "yield of each plot, in one unit"),
        Input::number(
            "price_ratio",
            "",
            1e-9,
            1e6,
            "price of a unit of rate over the price of a unit of yield",
        )
        .or(0.01),
    ]
}

pub(super) fn calculators() -> Vec<Calculator> {
    vec![
        Calculator {
            name: "fertility.fit_quadratic",
            title: "Quadratic through a trial",
            about: "Least squares, the rate that pays best and how well the trial fixes it. Names no rate when the curve opens \
                    upward or profit still rises at the highest rate tried.",
            inputs: data(),
            outputs: vec![
                out("b0", "", "yield without"),
                out("b1", "", "first slope"),
                out("b2", "", "bend"),
                out("s", "", "residual standard deviation"),
                out("r2", "1", "share explained"),
                out("optimum", "", "rate that pays best"),
                out("low", "", "lower end of its 95 % interval"),
                out("high", "", "upper end"),
                out("vertex", "", "turning point of the curve, wherever it lies"),
                out("verdict", "", "found, or why not"),
            ],
            source: "least squares; interval: Bachmaier 2009, Statistical Papers 50:649",
            run: quadratic,
        },
        Calculator {
            name: "fertility.fit_quadratic_plateau",
            title: "Quadratic-plateau through a trial",
            about: "The usual choice for yield: it rises, flattens and stays. Needs four different rates; says so when no \
                    plateau or no response is found.",
            inputs: data(),
            outputs: vec![
                out("plateau", "", "highest yield"),
                out("bend", "", "how fast the slope falls"),
                out("from", "", "rate at which the plateau begins"),
                out("rss", "", "residual sum of squares"),
                out("optimum", "", "rate that pays best"),
                out("verdict", "", "found, or why not"),
            ],
            source: "least squares with a search over the start of the plateau",
            run: plateau,
        },
        Calculator {
            name: "fertility.fit_mitscherlich",
            title: "Mitscherlich curve through a trial",
            about: "Each unit closes the same share of the gap to a ceiling.",
            inputs: data(),
            outputs: vec![
                out("ceiling", "", "yield never quite reached"),
                out("c", "", "effect of a unit"),
                out("soil", "", "what the soil gives, in units of rate"),
                out("rss", "", "residual sum of squares"),
                out("optimum", "", "rate that pays best"),
                out("verdict", "", "found, or why not"),
            ],
            source: "least squares with a search over the effect of a unit",
            run: mitscherlich,
        },
        Calculator {
            name: "fertility.fit_linear_plateau",
            title: "Straight rise to a plateau through a trial",
            about: "The simplest shape with a flat top.",
            inputs: data(),
            outputs: vec![
                out("plateau", "", "highest yield"),
                out("slope", "", "yield for a unit"),
                out("from", "", "rate at which the plateau begins"),
                out("optimum", "", "rate that pays best"),
                out("verdict", "", "found, or why not"),
            ],
            source: "least squares with a search over the start of the plateau",
            run: linear,
        },
        Calculator {
            name: "fertility.critical_level",
            title: "Critical level of a soil test",
            about: "The split of a calibration data set that best parts fields that respond from fields that do not.",
            inputs: vec![
                Input::list("test", "", 0.0, 1e5, "soil test of each field"),
                Input::list("yield", "", 0.0, 1e5, "relative yield of each field"),
            ],
            outputs: vec![
                out("below", "", "highest test of the lower class"),
                out("above", "", "lowest test of the upper class"),
                out("low_mean", "", "mean of the lower class"),
                out("high_mean", "", "mean of the upper class"),
                out("r2", "1", "share of the variation between the classes"),
            ],
            source: "Cate and Nelson 1971, Soil Science Society of America Proceedings 35:658",
            run: critical_level,
        },
    ]
}

/// The optimum of a fit within the rates tried, and the verdict in words.
fn best(f: &Fit, ratio: f64) -> (f64, String) {
    match optimum(&f.curve, ratio, f.tried_to) {
        Ok(found) if found.does_not_pay => (0.0, "does not pay".into()),
        Ok(found) => (found.rate, "found".into()),
        Err(e) => (f64::NAN, e.to_string()),
    }
}

fn fitted(title: &str, f: &Fit, ratio: f64, verdict: &str) -> Working {
    Working::new(title)
        .line(Op::Note, "Plots", f.count as f64, "", 0)
        .line(Op::Note, "Highest rate tried", f.tried_to, "", 1)
        .line(Op::Note, "Price ratio", ratio, "", 6)
        .line(Op::Note, "Residual sum of squares", f.rss, "", 4)
        .line(Op::Note, "Share explained", f.r2, "", 4)
        .note(format!("Rate that pays best: {verdict}."))
        .would_change("more plots, more rates, or the prices")
}

fn quadratic(a: &Args) -> Answer {
    let (x, y) = paired(a, "rate", "yield")?;
    let ratio = a.number("price_ratio");
    let q = fit::quadratic(x, y).map_err(refused)?;
    let Curve::Quadratic { b0, b1, b2 } = q.fit.curve else { unreachable!("a quadratic was fitted") };
    let (rate, verdict) = best(&q.fit, ratio);
    let i = interval::of_optimum(&q, ratio, 0.95);
    let mut w = fitted("Quadratic through a trial", &q.fit, ratio, &verdict)
        .line(Op::Start, "Price ratio less first slope", ratio - b1, "", 7)
        .line(Op::Over, "Twice the bend", 2.0 * b2, "", 9)
        .source("least squares; interval: Bachmaier 2009, Statistical Papers 50:649");
    if rate > 0.0 {
        w = w.sum("Rate that pays best", rate, "", 1);
    }
    if i.is_none() {
        w = w.note("The data do not fix an optimum: no finite interval exists.");
    }
    Ok(Outcome::new(w)
        .with("b0", b0)
        .with("b1", b1)
        .with("b2", b2)
        .with("s", q.fit.s)
        .with("r2", q.fit.r2)
        .with("optimum", rate)
        .with("low", i.map_or(f64::NAN, |i| i.low))
        .with("high", i.map_or(f64::NAN, |i| i.high))
        .with("vertex", -b1 / (2.0 * b2))
        .with("verdict", verdict))
}

/// A fit that found nothing, as the answer of zero rate that it is.
fn nothing(title: &str, e: &FitError) -> Working {
    Working::new(title).note(e.to_string()).source("least squares with a search over the crooked number")
}

fn plateau(a: &Args) -> Answer {
    const TITLE: &str = "Quadratic-plateau through a trial";
    let (x, y) = paired(a, "rate", "yield")?;
    let ratio = a.number("price_ratio");
    let nan = f64::NAN;
    let (w, [m, k, from, rss, rate], verdict) = match fit::quadratic_plateau(x, y) {
        Ok(f) => {
            let Curve::QuadraticPlateau { plateau, bend, from } = f.curve else {
                unreachable!("that was fitted")
            };
            let (rate, verdict) = best(&f, ratio);
            let mut w = fitted(TITLE, &f, ratio, &verdict)
                .line(Op::Start, "Start of the plateau", from, "", 2)
                .line(Op::Minus, "Price ratio over bend", ratio / bend, "", 2)
                .source("least squares with a search over the start of the plateau");
            if rate > 0.0 {
                w = w.sum("Rate that pays best", rate, "", 1);
            }
            (w, [plateau, bend, from, f.rss, rate], verdict)
        }
        Err(e @ FitError::NoResponse) => {
            (nothing(TITLE, &e), [nan, nan, nan, nan, 0.0], "no response".into())
        }
        Err(e @ FitError::NoPlateau(_)) => (nothing(TITLE, &e), [nan; 5], "no plateau".into()),
        Err(e) => return Err(refused(e)),
    };
    Ok(Outcome::new(w)
        .with("plateau", m)
        .with("bend", k)
        .with("from", from)
        .with("rss", rss)
        .with("optimum", rate)
        .with("verdict", verdict))
}

fn mitscherlich(a: &Args) -> Answer {
    let (x, y) = paired(a, "rate", "yield")?;
    let ratio = a.number("price_ratio");
    let f = fit::mitscherlich(x, y).map_err(refused)?;
    let Curve::Mitscherlich { ceiling, c, soil } = f.curve else { unreachable!("that was fitted") };
    let (rate, verdict) = best(&f, ratio);
    let w = fitted("Mitscherlich curve through a trial", &f, ratio, &verdict)
        .source("least squares with a search over the effect of a unit");
    Ok(Outcome::new(w)
        .with("ceiling", ceiling)
        .with("c", c)
        .with("soil", soil)
        .with("rss", f.rss)
        .with("optimum", rate)
        .with("verdict", verdict))
}

fn linear(a: &Args) -> Answer {
    let (x, y) = paired(a, "rate", "yield")?;
    let ratio = a.number("price_ratio");
    let f = fit::linear_plateau(x, y).map_err(refused)?;
    let Curve::LinearPlateau { plateau, slope, from } = f.curve else { unreachable!("that was fitted") };
    let (rate, verdict) = best(&f, ratio);
    let w = fitted("Straight rise to a plateau through a trial", &f, ratio, &verdict)
        .source("least squares with a search over the start of the plateau");
    Ok(Outcome::new(w)
        .with("plateau", plateau)
        .with("slope", slope)
        .with("from", from)
        .with("optimum", rate)
        .with("verdict", verdict))
}

fn critical_level(a: &Args) -> Answer {
    let (x, y) = paired(a, "test", "yield")?;
    let s = critical::split(x, y).ok_or_else(|| refused("give at least two different soil tests"))?;
    let w = Working::new("Critical level of a soil test")
        .line(Op::Note, "Highest test of the lower class", s.below, "", 1)
        .line(Op::Note, "Lowest test of the upper class", s.above, "", 1)
        .line(Op::Note, "Mean below", s.low_mean, "", 2)
        .line(Op::Note, "Mean above", s.high_mean, "", 2)
        .sum("Share of the variation between the classes", s.r2, "", 4)
        .source("Cate and Nelson 1971, Soil Science Society of America Proceedings 35:658");
    Ok(Outcome::new(w)
        .with("below", s.below)
        .with("above", s.above)
        .with("low_mean", s.low_mean)
        .with("high_mean", s.high_mean)
        .with("r2", s.r2))
}
