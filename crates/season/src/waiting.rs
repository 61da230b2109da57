//! The cost of waiting: the same job on its first workable day and on the one after, over the same weathers.

use stook_measure::{Op, Spread, Working};

use crate::answer::{Job, Waiting};
use crate::carry::Carried;
use crate::money::{PARTS, Part};
use crate::run::{Directive, FieldOutcome, Policy};
use crate::words;

/// What is counted and how, said once under every figure.
const POLICY: &str = "Both runs see the same weathers. In one the job is done on its first workable day, in the other \
on the workable day after; the machine is taken to be there for it. All else follows the same standing plan in both: \
nearest field first for the drill, nearest the end of its window first for the sprayer, ripest first for the combine.";

/// The two runs of a decision, by member and field.
#[derive(Debug)]
pub struct TwoRuns {
    /// The job on its first workable day.
    pub now: Vec<Vec<FieldOutcome>>,
    /// The job on the workable day after. Here both workable days are seen, since the first is let go.
    pub later: Vec<Vec<FieldOutcome>>,
}

/// Runs the farm both ways over the same members.
pub fn two_runs(c: &Carried, field: usize, job: Job) -> TwoRuns {
    let run = |skip| c.seasons(&Policy::default(), Some(Directive { field, job, skip }));
    TwoRuns { now: run(0), later: run(1) }
}

/// Cost of waiting one workable day with a job on a field.
pub fn waiting(c: &Carried, field: usize, job: Job, runs: &TwoRuns) -> Option<Waiting> {
    let TwoRuns { now, later } = runs;
    let mut lost = Vec::with_capacity(now.len());
    let mut parts = [0.0; PARTS];
    let mut gaps = Vec::new();
    for (a, b) in now.iter().zip(later) {
        let mut total = 0.0;
        for (x, y) in a.iter().zip(b) {
            let d = x.purse - y.purse;
            total += d.total();
            for (sum, part) in parts.iter_mut().zip(d.0) {
                *sum += part;
            }
        }
        lost.push(total);
        let o = &b[field];
        if let (Some(first), Some(second)) = (o.first_fit[job as usize], o.second_fit[job as usize]) {
            gaps.push(f64::from(second - first));
        }
    }
    let money = Spread::of(&lost)?;
    let n = lost.len() as f64;
    let hours = c.model.hours(job, c.starts[0][field].left_ha(job));
    let clear = money.is_clear() && money.mean.abs() >= 1.0;
    let mut working =
        Working::new(format!("{}, {}: one workable day later", c.model.fields[field].name, job.word()));
    let mut rounded = 0.0;
    for (part, sum) in Part::ALL.into_iter().zip(parts) {
        let mean = sum / n;
        if mean.abs() >= 0.5 {
            let op = if mean < 0.0 { Op::Minus } else { Op::Plus };
            working = working.line(op, part.words(), mean.abs(), "", 0);
            rounded += mean.round();
        }
    }
    // Parts too small for a line of their own.
    let rest = money.mean.round() - rounded;
    if rest != 0.0 {
        working = working.line(
            if rest < 0.0 { Op::Minus } else { Op::Plus },
            "Small change and rounding",
            rest.abs(),
            "",
            0,
        );
    }
    let units = &c.model.units;
    working = working
        .sum(format!("Waiting, mean of {} weathers", lost.len()), money.mean.round(), "", 0)
        .note(format!(
            "{} Half of the weathers lose less than {}, one in ten less than {}, one in ten more than {}; the mean is known to about {}.",
            gap_words(&gaps, lost.len()),
            words::cash(units, money.range.p50),
            words::cash(units, money.range.p10),
            words::cash(units, money.range.p90),
            words::cash(units, 2.0 * money.standard_error),
        ))
        .note(POLICY);
    for s in sources(c, job) {
        working = working.source(s);
    }
    for w in would_change(job) {
        working = working.would_change(*w);
    }
    let words = in_words(c, &money, clear);
    Some(Waiting { money, per_hour: money.mean / hours, clear, words, working })
}

/// How far apart the two workable days are.
fn gap_words(gaps: &[f64], members: usize) -> String {
    if gaps.is_empty() {
        return "In no weather is there a second workable day.".into();
    }
    let mean = gaps.iter().sum::<f64>() / gaps.len() as f64;
    let none = members - gaps.len();
    let rest = if none > 0 { format!(" In {none} weathers there is no second one.") } else { String::new() };
    format!("The second workable day is {mean:.1} calendar days after the first on average.{rest}")
}

fn in_words(c: &Carried, money: &Spread, clear: bool) -> String {
    let units = &c.model.units;
    let span =
        format!("({} to {})", words::cash(units, money.range.p10), words::cash(units, money.range.p90));
    if money.range.p10.abs() < 0.5 && money.range.p90.abs() < 0.5 {
        return "costs nothing yet".into();
    }
    if !clear {
        return format!("makes no clear difference {span}");
    }
    if money.mean >= 0.0 {
        format!("costs about {} {span}", words::cash(units, money.mean))
    } else {
        let back =
            format!("({} to {})", words::cash(units, -money.range.p90), words::cash(units, -money.range.p10));
        format!("saves about {} {back}", words::cash(units, -money.mean))
    }
}

fn sources(c: &Carried, job: Job) -> Vec<String> {
    let names: &[&str] = match job {
        Job::Harrow | Job::Seed => {
            &["crop.yield.late_per_day", "soil.fit.seed.limit", "season.price.wheat_per_t"]
        }
        Job::Herbicide => &["crop.weeds.nd_5_leaf_high", "crop.weeds.sk_never_high", "season.weeds.pressure"],
        Job::Fungicide => &[
            "crop.disease.fhb_loss_kg_ha_per_point",
            "season.fungicide.index_control",
            "crop.window.fungicide_acceptable_d",
        ],
        Job::Cut => &[
            "crop.waiting.shatter_resistant_per_day",
            "crop.waiting.grade_steps_per_wetting",
            "season.drying.cost_per_t_point",
        ],
    };
    names
        .iter()
        .filter_map(|n| c.model.reference.coefficient(n))
        .map(|k| match c.model.season.own.iter().find(|(name, _)| *name == k.name) {
            Some((_, value)) => format!("{}: {value:.2} {}, your own price", k.note, k.unit),
            None => {
                let unit = if k.unit == "1" { String::new() } else { format!(" {}", k.unit) };
                format!("{}: {}{unit}. {} ({})", k.note, k.value, k.source, k.sure.words())
            }
        })
        .collect()
}

fn would_change(job: Job) -> &'static [&'static str] {
    match job {
        Job::Harrow | Job::Seed => &[
            "a GO or NO at the gate: it moves your own limit of fitness",
            "the forecast rain, and the gauge",
            "your own loss by seeding date, from your records",
        ],
        Job::Herbicide => {
            &["a leaf count from the field", "how weedy the field is", "the label's own window"]
        }
        Job::Fungicide => &[
            "flowering seen in the field",
            "hours of warm wet weather before flowering ends",
            "the cultivar's rating against head blight, in the crop plan",
        ],
        Job::Cut => &["a moisture reading or thumb test", "the price of drying", "your buyer's grade spread"],
    }
}
