//! Writing answers: tables no wider than 100 columns, JSON, and a quiet end when the reader goes away.

use std::io::{self, IsTerminal, Write};

use comfy_table::{ContentArrangement, Table, presets};
use serde::Serialize;

/// Widest line written.
pub const COLUMNS: u16 = 100;

/// Writes text and a newline.
pub fn line(text: impl AsRef<str>) -> anyhow::Result<()> {
    let mut out = io::stdout().lock();
    writeln!(out, "{}", text.as_ref())?;
    Ok(())
}

/// Writes a value as indented JSON.
pub fn json(value: &impl Serialize) -> anyhow::Result<()> {
    line(serde_json::to_string_pretty(value)?)
}

/// A table with a header, ruled lightly.
pub fn table(header: &[&str], rows: Vec<Vec<String>>) -> anyhow::Result<()> {
    let mut t = Table::new();
    t.load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(COLUMNS)
        .set_header(header.to_vec())
        .add_rows(rows);
    for l in t.lines() {
        line(l.trim_end())?;
    }
    Ok(())
}

/// Text folded at [`COLUMNS`], every line after the first indented.
pub fn folded(text: &str, indent: usize) -> anyhow::Result<()> {
    let pad = " ".repeat(indent);
    let mut row = String::new();
    let mut first = true;
    for word in text.split_whitespace() {
        let start = if first { 0 } else { indent };
        if !row.is_empty() && start + row.chars().count() + 1 + word.chars().count() > usize::from(COLUMNS) {
            line(if first { row.clone() } else { format!("{pad}{row}") })?;
            first = false;
            row.clear();
        }
        if !row.is_empty() {
            row.push(' ');
        }
        row.push_str(word);
    }
    line(if first { row } else { format!("{pad}{row}") })
}

/// Bold on a terminal, plain in a pipe or when `NO_COLOR` is set.
pub fn strong(text: &str) -> String {
    if io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none() {
        format!("\u{1b}[1m{text}\u{1b}[0m")
    } else {
        text.to_string()
    }
}

/// Whether an error is only that the reader of our output went away.
pub fn is_broken_pipe(e: &anyhow::Error) -> bool {
    e.chain().any(|c| c.downcast_ref::<io::Error>().is_some_and(|e| e.kind() == io::ErrorKind::BrokenPipe))
}
