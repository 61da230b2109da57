//! `stook hindcast`: how often the ranges would have held what came.

use std::process::ExitCode;

use anyhow::{Context, bail};
use stook_season::WeatherFacts;
use stook_season::calibration::{Asked, scores, trials, years_apart};

use super::book_file::BookFile;
use crate::output;

/// How often the 10-90 ranges would have held what came, leaving each year on file out in turn
///
/// The year left out is forecast from the other years, then run on its own weather, with the same model on both sides.
/// It counts years with a wheat plan in the book. Inside about 80 % is as it should be.
#[derive(Debug, clap::Args)]
pub struct Hindcast {
    /// Day of seeding in every year, as month-day
    #[arg(long, default_value = "04-20")]
    seeded: String,
    /// Day to forecast from, as month-day; may be given more than once
    #[arg(long, default_values_t = ["05-01".to_string(), "06-01".into(), "07-01".into()])]
    from: Vec<String>,
    /// How many weathers to run
    #[arg(long, default_value_t = 200, value_parser = clap::value_parser!(u32).range(30..=5000))]
    members: u32,
    /// Seed of the weathers
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Every trial in JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    book: BookFile,
}

/// Does it.
pub fn run(a: &Hindcast) -> anyhow::Result<ExitCode> {
    let (store, _, farm) = a.book.farm()?;
    let weather = WeatherFacts::load(&store, jiff::civil::Date::MAX)?;
    let mut years: Vec<i16> = farm.fields.values().flat_map(|r| r.plans.keys().copied()).collect();
    years.sort_unstable();
    years.dedup();
    if weather.observed.is_empty() || years.is_empty() {
        bail!("there is no weather or no wheat plan in the book to look back on");
    }
    let asked = Asked {
        farm: &farm,
        weather: &weather,
        years,
        seeded: month_day(&a.seeded)?,
        from: a.from.iter().map(|t| month_day(t)).collect::<anyhow::Result<_>>()?,
        members: a.members as usize,
        seed: a.seed,
    };
    let found = trials(&asked)?;
    let table = scores(&found);
    let apart = years_apart(&asked)?;
    if a.json {
        output::json(&serde_json::json!({ "trials": found, "scores": table, "years_apart": apart }))?;
        return Ok(ExitCode::SUCCESS);
    }
    let rows = table
        .iter()
        .map(|s| {
            vec![
                s.what.clone(),
                s.from.clone(),
                s.trials.to_string(),
                format!("{:.0} %", s.inside_pct),
                format!("{:.0} %", s.below_pct),
                format!("{:.0} %", s.above_pct),
                format!("{:.1}", s.mean_width),
            ]
        })
        .collect();
    output::table(&["what", "from", "years", "inside", "below", "above", "mean width"], rows)?;
    let rows = apart
        .iter()
        .map(|b| {
            let unit = if b.what == "rain" { "mm" } else { "C" };
            let sd = |x: f64| format!("{x:.*} {unit}", usize::from(b.what != "rain"));
            vec![
                b.what.clone(),
                format!("{} to {}", month(b.months.0), month(b.months.1)),
                b.years.to_string(),
                sd(b.record_sd),
                sd(b.made_sd),
                format!("{:.2} +/- {:.2}", b.ratio, b.ratio_se),
            ]
        })
        .collect();
    println!();
    output::table(
        &["between years", "months", "years", "on file (sd)", "made up (sd)", "made up over on file"],
        rows,
    )?;
    Ok(ExitCode::SUCCESS)
}

fn month(number: i8) -> &'static str {
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
        [usize::from(number.unsigned_abs()) - 1]
}

fn month_day(text: &str) -> anyhow::Result<(i8, i8)> {
    let (m, d) =
        text.split_once('-').with_context(|| format!("\"{text}\" is no day of the year; write 05-01"))?;
    match (m.parse(), d.parse()) {
        (Ok(m @ 1..=12), Ok(d @ 1..=31)) => Ok((m, d)),
        _ => bail!("\"{text}\" is no day of the year; write 05-01"),
    }
}
