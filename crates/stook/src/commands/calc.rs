//! `stook calc`: any model function, from the command line or from another program.

use std::io::{BufRead, BufReader, Read};
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use serde_json::{Map, Value as Json, json};
use stook_measure::calc::{Calculator, Kind, Outcome, Value};
use stook_measure::{CalcError, figure};
use stook_season::register;

use crate::output;

/// Runs a model function.
#[derive(Debug, clap::Args)]
#[command(disable_help_flag = true)]
pub struct Calc {
    /// Calculator, such as `weather.et0_daily`
    name: Option<String>,
    /// Inputs as key=value; lists as key=1,2,3
    inputs: Vec<String>,
    /// List every calculator
    #[arg(long)]
    list: bool,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    /// Read JSON Lines from a file, or - for standard input; answers one line each, in order
    #[arg(long, value_name = "FILE")]
    input: Option<PathBuf>,
    /// Show the inputs of the calculator, or this help
    #[arg(long, short)]
    help: bool,
}

/// Does it.
pub fn run(args: &Calc) -> anyhow::Result<ExitCode> {
    let all = register::calculators();
    let Some(name) = &args.name else {
        return if args.json { list_json(&all) } else { list(&all, args.list || !args.help) };
    };
    let calculator =
        all.iter().find(|c| c.name == name).ok_or_else(|| CalcError::NoSuchCalculator(name.clone()))?;
    if args.help {
        return describe(calculator);
    }
    if let Some(path) = &args.input {
        return lines(calculator, path);
    }
    let outcome = calculator.call(&pairs(&args.inputs)?)?;
    if args.json {
        let used = calculator.check(&pairs(&args.inputs)?)?;
        output::json(&answer_json(calculator, used.used(), &outcome))?;
    } else {
        print(calculator, &outcome)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn pairs(inputs: &[String]) -> anyhow::Result<Map<String, Json>> {
    let mut map = Map::new();
    for i in inputs {
        let Some((k, v)) = i.split_once('=') else {
            bail!("\"{i}\" should be key=value, such as tmax_c=21.5");
        };
        if map.insert(k.trim().into(), Json::String(v.trim().into())).is_some() {
            bail!("{k} is given twice");
        }
    }
    Ok(map)
}

fn list(all: &[Calculator], usage: bool) -> anyhow::Result<ExitCode> {
    if usage {
        output::line(
            "stook calc NAME key=value ...   (stook calc NAME --help shows its inputs; --json, --input FILE)\n",
        )?;
    }
    output::table(
        &["name", "what it reckons"],
        all.iter().map(|c| vec![c.name.to_string(), c.title.to_string()]).collect(),
    )?;
    Ok(ExitCode::SUCCESS)
}

fn list_json(all: &[Calculator]) -> anyhow::Result<ExitCode> {
    let list: Vec<Json> = all
        .iter()
        .map(|c| {
            json!({"name": c.name, "title": c.title, "about": c.about, "source": c.source,
                   "inputs": c.inputs, "outputs": c.outputs})
        })
        .collect();
    output::json(&list)?;
    Ok(ExitCode::SUCCESS)
}

fn describe(c: &Calculator) -> anyhow::Result<ExitCode> {
    output::line(output::strong(&format!("{} - {}", c.name, c.title)))?;
    output::folded(c.about, 0)?;
    output::line("\nInputs")?;
    let rows = c
        .inputs
        .iter()
        .map(|i| {
            let range = match &i.kind {
                Kind::Number { unit, low, high } => format!("{low} to {high} {unit}"),
                Kind::List { unit, low, high } => format!("list of {low} to {high} {unit}"),
                Kind::Choice { of } => of.join(" | "),
            };
            let given = match &i.default {
                Some(v) => format!("else {}", shown(v)),
                None if i.optional => "may be left out".into(),
                None => "needed".into(),
            };
            vec![i.key.to_string(), range, given, i.about.to_string()]
        })
        .collect();
    output::table(&["key", "range and unit", "", "what it is"], rows)?;
    output::line("\nOutputs")?;
    let rows = c.outputs.iter().map(|o| vec![o.key.into(), o.unit.into(), o.about.to_string()]).collect();
    output::table(&["key", "unit", "what it is"], rows)?;
    output::line("")?;
    output::folded(&format!("Source: {}", c.source), 8)?;
    Ok(ExitCode::SUCCESS)
}

fn print(c: &Calculator, o: &Outcome) -> anyhow::Result<()> {
    output::line(output::strong(c.title))?;
    let unit = |key: &str| c.outputs.iter().find(|x| x.key == key).map_or("", |x| x.unit);
    for (key, value) in &o.out {
        output::line(format!("  {key} = {} {}", shown(value), unit(key)).trim_end())?;
    }
    output::line("")?;
    working(&o.working)
}

/// Prints a working as ruled lines.
pub fn working(w: &stook_measure::Working) -> anyhow::Result<()> {
    let width = 62;
    for t in &w.terms {
        output::line(format!("  {:<width$} {:>20}", cut(&t.label, width), t.shown()))?;
    }
    if let Some(s) = &w.sum {
        output::line(format!("  {} {}", " ".repeat(width), "=".repeat(20)))?;
        output::line(format!("  {:<width$} {:>20}", cut(&s.label, width), s.shown()))?;
    }
    for n in &w.notes {
        output::folded(&format!("  {n}"), 2)?;
    }
    for s in &w.sources {
        output::folded(&format!("  Source: {s}"), 10)?;
    }
    for c in &w.would_change {
        output::folded(&format!("  Would change it: {c}"), 19)?;
    }
    Ok(())
}

fn cut(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.into();
    }
    text.chars().take(width - 1).chain(['…']).collect()
}

fn shown(v: &Value) -> String {
    match v {
        Value::Number(x) => number(*x),
        Value::Text(t) => t.clone(),
        Value::List(l) => l.iter().map(|x| number(*x)).collect::<Vec<_>>().join(", "),
    }
}

fn number(x: f64) -> String {
    if x == 0.0 || (1e-3..1e7).contains(&x.abs()) {
        let text = figure(x, if x.abs() >= 100.0 { 2 } else { 5 });
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
    } else {
        format!("{x:.4e}")
    }
}

fn out_json(o: &Outcome) -> Map<String, Json> {
    o.out.iter().map(|(k, v)| ((*k).to_string(), json!(v))).collect()
}

fn answer_json(c: &Calculator, used: &[(&'static str, Value)], o: &Outcome) -> Json {
    let with_unit = |key: &str, v: &Value, unit: &str| json!({"key": key, "value": v, "unit": unit});
    let inputs: Vec<Json> = used
        .iter()
        .map(|(k, v)| with_unit(k, v, c.inputs.iter().find(|i| i.key == *k).map_or("", |i| i.unit())))
        .collect();
    let outputs: Vec<Json> = o
        .out
        .iter()
        .map(|(k, v)| with_unit(k, v, c.outputs.iter().find(|x| x.key == *k).map_or("", |x| x.unit)))
        .collect();
    json!({"name": c.name, "title": c.title, "inputs": inputs, "outputs": outputs,
           "working": o.working, "source": c.source})
}

/// One object a line in, one object a line out, in the same order.
fn lines(c: &Calculator, path: &PathBuf) -> anyhow::Result<ExitCode> {
    let source: Box<dyn Read> = if path.as_os_str() == "-" {
        Box::new(std::io::stdin())
    } else {
        Box::new(std::fs::File::open(path).with_context(|| format!("cannot open {}", path.display()))?)
    };
    let mut all_good = true;
    for row in BufReader::new(source).lines() {
        let row = row.context("the input is not text")?;
        if row.trim().is_empty() {
            continue;
        }
        let answer = match serde_json::from_str::<Map<String, Json>>(&row) {
            Err(e) => json!({"ok": false, "error": format!("not a JSON object: {e}")}),
            Ok(given) => match c.call(&given) {
                Ok(o) => json!({"ok": true, "out": out_json(&o)}),
                Err(e) => json!({"ok": false, "error": e.to_string()}),
            },
        };
        all_good &= answer["ok"] == true;
        output::line(answer.to_string())?;
    }
    Ok(if all_good { ExitCode::SUCCESS } else { ExitCode::from(1) })
}
