//! `stook prove`: the published checks, run here.

use std::process::ExitCode;

use serde_json::json;
use stook_measure::check::{Finding, Verdict};
use stook_season::register;

use crate::output;

/// Runs every published check; exit status 1 if any fails.
#[derive(Debug, clap::Args)]
pub struct Prove {
    /// Only models whose name contains this
    #[arg(value_name = "MODEL")]
    only: Option<String>,
    /// Show every check, not only those outside their tolerance
    #[arg(long, short)]
    all: bool,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

/// Does it.
pub fn run(args: &Prove) -> anyhow::Result<ExitCode> {
    let found: Vec<Finding> = register::prove()
        .into_iter()
        .filter(|f| args.only.as_ref().is_none_or(|o| f.model.contains(o.as_str())))
        .collect();
    let count = |v: Verdict| found.iter().filter(|f| f.verdict == v).count();
    let (pass, differ, fail) = (count(Verdict::Pass), count(Verdict::Differs), count(Verdict::Fail));
    if args.json {
        output::json(&json!({"pass": pass, "differ": differ, "fail": fail, "checks": found}))?;
    } else {
        let rows = found
            .iter()
            .filter(|f| args.all || f.verdict != Verdict::Pass)
            .map(|f| {
                let difference = f.difference.map_or(String::new(), |d| format!("{d:+.4}"));
                vec![
                    format!("{} {}", word(f.verdict), f.model),
                    format!("{} {}", f.id, f.key),
                    f.published.clone(),
                    f.ours.clone(),
                    format!("{difference} (±{:.4})", f.tolerance),
                    format!("{} [{:?}]", f.source, f.kind).to_lowercase(),
                ]
            })
            .collect::<Vec<_>>();
        if !rows.is_empty() {
            output::table(&["model", "case", "published", "ours", "difference", "source"], rows)?;
            output::line("")?;
        }
        for f in found.iter().filter(|f| f.verdict != Verdict::Pass) {
            let why = f.reason.as_deref().unwrap_or("outside its tolerance");
            output::folded(&format!("{} {} {}: {why}", word(f.verdict), f.id, f.key), 4)?;
        }
        let cases = found.iter().map(|f| (&f.model, &f.id)).collect::<std::collections::BTreeSet<_>>().len();
        output::line(format!(
            "{cases} published checks, {} values: {pass} within tolerance, {differ} differ for a stated reason, {fail} fail.",
            found.len()
        ))?;
    }
    Ok(if fail == 0 { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn word(v: Verdict) -> &'static str {
    match v {
        Verdict::Pass => "ok",
        Verdict::Differs => "differs",
        Verdict::Fail => "FAILS",
    }
}
