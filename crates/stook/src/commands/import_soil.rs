//! `stook import soil`: soil tests from a laboratory's file.

use std::path::Path;
use std::process::ExitCode;

use anyhow::{Context, bail};
use stook_inputs::lab::{self, Answers, Reading};
use stook_measure::Reference;

use super::book_file::BookFile;
use crate::output;

/// Reads the file, asks what it does not say, and brings the tests in.
pub fn run(file: &Path, answers: &[String], skip_bad: bool, book: &BookFile) -> anyhow::Result<ExitCode> {
    let (mut store, _, farm) = book.farm()?;
    let bytes = std::fs::read(file).with_context(|| format!("cannot read {}", file.display()))?;
    let mut given = Answers::default();
    for text in answers {
        let Some((k, v)) = text.split_once('=') else { bail!("\"{text}\" should be key=answer") };
        given = given.with(k, v);
    }
    let now = jiff::Timestamp::now();
    let sheet = match lab::read(&bytes, &farm, &given, farm.local(now).date())? {
        Reading::Done(sheet) => sheet,
        Reading::Ask { columns, questions, .. } => {
            for c in &columns {
                output::line(format!("column {} \"{}\" is {}", c.index, c.heading, c.words()))?;
            }
            for q in questions {
                output::folded(&q.sentence, 2)?;
                if q.choices.is_empty() {
                    output::line(format!("  --answer {}=...", q.key))?;
                }
                for (key, words) in q.choices {
                    output::line(format!("  --answer \"{}={key}\"   {words}", q.key))?;
                }
            }
            return Ok(ExitCode::from(1));
        }
    };
    for b in &sheet.bad {
        output::folded(&format!("line {}, {}: {}", b.line, b.column, b.sentence), 2)?;
    }
    if !sheet.bad.is_empty() && !skip_bad {
        output::line(format!(
            "{} figures cannot be right. Mend them, or say --skip-bad to leave them out; nothing was brought in.",
            sheet.bad.len()
        ))?;
        return Ok(ExitCode::from(1));
    }
    for n in &sheet.notes {
        output::folded(n, 2)?;
    }
    let name = file.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let (entries, refused) = lab::entries(&sheet, &name, &farm, "me", &Reference::shipped(), now);
    if let Some(r) = refused.first() {
        bail!("{}: {}", r.column, r.sentence);
    }
    let brought = entries.iter().filter(|e| e.body.kind() == "soil_test").count();
    store.append_all(&entries)?;
    output::line(format!("{brought} soil tests brought in, {} there already.", sheet.tests.len() - brought))?;
    Ok(ExitCode::SUCCESS)
}
