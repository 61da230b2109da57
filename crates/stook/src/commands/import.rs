//! `stook import`: weather from a file, and readings of sensors in bins.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use stook_book::weather_file::{self, Answers, Reading, Step};

use super::book_file::BookFile;
use crate::output;

/// Brings in a station file, a forecast, or a laboratory's soil tests: stook import soil FILE.
///
/// Known layouts: the Canadian climate archive (daily and hourly), GHCN-Daily, typical-year files, and any table with
/// a heading. A unit that the file does not state is asked for; say it with --answer.
#[derive(Debug, clap::Args)]
pub struct Import {
    /// The file; or `readings` (what sensors in bins read) or `soil` (a laboratory's soil tests), and then the file
    file: PathBuf,
    /// The file, after `readings` or `soil`
    #[arg(value_name = "SECOND")]
    second: Option<PathBuf>,
    /// Name of the station, when the file has none
    #[arg(long)]
    station: Option<String>,
    /// It is a forecast, issued now
    #[arg(long)]
    forecast: bool,
    /// Answer to a question, such as temperature=F; may be given several times
    #[arg(long, value_name = "KEY=ANSWER")]
    answer: Vec<String>,
    /// Leave out the rows that cannot be right
    #[arg(long)]
    skip_bad: bool,
    #[command(flatten)]
    book: BookFile,
}

/// Does it.
pub fn run(a: &Import) -> anyhow::Result<ExitCode> {
    match &a.second {
        Some(file) if a.file.as_os_str() == "readings" => return readings(a, file),
        Some(file) if a.file.as_os_str() == "soil" => {
            return super::import_soil::run(file, &a.answer, a.skip_bad, &a.book);
        }
        Some(more) => bail!("one file at a time: leave out {}", more.display()),
        None => {}
    }
    let (mut store, _, farm) = a.book.farm()?;
    let bytes = std::fs::read(&a.file).with_context(|| format!("cannot read {}", a.file.display()))?;
    let mut answers = Answers::default();
    for text in &a.answer {
        let Some((k, v)) = text.split_once('=') else { bail!("\"{text}\" should be key=answer") };
        answers = answers.with(k, v);
    }
    let sheet = match weather_file::read(&bytes, &farm.time_zone(), &answers)? {
        Reading::Done(sheet) => sheet,
        Reading::Ask(questions) => {
            for q in questions {
                output::folded(&q.sentence, 2)?;
                for c in q.choices {
                    output::line(format!("  --answer {}={}   {}", q.key, c.key, c.words))?;
                }
            }
            return Ok(ExitCode::from(1));
        }
    };
    for b in &sheet.bad_rows {
        output::folded(&format!("line {}, {}: {}", b.line, b.column, b.sentence), 2)?;
    }
    if !sheet.bad_rows.is_empty() && !a.skip_bad {
        output::line(format!(
            "{} rows cannot be right. Mend them, or say --skip-bad to leave them out; nothing was brought in.",
            sheet.bad_rows.len()
        ))?;
        return Ok(ExitCode::from(1));
    }
    for n in &sheet.notes {
        output::folded(n, 2)?;
    }
    let name = a.file.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let station = a.station.clone().or_else(|| sheet.station.clone()).unwrap_or_else(|| name.clone());
    let now = jiff::Timestamp::now();
    if a.forecast {
        if sheet.step == Step::Hour {
            let hours = sheet.forecast_hours(a.skip_bad)?;
            store.put_forecast_hours(farm.local(now), &name, now, &hours)?;
            output::line(format!("Forecast of {} hours.", hours.len()))?;
            return Ok(ExitCode::SUCCESS);
        }
        let days = sheet.forecast(a.skip_bad)?;
        store.put_forecast(farm.local(now), &name, now, &days)?;
        output::line(format!("Forecast of {} days.", days.len()))?;
        return Ok(ExitCode::SUCCESS);
    }
    let put = match sheet.step {
        Step::Day => {
            let days = sheet.days(a.skip_bad)?;
            store.put_days(&station, &name, now, &days)?
        }
        Step::Hour => {
            let hours = sheet.hours(a.skip_bad)?;
            store.put_hours(&station, &name, now, &hours)?
        }
    };
    output::line(format!(
        "{station}: {} new, {} changed, {} there already.",
        put.new, put.changed, put.same
    ))?;
    Ok(ExitCode::SUCCESS)
}

/// Brings in what sensors in bins read.
fn readings(a: &Import, file: &std::path::Path) -> anyhow::Result<ExitCode> {
    let (mut store, _, farm) = a.book.farm()?;
    let bytes = std::fs::read(file).with_context(|| format!("cannot read {}", file.display()))?;
    let now = jiff::Timestamp::now();
    let latest = farm.local(now).saturating_add(jiff::Span::new().days(1));
    let found = stook_book::sensor::read_csv(&bytes, &farm, latest)?;
    for b in found.bad.iter().take(20) {
        output::folded(&format!("line {}: {}", b.line, b.sentence), 2)?;
    }
    if found.bad.len() > 20 {
        output::line(format!("and {} more", found.bad.len() - 20))?;
    }
    if !found.bad.is_empty() && !a.skip_bad {
        output::line(format!(
            "{} rows cannot be right. Mend them, or say --skip-bad to leave them out; nothing was brought in.",
            found.bad.len()
        ))?;
        return Ok(ExitCode::from(1));
    }
    let name = file.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let put = store.put_bin_readings(&name, now, &found.good)?;
    output::line(format!("{} new, {} changed, {} there already.", put.new, put.changed, put.same))?;
    Ok(ExitCode::SUCCESS)
}
