//! `stook entries`: the day book, newest last.

use std::process::ExitCode;

use super::book_file::BookFile;
use crate::output;

/// Lists what is in the book.
#[derive(Debug, clap::Args)]
pub struct Entries {
    /// Only this kind, such as rain or go_no_go
    #[arg(long)]
    kind: Option<String>,
    /// Only this field
    #[arg(long)]
    field: Option<String>,
    /// Answer in JSON, one entry a line
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    book: BookFile,
}

/// Does it.
pub fn run(a: &Entries) -> anyhow::Result<ExitCode> {
    let mut entries = a.book.open()?.entries()?;
    entries.retain(|e| {
        a.kind.as_ref().is_none_or(|k| e.body.kind() == k)
            && a.field.as_ref().is_none_or(|f| e.field().is_some_and(|x| x.as_str() == f))
    });
    entries.sort_by_key(|e| (e.happened, e.written));
    if a.json {
        for e in &entries {
            output::line(serde_json::to_string(e)?)?;
        }
        return Ok(ExitCode::SUCCESS);
    }
    let rows = entries
        .iter()
        .map(|e| {
            let mut what = e.body.data_text().unwrap_or_default();
            if let Some((at, _)) = what.char_indices().nth(60) {
                what.truncate(at);
                what.push('…');
            }
            vec![
                e.happened.strftime("%Y-%m-%d %H:%M").to_string(),
                e.body.kind().to_string(),
                e.field().map_or(String::new(), |f| f.to_string()),
                what,
            ]
        })
        .collect();
    output::table(&["when", "kind", "field", "what"], rows)?;
    Ok(ExitCode::SUCCESS)
}
